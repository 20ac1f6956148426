//! What may be asked beside the limits: the balance's grid, alternatives, and the least change from
//! a known recipe, each against an enumeration or a linear program of its own.
//!
//! `TREATRATE_FULL=1` runs five times as many cases.

mod support;

use support::rules::{self, Best};
use support::{Random, problem};
use treatrate::declare::problem::Problem;
use treatrate::declare::property::Property;
use treatrate::declare::recipe::Recipe;
use treatrate::predict::judge::judge;
use treatrate::quantity::Share;
use treatrate::solve::alternatives::cheapest_and_next;
use treatrate::solve::answer::{Answer, Status};
use treatrate::solve::linear::{self, Found};
use treatrate::solve::logic::Demand;
use treatrate::solve::program::{Program, Row};
use treatrate::solve::search::{Budget, cheapest};
use treatrate::solve::task::Task;

/// Relative gap of the proofs here.
const GAP: f64 = 1e-6;

/// What a limit met to a part in 1e9 of its span may make of the goal.
const ROUNDING: f64 = 1e-6;

/// A treat rate within this of a grid point is on it, as a mass fraction.
const ON_GRID: f64 = 1e-8;

/// What a bench balance can pour, mass %: a change under this need not be proved least, for a proof's
/// rounding is not far below it.
const BALANCE_PERCENT: f64 = 1e-3;

fn cases(few: u64) -> u64 {
    let full = std::env::var("TREATRATE_FULL").is_ok_and(|v| v == "1");
    if full { few * 5 } else { few }
}

fn budget(demand: Demand) -> Budget {
    Budget {
        proof: Some(GAP),
        demand,
        ..Budget::default()
    }
}

/// Every way to share so many steps among so many components.
fn ways(components: usize, steps: usize) -> Vec<Vec<usize>> {
    if components == 1 {
        return vec![vec![steps]];
    }
    (0..=steps)
        .flat_map(|first| {
            ways(components - 1, steps - first)
                .into_iter()
                .map(move |rest| [vec![first], rest].concat())
        })
        .collect()
}

/// The lowest cost of a recipe on the grid that the full property model passes.
#[allow(clippy::cast_precision_loss, reason = "a count of steps")]
fn best_on_grid(p: &Problem, steps: usize) -> Option<(f64, Vec<usize>)> {
    let mut best: Option<(f64, Vec<usize>)> = None;
    for way in ways(p.components.len(), steps) {
        let shares: Vec<Share> = way
            .iter()
            .map(|k| Share::from_fraction(*k as f64 / steps as f64))
            .collect();
        if rules::broken(p, &shares).is_some() {
            continue;
        }
        let recipe = Recipe::new(p, &shares).expect("a whole recipe");
        let judged = judge(p, &recipe);
        if let Some(cost) = judged.of(&Property::Cost).map(|v| v.value)
            && judged.passes()
            && best.as_ref().is_none_or(|(b, _)| cost < *b)
        {
            best = Some((cost, way));
        }
    }
    best
}

#[allow(clippy::cast_precision_loss, reason = "a count of steps")]
fn assert_on_grid(name: &str, p: &Problem, answer: &Answer, steps: usize) {
    let recipe = answer.recipe.as_ref().expect("a recipe");
    for share in recipe.shares() {
        let at = share.fraction() * steps as f64;
        assert!(
            (at - at.round()).abs() <= ON_GRID * steps as f64,
            "{name}: {} is off the grid",
            share.percent()
        );
    }
    assert!(judge(p, recipe).passes(), "{name}");
    assert_eq!(rules::broken(p, recipe.shares()), None, "{name}");
}

#[test]
#[allow(
    clippy::print_stdout,
    clippy::cast_precision_loss,
    reason = "the counts are the result of a study; cargo shows them on request"
)]
fn the_grid_agrees_with_every_recipe_on_it() {
    let (mut recipes, mut none, mut only_off_grid) = (0, 0, 0);
    for seed in 0..cases(40) {
        let mut r = Random::new(0x6_121D ^ seed);
        let components = 3 + r.below(2);
        let steps = if components == 3 { 50 } else { 20 };
        let polymers = r.below(2);
        let mut p = problem(30_000 + seed, components, polymers, seed.is_multiple_of(6));
        // Most random limits are too narrow for a coarse grid.
        p.limits.retain(|_| r.chance(0.4));
        if r.chance(0.4) {
            rules::add(&mut r, &mut p);
        }
        let demand = Demand {
            grid: Some(Share::from_fraction(1.0 / steps as f64)),
            ..Demand::default()
        };
        let answer = cheapest(&p, &budget(demand));
        let name = format!("seed {seed}");
        match (best_on_grid(&p, steps), answer.status) {
            (Some((best, way)), Status::Optimal) => {
                let cost = answer.objective.expect("a recipe has a cost");
                assert!(
                    (cost - best).abs() <= GAP * best.abs(),
                    "{name}: {cost}, and {best} at {way:?}"
                );
                assert_on_grid(&name, &p, &answer, steps);
                recipes += 1;
            }
            (None, Status::NoRecipe) => {
                none += 1;
                let off = cheapest(&p, &budget(Demand::default()));
                only_off_grid += usize::from(off.status == Status::Optimal);
            }
            (best, status) => panic!("{name}: {status:?}, and on the grid {best:?}"),
        }
    }
    println!("grid: {recipes} recipes, {none} without, {only_off_grid} of these only for the grid");
    assert!(recipes > 0 && none > 0 && only_off_grid > 0);
}

/// Steps of 3 % never add up to the whole.
#[test]
fn a_step_that_does_not_divide_the_whole_leaves_no_recipe() {
    let mut p = problem(1, 3, 0, false);
    p.limits.clear();
    let demand = Demand {
        grid: Some(Share::from_percent(3.0)),
        ..Demand::default()
    };
    let answer = cheapest(&p, &budget(demand));
    assert_eq!(answer.status, Status::NoRecipe);
}

#[test]
#[allow(
    clippy::print_stdout,
    reason = "the counts are the result of a study; cargo shows them on request"
)]
fn alternatives_agree_with_every_set() {
    let (mut shown, mut short, mut none) = (0, 0, 0);
    for seed in 0..cases(60) {
        let mut r = Random::new(0xA17 ^ seed);
        let mut p = problem(40_000 + seed, 3 + r.below(6), 0, false);
        rules::keep_linear(&mut p);
        if r.chance(0.5) {
            rules::add(&mut r, &mut p);
        }
        let first = cheapest_and_next(&p, &budget(Demand::default()), 3);
        if first.status == Status::NoRecipe {
            assert!(matches!(rules::best_by_sets(&p, &[]), Best::Nothing));
            assert!(first.alternatives.is_empty());
            none += 1;
            continue;
        }
        let mut earlier: Vec<Vec<bool>> = Vec::new();
        let mut before = f64::NEG_INFINITY;
        for answer in std::iter::once(&first).chain(&first.alternatives) {
            let name = format!("seed {seed}, recipe {}", earlier.len() + 1);
            assert_eq!(answer.status, Status::Optimal, "{name}");
            let recipe = answer.recipe.as_ref().expect("a recipe");
            let cost = answer.objective.expect("a recipe has a cost");
            let used = rules::used(recipe.shares());
            for set in &earlier {
                let left_out = set.iter().zip(&used).any(|(a, u)| *a && !*u);
                assert!(left_out, "{name}: {used:?} does without nothing of {set:?}");
            }
            if !p.rules.is_empty() {
                assert_eq!(rules::broken(&p, recipe.shares()), None, "{name}");
            }
            assert!(judge(&p, recipe).passes(), "{name}");
            // Ties may come in either order.
            assert!(
                cost >= before - GAP * before.abs(),
                "{name}: {cost} after {before}"
            );
            match rules::best_by_sets(&p, &earlier) {
                Best::At(best, x) => assert!(
                    (cost - best).abs() <= (GAP + ROUNDING) * best.abs()
                        || earlier.is_empty() && p.rules.is_empty() && cost <= best,
                    "{name}: {cost}, and by sets {best} at {x:?}"
                ),
                _ => panic!("{name}: no set has a recipe"),
            }
            before = cost;
            earlier.push(used);
        }
        shown += first.alternatives.len();
        if first.alternatives.len() < 3 {
            short += 1;
            assert!(
                matches!(rules::best_by_sets(&p, &earlier), Best::Nothing),
                "seed {seed}: only {} alternatives",
                first.alternatives.len()
            );
        }
    }
    println!(
        "alternatives: {shown} shown, {short} problems with fewer than three, {none} without a recipe"
    );
    assert!(shown > 0 && short > 0);
}

/// A random recipe: any of the shelf, or one that meets the limits, or the same moved a little.
fn known(r: &mut Random, p: &Problem) -> Vec<Share> {
    let n = p.components.len();
    let free = r.shares(n);
    let t = [0.0, 0.1, 1.0][r.below(3)];
    let met = cheapest(p, &budget(Demand::default()));
    let shares: Vec<Share> = match met.recipe.filter(|_| met.status == Status::Optimal) {
        Some(recipe) => recipe
            .shares()
            .iter()
            .zip(&free)
            .map(|(x, f)| Share::from_fraction((1.0 - t) * x.fraction() + t * f))
            .collect(),
        None => free.into_iter().map(Share::from_fraction).collect(),
    };
    Recipe::new(p, &shares)
        .expect("shares add up")
        .shares()
        .to_vec()
}

/// The least change in mass % by a linear program of rises and falls from the known recipe; `None`
/// where no recipe meets the limits.
fn least_change(p: &Problem, known: &[Share]) -> Option<f64> {
    let n = p.components.len();
    // Rows over the treat rates, from a task that knows nothing of change.
    let mut plain = p.clone();
    plain.goal.property = Property::Cost;
    let task = Task::new(&plain);
    assert!(task.is_linear() && task.never.is_empty());
    let known: Vec<f64> = known.iter().map(|s| s.fraction()).collect();
    let mut program = Program {
        cost: vec![50.0; 2 * n],
        lower: vec![0.0; 2 * n],
        upper: vec![0.0; 2 * n],
        rows: Vec::new(),
    };
    for (j, (band, known)) in p.bands.iter().zip(&known).enumerate() {
        let (low, high) = (band.min.share.fraction(), band.max.share.fraction());
        program.lower[j] = (low - known).max(0.0);
        program.upper[j] = (high - known).max(0.0);
        program.lower[n + j] = (known - high).max(0.0);
        program.upper[n + j] = (known - low).max(0.0);
    }
    for row in &task.exact.rows {
        let mut over_all = vec![0.0; n];
        for (a, &j) in row.coefficients.iter().zip(&task.columns) {
            over_all[j] = *a;
        }
        let at: f64 = over_all.iter().zip(&known).map(|(a, k)| a * k).sum();
        let falls = over_all.iter().map(|a| -a);
        program.rows.push(Row {
            coefficients: over_all.iter().copied().chain(falls).collect(),
            lower: row.lower - at,
            upper: row.upper - at,
        });
    }
    match linear::solve(&program) {
        Found::Best { x, .. } => Some(program.goal(&x)),
        Found::Empty(_) => None,
        Found::Unknown => panic!("the linear program of changes is unknown"),
    }
}

#[test]
#[allow(
    clippy::print_stdout,
    reason = "the counts are the result of a study; cargo shows them on request"
)]
fn the_least_change_agrees_with_rises_and_falls() {
    let (mut moved, mut still, mut none) = (0, 0, 0);
    for seed in 0..cases(60) {
        let mut r = Random::new(0xC4A ^ seed);
        let mut p = problem(50_000 + seed, 3 + r.below(10), 0, seed.is_multiple_of(6));
        rules::keep_linear(&mut p);
        let from = known(&mut r, &p);
        if r.chance(0.3) {
            // Out of stock.
            let out = r.below(p.components.len());
            p.bands[out].max = rules::edge(0.0);
        }
        p.goal.property = Property::Change;
        p.known = Some(from.clone());
        let answer = cheapest(&p, &budget(Demand::default()));
        let name = format!("seed {seed}");
        let Some(least) = least_change(&p, &from) else {
            assert_eq!(answer.status, Status::NoRecipe, "{name}");
            none += 1;
            continue;
        };
        assert_eq!(
            answer.status,
            Status::Optimal,
            "{name}: least {least}, {:?}",
            answer.proof
        );
        let recipe = answer.recipe.as_ref().expect("a recipe");
        let change = answer.objective.expect("a change");
        let apart: f64 = recipe
            .shares()
            .iter()
            .zip(&from)
            .map(|(x, k)| (x.percent() - k.percent()).abs())
            .sum();
        assert!(
            (change - apart / 2.0).abs() <= 1e-9,
            "{name}: {change}, {apart}"
        );
        assert!(
            (change - least).abs() <= (GAP + ROUNDING) * least + 1e-6,
            "{name}: {change}, and by rises and falls {least}"
        );
        let start = Recipe::new(&p, &from).expect("a recipe");
        assert!(judge(&p, recipe).passes(), "{name}");
        let room = Task::new(&p).columns.len() == p.components.len();
        if room && judge(&p, &start).passes() {
            // To the judge's own tolerance of a limit.
            assert!(change <= 1e-4, "{name}: {change} from a recipe that passes");
        }
        if least <= 1e-9 {
            assert!(
                change <= 1e-9,
                "{name}: {change} from a recipe that meets every limit"
            );
            still += 1;
        } else {
            moved += 1;
        }
    }
    println!("change: {moved} moved, {still} left as they were, {none} without a recipe");
    assert!(moved > 0 && still > 0 && none > 0);
}

/// A change goal with rules, against every set of components.
#[test]
fn the_least_change_keeps_the_rules() {
    for seed in 0..cases(20) {
        let mut r = Random::new(0xC4B ^ seed);
        let mut p = problem(60_000 + seed, 3 + r.below(5), 0, false);
        rules::keep_linear(&mut p);
        let from = known(&mut r, &p);
        rules::add(&mut r, &mut p);
        p.goal.property = Property::Change;
        p.known = Some(from.clone());
        let answer = cheapest(&p, &budget(Demand::default()));
        let name = format!("seed {seed}");
        let least = rules::sets(p.components.len())
            .filter(|used| rules::allow(&p, used))
            .filter_map(|used| least_change(&rules::only(&p, &used)?, &from))
            .fold(f64::INFINITY, f64::min);
        if least.is_infinite() {
            assert_eq!(answer.status, Status::NoRecipe, "{name}");
            continue;
        }
        assert!(
            answer.status == Status::Optimal
                || answer.status == Status::Feasible && least < BALANCE_PERCENT,
            "{name}: least {least}, {:?}",
            answer.proof
        );
        let recipe = answer.recipe.as_ref().expect("a recipe");
        assert_eq!(rules::broken(&p, recipe.shares()), None, "{name}");
        let change = answer.objective.expect("a change");
        assert!(
            (change - least).abs() <= (GAP + ROUNDING) * least + 1e-6,
            "{name}: {change}, and by sets {least}"
        );
    }
}

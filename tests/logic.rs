//! Recipe logic against every set of components, one after another.
//!
//! Where all is exactly linear, each set is a linear program; where limits are curved, each set is
//! a search without logic. `TREATRATE_FULL=1` runs five hundred cases instead of eighty.

mod support;

use support::rules::{self, Best};
use support::{COLD, Random, limit, problem};
use treatrate::declare::problem::{Problem, Sense, Side};
use treatrate::declare::property::Property;
use treatrate::declare::recipe::Recipe;
use treatrate::predict::judge::judge;
use treatrate::solve::answer::{Answer, Status};
use treatrate::solve::search::{Budget, cheapest};

/// Relative gap of the proofs here.
const GAP: f64 = 1e-6;

/// A recipe may miss a limit by a part in 1e9 of its span, which a kinked corner of limits may turn
/// into this part of the cost.
const ROUNDING: f64 = 1e-6;

/// Part of the curved cases that must be decided within the regions below.
const DECIDED: f64 = 0.8;

fn full() -> bool {
    std::env::var("TREATRATE_FULL").is_ok_and(|v| v == "1")
}

fn budget(nodes: usize) -> Budget {
    Budget {
        proof: Some(GAP),
        nodes,
        ..Budget::default()
    }
}

/// What speaks against an answer's recipe, whatever its cost.
fn fault(p: &Problem, answer: &Answer) -> Option<String> {
    let recipe = answer.recipe.as_ref()?;
    let judged = judge(p, recipe);
    let fails = || format!("fails {:?}", judged.requirements);
    rules::broken(p, recipe.shares()).or_else(|| (!judged.passes()).then(fails))
}

fn linear_case(seed: u64) -> Problem {
    let mut r = Random::new(0x10_61C ^ seed);
    let n = 4 + r.below(9);
    let mut p = problem(seed, n, 0, seed.is_multiple_of(4));
    rules::keep_linear(&mut p);
    rules::add(&mut r, &mut p);
    p
}

#[derive(Debug, Default)]
struct Counts {
    recipes: usize,
    none: usize,
    undecided: usize,
}

#[test]
#[allow(
    clippy::print_stdout,
    reason = "the counts are the result of a study; cargo shows them on request"
)]
fn linear_logic_agrees_with_every_set() {
    let mut counts = Counts::default();
    for seed in 0..if full() { 250 } else { 40 } {
        let p = linear_case(seed);
        let answer = cheapest(&p, &budget(200_000));
        match (rules::best_by_sets(&p, &[]), answer.status) {
            (Best::At(best, _), Status::Optimal) => {
                let cost = answer.objective.expect("a recipe has a cost");
                assert!(
                    (cost - best).abs() <= (GAP + ROUNDING) * best.abs(),
                    "seed {seed}: {cost}, and by sets {best}"
                );
                assert_eq!(fault(&p, &answer), None, "seed {seed}");
                counts.recipes += 1;
            }
            (Best::Nothing, Status::NoRecipe) => counts.none += 1,
            (Best::Unknown, _) => counts.undecided += 1,
            (Best::At(best, x), status) => {
                panic!("seed {seed}: {status:?}, and by sets {best} at {x:?}")
            }
            (Best::Nothing, status) => {
                panic!("seed {seed}: {status:?}, and no set has a recipe")
            }
        }
    }
    println!("linear: {counts:?}");
    assert!(counts.recipes > 0 && counts.none > 0, "{counts:?}");
    assert_eq!(counts.undecided, 0, "{counts:?}");
}

/// 1 where the goal is to be low, −1 where it is to be high.
fn sign(p: &Problem) -> f64 {
    match p.goal.sense {
        Sense::Minimise => 1.0,
        Sense::Maximise => -1.0,
    }
}

/// The best that searches without logic find, set by set: recipes that are judged, and whether each
/// set was decided.
fn by_sets(p: &Problem, nodes: usize) -> (Option<(f64, Recipe)>, bool) {
    let mut best: Option<(f64, Recipe)> = None;
    let mut decided = true;
    for used in rules::sets(p.components.len()).filter(|used| rules::allow(p, used)) {
        let Some(q) = rules::only(p, &used) else {
            continue;
        };
        let answer = cheapest(&q, &budget(nodes));
        decided &= matches!(answer.status, Status::Optimal | Status::NoRecipe);
        if !matches!(answer.status, Status::Optimal | Status::Feasible) {
            continue;
        }
        if let (Some(cost), Some(recipe)) = (answer.objective, answer.recipe)
            && rules::broken(p, recipe.shares()).is_none()
            && judge(p, &recipe).passes()
            && best
                .as_ref()
                .is_none_or(|(b, _)| sign(p) * cost < sign(p) * b)
        {
            best = Some((cost, recipe));
        }
    }
    (best, decided)
}

/// Compares an answer with the search over sets.
fn compare(name: &str, p: &Problem, nodes: usize, counts: &mut Counts) {
    let answer = cheapest(p, &budget(nodes));
    assert_eq!(
        fault(p, &answer).filter(|_| answer.status != Status::Undecided),
        None,
        "{name}"
    );
    let (best, decided) = by_sets(p, nodes / 10);
    match (answer.status, best) {
        (Status::Optimal, Some((best, recipe))) => {
            let (cost, best) = (
                sign(p) * answer.objective.expect("a recipe has a cost"),
                sign(p) * best,
            );
            assert!(
                cost <= best + (GAP + ROUNDING) * best.abs(),
                "{name}: {cost}, and by sets {best} with {recipe:?}"
            );
            assert!(
                !decided || cost >= best - (GAP + ROUNDING) * best.abs(),
                "{name}: {cost}, and no set proves under {best}"
            );
            counts.recipes += 1;
        }
        (Status::Optimal, None) => {
            assert!(!decided, "{name}: a recipe, and no set has one");
            counts.recipes += 1;
        }
        (Status::NoRecipe, Some(best)) => panic!("{name}: none, and by sets {best:?}"),
        (Status::NoRecipe, None) => counts.none += 1,
        (Status::Feasible | Status::Undecided, best) => {
            if let (Some(bound), Some((best, recipe))) = (answer.proof.bound, best) {
                let (bound, best) = (sign(p) * bound, sign(p) * best);
                assert!(
                    best >= bound - ROUNDING * bound.abs(),
                    "{name}: {recipe:?} of {best} beats the bound {bound}"
                );
            }
            counts.undecided += 1;
        }
    }
}

#[allow(
    clippy::print_stdout,
    clippy::cast_precision_loss,
    reason = "the counts are the result of a study; cargo shows them on request"
)]
fn report(name: &str, counts: &Counts) {
    println!("{name}: {counts:?}");
    let decided = counts.recipes + counts.none;
    let all = decided + counts.undecided;
    assert!(
        decided as f64 >= DECIDED * all as f64,
        "{name}: {decided} of {all} were decided"
    );
    assert!(counts.recipes > 0, "{name}: {counts:?}");
}

#[test]
fn curved_logic_agrees_with_every_set() {
    let mut counts = Counts::default();
    for seed in 0..if full() { 250 } else { 40 } {
        let mut r = Random::new(0xC0_5ED ^ seed);
        let n = 3 + r.below(if full() { 6 } else { 4 });
        let polymers = r.below(2);
        let mut p = problem(10_000 + seed, n, polymers, seed.is_multiple_of(5));
        rules::add(&mut r, &mut p);
        compare(&format!("seed {seed}"), &p, 20_000, &mut counts);
    }
    report("curved", &counts);
}

/// Rules, two or three polymers and a viscosity index: everything at once.
#[test]
fn logic_with_several_polymers_and_an_index_agrees_with_every_set() {
    let mut counts = Counts::default();
    for seed in 0..if full() { 40 } else { 10 } {
        let mut r = Random::new(0xA11 ^ seed);
        let n = 5 + r.below(3);
        let polymers = 2 + r.below(2);
        let mut p = problem(20_000 + seed, n, polymers, false);
        if !p.limits.iter().any(|l| l.property == Property::Vi) {
            p.limits
                .push(limit(Property::Vi, Side::Min, r.between(90.0, 150.0)));
        }
        rules::add(&mut r, &mut p);
        compare(&format!("seed {seed}"), &p, 10_000, &mut counts);
    }
    report("everything", &counts);
}

/// Rules and goals that curve: a proof must not take the first recipe it meets for the best.
#[test]
fn logic_with_any_goal_agrees_with_every_set() {
    let goals = [
        (Sense::Maximise, Property::Vi),
        (Sense::Minimise, Property::Vi),
        (Sense::Minimise, Property::Kv100),
        (Sense::Maximise, Property::Hths),
        (Sense::Minimise, Property::Hths),
        (Sense::Minimise, Property::Ccs(COLD)),
        (Sense::Minimise, Property::CostPerLitre),
        (Sense::Minimise, Property::Density),
        (Sense::Maximise, Property::Kv40),
    ];
    let mut counts = Counts::default();
    for seed in 0..if full() { 300 } else { 45 } {
        let mut r = Random::new(0x60_A15 ^ seed);
        let n = 4 + r.below(3);
        let polymers = r.below(2);
        let mut p = problem(30_000 + seed, n, polymers, false);
        p.limits.retain(|_| r.chance(0.6));
        let (sense, property) = goals[r.below(goals.len())].clone();
        (p.goal.sense, p.goal.property) = (sense, property);
        rules::add(&mut r, &mut p);
        compare(&format!("seed {seed}"), &p, 5_000, &mut counts);
    }
    report("any goal", &counts);
}

//! A certificate is never wrong: nothing that an independent search finds beats a certified bound,
//! and nothing is found where a proof says that there is no recipe.
//!
//! `TREATRATE_FULL=1` runs two thousand problems instead of a hundred and twenty.

mod support;

use std::collections::BTreeMap;
use support::{COLD, Random, problem};
use treatrate::declare::problem::{Problem, Sense};
use treatrate::declare::property::Property;
use treatrate::declare::recipe::Recipe;
use treatrate::predict::judge::judge;
use treatrate::solve::answer::{Answer, Status};
use treatrate::solve::refine;
use treatrate::solve::refine::Point;
use treatrate::solve::search::{Budget, cheapest};
use treatrate::solve::start;
use treatrate::solve::start::Sequence;
use treatrate::solve::task::Task;
use treatrate::standard::element::Element;

/// A point may miss a limit by [`refine::MET`] of its span, and a kinked corner of limits may turn
/// that into this part of the goal.
const ROUNDING: f64 = 1e-6;

/// Problems of the default run, and of the full one.
const PROBLEMS: u64 = 120;
const FULL: u64 = 2_000;

/// Random points looked at in each problem, and local searches begun.
const SAMPLES: usize = 150;
const STARTS: usize = 12;

/// Part of the problems that must be decided within the regions below.
const DECIDED: f64 = 0.8;

/// Most regions of one proof, in the default run and in the full one: what is not decided by then is
/// counted, and the bound proved so far is tested all the same. Regions, not seconds, so that every
/// machine counts alike.
const NODES: usize = 1_500;
const FULL_NODES: usize = 20_000;

/// A bound raised by this part of itself, ten times the gap, is a wrong one.
const TAMPERED: f64 = 1e-3;

fn full() -> bool {
    std::env::var("TREATRATE_FULL").is_ok_and(|v| v == "1")
}

/// What seed `k` asks: every third problem is likely impossible; small shelves are the commoner.
fn asked(k: u64) -> Problem {
    let mut r = Random::new(0x5EED ^ k);
    let size = r.unit();
    #[allow(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "4 to 40"
    )]
    let components = (4.0 + 36.0 * size * size) as usize;
    let polymers = r.below(4).min(components / 2);
    let mut p = problem(k, components, polymers, k.is_multiple_of(3));
    // Three in ten ask for something else than the lowest cost per kilogram, most of it curved.
    let goals = [
        (Sense::Minimise, Property::CostPerLitre),
        (Sense::Maximise, Property::Vi),
        (Sense::Minimise, Property::Kv100),
        (Sense::Maximise, Property::Hths),
        (Sense::Minimise, Property::Ccs(COLD)),
        (Sense::Minimise, Property::Noack),
        (Sense::Maximise, Property::Ratio(Element::Mo, Element::P)),
    ];
    if r.chance(0.3) {
        let (sense, property) = goals[r.below(goals.len())].clone();
        p.goal.sense = sense;
        p.goal.property = property;
    }
    p
}

/// Every recipe that an independent search meets, as points of the task that miss nothing.
fn search(task: &Task, seed: u64) -> Vec<Point> {
    let mut sequence = Sequence::new(seed ^ 0xD1CE);
    let mut programs = 0;
    let mut found = Vec::new();
    let mut keep = |x: Vec<f64>| {
        let missed = task.curved.iter().map(|c| task.missed(c, &x));
        let missed = missed.fold(task.exact.violation(&x), f64::max);
        if missed <= refine::MET
            && let Some(goal) = task.goal(&x)
        {
            found.push(Point { x, goal, missed });
        }
    };
    let corners: Vec<Vec<f64>> = (0..STARTS)
        .filter_map(|_| start::random(task, &mut sequence, &mut programs))
        .collect();
    if corners.is_empty() {
        return found;
    }
    for from in &corners {
        if let Some(point) = refine::descend(task, from, &mut programs) {
            keep(point.x);
        }
    }
    // Points between the corners, and then between the best so far and a corner.
    for k in 0..SAMPLES {
        let pick = |s: &mut Sequence| {
            #[allow(
                clippy::cast_possible_truncation,
                clippy::cast_sign_loss,
                clippy::cast_precision_loss,
                reason = "an index below a dozen"
            )]
            let at = (s.number() * corners.len() as f64) as usize;
            corners[at.min(corners.len() - 1)].clone()
        };
        let (a, b) = (pick(&mut sequence), pick(&mut sequence));
        let t = sequence.number() * if k % 2 == 0 { 1.0 } else { 0.05 };
        keep(a.iter().zip(&b).map(|(a, b)| a + t * (b - a)).collect());
    }
    found
}

/// Whether the full property model passes a point.
fn passes(p: &Problem, task: &Task, point: &Point) -> bool {
    Recipe::new(p, &task.shares(&point.x)).is_some_and(|recipe| judge(p, &recipe).passes())
}

/// The best judged recipe of the independent search.
fn best(p: &Problem, task: &Task, seed: u64) -> Option<Point> {
    let mut found = search(task, seed);
    let local = Budget {
        proof: None,
        starts: STARTS / 2,
        seed: seed ^ 0xFACE,
        ..Budget::default()
    };
    let answer = cheapest(p, &local);
    if answer.status == Status::Feasible
        && let Some(recipe) = &answer.recipe
    {
        let x: Vec<f64> = task
            .columns
            .iter()
            .map(|&j| recipe.shares()[j].fraction())
            .collect();
        if let Some(goal) = task.goal(&x) {
            found.push(Point {
                x,
                goal,
                missed: 0.0,
            });
        }
    }
    found.sort_by(|a, b| a.goal.total_cmp(&b.goal));
    found.into_iter().find(|point| passes(p, task, point))
}

/// What the best recipe found apart from an answer says against it.
fn refuted(k: u64, p: &Problem, answer: &Answer) -> Option<String> {
    let task = Task::new(p);
    let point = best(p, &task, k)?;
    let recipe = format!("seed {k}: a recipe of goal {}: {:?}", point.goal, point.x);
    if answer.status == Status::NoRecipe {
        return Some(format!("{recipe}, and none should exist"));
    }
    let bound = task.sign * answer.proof.bound?;
    (point.goal < bound - ROUNDING * bound.abs()).then(|| format!("{recipe} beats {bound}"))
}

#[test]
fn a_wrong_certificate_would_be_refuted() {
    let (mut certified, mut caught) = (0, 0);
    for k in 0..30 {
        let p = asked(k);
        let budget = Budget {
            nodes: 200,
            ..Budget::default()
        };
        let answer = cheapest(&p, &budget);
        if answer.status != Status::Optimal {
            continue;
        }
        certified += 1;
        let denied = Answer {
            status: Status::NoRecipe,
            ..answer.clone()
        };
        let mut raised = answer;
        let sign = Task::new(&p).sign;
        raised.proof.bound = raised.proof.bound.map(|b| b + sign * TAMPERED * b.abs());
        caught += [denied, raised]
            .iter()
            .filter(|claim| refuted(k, &p, claim).is_some())
            .count();
    }
    assert!(certified >= 12, "only {certified} were certified");
    // A random search may miss a recipe once in a while; a proof may not.
    assert!(
        caught + 2 >= 2 * certified,
        "{caught} of {} wrong claims were refuted",
        2 * certified
    );
}

#[test]
#[allow(
    clippy::print_stdout,
    clippy::cast_precision_loss,
    reason = "the counts are the result of a study; cargo shows them on request"
)]
fn no_independent_search_refutes_a_certificate() {
    let count = if full() { FULL } else { PROBLEMS };
    let mut counts: BTreeMap<String, u64> = BTreeMap::new();
    for k in 0..count {
        let p = asked(k);
        let budget = Budget {
            nodes: if full() { FULL_NODES } else { NODES },
            ..Budget::default()
        };
        let answer = cheapest(&p, &budget);
        *counts.entry(format!("{:?}", answer.status)).or_default() += 1;
        assert_eq!(refuted(k, &p, &answer), None);
    }
    println!("{counts:?}");
    let decided: u64 = ["Optimal", "NoRecipe"]
        .iter()
        .filter_map(|s| counts.get(*s))
        .sum();
    assert!(
        decided as f64 >= DECIDED * count as f64,
        "{decided} of {count} were decided: {counts:?}"
    );
    for status in ["Optimal", "NoRecipe"] {
        assert!(counts.contains_key(status), "{counts:?}");
    }
}

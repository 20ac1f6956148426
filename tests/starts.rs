//! From how many random starts the local search alone reaches one optimum.

mod support;

use support::problem;
use treatrate::declare::problem::Problem;
use treatrate::solve::answer::Status;
use treatrate::solve::refine;
use treatrate::solve::search::{Budget, GAP, cheapest};
use treatrate::solve::start;
use treatrate::solve::start::Sequence;
use treatrate::solve::task::Task;

/// Random starts of each problem.
const STARTS: usize = 100;

/// Part of all starts that must reach the certified optimum: the proof stands in for the rest.
const REACHED: f64 = 0.9;

/// Part of a problem's starts below which its local search counts as trapped.
const TRAPPED: f64 = 0.5;

/// Trapped problems allowed among the random ones.
const MOST_TRAPPED: usize = 2;

/// How many of the starts reach the goal, within the gap to which it was certified.
fn reached(p: &Problem, goal: f64) -> usize {
    let task = Task::new(p);
    let mut sequence = Sequence::new(100);
    let mut programs = 0;
    (0..STARTS)
        .filter(|_| {
            start::random(&task, &mut sequence, &mut programs)
                .and_then(|from| refine::descend(&task, &from, &mut programs))
                .is_some_and(|point| {
                    point.missed <= refine::MET && point.goal <= task.sign * goal + GAP * goal.abs()
                })
        })
        .count()
}

#[test]
#[allow(
    clippy::print_stdout,
    clippy::cast_precision_loss,
    reason = "the counts are the result of a study; cargo shows them on request"
)]
fn random_starts_reach_one_optimum() {
    let mut counts = Vec::new();
    for seed in 0..24 {
        let components = 5 + usize::try_from(seed % 8).expect("small");
        let polymers = usize::try_from(seed % 3).expect("small");
        let p = problem(70_000 + seed, components, polymers, false);
        let budget = Budget {
            nodes: 500,
            ..Budget::default()
        };
        let answer = cheapest(&p, &budget);
        if answer.status == Status::Optimal {
            let goal = answer.objective.expect("optimal");
            counts.push(reached(&p, goal));
        }
    }
    println!("of {STARTS} starts each: {counts:?}");
    assert!(counts.len() >= 15, "only {} were certified", counts.len());
    let all = counts.iter().sum::<usize>() as f64;
    let part = all / (STARTS * counts.len()) as f64;
    assert!(part >= REACHED, "{part} of all starts: {counts:?}");
    let trapped = counts
        .iter()
        .filter(|c| (**c as f64) < TRAPPED * STARTS as f64)
        .count();
    assert!(trapped <= MOST_TRAPPED, "{trapped} trapped: {counts:?}");
}

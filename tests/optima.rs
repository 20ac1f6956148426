//! Laws of the search that hold whatever the numbers: certified optima of problems that must agree.

mod support;

use std::sync::OnceLock;
use support::{Random, problem, reordered, shuffled, with_twin, without};
use treatrate::declare::problem::{Limit, Problem, Side};
use treatrate::declare::property::{Datum, Property};
use treatrate::quantity::Share;
use treatrate::solve::answer::{Answer, Status};
use treatrate::solve::search::{Budget, GAP, cheapest};

/// Random problems tried for the laws of the search.
const PROBLEMS: u64 = 60;

/// Regions of a proof beyond which a problem is left out: its neighbours would take as long.
const QUICK: usize = 300;

/// Problems that must remain for the laws to mean anything.
const ENOUGH: usize = 40;

fn solved(p: &Problem) -> Answer {
    cheapest(p, &Budget::default())
}

/// Random problems with an answer that was certified without much work, and that answer.
fn certified() -> &'static [(u64, Problem, Answer)] {
    static ALL: OnceLock<Vec<(u64, Problem, Answer)>> = OnceLock::new();
    ALL.get_or_init(|| {
        let quick = Budget {
            nodes: QUICK,
            ..Budget::default()
        };
        (0..PROBLEMS)
            .filter_map(|seed| {
                let count = 5 + usize::try_from(seed % 6).expect("small");
                let p = problem(40_000 + seed, count, usize::from(seed % 3 == 1), false);
                let answer = cheapest(&p, &quick);
                (answer.status == Status::Optimal).then_some((seed, p, answer))
            })
            .collect()
    })
}

/// Two certified optima of one problem, each within its gap.
fn same_optimum(seed: u64, a: &Answer, b: &Answer, scale: f64) {
    assert_eq!(b.status, Status::Optimal, "seed {seed}");
    let (a, b) = (
        a.objective.expect("optimal") * scale,
        b.objective.expect("optimal"),
    );
    assert!(
        (a - b).abs() <= 2.0 * GAP * a.abs(),
        "seed {seed}: {a} and {b}"
    );
}

#[test]
fn optima_do_not_see_order_twins_or_what_is_unused() {
    let all = certified();
    assert!(all.len() >= ENOUGH, "only {} were certified", all.len());
    for (seed, p, answer) in all {
        let mut r = Random::new(*seed);
        let order = shuffled(&mut r, p.components.len());
        same_optimum(*seed, answer, &solved(&reordered(p, &order)), 1.0);

        let stock = (0..p.components.len())
            .find(|j| p.bands[*j].max.share == Share::WHOLE && p.bands[*j].min.share == Share::NONE)
            .expect("base stocks have no band");
        same_optimum(*seed, answer, &solved(&with_twin(p, stock)), 1.0);

        let recipe = answer.recipe.as_ref().expect("optimal");
        let unused = recipe.shares().iter().position(|s| *s == Share::NONE);
        if let Some(j) = unused {
            same_optimum(*seed, answer, &solved(&without(p, j)), 1.0);
        }
    }
}

#[test]
fn scaling_prices_scales_the_cost() {
    const TIMES: f64 = 3.7;
    for (seed, p, _) in certified() {
        let mut p = p.clone();
        p.limits
            .retain(|l| !matches!(l.property, Property::Cost | Property::CostPerLitre));
        let before = solved(&p);
        for c in &mut p.components {
            let price = c.figure(&Datum::Price).expect("priced").value;
            support::state(c, Datum::Price, TIMES * price);
        }
        same_optimum(*seed, &before, &solved(&p), TIMES);
    }
}

fn loosened(limit: &mut Limit, by: f64) {
    let room = by * limit.bound.abs().max(0.1);
    limit.bound += match limit.side {
        Side::Min => -room,
        Side::Max => room,
    };
    limit.stated = limit.bound;
}

#[test]
fn loosening_a_limit_never_raises_the_optimum() {
    for (seed, p, answer) in certified() {
        let before = answer.objective.expect("optimal");
        for k in 0..p.limits.len().min(4) {
            let mut q = p.clone();
            loosened(&mut q.limits[k], 0.03);
            let after = solved(&q);
            assert_eq!(after.status, Status::Optimal, "seed {seed}, limit {k}");
            let bound = after.proof.bound.expect("certified");
            let objective = after.objective.expect("optimal");
            // The old recipe still meets every limit, so no proof may exclude its cost.
            assert!(
                bound <= before * (1.0 + 1e-9),
                "seed {seed}, limit {k}: bound {bound} above {before}"
            );
            assert!(
                objective <= before + GAP * before.abs(),
                "seed {seed}, limit {k}: {objective} above {before}"
            );
        }
    }
}

//! Guard bands: limits moved inwards until one laboratory's test of the recipe passes often enough.

use crate::declare::problem::Problem;
use crate::declare::problem::Side;
use crate::predict::room::Rooms;
use crate::solve::answer::Answer;
use crate::solve::search;
use crate::solve::search::Budget;
use crate::standard::normal;
use crate::study::held::Basis;
use crate::study::held::Held;
use crate::study::lean;
use crate::study::wish::Wish;

/// Rounds of solving, drawing and guarding anew.
const ROUNDS: usize = 16;

/// Rounds after which a guard only widens: a recipe that changes to and fro between two sets of
/// components settles on the wider guards of both.
const FREE_ROUNDS: usize = 8;

/// A guard is wider than needed when it is so by this part of the standard deviation: at 95 % that is
/// 0.05 % of a chance.
const CLOSE: f64 = 0.005;

/// A limit that fails no more often than this part of all failures has room enough.
const LITTLE: f64 = 0.02;

/// Of a standard deviation, what no draw tells.
const ROUNDING: f64 = 1e-7;

/// Halvings of the widening of guards.
const HALVINGS: usize = 30;

/// Starts of a search that is not proved.
const STARTS: usize = 3;

/// Regions of a search that is not proved: recipe logic is decided by looking at some, and twice as many where every
/// treat rate is to be on a grid.
const NODES: usize = 200;
const GRID_NODES: usize = 400;

/// The problem with its limits moved inwards; none is moved outwards.
#[must_use]
pub fn guarded(problem: &Problem, guards: &[f64]) -> Problem {
    let mut guarded = problem.clone();
    for (limit, guard) in guarded.limits.iter_mut().zip(guards) {
        if *guard <= 0.0 {
            continue;
        }
        limit.bound = match limit.side {
            Side::Min => limit.bound.max(limit.stated + guard),
            Side::Max => limit.bound.min(limit.stated - guard),
        };
        limit.stated = limit.bound;
        limit.strict = false;
    }
    guarded
}

/// The best recipe nearby whose limits each pass with a probability: guards, recipe, draws, guards anew, from
/// the guards given until they agree; `None` where they leave no recipe, or never agree.
#[must_use]
pub fn settle(basis: Basis, each: f64, from: &[f64]) -> Option<Held> {
    let mut guards = from.to_vec();
    for round in 0..ROUNDS {
        if basis.clock.is_over() {
            return None;
        }
        let answer = within(basis, &guards);
        let held = Held::of(basis, &answer)?;
        let needed = held.sample.guards(basis.problem, each);
        let last = round + 1 >= FREE_ROUNDS;
        if held.sample.chances.each_reaches(each)
            && (last || !too_wide(&held, &answer, &guards, &needed))
        {
            return Some(held);
        }
        guards = if last {
            let wider = guards.iter().zip(&needed);
            wider.map(|(had, needs)| had.max(*needs)).collect()
        } else {
            needed
        };
    }
    None
}

/// The guards that go with a recipe: how far inside each limit it lies itself where all are to pass together,
/// as far as that counts for the chance; what each limit takes to pass as often as asked otherwise.
#[must_use]
pub fn own(problem: &Problem, wish: Wish, held: &Held) -> Vec<f64> {
    if wish.together {
        wider(problem, wish, held, 0.0)
    } else {
        held.sample.guards(problem, wish.confidence)
    }
}

/// Guards with which a recipe would pass as often as asked: where all are to pass together its own, each wider
/// by as many standard deviations.
#[must_use]
pub fn lacking(problem: &Problem, wish: Wish, held: &Held) -> Vec<f64> {
    if !wish.together {
        return own(problem, wish, held);
    }
    let rooms = Rooms::of(problem, &held.sample, &held.causes);
    let (mut low, mut high) = (0.0, 2.0 * lean::FAR);
    for _ in 0..HALVINGS {
        let more = f64::midpoint(low, high);
        let inside: Vec<f64> = rooms.all.iter().map(|r| r.room + more * r.sd).collect();
        if rooms.passed(&inside) >= wish.confidence {
            high = more;
        } else {
            low = more;
        }
    }
    wider(problem, wish, held, high)
}

/// A recipe's own room inside each limit as its guards, each wider by so many standard deviations; no more
/// than counts for the chance.
fn wider(problem: &Problem, wish: Wish, held: &Held, more: f64) -> Vec<f64> {
    let ample = normal::quantile(1.0 - (1.0 - wish.confidence) * LITTLE).min(lean::FAR);
    let mut guards = vec![0.0; problem.limits.len()];
    for room in Rooms::of(problem, &held.sample, &held.causes).all {
        // A rounding less, so that the recipe itself is within them.
        let own = room.room.min(ample * room.sd) - ROUNDING * room.sd;
        guards[room.limit] = (own + more * room.sd).max(0.0);
    }
    guards
}

/// The limits as they are stated.
#[must_use]
pub fn none(problem: &Problem) -> Vec<f64> {
    vec![0.0; problem.limits.len()]
}

/// The best recipe within guards, nearby.
#[must_use]
pub fn within(basis: Basis, guards: &[f64]) -> Answer {
    let left = basis.clock.left();
    let most = if left.demand.grid.is_some() {
        GRID_NODES
    } else {
        NODES
    };
    let nearby = Budget {
        proof: None,
        starts: STARTS.max(left.starts),
        nodes: most.min(left.nodes),
        ..left
    };
    search::cheapest(&guarded(basis.problem, guards), &nearby)
}

/// Whether a guard that holds the recipe is wider than it must be.
fn too_wide(held: &Held, guarded: &Answer, guards: &[f64], needed: &[f64]) -> bool {
    let Some(judgement) = &guarded.judgement else {
        return false;
    };
    let limits = needed.iter().zip(guards).zip(&judgement.requirements);
    limits.into_iter().any(|((needs, had), judged)| {
        let sd = held
            .causes
            .place(&judged.property)
            .map_or(0.0, |k| held.causes.sd(k));
        judged.binding && had - needs > CLOSE * sd
    })
}

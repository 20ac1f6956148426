//! The best recipe that passes as often as asked: each limit, or all of them together.
//!
//! Walks (`walk`) from several beginnings, with few draws: recipes that scatter less lie in other corners
//! of the shelf than those that cost least, and with recipe logic a walk keeps to the components in use, so
//! that neighbouring sets of them are tried (`swap`). The best of them is walked on with all draws.

use crate::declare::component::EdgeSource;
use crate::declare::problem::Problem;
use crate::quantity::Share;
use crate::solve::answer::Answer;
use crate::study::guard;
use crate::study::held::Basis;
use crate::study::held::Held;
use crate::study::swap;
use crate::study::walk;
use crate::study::walk::Sought;
use crate::study::wish::Wish;

/// Draws of the first walks.
const FEW: usize = 8192;

/// By how much a chance of few draws may be too low.
const MISSED: f64 = 0.005;

/// Parts of the way to a walk's guards that other sets of components are sought within.
const PARTS: [f64; 4] = [1.0, 0.7, 0.4, 0.1];

/// Among how many limits failures are shared evenly to begin with, where all are to pass together.
pub const EVENLY: [f64; 3] = [1.0, 3.0, 8.0];

/// A recipe is better than another by at least this part of its goal, or of its chance.
const BETTER: f64 = 1e-4;

/// Times that every component of the best recipe is left out in turn.
const ROUNDS: usize = 3;

/// Rounds of neighbouring sets of components, and how many of each are walked from.
const SWAPS: usize = 12;
const PROMISING: usize = 10;

/// Where nothing is as sure as asked, the surest is sought once more as if this were asked, for what is asked
/// bends the way to it: what is told as the highest is then found again by whoever asks for that.
const SURER: [f64; 2] = [0.97, 0.995];

/// Seeks from a recipe that meets the limits as stated.
#[must_use]
pub fn seek(basis: Basis, wish: Wish, start: &Held) -> Sought {
    // Without a guard no recipe is better.
    if start.guards.iter().all(|g| *g <= 0.0) && wish.is_reached(start) {
        return Sought::Reached(Box::new(start.clone()));
    }
    let few = few(basis);
    let Some(mut search) = Search::from(few, wish, &start.answer) else {
        return walk::walk(basis, wish, start);
    };
    search.all();
    for confidence in SURER {
        if matches!(search.found, Sought::Reached(_)) || few.clock.is_over() {
            break;
        }
        let surer = Wish { confidence, ..wish };
        let Some(mut other) = Search::from(few, surer, &start.answer) else {
            break;
        };
        other.all();
        search.walk(other.found.held());
    }
    last(basis, wish, search.found)
}

/// From another recipe; `None` where that leads to nothing better than what was found before.
#[must_use]
pub fn from(basis: Basis, wish: Wish, other: &Answer, found: &Held) -> Option<Sought> {
    let few = few(basis);
    let other = Held::of(few, other, &unguarded(few))?;
    let other = walk::walk(few, wish, &other);
    let found = Held::of(few, &found.answer, &found.guards)?;
    is_better(few, wish, other.held(), &found).then(|| last(basis, wish, other))
}

/// The best recipe near one that was found when less was known; `None` where none passes as often as asked.
#[must_use]
pub fn knowing(basis: Basis, wish: Wish, start: &Held) -> Option<Held> {
    let mut search = Search::from(few(basis), wish, &start.answer)?;
    search.even();
    search.swap();
    // Few draws may miss a little.
    if wish.chance(search.found.held()) < wish.confidence - MISSED {
        return None;
    }
    match last(basis, wish, search.found) {
        Sought::Reached(held) => Some(*held),
        Sought::Surest(_) => None,
    }
}

/// No guards.
fn unguarded(basis: Basis) -> Vec<f64> {
    vec![0.0; basis.problem.limits.len()]
}

fn few(basis: Basis) -> Basis {
    Basis {
        draws: basis.draws.min(FEW),
        ..basis
    }
}

/// Walks on with all draws.
fn last(basis: Basis, wish: Wish, found: Sought) -> Sought {
    match Held::of(basis, &found.held().answer, &found.held().guards) {
        Some(held) => walk::on(basis, wish, &held),
        None => found,
    }
}

/// A problem without recipe logic; `None` where it has none.
fn free(problem: &Problem) -> Option<Problem> {
    let mut free = problem.clone();
    free.rules.clear();
    for band in &mut free.bands {
        band.if_used = None;
    }
    (free != *problem).then_some(free)
}

/// Which components a recipe uses.
fn use_of(held: &Held) -> Vec<bool> {
    let shares = held.recipe.shares().iter();
    shares.map(|s| *s > Share::NONE).collect()
}

/// The walks so far.
struct Search<'a> {
    basis: Basis<'a>,
    wish: Wish,
    /// The best that was found.
    found: Sought,
    /// The sets of components that walks began with.
    seen: Vec<Vec<bool>>,
    /// The problem without recipe logic, where it has any.
    free: Option<Problem>,
}

impl<'a> Search<'a> {
    fn from(basis: Basis<'a>, wish: Wish, start: &Answer) -> Option<Self> {
        let start = Held::of(basis, start, &unguarded(basis))?;
        Some(Search {
            basis,
            wish,
            found: walk::walk(basis, wish, &start),
            seen: vec![use_of(&start)],
            free: free(basis.problem),
        })
    }

    /// From every beginning.
    fn all(&mut self) {
        self.even();
        self.free();
        self.swap();
        self.without_some();
    }

    /// From neighbouring sets of components, as long as that leads to a better recipe.
    fn swap(&mut self) {
        if self.free.is_none() {
            return;
        }
        for _ in 0..SWAPS {
            let had = self.found.held().clone();
            let mut tried = 0;
            for swap in swap::swaps(self.basis, self.wish, &had) {
                if tried == PROMISING || self.is_over() {
                    break;
                }
                if self.seen.contains(&swap.uses) {
                    continue;
                }
                tried += 1;
                let only = swap.only(self.basis.problem);
                let only = Basis {
                    problem: &only,
                    ..self.basis
                };
                let all = parts(&swap.guards);
                all.iter().any(|guards| self.within(only, guards));
                self.seen.push(swap.uses);
            }
            if !is_better(self.basis, self.wish, self.found.held(), &had) {
                break;
            }
        }
    }

    fn is_over(&self) -> bool {
        self.basis.clock.is_over()
    }

    /// Walks from a recipe. With recipe logic once from each set of components: a walk keeps to it.
    fn begin(&mut self, from: &Held) {
        let uses = use_of(from);
        if self.is_over() || self.free.is_some() && self.seen.contains(&uses) {
            return;
        }
        self.seen.push(uses);
        self.walk(from);
    }

    fn walk(&mut self, from: &Held) {
        let other = walk::walk(self.basis, self.wish, from);
        let found = std::mem::replace(&mut self.found, other.clone());
        self.found = better(self.basis, self.wish, found, other);
    }

    /// From the best recipes nearby of which each limit fails no more often than one of so many may.
    fn even(&mut self) {
        let among: &[f64] = if self.wish.together { &EVENLY } else { &[1.0] };
        for n in among {
            let each = 1.0 - (1.0 - self.wish.confidence) / n;
            let guards = self.found.held().sample.guards(self.basis.problem, each);
            if let Some(held) = guard::settle(self.basis, each, &guards) {
                self.begin(&held);
            }
        }
    }

    /// From other sets of components, where recipe logic says which may be used: each the best within a part
    /// of the guards that would do without it.
    fn free(&mut self) {
        let Some(free) = self.free.clone() else {
            return;
        };
        let free = Basis {
            problem: &free,
            ..self.basis
        };
        let plain = guard::within(free, &unguarded(free));
        let Some(plain) = Held::of(free, &plain, &unguarded(free)) else {
            return;
        };
        let walked = walk::walk(free, self.wish, &plain);
        let sample = &walked.held().sample;
        let left = 1.0 - self.wish.confidence;
        let even = EVENLY.map(|n| sample.guards(free.problem, 1.0 - left / n));
        for guards in parts(&walked.held().guards).into_iter().chain(even) {
            self.within(self.basis, &guards);
        }
    }

    /// From the best recipe within guards of a problem like this one.
    fn within(&mut self, like: Basis, guards: &[f64]) -> bool {
        if self.is_over() {
            return false;
        }
        let answer = guard::within(like, guards);
        let held = Held::of(self.basis, &answer, guards);
        if let Some(held) = &held {
            self.begin(held);
        }
        held.is_some()
    }

    /// From recipes without one or another component, where that is no matter of recipe logic: one that makes
    /// little of the cost may make much of the scatter.
    fn without_some(&mut self) {
        if self.free.is_some() {
            return;
        }
        for _ in 0..ROUNDS {
            let had = self.found.held().clone();
            for j in 0..use_of(&had).len() {
                self.without(j);
            }
            if self.is_over() || !is_better(self.basis, self.wish, self.found.held(), &had) {
                break;
            }
        }
    }

    /// From recipes without a component.
    fn without(&mut self, j: usize) {
        let mut problem: Problem = self.basis.problem.clone();
        let band = &mut problem.bands[j];
        if band.min.share > Share::NONE {
            return;
        }
        band.max.share = Share::NONE;
        band.max.source = EdgeSource::Natural;
        let less = Basis {
            problem: &problem,
            ..self.basis
        };
        let guards = self.found.held().guards.clone();
        if !use_of(self.found.held())[j] {
            return;
        }
        let begun = [guards, unguarded(less)].into_iter().find_map(|guards| {
            let answer = guard::within(less, &guards);
            Held::of(less, &answer, &guards)
        });
        // A walk would bring it back at once.
        let Some(other) = begun.map(|begun| walk::walk(less, self.wish, &begun)) else {
            return;
        };
        if is_better(self.basis, self.wish, other.held(), self.found.held()) {
            self.found = other;
            let from = self.found.held().clone();
            self.walk(&from);
        }
    }
}

/// Parts of guards.
fn parts(guards: &[f64]) -> [Vec<f64>; 4] {
    PARTS.map(|part| guards.iter().map(|g| part * g).collect())
}

/// Whether a recipe is better than another by enough to go on from it.
#[must_use]
pub fn is_better(basis: Basis, wish: Wish, a: &Held, b: &Held) -> bool {
    let sign = basis.sign();
    match (wish.is_reached(a), wish.is_reached(b)) {
        (true, true) => a.worth(sign) < b.worth(sign) - BETTER * b.worth(sign).abs(),
        (false, false) => wish.chance(a) > wish.chance(b) * (1.0 + BETTER),
        (a, _) => a,
    }
}

/// The better of two.
#[must_use]
pub fn better(basis: Basis, wish: Wish, a: Sought, b: Sought) -> Sought {
    let (x, y, sign) = (a.held(), b.held(), basis.sign());
    let second = match (&a, &b) {
        (Sought::Reached(_), Sought::Reached(_)) => y.worth(sign) < x.worth(sign),
        (Sought::Reached(_), Sought::Surest(_)) => false,
        (Sought::Surest(_), Sought::Reached(_)) => true,
        (Sought::Surest(_), Sought::Surest(_)) => wish.chance(y) > wish.chance(x),
    };
    if second { b } else { a }
}

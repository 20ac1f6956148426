//! The best recipe that passes as often as asked: each limit, or all of them together.
//!
//! Walks (`walk`) from several beginnings, with few draws: recipes that scatter less lie in other corners
//! of the shelf than those that cost least, and with recipe logic a walk keeps to the components in use, so
//! that neighbouring sets of them are tried (`swap`). The best of them is walked on with all draws.

use crate::declare::problem::Problem;
use crate::parallel;
use crate::quantity::Share;
use crate::solve::answer::Answer;
use crate::study::change;
use crate::study::guard;
use crate::study::held::Basis;
use crate::study::held::Held;
use crate::study::swap;
use crate::study::swap::Swap;
use crate::study::walk;
use crate::study::walk::Sought;
use crate::study::wish::Wish;

/// Draws of the first walks.
const FEW: usize = 8192;

/// By how much a chance of few draws may be too low.
const MISSED: f64 = 0.005;

/// Parts of the way to a walk's guards that other sets of components are sought within.
const PARTS: [f64; 4] = [1.0, 0.7, 0.4, 0.1];

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
    let few = few(basis);
    let Some(mut search) = Search::from(few, wish, &start.answer) else {
        return Sought::of(wish, start.clone());
    };
    search.all();
    if matches!(search.found, Sought::Surest(_)) {
        let others = parallel::each(&SURER, |confidence| {
            let confidence = *confidence;
            let mut other = Search::from(few, Wish { confidence, ..wish }, &start.answer)?;
            other.all();
            Some(other.found.held().clone())
        });
        let others: Vec<Held> = others.into_iter().flatten().collect();
        search.walk(&others);
    }
    last(basis, wish, search.found)
}

/// From another recipe; `None` where that leads to nothing better than what was found before.
#[must_use]
pub fn from(basis: Basis, wish: Wish, other: &Answer, found: &Held) -> Option<Sought> {
    let few = few(basis);
    let other = Held::of(few, other)?;
    let other = walk::walk(few, wish, &other);
    let found = Held::of(few, &found.answer)?;
    is_better(few, wish, other.held(), &found).then(|| last(basis, wish, other))
}

/// The best recipe near one that was found when less was known; `None` where none passes as often as asked.
#[must_use]
pub fn knowing(basis: Basis, wish: Wish, start: &Held) -> Option<Held> {
    let mut search = Search::from(few(basis), wish, &start.answer)?;
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

/// The same with few draws.
#[must_use]
pub fn few(basis: Basis) -> Basis {
    Basis {
        draws: basis.draws.min(FEW),
        ..basis
    }
}

/// Walks on with all draws.
fn last(basis: Basis, wish: Wish, found: Sought) -> Sought {
    match Held::of(basis, &found.held().answer) {
        Some(held) => walk::on(basis, wish, &held),
        None => found,
    }
}

/// Whether recipe logic says which components may be used: a walk keeps to those in use.
fn has_logic(problem: &Problem) -> bool {
    !problem.rules.is_empty() || problem.bands.iter().any(|band| band.if_used.is_some())
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
    /// Whether there is recipe logic.
    logic: bool,
}

impl<'a> Search<'a> {
    fn from(basis: Basis<'a>, wish: Wish, start: &Answer) -> Option<Self> {
        let start = Held::of(basis, start)?;
        Some(Search {
            basis,
            wish,
            found: walk::walk(basis, wish, &start),
            seen: vec![use_of(&start)],
            logic: has_logic(basis.problem),
        })
    }

    /// From every beginning.
    fn all(&mut self) {
        self.swap();
        self.without_some();
    }

    /// From neighbouring sets of components, as long as that leads to a better recipe.
    fn swap(&mut self) {
        if !self.logic {
            return;
        }
        for _ in 0..SWAPS {
            let had = self.found.held().clone();
            let swaps = swap::swaps(self.basis, self.wish, &had).into_iter();
            let new = swaps.filter(|swap| !self.seen.contains(&swap.uses));
            let new: Vec<Swap> = new.take(PROMISING).collect();
            let begun = parallel::each(&new, |swap| self.promised(swap));
            self.begin(begun);
            self.seen.extend(new.into_iter().map(|swap| swap.uses));
            if self.is_over() || !is_better(self.basis, self.wish, self.found.held(), &had) {
                break;
            }
        }
    }

    /// The best recipe of a set of components within as much as there can be of the guards that it promises.
    fn promised(&self, swap: &Swap) -> Option<Held> {
        let only = swap.only(self.basis.problem);
        let only = Basis {
            problem: &only,
            ..self.basis
        };
        let mut parts = parts(&swap.guards)
            .into_iter()
            .take_while(|_| !self.is_over());
        parts.find_map(|guards| Held::of(self.basis, &guard::within(only, &guards)))
    }

    fn is_over(&self) -> bool {
        self.basis.clock.is_over()
    }

    /// Walks from recipes, once from each set of components: with recipe logic a walk keeps to it.
    fn begin(&mut self, from: Vec<Option<Held>>) {
        let mut fresh = Vec::new();
        for held in from.into_iter().flatten() {
            let uses = use_of(&held);
            if !self.seen.contains(&uses) {
                self.seen.push(uses);
                fresh.push(held);
            }
        }
        self.walk(&fresh);
    }

    fn walk(&mut self, from: &[Held]) {
        let walked = parallel::each(from, |held| {
            (!self.is_over()).then(|| walk::walk(self.basis, self.wish, held))
        });
        for other in walked.into_iter().flatten() {
            let found = std::mem::replace(&mut self.found, other.clone());
            self.found = better(self.basis, self.wish, found, other);
        }
    }

    /// From recipes without one or another component, where that is no matter of recipe logic: one that makes
    /// little of the cost may make much of the scatter.
    fn without_some(&mut self) {
        if self.logic {
            return;
        }
        for _ in 0..ROUNDS {
            let had = self.found.held().clone();
            let components: Vec<usize> = (0..had.recipe.shares().len()).collect();
            let others = parallel::each(&components, |j| self.without(*j, &had));
            let mut others = others.into_iter().flatten();
            let Some(first) = others.next() else {
                break;
            };
            let other = others.fold(first, |a, b| better(self.basis, self.wish, a, b));
            if self.is_over() || !is_better(self.basis, self.wish, other.held(), &had) {
                break;
            }
            self.found = other;
            let from = [self.found.held().clone()];
            self.walk(&from);
        }
    }

    /// From a recipe without one of its components.
    fn without(&self, j: usize, had: &Held) -> Option<Sought> {
        let needed = self.basis.problem.bands[j].min.share > Share::NONE;
        if self.is_over() || needed || !use_of(had)[j] {
            return None;
        }
        let mut problem = self.basis.problem.clone();
        problem.bands[j] = change::held_out();
        let less = Basis {
            problem: &problem,
            ..self.basis
        };
        let own = guard::own(&problem, self.wish, had);
        let begun = [own, guard::none(&problem)].into_iter();
        let mut begun = begun.map(|guards| guard::within(less, &guards));
        let begun = begun.find_map(|answer| Held::of(less, &answer))?;
        // A walk among all components would bring it back at once.
        Some(walk::walk(less, self.wish, &begun))
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

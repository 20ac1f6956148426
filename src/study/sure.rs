//! The search for the best recipe that is as sure as asked: walks from several beginnings (`seek`), the best
//! recipes within guards as further beginnings, and from there onto the balance's grid, where there is one.
//!
//! What every recipe costs at least is proved over the shelf with the guards that every recipe needs (`floor`).

use crate::solve::answer::Answer;
use crate::solve::answer::Status;
use crate::solve::search;
use crate::solve::search::Budget;
use crate::study::clock::Clock;
use crate::study::floor;
use crate::study::guard;
use crate::study::held::Basis;
use crate::study::held::Held;
use crate::study::round;
use crate::study::seek;
use crate::study::walk;
use crate::study::walk::Sought;
use crate::study::wish::Wish;

/// Recipes whose own guards are searched, at most.
const SEARCHES: usize = 3;

/// Regions of a proof that the guards of the surest recipe leave none: most are short.
const NODES: usize = 5000;

/// Parts of the failures, as if only these were allowed: surer recipes off the grid, where none on it around the
/// best one is sure enough.
const FEWER: [f64; 2] = [0.9, 0.6];

/// A chance that is less than off the grid by no more than this is near enough, where another was asked for: sets of
/// components take long.
const FAR: f64 = 0.01;

/// How often what is to be told as the highest confidence is asked for.
const ASKED: usize = 3;

/// A confidence is told in thousandths.
const THOUSAND: f64 = 1e3;

/// What was found.
#[derive(Debug, Clone)]
pub struct Found {
    /// The best recipe, on the grid where there is one.
    pub best: Sought,
    /// The same off the grid: the same recipe where there is none.
    pub off: Sought,
    /// Guards that leave no recipe.
    pub refused: Option<Refused>,
    /// What no recipe that is as sure betters.
    pub bound: Option<f64>,
}

/// Guards that leave no recipe.
#[derive(Debug, Clone)]
pub struct Refused {
    /// The guards.
    pub guards: Vec<f64>,
    /// The refusal.
    pub answer: Answer,
    /// Whether every recipe needs them; otherwise they are those of the surest one that was found, and another
    /// may do with less.
    pub by_every: bool,
}

/// The highest confidence that can be told.
#[derive(Debug, Clone)]
pub struct Highest {
    /// It, in thousandths.
    pub confidence: f64,
    /// Whether whoever asks for it has it: it was asked for, and found.
    pub is_had: bool,
    /// The recipe that asking for it finds.
    pub held: Held,
}

/// The best recipe that passes as often as asked, from the best one that meets the limits as stated; else the
/// surest. `first`: this is what was asked for, not what is to be told of the highest.
#[must_use]
pub fn found(clock: &Clock, basis: Basis, wish: Wish, start: &Held, first: bool) -> Found {
    let gridded = basis.clock.left().demand.grid.is_some();
    // Off the grid small steps tell, and no recipe on it is better.
    let off = if gridded { clock.half() } else { clock.clone() };
    let off = Basis {
        clock: &off.off_grid(),
        ..basis
    };
    let (off_grid, refused, bound) = off_grid(off, wish, start);
    let mut best = off_grid.clone();
    if gridded {
        let is_first = matches!(off_grid, Sought::Reached(_)) && first;
        let far = if is_first { 0.0 } else { FAR };
        best = on_grid(basis, off, wish, start, (&off_grid, far));
    }
    Found {
        refused,
        off: off_grid,
        best,
        bound,
    }
}

fn off_grid(off: Basis, wish: Wish, start: &Held) -> (Sought, Option<Refused>, Option<f64>) {
    let found = seek::seek(off, wish, start);
    let guards = floor::guards(off.problem, wish);
    let least = guarded(off, &guards, &off.clock.left());
    let bound = least.proof.bound;
    // A recipe that is sure enough refutes a proof to first order.
    let short = matches!(found, Sought::Surest(_));
    if least.outcome() == Status::NoRecipe && short {
        let refused = Refused {
            guards,
            answer: least,
            by_every: true,
        };
        return (found, Some(refused), bound);
    }
    let found = onward(off, wish, found, &least);
    let (found, refused) = within_its_own(off, wish, found);
    (found, refused, bound)
}

/// The best recipe on the grid: around the best one off it; where none there is sure enough, around surer ones, and
/// from neighbouring sets of components.
fn on_grid(
    basis: Basis,
    off: Basis,
    wish: Wish,
    start: &Held,
    (found, far): (&Sought, f64),
) -> Sought {
    let mut best = Sought::of(wish, start.clone());
    let better = |best: &mut Sought, other: Option<Sought>| {
        if let Some(other) = other {
            *best = seek::better(basis, wish, best.clone(), other);
        }
    };
    better(&mut best, round::onto(basis, wish, found.held()));
    for less in FEWER {
        let near = matches!(best, Sought::Surest(_)) && matches!(found, Sought::Reached(_));
        if !near || basis.clock.is_over() {
            break;
        }
        let confidence = 1.0 - less * (1.0 - wish.confidence);
        let surer = walk::walk(off, Wish { confidence, ..wish }, found.held());
        better(&mut best, round::onto(basis, wish, surer.held()));
    }
    let is_far = |best: &Sought| {
        let off = wish.confidence.min(wish.reached(found.held()));
        let far = off - wish.reached(best.held()) > far;
        matches!(best, Sought::Surest(_)) && far && !basis.clock.is_over()
    };
    if is_far(&best) {
        let other = seek::seek(basis, wish, best.held());
        better(&mut best, Some(other));
    }
    if is_far(&best) && !wish.together {
        // On a coarse grid the least sure limit alone may not become surer by any one set's step; all together do.
        let together = Wish {
            together: true,
            ..wish
        };
        let other = seek::seek(basis, together, best.held());
        let other = other.held().answer.clone();
        better(&mut best, round::along(basis, wish, &[other]));
    }
    best
}

/// From the best recipe within the guards of what was found, as long as that leads to a better one; the refusal
/// where there is none within those that the surest recipe would need.
fn within_its_own(basis: Basis, wish: Wish, mut found: Sought) -> (Sought, Option<Refused>) {
    for _ in 0..SEARCHES {
        if basis.clock.is_over() {
            break;
        }
        let guards = guard::lacking(basis.problem, wish, found.held());
        let answer = match &found {
            Sought::Reached(_) => guard::within(basis, &guards),
            Sought::Surest(_) => {
                let left = basis.clock.left();
                let nodes = NODES.min(left.nodes);
                guarded(basis, &guards, &Budget { nodes, ..left })
            }
        };
        if answer.outcome() == Status::NoRecipe {
            let refused = Refused {
                guards,
                answer,
                by_every: false,
            };
            let short = matches!(found, Sought::Surest(_));
            return (found, Some(refused).filter(|_| short));
        }
        let next = onward(basis, wish, found.clone(), &answer);
        let gained = seek::is_better(basis, wish, next.held(), found.held());
        found = next;
        if !gained {
            break;
        }
    }
    (found, None)
}

/// The best recipe within guards, over the whole shelf.
fn guarded(basis: Basis, guards: &[f64], budget: &Budget) -> Answer {
    search::cheapest(&guard::guarded(basis.problem, guards), budget)
}

/// The better of what was found and what a walk from another recipe finds.
fn onward(basis: Basis, wish: Wish, found: Sought, other: &Answer) -> Sought {
    match seek::from(basis, wish, other, found.held()) {
        Some(other) => seek::better(basis, wish, found, other),
        None => found,
    }
}

/// The highest confidence to tell, where the surest recipe was found on the way to more: what asking for that finds,
/// for the last thousandth is dear, and the ways to it are not the same.
#[must_use]
pub fn highest(clock: &Clock, basis: Basis, wish: Wish, start: &Held, surest: Held) -> Highest {
    let mut confidence = wish.to_be_had(&surest);
    for _ in 0..ASKED {
        if confidence <= 0.0 || basis.clock.is_over() {
            break;
        }
        let asked = Wish { confidence, ..wish };
        if asked.is_reached(start) {
            let held = start.clone();
            return Highest {
                confidence,
                is_had: true,
                held,
            };
        }
        match found(clock, basis, asked, start, false).best {
            Sought::Reached(held) => {
                return Highest {
                    confidence,
                    is_had: true,
                    held: *held,
                };
            }
            Sought::Surest(held) => {
                let less = ((confidence * THOUSAND).round() - 1.0) / THOUSAND;
                confidence = wish.to_be_had(&held).min(less);
            }
        }
    }
    Highest {
        confidence: wish.to_be_had(&surest),
        is_had: false,
        held: surest,
    }
}

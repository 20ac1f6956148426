//! The cheapest recipe whose limits pass at one laboratory's test with a confidence.
//!
//! Either each limit passes with that probability (the decision rule of ASTM D3244 and ISO 4259), or
//! all of them together. Recipes are walked to from several beginnings (`seek`), guards, scatter and all;
//! the best recipe within the guards of the best of them, proved over the shelf, is one more beginning.
//! What every recipe costs at least is proved over the shelf with the guards that every recipe needs
//! (`floor`).

use crate::declare::problem::Problem;
use crate::predict::chance;
use crate::solve::answer::Answer;
use crate::solve::answer::ProofKind;
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
use crate::study::worth;
use crate::study::worth::Worth;

/// Recipes whose guards are searched over the whole shelf, at most.
const SEARCHES: usize = 3;

/// Regions of a proof that the guards of the surest recipe leave none: most are short.
const NODES: usize = 5000;

/// A recipe this close to what none betters, relative, is the best one: the draws are no finer.
const CLOSED: f64 = 2e-4;

/// The answer.
#[derive(Debug, Clone)]
pub struct Confident {
    /// What was asked.
    pub wish: Wish,
    /// 1 where less of the goal is better, −1 where more is.
    sign: f64,
    /// The best recipe without a confidence.
    pub plain: Answer,
    /// What came of it.
    pub outcome: Outcome,
    /// What knowing one thing exactly is worth, the most first.
    pub worth: Vec<Worth>,
    /// Whether time ran out.
    pub hurried: bool,
}

/// What came of it.
#[derive(Debug, Clone)]
pub enum Outcome {
    /// A recipe that passes as often as asked. What is proved of it is of all recipes that do.
    Reached(Box<Held>),
    /// None was found.
    NotReached {
        /// Guards that leave no recipe, where there are such.
        refused: Option<Box<Refused>>,
        /// The recipe with the highest confidence that was found.
        highest: Box<Held>,
    },
    /// Even without a confidence there is no recipe, or none was found.
    NoRecipe,
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

/// Finds it.
#[must_use]
pub fn confident(problem: &Problem, wish: Wish, budget: &Budget) -> Confident {
    let clock = Clock::start(budget);
    let plain = search::cheapest(problem, &clock.left());
    let basis = Basis {
        problem,
        known: None,
        draws: wish.draws,
        clock: &clock,
    };
    let unguarded = vec![0.0; problem.limits.len()];
    let outcome = match Held::of(basis, &plain, &unguarded) {
        Some(start) => reach(basis, wish, &start),
        None => Outcome::NoRecipe,
    };
    let worth = match &outcome {
        Outcome::Reached(held) if wish.worth => worth::of(basis, wish, held, true),
        Outcome::NotReached { highest, .. } if wish.worth => worth::of(basis, wish, highest, false),
        _ => Vec::new(),
    };
    Confident {
        wish,
        sign: basis.sign(),
        plain,
        outcome,
        worth,
        hurried: clock.is_over(),
    }
}

/// The best recipe that passes as often as asked, from one that meets the limits as stated.
fn reach(basis: Basis, wish: Wish, start: &Held) -> Outcome {
    if basis.clock.left().demand.grid.is_none() {
        return reach_off_grid(basis, wish, start);
    }
    let off = Basis {
        clock: &basis.clock.off_grid(),
        ..basis
    };
    let found = reach_off_grid(off, wish, start);
    let (Outcome::Reached(held) | Outcome::NotReached { highest: held, .. }) = &found else {
        return found;
    };
    match (round::onto(basis, wish, held), &found) {
        (Some(Sought::Reached(on)), Outcome::Reached(off)) => {
            let bound = off.answer.proof.bound;
            Outcome::Reached(Box::new(Held {
                guards: guard::own(basis, wish, &on),
                answer: beside(basis, &on.answer, bound, off.answer.outcome()),
                ..*on
            }))
        }
        (Some(Sought::Reached(on)), _) => Outcome::Reached(on),
        (Some(Sought::Surest(highest)), Outcome::NotReached { refused, .. }) => {
            Outcome::NotReached {
                refused: refused.clone(),
                highest,
            }
        }
        (Some(Sought::Surest(highest)), _) => Outcome::NotReached {
            refused: None,
            highest,
        },
        (None, _) => Outcome::NotReached {
            refused: None,
            highest: Box::new(start.clone()),
        },
    }
}

/// The same where treat rates keep to no grid.
fn reach_off_grid(basis: Basis, wish: Wish, start: &Held) -> Outcome {
    let mut found = seek::seek(basis, wish, start);
    let least = guarded(basis, &floor::guards(basis.problem, wish));
    if least.outcome() == Status::NoRecipe {
        return Outcome::NotReached {
            refused: Some(Box::new(Refused {
                guards: floor::guards(basis.problem, wish),
                answer: least,
                by_every: true,
            })),
            highest: cheaper(basis, wish, Box::new(found.held().clone())),
        };
    }
    found = onward(basis, wish, found, &least);
    let mut refused = None;
    for _ in 0..SEARCHES {
        if basis.clock.is_over() {
            break;
        }
        let guards = guard::lacking(basis, wish, found.held());
        let answer = match &found {
            Sought::Reached(_) => guard::within(basis, &guards),
            Sought::Surest(_) => search::cheapest(
                &guard::guarded(basis.problem, &guards),
                &Budget {
                    nodes: NODES.min(basis.clock.left().nodes),
                    ..basis.clock.left()
                },
            ),
        };
        if answer.outcome() == Status::NoRecipe {
            refused = Some(Box::new(Refused {
                guards,
                answer,
                by_every: false,
            }));
            break;
        }
        let next = onward(basis, wish, found.clone(), &answer);
        let gained = seek::is_better(basis, wish, next.held(), found.held());
        found = next;
        if !gained {
            break;
        }
    }
    match found {
        Sought::Reached(held) => Outcome::Reached(Box::new(Held {
            guards: guard::own(basis, wish, &held),
            answer: beside(basis, &held.answer, least.proof.bound, least.outcome()),
            ..*held
        })),
        Sought::Surest(highest) => Outcome::NotReached {
            refused,
            highest: cheaper(basis, wish, highest),
        },
    }
}

/// The best recipe nearby that can be told to be as sure as the surest: the last thousandth is dear.
fn cheaper(basis: Basis, wish: Wish, highest: Box<Held>) -> Box<Held> {
    let told = wish.to_be_had(&highest);
    let least = told + 2.0 * chance::short(told);
    if told <= 0.0 || least >= wish.reached(&highest) {
        return highest;
    }
    let as_sure = Wish {
        confidence: least,
        ..wish
    };
    match walk::on(basis, as_sure, &highest) {
        Sought::Reached(held) => held,
        Sought::Surest(_) => highest,
    }
}

/// The best recipe within guards, over the whole shelf.
fn guarded(basis: Basis, guards: &[f64]) -> Answer {
    search::cheapest(&guard::guarded(basis.problem, guards), &basis.clock.left())
}

/// The better of what was found and what a walk from another recipe finds.
fn onward(basis: Basis, wish: Wish, found: Sought, other: &Answer) -> Sought {
    match seek::from(basis, wish, other, found.held()) {
        Some(other) => seek::better(basis, wish, found, other),
        None => found,
    }
}

/// An answer with what is proved of all recipes that pass as often: none betters the best within the guards
/// that each of them needs.
fn beside(basis: Basis, answer: &Answer, bound: Option<f64>, least: Status) -> Answer {
    let mut answer = answer.clone();
    answer.status = Status::Feasible;
    answer.proof.kind = ProofKind::Local;
    answer.proof.words = "the best that was found; that none is better is not proved".into();
    answer.proof.bound = None;
    answer.proof.gap = None;
    let (Some(value), Some(bound)) = (answer.objective, bound) else {
        return answer;
    };
    let sign = basis.sign();
    let apart = ((value - bound) * sign).max(0.0);
    let gap = apart / value.abs().max(f64::MIN_POSITIVE);
    answer.proof.bound = Some(value - sign * apart);
    answer.proof.gap = Some(gap);
    answer.proof.words =
        "the best that was found; the bound is that of recipes with the guards that \
                          every recipe needs, for tests and models scatter whatever is blended"
            .into();
    if least == Status::Optimal && gap <= CLOSED {
        answer.status = Status::Optimal;
        answer.proof.kind = ProofKind::Certified;
    }
    answer
}

impl Confident {
    /// The outcome as a status of a search.
    #[must_use]
    pub fn status(&self) -> Status {
        match &self.outcome {
            Outcome::Reached(held) => held.answer.outcome(),
            Outcome::NotReached {
                refused: Some(refused),
                ..
            } if refused.by_every => Status::NoRecipe,
            Outcome::NotReached { .. } => Status::Undecided,
            Outcome::NoRecipe => self.plain.outcome(),
        }
    }

    /// The recipe that was found: as asked, or with the highest confidence.
    #[must_use]
    pub fn held(&self) -> Option<&Held> {
        match &self.outcome {
            Outcome::Reached(held) => Some(held),
            Outcome::NotReached { highest, .. } => Some(highest),
            Outcome::NoRecipe => None,
        }
    }

    /// How much worse the goal is than without a confidence, in its unit: below 0 only within the gap
    /// of the proofs.
    #[must_use]
    pub fn dearer(&self) -> Option<f64> {
        let held = self.held()?.value()?;
        Some((held - self.plain.objective?) * self.sign)
    }
}

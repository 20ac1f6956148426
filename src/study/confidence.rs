//! The cheapest recipe whose limits pass at one laboratory's test with a confidence.
//!
//! Either each limit passes with that probability (the decision rule of ASTM D3244 and ISO 4259), or
//! all of them together. Recipes are walked to from several beginnings (`seek`), guards, scatter and all;
//! the best recipe within the guards of the best of them is one more beginning. What every recipe costs at
//! least is proved over the shelf with the guards that every recipe needs (`floor`).

use crate::declare::problem::Problem;
use crate::predict::chance;
use crate::solve::answer::Answer;
use crate::solve::answer::Proof;
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

/// Recipes whose own guards are searched, at most.
const SEARCHES: usize = 3;

/// Regions of a proof that the guards of the surest recipe leave none: most are short.
const NODES: usize = 5000;

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
    /// Whether time ran out before the search was over.
    pub hurried: bool,
}

/// What came of it.
#[derive(Debug, Clone)]
pub enum Outcome {
    /// A recipe that passes as often as asked; its proof is of all recipes that do.
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
    // Off the balance's grid, where small steps tell; no recipe on it is better.
    let off = Basis {
        clock: &clock.off_grid(),
        ..basis
    };
    let found = Held::of(basis, &plain).map(|start| reach(basis, off, wish, start));
    let hurried = clock.is_over();
    let worth = match &found {
        Some((Outcome::Reached(held), around)) if wish.worth => {
            worth::of(off, wish, (held, true), around)
        }
        Some((Outcome::NotReached { highest, .. }, around)) if wish.worth => {
            worth::of(off, wish, (highest, false), around)
        }
        _ => Vec::new(),
    };
    let outcome = found.map_or(Outcome::NoRecipe, |(outcome, _)| outcome);
    Confident {
        wish,
        sign: basis.sign(),
        plain,
        outcome,
        worth,
        hurried,
    }
}

/// The best recipe that passes as often as asked, from the best one that meets the limits as stated; and the
/// same off the grid.
fn reach(basis: Basis, off: Basis, wish: Wish, start: Held) -> (Outcome, Held) {
    if wish.is_reached(&start) {
        // None is better even without a guard.
        return (Outcome::Reached(Box::new(start.clone())), start);
    }
    let mut found = seek::seek(off, wish, &start);
    let guards = floor::guards(basis.problem, wish);
    let least = guarded(off, &guards, &off.clock.left());
    let mut refused = None;
    if least.outcome() == Status::NoRecipe {
        refused = Some(Refused {
            guards,
            answer: least.clone(),
            by_every: true,
        });
    }
    if refused.is_none() {
        found = onward(off, wish, found, &least);
        (found, refused) = within_its_own(off, wish, found);
    }
    if let Sought::Surest(highest) = found {
        found = Sought::Surest(cheaper(off, wish, highest));
    }
    let around = found.held().clone();
    if basis.clock.left().demand.grid.is_some() {
        found = round::onto(basis, wish, found.held())
            .unwrap_or_else(|| Sought::Surest(Box::new(start)));
    }
    let outcome = match found {
        Sought::Reached(held) => Outcome::Reached(Box::new(Held {
            answer: beside(basis, &held.answer, least.proof.bound),
            ..*held
        })),
        Sought::Surest(highest) => Outcome::NotReached {
            refused: refused.map(Box::new),
            highest,
        },
    };
    (outcome, around)
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
            return (found, Some(refused));
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

/// The best recipe nearby that can be told to be as sure as the surest: the last thousandth is dear.
fn cheaper(basis: Basis, wish: Wish, highest: Box<Held>) -> Box<Held> {
    let told = wish.to_be_had(&highest);
    if told <= 0.0 {
        return highest;
    }
    let as_sure = Wish {
        confidence: (told + chance::short(told)).min(wish.reached(&highest)),
        ..wish
    };
    match walk::walk(basis, as_sure, &highest) {
        Sought::Reached(held) if wish.reached(&held) >= told => held,
        _ => highest,
    }
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

/// An answer with what is known of all recipes that pass as often: none betters the best within the guards that
/// each of them needs.
fn beside(basis: Basis, answer: &Answer, bound: Option<f64>) -> Answer {
    let sign = basis.sign();
    let known = answer.objective.zip(bound).map(|(value, bound)| {
        let apart = ((value - bound) * sign).max(0.0);
        let gap = apart / value.abs().max(f64::MIN_POSITIVE);
        (value - sign * apart, gap)
    });
    let words = if known.is_some() {
        "the best that was found; the bound is that of recipes with the guards that every recipe needs, for \
         tests and models scatter whatever is blended"
    } else {
        "the best that was found; that none is better is not proved"
    };
    Answer {
        status: Status::Feasible,
        proof: Proof {
            kind: ProofKind::Local,
            bound: known.map(|(bound, _)| bound),
            gap: known.map(|(_, gap)| gap),
            words: words.into(),
        },
        ..answer.clone()
    }
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

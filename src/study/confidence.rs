//! The cheapest recipe whose limits pass at one laboratory's test with a confidence.
//!
//! Either each limit passes with that probability (the decision rule of ASTM D3244 and ISO 4259), or
//! all of them together (`sure`).

use crate::declare::problem::Problem;
use crate::solve::answer::Answer;
use crate::solve::answer::Proof;
use crate::solve::answer::ProofKind;
use crate::solve::answer::Status;
use crate::solve::search;
use crate::solve::search::Budget;
use crate::study::clock::Clock;
use crate::study::held::Basis;
use crate::study::held::Held;
use crate::study::sure;
use crate::study::sure::Highest;
use crate::study::sure::Refused;
use crate::study::walk::Sought;
use crate::study::wish::Wish;
use crate::study::worth;
use crate::study::worth::Worth;

/// A value that betters what is proved of all recipes by more than this part of it refutes that: the proof is to
/// first order in the figures' errors.
const REFUTED: f64 = 1e-6;

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
    /// Whether the recipe is on a balance's grid: knowledge is told off it.
    pub gridded: bool,
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
        /// The highest confidence that was found, with its recipe.
        highest: Box<Highest>,
        /// What it costs off the balance's grid, where it is had there.
        off_grid: Option<f64>,
    },
    /// Even without a confidence there is no recipe, or none was found.
    NoRecipe,
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
    let mut hurried = clock.is_over();
    let mut worth = Vec::new();
    let mut outcome = Outcome::NoRecipe;
    if let Some(start) = Held::of(basis, &plain) {
        let (came, around) = reach(basis, wish, start);
        hurried = clock.is_over();
        let held = came.held().zip(around.as_ref()).filter(|_| wish.worth);
        if let Some((held, around)) = held {
            let reached = matches!(came, Outcome::Reached(_));
            let off = clock.off_grid();
            let off = Basis {
                clock: &off,
                ..basis
            };
            worth = worth::of(off, wish, (held, reached), around);
        }
        outcome = came;
    }
    Confident {
        wish,
        sign: basis.sign(),
        plain,
        outcome,
        worth,
        gridded: budget.demand.grid.is_some(),
        hurried,
    }
}

/// The best recipe that passes as often as asked, from the best one that meets the limits as stated; and the
/// one off the grid whose cost knowing something would lessen, where there is one to compare with.
fn reach(basis: Basis, wish: Wish, start: Held) -> (Outcome, Option<Held>) {
    if wish.is_reached(&start) {
        // None is better even without a guard.
        let around = around(basis, wish, &start);
        return (Outcome::Reached(Box::new(start)), around);
    }
    let found = sure::found(basis.clock, basis, wish, &start, true);
    let reached = |sought: &Sought| matches!(sought, Sought::Reached(_));
    let off_grid = reached(&found.off) && !reached(&found.best);
    // What there was no time for is no matter of the grid.
    let told = off_grid && !basis.clock.is_over();
    let off = found.off.held().clone();
    let outcome = match found.best {
        Sought::Reached(held) => Outcome::Reached(Box::new(Held {
            answer: beside(basis, wish, &held.answer, found.bound),
            ..*held
        })),
        Sought::Surest(surest) => Outcome::NotReached {
            refused: found.refused.map(Box::new),
            highest: Box::new(sure::highest(basis.clock, basis, wish, &start, *surest)),
            off_grid: told.then(|| off.value()).flatten(),
        },
    };
    (outcome, (!off_grid).then_some(off))
}

/// Off the grid, the best recipe that is sure enough, where the best one on it is so without a guard.
fn around(basis: Basis, wish: Wish, start: &Held) -> Option<Held> {
    if basis.clock.left().demand.grid.is_none() {
        return Some(start.clone());
    }
    if !wish.worth {
        return None;
    }
    let off = Basis {
        clock: &basis.clock.off_grid(),
        ..basis
    };
    let plain = search::cheapest(basis.problem, &off.clock.left());
    let plain = Held::of(off, &plain)?;
    if wish.is_reached(&plain) {
        return Some(plain);
    }
    match sure::found(off.clock, off, wish, &plain, true).best {
        Sought::Reached(held) => Some(*held),
        Sought::Surest(_) => None,
    }
}

/// An answer with what is known of all recipes that pass as often: none betters the best within the guards that
/// each of them needs.
fn beside(basis: Basis, wish: Wish, answer: &Answer, bound: Option<f64>) -> Answer {
    let sign = basis.sign();
    let known = answer.objective.zip(bound).and_then(|(value, bound)| {
        let size = value.abs().max(f64::MIN_POSITIVE);
        let gap = (value - bound) * sign / size;
        (gap >= -REFUTED).then_some((bound, gap.max(0.0)))
    });
    let words = if known.is_none() {
        "the best that was found; that none is better is not proved"
    } else if wish.is_even() {
        "the best that was found; the bound is that of recipes with the guards that every recipe needs, for \
         tests and models scatter whatever is blended, to first order in the errors of the figures"
    } else {
        "the best that was found; the bound is that of recipes predicted to meet every limit: others may pass as \
         often where less than half is asked"
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

impl Outcome {
    /// The recipe that was found: as asked, or with the highest confidence.
    #[must_use]
    pub fn held(&self) -> Option<&Held> {
        match self {
            Outcome::Reached(held) => Some(held),
            Outcome::NotReached { highest, .. } => Some(&highest.held),
            Outcome::NoRecipe => None,
        }
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
        self.outcome.held()
    }

    /// How much worse the goal is than without a confidence, in its unit: below 0 only within the gap
    /// of the proofs.
    #[must_use]
    pub fn dearer(&self) -> Option<f64> {
        let held = self.held()?.value()?;
        Some((held - self.plain.objective?) * self.sign)
    }
}

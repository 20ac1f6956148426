//! The cheapest recipe whose limits pass at one laboratory's test with a confidence.
//!
//! Either each limit passes with that probability (the decision rule of ASTM D3244 and ISO 4259), or
//! all of them together. A recipe is the best one within guards that its own draws ask for; guards are
//! taken as fixed while it is sought, so a recipe with a smaller scatter of its own is not sought for
//! that scatter's sake. All together pass with guards under which no limit is surer than another: how
//! the failures would best be shared among the limits is not sought either.

use crate::declare::problem::Problem;
use crate::predict::chance;
use crate::solve::answer::Answer;
use crate::solve::answer::Status;
use crate::solve::search;
use crate::solve::search::Budget;
use crate::standard::normal;
use crate::study::clock::Clock;
use crate::study::guard;
use crate::study::guard::Basis;
use crate::study::guard::Certify;
use crate::study::guard::Held;
use crate::study::guard::Settled;
use crate::study::worth;
use crate::study::worth::Worth;

/// Steps of a search for a confidence.
const STEPS: usize = 14;

/// Two confidences are one when their normal quantiles are this close: 0.05 % of a chance at 95 %.
const CLOSE: f64 = 0.005;

/// All limits together may pass this much more often than asked: the search for the cheapest stops.
const MORE: f64 = 1e-3;

/// What is asked of the limits.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Wish {
    /// How often, above 0 and below 1.
    pub confidence: f64,
    /// Whether all limits together, instead of each.
    pub together: bool,
    /// How many draws.
    pub draws: usize,
    /// Whether to find out what is worth measuring first.
    pub worth: bool,
}

impl Wish {
    /// What a recipe reaches of what is asked: the least chance, or that of all together.
    #[must_use]
    pub fn reached(&self, held: &Held) -> f64 {
        let chances = &held.sample.chances;
        if self.together {
            chances.together.part
        } else {
            chances.least()
        }
    }

    /// Whether that is as much as is asked.
    fn is_reached(&self, held: &Held) -> bool {
        chance::is_enough(self.reached(held), self.confidence)
    }
}

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
}

/// What came of it.
#[derive(Debug, Clone)]
pub enum Outcome {
    /// A recipe that passes as often as asked.
    Reached(Box<Held>),
    /// No recipe within the guards.
    NotReached {
        /// The guards with which there is none.
        guards: Vec<f64>,
        /// The refusal.
        answer: Box<Answer>,
        /// The recipe with the highest confidence that was found.
        highest: Box<Held>,
    },
    /// Even without a confidence there is no recipe, or none was found.
    NoRecipe,
    /// No guards were found that agree with the draws.
    Undecided,
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
        certify: Certify::Recipes,
    };
    let unguarded = vec![0.0; problem.limits.len()];
    let Some(start) = Held::of(basis, &plain, &unguarded, EVEN) else {
        return Confident {
            wish,
            sign: basis.sign(),
            plain,
            outcome: Outcome::NoRecipe,
            worth: Vec::new(),
        };
    };
    let outcome = reach(basis, wish, start, wish.confidence);
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
    }
}

/// The confidence that a recipe on its limits has.
const EVEN: f64 = 0.5;

/// The best recipe that passes as often as asked, beginning with the guards of a recipe that meets the
/// limits as stated, and each limit to pass with a first probability.
fn reach(basis: Basis, wish: Wish, start: Held, first: f64) -> Outcome {
    match attempt(basis, wish, &start, first) {
        Ok(outcome) => outcome,
        Err(_) => highest(basis, wish, start, first),
    }
}

/// Guards with which there is no recipe, and the refusal.
type Refused = (Vec<f64>, Box<Answer>);

/// The best recipe that passes as often as asked, from the guards of a recipe, each limit to pass with a
/// first probability.
///
/// # Errors
/// Where already the guards of that probability leave no recipe.
pub fn attempt(basis: Basis, wish: Wish, start: &Held, first: f64) -> Result<Outcome, Refused> {
    let from = start.sample.guards(basis.problem, first);
    // All together takes several guards; only the last recipe is proved.
    let sought = Basis {
        certify: if wish.together {
            basis.certify.for_none()
        } else {
            basis.certify
        },
        ..basis
    };
    let found = match guard::settle(sought, first, &from) {
        Settled::Held(held) if enough(wish, &held) => Outcome::Reached(held),
        Settled::Held(held) if wish.together => between(sought, wish, *held),
        Settled::Held(_) | Settled::Undecided => Outcome::Undecided,
        Settled::None { guards, answer } => return Err((guards, answer)),
    };
    Ok(match found {
        Outcome::Reached(held) if wish.together => proved(basis, wish, held),
        found => found,
    })
}

/// The best recipe within the guards that were found, proved where that is wanted.
fn proved(basis: Basis, wish: Wish, held: Box<Held>) -> Outcome {
    if basis.certify == Certify::Nothing {
        return Outcome::Reached(held);
    }
    match guard::settle(basis, held.each, &held.guards) {
        Settled::Held(again) if wish.is_reached(&again) => Outcome::Reached(again),
        _ => Outcome::Undecided,
    }
}

/// Whether a recipe passes as often as asked, and not needlessly more.
fn enough(wish: Wish, held: &Held) -> bool {
    let reached = wish.reached(held);
    if wish.together {
        let even = held.each <= wish.confidence + chance::short(wish.confidence);
        wish.is_reached(held) && (even || reached <= wish.confidence + more(wish))
    } else {
        // That each does was seen when the guards settled.
        true
    }
}

fn more(wish: Wish) -> f64 {
    MORE.min((1.0 - wish.confidence) / 10.0)
}

/// Each limit's probability at which all pass together as often as asked: at least the confidence
/// itself, at most what leaves the failures of all limits no more than allowed when no two coincide.
fn between(basis: Basis, wish: Wish, first: Held) -> Outcome {
    let drawn = first.sample.chances.limits.iter().filter(|l| l.drawn);
    let count = f64::from(u32::try_from(drawn.count()).unwrap_or(u32::MAX)).max(1.0);
    let asked = normal::quantile(wish.confidence);
    let mut low = (normal::quantile(first.each), first);
    let mut high = normal::quantile(1.0 - (1.0 - wish.confidence) / count) + CLOSE;
    let mut safe: Option<Held> = None;
    let mut refused: Option<Refused> = None;
    if wish.reached(&low.1) > wish.confidence {
        // Began too high: as often as asked is the least that each limit must pass.
        let from = low.1.sample.guards(basis.problem, wish.confidence);
        let Settled::Held(least) = guard::settle(basis, wish.confidence, &from) else {
            return Outcome::Reached(Box::new(low.1));
        };
        if enough(wish, &least) {
            return Outcome::Reached(least);
        }
        high = low.0;
        safe = Some(std::mem::replace(&mut low.1, *least));
        low.0 = asked;
    }
    for _ in 0..STEPS {
        if high - low.0 < CLOSE {
            break;
        }
        // Quantiles of one and of all move about alike: first try as much more as is missing.
        let missing = asked - normal::quantile(wish.reached(&low.1).clamp(1e-9, 1.0 - 1e-9));
        let next = low.0 + missing.max(CLOSE);
        let next = if next < high - CLOSE / 2.0 {
            next
        } else {
            f64::midpoint(low.0, high)
        };
        let each = normal::below(next);
        let from = low.1.sample.guards(basis.problem, each);
        match guard::settle(basis, each, &from) {
            Settled::Held(held) if enough(wish, &held) => return Outcome::Reached(held),
            Settled::Held(held) if wish.is_reached(&held) => {
                high = next;
                safe = Some(*held);
            }
            Settled::Held(held) => low = (next, *held),
            Settled::None { guards, answer } => {
                high = next;
                refused = Some((guards, answer));
            }
            Settled::Undecided => high = next,
        }
    }
    match (safe, refused) {
        (Some(held), _) => Outcome::Reached(Box::new(held)),
        (None, Some((guards, answer))) => Outcome::NotReached {
            guards,
            answer,
            highest: Box::new(low.1),
        },
        (None, None) => Outcome::Undecided,
    }
}

/// The highest probability of each limit that some recipe has, by halving; then what was refused once
/// more with the guards of that recipe.
fn highest(basis: Basis, wish: Wish, start: Held, refused: f64) -> Outcome {
    let (mut low, mut high) = (
        normal::quantile(EVEN.min(refused)),
        normal::quantile(refused),
    );
    let mut best = start;
    let nearby = Basis {
        certify: Certify::Nothing,
        ..basis
    };
    for _ in 0..STEPS {
        if high - low < CLOSE {
            break;
        }
        let next = f64::midpoint(low, high);
        let each = normal::below(next);
        let from = best.sample.guards(basis.problem, each);
        match guard::settle(nearby, each, &from) {
            Settled::Held(held) => {
                low = next;
                best = *held;
            }
            Settled::None { .. } | Settled::Undecided => high = next,
        }
    }
    let surely = Basis {
        certify: Certify::All,
        ..basis
    };
    match attempt(surely, wish, &best, refused) {
        Ok(outcome) => outcome,
        Err((guards, answer)) => Outcome::NotReached {
            guards,
            answer,
            highest: Box::new(best),
        },
    }
}

impl Confident {
    /// The outcome as a status of a search.
    #[must_use]
    pub fn status(&self) -> Status {
        match &self.outcome {
            Outcome::Reached(held) => held.answer.outcome(),
            Outcome::NotReached { .. } => Status::NoRecipe,
            Outcome::NoRecipe => self.plain.outcome(),
            Outcome::Undecided => Status::Undecided,
        }
    }

    /// The recipe that was found: as asked, or with the highest confidence.
    #[must_use]
    pub fn held(&self) -> Option<&Held> {
        match &self.outcome {
            Outcome::Reached(held) => Some(held),
            Outcome::NotReached { highest, .. } => Some(highest),
            Outcome::NoRecipe | Outcome::Undecided => None,
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

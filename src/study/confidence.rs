//! The cheapest recipe whose limits pass at one laboratory's test with a confidence.
//!
//! Either each limit passes with that probability (the decision rule of ASTM D3244 and ISO 4259), or
//! all of them together. A recipe is the best one within guards that its own draws ask for. For each limit
//! guards are taken as fixed while it is sought, so a recipe with a smaller scatter of its own is not
//! sought for that scatter's sake. All together pass with guards that share the failures among the limits
//! as is best nearby, scatter and all (`joint`); no proof says that they could not be shared better far
//! away.

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
use crate::study::joint;
use crate::study::joint::Sought;
use crate::study::worth;
use crate::study::worth::Worth;

/// Steps of a search for a confidence.
const STEPS: usize = 14;

/// Two confidences are one when their normal quantiles are this close: 0.05 % of a chance at 95 %.
const CLOSE: f64 = 0.005;

/// Recipes that are proved within their guards, at most, until one passes as often as asked.
const PROOFS: usize = 4;

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
    #[must_use]
    pub fn is_reached(&self, held: &Held) -> bool {
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
    let outcome = reach(basis, wish, start);
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
/// limits as stated.
fn reach(basis: Basis, wish: Wish, start: Held) -> Outcome {
    if wish.together {
        return all_together(basis, wish, &start);
    }
    match each(basis, wish.confidence, &start) {
        Ok(outcome) => outcome,
        Err(_) => highest(basis, wish.confidence, start),
    }
}

/// The goal's value of the best recipe nearby that passes as often as asked, from a recipe.
#[must_use]
pub fn nearby(basis: Basis, wish: Wish, start: &Held) -> Option<f64> {
    if wish.together {
        return match joint::seek(basis, wish, start) {
            Sought::Reached(held) => held.value(),
            Sought::Surest(_) => None,
        };
    }
    match each(basis, wish.confidence, start) {
        Ok(Outcome::Reached(held)) => held.value(),
        _ => None,
    }
}

/// Guards with which there is no recipe, and the refusal.
type Refused = (Vec<f64>, Box<Answer>);

/// The best recipe each of whose limits passes as often as asked, from the guards of a recipe.
///
/// # Errors
/// Where already the guards of that probability leave no recipe.
fn each(basis: Basis, confidence: f64, start: &Held) -> Result<Outcome, Refused> {
    let from = start.sample.guards(basis.problem, confidence);
    match guard::settle(basis, confidence, &from) {
        Settled::Held(held) => Ok(Outcome::Reached(held)),
        Settled::Undecided => Ok(Outcome::Undecided),
        Settled::None { guards, answer } => Err((guards, answer)),
    }
}

/// The best recipe all of whose limits pass together as often as asked: sought nearby, then proved within
/// its guards. Where a proof finds a better recipe in those guards that passes less often, the steps go on
/// from that one.
fn all_together(basis: Basis, wish: Wish, start: &Held) -> Outcome {
    let mut sought = joint::seek(basis, wish, start);
    let mut best: Option<Box<Held>> = None;
    for _ in 0..PROOFS {
        let held = match sought {
            Sought::Reached(held) => held,
            // A search that was cut short tells nothing of what there is.
            Sought::Surest(_) if best.is_some() || basis.clock.is_over() => break,
            Sought::Surest(highest) => match refused(basis, wish, highest) {
                Ok(again) => {
                    sought = joint::seek(basis, wish, &again);
                    continue;
                }
                Err(outcome) => return outcome,
            },
        };
        let better = |b: &Held| held.worth(basis.sign()) < b.worth(basis.sign());
        if !best.as_deref().is_none_or(better) {
            break;
        }
        let answer = search::cheapest(
            &guard::guarded(basis.problem, &held.guards),
            &basis.clock.left(),
        );
        let again = Held::of(basis, &answer, &held.guards, wish.confidence);
        best = Some(held);
        match again {
            Some(again) if wish.is_reached(&again) => return Outcome::Reached(Box::new(again)),
            Some(again) => sought = joint::seek(basis, wish, &again),
            None => break,
        }
    }
    best.map_or(Outcome::Undecided, Outcome::Reached)
}

/// That no recipe is within the guards that the surest one would need; the recipe that is, where one is
/// surer.
fn refused(basis: Basis, wish: Wish, highest: Box<Held>) -> Result<Held, Outcome> {
    let guards = joint::lacking(basis, wish, &highest);
    let answer = search::cheapest(&guard::guarded(basis.problem, &guards), &basis.clock.left());
    if answer.outcome() == Status::NoRecipe {
        return Err(Outcome::NotReached {
            guards,
            answer: Box::new(answer),
            highest,
        });
    }
    Held::of(basis, &answer, &guards, wish.confidence)
        .filter(|again| wish.reached(again) > wish.reached(&highest))
        .ok_or(Outcome::Undecided)
}

/// The highest probability of each limit that some recipe has, by halving; then what was refused once
/// more with the guards of that recipe.
fn highest(basis: Basis, refused: f64, start: Held) -> Outcome {
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
        let tried = normal::below(next);
        let from = best.sample.guards(basis.problem, tried);
        match guard::settle(nearby, tried, &from) {
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
    match each(surely, refused, &best) {
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
            // Guards are one way of sharing the failures: another may leave a recipe.
            Outcome::NotReached { .. } if self.wish.together => Status::Undecided,
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

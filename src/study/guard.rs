//! Guard bands: limits moved inwards until one laboratory's test of the recipe passes often enough.

use crate::declare::problem::Problem;
use crate::declare::problem::Sense;
use crate::declare::problem::Side;
use crate::declare::recipe::Recipe;
use crate::predict::cause::Causes;
use crate::predict::cause::Unknown;
use crate::predict::chance;
use crate::predict::chance::Sample;
use crate::predict::judge;
use crate::solve::answer::Answer;
use crate::solve::answer::Status;
use crate::solve::search;
use crate::solve::search::Budget;
use crate::study::clock::Clock;

/// Rounds of solving, drawing and guarding anew.
const ROUNDS: usize = 16;

/// Rounds after which a guard only widens: a recipe that changes to and fro between two sets of
/// components settles on the wider guards of both.
const FREE_ROUNDS: usize = 8;

/// A guard is wider than needed when it is so by this part of the standard deviation: at 95 % that is
/// 0.05 % of a chance.
const CLOSE: f64 = 0.005;

/// What the draws need beside a problem.
#[derive(Debug, Clone, Copy)]
pub struct Basis<'a> {
    /// The problem.
    pub problem: &'a Problem,
    /// What is taken as known exactly.
    pub known: Option<&'a Unknown>,
    /// How many draws.
    pub draws: usize,
    /// What may be spent.
    pub clock: &'a Clock,
    /// How much of it is to be proved over the whole shelf.
    pub certify: Certify,
}

/// What is proved over the whole shelf; the rest is sought nearby, from several starts.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Certify {
    /// Nothing.
    Nothing,
    /// That a recipe is the best one.
    Recipes,
    /// Both.
    All,
}

/// Starts of a search that is not proved.
const STARTS: usize = 3;

/// Regions of a search that is not proved: recipe logic is decided by looking at some.
const NODES: usize = 2000;

impl Basis<'_> {
    /// 1 where less of the goal is better, −1 where more is.
    #[must_use]
    pub fn sign(&self) -> f64 {
        match self.problem.goal.sense {
            Sense::Minimise => 1.0,
            Sense::Maximise => -1.0,
        }
    }
}

/// A recipe with what was drawn of it.
#[derive(Debug, Clone)]
pub struct Held {
    /// How often each limit is to pass.
    pub each: f64,
    /// How far each limit was moved inwards, in its property's unit.
    pub guards: Vec<f64>,
    /// The best recipe within the guards, judged by the limits as stated.
    pub answer: Answer,
    /// The recipe.
    pub recipe: Recipe,
    /// The causes at it.
    pub causes: Causes,
    /// The draws.
    pub sample: Sample,
    /// Whether a tighter guard would have done somewhere: the recipe is safe but may cost too much.
    pub wide: bool,
}

impl Held {
    /// A recipe of an answer, drawn; `None` where it has none that meets every limit.
    #[must_use]
    pub fn of(basis: Basis, answer: &Answer, guards: &[f64], each: f64) -> Option<Self> {
        if !answer.outcome().has_recipe() {
            return None;
        }
        let recipe = answer.recipe.clone()?;
        let mut judgement = judge::judge(basis.problem, &recipe);
        let causes = Causes::of(basis.problem, &recipe);
        let causes = match basis.known {
            Some(known) => causes.without(known),
            None => causes,
        };
        let sample = Sample::of(basis.problem, &judgement, &causes, basis.draws);
        chance::tell(&mut judgement, &sample.chances);
        Some(Held {
            each,
            guards: guards.to_vec(),
            answer: Answer {
                judgement: Some(judgement),
                ..answer.clone()
            },
            recipe,
            causes,
            sample,
            wide: false,
        })
    }

    /// The goal's value.
    #[must_use]
    pub fn value(&self) -> Option<f64> {
        self.answer.objective
    }

    /// The same with a sign (`Basis::sign`), the less the better; infinite without a value.
    #[must_use]
    pub fn worth(&self, sign: f64) -> f64 {
        self.value().map_or(f64::INFINITY, |v| v * sign)
    }
}

/// What came of guarding.
#[derive(Debug, Clone)]
pub enum Settled {
    /// A recipe whose limits each pass as often as asked.
    Held(Box<Held>),
    /// The guarded limits leave no recipe.
    None {
        /// The guards.
        guards: Vec<f64>,
        /// The refusal, of the guarded problem: certified where that was to be proved.
        answer: Box<Answer>,
    },
    /// Neither.
    Undecided,
}

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

/// The best recipe whose limits each pass with a probability: guards, recipe, draws, guards anew, from
/// the guards given until they agree; then the proof, and further rounds where it finds a better recipe.
#[must_use]
pub fn settle(basis: Basis, each: f64, from: &[f64]) -> Settled {
    let mut guards = from.to_vec();
    let mut proving = false;
    for round in 0..ROUNDS {
        let answer = search::cheapest(&guarded(basis.problem, &guards), &budget(basis, proving));
        let held = Held::of(basis, &answer, &guards, each);
        let Some(held) = held else {
            if !proving && basis.certify == Certify::All {
                proving = true;
                continue;
            }
            return nothing(answer, guards, proving);
        };
        let needed = held.sample.guards(basis.problem, each);
        let close = !too_wide(&held, &answer, &needed);
        let last = round + 1 >= FREE_ROUNDS;
        if reaches(&held, each) && (close || last) {
            if proving || basis.certify == Certify::Nothing {
                return Settled::Held(Box::new(Held {
                    wide: !close,
                    ..held
                }));
            }
            proving = true;
            continue;
        }
        guards = if last {
            let wider = guards.iter().zip(&needed);
            wider.map(|(had, needs)| had.max(*needs)).collect()
        } else {
            needed
        };
    }
    Settled::Undecided
}

/// The best recipe within guards, nearby.
#[must_use]
pub fn within(basis: Basis, guards: &[f64]) -> Answer {
    search::cheapest(&guarded(basis.problem, guards), &budget(basis, false))
}

/// What a search may spend: on a proof, or nearby.
fn budget(basis: Basis, proving: bool) -> Budget {
    let left = basis.clock.left();
    if proving {
        return left;
    }
    Budget {
        proof: None,
        starts: STARTS.max(left.starts),
        nodes: NODES.min(left.nodes),
        ..left
    }
}

/// No recipe within guards: surely, or as far as was seen nearby.
fn nothing(answer: Answer, guards: Vec<f64>, proved: bool) -> Settled {
    if proved && answer.outcome() != Status::NoRecipe {
        return Settled::Undecided;
    }
    Settled::None {
        guards,
        answer: Box::new(answer),
    }
}

/// Whether every drawn limit passes as often as asked. Below one half, a recipe within the limits may
/// pass more often than asked, and is not pushed out of them.
fn reaches(held: &Held, each: f64) -> bool {
    let mut limits = held.sample.chances.limits.iter();
    limits.all(|l| !l.drawn || l.reaches(each))
}

/// Whether a guard that holds the recipe is wider than it must be.
fn too_wide(held: &Held, guarded: &Answer, needed: &[f64]) -> bool {
    let Some(judgement) = &guarded.judgement else {
        return false;
    };
    let limits = needed.iter().zip(&held.guards).zip(&judgement.requirements);
    limits.into_iter().any(|((needs, had), judged)| {
        let sd = held
            .causes
            .place(&judged.property)
            .map_or(0.0, |k| held.causes.sd(k));
        judged.binding && had - needs > CLOSE * sd
    })
}

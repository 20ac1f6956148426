//! A recipe with what was drawn of it.

use crate::declare::problem::Problem;
use crate::declare::problem::Sense;
use crate::declare::recipe::Recipe;
use crate::predict::cause::Causes;
use crate::predict::cause::Unknown;
use crate::predict::chance;
use crate::predict::chance::Sample;
use crate::predict::judge;
use crate::solve::answer::Answer;
use crate::study::clock::Clock;

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
}

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
    /// The recipe as it was found, judged by the limits as stated.
    pub answer: Answer,
    /// The recipe.
    pub recipe: Recipe,
    /// The causes at it.
    pub causes: Causes,
    /// The draws.
    pub sample: Sample,
}

impl Held {
    /// A recipe of an answer, drawn; `None` where it has none that meets every limit.
    #[must_use]
    pub fn of(basis: Basis, answer: &Answer) -> Option<Self> {
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
            answer: Answer {
                objective: judgement.of(&basis.problem.goal.property).map(|p| p.value),
                judgement: Some(judgement),
                ..answer.clone()
            },
            recipe,
            causes,
            sample,
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

//! A problem beside its answer.

use crate::declare::problem::Problem;
use crate::declare::recipe::Recipe;
use crate::predict::judge;
use crate::predict::value::Judgement;
use crate::solve::answer::Answer;
use crate::solve::answer::Status;
use crate::solve::search;
use crate::solve::search::Budget;

/// A problem and what was found of it.
#[derive(Debug, Clone, PartialEq)]
pub struct Solved {
    /// The problem.
    pub problem: Problem,
    /// Its answer.
    pub answer: Answer,
}

impl Solved {
    /// The best recipe of a problem.
    #[must_use]
    pub fn of(problem: Problem, budget: &Budget) -> Self {
        let answer = search::cheapest(&problem, budget);
        Solved { problem, answer }
    }

    /// The recipe and its judgement, where it meets every limit.
    #[must_use]
    pub fn recipe(&self) -> Option<(&Recipe, &Judgement)> {
        let found = self.answer.outcome().has_recipe();
        let pair = self
            .answer
            .recipe
            .as_ref()
            .zip(self.answer.judgement.as_ref());
        pair.filter(|_| found)
    }

    /// Whether there is surely no recipe.
    #[must_use]
    pub fn none(&self) -> bool {
        self.answer.outcome() == Status::NoRecipe
    }

    /// The goal's value, where there is a recipe that meets every limit.
    #[must_use]
    pub fn value(&self) -> Option<f64> {
        self.answer.objective.filter(|_| self.recipe().is_some())
    }

    /// The same recipe, judged as one of another problem over the same components: with that
    /// problem's limits and goal.
    #[must_use]
    pub fn as_of(mut self, problem: &Problem) -> Self {
        if let Some(recipe) = &self.answer.recipe {
            let judgement = judge::judge(problem, recipe);
            self.answer.objective = judgement.of(&problem.goal.property).map(|p| p.value);
            self.answer.judgement = Some(judgement);
        }
        self.problem = problem.clone();
        self
    }
}

//! The whole answers.

use crate::declare::problem::Problem;
use crate::declare::recipe::Recipe;
use crate::predict::value::Judgement;
use crate::report::json::part;
use crate::report::json::shape;
use crate::report::warnings;
use crate::solve::answer::Answer;
use crate::solve::answer::ProofKind;
use crate::solve::answer::Status;
use serde::Serialize;

/// The answer of `solve`, ending in a line break.
///
/// # Errors
/// Where the writer of JSON fails; it has no reason to on these shapes.
pub fn solve(problem: &Problem, answer: &Answer) -> serde_json::Result<String> {
    let goal = &problem.goal.property;
    // A recipe that nobody judged is not printed.
    let judged = answer.recipe.as_ref().zip(answer.judgement.as_ref());
    text(&shape::Solve {
        schema: shape::SCHEMA,
        status: status(answer.outcome()),
        proof: proved(answer),
        objective: shape::Objective {
            name: goal.key(),
            value: judged.and(answer.objective),
            unit: problem.unit(goal).to_string(),
        },
        recipe: judged.map(|(recipe, _)| part::recipe(problem, recipe)),
        properties: judged.map(|(_, judgement)| part::properties(judgement)),
        limits: judged.map(|(_, judgement)| part::limits(judgement)),
        rules: judged.map(|(_, judgement)| part::rules(problem, judgement)),
        left_out: None,
        conflict: (answer.status == Status::NoRecipe)
            .then(|| part::conflict(problem, answer.conflict.iter().zip(&answer.needed))),
        alternatives: alternatives(problem, answer),
        warnings: part::warnings(&warnings::together(
            &answer.warnings,
            answer.judgement.as_ref(),
        )),
    })
}

/// What is proved.
#[must_use]
pub fn proved(answer: &Answer) -> shape::Proof {
    shape::Proof {
        kind: proof(answer.proof.kind),
        bound: answer.proof.bound,
        gap: answer.proof.gap,
        words: answer.proof.words.clone(),
    }
}

fn alternatives(problem: &Problem, answer: &Answer) -> Vec<shape::Alternative> {
    let alternative = |next: &Answer| {
        Some(shape::Alternative {
            status: status(next.outcome()),
            proof: proved(next),
            value: next.objective,
            apart: next
                .objective
                .zip(answer.objective)
                .map(|(v, best)| v - best),
            recipe: part::recipe(problem, next.recipe.as_ref()?),
        })
    };
    answer.alternatives.iter().filter_map(alternative).collect()
}

/// The answer of `predict`, ending in a line break.
///
/// # Errors
/// Where the writer of JSON fails; it has no reason to on these shapes.
pub fn predict(
    problem: &Problem,
    recipe: &Recipe,
    judgement: &Judgement,
) -> serde_json::Result<String> {
    text(&shape::Predict {
        schema: shape::SCHEMA,
        status: if judgement.passes() {
            "passes"
        } else {
            "fails"
        },
        recipe: part::recipe(problem, recipe),
        properties: part::properties(judgement),
        limits: part::limits(judgement),
        rules: part::rules(problem, judgement),
        warnings: part::warnings(&judgement.warnings),
    })
}

/// JSON as a text that ends in a line break.
///
/// # Errors
/// Where the writer of JSON fails.
pub fn text(answer: &impl Serialize) -> serde_json::Result<String> {
    serde_json::to_string_pretty(answer).map(|text| text + "\n")
}

/// The word for an outcome.
#[must_use]
pub fn status(status: Status) -> &'static str {
    match status {
        Status::Optimal => "optimal",
        Status::Feasible => "feasible",
        Status::NoRecipe => "no-recipe",
        Status::Undecided => "undecided",
    }
}

fn proof(kind: ProofKind) -> &'static str {
    match kind {
        ProofKind::Certified => "certified",
        ProofKind::Local => "local",
        ProofKind::None => "none",
    }
}

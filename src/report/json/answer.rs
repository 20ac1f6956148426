//! The whole answers.

use crate::declare::problem::Problem;
use crate::declare::recipe::Recipe;
use crate::predict::value::Judgement;
use crate::report::beside::Beside;
use crate::report::json::confidence;
use crate::report::json::contributions;
use crate::report::json::part;
use crate::report::json::shape;
use crate::report::json::why;
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
    solve_with(problem, answer, Beside::default())
}

/// The answer of `solve`, with what is told beside it.
///
/// # Errors
/// As [`solve`].
pub fn solve_with(
    problem: &Problem,
    answer: &Answer,
    beside: Beside,
) -> serde_json::Result<String> {
    let goal = &problem.goal.property;
    let market = beside.why.and_then(|w| w.market.as_ref());
    // A recipe that nobody judged is not printed.
    let judged = answer.recipe.as_ref().zip(answer.judgement.as_ref());
    text(&shape::Solve {
        schema: shape::SCHEMA,
        status: status(answer.outcome()),
        proof: match beside.confident {
            Some(confident) => confidence::within_guards(proved(answer), confident),
            None => proved(answer),
        },
        objective: shape::Objective {
            name: goal.key(),
            value: judged.and(answer.objective),
            unit: problem.unit(goal).to_string(),
        },
        recipe: judged.map(|(recipe, _)| part::recipe(problem, recipe)),
        properties: judged.map(|(_, judgement)| part::properties(judgement)),
        limits: judged.map(|(_, judgement)| part::limits(problem, judgement, beside.why)),
        rules: judged.map(|(_, judgement)| part::rules(problem, judgement)),
        contributions: judged
            .and(beside.origins)
            .map(|o| contributions::contributions(problem, o)),
        confidence: confidence::of(problem, beside),
        left_out: market.and_then(|m| why::left_out(problem, &m.left_out)),
        bought: market.and_then(|m| why::bought(problem, &m.purchases)),
        conflict: (answer.status == Status::NoRecipe).then(|| part::collision(problem, answer)),
        alternatives: alternatives(problem, answer),
        warnings: part::warnings(&warnings::together(
            &answer.warnings,
            answer.judgement.as_ref(),
        )),
    })
}

/// How much is proved.
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
    predict_with(problem, recipe, judgement, Beside::default())
}

/// The answer of `predict`, with where the properties come from.
///
/// # Errors
/// As [`predict`].
pub fn predict_with(
    problem: &Problem,
    recipe: &Recipe,
    judgement: &Judgement,
    beside: Beside,
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
        limits: part::limits(problem, judgement, None),
        rules: part::rules(problem, judgement),
        contributions: beside
            .origins
            .map(|o| contributions::contributions(problem, o)),
        confidence: confidence::of(problem, beside),
        warnings: part::warnings(&judgement.warnings),
    })
}

/// An answer as text, ending in a line break.
///
/// # Errors
/// Where the writer of JSON fails; it has no reason to on these shapes.
pub fn text(answer: &impl Serialize) -> serde_json::Result<String> {
    serde_json::to_string_pretty(answer).map(|text| text + "\n")
}

/// The word of an outcome.
#[must_use]
pub fn status(status: Status) -> &'static str {
    match status {
        Status::Optimal => "optimal",
        Status::Feasible => "feasible",
        Status::NoRecipe => "no-recipe",
        Status::Undecided => "undecided",
    }
}

/// The outcome of a word.
#[must_use]
pub fn status_of(word: &str) -> Option<Status> {
    [
        Status::Optimal,
        Status::Feasible,
        Status::NoRecipe,
        Status::Undecided,
    ]
    .into_iter()
    .find(|of| status(*of) == word)
}

fn proof(kind: ProofKind) -> &'static str {
    match kind {
        ProofKind::Certified => "certified",
        ProofKind::Local => "local",
        ProofKind::None => "none",
    }
}

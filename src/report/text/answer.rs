//! The sections of an answer, one below the other.

use crate::declare::problem::Problem;
use crate::declare::recipe::Recipe;
use crate::predict::value::Judgement;
use crate::predict::value::Warning;
use crate::report::table;
use crate::report::text::alternatives;
use crate::report::text::conflict;
use crate::report::text::headline;
use crate::report::text::limits;
use crate::report::text::notes;
use crate::report::text::properties;
use crate::report::text::recipe as recipe_table;
use crate::report::text::rules;
use crate::report::warnings;
use crate::solve::answer::Answer;
use crate::solve::answer::Status;

/// Where a refusal goes on.
const HINT: &str =
    "For the least that would have to give: `treatrate conflict` with the same file.";

/// The answer of `solve`.
#[must_use]
pub fn solve(problem: &Problem, answer: &Answer) -> String {
    let mut sections = vec![
        headline::solve(problem, answer),
        conflict::section(problem, &answer.conflict),
    ];
    let proof = headline::proof(problem, answer);
    if answer.outcome() == Status::NoRecipe && !proof.is_empty() {
        sections.push(table::paragraph(&proof));
        sections.push(table::paragraph(HINT));
    }
    let judged = answer.judgement.as_ref();
    let warnings = warnings::together(&answer.warnings, judged);
    match (&answer.recipe, judged) {
        (Some(recipe), Some(judgement)) => {
            sections.extend(judged_recipe(problem, recipe, judgement, &warnings));
            // Cautions close the page.
            sections.insert(sections.len() - 1, alternatives::section(problem, answer));
        }
        // A recipe that nobody judged is not printed.
        _ => sections.push(notes::warnings(&warnings)),
    }
    page(&sections)
}

/// The answer of `predict`.
#[must_use]
pub fn predict(problem: &Problem, recipe: &Recipe, judgement: &Judgement) -> String {
    let mut sections = vec![headline::predict(problem, judgement)];
    sections.extend(judged_recipe(
        problem,
        recipe,
        judgement,
        &judgement.warnings,
    ));
    page(&sections)
}

fn judged_recipe(
    problem: &Problem,
    recipe: &Recipe,
    judgement: &Judgement,
    warnings: &[Warning],
) -> [String; 7] {
    [
        recipe_table::section(problem, recipe),
        limits::section(judgement),
        rules::section(problem, judgement),
        properties::section(judgement),
        notes::estimated(problem, judgement),
        notes::warnings(warnings),
        notes::cautions(problem, recipe, warnings),
    ]
}

/// Sections with an empty line between them; empty ones are left out.
#[must_use]
pub fn page(sections: &[String]) -> String {
    let told: Vec<&str> = sections
        .iter()
        .map(String::as_str)
        .filter(|s| !s.is_empty())
        .collect();
    told.join("\n")
}

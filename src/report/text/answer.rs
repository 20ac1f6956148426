//! The sections of an answer, one below the other.

use crate::declare::problem::Problem;
use crate::declare::recipe::Recipe;
use crate::explain::why::Why;
use crate::predict::value::Judgement;
use crate::predict::value::Warning;
use crate::report::beside::Beside;
use crate::report::table;
use crate::report::text::alternatives;
use crate::report::text::chances;
use crate::report::text::confidence;
use crate::report::text::conflict;
use crate::report::text::contributions;
use crate::report::text::headline;
use crate::report::text::limits;
use crate::report::text::market;
use crate::report::text::notes;
use crate::report::text::prices;
use crate::report::text::properties;
use crate::report::text::recipe as recipe_table;
use crate::report::text::rules;
use crate::report::text::unsure;
use crate::report::warnings;
use crate::solve::answer::Answer;
use crate::solve::answer::Status;
use crate::study::confidence::Confident;

/// Where a refusal goes on.
const HINT: &str =
    "For the least that would have to give: `treatrate conflict` with the same file.";

/// The answer of `solve`.
#[must_use]
pub fn solve(problem: &Problem, answer: &Answer) -> String {
    solve_with(problem, answer, Beside::default())
}

/// The answer of `solve`, with what is told beside it.
#[must_use]
pub fn solve_with(problem: &Problem, answer: &Answer, beside: Beside) -> String {
    if let Some(confident) = beside.confident {
        return sure(problem, answer, confident, beside);
    }
    let mut sections = vec![
        headline::solve(problem, answer),
        conflict::section(problem, &answer.conflict),
    ];
    let proof = headline::proof(problem, answer);
    if answer.outcome() == Status::NoRecipe && !proof.is_empty() {
        sections.push(table::paragraph(&proof));
        // The balance's steps may be all that stands in the way, and `conflict` knows none.
        if !answer.conflict.is_empty() {
            sections.push(table::paragraph(HINT));
        }
    }
    let judged = answer.judgement.as_ref();
    let warnings = warnings::together(&answer.warnings, judged);
    match (&answer.recipe, judged) {
        (Some(recipe), Some(judgement)) => {
            sections.extend(judged_recipe(problem, recipe, judgement, &warnings, beside));
            // Cautions close the page.
            sections.insert(sections.len() - 1, alternatives::section(problem, answer));
        }
        // A recipe that nobody judged is not printed.
        _ => sections.push(notes::warnings(&warnings)),
    }
    page(&sections)
}

/// The answer of `solve` with a confidence.
fn sure(problem: &Problem, answer: &Answer, confident: &Confident, beside: Beside) -> String {
    let judged = answer.judgement.as_ref();
    let warnings = warnings::together(&answer.warnings, judged);
    let mut sections = vec![confidence::headline(problem, answer, confident)];
    if let (Some(recipe), Some(judgement)) = (&answer.recipe, judged) {
        sections.extend(judged_recipe(problem, recipe, judgement, &warnings, beside));
    } else {
        sections.extend(unsure::refusal(problem, confident));
        sections.push(notes::warnings(&warnings));
    }
    page(&sections)
}

/// The answer of `predict`.
#[must_use]
pub fn predict(problem: &Problem, recipe: &Recipe, judgement: &Judgement) -> String {
    predict_with(problem, recipe, judgement, Beside::default())
}

/// The answer of `predict`, with where the properties come from.
#[must_use]
pub fn predict_with(
    problem: &Problem,
    recipe: &Recipe,
    judgement: &Judgement,
    beside: Beside,
) -> String {
    let chance = beside.chances.and_then(|(drawn, _)| chances::times(drawn));
    // What was asked is answered first.
    let mut head = String::new();
    if let Some((drawn, Some(asked))) = beside.chances {
        head += &chances::verdict(problem, drawn, asked);
    }
    head += &headline::predict(problem, judgement, chance.as_deref());
    let mut sections = vec![head];
    sections.extend(judged_recipe(
        problem,
        recipe,
        judgement,
        &judgement.warnings,
        beside,
    ));
    page(&sections)
}

fn judged_recipe(
    problem: &Problem,
    recipe: &Recipe,
    judgement: &Judgement,
    warnings: &[Warning],
    beside: Beside,
) -> [String; 12] {
    let goal = judgement
        .of(&problem.goal.property)
        .map_or(0.0, |p| p.value);
    let why = |section: &dyn Fn(&Why) -> String| beside.why.map_or_else(String::new, section);
    [
        recipe_table::section(problem, recipe),
        limits::section(judgement),
        confidence::sections(problem, judgement, beside),
        beside
            .confident
            .map_or_else(String::new, |c| confidence::worth(problem, c)),
        why(&|w| prices::section(problem, judgement, goal, &w.prices)),
        why(&|w| market::section(problem, w.market.as_ref())),
        rules::section(problem, judgement),
        properties::section(judgement),
        beside
            .origins
            .map_or_else(String::new, |o| contributions::section(problem, o)),
        notes::estimated(problem, judgement),
        notes::warnings(warnings),
        notes::cautions(problem, recipe, warnings),
    ]
}

/// The sections that say something, a blank line between them.
#[must_use]
pub fn page(sections: &[String]) -> String {
    let told: Vec<&str> = sections
        .iter()
        .map(String::as_str)
        .filter(|s| !s.is_empty())
        .collect();
    told.join("\n")
}

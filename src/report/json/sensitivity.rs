//! The answer of `sweep --every-limit` and `--every-price`: shape and content.

use crate::declare::problem::Problem;
use crate::declare::problem::Side;
use crate::report::csv::sensitivity::status;
use crate::report::json::answer;
use crate::report::json::part;
use crate::report::json::shape;
use crate::report::json::solved;
use crate::report::text::sensitivity as text;
use crate::report::warnings;
use crate::study::sensitivity as study;
use crate::study::sensitivity::Effect;
use crate::study::sensitivity::What;
use serde::Serialize;

/// The answer.
#[derive(Debug, Serialize)]
pub struct Sensitivity {
    /// [`shape::SCHEMA`].
    pub schema: u32,
    /// `optimal`, `feasible`, `no-recipe` or `undecided`: of the problem as it is.
    pub status: &'static str,
    /// What is minimised or maximised.
    pub objective: shape::Objective,
    /// The best recipe as it is.
    pub base: solved::Solved,
    /// Every number that was moved, the greatest effect first, those without any last.
    pub rows: Vec<Row>,
    /// For `no-recipe`: requirements that cannot all hold.
    pub conflict: Option<Vec<shape::Party>>,
    /// What to be told beside the numbers.
    pub warnings: Vec<shape::Warning>,
}

/// A number moved both ways.
#[derive(Debug, Serialize)]
pub struct Row {
    /// `limit`, `count` or `price`.
    pub kind: &'static str,
    /// The property's key, `at-most`, or the component's id.
    pub moved: String,
    /// `min`, `max` or `exactly`; `null` for a price.
    pub side: Option<&'static str>,
    /// Who set it.
    pub source: String,
    /// Its number.
    pub from: f64,
    /// The unit of its numbers.
    pub unit: String,
    /// By how much it was asked to move.
    pub step: f64,
    /// `reproducibility`, `step` or `part`.
    pub step_is: &'static str,
    /// When it is lowered.
    pub lowered: Move,
    /// When it is raised.
    pub raised: Move,
}

/// A number moved one way.
#[derive(Debug, Serialize)]
pub struct Move {
    /// Where to.
    pub to: f64,
    /// `changes`, `nothing`, `no-recipe`, `open` (not settled) or `fixed` (it cannot be moved that way).
    pub status: &'static str,
    /// Change of the objective; `null` unless it `changes`, 0 for `nothing`.
    pub change: Option<f64>,
    /// The best recipe then; `null` unless it `changes`.
    pub recipe: Option<Vec<shape::Ingredient>>,
    /// For `no-recipe`: requirements that cannot all hold.
    pub conflict: Option<Vec<shape::Party>>,
}

/// The answer, ending in a line break.
///
/// # Errors
/// Where the writer of JSON fails; it has no reason to on these shapes.
pub fn sensitivity(all: &[study::Sensitivity]) -> serde_json::Result<String> {
    let Some(first) = all.first() else {
        return Ok(String::new());
    };
    let (problem, found) = (&first.base.problem, &first.base.answer);
    let goal = &problem.goal.property;
    answer::text(&Sensitivity {
        schema: shape::SCHEMA,
        status: answer::status(found.outcome()),
        objective: shape::Objective {
            name: goal.key(),
            value: first.base.value(),
            unit: problem.unit(goal).to_string(),
        },
        base: solved::solved(&first.base),
        rows: all
            .iter()
            .flat_map(|study| study.rows.iter().chain(&study.still))
            .map(|one| row(problem, one))
            .collect(),
        conflict: first.base.none().then(|| part::collision(problem, found)),
        warnings: part::warnings(&warnings::together(
            &found.warnings,
            found.judgement.as_ref(),
        )),
    })
}

fn row(problem: &Problem, one: &study::Row) -> Row {
    let (kind, side) = match &one.what {
        What::Bound {
            side: Some(Side::Min),
            ..
        } => ("limit", Some("min")),
        What::Bound {
            side: Some(Side::Max),
            ..
        } => ("limit", Some("max")),
        What::Bound { side: None, .. } => ("limit", Some("exactly")),
        What::Count(_) => ("count", Some("max")),
        What::Price(_) => ("price", None),
    };
    let [lowered, raised] = [0, 1].map(|k| one_way(&one.moves[k]));
    Row {
        kind,
        moved: text::key(problem, &one.what),
        side,
        source: text::source(&one.what),
        from: one.from,
        unit: text::unit(problem, &one.what).to_string(),
        step: one.step,
        step_is: text::step_is(&one.what),
        lowered,
        raised,
    }
}

fn one_way(moved: &study::Move) -> Move {
    let mut shown = Move {
        to: moved.to,
        status: status(&moved.effect),
        change: None,
        recipe: None,
        conflict: None,
    };
    match &moved.effect {
        Effect::Nothing => shown.change = Some(0.0),
        Effect::Changes(by, solved) => {
            shown.change = Some(*by);
            let recipe = solved.recipe();
            shown.recipe = recipe.map(|(recipe, _)| part::recipe(&solved.problem, recipe));
        }
        Effect::NoRecipe(solved) => {
            shown.conflict = Some(part::collision(&solved.problem, &solved.answer));
        }
        Effect::Open | Effect::Fixed => {}
    }
    shown
}

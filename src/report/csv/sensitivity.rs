//! The answer of `sweep --every-limit` and `--every-price`: a line for each number that was moved.

use crate::declare::problem::Side;
use crate::report::csv::row;
use crate::report::text::sensitivity as text;
use crate::study::sensitivity::Effect;
use crate::study::sensitivity::Move;
use crate::study::sensitivity::Row;
use crate::study::sensitivity::Sensitivity;
use crate::study::sensitivity::What;

const HEAD: [&str; 12] = [
    "moved",
    "side",
    "source",
    "from",
    "step",
    "step_is",
    "lowered_to",
    "lowered",
    "lowered_change",
    "raised_to",
    "raised",
    "raised_change",
];

/// The head and a line a number, the greatest effect first, those without any last.
#[must_use]
pub fn sensitivity(all: &[Sensitivity]) -> String {
    let mut lines = row::line(&HEAD.map(String::from));
    for study in all {
        for one in study.rows.iter().chain(&study.still) {
            lines += &row::line(&cells(study, one));
        }
    }
    lines
}

fn cells(study: &Sensitivity, one: &Row) -> Vec<String> {
    let side = match &one.what {
        What::Bound {
            side: Some(Side::Min),
            ..
        } => "min",
        What::Bound {
            side: Some(Side::Max),
            ..
        }
        | What::Count(_) => "max",
        What::Bound { side: None, .. } => "exactly",
        What::Price(_) => "price",
    };
    let of = |m: &Move| {
        let change = match &m.effect {
            Effect::Changes(by, _) => Some(*by),
            Effect::Nothing => Some(0.0),
            Effect::NoRecipe(_) | Effect::Open | Effect::Fixed => None,
        };
        [
            row::number(Some(m.to)),
            status(&m.effect).into(),
            row::number(change),
        ]
    };
    let [lowered, raised] = [0, 1].map(|k| of(&one.moves[k]));
    [
        text::key(&study.base.problem, &one.what),
        side.into(),
        text::source(&one.what),
        row::number(Some(one.from)),
        row::number(Some(one.step)),
        text::step_is(&one.what).into(),
    ]
    .into_iter()
    .chain(lowered)
    .chain(raised)
    .collect()
}

/// One word for what a move did.
#[must_use]
pub fn status(effect: &Effect) -> &'static str {
    match effect {
        Effect::Nothing => "nothing",
        Effect::Changes(..) => "changes",
        Effect::NoRecipe(_) => "no-recipe",
        Effect::Open => "open",
        Effect::Fixed => "fixed",
    }
}

//! What small moves do, as a picture's data.

use crate::report::number;
use crate::report::picture::data::Axis;
use crate::report::picture::data::Moved;
use crate::report::picture::data::Picture;
use crate::report::picture::data::TornadoBar;
use crate::report::picture::data::TornadoPicture;
use crate::report::text::sensitivity;
use crate::report::words;
use crate::study::sensitivity::Effect;
use crate::study::sensitivity::Move;
use crate::study::sensitivity::Row;
use crate::study::sensitivity::Sensitivity;
use crate::study::sensitivity::What;

/// Most bars: what comes after them changes next to nothing, and the page tells it.
const MOST: usize = 20;

/// Digits of what the goal is before anything moves.
const DIGITS: i32 = 4;

/// The picture of a study; `None` where nothing changes anything.
#[must_use]
pub fn sensitivity(study: &Sensitivity) -> Option<Picture> {
    if study.rows.is_empty() {
        return None;
    }
    let problem = &study.base.problem;
    let goal = &problem.goal.property;
    let from = study.base.value().map_or_else(String::new, |value| {
        format!(" from {}", number::digits(value, DIGITS))
    });
    // The first is the one that mostly costs, in every tornado.
    let (moved, ways) = if sensitivity::of_prices(study) {
        let moved = format!("each price ± {} %", percent(&study.rows[0]));
        (moved, ["dearer", "cheaper"])
    } else {
        let moved = "each limit ± its test's reproducibility or a step".to_owned();
        (moved, ["tighter", "looser"])
    };
    Some(Picture::Tornado(TornadoPicture {
        title: format!("{}: {moved}", problem.title),
        axis: Axis::new(
            &format!("change of {}{from}", words::property(goal)),
            &words::money(&problem.unit(goal)),
        ),
        ways: ways.map(String::from),
        bars: study
            .rows
            .iter()
            .take(MOST)
            .map(|row| bar(study, row))
            .collect(),
    }))
}

fn bar(study: &Sensitivity, row: &Row) -> TornadoBar {
    let moved = |one: &Move| {
        let effect = match &one.effect {
            Effect::Nothing => Some(0.0),
            Effect::Changes(by, _) => Some(*by),
            Effect::NoRecipe(_) => None,
            Effect::Open | Effect::Fixed => return None,
        };
        Some(Moved {
            to: sensitivity::stated(&row.what, one.to),
            effect,
        })
    };
    let mut moves = sensitivity::ordered(row).map(moved);
    if matches!(row.what, What::Price(_)) {
        moves.reverse();
    }
    TornadoBar {
        label: label(study, row),
        moves,
    }
}

/// By which part a price was moved: `10`.
fn percent(row: &Row) -> String {
    let percent = number::digits(100.0 * row.step / row.from, DIGITS);
    percent.parse().map_or(percent, number::as_written)
}

/// `phosphorus ≤ 800 ppm`, `PAO 4 at 3.1 EUR/kg`.
fn label(study: &Sensitivity, row: &Row) -> String {
    let problem = &study.base.problem;
    let unit = sensitivity::unit(problem, &row.what);
    let from = words::with_unit(&sensitivity::at(problem, row), &unit);
    if let What::Price(j) = row.what {
        return format!("{} at {from}", problem.components[j].name);
    }
    // A page of plain characters writes its signs with two.
    sensitivity::name_at(problem, &row.what, &from, false)
        .replace("<=", "≤")
        .replace(">=", "≥")
}

//! What is varied, in a formulator's words.

use crate::declare::dial::Aim;
use crate::declare::dial::Dial;
use crate::declare::dial::Setting;
use crate::declare::problem::Problem;
use crate::declare::problem::Side;
use crate::declare::stops::Stops;
use crate::report::keys;
use crate::report::number;
use crate::report::words;

/// What a dial moves: `phosphorus, at most`.
#[must_use]
pub fn label(problem: &Problem, dial: &Dial) -> String {
    let id = |j: usize| problem.components[j].id.as_str();
    match &dial.aim {
        Aim::Limit(property, sides) => format!("{}, {}", words::property(property), way(sides)),
        Aim::Treat(j, sides) => format!("treat of {}, {}", id(*j), way(sides)),
        Aim::IfUsed(j) => format!("treat of {} where it is used, at least", id(*j)),
        Aim::Figure(j, datum) => format!("{} of {}", datum.key(), id(*j)),
        Aim::Polymer(j, part) => format!("{} of {}", part.key(), id(*j)),
        Aim::Batch => "batch".into(),
        Aim::AtMost => "components, at most".into(),
        Aim::Grade => "grade".into(),
        Aim::Class => "class".into(),
    }
}

fn way(sides: &[Side]) -> &'static str {
    match sides {
        [side] => words::must_be(*side, false),
        _ => "exactly",
    }
}

/// The head of a column of its settings: its unit, else what it moves.
#[must_use]
pub fn column(problem: &Problem, dial: &Dial) -> String {
    match words::money(&dial.unit(problem)).as_str() {
        "" => label(problem, dial),
        unit => unit.into(),
    }
}

/// A setting as a table shows it: to a hundredth of the way to the next one; the ends of a range as they
/// were typed.
#[must_use]
pub fn setting(stops: &Stops, setting: &Setting) -> String {
    let Setting::Number(value) = setting else {
        return keys::setting(setting);
    };
    let end = |place: usize| {
        stops
            .number(place)
            .is_some_and(|e| e.total_cmp(value).is_eq())
    };
    match stops {
        _ if end(0) || end(stops.len().saturating_sub(1)) => number::as_written(*value),
        Stops::List(_) => number::as_written(*value),
        Stops::Even { .. } | Stops::Steps { .. } => {
            let apart = stops
                .number(1)
                .zip(stops.number(0))
                .map_or(1.0, |(b, a)| (b - a).abs());
            to_tell(*value, 0.01 * apart)
        }
    }
}

/// A place along a range, to a hundred-thousandth of it.
#[must_use]
pub fn place(stops: &Stops, at: f64) -> String {
    let last = stops.len().saturating_sub(1);
    let range = stops
        .number(last)
        .zip(stops.number(0))
        .map_or(1.0, |(b, a)| (b - a).abs());
    to_tell(at, 1e-5 * range)
}

/// A number to the decimals that show a distance, without trailing noughts.
fn to_tell(value: f64, distance: f64) -> String {
    let mut unit = 1.0;
    while distance * unit < 1.0 && unit < 1e9 {
        unit *= 10.0;
    }
    number::as_written((value * unit).round() / unit)
}

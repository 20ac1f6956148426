//! The settings of a dial from their text: `600..900`, `600..900 step 50`, `600,700,800`.

use super::figure::split;
use super::named::{NOWHERE, sentence};
use super::range::Range;
use super::words::{short, suggestion};
use crate::declare::dial::{Aim, Dial, PolymerPart, Setting};
use crate::declare::property::{Datum, Property};
use crate::declare::stops::{Stops, rounded};
use crate::declare::windows;

/// Most points of one path.
pub(super) const MOST_POINTS: usize = 100_000_000;

/// The settings of a text; `points` is the number of points of a range that states no step.
pub(super) fn stops(dial: &Dial, text: &str, points: usize) -> Result<Stops, String> {
    let path = &dial.path;
    if text.is_empty() {
        return Err(format!(
            "`{path}` is given no values: write `{path}=A..B` or a list"
        ));
    }
    if dial.takes_words() {
        return words(dial, text);
    }
    let range = range(dial);
    let Some((from, rest)) = text.split_once("..") else {
        let list = text
            .split(',')
            .map(|part| number(part, dial, &range).map(Setting::Number))
            .collect::<Result<_, _>>()?;
        return Ok(Stops::List(list));
    };
    let (to, step) = match rest.split_once("step") {
        Some((to, step)) => (to, Some(step)),
        None => (rest, None),
    };
    // A unit behind the far end is meant of the near one and of the step too.
    let (far, unit) = split(to);
    let unit = far.parse::<f64>().map_or("", |_| unit);
    let with_unit = |text: &str| match text.trim() {
        plain if plain.parse::<f64>().is_ok() => format!("{plain} {unit}"),
        own => own.to_owned(),
    };
    let (from, step) = (with_unit(from), step.map(with_unit));
    let (from, to) = (number(&from, dial, &range)?, number(to, dial, &range)?);
    if from.total_cmp(&to).is_eq() {
        return Err(format!(
            "`{path}` goes from {from} to {from}: give two different ends, or the one value as `{path}={from}`"
        ));
    }
    let step = match step {
        Some(step) => Some(stride(&step, dial, &range)?),
        None if dial.takes_whole_numbers() => Some(1.0),
        None => None,
    };
    match step {
        Some(step) => stepped(path, from, to, step),
        None => Ok(Stops::Even {
            from,
            to,
            count: points,
        }),
    }
}

fn stepped(path: &str, from: f64, to: f64, step: f64) -> Result<Stops, String> {
    // Room for the dust of a quotient such as 0.3 / 0.1.
    let steps = ((to - from).abs() / step + 1e-9).floor();
    if steps < 1.0 {
        return Err(format!(
            "the step {step} of `{path}` is wider than from {from} to {to}"
        ));
    }
    #[expect(clippy::cast_precision_loss, reason = "far below 2^52")]
    let most = MOST_POINTS as f64;
    if steps >= most {
        return Err(format!(
            "`{path}` by {step} has more than {MOST_POINTS} points: give a wider step"
        ));
    }
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "checked to lie between 1 and the most points"
    )]
    let count = steps as usize + 1;
    Ok(Stops::Steps {
        from,
        step: step * (to - from).signum(),
        count,
    })
}

fn words(dial: &Dial, text: &str) -> Result<Stops, String> {
    let mut list = Vec::new();
    for word in text.split(',').map(str::trim) {
        let (known, what, all) = if dial.aim == Aim::Grade {
            let known = windows::limits_of_grade(word, &NOWHERE).is_some();
            (
                known,
                "no standard here knows the grade",
                windows::known_grades(),
            )
        } else {
            let known = windows::limits_of_class(word, None, &NOWHERE).is_some();
            (
                known,
                "there is no class here called",
                windows::known_classes(),
            )
        };
        if !known {
            let near = suggestion(word, all.iter().map(String::as_str));
            let list = if word.contains("..") {
                "; grades and classes are listed one by one, with commas"
            } else {
                ""
            };
            return Err(format!("{what} `{}`: {near}{list}", short(word)));
        }
        list.push(Setting::Word(word.to_owned()));
    }
    Ok(Stops::List(list))
}

/// What a dial's numbers can be.
fn range(dial: &Dial) -> Range {
    let plain = |low, high, unit| Range {
        low,
        high,
        unit,
        ..Range::OWN
    };
    match &dial.aim {
        Aim::Limit(property, _) => Range::of_property(property),
        Aim::Treat(..) | Aim::IfUsed(_) => Range::PERCENT,
        Aim::Figure(_, datum) => Range::of_datum(datum),
        Aim::Polymer(_, part) => match part {
            PolymerPart::Solids => Range::SOLIDS,
            PolymerPart::Iv40 | PolymerPart::Iv100 | PolymerPart::Iv150 => Range::INTRINSIC,
            PolymerPart::K => Range::THICKENING_CONSTANT,
            PolymerPart::HthsLoss => Range::FRACTION,
            PolymerPart::Ssi | PolymerPart::SsiKrl => Range::INDEX,
            PolymerPart::CcsThickening | PolymerPart::MrvThickening => Range::RISE,
        },
        Aim::Batch => Range {
            low: 1e-6,
            ..Range::MASS
        },
        Aim::AtMost | Aim::Grade | Aim::Class => plain(1.0, 1000.0, ""),
    }
}

/// A number of a dial: plain, or with the unit that a file would accept, or with its own.
fn number(text: &str, dial: &Dial, range: &Range) -> Result<f64, String> {
    let (value, with_unit) = measured(text, dial, range)?;
    let mut faults = Vec::new();
    let what = format!("`{}`", dial.path);
    if range.check(value, &what, &NOWHERE, &mut faults).is_none() {
        return Err(faults.first().map_or_else(String::new, sentence));
    }
    if dial.takes_whole_numbers() && value.fract().abs() > 0.0 {
        return Err(format!(
            "{what} counts components: {value} is no whole number"
        ));
    }
    if let (Aim::Limit(Property::Element(_), _), false) = (&dial.aim, with_unit)
        && value > 0.0
        && value < 1.0
    {
        return Err(format!(
            "{what} of {value} ppm is below what an analysis reports: write `{value} %` if mass percent was meant, `{value} ppm` if not"
        ));
    }
    Ok(value)
}

/// A step: a number above nothing of any size.
fn stride(text: &str, dial: &Dial, range: &Range) -> Result<f64, String> {
    let (step, _) = measured(text, dial, range)?;
    let whole = !dial.takes_whole_numbers() || step.fract().abs() <= 0.0;
    if step.is_finite() && step > 0.0 && whole {
        Ok(step)
    } else {
        Err(format!(
            "the step of `{}` must be a number above 0, not `{}`",
            dial.path,
            short(text.trim())
        ))
    }
}

fn measured(text: &str, dial: &Dial, range: &Range) -> Result<(f64, bool), String> {
    let text = text.trim();
    let path = &dial.path;
    if let Ok(value) = text.parse::<f64>() {
        return Ok((value, false));
    }
    let (number, unit) = split(text);
    if number.contains(',') && number.replace(',', ".").parse::<f64>().is_ok() {
        let mended = text.replace(',', ".");
        return Err(format!(
            "`{}` of `{path}` has a decimal comma: write `{}`",
            short(text),
            short(&mended)
        ));
    }
    let mass = match (&dial.aim, unit) {
        (Aim::Batch | Aim::Figure(_, Datum::Stock), "g") => Some(0.001),
        (Aim::Batch | Aim::Figure(_, Datum::Stock), "t") => Some(1000.0),
        _ => None,
    };
    let own = (unit == range.unit && !unit.is_empty()).then_some(1.0);
    let factor = range.scale.factor(unit).or(mass).or(own);
    match (number.parse::<f64>(), factor) {
        (Ok(value), Some(factor)) => Ok((rounded(value * factor), true)),
        (Ok(value), None) => Err(format!(
            "`{}` is no unit of `{path}`: write `{value}`{}",
            short(unit),
            in_words(range.unit)
        )),
        (Err(_), _) => Err(format!(
            "`{}` of `{path}` is no number with a decimal point: write `{path}=A..B`, `{path}=A..B step S` or `{path}=A,B,C`",
            short(text)
        )),
    }
}

fn in_words(unit: &str) -> String {
    if unit.is_empty() {
        String::new()
    } else {
        format!(", read as {unit}")
    }
}

//! What is varied, from the text of a command line: dials and their settings, checked as a file would be.

use super::absent::absences;
use super::component::{least_meant, percent_help};
use super::dial::dial;
use super::named::{NOWHERE, sentence};
use super::order;
use super::range::Range;
use super::stops::stops;
use super::treat::rate;
use super::words::short;
use crate::declare::component::Kind;
use crate::declare::dial::{Aim, Dial, PolymerPart, Setting};
use crate::declare::problem::Problem;
use crate::declare::property::Datum;
use crate::declare::stops::Stops;
use crate::fault::Fault;
use std::fmt;

/// Why a problem cannot be varied as asked.
#[derive(Debug, Clone, PartialEq)]
pub enum Unfit {
    /// What was typed: a sentence that names the path, the value and what to write.
    Typed(String),
    /// What the files say, or do not say, for some setting: every fault, at its place.
    Files(Vec<Fault>),
}

impl fmt::Display for Unfit {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Unfit::Typed(words) => f.write_str(words),
            Unfit::Files(faults) => {
                let all: Vec<String> = faults.iter().map(sentence).collect();
                f.write_str(&all.join("; "))
            }
        }
    }
}

/// The dial of a path, and its settings: `limits.p.max=600..900`.
///
/// `points` is the number of points of a range that states no step.
///
/// # Errors
/// A sentence that names what was read and what to write instead.
pub fn vary(problem: &Problem, text: &str, points: usize) -> Result<(Dial, Stops), String> {
    let Some((path, range)) = text.split_once('=') else {
        return Err(format!(
            "`{}` has no `=`: write a path and its values, `limits.p.max=600..900` or `limits.p.max=600,700,800`",
            short(text)
        ));
    };
    let dial = dial(problem, path.trim())?;
    let stops = stops(&dial, range.trim(), points)?;
    Ok((dial, stops))
}

/// What to ask of a list of two whole numbers, which may be one number with a decimal comma: `4,2`. Quiet
/// where the second is too long for decimals, where there are more, and of what is counted.
#[must_use]
pub fn comma(dial: &Dial, text: &str) -> Option<String> {
    let (_, list) = text.split_once('=')?;
    let (whole, decimals) = list.trim().split_once(',')?;
    let digits = |text: &str| !text.is_empty() && text.bytes().all(|b| b.is_ascii_digit());
    let meant = digits(whole) && digits(decimals) && decimals.len() <= MOST_TYPED;
    let path = &dial.path;
    (meant && !dial.takes_words() && !dial.takes_whole_numbers()).then(|| {
        format!(
            "`{path}={whole},{decimals}` is read as two values, {whole} and {decimals}; if a decimal comma was meant, write `{path}={whole}.{decimals}`"
        )
    })
}

/// Decimals of a number typed by hand.
const MOST_TYPED: usize = 2;

/// The problem with every dial at its first setting, checked at the corners of all: what the reader of
/// the files would have refused is refused, save a minimum above a maximum, which is an answer.
///
/// # Errors
/// What was typed and cannot be, or all that the files lack for any of the settings.
pub fn prepared(problem: &Problem, varied: &[(Dial, Stops)]) -> Result<Problem, Unfit> {
    for (dial, stops) in varied {
        slips(problem, dial, stops).map_err(Unfit::Typed)?;
    }
    let mut problem = problem.clone();
    let mut corners: Vec<Vec<Setting>> = vec![Vec::new()];
    for (dial, stops) in varied {
        dial.set(&mut problem, &stops.at(0));
        let settings = stops.corners();
        corners = corners
            .iter()
            .flat_map(|begun| {
                settings
                    .iter()
                    .map(|setting| [begun.as_slice(), std::slice::from_ref(setting)].concat())
            })
            .collect();
    }
    let mut probe = problem.clone();
    let mut faults: Vec<Fault> = Vec::new();
    for corner in &corners {
        for ((dial, _), setting) in varied.iter().zip(corner) {
            dial.set(&mut probe, setting);
        }
        if let Some(fault) = typed(&probe, varied) {
            let at: Vec<String> = varied
                .iter()
                .zip(corner)
                .map(|((dial, _), setting)| match setting {
                    Setting::Number(number) => format!("`{}` = {number}", dial.path),
                    Setting::Word(word) => format!("`{}` = {word}", dial.path),
                })
                .collect();
            let words = format!("at {}: {}", at.join(", "), sentence(&fault));
            return Err(Unfit::Typed(words));
        }
        let mut lacking = Vec::new();
        absences(&probe, &mut lacking);
        // What two settings lack is lacked once.
        lacking.retain(|new| faults.iter().all(|old| old.title != new.title));
        faults.extend(lacking);
    }
    if faults.is_empty() {
        return Ok(problem);
    }
    faults.sort_by_key(super::first_place);
    Err(Unfit::Files(faults))
}

/// The first fault of figures that dials set: no file says them.
fn typed(problem: &Problem, varied: &[(Dial, Stops)]) -> Option<Fault> {
    let mut faults = Vec::new();
    for (dial, _) in varied {
        match &dial.aim {
            Aim::Figure(j, _) => {
                let component = &problem.components[*j];
                order::thinning(&component.figures, &component.id, &mut faults);
            }
            Aim::Polymer(j, PolymerPart::K) => {
                let component = &problem.components[*j];
                if let Some(polymer) = &component.polymer {
                    for (figure, key) in [
                        (&polymer.iv40, "iv40"),
                        (&polymer.iv100, "iv100"),
                        (&polymer.iv150, "iv150"),
                    ] {
                        let what = format!("`{key}` of `{}`", component.id);
                        Range::INTRINSIC.check(figure.value, &what, &NOWHERE, &mut faults);
                    }
                }
            }
            _ => {}
        }
    }
    faults.into_iter().next()
}

/// Slips that are seen from the ends alone: a band wider than the supplier's, a percentage for a few ppm,
/// a fraction for an index.
fn slips(problem: &Problem, dial: &Dial, stops: &Stops) -> Result<(), String> {
    let numbers: Vec<f64> = stops
        .corners()
        .into_iter()
        .filter_map(|s| match s {
            Setting::Number(number) => Some(number),
            Setting::Word(_) => None,
        })
        .collect();
    let (Some(&low), Some(&high)) = (numbers.first(), numbers.last()) else {
        return Ok(());
    };
    let path = &dial.path;
    match &dial.aim {
        Aim::Treat(j, _) => widened(problem, *j, low, high),
        Aim::IfUsed(j) => {
            let supplier = problem.components[*j].treat.if_used.as_ref();
            let least = supplier.map(|e| rate(e.share)).filter(|least| low < *least);
            least.map_or(Ok(()), |least| {
                Err(format!(
                    "{low} % in `{path}` is below the {least} % that the supplier asks for: begin there"
                ))
            })
        }
        Aim::Figure(j, Datum::Element(element)) => {
            let component = &problem.components[*j];
            let meant = component.kind == Kind::BaseStock
                || high <= 0.0
                || high >= least_meant(component.kind, *element);
            if meant {
                return Ok(());
            }
            Err(format!(
                "`{path}` goes no higher than {high} ppm, next to nothing for an additive: {}",
                percent_help(element.key(), high)
            ))
        }
        Aim::Polymer(_, PolymerPart::Ssi) if high > 0.0 && high < 1.0 => Err(format!(
            "`{path}` goes no higher than {high} %, stabler than any polymer: write {} if a fraction was meant",
            high * 100.0
        )),
        _ => Ok(()),
    }
}

/// A treat rate outside the supplier's band, where the problem does not already go there.
fn widened(problem: &Problem, component: usize, low: f64, high: f64) -> Result<(), String> {
    let (supplier, ours) = (
        &problem.components[component].treat,
        &problem.bands[component],
    );
    let most = ours.without_stock.as_ref().unwrap_or(&ours.max).share;
    let highest = rate(if most > supplier.max.share {
        most
    } else {
        supplier.max.share
    });
    let lowest = rate(if ours.min.share < supplier.min.share {
        ours.min.share
    } else {
        supplier.min.share
    });
    let (way, edge, asked) = if high > highest {
        ("above", supplier.max.share, high)
    } else if low < lowest {
        ("below", supplier.min.share, low)
    } else {
        return Ok(());
    };
    let id = &problem.components[component].id;
    Err(format!(
        "{asked} % of `{id}` is {way} the supplier's {} %: stay inside the band, or write `{id} = {{ {} = {asked}, override = true }}` in the problem's `[treat]` if the supplier agrees",
        rate(edge),
        if way == "above" { "max" } else { "min" },
    ))
}

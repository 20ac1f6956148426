//! A component must be thicker the colder it is.

use crate::declare::component::Entry;
use crate::declare::property::Datum;
use crate::fault::{Code, Fault};
use std::collections::BTreeMap;

/// Less than the density of any fluid of an engine oil, kg/L.
const LEAST_DENSITY: f64 = 0.75;

/// mPa·s in a Pa·s.
const MILLI: f64 = 1000.0;

/// Finds what does not thin as it warms.
pub(super) fn thinning(figures: &BTreeMap<Datum, Entry>, called: &str, faults: &mut Vec<Fault>) {
    swapped(figures, called, faults);
    cold_order(figures, called, faults);
    cold_and_thin(figures, called, faults);
}

/// A cold viscosity below that at 40 °C was meant in Pa·s.
fn cold_and_thin(figures: &BTreeMap<Datum, Entry>, called: &str, faults: &mut Vec<Fault>) {
    let Some(warm) = figures.get(&Datum::Kv40).and_then(Entry::figure) else {
        return;
    };
    // mm²/s times kg/L is mPa·s.
    let least = warm.value * LEAST_DENSITY;
    for (datum, entry) in figures {
        let (test, at) = match datum {
            Datum::Ccs(at) => ("ccs", at),
            Datum::Mrv(at) => ("mrv", at),
            _ => continue,
        };
        let Some(cold) = entry.figure().filter(|cold| cold.value < least) else {
            continue;
        };
        let meant = cold.value * MILLI;
        faults.push(
            Fault::at(
                Code::OutOfRange,
                format!(
                    "`{test}` of `{called}` would be {} mPa·s at {at} °C, thinner than it is at 40 °C \
                     ({} mm²/s)",
                    cold.value, warm.value
                ),
                cold.place.clone(),
                "read as mPa·s",
            )
            .and(warm.place.clone(), "at 40 °C")
            .help(format!(
                "if you meant Pa·s, write `\"{at}\" = {meant}`; if not, check the digits of both"
            )),
        );
    }
}

/// Cold viscosities must fall as the temperature rises.
fn cold_order(figures: &BTreeMap<Datum, Entry>, called: &str, faults: &mut Vec<Fault>) {
    let at = |test: &str, datum: &Datum| match datum {
        Datum::Ccs(t) if test == "ccs" => Some(*t),
        Datum::Mrv(t) if test == "mrv" => Some(*t),
        _ => None,
    };
    for test in ["ccs", "mrv"] {
        let stated: Vec<_> = figures
            .iter()
            .filter_map(|(d, e)| Some((at(test, d)?, e.figure()?)))
            .collect();
        for pair in stated.windows(2) {
            let [(colder, thick), (warmer, thin)] = [pair[0], pair[1]];
            if thick.value > thin.value {
                continue;
            }
            faults.push(
                Fault::at(
                    Code::SwappedViscosities,
                    format!(
                        "`{test}` of `{called}` would not fall from {colder} °C ({}) to {warmer} °C ({})",
                        thick.value, thin.value
                    ),
                    thick.place.clone(),
                    format!("at {colder} °C"),
                )
                .and(thin.place.clone(), format!("at {warmer} °C"))
                .help(format!(
                    "if the two are swapped, write `\"{colder}\" = {}, \"{warmer}\" = {}`; if not, check the digits",
                    thin.value, thick.value
                )),
            );
        }
    }
}

/// Kinematic viscosity must fall from 40 to 100 °C.
fn swapped(figures: &BTreeMap<Datum, Entry>, called: &str, faults: &mut Vec<Fault>) {
    let of = |datum| figures.get(&datum).and_then(Entry::figure);
    let (Some(cool), Some(hot)) = (of(Datum::Kv40), of(Datum::Kv100)) else {
        return;
    };
    if cool.value > hot.value {
        return;
    }
    let fault = Fault::at(
        Code::SwappedViscosities,
        format!(
            "`{called}` would be no thicker at 40 °C ({} mm²/s) than at 100 °C ({} mm²/s)",
            cool.value, hot.value
        ),
        cool.place.clone(),
        "at 40 °C",
    )
    .and(hot.place.clone(), "at 100 °C");
    faults.push(if cool.value < hot.value {
        fault.help(format!(
            "if the two are swapped, write `kv40 = {}` and `kv100 = {}`",
            hot.value, cool.value
        ))
    } else {
        fault.help("give each temperature its own measured value")
    });
}

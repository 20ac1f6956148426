//! `--batch`: another batch than the problem's.

use crate::declare::component::Edge;
use crate::declare::component::EdgeSource;
use crate::declare::problem::Problem;
use crate::declare::property::Datum;
use crate::predict::value::Warning;
use crate::quantity::Share;

/// Grams in a kilogram.
const GRAMS: f64 = 1000.0;
/// Kilograms in a tonne.
const KILOGRAMS: f64 = 1000.0;

/// The kilograms of a text such as `20 kg`, `1500 g` or `1.2 t`.
///
/// # Errors
/// A sentence where the text has no number above 0 or another unit.
pub fn kilograms(text: &str) -> Result<f64, String> {
    mass(text, "a batch", "`20 kg`, `500 g` or `1.2 t`")
}

/// The kilograms of a pour's error such as `0.1 g`.
///
/// # Errors
/// As [`kilograms`].
pub fn pour(text: &str) -> Result<f64, String> {
    mass(text, "a balance", "`0.1 g` or `0.02 kg`")
}

fn mass(text: &str, of: &str, example: &str) -> Result<f64, String> {
    let text = text.trim();
    let end = text
        .find(|c: char| c.is_alphabetic() && !matches!(c, 'e' | 'E'))
        .unwrap_or(text.len());
    let (number, unit) = text.split_at(end);
    let scale = match unit.trim() {
        "kg" => 1.0,
        "g" => 1.0 / GRAMS,
        "t" => KILOGRAMS,
        "" => return Err(format!("{of} needs its unit: {example}")),
        other => return Err(format!("`{other}` is no unit of {of}: use kg, g or t")),
    };
    match number.trim().parse::<f64>() {
        Ok(amount) if amount.is_finite() && amount > 0.0 => Ok(amount * scale),
        _ => Err(format!(
            "`{}` is no amount above 0 with a decimal point",
            number.trim()
        )),
    }
}

/// Takes another batch: a larger one lowers the treat rates that the stock allows.
///
/// A smaller one would raise them again, but only up to a band that the checked problem no longer
/// holds; it keeps the narrower band, and says so for each component that stock holds down.
#[must_use]
pub fn take(problem: &mut Problem, kilograms: f64) -> Vec<Warning> {
    let before = problem.batch.replace(kilograms);
    let smaller = before.is_some_and(|before| kilograms < before);
    let mut warnings = Vec::new();
    for (component, band) in problem.components.iter().zip(&mut problem.bands) {
        let Some(stock) = component.figure(&Datum::Stock) else {
            continue;
        };
        let allowed = Share::from_fraction(stock.value / kilograms);
        if allowed < band.max.share {
            band.max = Edge {
                share: allowed,
                source: EdgeSource::Stock,
                place: Some(stock.place.clone()),
            };
        } else if smaller && band.max.source == EdgeSource::Stock {
            warnings.push(Warning {
                code: "stock-of-larger-batch",
                words: format!(
                    "`{}` is still held to the {:.3} % that its stock allows in the problem's own \
                     batch: write the smaller batch in the problem file to use more of it",
                    component.id,
                    band.max.share.percent()
                ),
            });
        }
    }
    warnings
}

#[cfg(test)]
mod tests {
    use super::kilograms;

    #[test]
    fn batches_are_read_with_their_unit() {
        let near = |text: &str, kg: f64| {
            kilograms(text).is_ok_and(|found| (found - kg).abs() < 1e-12 * kg)
        };
        assert!(near("20 kg", 20.0));
        assert!(near("500g", 0.5));
        assert!(near(" 1.2 t", 1200.0));
        for wrong in ["20", "20 lb", "2,5 kg", "-1 kg", "0 kg", "kg", "inf kg", ""] {
            assert!(kilograms(wrong).is_err(), "{wrong}");
        }
    }
}

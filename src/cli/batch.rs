//! `--batch`: a mass as it is typed.

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

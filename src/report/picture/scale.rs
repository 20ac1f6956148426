//! From numbers to pixels: what an axis covers, and the round positions named along it.

use crate::report::number;
use crate::report::picture::canvas::round_positions;
use crate::report::picture::data::Along;
use crate::report::picture::data::Axis;
use crate::report::picture::data::Stretch;

/// A spread smaller than this share of the values is no spread but rounding.
const NOTHING: f64 = 1e-9;

/// How much an axis reaches beyond its values on either side, as a share of their spread.
const MARGIN: f64 = 0.08;

/// From here on, and below its inverse, numbers along an axis are written with a power of ten.
const LARGE: f64 = 1e7;

/// Decimals beyond which a position along an axis is written with a power of ten.
const FINEST: i32 = 6;

/// Numbers between two ends, laid over pixels between two ends.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Scale {
    /// Where it begins, in numbers.
    pub from: f64,
    /// Where it ends, in numbers; above `from`.
    pub to: f64,
    /// Where it begins, in pixels.
    pub start: f64,
    /// Where it ends, in pixels.
    pub end: f64,
}

/// A named position along an axis.
#[derive(Debug, Clone, PartialEq)]
pub struct Tick {
    /// The number.
    pub at: f64,
    /// The number in words.
    pub words: String,
}

impl Scale {
    /// Numbers over pixels.
    #[must_use]
    pub fn new((from, to): (f64, f64), start: f64, end: f64) -> Self {
        Scale {
            from,
            to,
            start,
            end,
        }
    }

    /// The pixel of a number, never beyond the ends.
    #[must_use]
    pub fn at(&self, value: f64) -> f64 {
        let share = ((value - self.from) / (self.to - self.from)).clamp(0.0, 1.0);
        self.start + share * (self.end - self.start)
    }

    /// Round positions, at most a few.
    #[must_use]
    pub fn ticks(&self, most: usize) -> Vec<Tick> {
        ticks(self.from, self.to, most)
    }
}

/// The least and the greatest of the finite numbers; none where there is none.
#[must_use]
pub fn ends(values: impl IntoIterator<Item = f64>) -> Option<(f64, f64)> {
    values
        .into_iter()
        .filter(|v| v.is_finite())
        .fold(None, |ends, v| match ends {
            None => Some((v, v)),
            Some((low, high)) => Some((v.min(low), v.max(high))),
        })
}

/// What an axis covers that is to show these values with room around them; 0 to 1 for none.
#[must_use]
pub fn roomy(values: impl IntoIterator<Item = f64>) -> (f64, f64) {
    let (low, high) = exact(values);
    let room = MARGIN * (high - low);
    (low - room, high + room)
}

/// What an axis covers that ends where these values end; wider where they are all the same.
#[must_use]
pub fn exact(values: impl IntoIterator<Item = f64>) -> (f64, f64) {
    let Some((low, high)) = ends(values) else {
        return (0.0, 1.0);
    };
    let size = low.abs().max(high.abs());
    if high - low > NOTHING * size && high - low > f64::MIN_POSITIVE {
        // Half of the largest doubles, so that no difference overflows.
        return (low.max(-f64::MAX / 4.0), high.min(f64::MAX / 4.0));
    }
    let room = if size > f64::MIN_POSITIVE / NOTHING {
        size * 0.01
    } else {
        1.0
    };
    let low = low.clamp(-f64::MAX / 4.0, f64::MAX / 4.0);
    (
        low - room.min(f64::MAX / 8.0),
        low + room.min(f64::MAX / 8.0),
    )
}

/// The numbers of the positions along an axis: a word's is its index.
#[must_use]
pub fn positions(along: &Along) -> Vec<f64> {
    match along {
        Along::Numbers(numbers) => numbers.clone(),
        Along::Words(words) => (0..words.len()).map(index).collect(),
    }
}

/// What an axis along these positions covers.
#[must_use]
pub fn covered(along: &Along) -> (f64, f64) {
    match along {
        Along::Numbers(numbers) => exact(numbers.iter().copied()),
        Along::Words(words) => (-0.5, index(words.len().max(1)) - 0.5),
    }
}

/// A stretch as it is drawn: among words, from the middle of a gap to the middle of another.
#[must_use]
pub fn drawn(along: &Along, stretch: Stretch) -> (f64, f64) {
    match along {
        Along::Numbers(_) => (stretch.from, stretch.to),
        Along::Words(_) => (stretch.from - 0.5, stretch.to + 0.5),
    }
}

/// A stretch in words: `from 500 to 537.5 ppm`, `at 5W-30`.
#[must_use]
pub fn stretch(along: &Along, axis: &Axis, stretch: Stretch) -> String {
    let at = |value: f64| match along {
        Along::Numbers(numbers) => {
            let (low, high) = exact(numbers.iter().copied());
            self::along(value, high - low)
        }
        Along::Words(words) => words.get(nearest(value)).cloned().unwrap_or_default(),
    };
    let (from, to) = (at(stretch.from), at(stretch.to));
    let unit = match along {
        Along::Numbers(_) if !axis.unit.is_empty() => format!(" {}", axis.unit),
        _ => String::new(),
    };
    if from == to {
        format!("at {from}{unit}")
    } else {
        format!("from {from} to {to}{unit}")
    }
}

/// A number along an axis of this span in words: a thousandth of it is less than a pixel.
#[must_use]
pub fn along(value: f64, span: f64) -> String {
    let places = 3 - power(span);
    if places > 9 || value.abs() >= LARGE {
        return signed(&format!("{value:.3e}"));
    }
    let rounded = number::fixed(value, places).parse().unwrap_or(value);
    signed(&number::as_written(rounded))
}

/// Round positions between two numbers, each with as many decimals as tell it from the next.
#[must_use]
pub fn ticks(from: f64, to: f64, most: usize) -> Vec<Tick> {
    let positions = round_positions(from, to, most);
    let step = match positions[..] {
        [a, b, ..] => b - a,
        _ => (to - from).abs(),
    };
    positions
        .into_iter()
        .map(|at| Tick {
            at,
            words: position(at, step),
        })
        .collect()
}

/// A position along an axis in words, with the decimals of the step to the next one.
fn position(at: f64, step: f64) -> String {
    let places = decimals(step);
    let text = if at.abs() >= LARGE || places > FINEST {
        if at.abs() < step * NOTHING {
            return "0".into();
        }
        format!("{:.*e}", digits(at, step), at)
    } else {
        number::fixed(at, places)
    };
    signed(&text)
}

/// Digits after the first that tell `at` from a position a step away.
fn digits(at: f64, step: f64) -> usize {
    usize::try_from(power(at) - power(step)).unwrap_or(0)
}

/// The power of ten of a number's first digit.
#[must_use]
pub fn power(value: f64) -> i32 {
    let text = format!("{value:e}");
    let power = text.split_once('e').and_then(|(_, p)| p.parse().ok());
    power.unwrap_or(0)
}

/// The true minus sign, as wide as a plus.
#[must_use]
pub fn signed(text: &str) -> String {
    text.replacen('-', "−", usize::from(text.starts_with('-')))
}

/// Decimals that show a step.
#[must_use]
pub fn decimals(step: f64) -> i32 {
    let mut places = 0;
    let mut size = step.abs();
    // 0.25 needs two: what is left of a whole number must vanish.
    while places < 12 && size < LARGE && (size - size.round()).abs() > 1e-6 * size {
        size *= 10.0;
        places += 1;
    }
    places
}

/// An index as a number.
#[must_use]
pub fn index(i: usize) -> f64 {
    u32::try_from(i).map_or(f64::from(u32::MAX), f64::from)
}

/// The index nearest to a number.
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "a cast of a float saturates"
)]
fn nearest(value: f64) -> usize {
    value.round().max(0.0) as usize
}

#[cfg(test)]
mod tests {
    use super::{decimals, exact, roomy, ticks};

    fn words(from: f64, to: f64) -> Vec<String> {
        ticks(from, to, 6).into_iter().map(|t| t.words).collect()
    }

    #[test]
    fn positions_are_round_and_show_their_step() {
        assert_eq!(words(500.0, 900.0), ["500", "600", "700", "800", "900"]);
        assert_eq!(words(3.88, 4.13), ["3.90", "3.95", "4.00", "4.05", "4.10"]);
        assert_eq!(words(-0.1, 0.1), ["−0.10", "−0.05", "0.00", "0.05", "0.10"]);
        // The last one too, which adding up steps loses to rounding.
        let all = ticks(4.7, 5.1, 9);
        assert_eq!(all.last().map(|t| t.words.as_str()), Some("5.10"));
        assert_eq!(decimals(0.25), 2);
        assert_eq!(decimals(20.0), 0);
    }

    #[test]
    fn the_huge_and_the_tiny_have_positions_too() {
        for (from, to) in [
            (0.0, 3e12),
            (1e-12, 4e-12),
            (1e9, 1e9 + 2.0),
            (-1e300, 1e300),
        ] {
            let words = words(from, to);
            assert!(words.len() > 1 && words.len() < 8, "{from} {to}: {words:?}");
            let mut once = words.clone();
            once.dedup();
            assert_eq!(once, words);
            assert!(words.iter().all(|w| w.chars().count() < 15), "{words:?}");
        }
    }

    #[test]
    fn one_value_has_an_axis() {
        for value in [0.0, 3.9, -3.9, 1e300, f64::MAX, f64::MIN_POSITIVE, 1e-310] {
            let (low, high) = roomy([value]);
            assert!(low < high && low.is_finite() && high.is_finite(), "{value}");
        }
        assert!(exact([]).0 < exact([]).1);
        assert!(exact([f64::NAN, 2.0]).0 < 2.0);
    }
}

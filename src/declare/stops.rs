//! The settings that a dial is taken through, one after another.

use crate::declare::dial::Setting;

/// Significant digits of a number between two ends: what is solved is what is printed.
const DIGITS: usize = 12;

/// Settings in their order; a range is held by its ends, however many points it has.
#[derive(Debug, Clone, PartialEq)]
pub enum Stops {
    /// Evenly from one number to another, both included.
    Even {
        /// The first.
        from: f64,
        /// The last.
        to: f64,
        /// How many, at least 2.
        count: usize,
    },
    /// From a number by steps.
    Steps {
        /// The first.
        from: f64,
        /// From one to the next; may be negative.
        step: f64,
        /// How many, at least 1.
        count: usize,
    },
    /// One by one.
    List(Vec<Setting>),
}

impl Stops {
    /// How many.
    #[must_use]
    pub fn len(&self) -> usize {
        match self {
            Stops::Even { count, .. } | Stops::Steps { count, .. } => *count,
            Stops::List(list) => list.len(),
        }
    }

    /// Whether there is none.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.len() == 0
    }

    /// Whether everything between its ends is meant too, and not only the points.
    #[must_use]
    pub fn is_range(&self) -> bool {
        !matches!(self, Stops::List(_))
    }

    /// One of them; beyond the last, the last.
    ///
    /// # Panics
    /// Where the list is empty.
    #[must_use]
    pub fn at(&self, place: usize) -> Setting {
        match self {
            Stops::List(list) => list[place.min(list.len() - 1)].clone(),
            _ => Setting::Number(self.number(place).unwrap_or_default()),
        }
    }

    /// The number at a place; `None` for a word.
    #[must_use]
    pub fn number(&self, place: usize) -> Option<f64> {
        match self {
            Stops::Even { from, to, count } => {
                let last = count.saturating_sub(1).max(1);
                let place = place.min(last);
                Some(if place == last {
                    *to
                } else {
                    clean(
                        from + (to - from) * (real(place) / real(last)),
                        from.abs().max(to.abs()),
                    )
                })
            }
            Stops::Steps { from, step, count } => {
                let size = from.abs().max(step.abs());
                // No negative nothing.
                Some(clean(from + step * real(place.min(count - 1)), size) + 0.0)
            }
            Stops::List(list) => match list.get(place)? {
                Setting::Number(number) => Some(*number),
                Setting::Word(_) => None,
            },
        }
    }

    /// Those at which a check of all is enough, because a check passes everywhere between two numbers
    /// at which it passes: the lowest and the highest number, and every word.
    #[must_use]
    pub fn corners(&self) -> Vec<Setting> {
        let mut numbers: Vec<f64> = match self {
            Stops::List(list) if list.iter().any(|s| matches!(s, Setting::Word(_))) => {
                return list.clone();
            }
            Stops::List(list) => (0..list.len()).filter_map(|k| self.number(k)).collect(),
            _ => [0, self.len() - 1]
                .into_iter()
                .filter_map(|k| self.number(k))
                .collect(),
        };
        numbers.sort_by(f64::total_cmp);
        let lowest = numbers.first().copied();
        let highest = numbers.last().copied();
        lowest
            .into_iter()
            .chain(highest)
            .map(Setting::Number)
            .collect()
    }
}

/// A number to twelve significant digits.
#[must_use]
pub fn rounded(number: f64) -> f64 {
    format!("{number:.*e}", DIGITS - 1)
        .parse()
        .unwrap_or(number)
}

/// The same between numbers of a size: what is dust beside them is nothing.
fn clean(number: f64, size: f64) -> f64 {
    if number.abs() <= DUST * size {
        0.0
    } else {
        rounded(number)
    }
}

/// Relative rounding of a few operations.
const DUST: f64 = 1e-14;

#[expect(
    clippy::cast_precision_loss,
    reason = "a count of points, far below 2^52"
)]
fn real(count: usize) -> f64 {
    count as f64
}

#[cfg(test)]
mod tests {
    use super::Stops;

    #[test]
    fn a_range_has_its_ends_and_no_dust() {
        let even = Stops::Even {
            from: 0.1,
            to: 0.4,
            count: 4,
        };
        let all: Vec<String> = (0..4)
            .filter_map(|k| even.number(k))
            .map(|v| v.to_string())
            .collect();
        assert_eq!(all, ["0.1", "0.2", "0.3", "0.4"]);
        let down = Stops::Steps {
            from: 0.3,
            step: -0.1,
            count: 4,
        };
        let last = down.number(3).map(|v| v.to_string());
        assert_eq!(last.as_deref(), Some("0"));
    }
}

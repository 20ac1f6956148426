//! How sure one wants to be of what.

use crate::predict::chance;
use crate::study::held::Held;

/// What is asked of the limits.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Wish {
    /// How often, above 0 and below 1.
    pub confidence: f64,
    /// Whether all limits together, instead of each.
    pub together: bool,
    /// How many draws.
    pub draws: usize,
    /// Whether to find out what is worth measuring first.
    pub worth: bool,
}

/// Among how many limits failures are shared evenly to begin with, where all are to pass together.
const EVENLY: [f64; 3] = [1.0, 3.0, 8.0];

impl Wish {
    /// How often each limit is to pass, to begin with: what is asked of each; where all are to pass together, as
    /// if so many of them shared the failures evenly.
    #[must_use]
    pub fn evenly(&self) -> Vec<f64> {
        let among = if self.together { EVENLY.len() } else { 1 };
        let each = |n: &f64| 1.0 - (1.0 - self.confidence) / n;
        EVENLY[..among].iter().map(each).collect()
    }

    /// Whether only recipes that are predicted to meet every limit can reach it: below an even chance others may,
    /// and are not looked at.
    #[must_use]
    pub fn is_even(&self) -> bool {
        self.confidence >= 0.5
    }

    /// What a recipe reaches of what is asked: the least chance of a limit, or that of all together.
    #[must_use]
    pub fn reached(&self, held: &Held) -> f64 {
        let chances = &held.sample.chances;
        if self.together {
            chances.together.part
        } else {
            chances.least()
        }
    }

    /// The same, never below half a draw: it has a logarithm.
    #[must_use]
    #[expect(clippy::cast_precision_loss, reason = "a count of draws")]
    pub fn chance(&self, held: &Held) -> f64 {
        let draws = held.sample.chances.draws.max(1) as f64;
        self.reached(held).max(0.5 / draws)
    }

    /// The confidence that can be had where a recipe reaches the highest that was found: rounded down.
    #[must_use]
    pub fn to_be_had(&self, highest: &Held) -> f64 {
        (self.reached(highest) * 1000.0).floor() / 1000.0
    }

    /// Whether a recipe reaches as much as is asked.
    #[must_use]
    pub fn is_reached(&self, held: &Held) -> bool {
        chance::is_enough(self.reached(held), self.confidence)
    }
}

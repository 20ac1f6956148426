//! A recipe: a list of treat rates.

use crate::declare::problem::Problem;
use crate::quantity::Share;

/// How far a written recipe may be from 100 %: a list rounded to 0.01 % over twenty components.
pub const RECIPE_SUM_TOLERANCE_PERCENT: f64 = 0.1;

/// The last digit of a written recipe, mass %: what this tool prints, and ten milligrams in a kilogram.
pub const WRITTEN_TO_PERCENT: f64 = 0.001;

/// The treat rate of each component of a problem, in the problem's order; they add up to the whole.
#[derive(Debug, Clone, PartialEq)]
pub struct Recipe {
    shares: Vec<Share>,
    rounding: Share,
    written: Share,
}

impl Recipe {
    /// From one share a component; `None` unless there is one finite, non-negative share for each
    /// component of the problem and they add up to more than nothing. Scales them to the whole.
    #[must_use]
    pub fn new(problem: &Problem, shares: &[Share]) -> Option<Self> {
        let sum: f64 = shares.iter().map(|s| s.fraction()).sum();
        let sound = shares.len() == problem.components.len()
            && sum.is_finite()
            && sum > 0.0
            && shares.iter().all(|s| s.fraction() >= 0.0);
        sound.then(|| Recipe {
            rounding: Share::NONE,
            written: Share::from_fraction(sum),
            shares: shares
                .iter()
                .map(|s| Share::from_fraction(s.fraction() / sum))
                .collect(),
        })
    }

    /// The same for a list that a person or a file wrote: each share is taken to be rounded to
    /// [`WRITTEN_TO_PERCENT`].
    #[must_use]
    pub fn as_written(problem: &Problem, shares: &[Share]) -> Option<Self> {
        let recipe = Self::new(problem, shares)?;
        Some(Recipe {
            rounding: Share::from_percent(WRITTEN_TO_PERCENT / 2.0),
            ..recipe
        })
    }

    /// By how much each share may be off because it was written with so many digits.
    #[must_use]
    pub fn rounding(&self) -> Share {
        self.rounding
    }

    /// What the shares added up to before they were scaled to the whole.
    #[must_use]
    pub fn written(&self) -> Share {
        self.written
    }

    /// The shares, in the problem's component order.
    #[must_use]
    pub fn shares(&self) -> &[Share] {
        &self.shares
    }
}

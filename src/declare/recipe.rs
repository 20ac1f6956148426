//! A recipe: a list of treat rates.

use crate::declare::problem::Problem;
use crate::quantity::Share;

/// How far a written recipe may be from 100 %: a list rounded to 0.01 % over twenty components.
pub const RECIPE_SUM_TOLERANCE_PERCENT: f64 = 0.1;

/// The treat rate of each component of a problem, in the problem's order; they add up to the whole.
#[derive(Debug, Clone, PartialEq)]
pub struct Recipe {
    shares: Vec<Share>,
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
            shares: shares
                .iter()
                .map(|s| Share::from_fraction(s.fraction() / sum))
                .collect(),
        })
    }

    /// The shares, in the problem's component order.
    #[must_use]
    pub fn shares(&self) -> &[Share] {
        &self.shares
    }
}

//! One time limit over many searches.

use crate::solve::search::Budget;
use std::time::Instant;

/// A budget whose time is shared by all searches begun from it.
#[derive(Debug, Clone)]
pub struct Clock {
    begun: Instant,
    budget: Budget,
}

impl Clock {
    /// Starts now.
    #[must_use]
    pub fn start(budget: &Budget) -> Self {
        Clock {
            begun: Instant::now(),
            budget: budget.clone(),
        }
    }

    /// What the next search may spend: all that is left.
    #[must_use]
    pub fn left(&self) -> Budget {
        Budget {
            time: self
                .budget
                .time
                .map(|t| t.saturating_sub(self.begun.elapsed())),
            ..self.budget.clone()
        }
    }

    /// The same clock for searches that keep to no grid.
    #[must_use]
    pub fn off_grid(&self) -> Self {
        let mut off = self.clone();
        off.budget.demand.grid = None;
        off
    }

    /// Half of the time that is left, from now on.
    #[must_use]
    pub fn half(&self) -> Self {
        let left = self.left();
        Clock::start(&Budget {
            time: left.time.map(|time| time / 2),
            ..left
        })
    }

    /// Whether nothing is left.
    #[must_use]
    pub fn is_over(&self) -> bool {
        self.left().time.is_some_and(|t| t.is_zero())
    }

    /// The same to another relative gap, where a proof is asked for at all.
    #[must_use]
    pub fn left_to(&self, gap: f64) -> Budget {
        let left = self.left();
        Budget {
            proof: left.proof.map(|_| gap),
            ..left
        }
    }
}

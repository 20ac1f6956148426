//! What one proof leaves for the next of a series: multipliers that closed or narrowed a root.
//!
//! Multipliers prove by plain arithmetic whatever they are multiplied with ([`Program::bound`]), so those
//! of a neighbouring problem are as good a proof as freshly computed ones; at worst they prove less. To
//! try them costs a hundredth of a linear program.
//!
//! [`Program::bound`]: crate::solve::program::Program::bound

use crate::solve::prove::relax::Scalar;

/// Multipliers under which one end of a scalar was moved inwards.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Inward {
    pub(super) scalar: Scalar,
    /// Whether it is the upper end.
    pub(super) upper: bool,
    pub(super) multipliers: Vec<f64>,
}

/// One round of narrowing.
#[derive(Debug, Clone, PartialEq, Default)]
pub(super) struct Round {
    pub(super) ends: Vec<Inward>,
    /// Multipliers that closed the root in this round, in place of narrowing it.
    pub(super) closing: Option<Vec<f64>>,
}

/// The rounds that led to the end of a root's narrowing.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Memory {
    pub(super) rounds: Vec<Round>,
}

/// A memory with more rounds than this has drifted: the next proof begins afresh.
const MOST_ROUNDS: usize = 8;

impl Memory {
    /// What may be replayed.
    pub(super) fn take(&mut self) -> Vec<Round> {
        let rounds = std::mem::take(&mut self.rounds);
        if rounds.len() > MOST_ROUNDS {
            return Vec::new();
        }
        rounds
    }
}

//! What one proof leaves for the next of a series: multipliers that closed or narrowed a root, and the
//! outline of the tree below it.
//!
//! Multipliers prove by plain arithmetic whatever they are multiplied with ([`Program::bound`]), so those
//! of a neighbouring problem are as good a proof as freshly computed ones; at worst they prove less. To
//! try them costs a hundredth of a linear program.
//!
//! [`Program::bound`]: crate::solve::program::Program::bound

use crate::solve::prove::outline::Outline;
use crate::solve::prove::relax::Scalar;
use crate::solve::prove::relax::Tag;

/// Row multipliers, each with the row it is for.
#[derive(Debug, Clone, PartialEq, Default)]
pub(super) struct Multipliers(Vec<(Tag, f64)>);

impl Multipliers {
    /// Those of a program whose rows are these.
    pub(super) fn new(tags: &[Tag], y: &[f64]) -> Self {
        let some = tags.iter().copied().zip(y.iter().copied());
        Multipliers(some.filter(|(_, y)| *y != 0.0).collect())
    }

    /// The rows that have one.
    pub(super) fn tags(&self) -> impl Iterator<Item = Tag> {
        self.0.iter().map(|(tag, _)| *tag)
    }

    /// The same for a program with other rows: nothing for those that are new.
    pub(super) fn among(&self, tags: &[Tag]) -> Vec<f64> {
        let mut all = vec![0.0; tags.len()];
        for (tag, y) in &self.0 {
            if let Some(i) = tags.iter().position(|t| t == tag) {
                all[i] = *y;
            }
        }
        all
    }
}

/// Multipliers under which one end of a scalar was moved inwards.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Inward {
    pub(super) scalar: Scalar,
    /// Whether it is the upper end.
    pub(super) upper: bool,
    pub(super) multipliers: Multipliers,
}

/// One round of narrowing.
#[derive(Debug, Clone, PartialEq, Default)]
pub(super) struct Round {
    pub(super) ends: Vec<Inward>,
    /// Multipliers that closed the root in this round, in place of narrowing it.
    pub(super) closing: Option<Multipliers>,
}

/// The rounds that led to the end of a root's narrowing, and the tree that was needed below it.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Memory {
    /// Columns of the proof that left it.
    width: usize,
    /// What that proof could narrow and cut.
    scalars: Vec<Scalar>,
    /// The steps of its balance, between which it cut.
    grid: Option<f64>,
    pub(super) rounds: Vec<Round>,
    pub(super) outline: Outline,
}

/// A memory with more rounds than this has drifted: the next proof begins afresh.
const MOST_ROUNDS: usize = 8;

impl Memory {
    /// Whether this was left by a proof of the same columns, scalars and steps of the balance; what was left
    /// by another is forgotten, for it names scalars that are no longer there, or cuts between other steps.
    pub(super) fn fits(&mut self, width: usize, scalars: &[Scalar], grid: Option<f64>) -> bool {
        if self.width == width && self.scalars == scalars && self.grid == grid {
            return true;
        }
        *self = Memory {
            width,
            scalars: scalars.to_vec(),
            grid,
            ..Memory::default()
        };
        false
    }

    /// What may be replayed.
    pub(super) fn take(&mut self) -> Vec<Round> {
        let rounds = std::mem::take(&mut self.rounds);
        if rounds.len() > MOST_ROUNDS {
            return Vec::new();
        }
        rounds
    }
}

//! Where a search starts: points of the exact part, spread by a fixed sequence of numbers.

use crate::solve::linear;
use crate::solve::linear::Found;
use crate::solve::task::Task;

/// A fixed sequence of numbers in [0, 1) (`SplitMix64`, Steele et al. 2014): the same seed gives the
/// same search on every machine.
#[derive(Debug, Clone)]
pub struct Sequence(u64);

impl Sequence {
    /// The sequence of a seed.
    #[must_use]
    pub fn new(seed: u64) -> Self {
        Sequence(seed)
    }

    /// The next number in [0, 1).
    #[expect(clippy::cast_precision_loss, reason = "53 bits fit a double exactly")]
    pub fn number(&mut self) -> f64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        z ^= z >> 31;
        (z >> 11) as f64 / (1_u64 << 53) as f64
    }
}

/// Corners of the exact part averaged for one start.
const CORNERS: usize = 3;

/// A random point of the exact part: the weighted mean of a few corners, each best for a random
/// goal. `None` where the exact part has no point or the back end fails.
#[must_use]
pub fn random(task: &Task, sequence: &mut Sequence, programs: &mut usize) -> Option<Vec<f64>> {
    let n = task.exact.width();
    let mut point = vec![0.0; n];
    let weights: Vec<f64> = (0..CORNERS).map(|_| sequence.number() + 0.05).collect();
    let sum: f64 = weights.iter().sum();
    for weight in weights {
        let mut program = task.exact.clone();
        program.cost = (0..n).map(|_| sequence.number() - 0.5).collect();
        *programs += 1;
        let Found::Best { x, .. } = linear::solve(&program) else {
            return None;
        };
        for (p, x) in point.iter_mut().zip(&x) {
            *p += weight / sum * x;
        }
    }
    Some(point)
}

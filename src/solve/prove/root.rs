//! Narrowing the root: every scalar to what its relaxation allows, each end proved by multipliers.

use crate::solve::linear::Found;
use crate::solve::linear::Series;
use crate::solve::prove::branch;
use crate::solve::prove::interval::Interval;
use crate::solve::prove::relax::Region;
use crate::solve::prove::relax::Scalar;
use crate::solve::prove::tree::Prover;

/// Tightening rounds, and the shrinkage that earns another.
const ROOT_ROUNDS: usize = 4;
const WORTH_A_ROUND: f64 = 0.7;

impl Prover<'_> {
    /// Narrows every scalar of the root to what its relaxation allows; false when that proves the
    /// root closed.
    pub(super) fn tighten_root(&mut self, region: &mut Region) -> bool {
        let scalars = self.scalars();
        for _ in 0..ROOT_ROUNDS {
            if !self.narrow(region) {
                return false;
            }
            let mut best_shrink: f64 = 1.0;
            let mut series = Series::new(self.program(region).0);
            for &scalar in &scalars {
                if !branch::is_open(region, scalar) {
                    continue;
                }
                let over = branch::interval(region, scalar);
                let Some(narrow) = self.narrowed(&mut series, region, scalar, over) else {
                    return true;
                };
                best_shrink = best_shrink.min((narrow.hi - narrow.lo) / (over.hi - over.lo));
                branch::set(region, scalar, narrow);
            }
            if best_shrink > WORTH_A_ROUND {
                break;
            }
        }
        true
    }

    /// The interval of a scalar over a relaxation, each end proved by multipliers; `None` where the
    /// relaxation seems to have no point.
    fn narrowed(
        &mut self,
        series: &mut Series,
        region: &Region,
        scalar: Scalar,
        over: Interval,
    ) -> Option<Interval> {
        let mut ends = [over.lo, over.hi];
        for (k, end) in ends.iter_mut().enumerate() {
            let sign = if k == 0 { 1.0 } else { -1.0 };
            let (cost, least_weight) = self.distance(region, scalar, sign, *end);
            self.programs += 1;
            let Found::Best { bound, .. } = series.solve(cost) else {
                return None;
            };
            let by = bound / least_weight;
            if by.is_finite() && by > 0.0 {
                // The division and the sum are rounded: stay outside, by part and by last digits.
                let moved = *end + sign * by * (1.0 - 1e-9);
                *end = moved - sign * 4.0 * f64::EPSILON * moved.abs();
            }
        }
        Interval::new(ends[0], ends[1]).meet(over)
    }

    /// A linear function of the mass fractions that is the distance of a scalar from an end, times
    /// at most the second number.
    fn distance(&self, region: &Region, scalar: Scalar, sign: f64, end: f64) -> (Vec<f64>, f64) {
        let width = self.task.exact.width();
        // The row that sums to the whole carries the constants.
        let whole = &self.task.exact.rows[0].coefficients;
        let from = |total: &dyn Fn(usize) -> f64| -> Vec<f64> {
            (0..width)
                .map(|j| sign * (total(j) - end * whole[j]))
                .collect()
        };
        match scalar {
            Scalar::Quotient(q) => {
                let (num, den) = self.model.quotients[q];
                let totals = &self.task.totals;
                let cost = (0..width).map(|j| sign * (totals[num][j] - end * totals[den][j]));
                let most = self
                    .model
                    .sums
                    .iter()
                    .position(|s| *s == den)
                    .map_or(1.0, |s| region.sums[s].hi.max(f64::MIN_POSITIVE));
                (cost.collect(), most)
            }
            Scalar::Sum(s) => {
                let total = &self.task.totals[self.model.sums[s]];
                (from(&|j| total[j]), 1.0)
            }
            Scalar::Column(c) => (from(&|j| if j == c { 1.0 } else { 0.0 }), 1.0),
        }
    }
}

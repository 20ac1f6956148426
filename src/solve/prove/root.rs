//! Narrowing the root: every scalar to what its relaxation allows, each end proved by multipliers.

use crate::solve::linear;
use crate::solve::linear::Found;
use crate::solve::linear::Series;
use crate::solve::program::Program;
use crate::solve::prove::branch;
use crate::solve::prove::interval::Interval;
use crate::solve::prove::memory::Inward;
use crate::solve::prove::memory::Multipliers;
use crate::solve::prove::memory::Round;
use crate::solve::prove::relax::BendRow;
use crate::solve::prove::relax::Region;
use crate::solve::prove::relax::Scalar;
use crate::solve::prove::relax::Tag;
use crate::solve::prove::relaxation::Relaxation;
use crate::solve::prove::tree::Prover;

/// Tightening rounds, and the shrinkage that earns another.
const ROOT_ROUNDS: usize = 4;
const WORTH_A_ROUND: f64 = 0.7;

/// Scalars of a region that are narrowed by linear programs, and the shrinkage that earns another look.
const MOST_BLAMED: usize = 4;
const WORTH_A_LOOK: f64 = 0.6;

/// An end moved by less than this part of its interval is not worth remembering.
const WORTH_KEEPING: f64 = 1e-3;

/// What became of the root.
pub(super) enum Root {
    /// It may hold something better.
    Open,
    /// It holds nothing better than this.
    Closed(f64),
}

impl Prover<'_> {
    /// Narrows every scalar of the root to what its relaxation allows.
    pub(super) fn tighten_root(&mut self, region: &mut Region) -> Root {
        let scalars = self.scalars();
        for _ in 0..ROOT_ROUNDS {
            if !self.narrow(region) {
                return Root::Closed(self.threshold());
            }
            let mut best_shrink: f64 = 1.0;
            let mut round = Round::default();
            let Relaxation { program, tags, .. } = self.program(region);
            let mut series = Series::new(program);
            for &scalar in &scalars {
                if !branch::is_open(region, scalar) {
                    continue;
                }
                let over = branch::interval(region, scalar);
                let Some(narrow) = self.narrowed(&mut series, region, scalar, (&tags, &mut round))
                else {
                    return Root::Open;
                };
                best_shrink = best_shrink.min((narrow.hi - narrow.lo) / (over.hi - over.lo));
                branch::set(region, scalar, narrow);
            }
            if let Some(memory) = &mut self.memory {
                memory.rounds.push(round);
            }
            if best_shrink > WORTH_A_ROUND {
                break;
            }
            if let Some(bound) = self.closed_early(region) {
                return Root::Closed(bound);
            }
        }
        Root::Open
    }

    /// A region narrowed in the scalars to blame for what its relaxation's point misses, where that earns
    /// another look at the whole of it, with what narrowed it.
    pub(super) fn narrowed_by_blame(
        &mut self,
        region: &Region,
        (program, tags): (Program, &[Tag]),
        x: &[f64],
        bends: &[(usize, BendRow)],
    ) -> Option<(Region, Vec<Inward>)> {
        // Without a recipe nothing is cut off, and there is next to nothing to narrow.
        self.target()?;
        let blamed = self.causes(region, x, bends);
        let mut series = Series::new(program);
        let mut round = Round::default();
        let mut narrowed = region.clone();
        let mut shrink: f64 = 1.0;
        for (scalar, _) in blamed.into_iter().take(MOST_BLAMED) {
            if !branch::is_open(&narrowed, scalar) {
                continue;
            }
            let over = branch::interval(&narrowed, scalar);
            let narrow = self.narrowed(&mut series, &narrowed, scalar, (tags, &mut round))?;
            shrink = shrink.min((narrow.hi - narrow.lo) / (over.hi - over.lo));
            branch::set(&mut narrowed, scalar, narrow);
        }
        (shrink <= WORTH_A_LOOK).then_some((narrowed, round.ends))
    }

    /// Narrows the root as the last proof of a series did, by that proof's multipliers.
    pub(super) fn replay(&mut self, region: &mut Region) -> Root {
        let rounds = self.memory.as_mut().map_or_else(Vec::new, |m| m.take());
        let last = rounds.len();
        for (k, round) in rounds.into_iter().enumerate() {
            if !self.narrow(region) {
                return Root::Closed(self.threshold());
            }
            if let Some(multipliers) = &round.closing {
                let Relaxation { program, tags, .. } = self.program_for(region, [multipliers]);
                let bound = program.bound(&program.cost, &multipliers.among(&tags));
                let priced = program.cost.iter().any(|c| *c != 0.0);
                if priced && self.closes(bound) {
                    self.remember(round);
                    return Root::Closed(bound);
                }
                return self.closed_early(region).map_or(Root::Open, Root::Closed);
            }
            self.move_ends(region, &round.ends);
            self.remember(round);
            if k + 1 == last
                && let Some(bound) = self.closed_early(region)
            {
                return Root::Closed(bound);
            }
        }
        Root::Open
    }

    /// Moves ends of a region inwards, by multipliers found for a neighbour of its relaxation.
    pub(super) fn move_ends(&self, region: &mut Region, ends: &[Inward]) {
        let multipliers = ends.iter().map(|end| &end.multipliers);
        let Relaxation { program, tags, .. } = self.program_for(region, multipliers);
        for end in ends {
            let over = branch::interval(region, end.scalar);
            let from = if end.upper { over.hi } else { over.lo };
            let (cost, least_weight) = self.distance(region, end.scalar, end.upper, from);
            let bound = program.bound(&cost, &end.multipliers.among(&tags));
            let to = inward(from, end.upper, bound / least_weight);
            let (lo, hi) = if end.upper {
                (over.lo, to)
            } else {
                (to, over.hi)
            };
            if let Some(narrow) = Interval::new(lo, hi).meet(over) {
                branch::set(region, end.scalar, narrow);
            }
        }
    }

    fn remember(&mut self, round: Round) {
        if let Some(memory) = &mut self.memory {
            memory.rounds.push(round);
        }
    }

    /// Whether a bound on the root's goal leaves nothing to be found.
    pub(super) fn closes(&self, bound: f64) -> bool {
        self.target().is_some() && bound >= self.threshold()
    }

    /// In a series of proofs the root is closed as soon as it can be; the multipliers are remembered.
    fn closed_early(&mut self, region: &mut Region) -> Option<f64> {
        self.memory.as_ref()?;
        self.target()?;
        if !self.narrow(region) {
            return Some(self.threshold());
        }
        let Relaxation { program, tags, .. } = self.program(region);
        if program.cost.iter().all(|c| *c == 0.0) {
            return None;
        }
        self.programs += 1;
        let Found::Best { y, bound, .. } = linear::solve(&program) else {
            return None;
        };
        if !self.closes(bound) {
            return None;
        }
        self.remember(Round {
            ends: Vec::new(),
            closing: Some(Multipliers::new(&tags, &y)),
        });
        Some(bound)
    }

    /// The interval of a scalar over a relaxation, each end proved by multipliers; `None` where the
    /// relaxation seems to have no point.
    fn narrowed(
        &mut self,
        series: &mut Series,
        region: &Region,
        scalar: Scalar,
        (tags, round): (&[Tag], &mut Round),
    ) -> Option<Interval> {
        let over = branch::interval(region, scalar);
        let mut ends = [over.lo, over.hi];
        for (end, upper) in ends.iter_mut().zip([false, true]) {
            let (cost, least_weight) = self.distance(region, scalar, upper, *end);
            self.programs += 1;
            let (y, bound) = series.bound(cost)?;
            let to = inward(*end, upper, bound / least_weight);
            if self.memory.is_some() && (to - *end).abs() > WORTH_KEEPING * (over.hi - over.lo) {
                round.ends.push(Inward {
                    scalar,
                    upper,
                    multipliers: Multipliers::new(tags, &y),
                });
            }
            *end = to;
        }
        Interval::new(ends[0], ends[1]).meet(over)
    }

    /// A linear function of the mass fractions that is the distance of a scalar from an end, times
    /// at most the second number.
    fn distance(&self, region: &Region, scalar: Scalar, upper: bool, end: f64) -> (Vec<f64>, f64) {
        let sign = if upper { -1.0 } else { 1.0 };
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

/// An end of an interval moved inwards by a proved distance.
fn inward(end: f64, upper: bool, by: f64) -> f64 {
    if !by.is_finite() || by <= 0.0 {
        return end;
    }
    let sign = if upper { -1.0 } else { 1.0 };
    // The division and the sum are rounded: stay outside, by part and by last digits.
    let moved = end + sign * by * (1.0 - 1e-9);
    moved - sign * 4.0 * f64::EPSILON * moved.abs()
}

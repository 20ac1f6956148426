//! Where to split a region.

use crate::solve::prove::interval::Interval;
use crate::solve::prove::outline::Cut;
use crate::solve::prove::relax::BendRow;
use crate::solve::prove::relax::Model;
use crate::solve::prove::relax::Region;
use crate::solve::prove::relax::Scalar;
use crate::solve::prove::relaxation::GOAL;
use crate::solve::prove::tree::Node;
use crate::solve::prove::tree::Prover;
use crate::solve::prove::tree::Verdict;

/// A split keeps this part of a scalar's width on each side at least.
const LEAST_PART: f64 = 0.15;

/// A scalar narrower than this part of its size is not split further: the slack it causes is below
/// the tolerance at which recipes are judged.
const NARROWEST: f64 = 1e-10;

/// A scalar smaller than this is measured against this.
const SMALL: f64 = 1e-3;

impl Prover<'_> {
    /// Splits at what a relaxation's point breaks first: recipe logic, the balance's grid, then the
    /// scalar most to blame for the worst miss.
    pub(super) fn choose(
        &self,
        node: &Node,
        x: &[f64],
        bound: f64,
        bends: &[(usize, BendRow)],
    ) -> Verdict {
        let region = &node.region;
        if let Some(j) = self.task.logic.broken(&region.uses, x) {
            return cut(bound, Cut::Use(j), region);
        }
        if let Some((j, below, above)) = self.task.logic.off_grid(x) {
            let nearer_above = above - x[j] < x[j] - below;
            return cut(bound, Cut::Step(j, below, above, nearer_above), region);
        }
        for (scalar, _) in self.causes(region, x, bends) {
            let over = interval(region, scalar);
            let width = over.hi - over.lo;
            if width > NARROWEST * over.magnitude().max(SMALL) {
                let at = self.model.value(self.task, scalar, x);
                let at = at.clamp(over.lo + LEAST_PART * width, over.hi - LEAST_PART * width);
                return cut(bound, Cut::At(scalar, at), region);
            }
        }
        self.cut_widest(node, bound)
    }

    /// The scalars behind the misses at a point, most to blame first.
    pub(super) fn causes(
        &self,
        region: &Region,
        x: &[f64],
        bends: &[(usize, BendRow)],
    ) -> Vec<(Scalar, f64)> {
        let mut causes: Vec<(Scalar, f64)> = Vec::new();
        for (bend, row) in bends {
            if !self.misses(*bend, x) {
                continue;
            }
            for (scalar, part) in row.blamed(&self.model, self.task, region) {
                match causes.iter_mut().find(|(s, _)| *s == scalar) {
                    Some((_, sum)) => *sum += part,
                    None => causes.push((scalar, part)),
                }
            }
        }
        causes.sort_by(|a, b| b.1.total_cmp(&a.1).then(a.0.cmp(&b.0)));
        causes
    }

    fn misses(&self, bend: usize, x: &[f64]) -> bool {
        if bend == GOAL {
            let target = self.target().unwrap_or(f64::INFINITY);
            return self.task.goal(x).is_none_or(|g| g > target);
        }
        match self.model.bends[bend].limit {
            Some(limit) => self.task.missed(&self.task.curved[limit], x) > 0.0,
            None => false,
        }
    }

    /// Halves the scalar that is widest for its size.
    pub(super) fn cut_widest(&self, node: &Node, bound: f64) -> Verdict {
        let relative = |s: &Scalar| {
            let over = interval(&node.region, *s);
            (over.hi - over.lo) / over.magnitude().max(SMALL)
        };
        let widest = self
            .scalars()
            .into_iter()
            .filter(|s| relative(s) > NARROWEST)
            .max_by(|a, b| relative(a).total_cmp(&relative(b)).then(b.cmp(a)));
        match widest {
            Some(scalar) => {
                let at = interval(&node.region, scalar).middle();
                cut(bound, Cut::At(scalar, at), &node.region)
            }
            None => Verdict::Stuck(bound),
        }
    }
}

/// Every scalar of a model that may be split.
pub(super) fn scalars(model: &Model) -> Vec<Scalar> {
    (0..model.quotients.len())
        .map(Scalar::Quotient)
        .chain((0..model.sums.len()).map(Scalar::Sum))
        .chain(model.polymers.iter().copied().map(Scalar::Column))
        .collect()
}

/// Whether a scalar still has a width worth narrowing.
pub(super) fn is_open(region: &Region, scalar: Scalar) -> bool {
    let over = interval(region, scalar);
    over.hi - over.lo > NARROWEST * over.magnitude().max(SMALL)
}

/// Where a region confines a scalar.
pub(super) fn interval(region: &Region, scalar: Scalar) -> Interval {
    match scalar {
        Scalar::Quotient(q) => region.quotients[q],
        Scalar::Sum(s) => region.sums[s],
        Scalar::Column(j) => Interval::new(region.lower[j], region.upper[j]),
    }
}

/// Confines a scalar.
pub(super) fn set(region: &mut Region, scalar: Scalar, over: Interval) {
    match scalar {
        Scalar::Quotient(q) => region.quotients[q] = over,
        Scalar::Sum(s) => region.sums[s] = over,
        Scalar::Column(j) => {
            region.lower[j] = over.lo;
            region.upper[j] = over.hi;
        }
    }
}

fn cut(bound: f64, at: Cut, region: &Region) -> Verdict {
    Verdict::Cut(bound, at, at.parts(region))
}

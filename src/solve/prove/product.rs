//! The row of a bend: a bounded sum of log-viscosities times its positive denominator.

use crate::solve::program::Row;
use crate::solve::prove::estimate::Bound;
use crate::solve::prove::estimate::Cell;
use crate::solve::prove::estimate::LogViscosity;
use crate::solve::prove::interval::Interval;
use crate::solve::prove::relax::BendRow;
use crate::solve::prove::relax::Model;
use crate::solve::prove::relax::ROUNDING;
use crate::solve::prove::relax::Region;
use crate::solve::prove::relax::Scalar;
use crate::solve::task::Task;

/// A sum of bounded log-viscosities with one denominator, `≤ 0`.
pub(super) struct Sum {
    weight: usize,
    numerators: Vec<(usize, f64)>,
    rest: Vec<(usize, f64, Interval)>,
    pub(super) constant: f64,
    blame: Vec<(Cause, f64)>,
}

/// What slack is blamed on, before it is matched with a region's scalars.
#[derive(Debug, Clone, Copy)]
pub(super) enum Cause {
    Index(usize, usize),
    Total(usize),
}

impl Sum {
    pub(super) fn new(weight: usize) -> Self {
        Sum {
            weight,
            numerators: Vec::new(),
            rest: Vec::new(),
            constant: 0.0,
            blame: Vec::new(),
        }
    }

    pub(super) fn add(&mut self, f: &LogViscosity, bound: &Bound, cell: &Cell, times: f64) {
        self.numerators.push((f.index, times * bound.alpha));
        let totals = [f.kept, f.crowding, f.volume];
        for (k, total) in totals.into_iter().enumerate() {
            let Some(total) = total else { continue };
            self.rest
                .push((total, times * bound.gamma[k], cell.rest[k]));
            self.blame
                .push((Cause::Total(total), times.abs() * bound.blame[k + 1]));
        }
        self.constant += times * bound.constant;
        self.blame.push((
            Cause::Index(f.index, f.weight),
            times.abs() * bound.blame[0],
        ));
    }

    /// The slack of an index edge is blamed on what makes the viscosity at 100 °C wide.
    pub(super) fn blame_edge(&mut self, f: &LogViscosity, bound: &Bound, cell: &Cell, slack: f64) {
        let causes = [
            (
                Some(Cause::Index(f.index, f.weight)),
                bound.alpha,
                cell.index,
            ),
            (f.kept.map(Cause::Total), bound.gamma[0], cell.rest[0]),
            (f.crowding.map(Cause::Total), bound.gamma[1], cell.rest[1]),
            (f.volume.map(Cause::Total), bound.gamma[2], cell.rest[2]),
        ];
        let all: f64 = causes
            .iter()
            .map(|(_, g, over)| (g * over.width()).abs())
            .sum();
        for (cause, g, over) in causes {
            if let Some(cause) = cause {
                let part = (g * over.width()).abs() / all.max(f64::MIN_POSITIVE);
                self.blame.push((cause, slack * part));
            }
        }
    }

    /// `Σ α N + D·ℓ ≤ 0` with `D·ℓ ≥ ℓc D + Dc ℓ − Dc ℓc − rD rℓ`.
    pub(super) fn row(self, model: &Model, task: &Task, region: &Region) -> BendRow {
        let d = model.total(task, region, self.weight);
        let l = self
            .rest
            .iter()
            .fold(Interval::point(self.constant), |sum, (_, g, over)| {
                sum + Interval::point(*g) * *over
            });
        let (dc, lc) = (d.middle(), l.middle());
        let reach = |i: Interval, c: f64| (i.hi - c).max(c - i.lo).next_up();
        let crossed = (reach(d, dc) * reach(l, lc)).next_up();
        let mut coefficients = vec![0.0; task.exact.width()];
        let mut size = 0.0;
        let mut add = |total: usize, weight: f64| {
            for (c, a) in coefficients.iter_mut().zip(&task.totals[total]) {
                *c += weight * a;
                size = f64::max(size, (weight * a).abs());
            }
        };
        for (total, alpha) in &self.numerators {
            add(*total, *alpha);
        }
        add(self.weight, lc);
        for (total, gamma, _) in &self.rest {
            add(*total, dc * gamma);
        }
        let constant = dc * self.constant - dc * lc - crossed;
        let slack = ROUNDING * (1.0 + size + constant.abs() + (dc * lc).abs() + l.magnitude());
        let mut blame = self.blame;
        blame.push((Cause::Total(self.weight), crossed));
        BendRow {
            row: Row {
                coefficients,
                lower: f64::NEG_INFINITY,
                upper: slack - constant,
            },
            blame,
        }
    }
}

impl BendRow {
    /// The scalars of the region to blame for the row's slack, each with its part of it.
    pub(super) fn blamed(&self, model: &Model, task: &Task, region: &Region) -> Vec<(Scalar, f64)> {
        let mut blamed = Vec::new();
        for (cause, part) in &self.blame {
            match *cause {
                Cause::Index(n, w) => {
                    let place = model.quotients.iter().position(|p| *p == (n, w));
                    blamed.extend(place.map(|q| (Scalar::Quotient(q), *part)));
                }
                Cause::Total(t) => {
                    let width =
                        |j: usize| (task.totals[t][j] * (region.upper[j] - region.lower[j])).abs();
                    // A polymer's sum is split through the treat rates behind it.
                    let carriers = || model.polymers.iter().copied().filter(|&j| width(j) > 0.0);
                    let all: f64 = carriers().map(width).sum();
                    match model.sums.iter().position(|s| *s == t) {
                        Some(s) if all <= 0.0 || !model.thickens(t) => {
                            blamed.push((Scalar::Sum(s), *part));
                        }
                        _ => blamed.extend(carriers().map(|j| {
                            let own = width(j) / all.max(f64::MIN_POSITIVE);
                            (Scalar::Column(j), part * own)
                        })),
                    }
                }
            }
        }
        blamed
    }
}

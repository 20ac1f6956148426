//! The linear relaxation of a task over a box: every recipe of the box that meets the limits is a
//! point of the program, so its best goal bounds theirs.

use crate::declare::problem::Side;
use crate::solve::logic::Use;
use crate::solve::program::Program;
use crate::solve::program::Row;
use crate::solve::prove::estimate;
use crate::solve::prove::estimate::Cell;
use crate::solve::prove::estimate::From;
use crate::solve::prove::estimate::LogViscosity;
use crate::solve::prove::estimate::Shape;
use crate::solve::prove::index_edge;
use crate::solve::prove::interval::Interval;
use crate::solve::prove::product::Cause;
use crate::solve::prove::product::Sum;
use crate::solve::task::Curve;
use crate::solve::task::Task;

/// Rounding of a row's coefficients and constant, in parts of their sizes: a few hundred operations
/// of 1.1e-16 each, ten times over.
pub(super) const ROUNDING: f64 = 1e-12;

/// A curved limit that the relaxation can bound.
#[derive(Debug, Clone)]
pub struct Bend {
    /// Index into the task's curved limits; `None` for the goal held to a threshold.
    pub limit: Option<usize>,
    /// What bends.
    pub shape: Shape,
    /// Which way.
    pub side: Side,
    /// On the curve's scale: a logarithm, or an index.
    pub bound: f64,
}

/// A scalar that a box confines and that may be split.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Scalar {
    /// An index mean N/D, by its place in [`Model::quotients`].
    Quotient(usize),
    /// A total, by its place in [`Model::sums`].
    Sum(usize),
    /// A column's mass fraction.
    Column(usize),
}

/// What a row of a relaxation is, whichever other rows stand beside it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Tag {
    /// A row of the exact part.
    Exact(usize),
    /// A wall of the region: a scalar, and whether it is its upper end (a sum's two ends are one row).
    Wall(Scalar, bool),
    /// A row of recipe logic.
    Logic(usize),
    /// One of the rows of a bend.
    Bend(usize, usize),
    /// What does not better the known recipe is cut off.
    Cutoff,
}

/// What a box confines.
#[derive(Debug, Clone, PartialEq)]
pub struct Region {
    /// Lower ends of the mass fractions.
    pub lower: Vec<f64>,
    /// Upper ends.
    pub upper: Vec<f64>,
    /// Index means.
    pub quotients: Vec<Interval>,
    /// Totals.
    pub sums: Vec<Interval>,
    /// Decisions of recipe logic.
    pub uses: Vec<Use>,
    /// Which bends every point of the region keeps: they need not be looked at in it again.
    pub kept: Vec<bool>,
}

/// The curved part of a task, sorted for relaxation.
#[derive(Debug, Clone)]
pub struct Model {
    /// The bends.
    pub bends: Vec<Bend>,
    /// Numerator and denominator totals of each index mean that bends.
    pub quotients: Vec<(usize, usize)>,
    /// Totals that are confined on their own: denominators and specific volume.
    pub sums: Vec<usize>,
    /// Columns that carry polymer.
    pub polymers: Vec<usize>,
}

/// A row, and what is to blame for how much of its slack.
#[derive(Debug, Clone)]
pub struct BendRow {
    /// The row over the columns.
    pub row: Row,
    /// What is to blame for how much of its slack.
    pub(super) blame: Vec<(Cause, f64)>,
}

impl Model {
    /// The model of a task's curved limits.
    #[must_use]
    pub fn new(task: &Task) -> Self {
        let mut model = Model {
            bends: Vec::new(),
            quotients: Vec::new(),
            sums: Vec::new(),
            polymers: Vec::new(),
        };
        for (i, limit) in task.curved.iter().enumerate() {
            if let Some(shape) = estimate::shape(&limit.curve) {
                model.register(task, &shape);
                model.bend(Bend {
                    limit: Some(i),
                    shape,
                    side: limit.side,
                    bound: limit.bound,
                });
            }
        }
        model
    }

    /// Adds a bend; of two limits on one side of one curve only the tighter one bends.
    fn bend(&mut self, bend: Bend) {
        let twin = self
            .bends
            .iter_mut()
            .find(|b| b.side == bend.side && b.shape == bend.shape);
        match twin {
            None => self.bends.push(bend),
            Some(twin) => {
                let tighter = match bend.side {
                    Side::Min => bend.bound > twin.bound,
                    Side::Max => bend.bound < twin.bound,
                };
                if tighter {
                    *twin = bend;
                }
            }
        }
    }

    /// Adds the scalars of a shape (of a limit, or of a goal).
    pub fn register(&mut self, task: &Task, shape: &Shape) {
        for f in parts(shape) {
            let pair = (f.index, f.weight);
            if !self.quotients.contains(&pair) {
                self.quotients.push(pair);
            }
            for total in [Some(f.weight), f.volume].into_iter().flatten() {
                if !self.sums.contains(&total) {
                    self.sums.push(total);
                }
            }
            for total in [f.kept, f.crowding].into_iter().flatten() {
                self.register_polymer(task, total);
            }
        }
        self.polymers.sort_unstable();
    }

    /// Polymers are confined by their treat rates; where several stand in for one another, also by
    /// the sums that the formulas see.
    fn register_polymer(&mut self, task: &Task, total: usize) {
        let carriers: Vec<usize> = (0..task.columns.len())
            .filter(|&j| task.totals[total][j] != 0.0)
            .collect();
        if carriers.len() > 1 && !self.sums.contains(&total) {
            self.sums.push(total);
        }
        for j in carriers {
            if !self.polymers.contains(&j) {
                self.polymers.push(j);
            }
        }
    }

    /// The whole box: treat bands, and what they imply for every scalar.
    #[must_use]
    pub fn whole(&self, task: &Task) -> Region {
        let (lower, upper) = (task.exact.lower.clone(), task.exact.upper.clone());
        let components = task.columns.len();
        let open: Vec<usize> = (0..components).filter(|&j| upper[j] > 0.0).collect();
        let range = |of: &dyn Fn(usize) -> f64| {
            let lo = open.iter().map(|&j| of(j)).fold(f64::INFINITY, f64::min);
            let hi = open
                .iter()
                .map(|&j| of(j))
                .fold(f64::NEG_INFINITY, f64::max);
            // A weighted mean, rounded outward.
            let pad = ROUNDING * lo.abs().max(hi.abs());
            Interval::new(lo - pad, hi + pad)
        };
        let quotients = self
            .quotients
            .iter()
            .map(|&(n, d)| range(&|j| task.totals[n][j] / task.totals[d][j]))
            .collect();
        let sums = self
            .sums
            .iter()
            .map(|&t| range(&|j| task.totals[t][j]))
            .collect();
        Region {
            lower,
            upper,
            quotients,
            sums,
            uses: vec![Use::Free; components],
            kept: vec![false; self.bends.len()],
        }
    }

    /// An enclosure of a total over a region's mass fractions.
    pub(super) fn total(&self, task: &Task, region: &Region, total: usize) -> Interval {
        self.confined(region, total, Self::by_columns(task, region, total))
    }

    /// What is left of a total's enclosure within the region's own.
    pub(super) fn confined(&self, region: &Region, total: usize, over: Interval) -> Interval {
        match self.sums.iter().position(|s| *s == total) {
            Some(s) => over.meet(region.sums[s]).unwrap_or(region.sums[s]),
            None => over,
        }
    }

    fn by_columns(task: &Task, region: &Region, total: usize) -> Interval {
        Self::by_columns_but(task, region, total, usize::MAX)
    }

    /// An enclosure of the sum over all columns but one.
    pub(super) fn by_columns_but(
        task: &Task,
        region: &Region,
        total: usize,
        column: usize,
    ) -> Interval {
        let (mut lo, mut hi, mut size) = (0.0, 0.0, 0.0);
        let ends = region.lower.iter().zip(&region.upper);
        for (j, (c, (lower, upper))) in task.totals[total].iter().zip(ends).enumerate() {
            if j == column {
                continue;
            }
            let (a, b) = (c * lower, c * upper);
            lo += a.min(b);
            hi += a.max(b);
            size += a.abs().max(b.abs());
        }
        // The rounding of n products and their sum is at most n units of 1.1e-16 of the terms' sizes (Higham
        // 2002, section 3.1), taken here four times over.
        #[expect(clippy::cast_precision_loss, reason = "a count of columns")]
        let rounding = 4.0 * f64::EPSILON * task.totals[total].len() as f64 * size;
        Interval::new(lo - rounding, hi + rounding)
    }

    pub(super) fn cell(&self, task: &Task, region: &Region, f: &LogViscosity) -> Option<Cell> {
        let q = self
            .quotients
            .iter()
            .position(|p| *p == (f.index, f.weight))?;
        let of = |t: Option<usize>, without: f64| {
            t.map_or(Interval::point(without), |t| self.total(task, region, t))
        };
        Some(Cell {
            index: region.quotients[q],
            rest: [
                of(f.kept, 0.0).nonnegative(),
                of(f.crowding, 0.0).nonnegative(),
                of(f.volume, 1.0),
            ],
        })
    }

    /// Whether a total is a polymer's, not the fluid's.
    pub(super) fn thickens(&self, total: usize) -> bool {
        self.bends
            .iter()
            .flat_map(|b| parts(&b.shape))
            .any(|f| f.kept == Some(total) || f.crowding == Some(total))
    }

    /// Rows that confine the scalars to the region, of those that are wanted.
    fn walls(&self, task: &Task, region: &Region, wanted: &dyn Fn(Tag) -> bool) -> Vec<(Tag, Row)> {
        let mut rows = Vec::new();
        for (q, (&(n, d), over)) in self.quotients.iter().zip(&region.quotients).enumerate() {
            for (side, end) in [(1.0, over.lo), (-1.0, over.hi)] {
                let tag = Tag::Wall(Scalar::Quotient(q), side < 0.0);
                if end.is_finite() && wanted(tag) {
                    let coefficients: Vec<f64> = task.totals[n]
                        .iter()
                        .zip(&task.totals[d])
                        .map(|(n, d)| side * (n - end * d))
                        .collect();
                    let slack = ROUNDING * (1.0 + end.abs());
                    let row = Row {
                        coefficients,
                        lower: -slack,
                        upper: f64::INFINITY,
                    };
                    rows.push((tag, row));
                }
            }
        }
        for (k, (&t, over)) in self.sums.iter().zip(&region.sums).enumerate() {
            let tag = Tag::Wall(Scalar::Sum(k), false);
            if !wanted(tag) {
                continue;
            }
            let by_columns = Self::by_columns(task, region, t);
            if over.lo <= by_columns.lo && by_columns.hi <= over.hi {
                // The treat rates already confine it.
                continue;
            }
            let row = Row {
                coefficients: task.totals[t].clone(),
                lower: over.lo,
                upper: over.hi,
            };
            rows.push((tag, row));
        }
        rows
    }

    /// The rows of one bend over a region; none where no finite bound is known there.
    #[must_use]
    pub fn rows(&self, task: &Task, region: &Region, bend: &Bend) -> Vec<BendRow> {
        match &bend.shape {
            Shape::Log(f) => self.log_rows(task, region, bend, f),
            Shape::Index(f40, f100) => self
                .index_row(task, region, bend, f40, f100)
                .into_iter()
                .collect(),
        }
    }

    fn log_rows(
        &self,
        task: &Task,
        region: &Region,
        bend: &Bend,
        f: &LogViscosity,
    ) -> Vec<BendRow> {
        let Some(cell) = self.cell(task, region, f) else {
            return Vec::new();
        };
        let (from, sign) = match bend.side {
            Side::Max => (From::Below, 1.0),
            Side::Min => (From::Above, -1.0),
        };
        estimate::bounds(f, &cell, from)
            .iter()
            .map(|bound| {
                let mut sum = Sum::new(f.weight);
                sum.add(f, bound, &cell, sign);
                sum.constant -= sign * bend.bound;
                sum.row(self, task, region)
            })
            .collect()
    }

    /// ln ν40 − φ(ln ν100) ≤ 0 for a minimum, ≥ 0 for a maximum; φ rises.
    fn index_row(
        &self,
        task: &Task,
        region: &Region,
        bend: &Bend,
        f40: &LogViscosity,
        f100: &LogViscosity,
    ) -> Option<BendRow> {
        let (c40, c100) = (
            self.cell(task, region, f40)?,
            self.cell(task, region, f100)?,
        );
        let t = estimate::enclose(f100, &c100);
        let (at40, at100, edge, sign) = match bend.side {
            Side::Min => (From::Below, From::Above, From::Above, 1.0),
            Side::Max => (From::Above, From::Below, From::Below, -1.0),
        };
        let line = index_edge::line(bend.bound, t, edge)?;
        if line.slope < 0.0 {
            return None;
        }
        let (b40, b100) = (
            estimate::bound(f40, &c40, at40)?,
            estimate::bound(f100, &c100, at100)?,
        );
        let mut sum = Sum::new(f40.weight);
        sum.add(f40, &b40, &c40, sign);
        sum.add(f100, &b100, &c100, -sign * line.slope);
        sum.constant -= sign * line.constant;
        sum.blame_edge(f100, &b100, &c100, line.slack);
        Some(sum.row(self, task, region))
    }

    /// The relaxation over a region, its goal and its bends left out, with what each row is; of its rows
    /// only those that are wanted.
    #[must_use]
    pub fn program(
        &self,
        task: &Task,
        region: &Region,
        wanted: &dyn Fn(Tag) -> bool,
    ) -> (Program, Vec<Tag>) {
        let (mut tags, mut rows) = (Vec::new(), Vec::new());
        for (i, row) in task.exact.rows.iter().enumerate() {
            if wanted(Tag::Exact(i)) {
                tags.push(Tag::Exact(i));
                rows.push(row.clone());
            }
        }
        for (tag, row) in self.walls(task, region, wanted) {
            tags.push(tag);
            rows.push(row);
        }
        if !task.logic.is_empty() {
            let logic = task
                .logic
                .rows(&region.uses, &region.upper, task.exact.width());
            for (i, row) in logic.into_iter().enumerate() {
                if wanted(Tag::Logic(i)) {
                    tags.push(Tag::Logic(i));
                    rows.push(row);
                }
            }
        }
        let program = Program {
            cost: vec![0.0; task.exact.width()],
            lower: region.lower.clone(),
            upper: region.upper.clone(),
            rows,
        };
        (program, tags)
    }

    /// Where a scalar stands at a point.
    #[must_use]
    pub fn value(&self, task: &Task, scalar: Scalar, x: &[f64]) -> f64 {
        let sum = |t: usize| {
            task.totals[t]
                .iter()
                .zip(x)
                .map(|(c, x)| c * x)
                .sum::<f64>()
        };
        match scalar {
            Scalar::Quotient(q) => sum(self.quotients[q].0) / sum(self.quotients[q].1),
            Scalar::Sum(s) => sum(self.sums[s]),
            Scalar::Column(j) => x[j],
        }
    }
}

/// The log-viscosities of a shape.
fn parts(shape: &Shape) -> Vec<&LogViscosity> {
    match shape {
        Shape::Log(f) => vec![f],
        Shape::Index(a, b) => vec![a, b],
    }
}

/// The goal held to a threshold, as a bend; `None` where the goal is no bendable curve.
#[must_use]
pub fn goal_bend(curve: &Curve, sign: f64, threshold: f64) -> Option<Bend> {
    let logarithmic = Curve {
        logarithmic: true,
        ..curve.clone()
    };
    let shape = estimate::shape(&logarithmic)?;
    let bound = match &shape {
        Shape::Log(_) => (sign * threshold).ln(),
        Shape::Index(..) => sign * threshold,
    };
    let side = if sign > 0.0 { Side::Max } else { Side::Min };
    bound.is_finite().then_some(Bend {
        limit: None,
        shape,
        side,
        bound,
    })
}

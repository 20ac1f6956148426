//! A dense dual simplex method for programs whose variables all have finite bounds.
//!
//! Such a program needs no first phase: with every variable on the bound that its cost prefers, all
//! rows basic, the dual is feasible, and each pivot keeps it so (Lemke 1954; bounded variables as in
//! Chvátal 1983, chapter 8). It gives what the search lives on and general libraries do not hand
//! out: multipliers with every best point, and with every empty program the row that shows it. Its
//! answers are checked by plain arithmetic in `linear`; nothing relies on this file being right.
//!
//! The dictionary states every basic variable as a sum over the nonbasic ones; a row's activity
//! `r = a·x` is a variable like any other.

use crate::solve::program::Program;
use crate::solve::program::Row;

/// What the method found.
#[derive(Debug, Clone, PartialEq)]
pub enum Solved {
    /// A best point and the row multipliers that show it.
    Best(Vec<f64>, Vec<f64>),
    /// Row multipliers that show that there is no point.
    Empty(Vec<f64>),
    /// The pivots ran out, or became too small to trust.
    Failed,
}

/// A basic variable outside its bounds by less than this, in its row's scale, counts as inside.
const INSIDE: f64 = 1e-11;

/// A coefficient smaller than this is no pivot.
const SMALLEST_PIVOT: f64 = 1e-9;

/// Pivots allowed for each row and column.
const PIVOTS_EACH: usize = 20;

#[derive(Debug, Clone)]
struct Dictionary {
    /// Number of rows and of columns.
    m: usize,
    n: usize,
    /// Row-major coefficients: basic i over nonbasic k.
    t: Vec<f64>,
    /// Cost over the nonbasic variables.
    d: Vec<f64>,
    /// Which variable is basic in each row, nonbasic in each column: x first, then activities.
    basic: Vec<usize>,
    nonbasic: Vec<usize>,
    /// Bounds and present values of all variables.
    lower: Vec<f64>,
    upper: Vec<f64>,
    value: Vec<f64>,
}

/// A reduced cost within this part of the largest cost promises no gain.
const NO_GAIN: f64 = 1e-11;

/// Solves a program.
#[must_use]
pub fn solve(program: &Program) -> Solved {
    Series::begin(program).1
}

/// One set of rows and bounds, solved for one cost after another: each starts from the last best
/// point, which meets the rows already, and goes on by the primal method.
#[derive(Debug, Clone)]
pub struct Series {
    dictionary: Dictionary,
    scales: Vec<f64>,
}

impl Series {
    /// Solves a program; the series is only there to go on with when a best point was found.
    #[must_use]
    pub fn begin(program: &Program) -> (Self, Solved) {
        let scales: Vec<f64> = program.rows.iter().map(row_scale).collect();
        let dictionary = Dictionary::new(program, &scales);
        let mut series = Series { dictionary, scales };
        let solved = series.meet_rows();
        (series, solved)
    }

    /// Pivots allowed.
    fn most(&self) -> usize {
        PIVOTS_EACH * (self.dictionary.m + self.dictionary.n + 1)
    }

    /// The dual method from a dictionary whose costs are right and whose values may not be.
    fn meet_rows(&mut self) -> Solved {
        for pivot in 0..self.most() {
            // After many pivots the first candidate in order is taken: that cannot cycle.
            let careful = pivot > self.most() / 2;
            let Some((row, target)) = self.dictionary.leaving(careful) else {
                return self.dictionary.best(&self.scales);
            };
            match self.dictionary.entering(row, target, careful) {
                Some(column) => self.dictionary.pivot(row, column, target),
                None if self.dictionary.shows_empty(row, target) => {
                    return self.dictionary.empty(row, target, &self.scales);
                }
                None => return Solved::Failed,
            }
        }
        Solved::Failed
    }

    /// Solves the same with one row more, from the last best point: its costs stay right.
    pub fn and(&mut self, row: &Row) -> Solved {
        let scale = row_scale(row);
        self.scales.push(scale);
        self.dictionary.add(row, scale);
        self.meet_rows()
    }

    /// Solves the same rows and bounds for another cost.
    pub fn again(&mut self, cost: &[f64]) -> Solved {
        self.dictionary.price(cost);
        let size = cost.iter().fold(0.0_f64, |m, c| m.max(c.abs()));
        for pivot in 0..self.most() {
            let careful = pivot > self.most() / 2;
            let Some((column, rise)) = self.dictionary.improving(NO_GAIN * size, careful) else {
                return self.dictionary.best(&self.scales);
            };
            if !self.dictionary.advance(column, rise) {
                return Solved::Failed;
            }
        }
        Solved::Failed
    }
}

fn row_scale(row: &Row) -> f64 {
    let largest = row.coefficients.iter().fold(0.0_f64, |m, a| m.max(a.abs()));
    if largest > 0.0 && largest.is_finite() {
        largest
    } else {
        1.0
    }
}

impl Dictionary {
    fn new(program: &Program, scales: &[f64]) -> Self {
        let (n, m) = (program.width(), program.rows.len());
        let mut t = Vec::with_capacity(n * m);
        for (row, s) in program.rows.iter().zip(scales) {
            t.extend(row.coefficients.iter().map(|a| a / s));
        }
        let mut lower = program.lower.clone();
        let mut upper = program.upper.clone();
        lower.extend(program.rows.iter().zip(scales).map(|(r, s)| r.lower / s));
        upper.extend(program.rows.iter().zip(scales).map(|(r, s)| r.upper / s));
        let mut value: Vec<f64> = program
            .cost
            .iter()
            .enumerate()
            .map(|(j, c)| if *c >= 0.0 { lower[j] } else { upper[j] })
            .collect();
        for i in 0..m {
            let row = &t[i * n..(i + 1) * n];
            value.push(row.iter().zip(&value[..n]).map(|(a, x)| a * x).sum());
        }
        Dictionary {
            m,
            n,
            t,
            d: program.cost.clone(),
            basic: (n..n + m).collect(),
            nonbasic: (0..n).collect(),
            lower,
            upper,
            value,
        }
    }

    /// The basic variable farthest outside its bounds, and the bound it must go to.
    fn leaving(&self, careful: bool) -> Option<(usize, f64)> {
        let mut worst = INSIDE;
        let mut found = None;
        for (i, &b) in self.basic.iter().enumerate() {
            let v = self.value[b];
            let (off, target) = if v < self.lower[b] {
                (self.lower[b] - v, self.lower[b])
            } else {
                (v - self.upper[b], self.upper[b])
            };
            if off > worst * (1.0 + target.abs()) {
                found = Some((i, target));
                if careful {
                    break;
                }
                worst = off / (1.0 + target.abs());
            }
        }
        found
    }

    /// The nonbasic variable that can carry a basic one to its bound at the least cost.
    fn entering(&self, row: usize, target: f64, careful: bool) -> Option<usize> {
        let up = target > self.value[self.basic[row]];
        let t = &self.t[row * self.n..(row + 1) * self.n];
        let mut best: Option<(f64, f64, usize)> = None;
        for (k, (&a, &d)) in t.iter().zip(&self.d).enumerate() {
            if a.abs() < SMALLEST_PIVOT || !self.moves(k, (a > 0.0) == up) {
                continue;
            }
            let ratio = d.abs() / a.abs();
            let better = match best {
                None => true,
                // Among near ties the largest pivot is the safest.
                Some((r, size, _)) => {
                    ratio < r - 1e-12 * (1.0 + r)
                        || (!careful && ratio <= r + 1e-12 * (1.0 + r) && a.abs() > size)
                }
            };
            if better {
                best = Some((ratio, a.abs(), k));
            }
        }
        best.map(|(_, _, k)| k)
    }

    /// Whether a nonbasic variable has room to rise, or to fall.
    fn moves(&self, column: usize, rise: bool) -> bool {
        let v = self.nonbasic[column];
        if self.upper[v] - self.lower[v] <= 0.0 {
            return false;
        }
        let at_lower = self.value[v] - self.lower[v] <= self.upper[v] - self.value[v];
        at_lower == rise
    }

    fn pivot(&mut self, row: usize, column: usize, target: f64) {
        let n = self.n;
        let (out, into) = (self.basic[row], self.nonbasic[column]);
        let p = self.t[row * n + column];
        let step = (target - self.value[out]) / p;
        for i in 0..self.m {
            self.value[self.basic[i]] += self.t[i * n + column] * step;
        }
        self.value[into] += step;
        self.value[out] = target;
        // into = out/p − Σ_{k ≠ column} (t_k/p) v_k
        let mut pivot_row: Vec<f64> = self.t[row * n..(row + 1) * n]
            .iter()
            .map(|a| -a / p)
            .collect();
        pivot_row[column] = p.recip();
        for i in (0..self.m).filter(|&i| i != row) {
            let line = &mut self.t[i * n..(i + 1) * n];
            let factor = line[column];
            if factor == 0.0 {
                continue;
            }
            line[column] = 0.0;
            for (a, b) in line.iter_mut().zip(&pivot_row) {
                *a += factor * b;
            }
        }
        let factor = self.d[column];
        self.d[column] = 0.0;
        for (a, b) in self.d.iter_mut().zip(&pivot_row) {
            *a += factor * b;
        }
        self.t[row * n..(row + 1) * n].copy_from_slice(&pivot_row);
        self.basic[row] = into;
        self.nonbasic[column] = out;
    }

    /// One row more, its activity basic: stated over the variables that are not.
    fn add(&mut self, row: &Row, scale: f64) {
        let n = self.n;
        let by_variable: Vec<f64> = row.coefficients.iter().map(|a| a / scale).collect();
        let mut line: Vec<f64> = self
            .nonbasic
            .iter()
            .map(|v| by_variable.get(*v).copied().unwrap_or(0.0))
            .collect();
        for (i, b) in self.basic.iter().enumerate() {
            let Some(factor) = by_variable.get(*b).filter(|a| **a != 0.0) else {
                continue;
            };
            for (a, t) in line.iter_mut().zip(&self.t[i * n..(i + 1) * n]) {
                *a += factor * t;
            }
        }
        let activity = by_variable.iter().zip(&self.value).map(|(a, x)| a * x);
        self.value.push(activity.sum());
        self.t.extend(line);
        self.lower.push(row.lower / scale);
        self.upper.push(row.upper / scale);
        self.basic.push(n + self.m);
        self.m += 1;
    }

    /// Puts another cost on the present dictionary.
    fn price(&mut self, cost: &[f64]) {
        for (d, &v) in self.d.iter_mut().zip(&self.nonbasic) {
            *d = if v < self.n { cost[v] } else { 0.0 };
        }
        for (i, &b) in self.basic.iter().enumerate() {
            if b < self.n && cost[b] != 0.0 {
                let row = &self.t[i * self.n..(i + 1) * self.n];
                for (d, a) in self.d.iter_mut().zip(row) {
                    *d += cost[b] * a;
                }
            }
        }
    }

    /// A nonbasic variable whose move would lower the cost, and which way.
    fn improving(&self, least: f64, careful: bool) -> Option<(usize, bool)> {
        let mut best = None;
        let mut most = least;
        for (k, &d) in self.d.iter().enumerate() {
            if d.abs() > most && self.moves(k, d < 0.0) {
                best = Some((k, d < 0.0));
                if careful {
                    break;
                }
                most = d.abs();
            }
        }
        best
    }

    /// Moves a nonbasic variable as far as its own bounds and the basic ones allow; false where
    /// nothing stops it, or only a pivot too small to trust.
    fn advance(&mut self, column: usize, rise: bool) -> bool {
        let n = self.n;
        let way = if rise { 1.0 } else { -1.0 };
        let into = self.nonbasic[column];
        let mut room = self.upper[into] - self.lower[into];
        let mut stop: Option<(usize, f64, f64)> = None;
        for (i, &b) in self.basic.iter().enumerate() {
            let a = self.t[i * n + column] * way;
            if a.abs() < SMALLEST_PIVOT {
                continue;
            }
            let target = if a > 0.0 {
                self.upper[b]
            } else {
                self.lower[b]
            };
            let step = ((target - self.value[b]) / a).max(0.0);
            let tie = step <= room + INSIDE && stop.is_some_and(|(_, _, size)| a.abs() > size);
            if step < room - INSIDE || tie && step.is_finite() {
                room = step.min(room);
                stop = Some((i, target, a.abs()));
            }
        }
        match stop {
            Some((row, target, _)) => self.pivot(row, column, target),
            None if room.is_finite() => {
                for i in 0..self.m {
                    self.value[self.basic[i]] += self.t[i * n + column] * way * room;
                }
                self.value[into] = if rise {
                    self.upper[into]
                } else {
                    self.lower[into]
                };
            }
            None => return false,
        }
        true
    }

    fn best(&self, scales: &[f64]) -> Solved {
        let mut y = vec![0.0; self.m];
        for (&v, &d) in self.nonbasic.iter().zip(&self.d) {
            if v >= self.n {
                y[v - self.n] = d / scales[v - self.n];
            }
        }
        Solved::Best(self.value[..self.n].to_vec(), y)
    }

    /// Whether no coefficient that was passed over as too small could still close the distance.
    fn shows_empty(&self, row: usize, target: f64) -> bool {
        let t = &self.t[row * self.n..(row + 1) * self.n];
        let distance = (target - self.value[self.basic[row]]).abs();
        let passed: f64 = t
            .iter()
            .enumerate()
            .filter(|(_, a)| a.abs() < SMALLEST_PIVOT)
            .map(|(k, a)| {
                let v = self.nonbasic[k];
                let room = self.upper[v] - self.lower[v];
                if a.abs() > 0.0 { a.abs() * room } else { 0.0 }
            })
            .sum();
        passed < distance
    }

    /// `out = Σ t v` cannot reach its bound: 0 = ±(out − Σ t v) is absurd on the bounds.
    fn empty(&self, row: usize, target: f64, scales: &[f64]) -> Solved {
        let sign = if target > self.value[self.basic[row]] {
            1.0
        } else {
            -1.0
        };
        let mut y = vec![0.0; self.m];
        let t = &self.t[row * self.n..(row + 1) * self.n];
        for (&v, &a) in self.nonbasic.iter().zip(t) {
            if v >= self.n {
                y[v - self.n] = -sign * a / scales[v - self.n];
            }
        }
        let out = self.basic[row];
        if out >= self.n {
            y[out - self.n] = sign / scales[out - self.n];
        }
        Solved::Empty(y)
    }
}

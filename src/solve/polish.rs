//! The second-order step: the rows that a linear program found tight, solved as equations.
//!
//! With A the slopes of the tight rows over the variables off their bounds, H the curvature of the
//! goal plus that of each tight curved limit times its multiplier:
//!
//! ```text
//! [ H  Aᵀ ] [ d ]   [ −slope of the goal ]
//! [ A  0  ] [ λ ] = [ −what each row is off ]
//! ```

use crate::solve::program::Program;
use crate::solve::task::Task;
use crate::solve::task::vector;
use nalgebra::DMatrix;
use nalgebra::DVector;

/// A row within this part of its scale of a side is tight.
const TIGHT_ROW: f64 = 1e-7;

/// A variable within this of a bound sits on it.
const ON_BOUND: f64 = 1e-10;

/// Curvature added along every direction, in goal sizes: keeps the system regular where the goal
/// and the rows leave a direction undecided.
const DAMPING: f64 = 1e-9;

/// One tight row at the present point.
struct Tight {
    slope: Vec<f64>,
    off: f64,
    curved: Option<usize>,
}

/// The second-order step from `x`, or `None` where the system is singular or the step leaves the
/// exact part. `solved` is the best point of `program`, the linear program of this step.
#[must_use]
pub fn newton(
    task: &Task,
    x: &[f64],
    program: &Program,
    solved: &[f64],
    size: f64,
) -> Option<Vec<f64>> {
    let n = x.len();
    let on_bound = |j: usize| {
        let (lo, hi) = (task.exact.lower[j], task.exact.upper[j]);
        if solved[j] <= lo + ON_BOUND {
            Some(lo)
        } else if solved[j] >= hi - ON_BOUND {
            Some(hi)
        } else {
            None
        }
    };
    let free: Vec<usize> = (0..n).filter(|&j| on_bound(j).is_none()).collect();
    let base: Vec<f64> = (0..n).map(|j| on_bound(j).unwrap_or(x[j])).collect();
    let tight = tight_rows(task, &base, program, solved)?;
    if free.is_empty() || tight.len() > free.len() {
        return None;
    }
    let a = DMatrix::from_fn(tight.len(), free.len(), |i, j| tight[i].slope[free[j]]);
    let goal = task.goal_slope(&base)?;
    let g = DVector::from_fn(free.len(), |i, _| goal[free[i]] / size);
    let h = lagrangian(task, &base, &free, &tight, &a, &g, size)?;
    let d = solve_kkt(&h, &a, &g, &tight)?;
    let mut target = base;
    for (step, &j) in d.iter().zip(&free) {
        target[j] = (target[j] + step).clamp(task.exact.lower[j], task.exact.upper[j]);
    }
    (task.exact.violation(&target) <= 1e-12).then_some(target)
}

fn tight_rows(task: &Task, x: &[f64], program: &Program, solved: &[f64]) -> Option<Vec<Tight>> {
    let exact = task.exact.rows.len();
    let mut tight = Vec::new();
    let mut defined = 0;
    for (i, row) in program.rows.iter().enumerate() {
        let v = row.value(solved);
        let near = |side: f64| (v - side).abs() <= TIGHT_ROW * row.scale();
        if i < exact {
            let at = row.coefficients[..x.len()]
                .iter()
                .zip(x)
                .map(|(a, x)| a * x)
                .sum::<f64>();
            let side = if near(row.lower) {
                row.lower
            } else if near(row.upper) {
                row.upper
            } else {
                continue;
            };
            let scale = row.scale();
            tight.push(Tight {
                slope: row.coefficients[..x.len()]
                    .iter()
                    .map(|a| a / scale)
                    .collect(),
                off: (at - side) / scale,
                curved: None,
            });
        } else {
            // Tangents follow the exact rows in the order of the curved limits; an undefined one
            // makes the order unknown, and the second-order step unavailable.
            let c = i - exact;
            defined += 1;
            if !(near(row.lower) || near(row.upper)) {
                continue;
            }
            let limit = task.curved.get(c)?;
            let (value, slope) = task.tangent(&limit.curve, x)?;
            tight.push(Tight {
                slope: slope.iter().map(|s| s / limit.scale).collect(),
                off: (value - limit.bound) / limit.scale,
                curved: Some(c),
            });
        }
    }
    (defined == task.curved.len()).then_some(tight)
}

/// Curvature of goal and tight curved limits over the free variables, in goal sizes.
fn lagrangian(
    task: &Task,
    x: &[f64],
    free: &[usize],
    tight: &[Tight],
    a: &DMatrix<f64>,
    g: &DVector<f64>,
    size: f64,
) -> Option<DMatrix<f64>> {
    let mut h = DMatrix::zeros(free.len(), free.len());
    if tight.len() == free.len() {
        // A corner: the rows alone decide.
        return Some(h);
    }
    let multipliers = if tight.is_empty() {
        DVector::zeros(0)
    } else {
        least_squares(&a.transpose(), &(-g))?
    };
    let mut add = |curvature: &DMatrix<f64>, weight: f64| {
        for (r, &i) in free.iter().enumerate() {
            for (c, &j) in free.iter().enumerate() {
                h[(r, c)] += weight * curvature[(i, j)];
            }
        }
    };
    if let Some(curvature) = task.goal_curvature(x) {
        add(&curvature, size.recip());
    }
    for (row, lambda) in tight.iter().zip(multipliers.iter()) {
        if let Some(c) = row.curved {
            let limit = &task.curved[c];
            add(&task.curvature(&limit.curve, x)?, lambda / limit.scale);
        }
    }
    for i in 0..free.len() {
        h[(i, i)] += DAMPING;
    }
    Some(h)
}

fn least_squares(a: &DMatrix<f64>, b: &DVector<f64>) -> Option<DVector<f64>> {
    a.clone().svd(true, true).solve(b, 1e-12).ok()
}

fn solve_kkt(
    h: &DMatrix<f64>,
    a: &DMatrix<f64>,
    g: &DVector<f64>,
    tight: &[Tight],
) -> Option<Vec<f64>> {
    let (n, m) = (h.nrows(), a.nrows());
    let off = vector(&tight.iter().map(|t| -t.off).collect::<Vec<f64>>());
    if n == m {
        let d = a.clone().lu().solve(&off)?;
        return d
            .iter()
            .all(|d| d.is_finite())
            .then(|| d.iter().copied().collect());
    }
    let mut kkt = DMatrix::zeros(n + m, n + m);
    kkt.view_mut((0, 0), (n, n)).copy_from(h);
    kkt.view_mut((n, 0), (m, n)).copy_from(a);
    kkt.view_mut((0, n), (n, m)).copy_from(&a.transpose());
    let rhs = DVector::from_fn(n + m, |i, _| if i < n { -g[i] } else { off[i - n] });
    let solved = kkt.lu().solve(&rhs)?;
    solved
        .iter()
        .all(|d| d.is_finite())
        .then(|| solved.iter().take(n).copied().collect())
}

//! Linearise, then refine: from any point of the exact part to a local best point of the whole.
//!
//! Successive linear programs with a trust region; the exact part is kept exactly, the curved limits
//! are tangents that may be missed at a price (an exact penalty). After each linear program the rows
//! it found tight are solved to second order (`polish`), so that a best point on a curved edge is
//! reached as fast as one in a corner.

use crate::declare::problem::Side;
use crate::solve::linear;
use crate::solve::linear::Found;
use crate::solve::polish;
use crate::solve::program::Program;
use crate::solve::program::Row;
use crate::solve::task::Task;

/// Steps of one descent. A corner takes about five, a curved edge about ten.
const MAX_STEPS: usize = 60;

/// First trust region, in mass fraction.
const FIRST_RADIUS: f64 = 0.25;

/// A trust region below this moves nothing that a balance could see, by far.
const LAST_RADIUS: f64 = 1e-11;

/// A predicted gain below this part of the goal's size is none.
const NO_GAIN: f64 = 1e-13;

/// Missed limits below this part of their span count as met during the search; the judge is asked
/// separately.
pub const MET: f64 = 1e-9;

/// First and largest price of a missed limit, in goal sizes per span missed.
const FIRST_PRICE: f64 = 1e2;
const LAST_PRICE: f64 = 1e8;

/// A local best point.
#[derive(Debug, Clone, PartialEq)]
pub struct Point {
    /// Mass fractions by column.
    pub x: Vec<f64>,
    /// The minimised goal.
    pub goal: f64,
    /// Largest miss of a curved limit, in parts of its span.
    pub missed: f64,
}

/// A curved limit's tangent at a point: `slope · x ≤ rhs` (or ≥), in the limit's scale.
struct Tangent {
    side: Side,
    slope: Vec<f64>,
    rhs: f64,
}

/// Descends from `start` (a point of the exact part); `programs` counts linear programs.
#[must_use]
pub fn descend(task: &Task, start: &[f64], programs: &mut usize) -> Option<Point> {
    let mut x = start.to_vec();
    let mut price = FIRST_PRICE;
    loop {
        descend_at(task, &mut x, price, programs)?;
        let missed = worst(task, &x);
        if missed <= MET || price >= LAST_PRICE {
            return Some(Point {
                goal: task.goal(&x)?,
                missed,
                x,
            });
        }
        price *= 1e3;
    }
}

fn worst(task: &Task, x: &[f64]) -> f64 {
    task.curved
        .iter()
        .map(|c| task.missed(c, x))
        .fold(0.0, f64::max)
}

/// Goal in parts of its size, plus the price of every miss.
fn merit(task: &Task, x: &[f64], size: f64, price: f64) -> f64 {
    let missed: f64 = task.curved.iter().map(|c| task.missed(c, x)).sum();
    task.goal(x)
        .map_or(f64::INFINITY, |g| g / size + price * missed)
}

fn descend_at(task: &Task, x: &mut Vec<f64>, price: f64, programs: &mut usize) -> Option<()> {
    let mut radius = FIRST_RADIUS;
    let slope = task.goal_slope(x)?;
    let size = Task::goal_size(&slope, x);
    let mut now = merit(task, x, size, price);
    for _ in 0..MAX_STEPS {
        let slope: Vec<f64> = task.goal_slope(x)?.iter().map(|s| s / size).collect();
        let tangents = tangents(task, x);
        let program = step_program(task, x, &slope, &tangents, price, radius);
        *programs += 1;
        let Found::Best { x: solved, .. } = linear::solve(&program) else {
            return None;
        };
        let n = x.len();
        let predicted = program.goal(&here(task, x, &tangents)) - program.goal(&solved);
        let mut target = solved[..n].to_vec();
        let mut reached = merit(task, &target, size, price);
        if let Some(polished) = polish::newton(task, x, &program, &solved, size)
            && merit(task, &polished, size, price) < reached
        {
            reached = merit(task, &polished, size, price);
            target = polished;
        }
        let gain = now - reached;
        if predicted <= NO_GAIN && gain <= NO_GAIN {
            break;
        }
        if gain > 0.0 {
            *x = target;
            now = reached;
        }
        if gain >= 0.5 * predicted {
            radius = (radius * 2.0).min(1.0);
        } else if gain < 0.1 * predicted {
            radius *= 0.25;
        }
        if radius < LAST_RADIUS {
            break;
        }
    }
    Some(())
}

fn tangents(task: &Task, x: &[f64]) -> Vec<Tangent> {
    let mut all = Vec::with_capacity(task.curved.len());
    for limit in &task.curved {
        // Undefined here: an implied limit pulls towards where it is defined.
        let Some((value, slope)) = task.tangent(&limit.curve, x) else {
            continue;
        };
        let slope: Vec<f64> = slope.iter().map(|s| s / limit.scale).collect();
        let at: f64 = slope.iter().zip(x).map(|(s, x)| s * x).sum();
        all.push(Tangent {
            side: limit.side,
            rhs: (limit.bound - value) / limit.scale + at,
            slope,
        });
    }
    all
}

/// The linear program of one step: columns are the components, then one miss for each tangent.
fn step_program(
    task: &Task,
    x: &[f64],
    slope: &[f64],
    tangents: &[Tangent],
    price: f64,
    radius: f64,
) -> Program {
    let (n, k) = (x.len(), tangents.len());
    let widen = |row: &[f64]| [row, vec![0.0; k].as_slice()].concat();
    let mut rows: Vec<Row> = task
        .exact
        .rows
        .iter()
        .map(|r| Row {
            coefficients: widen(&r.coefficients),
            ..*r
        })
        .collect();
    for (i, t) in tangents.iter().enumerate() {
        let mut coefficients = widen(&t.slope);
        let (lower, upper) = match t.side {
            Side::Min => {
                coefficients[n + i] = 1.0;
                (t.rhs, f64::INFINITY)
            }
            Side::Max => {
                coefficients[n + i] = -1.0;
                (f64::NEG_INFINITY, t.rhs)
            }
        };
        rows.push(Row {
            coefficients,
            lower,
            upper,
        });
    }
    let most: f64 = tangents
        .iter()
        .map(|t| t.slope.iter().fold(t.rhs.abs(), |m, s| m + s.abs()))
        .fold(1.0, f64::max);
    let lower = x
        .iter()
        .zip(&task.exact.lower)
        .map(|(x, lo)| (x - radius).max(*lo));
    let upper = x
        .iter()
        .zip(&task.exact.upper)
        .map(|(x, hi)| (x + radius).min(*hi));
    Program {
        cost: [slope, vec![price; k].as_slice()].concat(),
        lower: lower.chain(vec![0.0; k]).collect(),
        upper: upper.chain(vec![most; k]).collect(),
        rows,
    }
}

/// The present point as a point of the step program.
fn here(task: &Task, x: &[f64], tangents: &[Tangent]) -> Vec<f64> {
    debug_assert!(tangents.len() <= task.curved.len());
    let misses = tangents.iter().map(|t| {
        let at: f64 = t.slope.iter().zip(x).map(|(s, x)| s * x).sum();
        match t.side {
            Side::Min => t.rhs - at,
            Side::Max => at - t.rhs,
        }
        .max(0.0)
    });
    x.iter().copied().chain(misses).collect()
}

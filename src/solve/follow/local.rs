//! The neighbourhood of a recipe: the same components used, recipe logic decided as the recipe decides
//! it, and the best point there.

use crate::declare::problem::Problem;
use crate::declare::recipe::Recipe;
use crate::solve::linear;
use crate::solve::linear::Found;
use crate::solve::logic::Demand;
use crate::solve::refine;
use crate::solve::refine::Point;
use crate::solve::task::Task;

/// A point that breaks no row by more than this, in its scale, is a point of the exact part.
const ON_ROWS: f64 = 1e-12;

/// Part of the least use that rounding may take.
const ROUNDING: f64 = 1e-6;

/// The columns that a point uses.
#[must_use]
pub fn used(task: &Task, x: &[f64]) -> Vec<bool> {
    task.logic
        .least
        .iter()
        .zip(x)
        .map(|(least, x)| *x >= least * (1.0 - ROUNDING))
        .collect()
}

/// A task with its recipe logic decided: these columns are used, the others are not in the oil. Without
/// recipe logic nothing needs to be decided.
#[must_use]
pub fn decided(mut task: Task, used: &[bool]) -> Task {
    if task.logic.is_empty() {
        return task;
    }
    for (j, used) in used.iter().enumerate() {
        if *used {
            task.exact.lower[j] = task.exact.lower[j].max(task.logic.least[j]);
        } else {
            task.exact.upper[j] = task.exact.upper[j].min(0.0);
        }
    }
    task
}

/// A recipe as a point of a task.
#[must_use]
pub fn point(task: &Task, recipe: &Recipe) -> Vec<f64> {
    task.columns
        .iter()
        .map(|&j| recipe.shares()[j].fraction())
        .collect()
}

/// A point moved into the bands of a task.
#[must_use]
pub fn clamped(task: &Task, x: &[f64]) -> Vec<f64> {
    x.iter()
        .zip(task.exact.lower.iter().zip(&task.exact.upper))
        .map(|(x, (lo, hi))| x.max(*lo).min(*hi))
        .collect()
}

/// The best point near one, which meets every limit; `None` where none was found.
#[must_use]
pub fn best(task: &Task, x: &[f64]) -> Option<Point> {
    let x = &clamped(task, x);
    if task.exact.violation(x) <= ON_ROWS {
        return descended(task, x);
    }
    // A descent keeps what is exactly linear, and must begin there: in the best corner, or as near as can
    // be where it does not arrive from that one.
    let mut program = task.exact.clone();
    program.cost = task.goal_slope(x)?;
    let Found::Best { x: corner, .. } = linear::solve(&program) else {
        return None;
    };
    descended(task, &corner).or_else(|| descended(task, &nearest(task, x)?))
}

fn descended(task: &Task, start: &[f64]) -> Option<Point> {
    let mut programs = 0;
    refine::descend(task, start, &mut programs).filter(|p| p.missed <= refine::MET)
}

/// The point of the exact part that differs least from one, by the sum of all differences; `None` where
/// there is none.
fn nearest(task: &Task, x: &[f64]) -> Option<Vec<f64>> {
    let n = task.exact.width();
    if x.len() != n {
        return None;
    }
    let mut program = task.exact.clone();
    program.measure_from(x);
    program.cost = (0..3 * n).map(|k| if k < n { 0.0 } else { 1.0 }).collect();
    let Found::Best { x: mut near, .. } = linear::solve(&program) else {
        return None;
    };
    near.truncate(n);
    Some(near)
}

/// The task of a problem as a recipe with these columns decides it; `None` where the problem has other
/// columns or a limit that nothing meets.
#[must_use]
pub fn task(problem: &Problem, columns: &[usize], used: &[bool]) -> Option<Task> {
    let task = Task::with(problem, &Demand::default());
    (task.columns == columns && task.never.is_empty()).then(|| decided(task, used))
}

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

/// The best point near one, which meets every limit; `None` where none was found.
#[must_use]
pub fn best(task: &Task, x: &[f64]) -> Option<Point> {
    let start = if task.exact.violation(x) <= ON_ROWS {
        x.to_vec()
    } else {
        // A descent keeps what is exactly linear, and must begin there.
        let mut program = task.exact.clone();
        program.cost = task.goal_slope(x)?;
        let Found::Best { x, .. } = linear::solve(&program) else {
            return None;
        };
        x
    };
    let mut programs = 0;
    refine::descend(task, &start, &mut programs).filter(|p| p.missed <= refine::MET)
}

/// The task of a problem as a recipe with these columns decides it; `None` where the problem has other
/// columns or a limit that nothing meets.
#[must_use]
pub fn task(problem: &Problem, columns: &[usize], used: &[bool]) -> Option<Task> {
    let task = Task::with(problem, &Demand::default());
    (task.columns == columns && task.never.is_empty()).then(|| decided(task, used))
}

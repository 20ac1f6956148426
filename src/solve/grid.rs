//! Recipes that the balance can pour: every treat rate a multiple of a step.
//!
//! First the best recipe off the grid, for no recipe on it is better; then the grid around that
//! recipe, in growing neighbourhoods, for good recipes are near; last the whole grid, with the best of
//! them known.

use crate::solve::prove::tree;
use crate::solve::prove::tree::Limits;
use crate::solve::prove::tree::Outcome;
use crate::solve::refine::Point;
use crate::solve::task::Task;

/// How many steps around the best recipe off the grid each neighbourhood reaches, and how many around
/// a recipe on it that is to be bettered.
const AROUND_BEST: [f64; 4] = [1.0, 2.0, 5.0, 20.0];
const AROUND_FOUND: f64 = 4.0;

/// Part of the regions and of the time that one neighbourhood may take.
const PART: u32 = 16;

/// Most rounds of bettering.
const ROUNDS: usize = 10;

/// Proves the best recipe on a task's grid within the gap, or that there is none. `known` is a recipe
/// off the grid, if one is known.
#[must_use]
pub fn prove(task: &Task, known: Option<Point>, limits: &Limits) -> Outcome {
    let Some(step) = task.logic.grid else {
        return tree::prove(task, known, limits);
    };
    let mut free = task.clone();
    free.logic.grid = None;
    let off_grid = tree::prove(&free, known, limits);
    let Some(around) = off_grid.best.clone() else {
        return off_grid;
    };
    let mut search = Search {
        limits: limits.clone(),
        floor: off_grid.bound,
        best: None,
        nodes: off_grid.nodes,
        programs: off_grid.programs,
    };
    for reach in AROUND_BEST {
        if search.closed() {
            break;
        }
        search.look(&neighbourhood(task, &around.x, step, reach), PART, false);
    }
    if search.best.is_none() {
        search.look(task, PART / 4, true);
    }
    for _ in 0..ROUNDS {
        let Some(found) = search.best.clone().filter(|_| !search.closed()) else {
            break;
        };
        search.look(
            &neighbourhood(task, &found.x, step, AROUND_FOUND),
            PART,
            false,
        );
        if search.best.as_ref().is_some_and(|b| b.goal >= found.goal) {
            break;
        }
    }
    let complete = search.closed() || search.look(task, 1, false);
    Outcome {
        best: search.best,
        bound: search.floor,
        complete,
        nodes: search.nodes,
        programs: search.programs,
    }
}

/// What is known while a grid is searched.
struct Search {
    limits: Limits,
    /// No recipe on the grid has a lower goal.
    floor: f64,
    best: Option<Point>,
    nodes: usize,
    programs: usize,
}

impl Search {
    /// Whether the best recipe is within the gap of the floor.
    fn closed(&self) -> bool {
        self.best
            .as_ref()
            .is_some_and(|b| b.goal - self.limits.gain(b.goal) <= self.floor)
    }

    /// Searches a task for a better recipe; whether all of it was.
    fn look(&mut self, task: &Task, part: u32, first: bool) -> bool {
        let part = part.max(1);
        let left = self.limits.nodes.saturating_sub(self.nodes);
        let limits = Limits {
            nodes: left / part as usize,
            time: self.limits.time.map(|t| t / part),
            first,
            ..self.limits.clone()
        };
        let found = tree::prove(task, self.best.clone(), &limits);
        self.nodes += found.nodes;
        self.programs += found.programs;
        self.best = found.best.or(self.best.take());
        if part == 1 {
            // The whole grid was looked at, not a neighbourhood.
            self.floor = self.floor.max(found.bound);
        }
        found.complete
    }
}

/// The task with every treat rate within so many steps of a point's.
fn neighbourhood(task: &Task, x: &[f64], step: f64, reach: f64) -> Task {
    let mut near = task.clone();
    for (j, x) in x.iter().enumerate().take(task.columns.len()) {
        let (lower, upper) = (&mut near.exact.lower[j], &mut near.exact.upper[j]);
        *lower = lower.max(((x / step).floor() - reach + 1.0) * step);
        *upper = upper.min(((x / step).ceil() + reach - 1.0) * step);
        // A treat rate that is nothing may stay nothing or become one step.
        *upper = upper.max(*lower);
    }
    near
}

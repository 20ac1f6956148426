//! The best solution of a program whose treat rates are on the balance's grid: branch and bound (A. H. Land and
//! A. G. Doig 1960), each branch a row more on a solved program.

use crate::solve::logic::Logic;
use crate::solve::program::Row;

/// Programs solved at most: what there is by then is as good as any step needs.
const PROGRAMS: usize = 300;

/// A solution that betters the best one by less than this is none, of a cost that is about 1 in all: a step of the
/// goal, or the logarithm of a chance.
const BETTER: f64 = 2e-5;

/// A program in which rows may be added to what is solved.
pub trait Rows: Clone {
    /// With a row more; the solution, `None` where there is none.
    fn and(&mut self, row: Row) -> Option<Vec<f64>>;
}

/// What is left of a program.
struct Branch<P> {
    program: P,
    solution: Vec<f64>,
}

/// The best solution with every treat rate on the grid of recipe logic, from the one off it; `None` where none was found.
#[must_use]
pub fn best<P: Rows>(
    program: P,
    solution: Vec<f64>,
    cost: &[f64],
    logic: &Logic,
) -> Option<Vec<f64>> {
    let goal = |x: &[f64]| x.iter().zip(cost).map(|(x, c)| x * c).sum::<f64>();
    let mut best: Option<Vec<f64>> = None;
    let mut open = vec![Branch { program, solution }];
    let mut programs = 0;
    while let Some(Branch { program, solution }) = open.pop() {
        let had = best.as_ref().map_or(f64::INFINITY, |best| goal(best));
        if goal(&solution) >= had - BETTER {
            continue;
        }
        let Some((j, below, above)) = logic.off_grid(&solution) else {
            best = Some(logic.on_grid(&solution));
            continue;
        };
        if programs >= PROGRAMS {
            // What was solved already may still be on the grid.
            continue;
        }
        programs += 2;
        let sides = [(f64::NEG_INFINITY, below), (above, f64::INFINITY)];
        let branches = sides.into_iter().filter_map(|(lower, upper)| {
            let mut coefficients = vec![0.0; solution.len()];
            coefficients[j] = 1.0;
            let mut program = program.clone();
            let row = Row {
                coefficients,
                lower,
                upper,
            };
            let solution = program.and(row)?;
            Some(Branch { program, solution })
        });
        let mut branches: Vec<Branch<P>> = branches.collect();
        // The more promising one is looked at first.
        branches.sort_by(|a, b| goal(&b.solution).total_cmp(&goal(&a.solution)));
        open.extend(branches);
    }
    best
}

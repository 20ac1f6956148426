//! The only file that names a linear-programming library.
//!
//! The default is `good_lp` with its pure-Rust simplex. Where that errs, or its answer fails our own
//! check, the same program goes to `microlp` 0.7 directly at a tighter tolerance. What comes back is
//! a point, never a proof: `dual` proves.

use crate::solve::program::Program;
use good_lp::Solution;
use good_lp::SolverModel;
use good_lp::constraint;
use good_lp::variable;

/// Largest row violation, over the row's scale, of a point that counts as meeting a program: the
/// default back end stops at 1e-8 absolute.
pub const ROW_TOLERANCE: f64 = 1e-7;

/// Feasibility tolerance of the second back end: at its default it errs in one of a hundred
/// blending-type programs, at this one in none of 5,000.
const TIGHT: f64 = 1e-10;

/// What a back end says.
#[derive(Debug, Clone, PartialEq)]
pub enum Reply {
    /// A best point; its violation was checked.
    Best(Vec<f64>),
    /// No point meets the rows, it says; `dual` must confirm.
    Empty,
    /// It erred.
    Failed,
}

/// The best point of a program.
#[must_use]
pub fn best(program: &Program) -> Reply {
    let first = by_good_lp(program);
    if checked(program, &first) {
        return first;
    }
    let second = by_microlp(program);
    if checked(program, &second) {
        second
    } else {
        Reply::Failed
    }
}

fn checked(program: &Program, reply: &Reply) -> bool {
    match reply {
        Reply::Best(x) => x.iter().all(|x| x.is_finite()) && program.violation(x) <= ROW_TOLERANCE,
        Reply::Empty => true,
        Reply::Failed => false,
    }
}

/// Points are moved onto their bounds where the simplex method left them a rounding away.
fn clipped(program: &Program, x: impl Iterator<Item = f64>) -> Vec<f64> {
    x.zip(program.lower.iter().zip(&program.upper))
        .map(|(x, (lo, hi))| x.clamp(*lo, hi.max(*lo)))
        .collect()
}

fn by_good_lp(program: &Program) -> Reply {
    if program
        .lower
        .iter()
        .zip(&program.upper)
        .any(|(lo, hi)| lo > hi)
    {
        return Reply::Empty;
    }
    let mut variables = good_lp::variables!();
    let x: Vec<_> = program
        .lower
        .iter()
        .zip(&program.upper)
        .map(|(lo, hi)| variables.add(variable().min(*lo).max(*hi)))
        .collect();
    let goal: good_lp::Expression = program.cost.iter().zip(&x).map(|(c, x)| *c * *x).sum();
    let mut model = variables.minimise(goal).using(good_lp::microlp);
    for row in &program.rows {
        let sum = || -> good_lp::Expression {
            row.coefficients
                .iter()
                .zip(&x)
                .filter(|(a, _)| **a != 0.0)
                .map(|(a, x)| *a * *x)
                .sum()
        };
        if row.upper - row.lower == 0.0 {
            model.add_constraint(constraint!(sum() == row.lower));
            continue;
        }
        if row.lower.is_finite() {
            model.add_constraint(constraint!(sum() >= row.lower));
        }
        if row.upper.is_finite() {
            model.add_constraint(constraint!(sum() <= row.upper));
        }
    }
    match model.solve() {
        Ok(solution) => Reply::Best(clipped(program, x.iter().map(|x| solution.value(*x)))),
        Err(good_lp::ResolutionError::Infeasible) => Reply::Empty,
        Err(_) => Reply::Failed,
    }
}

fn by_microlp(program: &Program) -> Reply {
    if program
        .lower
        .iter()
        .zip(&program.upper)
        .any(|(lo, hi)| lo > hi)
    {
        return Reply::Empty;
    }
    let mut problem = microlp::Problem::new(microlp::OptimizationDirection::Minimize);
    let x: Vec<_> = program
        .cost
        .iter()
        .zip(program.lower.iter().zip(&program.upper))
        .map(|(c, (lo, hi))| problem.add_var(*c, (*lo, *hi)))
        .collect();
    for row in &program.rows {
        let terms: Vec<_> = x
            .iter()
            .zip(&row.coefficients)
            .filter(|(_, a)| **a != 0.0)
            .map(|(x, a)| (*x, *a))
            .collect();
        if row.upper - row.lower == 0.0 {
            problem.add_constraint(terms, microlp::ComparisonOp::Eq, row.lower);
            continue;
        }
        if row.lower.is_finite() {
            problem.add_constraint(terms.clone(), microlp::ComparisonOp::Ge, row.lower);
        }
        if row.upper.is_finite() {
            problem.add_constraint(terms, microlp::ComparisonOp::Le, row.upper);
        }
    }
    let mut options = microlp::SolveOptions::default();
    options.tolerances.feasibility = TIGHT;
    match problem
        .solve_with(options)
        .map(microlp::SolveOutcome::into_solution)
    {
        Ok(Ok(solution)) => Reply::Best(clipped(program, x.iter().map(|x| solution.var_value(*x)))),
        Err(microlp::Error::Infeasible) => Reply::Empty,
        Ok(Err(_)) | Err(_) => Reply::Failed,
    }
}

//! What the benches share: an outside solver, the shipped problems, and numbers.

#![allow(dead_code, reason = "each bench uses its own part of this module")]

use std::path::{Path, PathBuf};
use std::time::Duration;
use std::{fs, io};
use treatrate::solve::program::Program;

/// What a solver says: the best goal, or that there is no point; `None` where it errs.
pub(crate) type Said = Option<Option<f64>>;

/// A program solved by `microlp` 0.7, as plainly as its guide says.
pub(crate) fn by_microlp(program: &Program) -> Said {
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
        if row.lower.total_cmp(&row.upper).is_eq() {
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
    match problem.solve() {
        Ok(outcome) => outcome.into_solution().ok().map(|s| Some(s.objective())),
        Err(microlp::Error::Infeasible) => Some(None),
        Err(_) => None,
    }
}

/// The problems of this repository, by name.
pub(crate) fn shipped_problems() -> io::Result<Vec<PathBuf>> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("problems");
    let mut paths: Vec<PathBuf> = fs::read_dir(folder)?
        .filter_map(|entry| Some(entry.ok()?.path()))
        .filter(|path| path.extension().is_some_and(|e| e == "toml"))
        .collect();
    paths.sort();
    Ok(paths)
}

pub(crate) fn micros(time: Duration) -> f64 {
    time.as_secs_f64() * 1e6
}

pub(crate) fn count(n: usize) -> f64 {
    u32::try_from(n).map_or(f64::INFINITY, f64::from)
}

/// The value below which this part of the values lies; sorts them.
pub(crate) fn quantile(values: &mut [f64], part: f64) -> f64 {
    values.sort_by(f64::total_cmp);
    let last = values.len().saturating_sub(1);
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        clippy::cast_precision_loss,
        reason = "an index within a short list"
    )]
    let at = (last as f64 * part).round() as usize;
    values.get(at).copied().unwrap_or(f64::NAN)
}

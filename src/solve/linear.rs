//! Linear programs, solved and proved: no point without its violation checked, no bound without
//! multipliers, no emptiness without multipliers.
//!
//! Three methods in turn, each held to the same checks: the dense simplex of this crate, `good_lp`,
//! and `microlp` at a tighter tolerance (`backend`).

use crate::solve::backend;
use crate::solve::backend::Reply;
use crate::solve::dual;
use crate::solve::program::Program;
use crate::solve::program::Row;
use crate::solve::simplex;
use crate::solve::simplex::Solved;

/// What is known of a program.
#[derive(Debug, Clone, PartialEq)]
pub enum Found {
    /// A point that meets the rows, and multipliers with the bound that they prove. `bound` is within
    /// rounding of the point's goal where the proof is tight, and holds in any case.
    Best {
        /// The point.
        x: Vec<f64>,
        /// Row multipliers.
        y: Vec<f64>,
        /// No point of the program has a lower goal.
        bound: f64,
    },
    /// Multipliers prove that there is no point.
    Empty(Vec<f64>),
    /// Nothing could be confirmed.
    Unknown,
}

/// Largest row violation, over the row's scale, of a point of the dense method: above it the
/// libraries are asked.
const DENSE_TOLERANCE: f64 = 1e-9;

/// The same where nothing is proved.
const QUICK_TOLERANCE: f64 = 1e-7;

/// A proof that misses the point's goal by more than this part of its size is worth a second try by
/// the libraries. The bound itself is what it is: proved, tight or not.
const LOOSE: f64 = 1e-7;

/// Solves a program.
#[must_use]
pub fn solve(program: &Program) -> Found {
    dense(program).unwrap_or_else(|| by_library(program))
}

/// Whether a program is proved empty.
#[must_use]
pub fn is_empty(program: &Program) -> bool {
    matches!(solve(program), Found::Empty(_))
}

fn dense(program: &Program) -> Option<Found> {
    if has_no_box(program) {
        return None;
    }
    checked(program, simplex::solve(program))
}

fn has_no_box(program: &Program) -> bool {
    program
        .lower
        .iter()
        .zip(&program.upper)
        .any(|(lo, hi)| lo > hi)
}

/// What the dense method says, where plain arithmetic confirms it.
fn checked(program: &Program, solved: Solved) -> Option<Found> {
    match solved {
        Solved::Best(x, y) => {
            let (x, y) = (
                clipped(program, &x),
                dual::leaning_on_finite_sides(program, y),
            );
            let (sum, rounding) = program.bound_and_rounding(&program.cost, &y);
            let bound = sum - rounding;
            let tight = program.goal(&x) - sum <= LOOSE * dual::goal_size(program, &x);
            let sound = program.violation(&x) <= DENSE_TOLERANCE && tight;
            sound.then_some(Found::Best { x, y, bound })
        }
        Solved::Empty(y) => proves_empty(program, &y).then_some(Found::Empty(y)),
        Solved::Failed => None,
    }
}

/// One set of rows and bounds, bounded for several costs.
pub struct Series {
    program: Program,
    started: Option<simplex::Series>,
}

impl Series {
    /// A series over a program's rows and bounds.
    #[must_use]
    pub fn new(program: Program) -> Self {
        Series {
            program,
            started: None,
        }
    }

    /// Multipliers for one cost, and the bound that they prove; `None` where the program seems to have no
    /// point. The point itself is not asked for, so it is not checked either.
    pub fn bound(&mut self, cost: Vec<f64>) -> Option<(Vec<f64>, f64)> {
        self.program.cost = cost;
        if !has_no_box(&self.program) {
            if let Some(series) = &mut self.started
                && let Some(proved) = proved(&self.program, series.again(&self.program.cost))
            {
                return Some(proved);
            }
            let (series, solved) = simplex::Series::begin(&self.program);
            self.started = matches!(solved, Solved::Best(..)).then_some(series);
            if matches!(&solved, Solved::Empty(y) if proves_empty(&self.program, y)) {
                return None;
            }
            if let Some(proved) = proved(&self.program, solved) {
                return Some(proved);
            }
        }
        match by_library(&self.program) {
            Found::Best { y, bound, .. } => Some((y, bound)),
            Found::Empty(_) | Found::Unknown => None,
        }
    }
}

/// A program that rows are added to, one after another.
#[derive(Debug, Clone)]
pub struct Growing {
    program: Program,
    started: Option<simplex::Series>,
}

impl Growing {
    /// A program, and what is known of it.
    #[must_use]
    pub fn begin(program: Program) -> (Self, Found) {
        let mut growing = Growing {
            program,
            started: None,
        };
        let found = growing.anew();
        (growing, found)
    }

    fn anew(&mut self) -> Found {
        self.started = None;
        if !has_no_box(&self.program) {
            let (series, solved) = simplex::Series::begin(&self.program);
            self.started = matches!(solved, Solved::Best(..)).then_some(series);
            if let Some(found) = checked(&self.program, solved) {
                return found;
            }
        }
        by_library(&self.program)
    }

    /// What is known with these rows more.
    pub fn and(&mut self, rows: Vec<Row>) -> Found {
        let mut last = None;
        for row in rows {
            if let Some(series) = &mut self.started {
                last = Some(series.and(&row));
                if !matches!(last, Some(Solved::Best(..))) {
                    self.started = None;
                }
            }
            self.program.rows.push(row);
        }
        let last = last.filter(|_| self.started.is_some());
        last.and_then(|solved| checked(&self.program, solved))
            .unwrap_or_else(|| self.anew())
    }

    /// The best point with these rows more, as the dense method finds it, nothing proved; `None` where it finds
    /// none, and ever after. Where thousands of programs are tried, those that are empty would take the most time.
    pub fn quickly(&mut self, rows: &[Row]) -> Option<Vec<f64>> {
        let mut last = None;
        for row in rows {
            self.program.rows.push(row.clone());
            let solved = self.started.as_mut()?.and(row);
            let Solved::Best(x, _) = solved else {
                self.started = None;
                return None;
            };
            last = Some(x);
        }
        let x = clipped(&self.program, &last?);
        (self.program.violation(&x) <= QUICK_TOLERANCE).then_some(x)
    }
}

/// The multipliers of a solved program with the bound that they prove, where that is tight.
fn proved(program: &Program, solved: Solved) -> Option<(Vec<f64>, f64)> {
    let Solved::Best(x, y) = solved else {
        return None;
    };
    let y = dual::leaning_on_finite_sides(program, y);
    let (sum, rounding) = program.bound_and_rounding(&program.cost, &y);
    let tight = program.goal(&x) - sum <= LOOSE * dual::goal_size(program, &x);
    tight.then_some((y, sum - rounding))
}

fn by_library(program: &Program) -> Found {
    match backend::best(program) {
        Reply::Best(x) => {
            let y = dual::of_best(program, &x).unwrap_or_else(|| vec![0.0; program.rows.len()]);
            let bound = program.bound(&program.cost, &y);
            Found::Best { x, y, bound }
        }
        Reply::Empty | Reply::Failed => {
            dual::of_empty(program).map_or(Found::Unknown, Found::Empty)
        }
    }
}

/// Whether multipliers show that a program has no point: `0 ≥ bound(y) > 0`.
fn proves_empty(program: &Program, y: &[f64]) -> bool {
    program.bound(&vec![0.0; program.width()], y) > 0.0
}

fn clipped(program: &Program, x: &[f64]) -> Vec<f64> {
    x.iter()
        .zip(program.lower.iter().zip(&program.upper))
        .map(|(x, (lo, hi))| x.clamp(*lo, *hi))
        .collect()
}

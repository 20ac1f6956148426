//! From a problem to the search's own terms.

use crate::declare::component::Band;
use crate::declare::problem::Limit;
use crate::declare::problem::Problem;
use crate::declare::problem::Sense;
use crate::declare::problem::Side;
use crate::declare::property::Property;
use crate::predict::book::Book;
use crate::predict::exact;
use crate::predict::exact::Form;
use crate::predict::formula::Formula;
use crate::quantity::Share;
use crate::solve::logic::Demand;
use crate::solve::logic::Logic;
use crate::solve::program::Program;
use crate::solve::program::Row;
use crate::solve::task::Curve;
use crate::solve::task::CurvedLimit;
use crate::solve::task::Goal;
use crate::solve::task::Owner;
use crate::solve::task::Task;

/// ASTM D2270 defines no viscosity index below this kinematic viscosity at 100 °C, mm²/s.
const VI_NEEDS_KV100: f64 = 2.0;

/// A ratio of elements is a goal only where the one below the line is at least this, ppm: about what
/// ASTM D5185 can see (common practice, no source). Without it the ratio has no largest value.
const LEAST_BELOW_PPM: f64 = 1.0;

impl Task {
    /// The task of a problem. Limits without a model (cold pumping without data, gear-oil cold
    /// viscosity) are left to the judge.
    #[must_use]
    pub fn new(problem: &Problem) -> Self {
        Self::with(problem, &Demand::default())
    }

    /// The task of a problem and what is asked beyond it.
    #[must_use]
    pub fn with(problem: &Problem, demand: &Demand) -> Self {
        Self::by(problem, &Self::book(problem), demand)
    }

    /// The property models that a problem's limits and goal need.
    #[must_use]
    pub fn book(problem: &Problem) -> Book {
        let wanted: Vec<Property> = problem
            .limits
            .iter()
            .map(|l| l.property.clone())
            .chain([problem.goal.property.clone(), Property::Kv100])
            .collect();
        Book::new(problem, problem.mixing, &wanted)
    }

    /// The task of a problem whose property models stand in this book.
    #[must_use]
    pub fn by(problem: &Problem, book: &Book, demand: &Demand) -> Self {
        let columns: Vec<usize> = (0..problem.components.len())
            .filter(|&j| problem.bands[j].max.share > Share::NONE)
            .collect();
        let mut task = Task {
            totals: (0..book.totals().len())
                .map(|t| columns.iter().map(|&j| book.coefficient(t, j)).collect())
                .collect(),
            exact: whole(problem, &columns),
            owners: vec![Owner::Whole],
            curved: Vec::new(),
            goal: Goal::Linear(vec![0.0; columns.len()]),
            sign: if problem.goal.sense == Sense::Minimise {
                1.0
            } else {
                -1.0
            },
            never: Vec::new(),
            components: problem.components.len(),
            logic: Logic::new(problem, &columns, demand),
            columns,
        };
        for (index, limit) in problem.limits.iter().enumerate() {
            task.add(problem, book, index, limit);
        }
        if problem.limits.iter().any(|l| l.property == Property::Vi) {
            task.imply_defined_vi(book);
        }
        task.set_goal(problem, book);
        if let Some(known) = problem
            .known
            .as_ref()
            .filter(|_| problem.goal.property == Property::Change)
        {
            task.measure_change(known);
        }
        task
    }

    fn add(&mut self, problem: &Problem, book: &Book, index: usize, limit: &Limit) {
        let Some(entry) = book.entry(&limit.property) else {
            return;
        };
        if !self.has_data(book, &entry.totals) {
            return;
        }
        match exact::form(entry.formula, limit.side, limit.bound) {
            Form::Always => {}
            Form::Never => self.never.push(index),
            Form::Rows(rows) => {
                for row in rows {
                    self.push_row(&entry.totals, &row, Owner::Limit(index));
                }
            }
            Form::Curved => {
                let curve = Self::curve(entry.formula, &entry.totals);
                let span = limit.span(&problem.limits);
                let (bound, scale) = if curve.logarithmic {
                    (limit.bound.ln(), (span / limit.bound).min(1.0))
                } else {
                    (limit.bound, span)
                };
                self.curved.push(CurvedLimit {
                    curve,
                    side: limit.side,
                    bound,
                    scale,
                    limit: Some(index),
                });
            }
        }
    }

    /// Whether every column has the figures of these totals.
    fn has_data(&self, book: &Book, totals: &[usize]) -> bool {
        totals
            .iter()
            .all(|&t| self.columns.iter().all(|&j| book.row(t)[j].is_some()))
    }

    fn push_row(&mut self, totals: &[usize], row: &exact::TotalRow, owner: Owner) {
        let mut coefficients = vec![0.0; self.columns.len()];
        for (&t, w) in totals.iter().zip(&row.weights) {
            for (c, a) in coefficients.iter_mut().zip(&self.totals[t]) {
                *c += w * a;
            }
        }
        let (lower, upper) = match row.side {
            Side::Min => (row.rhs, f64::INFINITY),
            Side::Max => (f64::NEG_INFINITY, row.rhs),
        };
        self.exact.rows.push(Row {
            coefficients,
            lower,
            upper,
        });
        self.owners.push(owner);
    }

    fn curve(formula: Formula, totals: &[usize]) -> Curve {
        let logarithmic = matches!(
            formula,
            Formula::Thickened { .. }
                | Formula::Sheared { .. }
                | Formula::Dynamic { .. }
                | Formula::ColdThickened { .. }
        );
        Curve {
            formula,
            totals: totals.to_vec(),
            logarithmic,
        }
    }

    /// A viscosity-index limit is met only where the index is defined.
    fn imply_defined_vi(&mut self, book: &Book) {
        let Some(entry) = book.entry(&Property::Kv100) else {
            return;
        };
        match exact::form(entry.formula, Side::Min, VI_NEEDS_KV100) {
            Form::Rows(rows) => {
                let owner = Owner::Index;
                for row in rows {
                    self.push_row(&entry.totals, &row, owner);
                }
            }
            _ => self.curved.push(CurvedLimit {
                curve: Self::curve(entry.formula, &entry.totals),
                side: Side::Min,
                bound: VI_NEEDS_KV100.ln(),
                scale: 1.0,
                limit: None,
            }),
        }
    }

    fn set_goal(&mut self, problem: &Problem, book: &Book) {
        let Some(entry) = book.entry(&problem.goal.property) else {
            return;
        };
        if matches!(problem.goal.property, Property::Ratio(..)) {
            let row = exact::TotalRow {
                weights: vec![1.0],
                side: Side::Min,
                rhs: LEAST_BELOW_PPM,
            };
            self.push_row(&entry.totals[1..], &row, Owner::Defined);
        }
        self.goal = if entry.formula == Formula::Sum {
            let row = &self.totals[entry.totals[0]];
            Goal::Linear(row.iter().map(|c| self.sign * c).collect())
        } else {
            let curve = Curve {
                logarithmic: false,
                ..Self::curve(entry.formula, &entry.totals)
            };
            Goal::Curved(curve)
        };
    }

    /// Adds two columns for each component, how far its treat rate rises and falls from a known one,
    /// and makes their sum the goal: half of it, in mass %, as `Property::Change` is defined.
    fn measure_change(&mut self, known: &[Share]) {
        let n = self.columns.len();
        let width = 3 * n;
        for total in &mut self.totals {
            total.resize(width, 0.0);
        }
        let at: Vec<f64> = self.columns.iter().map(|&j| known[j].fraction()).collect();
        self.exact.measure_from(&at);
        self.owners.extend(vec![Owner::Defined; n]);
        // What the problem rules out altogether is change as well; the whole carries it.
        let lost: f64 = (0..known.len())
            .filter(|j| !self.columns.contains(j))
            .map(|j| known[j].fraction())
            .sum();
        let weights = (0..width)
            .map(|k| if k < n { 50.0 * lost } else { 50.0 })
            .collect();
        self.goal = Goal::Linear(weights);
    }
}

/// The treat bands and the sum.
fn whole(problem: &Problem, columns: &[usize]) -> Program {
    let edge = |side: fn(&Band) -> f64| -> Vec<f64> {
        columns.iter().map(|&j| side(&problem.bands[j])).collect()
    };
    Program {
        cost: vec![0.0; columns.len()],
        lower: edge(|b| b.min.share.fraction()),
        upper: edge(|b| b.max.share.fraction().min(1.0)),
        rows: vec![Row {
            coefficients: vec![1.0; columns.len()],
            lower: 1.0,
            upper: 1.0,
        }],
    }
}

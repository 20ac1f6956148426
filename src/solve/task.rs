//! A problem in the search's own terms: the exactly linear part as rows, the curved limits as
//! formulas over a few totals, the goal as one of the two.

use crate::declare::component::EdgeSource;
use crate::declare::problem::Limit;
use crate::declare::problem::Problem;
use crate::declare::problem::Sense;
use crate::declare::problem::Side;
use crate::declare::property::Property;
use crate::predict::book::Book;
use crate::predict::exact;
use crate::predict::exact::Form;
use crate::predict::formula::Formula;
use crate::predict::total::WIDTH;
use crate::quantity::Share;
use crate::solve::answer::Party;
use crate::solve::logic::Demand;
use crate::solve::logic::Logic;
use crate::solve::program::Program;
use crate::solve::program::Row;
use nalgebra::DMatrix;
use nalgebra::DVector;

/// ASTM D2270 defines no viscosity index below this kinematic viscosity at 100 °C, mm²/s.
const VI_NEEDS_KV100: f64 = 2.0;

/// A mass fraction up to this is a linear program's rounding, not a component: left in, a ratio of
/// elements that only it carries would be judged by it.
const SPECK: f64 = 1e-12;

/// Who a row of the exact part speaks for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Owner {
    /// The treat rates add up to the whole.
    Whole,
    /// A limit of the problem, by index.
    Limit(usize),
    /// Not a requirement but a definition: that a viscosity index needs a viscosity at which it is
    /// defined, or what a change is.
    Defined,
}

/// A function of the mass fractions through a few totals, with its natural scale.
#[derive(Debug, Clone)]
pub struct Curve {
    /// The formula.
    pub formula: Formula,
    /// Indices into [`Task::totals`], in the formula's order.
    pub totals: Vec<usize>,
    /// Whether the search works on its logarithm (viscosities), which is nearly linear.
    pub logarithmic: bool,
}

/// A curved limit as `curve ≤ bound` or `≥`.
#[derive(Debug, Clone)]
pub struct CurvedLimit {
    /// The function.
    pub curve: Curve,
    /// Which way.
    pub side: Side,
    /// The bound, on the curve's scale (a logarithm where `logarithmic`).
    pub bound: f64,
    /// What one unit of violation means on the curve's scale: violations are measured in it.
    pub scale: f64,
    /// The limit of the problem, by index; `None` for an implied one.
    pub limit: Option<usize>,
}

/// What is minimised.
#[derive(Debug, Clone)]
pub enum Goal {
    /// `weights · x`, to be minimised; `sign` turns it back into the property.
    Linear(Vec<f64>),
    /// `sign · curve`.
    Curved(Curve),
}

/// A problem in the search's terms.
#[derive(Debug, Clone)]
pub struct Task {
    /// The component of each column: those whose treat band leaves room.
    pub columns: Vec<usize>,
    /// Number of components of the problem.
    pub components: usize,
    /// Rows of totals over the columns.
    pub totals: Vec<Vec<f64>>,
    /// The exactly linear part, with zero cost.
    pub exact: Program,
    /// Whose each row of the exact part is.
    pub owners: Vec<Owner>,
    /// The curved limits.
    pub curved: Vec<CurvedLimit>,
    /// What is minimised.
    pub goal: Goal,
    /// 1 when the goal is minimised, −1 when maximised.
    pub sign: f64,
    /// Limits that no recipe can meet, by index.
    pub never: Vec<usize>,
    /// Recipe logic.
    pub logic: Logic,
}

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
        let wanted: Vec<Property> = problem
            .limits
            .iter()
            .map(|l| l.property.clone())
            .chain([problem.goal.property.clone(), Property::Kv100])
            .collect();
        let book = Book::new(problem, problem.mixing, &wanted);
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
            task.add(problem, &book, index, limit);
        }
        if problem.limits.iter().any(|l| l.property == Property::Vi) {
            task.imply_defined_vi(&book);
        }
        task.set_goal(problem, &book);
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
                let span = span(&problem.limits, limit);
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
                let owner = Owner::Defined;
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
        for row in &mut self.exact.rows {
            row.coefficients.resize(width, 0.0);
        }
        for total in &mut self.totals {
            total.resize(width, 0.0);
        }
        self.exact.cost.resize(width, 0.0);
        self.exact.lower.resize(width, 0.0);
        self.exact.upper.resize(width, 1.0);
        for (k, &j) in self.columns.iter().enumerate() {
            let mut coefficients = vec![0.0; width];
            coefficients[k] = 1.0;
            coefficients[n + k] = -1.0;
            coefficients[2 * n + k] = 1.0;
            let at = known[j].fraction();
            self.exact.rows.push(Row {
                coefficients,
                lower: at,
                upper: at,
            });
            self.owners.push(Owner::Defined);
        }
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

    /// The curve's totals at a point.
    #[must_use]
    pub fn at(&self, curve: &Curve, x: &[f64]) -> [f64; WIDTH] {
        let mut z = [0.0; WIDTH];
        for (slot, &t) in z.iter_mut().zip(&curve.totals) {
            *slot = self.totals[t].iter().zip(x).map(|(c, x)| c * x).sum();
        }
        z
    }

    /// The curve's value on its scale.
    #[must_use]
    pub fn value(&self, curve: &Curve, x: &[f64]) -> Option<f64> {
        let z = self.at(curve, x);
        let value = curve.formula.value(&z[..curve.totals.len()])?;
        let value = if curve.logarithmic { value.ln() } else { value };
        value.is_finite().then_some(value)
    }

    /// The curve's value and slope by column, on its scale.
    #[must_use]
    pub fn tangent(&self, curve: &Curve, x: &[f64]) -> Option<(f64, Vec<f64>)> {
        let z = self.at(curve, x);
        let (value, by_total) = curve.formula.slope(&z[..curve.totals.len()])?;
        let (value, factor) = if curve.logarithmic {
            (value.ln(), value.recip())
        } else {
            (value, 1.0)
        };
        let mut slope = vec![0.0; self.exact.width()];
        for (&t, g) in curve.totals.iter().zip(&by_total) {
            for (s, c) in slope.iter_mut().zip(&self.totals[t]) {
                *s += factor * g * c;
            }
        }
        (value.is_finite() && slope.iter().all(|s| s.is_finite())).then_some((value, slope))
    }

    /// The curve's matrix of second derivatives by column, on its scale.
    #[must_use]
    pub fn curvature(&self, curve: &Curve, x: &[f64]) -> Option<DMatrix<f64>> {
        let z = self.at(curve, x);
        let z = &z[..curve.totals.len()];
        let mut by_total = curve.formula.curvature(z)?;
        if curve.logarithmic {
            let (value, slope) = curve.formula.slope(z)?;
            let g = nalgebra::SVector::<f64, WIDTH>::from(slope);
            by_total = by_total / value - g * g.transpose() / (value * value);
        }
        let k = curve.totals.len();
        let c = DMatrix::from_fn(k, self.exact.width(), |i, j| {
            self.totals[curve.totals[i]][j]
        });
        let h = DMatrix::from_fn(k, k, |i, j| by_total[(i, j)]);
        Some(c.transpose() * h * c)
    }

    /// The minimised goal at a point.
    #[must_use]
    pub fn goal(&self, x: &[f64]) -> Option<f64> {
        match &self.goal {
            Goal::Linear(weights) => Some(weights.iter().zip(x).map(|(w, x)| w * x).sum()),
            Goal::Curved(curve) => Some(self.sign * self.value(curve, x)?),
        }
    }

    /// What a limit on a curved goal's own property already says of the minimised goal; minus infinity
    /// where none does.
    #[must_use]
    pub fn goal_floor(&self) -> f64 {
        let Goal::Curved(goal) = &self.goal else {
            return f64::NEG_INFINITY;
        };
        let side = if self.sign > 0.0 {
            Side::Min
        } else {
            Side::Max
        };
        self.curved
            .iter()
            .filter(|l| {
                l.side == side && l.curve.formula == goal.formula && l.curve.totals == goal.totals
            })
            .map(|l| {
                self.sign
                    * if l.curve.logarithmic {
                        l.bound.exp()
                    } else {
                        l.bound
                    }
            })
            .fold(f64::NEG_INFINITY, f64::max)
    }

    /// The minimised goal's slope by column at a point.
    #[must_use]
    pub fn goal_slope(&self, x: &[f64]) -> Option<Vec<f64>> {
        match &self.goal {
            Goal::Linear(weights) => Some(weights.clone()),
            Goal::Curved(curve) => {
                let (_, slope) = self.tangent(curve, x)?;
                Some(slope.into_iter().map(|s| self.sign * s).collect())
            }
        }
    }

    /// The goal's second derivatives at a point, where it is curved.
    #[must_use]
    pub fn goal_curvature(&self, x: &[f64]) -> Option<DMatrix<f64>> {
        match &self.goal {
            Goal::Linear(_) => None,
            Goal::Curved(curve) => Some(self.curvature(curve, x)? * self.sign),
        }
    }

    /// "Goal minus target" of a quotient goal as weights of the mass fractions: not negative exactly
    /// where the goal is not below the target. `None` for other curved goals.
    #[must_use]
    pub fn goal_threshold(&self, curve: &Curve, target: f64) -> Option<Vec<f64>> {
        let side = if self.sign > 0.0 {
            Side::Max
        } else {
            Side::Min
        };
        let Form::Rows(rows) = exact::form(curve.formula, side, self.sign * target) else {
            return None;
        };
        let [row] = rows.as_slice() else { return None };
        let towards = match row.side {
            Side::Max => 1.0,
            Side::Min => -1.0,
        };
        // Σ x = 1 carries the constant.
        let whole = self.exact.rows[0].coefficients.iter();
        let mut weights: Vec<f64> = whole.map(|one| -towards * row.rhs * one).collect();
        for (&t, w) in curve.totals.iter().zip(&row.weights) {
            for (c, a) in weights.iter_mut().zip(&self.totals[t]) {
                *c += towards * w * a;
            }
        }
        Some(weights)
    }

    /// By how much a curved limit is missed at a point, in its scale; 0 where it is met.
    #[must_use]
    pub fn missed(&self, limit: &CurvedLimit, x: &[f64]) -> f64 {
        let Some(value) = self.value(&limit.curve, x) else {
            return UNDEFINED_MISS;
        };
        let over = match limit.side {
            Side::Min => limit.bound - value,
            Side::Max => value - limit.bound,
        };
        over.max(0.0) / limit.scale
    }

    /// The mass fractions of every component of the problem.
    #[must_use]
    pub fn shares(&self, x: &[f64]) -> Vec<Share> {
        let mut shares = vec![Share::NONE; self.components];
        for (&j, &x) in self.columns.iter().zip(x) {
            if x > SPECK {
                shares[j] = Share::from_fraction(x);
            }
        }
        shares
    }

    /// Whether nothing is curved: then a linear program's proof is a proof of the whole.
    #[must_use]
    pub fn is_linear(&self) -> bool {
        self.curved.is_empty() && matches!(self.goal, Goal::Linear(_))
    }

    /// Who a row speaks for, in the problem's words.
    #[must_use]
    pub fn party(&self, problem: &Problem, owner: Owner) -> Party {
        match owner {
            Owner::Limit(i) => limit_party(problem, i),
            Owner::Whole | Owner::Defined => Party::Whole,
        }
    }

    /// A treat-band edge as a party; `None` for the natural edges.
    #[must_use]
    pub fn band_party(&self, problem: &Problem, column: usize, side: Side) -> Option<Party> {
        let j = self.columns[column];
        let edge = match side {
            Side::Min => &problem.bands[j].min,
            Side::Max => &problem.bands[j].max,
        };
        (edge.source != EdgeSource::Natural).then(|| Party::Band {
            component: problem.components[j].id.clone(),
            side,
            percent: edge.share.percent(),
            source: edge.source,
        })
    }
}

/// How far an undefined property counts as missed: more than any defined one can be.
const UNDEFINED_MISS: f64 = 1e3;

/// A limit as a party of a conflict.
#[must_use]
pub fn limit_party(problem: &Problem, index: usize) -> Party {
    let limit = &problem.limits[index];
    Party::Limit {
        property: limit.property.clone(),
        side: limit.side,
        stated: limit.stated,
        unit: problem.unit(&limit.property),
        source: limit.source.clone(),
    }
}

/// The width of a property's window, else the size of its bound, at least 1: tolerances and
/// violations are parts of it.
#[must_use]
pub fn span(limits: &[Limit], limit: &Limit) -> f64 {
    let tightest = |side: Side| {
        limits
            .iter()
            .filter(|l| l.property == limit.property && l.side == side)
            .map(|l| l.bound)
            .fold(None, |t: Option<f64>, b| {
                Some(match (t, side) {
                    (None, _) => b,
                    (Some(t), Side::Min) => t.max(b),
                    (Some(t), Side::Max) => t.min(b),
                })
            })
    };
    match (tightest(Side::Min), tightest(Side::Max)) {
        (Some(lo), Some(hi)) if hi > lo => hi - lo,
        _ => limit.bound.abs().max(1.0),
    }
}

/// The treat bands and the sum.
fn whole(problem: &Problem, columns: &[usize]) -> Program {
    let edge = |side: fn(&crate::declare::component::Band) -> f64| -> Vec<f64> {
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

/// A vector of the linear-algebra library.
#[must_use]
pub fn vector(x: &[f64]) -> DVector<f64> {
    DVector::from_column_slice(x)
}

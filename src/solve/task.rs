//! A problem in the search's own terms: the exactly linear part as rows, the curved limits as
//! formulas over a few totals, the goal as one of the two.

use crate::declare::component::EdgeSource;
use crate::declare::problem::Problem;
use crate::declare::problem::Side;
use crate::predict::exact;
use crate::predict::exact::Form;
use crate::predict::formula::Formula;
use crate::predict::total::WIDTH;
use crate::quantity::Share;
use crate::solve::answer::Party;
use crate::solve::logic::Logic;
use crate::solve::program::Program;
use nalgebra::DMatrix;
use nalgebra::DVector;

/// Who a row of the exact part speaks for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Owner {
    /// The treat rates add up to the whole.
    Whole,
    /// A limit of the problem, by index.
    Limit(usize),
    /// The viscosity-index limits, whichever: an index needs a viscosity at which it is defined.
    Index,
    /// Not a requirement but a definition, such as what a change is.
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

    /// Whether a proof can bound the goal: a sum, a quotient, a viscosity or a viscosity index.
    #[must_use]
    pub fn goal_is_boundable(&self) -> bool {
        match &self.goal {
            Goal::Linear(_) => true,
            Goal::Curved(curve) => curve.formula != Formula::LowerFlash,
        }
    }

    /// The least difference of the goal that is worth telling: a hundred-millionth of the
    /// largest weight of a component in it.
    #[must_use]
    pub fn least_gain(&self) -> f64 {
        match &self.goal {
            Goal::Linear(weights) => 1e-8 * weights.iter().fold(0.0_f64, |m, w| m.max(w.abs())),
            Goal::Curved(_) => 0.0,
        }
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

    /// The goal's size at a point, given its slope there: what tolerances and the price of a missed limit are
    /// parts of. Where the goal is nothing, such as a treat rate of none, it is a part of what it could be.
    #[must_use]
    pub fn goal_size(slope: &[f64], x: &[f64]) -> f64 {
        let size: f64 = slope.iter().zip(x).map(|(s, x)| (s * x).abs()).sum();
        let largest = slope.iter().fold(0.0_f64, |m, s| m.max(s.abs()));
        size.max(LEAST_PART * largest).max(LEAST_SIZE)
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
            shares[j] = if x < TRACE {
                Share::NONE
            } else {
                Share::from_fraction(x)
            };
        }
        shares
    }

    /// Whether nothing is curved: then a linear program's proof is a proof of the whole.
    #[must_use]
    pub fn is_linear(&self) -> bool {
        self.curved.is_empty() && matches!(self.goal, Goal::Linear(_))
    }
}

/// A treat-band edge as a party of a conflict; `None` for the natural edges.
#[must_use]
pub fn band_party(problem: &Problem, component: usize, side: Side) -> Option<Party> {
    let edge = match side {
        Side::Min => &problem.bands[component].min,
        Side::Max => &problem.bands[component].max,
    };
    (edge.source != EdgeSource::Natural).then(|| Party::Band {
        component: problem.components[component].id.clone(),
        side,
        percent: edge.share.percent(),
        source: edge.source,
    })
}

/// Least size of a goal, as a part of its largest weight, and at all.
const LEAST_PART: f64 = 1e-4;
const LEAST_SIZE: f64 = 1e-9;

/// A mass fraction below this is the rounding of a linear program, not an ingredient: a billionth of
/// a gram in a kilogram.
const TRACE: f64 = 1e-12;

/// How far an undefined property counts as missed: more than any defined one can be.
const UNDEFINED_MISS: f64 = 1e3;

/// A vector of the linear-algebra library.
#[must_use]
pub fn vector(x: &[f64]) -> DVector<f64> {
    DVector::from_column_slice(x)
}

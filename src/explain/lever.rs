//! What can give: a requirement with the step in which its giving way is measured, and what it
//! becomes when it does.

use crate::declare::component::EdgeSource;
use crate::declare::problem::LimitSource;
use crate::declare::problem::Problem;
use crate::declare::problem::Side;
use crate::declare::property::Property;
use crate::declare::requirement;
use crate::declare::requirement::Requirement;
use crate::predict::spread;
use crate::quantity::Unit;
use crate::standard::precision;

/// Step of a treat rate or a share of the oil, mass %: no test method measures them.
pub const SHARE_STEP: f64 = 0.1;

/// Step of a temperature without a known test method, °C: a part of a Celsius number means nothing.
pub const DEGREES_STEP: f64 = 1.0;

/// Step of any other property without a known test method: this part of its bound.
pub const BOUND_STEP: f64 = 0.01;

/// A viscosity or a density never gives below this part of its bound: the models end at nothing.
const LEAST_PART: f64 = 0.01;

/// A requirement that can give, or several on the same side of one property, which give together.
#[derive(Debug, Clone, PartialEq)]
pub struct Lever {
    /// The requirements.
    pub requirements: Vec<Requirement>,
    /// What is bounded, and from which side; `None` for a rule.
    pub bounds: Option<(Property, Side)>,
    /// The tightest of their numbers.
    pub from: Option<f64>,
    /// One step; `None` for a rule.
    pub step: Option<f64>,
    /// Whether the step is the reproducibility of a test method.
    pub tested: bool,
}

/// The levers of some requirements: limits on the same side of one property are one.
#[must_use]
pub fn levers(problem: &Problem, requirements: &[Requirement]) -> Vec<Lever> {
    let mut levers: Vec<Lever> = Vec::new();
    for &r in requirements {
        let bounds = requirement::bounds(problem, r);
        let limit = |r: &Requirement| matches!(r, Requirement::Limit(_));
        let same = |l: &&mut Lever| {
            bounds.is_some() && l.bounds == bounds && limit(&r) && l.requirements.iter().all(limit)
        };
        match levers.iter_mut().find(same) {
            Some(lever) => lever.requirements.push(r),
            None => levers.push(Lever {
                requirements: vec![r],
                bounds,
                from: None,
                step: None,
                tested: false,
            }),
        }
    }
    for lever in &mut levers {
        lever.measure(problem);
    }
    levers
}

impl Lever {
    fn measure(&mut self, problem: &Problem) {
        let mut numbers = self
            .requirements
            .iter()
            .filter_map(|r| requirement::bound(problem, *r));
        let Some((property, side)) = &self.bounds else {
            self.from = numbers.next();
            return;
        };
        let tightest = match side {
            Side::Min => numbers.reduce(f64::max),
            Side::Max => numbers.reduce(f64::min),
        };
        self.from = tightest;
        let Some(from) = tightest else { return };
        let tested = spread::test_sd(property, from) * precision::R_PER_SIGMA;
        self.tested = tested > 0.0;
        self.step = Some(if self.tested {
            tested
        } else {
            nominal(property, from)
        });
    }

    /// Whether more stock is all that it asks for.
    #[must_use]
    pub fn is_stock(&self, problem: &Problem) -> bool {
        self.requirements.iter().any(|r| {
            matches!(r, Requirement::Edge(j, Side::Max)
                if problem.bands[*j].max.source == EdgeSource::Stock)
        })
    }

    /// Whether a supplier's band is what would have to give.
    #[must_use]
    pub fn is_supplied(&self, problem: &Problem) -> bool {
        self.requirements.iter().any(|r| {
            matches!(r, Requirement::Edge(j, side) if EdgeSource::Shelf == match side {
                Side::Min => problem.bands[*j].min.source,
                Side::Max => problem.bands[*j].max.source,
            })
        })
    }

    /// Its number after giving way by so many steps, within what its quantity can be.
    #[must_use]
    pub fn after(&self, steps: f64) -> Option<f64> {
        let (property, side) = self.bounds.as_ref()?;
        let (from, step) = (self.from?, self.step?);
        let to = match side {
            Side::Min => from - steps * step,
            Side::Max => from + steps * step,
        };
        Some(within(property, from, to))
    }

    /// By how many steps a number is away from it.
    #[must_use]
    pub fn steps(&self, to: f64) -> Option<f64> {
        Some((to - self.from?).abs() / self.step?)
    }

    /// The changes that take it to a number, or lift it (`None`): what is looser already stays.
    #[must_use]
    pub fn changes(&self, problem: &Problem, to: Option<f64>) -> Vec<(Requirement, Option<f64>)> {
        let tighter = |r: &&Requirement| match (&self.bounds, to, requirement::bound(problem, **r))
        {
            (Some((_, Side::Min)), Some(to), Some(own)) => own > to,
            (Some((_, Side::Max)), Some(to), Some(own)) => own < to,
            _ => true,
        };
        let moved = self.requirements.iter().filter(tighter);
        moved.map(|r| (*r, to)).collect()
    }

    /// A tidy number beyond `to`, seen from where it stands, by at most `room` of the way.
    #[must_use]
    pub fn tidy(&self, to: f64, room: f64) -> f64 {
        let Some((property, side)) = &self.bounds else {
            return to;
        };
        let slack = room * self.from.map_or(0.0, |from| (to - from).abs());
        within(property, to, tidied(to, slack, *side == Side::Max))
    }
}

/// A number this near to a tidy one, in parts of it, is that number but for rounding.
const DUST: f64 = 1e-10;

/// The coarsest decimal number from `value` on, upward or downward, no farther than `slack`.
#[must_use]
pub fn tidied(value: f64, slack: f64, upward: bool) -> f64 {
    for power in (-9..=6).rev() {
        for digit in [5.0, 2.0, 1.0] {
            // Dividing by a whole number keeps the printed form short.
            let unit = digit * 10_f64.powi(power.max(0));
            let parts = 10_f64.powi((-power).max(0));
            let count = value * parts / unit;
            let dust = DUST * count.abs().max(1.0);
            let count = if upward {
                (count - dust).ceil()
            } else {
                (count + dust).floor()
            };
            let tidy = count * unit / parts;
            if (tidy - value).abs() <= slack {
                return tidy;
            }
        }
    }
    value
}

/// Whether a property is told as a share of the oil.
fn is_share(property: &Property) -> bool {
    matches!(
        property,
        Property::Treat(_) | Property::Group(_) | Property::PolarShare | Property::Change
    )
}

fn nominal(property: &Property, bound: f64) -> f64 {
    if is_share(property) {
        return SHARE_STEP;
    }
    if matches!(property, Property::AnilinePoint | Property::Flash) {
        return DEGREES_STEP;
    }
    let step = BOUND_STEP * bound.abs();
    if step > 0.0 { step } else { BOUND_STEP }
}

fn within(property: &Property, from: f64, to: f64) -> f64 {
    match property {
        _ if is_share(property) => to.clamp(0.0, 100.0),
        Property::Kv40
        | Property::Kv100
        | Property::Kv100Sheared
        | Property::Kv100Krl
        | Property::Hths
        | Property::Ccs(_)
        | Property::Mrv(_)
        | Property::Density => to.max(from.abs() * LEAST_PART),
        // Properties on a scale of their own, with values below nothing.
        Property::Vi | Property::AnilinePoint | Property::Flash | Property::User(_) => to,
        _ if from >= 0.0 => to.max(0.0),
        _ => to,
    }
}

/// One requirement as it would have to be.
#[derive(Debug, Clone, PartialEq)]
pub struct Change {
    /// What gives.
    pub lever: Lever,
    /// Its new number; `None` where it must be lifted.
    pub to: Option<f64>,
    /// The unit of its numbers.
    pub unit: Unit,
    /// By how many steps it gives; `None` for a rule.
    pub steps: Option<f64>,
    /// For a stock: how many kg more it takes.
    pub more_kg: Option<f64>,
    /// Grades and classes that the oil would no longer be of.
    pub ends: Vec<LimitSource>,
    /// Whether the treat rate would leave the supplier's band.
    pub beyond_supplier: bool,
}

impl Change {
    /// A lever's change to a number, or its lifting.
    #[must_use]
    pub fn new(problem: &Problem, lever: &Lever, to: Option<f64>) -> Self {
        let mut ends: Vec<LimitSource> = Vec::new();
        let mut more_kg = None;
        let mut beyond_supplier = false;
        for (requirement, to) in lever.changes(problem, to) {
            match requirement {
                Requirement::Limit(l) => {
                    let source = &problem.limits[l].source;
                    if *source != LimitSource::Problem && !ends.contains(source) {
                        ends.push(source.clone());
                    }
                }
                Requirement::Edge(j, side) => {
                    let supplier = &problem.components[j].treat;
                    let Some(to) = to else { continue };
                    beyond_supplier |= match side {
                        Side::Min => to < supplier.min.share.percent(),
                        Side::Max => to > supplier.max.share.percent(),
                    };
                    let stock = problem.bands[j].max.source == EdgeSource::Stock;
                    if side == Side::Max && stock {
                        let more = |(batch, from): (f64, f64)| batch * (to - from) / 100.0;
                        more_kg = problem.batch.zip(lever.from).map(more);
                    }
                }
                _ => {}
            }
        }
        let unit = lever.bounds.as_ref().map(|(p, _)| problem.unit(p));
        Change {
            to,
            unit: unit.unwrap_or(Unit::NONE),
            steps: to
                .filter(|_| lever.bounds.is_some())
                .and_then(|to| lever.steps(to)),
            more_kg,
            ends,
            beyond_supplier,
            lever: lever.clone(),
        }
    }
}

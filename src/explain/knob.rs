//! What can be moved to see what it does: a limit, an edge of a treat band, a price.

use crate::declare::component::Edge;
use crate::declare::component::EdgeSource;
use crate::declare::component::Entry;
use crate::declare::problem::Problem;
use crate::declare::problem::Side;
use crate::declare::property::Datum;
use crate::declare::property::Property;
use crate::predict::value::Judged;
use crate::predict::value::Source;
use crate::quantity::Share;

/// Highest price of a component that is looked at, as a multiple of its own, and at least this much.
const MOST_PRICE: f64 = 100.0;

/// Farthest that a limit is moved, in spans.
const MOST_SPANS: f64 = 50.0;

/// One number of a problem, or two that are one: an `exactly` is a minimum and a maximum.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Knob {
    /// Limits, by index, with one bound.
    Limits(Vec<usize>),
    /// The edges of a component's treat band, in mass %.
    Band(usize, Vec<Side>),
    /// The treat rate that a component must reach where it is used, in mass %.
    IfUsed(usize),
    /// A component's price per kg.
    Price(usize),
}

impl Knob {
    /// What moves a requirement of a problem; `None` where nothing does.
    #[must_use]
    pub fn of(problem: &Problem, judged: &Judged) -> Option<Knob> {
        let component = |property: &Property| match property {
            Property::Treat(id) => problem.component(id),
            _ => None,
        };
        match &judged.source {
            Source::Limit(source) => {
                let own = problem.limits.iter().position(|l| {
                    l.property == judged.property
                        && l.side == judged.side
                        && l.source == *source
                        && l.bound.total_cmp(&judged.bound).is_eq()
                })?;
                let other = problem.limits.iter().position(|l| {
                    l.property == judged.property
                        && l.side != judged.side
                        && l.bound.total_cmp(&judged.bound).is_eq()
                });
                Some(Knob::Limits([own].into_iter().chain(other).collect()))
            }
            Source::Band(_) => {
                let j = component(&judged.property)?;
                let band = &problem.bands[j];
                let single = band.min.share >= band.max.share;
                let sides = if single {
                    vec![Side::Min, Side::Max]
                } else {
                    vec![judged.side]
                };
                Some(Knob::Band(j, sides))
            }
            Source::IfUsed(_) => Some(Knob::IfUsed(component(&judged.property)?)),
        }
    }

    /// Its value in a problem.
    #[must_use]
    pub fn value(&self, problem: &Problem) -> Option<f64> {
        match self {
            Knob::Limits(all) => all.first().map(|&l| problem.limits[l].bound),
            Knob::Band(j, sides) => {
                let band = &problem.bands[*j];
                sides.first().map(|side| match side {
                    Side::Min => band.min.share.percent(),
                    Side::Max => band.max.share.percent(),
                })
            }
            Knob::IfUsed(j) => Some(problem.bands[*j].if_used.as_ref()?.share.percent()),
            Knob::Price(j) => Some(problem.components[*j].figure(&Datum::Price)?.value),
        }
    }

    /// A natural size of it.
    #[must_use]
    pub fn span(&self, problem: &Problem) -> f64 {
        match self {
            Knob::Limits(all) => all
                .first()
                .map_or(1.0, |&l| problem.limits[l].span(&problem.limits)),
            Knob::Band(..) | Knob::IfUsed(_) => 1.0,
            Knob::Price(_) => self.value(problem).unwrap_or(1.0).abs().max(0.1),
        }
    }

    /// The lowest and the highest value that is looked at.
    #[must_use]
    pub fn ends(&self, problem: &Problem) -> (f64, f64) {
        let value = self.value(problem).unwrap_or(0.0);
        match self {
            Knob::Limits(all) => {
                let signed = all.first().is_some_and(|&l| {
                    matches!(
                        problem.limits[l].property,
                        Property::Vi | Property::Flash | Property::AnilinePoint | Property::User(_)
                    )
                });
                let far = MOST_SPANS * self.span(problem);
                let low = if signed || value <= 0.0 {
                    value - far
                } else {
                    // A viscosity of nothing has no logarithm.
                    1e-6 * value
                };
                (low, value + far)
            }
            // An exact rate ends where the shelf's band of its component does; of another, the other edge tells.
            Knob::Band(j, sides) if sides.len() > 1 => {
                let own = &problem.components[*j].treat;
                let least = own.min.share.percent().max(1e-4);
                (least.min(value), own.max.share.percent().max(value))
            }
            Knob::Band(..) | Knob::IfUsed(_) => (1e-4_f64.min(value), 100.0),
            Knob::Price(_) => (0.0, MOST_PRICE * (value.abs() + 1.0)),
        }
    }

    /// The problem with it at another value.
    #[must_use]
    pub fn at(&self, problem: &Problem, value: f64) -> Problem {
        let mut moved = problem.clone();
        match self {
            Knob::Limits(all) => {
                for &l in all {
                    moved.limits[l].bound = value;
                    moved.limits[l].stated = value;
                }
            }
            Knob::Band(j, sides) => {
                let edge = Edge {
                    share: Share::from_percent(value),
                    source: EdgeSource::Problem,
                    place: None,
                };
                for side in sides {
                    match side {
                        Side::Min => moved.bands[*j].min = edge.clone(),
                        Side::Max => moved.bands[*j].max = edge.clone(),
                    }
                }
            }
            Knob::IfUsed(j) => {
                if let Some(edge) = &mut moved.bands[*j].if_used {
                    edge.share = Share::from_percent(value);
                }
            }
            Knob::Price(j) => {
                if let Some(Entry::Stated(price)) =
                    moved.components[*j].figures.get_mut(&Datum::Price)
                {
                    price.value = value;
                }
            }
        }
        moved
    }
}

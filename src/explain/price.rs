//! What each limit that holds the recipe costs, how far that price holds, and what gives way.

use crate::declare::problem::Problem;
use crate::declare::problem::Sense;
use crate::declare::problem::Side;
use crate::declare::property::Property;
use crate::explain::knob::Knob;
use crate::explain::turn::BESIDE;
use crate::explain::turn::End;
use crate::explain::turn::Ground;
use crate::predict::value::Judged;
use crate::predict::value::Judgement;
use crate::predict::value::Source;
use crate::solve::follow::path::Track;
use crate::solve::follow::stand::Stand;

/// The price of a requirement that holds the recipe.
#[derive(Debug, Clone, PartialEq)]
pub struct Price {
    /// Which requirement, by index into the judgement's.
    pub requirement: usize,
    /// What moves it.
    pub knob: Knob,
    /// Its present bound.
    pub bound: f64,
    /// Whether it is a minimum and a maximum in one.
    pub exact: bool,
    /// Which way is tighter: up for a minimum; `None` for an exact bound.
    pub tighter: Option<Way>,
    /// What happens when the bound is raised.
    pub raised: Move,
    /// What happens when it is lowered.
    pub lowered: Move,
}

/// Up or down.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Way {
    /// The bound is raised.
    Up,
    /// It is lowered.
    Down,
}

/// What moving a bound one way does.
#[derive(Debug, Clone, PartialEq)]
pub enum Move {
    /// The goal changes.
    Priced {
        /// Change of the goal per unit by which the bound is *raised*, in the property's units, at the
        /// present bound and on this side of it.
        per_unit: f64,
        /// The same at the end of the range.
        at_end: f64,
        /// How far the same limits and components hold the recipe.
        end: End,
        /// Change of the treat rates, mass % per unit raised, by component.
        shift: Vec<(usize, f64)>,
    },
    /// There is no recipe on that side.
    NoRecipe,
    /// It could not be followed.
    Unknown,
}

impl Move {
    /// The price, where there is one.
    #[must_use]
    pub fn per_unit(&self) -> Option<f64> {
        match self {
            Move::Priced { per_unit, .. } => Some(*per_unit),
            _ => None,
        }
    }

    /// The end of its range.
    #[must_use]
    pub fn end(&self) -> Option<&End> {
        match self {
            Move::Priced { end, .. } => Some(end),
            _ => None,
        }
    }
}

/// Prices on the two sides that differ by less than this part are one.
const SAME: f64 = 1e-4;

/// The rate of both sides where it is one.
#[must_use]
pub fn one(up: f64, down: f64) -> Option<f64> {
    ((up - down).abs() <= SAME * up.abs().max(down.abs())).then_some(0.5 * (up + down))
}

impl Price {
    /// The price where it is the same on both sides of the bound.
    #[must_use]
    pub fn per_unit(&self) -> Option<f64> {
        one(self.raised.per_unit()?, self.lowered.per_unit()?)
    }

    /// The move that tightens; for an exact bound the one that costs.
    #[must_use]
    pub fn tightened(&self) -> &Move {
        match self.tighter {
            Some(Way::Up) => &self.raised,
            Some(Way::Down) => &self.lowered,
            None => match self.raised.per_unit() {
                Some(price) if price < 0.0 => &self.lowered,
                _ => &self.raised,
            },
        }
    }

    /// The other.
    #[must_use]
    pub fn loosened(&self) -> &Move {
        if std::ptr::eq(self.tightened(), &raw const self.raised) {
            &self.lowered
        } else {
            &self.raised
        }
    }
}

/// Half-width of the difference that gives a derivative by the moving number, in its spans.
const STEP: f64 = 1e-5;

/// A track shorter than this, in spans, has no length: the recipe stands on a kink.
const NO_LENGTH: f64 = 5e-5;

/// Where a viscosity index of 100 is looked at instead, in spans to either side.
const BESIDE_100: f64 = 1e-6;

/// A treat rate that moves by less than this, mass % per unit of a span, is not told.
const STILL: f64 = 1e-6;

/// The prices of all that holds a recipe, in the judgement's order.
#[must_use]
pub fn all(ground: &Ground, judgement: &Judgement) -> Vec<Price> {
    let mut prices: Vec<Price> = Vec::new();
    for (requirement, judged) in judgement.requirements.iter().enumerate() {
        // That nothing can be taken out of an oil is no limit of anybody's.
        let natural = judged.side == Side::Min && judged.bound <= 0.0 && is_band(judged);
        if !judged.binding || natural {
            continue;
        }
        let Some(knob) = Knob::of(ground.problem, judged) else {
            continue;
        };
        let Some(bound) = knob.value(ground.problem) else {
            continue;
        };
        // What may not be used at all is told with what is left out.
        if matches!(&knob, Knob::Band(j, _) if !ground.base.columns.contains(j)) {
            continue;
        }
        let exact = matches!(&knob, Knob::Limits(all) if all.len() > 1)
            || matches!(&knob, Knob::Band(_, sides) if sides.len() > 1);
        if let Some(same) = prices.iter().find(|p| exact && same_knob(&p.knob, &knob)) {
            let twin = Price {
                requirement,
                ..same.clone()
            };
            prices.push(twin);
            continue;
        }
        prices.push(Price {
            requirement,
            raised: moved(ground, &knob, bound, Way::Up),
            lowered: moved(ground, &knob, bound, Way::Down),
            bound,
            exact,
            tighter: (!exact).then_some(match judged.side {
                Side::Min => Way::Up,
                Side::Max => Way::Down,
            }),
            knob,
        });
    }
    prices
}

fn is_band(judged: &Judged) -> bool {
    matches!(judged.source, Source::Band(_))
}

fn same_knob(a: &Knob, b: &Knob) -> bool {
    match (a, b) {
        (Knob::Limits(a), Knob::Limits(b)) => a.iter().all(|l| b.contains(l)) && a.len() == b.len(),
        (Knob::Band(i, a), Knob::Band(j, b)) => i == j && a == b,
        _ => false,
    }
}

/// What moving a number one way does.
fn moved(ground: &Ground, knob: &Knob, bound: f64, way: Way) -> Move {
    match footing(ground, knob, bound, way) {
        Footing::On { bound, here, track } => priced(ground, knob, bound, &here, &track),
        Footing::NoRecipe => Move::NoRecipe,
        Footing::Unknown => Move::Unknown,
    }
}

/// What a number that holds a recipe costs on one side: the change of the goal per unit by which it is
/// *raised*, in its own units; without a word of how far that is so.
#[must_use]
pub fn rate(ground: &Ground, knob: &Knob, way: Way) -> Option<f64> {
    let bound = knob.value(ground.problem)?;
    let followed = match footing(ground, knob, bound, way) {
        Footing::On { bound, here, .. } => derivative(ground, knob, &here, bound),
        Footing::NoRecipe => return None,
        Footing::Unknown => None,
    };
    followed.or_else(|| {
        let sign = if way == Way::Up { 1.0 } else { -1.0 };
        let mut farther = NEARBY.into_iter();
        farther.find_map(|by| {
            let at = bound + sign * by * knob.span(ground.problem);
            derivative(ground, knob, &ground.stand_at(knob, at)?, at)
        })
    })
}

/// How far beside a number, in spans, its rate is looked for where the recipe cannot be followed to it.
const NEARBY: [f64; 3] = [BESIDE, 10.0 * BESIDE, 100.0 * BESIDE];

/// Where a recipe stands just as a number begins to move one way.
enum Footing {
    /// It stands here.
    On {
        /// The number, or the value just beside it at which a formula is in force.
        bound: f64,
        /// The stand there.
        here: Box<Stand>,
        /// The way on.
        track: Box<Track>,
    },
    /// There is no recipe on that side.
    NoRecipe,
    /// It could not be followed.
    Unknown,
}

fn footing(ground: &Ground, knob: &Knob, bound: f64, way: Way) -> Footing {
    let (low, high) = knob.ends(ground.problem);
    let (towards, sign) = match way {
        Way::Up => (high.max(bound), 1.0),
        Way::Down => (low.min(bound), -1.0),
    };
    let span = knob.span(ground.problem);
    // The index has two formulas, which meet at 100: just beside it one of them is in force.
    let bound = if on_index_100(ground.problem, knob, bound) {
        bound + sign * BESIDE_100 * span
    } else {
        bound
    };
    let Some(track) = ground.track(knob, &ground.stand, bound, towards) else {
        return beside(ground, knob, bound, towards, sign);
    };
    if (track.to - bound).abs() <= NO_LENGTH * span && track.event.is_some() {
        return beside(ground, knob, bound, towards, sign);
    }
    let mut here = ground.stand.clone();
    match ground.task(knob, bound).and_then(|task| here.settle(&task)) {
        Some(()) => Footing::On {
            bound,
            here: Box::new(here),
            track: Box::new(track),
        },
        None => Footing::Unknown,
    }
}

/// Whether a number is a limit of 100 on the viscosity index.
fn on_index_100(problem: &Problem, knob: &Knob, bound: f64) -> bool {
    let on_index = |l: &usize| problem.limits[*l].property == Property::Vi;
    (bound - 100.0).abs() < BESIDE_100
        && matches!(knob, Knob::Limits(all) if all.iter().all(on_index))
}

/// The recipe stands on a kink: what holds it on this side is found a little beside it.
fn beside(ground: &Ground, knob: &Knob, bound: f64, towards: f64, sign: f64) -> Footing {
    let span = knob.span(ground.problem);
    let at = bound + sign * BESIDE * span;
    let Some(stand) = ground.stand_at(knob, at) else {
        return if ground.is_barren(knob, &ground.stand, at) {
            Footing::NoRecipe
        } else {
            Footing::Unknown
        };
    };
    let Some(track) = ground.track(knob, &stand, at, towards) else {
        return Footing::Unknown;
    };
    // Back to the bound itself, where the same holds hold on this side.
    let mut here = stand.clone();
    let settled = ground
        .task(knob, bound)
        .and_then(|task| here.settle(&task))
        .is_some();
    let here = if settled { here } else { stand };
    Footing::On {
        bound,
        here: Box::new(here),
        track: Box::new(track),
    }
}

fn priced(ground: &Ground, knob: &Knob, bound: f64, here: &Stand, track: &Track) -> Move {
    let (Some(per_unit), Some(at_end)) = (
        derivative(ground, knob, here, bound),
        derivative(ground, knob, &track.last, track.to),
    ) else {
        return Move::Unknown;
    };
    let shift = track
        .early
        .as_ref()
        .map_or_else(Vec::new, |(t, stand)| shift(ground, here, stand, t - bound));
    Move::Priced {
        per_unit,
        at_end,
        end: ground.end(knob, bound, track),
        shift,
    }
}

/// Derivative of the best goal by a number, in the goal's own sense.
fn derivative(ground: &Ground, knob: &Knob, stand: &Stand, value: f64) -> Option<f64> {
    let span = knob.span(ground.problem);
    let size = if value.abs() > 0.0 {
        span.min(value.abs())
    } else {
        span
    };
    let step = STEP * size;
    let own = ground.task(knob, value)?;
    let at = |t: f64| -> Option<f64> { stand.reckoned(&own, &ground.task(knob, t)?) };
    let per_unit = (at(value + step)? - at(value - step)?) / (2.0 * step);
    let sign = sense(ground.problem);
    per_unit.is_finite().then_some(sign * per_unit)
}

/// 1 where the goal is minimised, −1 where it is maximised.
#[must_use]
pub fn sense(problem: &Problem) -> f64 {
    match problem.goal.sense {
        Sense::Minimise => 1.0,
        Sense::Maximise => -1.0,
    }
}

/// Change of the treat rates between two stands, per unit of the number.
fn shift(ground: &Ground, from: &Stand, to: &Stand, by: f64) -> Vec<(usize, f64)> {
    ground
        .base
        .columns
        .iter()
        .zip(from.x.iter().zip(&to.x))
        .map(|(&j, (a, b))| (j, 100.0 * (b - a) / by))
        .filter(|(_, s)| (s * by).abs() > STILL * by.abs().min(1.0))
        .collect()
}

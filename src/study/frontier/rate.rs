//! The exchange rate at a recipe: what one property's bound costs in the other, exact from what holds
//! the recipe.

use crate::declare::problem::Sense;
use crate::explain::knob::Knob;
use crate::explain::price;
use crate::explain::price::Way;
use crate::explain::turn::BESIDE;
use crate::explain::turn::Ground;
use crate::solve::follow::local;
use crate::solve::follow::stand::Stand;
use crate::solve::logic::Demand;
use crate::solve::task::Task;
use crate::study::frontier::trade::Found;
use crate::study::frontier::trade::Trade;

/// Change of the second property per unit by which the first *rises*, each in its unit.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Rates {
    /// Towards better values of the first property.
    pub better: Option<f64>,
    /// Towards worse ones.
    pub worse: Option<f64>,
}

impl Rates {
    /// The rate where it is the same on both sides, or known on one alone.
    #[must_use]
    pub fn one(&self) -> Option<f64> {
        match (self.better, self.worse) {
            (Some(a), Some(b)) => price::one(a, b),
            (one, other) => one.or(other),
        }
    }
}

/// The rates at a recipe of a frontier, on the sides that are asked for: of the components that it uses,
/// where recipe logic leaves a choice.
#[must_use]
pub fn rates(trade: &Trade, found: &Found, better: bool, worse: bool) -> Rates {
    let (towards_better, towards_worse) = ways(trade);
    Rates {
        better: better.then(|| rate(trade, found, towards_better)).flatten(),
        worse: worse.then(|| rate(trade, found, towards_worse)).flatten(),
    }
}

/// The same, whatever components come in: where recipe logic leaves a choice, or where the recipe could
/// not be followed, from the best recipe a little beside.
#[must_use]
pub fn rates_of_all(trade: &Trade, found: &Found, better: bool, worse: bool) -> Rates {
    let (towards_better, towards_worse) = ways(trade);
    let bands = &trade.problem.bands;
    let chosen = !trade.problem.rules.is_empty() || bands.iter().any(|b| b.if_used.is_some());
    let side = |way: Way| {
        let own = || rate(trade, found, way);
        if chosen {
            aside(trade, found, way).or_else(own)
        } else {
            own().or_else(|| aside(trade, found, way))
        }
    };
    Rates {
        better: better.then(|| side(towards_better)).flatten(),
        worse: worse.then(|| side(towards_worse)).flatten(),
    }
}

/// The ways of the first property's number towards better and towards worse.
fn ways(trade: &Trade) -> (Way, Way) {
    match trade.aims[0].sense {
        Sense::Minimise => (Way::Down, Way::Up),
        Sense::Maximise => (Way::Up, Way::Down),
    }
}

/// How far beside a recipe its neighbour is looked for, in parts of the way between the ends.
const ASIDE: f64 = 1e-4;

/// The rate of the best recipe a little beside, towards this one.
fn aside(trade: &Trade, found: &Found, way: Way) -> Option<f64> {
    let (sign, back) = match way {
        Way::Up => (1.0, Way::Down),
        Way::Down => (-1.0, Way::Up),
    };
    let neighbour = trade.within(0, found.at[0] + sign * ASIDE * trade.way(0))?;
    let moved = sign * (neighbour.at[0] - found.at[0]);
    // A neighbour that did not move lies on another piece, or there is none.
    if moved < 0.5 * ASIDE * trade.way(0) {
        return None;
    }
    rate(trade, &neighbour, back).or_else(|| rate(trade, &neighbour, way))
}

fn rate(trade: &Trade, found: &Found, way: Way) -> Option<f64> {
    let (problem, place) = trade.bounded(1, Some(found.at[0]));
    let knob = Knob::Limits(vec![place?]);
    let recipe = found.answer.recipe.as_ref()?;
    let base = Task::with(&problem, &Demand::default());
    let x = local::point(&base, recipe);
    let used = local::used(&base, &x);
    let here = local::decided(base.clone(), &used);
    let beside = || {
        let sign = if way == Way::Up { 1.0 } else { -1.0 };
        let at = knob.value(&problem)? + sign * BESIDE * knob.span(&problem);
        let task = local::task(&knob.at(&problem, at), &base.columns, &used)?;
        let point = local::best(&task, &x)?;
        Stand::at(&task, &point.x)
    };
    // A recipe within the gap need not stand on anything yet.
    let best = || Stand::at(&here, &local::best(&here, &x)?.x);
    let stand = Stand::at(&here, &x).or_else(best).or_else(beside)?;
    let ground = Ground {
        problem: &problem,
        base,
        used,
        stand,
    };
    price::rate(&ground, &knob, way)
}

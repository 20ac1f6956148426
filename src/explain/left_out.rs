//! The price at which each component that is left out would come in, and what it would replace.
//!
//! The price below which a component is worth using is the highest p for which some recipe costs no more
//! than the present best one:
//!
//! ```text
//! p = max over recipes of (best − the recipe's other costs) / the component's share
//! ```
//!
//! It is found from the price at which the present recipe's neighbourhood would take it in (or from
//! nothing), and then by certified solves at ever higher prices until none uses it (Dinkelbach 1967,
//! Management Science 13; from memory).

use crate::explain::knob::Knob;
use crate::explain::turn::Ground;
use crate::explain::turn::NONE_OF_IT;
use crate::quantity::Share;
use crate::solve::follow::local;
use crate::solve::logic::Demand;
use crate::solve::prove::tree;
use crate::solve::prove::tree::Limits;
use crate::solve::refine::Point;
use crate::solve::task::Task;

/// A component that the recipe does without.
#[derive(Debug, Clone, PartialEq)]
pub struct LeftOut {
    /// The component, by index.
    pub component: usize,
    /// Its present price per kg.
    pub price: f64,
    /// The price below which it comes in; `None` where it would not at any price above 0.
    pub enters_at: Option<f64>,
    /// Whether that was proved over the whole shelf.
    pub sure: bool,
    /// Whether it comes in with a treat rate of its own, in quite another recipe; else from nothing on.
    pub at_once: bool,
    /// Change of the treat rates where it comes in, mass %, by component, itself first: to the other recipe
    /// where it comes in at once, else with 1 % of it. Empty where it does not come in.
    pub replaces: Vec<(usize, f64)>,
}

/// Relative gap of the solves, and most regions of each.
const GAP: f64 = 1e-5;
const NODES: usize = 120;

/// Most prices tried for one component.
const TRIES: usize = 12;

/// Part of a price by which it is lowered to see a component come in.
const JUST_BELOW: f64 = 1e-3;

/// Treat rate, as a mass fraction, at which what gives way is told: 1 %, or less where so much of it
/// is not possible.
const TOLD_AT: f64 = 1e-4;

/// Each component that could be used and is not; empty where the goal is no cost.
#[must_use]
pub fn all(ground: &Ground) -> Vec<LeftOut> {
    if !ground.problem.goal.property.is_money() {
        return Vec::new();
    }
    let left = |k: &usize| ground.stand.x[*k] <= NONE_OF_IT;
    (0..ground.base.columns.len())
        .filter(left)
        .filter_map(|k| left_out(ground, k))
        .collect()
}

fn left_out(ground: &Ground, column: usize) -> Option<LeftOut> {
    let component = ground.base.columns[column];
    let knob = Knob::Price(component);
    let price = knob.value(ground.problem)?;
    let best = ground.base.goal(&ground.stand.x)?;
    // Per unit of price, a share costs this much of the goal: for a cost per litre the mass of one.
    let weight = weight(ground, column)?;
    let near = price - ground.stand.rise[column] / weight;
    let mut at = if enters_below(ground, &knob, column, near.min(price)) {
        near.min(price)
    } else {
        0.0
    };
    let mut other: Option<Vec<f64>> = None;
    let mut sure = false;
    for _ in 0..TRIES {
        let asked = at.max(0.0) * (1.0 + 1e-7) + 1e-9;
        let priced = Task::with(&knob.at(ground.problem, asked), &Demand::default());
        let known = Point {
            x: ground.stand.x.clone(),
            goal: best,
            missed: 0.0,
        };
        let limits = Limits {
            gap: GAP,
            nodes: NODES,
            least: priced.least_gain().max(tree::LEAST_GAIN),
            ..Limits::default()
        };
        let outcome = tree::prove(&priced, Some(known), &limits);
        let better = outcome
            .best
            .filter(|b| b.goal < best - limits.gain(best) && b.x[column] > NONE_OF_IT);
        let Some(better) = better else {
            sure = outcome.complete;
            break;
        };
        let share = weighed(&priced, &knob, ground, &better.x, asked)?;
        at = asked + (best - better.goal) / share;
        other = Some(better.x);
        if at >= price {
            // Within the gap of the recipe's own proof it is worth using already.
            at = price;
            break;
        }
    }
    let enters = at > 0.0;
    Some(LeftOut {
        component,
        price,
        enters_at: enters.then_some(at),
        sure,
        at_once: enters && other.is_some(),
        replaces: if enters {
            replaces(ground, column, other.as_deref())
        } else {
            Vec::new()
        },
    })
}

/// Whether the best recipe nearby takes a component in just below a price: at a corner that more limits
/// hold than are needed, its worth there may be overstated, and recipe logic may keep it out.
fn enters_below(ground: &Ground, knob: &Knob, column: usize, price: f64) -> bool {
    ground
        .task(knob, price * (1.0 - JUST_BELOW))
        .and_then(|task| local::best(&task, &ground.stand.x))
        .is_some_and(|best| best.x[column] > NONE_OF_IT)
}

/// Rise of the goal per unit of the component's share and unit of its price, at the stand.
fn weight(ground: &Ground, column: usize) -> Option<f64> {
    let knob = Knob::Price(ground.base.columns[column]);
    let price = knob.value(ground.problem)?;
    let dearer = Task::with(&knob.at(ground.problem, price + 1.0), &Demand::default());
    let slope = |task: &Task| Some(task.goal_slope(&ground.stand.x)?[column]);
    let weight = slope(&dearer)? - slope(&ground.base)?;
    (weight > 0.0).then_some(weight)
}

/// Rise of the goal per unit of the component's price, at a recipe.
fn weighed(priced: &Task, knob: &Knob, ground: &Ground, x: &[f64], at: f64) -> Option<f64> {
    let dearer = Task::with(&knob.at(ground.problem, at + 1.0), &Demand::default());
    let rise = dearer.goal(x)? - priced.goal(x)?;
    (rise > 0.0).then_some(rise)
}

/// What gives way: by another recipe that uses the component, or by the neighbourhood of this one.
fn replaces(ground: &Ground, column: usize, other: Option<&[f64]>) -> Vec<(usize, f64)> {
    let moved = match other {
        Some(x) => Some((x.to_vec(), 1.0)),
        None => forced(ground, column),
    };
    let Some((x, part)) = moved else {
        return Vec::new();
    };
    let mut changes: Vec<(usize, f64)> = ground
        .base
        .columns
        .iter()
        .zip(ground.stand.x.iter().zip(&x))
        .map(|(&j, (before, after))| (j, 100.0 * (after - before) / part))
        .filter(|(_, change)| change.abs() >= 1e-4)
        .collect();
    let own = ground.base.columns[column];
    changes.sort_by(|a, b| {
        (b.0 == own)
            .cmp(&(a.0 == own))
            .then(b.1.abs().total_cmp(&a.1.abs()))
    });
    changes
}

/// The best recipe nearby with a little of a component in it, and how many times more 1 % of it is.
fn forced(ground: &Ground, column: usize) -> Option<(Vec<f64>, f64)> {
    let component = ground.base.columns[column];
    let mut problem = ground.problem.clone();
    problem.bands[component].min.share = Share::from_fraction(TOLD_AT);
    let task = local::task(&problem, &ground.base.columns, &ground.used)?;
    let mut stand = ground.stand.clone();
    stand.settle(&task)?;
    Some((stand.x, TOLD_AT / 0.01))
}

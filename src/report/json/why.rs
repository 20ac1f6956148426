//! Prices as JSON: what each limit costs, what the shelf's prices decide.

use crate::declare::problem::Problem;
use crate::explain::knob::Knob;
use crate::explain::left_out::LeftOut;
use crate::explain::price::Move;
use crate::explain::price::Price;
use crate::explain::purchase::Purchase;
use crate::explain::turn::End;
use crate::quantity::Unit;
use crate::report::turns;
use crate::report::words;
use serde::Serialize;

/// The change of the objective when a bound is raised by one unit.
#[derive(Debug, Serialize)]
pub struct Cost {
    /// Negative: a higher bound is cheaper. `null` where the two sides differ, or one has no recipe.
    pub per_unit: Option<f64>,
    /// Objective's unit per the limit's unit.
    pub unit: String,
    /// The same when the bound is raised, from here upwards; `null` where there is no recipe above.
    pub when_raised: Option<f64>,
    /// The same when the bound is lowered, from here downwards; `null` where there is no recipe below.
    pub when_lowered: Option<f64>,
    /// Lowest bound for which the same limits and components hold; `null` where nothing ends it.
    pub valid_from: Option<f64>,
    /// Highest bound for which they do.
    pub valid_to: Option<f64>,
    /// What happens below `valid_from`.
    pub below: Option<String>,
    /// What happens above `valid_to`.
    pub above: Option<String>,
    /// Whether no other recipe takes over within the range was proved over the whole shelf.
    pub proved: bool,
    /// Change of the treat rates when the bound is tightened by one unit, mass %.
    pub gives_way: Vec<Shift>,
}

/// Change of a treat rate.
#[derive(Debug, Serialize)]
pub struct Shift {
    /// The component's id.
    pub component: String,
    /// Change of its treat rate, mass %.
    pub mass_percent: f64,
}

/// A component that the recipe uses, with the prices for which the same components are used.
#[derive(Debug, Serialize)]
pub struct Bought {
    /// Its id.
    pub component: String,
    /// Its price per kg.
    pub price: f64,
    /// Lowest such price; `null` where any is low enough.
    pub valid_from: Option<f64>,
    /// Highest such price; `null` where none that was looked at is too high.
    pub valid_to: Option<f64>,
    /// What happens below.
    pub below: Option<String>,
    /// What happens above.
    pub above: Option<String>,
    /// Whether both ends were proved over the whole shelf.
    pub proved: bool,
}

/// A component that the recipe leaves out.
#[derive(Debug, Serialize)]
pub struct Absent {
    /// Its id.
    pub component: String,
    /// Its price per kg.
    pub price: f64,
    /// The price per kg below which it would enter; `null` where it would at none above 0.
    pub price_to_enter: Option<f64>,
    /// Whether that was proved over the whole shelf.
    pub proved: bool,
    /// Whether it enters with a treat rate of its own, in quite another recipe; else from nothing on.
    pub at_once: bool,
    /// Change of the treat rates where it enters, itself first, mass %: to the other recipe where it
    /// enters at once, else with 1 % of it.
    pub replaces: Vec<Shift>,
}

/// The price of a requirement.
#[must_use]
pub fn cost(problem: &Problem, unit: &Unit, price: &Price) -> Cost {
    let own: &[usize] = match &price.knob {
        Knob::Limits(all) => all,
        _ => &[],
    };
    let words = |side: &Move| {
        let end = side.end().filter(|end| end.at.is_some())?;
        Some(turns::clause(problem, end, own))
    };
    let goal = problem.unit(&problem.goal.property);
    let proved = [&price.raised, &price.lowered]
        .into_iter()
        .all(|side| side.end().is_none_or(|end| end.sure));
    let tight = price.tightened();
    let sign = if std::ptr::eq(tight, &raw const price.raised) {
        1.0
    } else {
        -1.0
    };
    Cost {
        per_unit: price.per_unit(),
        unit: match words::money(unit).as_str() {
            "" => words::money(&goal),
            unit => format!("{} per {unit}", words::money(&goal)).trim().into(),
        },
        when_raised: price.raised.per_unit(),
        when_lowered: price.lowered.per_unit(),
        valid_from: end(&price.lowered, price.bound),
        valid_to: end(&price.raised, price.bound),
        below: words(&price.lowered),
        above: words(&price.raised),
        proved,
        gives_way: match tight {
            Move::Priced { shift, .. } => shifts(problem, shift, sign),
            _ => Vec::new(),
        },
    }
}

/// Where a range ends: at the bound itself where that side has no recipe.
fn end(side: &Move, bound: f64) -> Option<f64> {
    match side {
        Move::Priced { end, .. } => end.at,
        Move::NoRecipe => Some(bound),
        Move::Unknown => None,
    }
}

fn shifts(problem: &Problem, shift: &[(usize, f64)], sign: f64) -> Vec<Shift> {
    shift
        .iter()
        .map(|(j, s)| Shift {
            component: problem.components[*j].id.clone(),
            mass_percent: sign * s,
        })
        .collect()
}

/// The price ranges of the components used.
#[must_use]
pub fn bought(problem: &Problem, all: &[Purchase]) -> Option<Vec<Bought>> {
    let words = |end: &End| end.at.map(|_| turns::clause(problem, end, &[]));
    problem.goal.property.is_money().then(|| {
        all.iter()
            .map(|p| Bought {
                component: problem.components[p.component].id.clone(),
                price: p.price,
                valid_from: p.cheaper.at,
                valid_to: p.dearer.at,
                below: words(&p.cheaper),
                above: words(&p.dearer),
                proved: p.cheaper.sure && p.dearer.sure,
            })
            .collect()
    })
}

/// The components left out.
#[must_use]
pub fn left_out(problem: &Problem, all: &[LeftOut]) -> Option<Vec<Absent>> {
    problem.goal.property.is_money().then(|| {
        all.iter()
            .map(|l| Absent {
                component: problem.components[l.component].id.clone(),
                price: l.price,
                price_to_enter: l.enters_at,
                proved: l.sure,
                at_once: l.at_once,
                replaces: shifts(problem, &l.replaces, 1.0),
            })
            .collect()
    })
}

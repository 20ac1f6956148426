//! What is varied and what is minimised, as the axes of a sweep's pictures.

use crate::declare::dial::Dial;
use crate::declare::stops::Stops;
use crate::report::dials;
use crate::report::keys;
use crate::report::picture::data::Along;
use crate::report::picture::data::Axis;
use crate::report::words;
use crate::study::sweep::kept::Sweep;

/// What an axis shows of a dial.
#[must_use]
pub fn axis(found: &Sweep, dial: &Dial) -> Axis {
    let problem = found.plan.problem();
    let unit = words::money(&dial.unit(problem));
    Axis::new(&dials::label(problem, dial), &unit)
}

/// What an axis shows of the goal.
#[must_use]
pub fn goal(found: &Sweep) -> Axis {
    let problem = found.plan.problem();
    let goal = &problem.goal.property;
    Axis::new(&words::property(goal), &words::money(&problem.unit(goal)))
}

/// Places of a dial's settings in the order of an axis: numbers rise, words stay as they are.
#[must_use]
pub fn order(stops: &Stops, solved: usize) -> Vec<usize> {
    let mut places: Vec<usize> = (0..stops.len().min(solved)).collect();
    if places.iter().all(|&k| stops.number(k).is_some()) {
        let number = |k: usize| stops.number(k).unwrap_or_default();
        places.sort_by(|&a, &b| number(a).total_cmp(&number(b)));
        places.dedup_by(|a, b| number(*a).total_cmp(&number(*b)).is_eq());
    }
    places
}

/// The positions of these settings along an axis.
#[must_use]
pub fn along(stops: &Stops, order: &[usize]) -> Along {
    let numbers: Option<Vec<f64>> = order.iter().map(|&k| stops.number(k)).collect();
    numbers.map_or_else(
        || Along::Words(order.iter().map(|&k| keys::setting(&stops.at(k))).collect()),
        Along::Numbers,
    )
}

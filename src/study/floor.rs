//! The guards that every recipe needs: a laboratory's test scatters, and so do the models, whatever is
//! blended.
//!
//! A lower bound of what being sure costs. All other causes only add to the scatter: they are independent
//! of these and, to first order, symmetric, and these are normal, so a limit that is to pass in more than
//! half of all tests takes at least as much room. Where all limits are to pass together, each of them must
//! pass as often.

use crate::declare::problem::Limit;
use crate::declare::problem::Problem;
use crate::declare::problem::Side;
use crate::declare::property::Property;
use crate::predict::chance;
use crate::predict::draw;
use crate::predict::spread;
use crate::standard::normal;
use crate::study::wish::Wish;

/// By how many standard deviations of independent draws a chance may be off. Measured on five problems at 0.7 to
/// 0.95 with 8192 and 65 536 draws against four million: 1.75 at most, 0.3 in the middle.
const DRAWN: f64 = 2.0;

/// Doublings of a step away from a limit, and halvings of what they enclose.
const DOUBLINGS: usize = 40;
const HALVINGS: usize = 60;

/// One for each limit of a problem, in its property's unit.
#[must_use]
#[expect(clippy::cast_precision_loss, reason = "a count of draws")]
pub fn guards(problem: &Problem, wish: Wish) -> Vec<f64> {
    let confidence = wish.confidence - chance::short(wish.confidence);
    let drawn = DRAWN * (confidence * (1.0 - confidence) / draw::made(wish.draws) as f64).sqrt();
    let z = normal::quantile((confidence - drawn).max(0.5));
    let guard = |limit: &Limit| guard(limit, z);
    problem.limits.iter().map(guard).collect()
}

/// How far inside a limit the nearest value lies that has z of its own standard deviations to spare.
fn guard(limit: &Limit, z: f64) -> f64 {
    let property = &limit.property;
    // Two tests divided are not one test.
    if z <= 0.0 || !property.is_tested() || matches!(property, Property::Ratio(..)) {
        return 0.0;
    }
    let inwards = match limit.side {
        Side::Min => 1.0,
        Side::Max => -1.0,
    };
    let spare = |inside: f64| inside - z * scatter(property, limit.stated + inwards * inside);
    let first = z * scatter(property, limit.stated);
    let mut high = first;
    for _ in 0..DOUBLINGS {
        if !high.is_finite() || spare(high) >= 0.0 {
            break;
        }
        high *= 2.0;
    }
    if !high.is_finite() || spare(high) < 0.0 {
        return first;
    }
    let mut low = 0.0;
    for _ in 0..HALVINGS {
        let middle = f64::midpoint(low, high);
        if spare(middle) >= 0.0 {
            high = middle;
        } else {
            low = middle;
        }
    }
    low
}

/// What one laboratory's result of any recipe scatters by at a predicted value, one standard deviation.
fn scatter(property: &Property, value: f64) -> f64 {
    spread::test_sd(property, value).hypot(spread::own_error(property, value))
}

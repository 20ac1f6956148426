//! The next-best recipes that use other components.

use crate::declare::problem::Problem;
use crate::quantity::Share;
use crate::solve::answer::Answer;
use crate::solve::logic::Demand;
use crate::solve::logic::SMALLEST_USE;
use crate::solve::search;
use crate::solve::search::Budget;

/// Part of the smallest use that rounding may take.
const ROUNDING: f64 = 1e-6;

/// The cheapest recipe, and up to `most` further ones, each the cheapest that leaves out at least one
/// component of every recipe before it.
///
/// Adding a trace of something to the same recipe is no alternative; doing without something is.
/// Each alternative is certified like the first. There may be fewer: when no such recipe is left, or
/// the budget ends.
#[must_use]
pub fn cheapest_and_next(problem: &Problem, budget: &Budget, most: usize) -> Answer {
    let mut first = search::cheapest(problem, budget);
    let mut demand = Demand {
        avoid: used(&first).into_iter().collect(),
        ..budget.demand.clone()
    };
    while first.alternatives.len() < most && !demand.avoid.is_empty() {
        let asked = Budget {
            demand: demand.clone(),
            ..budget.clone()
        };
        let next = search::cheapest(problem, &asked);
        let Some(components) = used(&next) else { break };
        demand.avoid.push(components);
        first.alternatives.push(next);
    }
    first
}

/// The components that an answer's recipe uses, where it has one that meets every limit.
fn used(answer: &Answer) -> Option<Vec<usize>> {
    if !answer.status.has_recipe() {
        return None;
    }
    // A treat rate that stands on the smallest use was rounded when the recipe was made whole.
    let least = Share::from_fraction(SMALLEST_USE * (1.0 - ROUNDING));
    let shares = answer.recipe.as_ref()?.shares();
    Some((0..shares.len()).filter(|&j| shares[j] >= least).collect())
}

//! Why a recipe is what it is: prices of what holds it, of what is in it, and of what is not.

use crate::declare::problem::Problem;
use crate::declare::property::Property;
use crate::explain::left_out;
use crate::explain::left_out::LeftOut;
use crate::explain::price;
use crate::explain::price::Price;
use crate::explain::purchase;
use crate::explain::purchase::Purchase;
use crate::explain::turn::Ground;
use crate::solve::answer::Answer;
use crate::solve::follow::local;
use crate::solve::follow::stand::Stand;
use crate::solve::logic::Demand;
use crate::solve::task::Task;

/// The reasons behind a recipe.
#[derive(Debug, Clone, PartialEq)]
pub struct Why {
    /// What holds it, in the judgement's order.
    pub prices: Vec<Price>,
    /// What the shelf's prices decide, where that was asked for.
    pub market: Option<Market>,
}

/// What the shelf's prices decide; empty where the goal is no cost.
#[derive(Debug, Clone, PartialEq)]
pub struct Market {
    /// What is in the recipe.
    pub purchases: Vec<Purchase>,
    /// What is not.
    pub left_out: Vec<LeftOut>,
}

/// The reasons behind the recipe of an answer; `None` where it has none that meets every limit, where
/// what is asked for is the least change, or where what holds the recipe could not be told.
///
/// The recipe must be free of a balance's grid: a recipe on a grid stands on no limit. `market` asks for
/// what the shelf's prices decide, too, which takes longer.
#[must_use]
pub fn of(problem: &Problem, answer: &Answer, market: bool) -> Option<Why> {
    if !answer.outcome().has_recipe() || problem.goal.property == Property::Change {
        return None;
    }
    let (recipe, judgement) = (answer.recipe.as_ref()?, answer.judgement.as_ref()?);
    let task = Task::with(problem, &Demand::default());
    let x = local::point(&task, recipe);
    let used = local::used(&task, &x);
    let here = local::decided(task.clone(), &used);
    let stand = Stand::at(&here, &x).or_else(|| Stand::at(&here, &local::best(&here, &x)?.x))?;
    let ground = Ground {
        problem,
        base: task,
        used,
        stand,
    };
    Some(Why {
        prices: price::all(&ground, judgement),
        market: market.then(|| Market {
            purchases: purchase::all(&ground),
            left_out: left_out::all(&ground),
        }),
    })
}

//! What closes a page of many recipes: estimates, warnings and cautions of all of them, each once.

use crate::declare::problem::Problem;
use crate::declare::recipe::Recipe;
use crate::predict::value::Judgement;
use crate::predict::value::Warning;
use crate::quantity::Share;
use crate::report::text::notes;
use crate::report::warnings;

/// The closing sections; `recipes` and `judged` go together.
#[must_use]
pub fn closing(problem: &Problem, recipes: &[&Recipe], judged: &[&Judgement]) -> Vec<String> {
    let all: Vec<Warning> = judged.iter().fold(Vec::new(), |all, judgement| {
        warnings::together(&all, Some(*judgement))
    });
    // Everything that any of them uses.
    let used: Vec<usize> = (0..problem.components.len())
        .filter(|&j| recipes.iter().any(|r| r.shares()[j] > Share::NONE))
        .collect();
    let estimated = estimates(judged).map(|j| notes::estimated(problem, &j));
    vec![
        estimated.unwrap_or_default(),
        notes::warnings(&all),
        notes::safety(problem, &used),
    ]
}

/// A judgement whose properties rest on all that any of them rests on.
fn estimates(judged: &[&Judgement]) -> Option<Judgement> {
    let (first, rest) = judged.split_first()?;
    let mut all = (*first).clone();
    for property in rest.iter().flat_map(|j| &j.properties) {
        match all
            .properties
            .iter_mut()
            .find(|p| p.property == property.property)
        {
            Some(own) => {
                for id in &property.estimated_from {
                    if !own.estimated_from.contains(id) {
                        own.estimated_from.push(id.clone());
                    }
                }
            }
            None => all.properties.push(property.clone()),
        }
    }
    Some(all)
}

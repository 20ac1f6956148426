//! The answer of `reach`: shape and content.

use crate::declare::property::Property;
use crate::predict::value::Warning;
use crate::report::json::answer;
use crate::report::json::part;
use crate::report::json::shape;
use crate::report::json::solved;
use crate::report::warnings;
use crate::report::words;
use crate::study::apart;
use crate::study::reach as study;
use crate::study::reach::Outcome;
use crate::study::solved::Solved;
use crate::study::top_up;
use serde::Serialize;

/// The answer of `reach`.
#[derive(Debug, Serialize)]
pub struct Reach {
    /// [`shape::SCHEMA`].
    pub schema: u32,
    /// `reached`, `not-reached` or `undecided`.
    pub status: &'static str,
    /// What is to be reached.
    pub target: Target,
    /// The component asked about.
    pub component: String,
    /// The least treat rate that reaches the target; `null` where none does.
    pub least: Option<Least>,
    /// The problem's goal.
    pub objective: Objective,
    /// The best recipe without the target.
    pub before: solved::Solved,
    /// The best recipe with it; `null` where there is none.
    pub after: Option<solved::Solved>,
    /// The best recipe with it at the least treat rate; `null` where there is none.
    pub at_least: Option<solved::Solved>,
    /// What differs between `before` and `after`.
    pub apart: Option<solved::Apart>,
    /// The component on top of `before`, nothing else changed; `null` where that never gets there.
    pub top_up: Option<TopUp>,
    /// For `not-reached`: how far it goes.
    pub farthest: Option<Farthest>,
    /// For `not-reached`: requirements that cannot all hold.
    pub conflict: Option<Vec<shape::Party>>,
    /// What to be told beside the numbers.
    pub warnings: Vec<shape::Warning>,
}

/// What is to be reached.
#[derive(Debug, Serialize)]
pub struct Target {
    /// The property's key.
    pub property: String,
    /// `min` or `max`.
    pub side: &'static str,
    /// The number obeyed.
    pub bound: f64,
    /// Its unit.
    pub unit: String,
    /// Who set it.
    pub source: String,
}

/// The least treat rate.
#[derive(Debug, Serialize)]
pub struct Least {
    /// It, mass %.
    pub mass_percent: f64,
    /// What is proved of it; its `bound` is in mass %.
    pub proof: shape::Proof,
}

/// The problem's goal.
#[derive(Debug, Serialize)]
pub struct Objective {
    /// The property's key.
    pub name: String,
    /// Its unit.
    pub unit: String,
    /// Its value before.
    pub before: Option<f64>,
    /// Its value after.
    pub after: Option<f64>,
    /// Its value at the least treat rate.
    pub at_least: Option<f64>,
}

/// One component added, nothing else changed.
#[derive(Debug, Serialize)]
pub struct TopUp {
    /// What is added, mass % of the oil after adding.
    pub added_percent: f64,
    /// The same as grams to each kilogram of the oil before.
    pub grams_per_kilogram: f64,
    /// The oil after adding.
    pub recipe: Vec<shape::Ingredient>,
    /// The goal's value for it.
    pub value: Option<f64>,
    /// Whether it meets every limit and keeps every rule.
    pub passes: bool,
    /// The limits and bands that it fails.
    pub fails: Vec<solved::Bound>,
}

/// How far the property goes.
#[derive(Debug, Serialize)]
pub struct Farthest {
    /// The extreme value.
    pub value: Option<f64>,
    /// What is proved of it.
    pub proof: shape::Proof,
    /// The best recipe there.
    pub recipe: solved::Solved,
    /// What that recipe stands on.
    pub binding: Vec<solved::Bound>,
}

/// The answer of `reach`, ending in a line break.
///
/// # Errors
/// Where the writer of JSON fails; it has no reason to on these shapes.
pub fn reach(found: &study::Reach, told: &[Warning]) -> serde_json::Result<String> {
    let problem = &found.before.problem;
    let outcome = found.outcome();
    let goal = &problem.goal.property;
    let unit = |property: &Property| problem.unit(property).to_string();
    let value = |s: Option<&Solved>| s.and_then(Solved::value);
    let there = found.farthest.as_ref().map(|f| &f.recipe);
    let last = found.best.as_ref().or(found.at_least.as_ref()).or(there);
    let judged = last
        .and_then(Solved::recipe)
        .map(|(_, judgement)| judgement);
    let refused = found.refused();
    answer::text(&Reach {
        schema: shape::SCHEMA,
        status: match outcome {
            Outcome::Reached => "reached",
            Outcome::NotReached => "not-reached",
            Outcome::Undecided => "undecided",
        },
        target: Target {
            property: found.target.property.key(),
            side: found.target.side.key(),
            bound: found.target.bound,
            unit: unit(&found.target.property),
            source: words::limit_source(&found.target.source),
        },
        component: problem.components[found.component].id.clone(),
        least: found.least_treat().map(|share| Least {
            mass_percent: share.percent(),
            proof: answer::proved(&found.least.answer),
        }),
        objective: Objective {
            name: goal.key(),
            unit: unit(goal),
            before: found.before.value(),
            after: value(found.best.as_ref()),
            at_least: value(found.at_least.as_ref()),
        },
        before: solved::solved(&found.before),
        after: found.best.as_ref().map(solved::solved),
        at_least: found.at_least.as_ref().map(solved::solved),
        apart: found
            .best
            .as_ref()
            .and_then(|best| solved::apart(&found.before, best)),
        top_up: found.top_up.as_ref().map(|t| topped(found, t)),
        farthest: found.farthest.as_ref().map(farthest),
        conflict: (outcome == Outcome::NotReached)
            .then(|| part::collision(&refused.problem, &refused.answer)),
        warnings: part::warnings(&warnings::together(told, judged)),
    })
}

fn topped(found: &study::Reach, top_up: &top_up::TopUp) -> TopUp {
    let problem = &found.least.problem;
    let goal = &found.before.problem.goal.property;
    TopUp {
        added_percent: top_up.added.percent(),
        grams_per_kilogram: top_up.grams_per_kilogram(),
        recipe: part::recipe(problem, &top_up.recipe),
        value: top_up.judgement.of(goal).map(|p| p.value),
        passes: top_up.judgement.passes(),
        fails: solved::bounds(&top_up.fails()),
    }
}

fn farthest(there: &study::Farthest) -> Farthest {
    let judged = there.recipe.recipe().map(|(_, judgement)| judgement);
    Farthest {
        value: there.extreme.value(),
        proof: answer::proved(&there.extreme.answer),
        recipe: solved::solved(&there.recipe),
        binding: judged.map_or_else(Vec::new, |j| solved::bounds(&apart::binding(j))),
    }
}

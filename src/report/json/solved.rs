//! One of several answers inside a larger one: what a question of many searches shows of each.

use crate::predict::value::Judged;
use crate::predict::value::Judgement;
use crate::report::json::answer;
use crate::report::json::part;
use crate::report::json::shape;
use crate::report::words;
use crate::study::apart;
use crate::study::apart::Moved;
use crate::study::solved::Solved as Found;
use serde::Serialize;

/// One search's answer.
#[derive(Debug, Serialize)]
pub struct Solved {
    /// `optimal`, `feasible`, `no-recipe` or `undecided`.
    pub status: &'static str,
    /// What is proved of what that search sought.
    pub proof: shape::Proof,
    /// The problem's goal for the recipe; `null` where no recipe meets every limit.
    pub value: Option<f64>,
    /// The components used, the largest treat rate first; `null` likewise.
    pub recipe: Option<Vec<shape::Ingredient>>,
    /// What was predicted; `null` likewise.
    pub properties: Option<shape::Properties>,
    /// Every requirement, judged; `null` likewise.
    pub limits: Option<Vec<shape::Limit>>,
    /// Every rule of recipe logic, judged; `null` likewise.
    pub rules: Option<Vec<shape::Rule>>,
}

/// A property in two recipes.
#[derive(Debug, Serialize)]
pub struct Move {
    /// Its key.
    pub property: String,
    /// The unit of the three values.
    pub unit: String,
    /// In the first recipe; `null` where it could not be predicted.
    pub before: Option<f64>,
    /// In the second; `null` likewise.
    pub after: Option<f64>,
    /// The second less the first.
    pub change: Option<f64>,
}

/// A limit or the edge of a treat band.
#[derive(Debug, Serialize)]
pub struct Bound {
    /// The property's key; `treat:<component>` for a treat band.
    pub property: String,
    /// `min` or `max`.
    pub side: &'static str,
    /// The number obeyed.
    pub bound: f64,
    /// The predicted value.
    pub value: Option<f64>,
    /// The unit of both.
    pub unit: String,
    /// Who set it.
    pub source: String,
}

/// What differs between two recipes.
#[derive(Debug, Serialize)]
pub struct Apart {
    /// Every property whose value is not the same.
    pub moves: Vec<Move>,
    /// What binds in the second recipe only.
    pub now_binding: Vec<Bound>,
    /// What binds in the first recipe only.
    pub no_longer_binding: Vec<Bound>,
}

/// An answer.
#[must_use]
pub fn solved(found: &Found) -> Solved {
    let judged = found.recipe();
    Solved {
        status: answer::status(found.answer.outcome()),
        proof: answer::proved(&found.answer),
        value: found.value(),
        recipe: judged.map(|(recipe, _)| part::recipe(&found.problem, recipe)),
        properties: judged.map(|(_, judgement)| part::properties(judgement)),
        limits: judged.map(|(_, judgement)| part::limits(&found.problem, judgement, None)),
        rules: judged.map(|(_, judgement)| part::rules(&found.problem, judgement)),
    }
}

/// What differs between two answers' recipes; `None` where one has none.
#[must_use]
pub fn apart(before: &Found, after: &Found) -> Option<Apart> {
    let (_, before) = before.recipe()?;
    let (_, after) = after.recipe()?;
    Some(between(before, after))
}

fn between(before: &Judgement, after: &Judgement) -> Apart {
    let one = |m: &Moved| Move {
        property: m.property.key(),
        unit: m.unit.to_string(),
        before: m.before,
        after: m.after,
        change: m.change(),
    };
    Apart {
        moves: apart::moved(before, after).iter().map(one).collect(),
        now_binding: bounds(&apart::binds_only(after, before)),
        no_longer_binding: bounds(&apart::binds_only(before, after)),
    }
}

/// Requirements in short.
#[must_use]
pub fn bounds(all: &[&Judged]) -> Vec<Bound> {
    all.iter()
        .map(|r| Bound {
            property: r.property.key(),
            side: r.side.key(),
            bound: r.bound,
            value: r.value,
            unit: r.unit.to_string(),
            source: words::source(&r.source),
        })
        .collect()
}

//! The shape of the JSON answers. Its keys are a promise: changing one changes [`SCHEMA`].

use crate::report::json::confidence::Confidence;
use crate::report::json::contributions::Contributions;
use crate::report::json::why::Absent;
use crate::report::json::why::Bought;
use crate::report::json::why::Cost;
use serde::Serialize;
use serde::Serializer;

/// The number of this shape.
pub const SCHEMA: u32 = 1;

/// The answer of `solve`.
#[derive(Debug, Serialize)]
pub struct Solve {
    /// [`SCHEMA`].
    pub schema: u32,
    /// `optimal`, `feasible`, `no-recipe` or `undecided`.
    pub status: &'static str,
    /// What is proved.
    pub proof: Proof,
    /// What was minimised or maximised.
    pub objective: Objective,
    /// The components used, the largest treat rate first; `null` where there is no recipe.
    pub recipe: Option<Vec<Ingredient>>,
    /// What was predicted, in the order of the text answer; `null` where there is no recipe.
    pub properties: Option<Properties>,
    /// Every requirement, judged; `null` where there is no recipe.
    pub limits: Option<Vec<Limit>>,
    /// Every rule of recipe logic, judged; `null` where there is no recipe.
    pub rules: Option<Vec<Rule>>,
    /// Where properties come from; `null` unless asked for.
    pub contributions: Option<Vec<Contributions>>,
    /// How sure it is that the limits pass at one laboratory's test; `null` unless asked for.
    pub confidence: Option<Confidence>,
    /// Components left out, with the price at which each would enter; `null` unless asked for.
    pub left_out: Option<Vec<Absent>>,
    /// Components used, with the prices between which the same ones are; `null` unless asked for.
    pub bought: Option<Vec<Bought>>,
    /// For `no-recipe`: requirements that cannot all hold.
    pub conflict: Option<Vec<Party>>,
    /// Next-best recipes, each without something that all before it use.
    pub alternatives: Vec<Alternative>,
    /// What to be told beside the numbers.
    pub warnings: Vec<Warning>,
}

/// A next-best recipe.
#[derive(Debug, Serialize)]
pub struct Alternative {
    /// `optimal` or `feasible`.
    pub status: &'static str,
    /// What is proved.
    pub proof: Proof,
    /// Its value of the objective.
    pub value: Option<f64>,
    /// Its value less the best recipe's.
    pub apart: Option<f64>,
    /// The components used, the largest treat rate first.
    pub recipe: Vec<Ingredient>,
}

/// The answer of `predict`.
#[derive(Debug, Serialize)]
pub struct Predict {
    /// [`SCHEMA`].
    pub schema: u32,
    /// `passes` or `fails`.
    pub status: &'static str,
    /// The components used, the largest treat rate first.
    pub recipe: Vec<Ingredient>,
    /// What was predicted, in the order of the text answer.
    pub properties: Properties,
    /// Every requirement, judged.
    pub limits: Vec<Limit>,
    /// Every rule of recipe logic, judged.
    pub rules: Vec<Rule>,
    /// Where properties come from; `null` unless asked for.
    pub contributions: Option<Vec<Contributions>>,
    /// How sure it is that the limits pass at one laboratory's test; `null` unless asked for.
    pub confidence: Option<Confidence>,
    /// What to be told beside the numbers.
    pub warnings: Vec<Warning>,
}

/// What is proved of an answer.
#[derive(Debug, Serialize)]
pub struct Proof {
    /// `certified`, `local` or `none`.
    pub kind: &'static str,
    /// A value of the objective that no recipe can better.
    pub bound: Option<f64>,
    /// Relative distance of the recipe from `bound`.
    pub gap: Option<f64>,
    /// The same in words.
    pub words: String,
}

/// What was minimised or maximised.
#[derive(Debug, Serialize)]
pub struct Objective {
    /// The property's key.
    pub name: String,
    /// Its value for the recipe.
    pub value: Option<f64>,
    /// Its unit.
    pub unit: String,
}

/// A component of a recipe.
#[derive(Debug, Serialize)]
pub struct Ingredient {
    /// Its id.
    pub component: String,
    /// Its treat rate, mass %.
    pub mass_percent: f64,
    /// What it adds to the cost of a kilogram; `null` where its shelf states no price.
    pub cost_share: Option<f64>,
}

/// Properties by key, in the order given.
#[derive(Debug)]
pub struct Properties(pub Vec<(String, Property)>);

impl Serialize for Properties {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_map(self.0.iter().map(|(key, property)| (key, property)))
    }
}

/// A predicted property.
#[derive(Debug, Serialize)]
pub struct Property {
    /// Its value.
    pub value: f64,
    /// Its unit.
    pub unit: String,
    /// Standard deviation of one laboratory's result, in the same unit.
    pub sd: f64,
    /// Whether it rests on an estimated figure.
    pub estimated: bool,
}

/// A requirement, judged.
#[derive(Debug, Serialize)]
pub struct Limit {
    /// The property's key; `treat:<component>` for a treat band.
    pub property: String,
    /// `min` or `max`.
    pub side: &'static str,
    /// The number obeyed.
    pub bound: f64,
    /// The number as stated: `bound` lies inside it where the standard says "below" and reports in steps.
    pub stated: f64,
    /// Whether the value must lie within `stated`, and not on it.
    pub strict: bool,
    /// The predicted value; `null` where only a laboratory can tell.
    pub value: Option<f64>,
    /// The unit of both.
    pub unit: String,
    /// Distance to the bound, positive inside.
    pub margin: Option<f64>,
    /// Whether the recipe stands on it.
    pub binding: bool,
    /// Who set it.
    pub source: String,
    /// Chance that one laboratory's result passes.
    pub pass_probability: Option<f64>,
    /// What it costs, where it binds; else `null`.
    pub price: Option<Cost>,
}

/// A rule of recipe logic, judged.
#[derive(Debug, Serialize)]
pub struct Rule {
    /// Its key in the problem's `[rules]` table.
    pub rule: &'static str,
    /// The components it names; for `needs` first the one that needs, then what it needs.
    pub components: Vec<String>,
    /// For `at-most`: how many; else `null`.
    pub at_most: Option<usize>,
    /// Those that the recipe uses; for `at-most` of the whole shelf.
    pub used: Vec<String>,
    /// Whether the recipe keeps it.
    pub holds: bool,
    /// The same in words.
    pub words: String,
}

/// A requirement of a conflict.
#[derive(Debug, Serialize)]
pub struct Party {
    /// The property's key; `treat:<component>` for a treat band, `total` for the sum of all rates.
    pub property: String,
    /// `min`, `max`, or `exactly` for the total.
    pub side: &'static str,
    /// The number as stated.
    pub bound: f64,
    /// Whether a value must lie within it, and not on it.
    pub strict: bool,
    /// Its unit.
    pub unit: String,
    /// Who set it.
    pub source: String,
    /// Whether it was shown that the others leave a recipe without it; where not, it may be needed.
    pub needed: bool,
}

/// What to be told beside the numbers.
#[derive(Debug, Serialize)]
pub struct Warning {
    /// A stable name.
    pub code: &'static str,
    /// What was seen, what it may mean, what to do.
    pub words: String,
}

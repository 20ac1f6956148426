//! The answer of a search, as data.

use crate::declare::component::EdgeSource;
use crate::declare::problem::LimitSource;
use crate::declare::problem::Problem;
use crate::declare::problem::Rule;
use crate::declare::problem::Side;
use crate::declare::property::Property;
use crate::declare::recipe::Recipe;
use crate::predict::value::Judgement;
use crate::predict::value::Warning;
use crate::quantity::Unit;

/// The outcome.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Status {
    /// A recipe, proved best within the stated gap.
    Optimal,
    /// A recipe that meets every limit; nothing better was found nearby.
    Feasible,
    /// Proved: no recipe meets every limit.
    NoRecipe,
    /// Neither a recipe nor a proof was found.
    Undecided,
}

impl Status {
    /// Whether there is a recipe that meets every limit.
    #[must_use]
    pub fn has_recipe(self) -> bool {
        matches!(self, Status::Optimal | Status::Feasible)
    }
}

/// How much is proved.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ProofKind {
    /// For the whole feasible set.
    Certified,
    /// For the neighbourhood of the recipe.
    Local,
    /// Nothing.
    None,
}

/// What is proved of the answer.
#[derive(Debug, Clone, PartialEq)]
pub struct Proof {
    /// How much.
    pub kind: ProofKind,
    /// A value of the goal that no recipe can better, where proved.
    pub bound: Option<f64>,
    /// Relative distance between the recipe's goal and `bound`.
    pub gap: Option<f64>,
    /// The same in words for the formulator.
    pub words: String,
}

/// One party of a conflict: a requirement that, with the others, leaves no recipe.
#[derive(Debug, Clone, PartialEq)]
pub enum Party {
    /// A limit.
    Limit {
        /// What is limited.
        property: Property,
        /// Which way.
        side: Side,
        /// Whether the standard says "strictly below".
        strict: bool,
        /// The number as printed in the file or the standard.
        stated: f64,
        /// Its unit.
        unit: Unit,
        /// Who set it.
        source: LimitSource,
    },
    /// An edge of a treat band.
    Band {
        /// The component's id.
        component: String,
        /// Which edge.
        side: Side,
        /// The treat rate, mass %.
        percent: f64,
        /// Who set it.
        source: EdgeSource,
    },
    /// A rule of recipe logic.
    Rule(Rule),
    /// A treat rate that a component must reach where it is used at all.
    IfUsed {
        /// The component's id.
        component: String,
        /// The treat rate, mass %.
        percent: f64,
    },
    /// The treat rates add up to 100 %.
    Whole,
}

impl Party {
    /// One of a problem's limits, by its index.
    #[must_use]
    pub fn limit(problem: &Problem, index: usize) -> Self {
        let limit = &problem.limits[index];
        Party::Limit {
            property: limit.property.clone(),
            side: limit.side,
            strict: limit.strict,
            stated: limit.stated,
            unit: problem.unit(&limit.property),
            source: limit.source.clone(),
        }
    }

    /// Whether two are one requirement, whatever their numbers.
    #[must_use]
    pub fn is(&self, other: &Party) -> bool {
        match (self, other) {
            (
                Party::Limit {
                    property: a,
                    side: b,
                    source: c,
                    ..
                },
                Party::Limit {
                    property,
                    side,
                    source,
                    ..
                },
            ) => (a, b, c) == (property, side, source),
            (
                Party::Band {
                    component: a,
                    side: b,
                    source: c,
                    ..
                },
                Party::Band {
                    component,
                    side,
                    source,
                    ..
                },
            ) => (a, b, c) == (component, side, source),
            (Party::IfUsed { component: a, .. }, Party::IfUsed { component, .. }) => a == component,
            (Party::Rule(Rule::AtMost(..)), Party::Rule(Rule::AtMost(..)))
            | (Party::Whole, Party::Whole) => true,
            (Party::Rule(a), Party::Rule(b)) => a == b,
            _ => false,
        }
    }
}

/// How much work the search took.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Effort {
    /// Starting points tried.
    pub starts: usize,
    /// Linear programs solved.
    pub programs: usize,
    /// Nodes of the proof tree.
    pub nodes: usize,
}

/// The answer.
#[derive(Debug, Clone, PartialEq)]
pub struct Answer {
    /// The outcome.
    pub status: Status,
    /// What is proved.
    pub proof: Proof,
    /// The recipe, where there is one; for `Undecided` the best attempt, which fails something.
    pub recipe: Option<Recipe>,
    /// The goal's value for the recipe.
    pub objective: Option<f64>,
    /// The recipe judged afresh by the full property model.
    pub judgement: Option<Judgement>,
    /// For `NoRecipe`: requirements that cannot all hold.
    pub conflict: Vec<Party>,
    /// Whether each of `conflict` was shown to be needed for it; where not, it may be.
    pub needed: Vec<bool>,
    /// What to be told beside the recipe.
    pub warnings: Vec<Warning>,
    /// The work done.
    pub effort: Effort,
    /// Next-best recipes that leave something out of every recipe before them, best first.
    pub alternatives: Vec<Answer>,
}

impl Answer {
    /// The outcome as its judgement confirms it: a recipe that the full property model does not
    /// confirm decides nothing.
    #[must_use]
    pub fn outcome(&self) -> Status {
        let confirmed =
            self.recipe.is_some() && self.judgement.as_ref().is_some_and(Judgement::passes);
        match self.status {
            Status::Optimal | Status::Feasible if !confirmed => Status::Undecided,
            status => status,
        }
    }
}

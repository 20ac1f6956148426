//! A predicted value with its uncertainty, and a limit judged by it.

use crate::declare::component::EdgeSource;
use crate::declare::problem::LimitSource;
use crate::declare::problem::Rule;
use crate::declare::problem::Side;
use crate::declare::property::Property;
use crate::quantity::Unit;

/// Standard deviations of a predicted value, in the property's unit, by cause.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Spread {
    /// From the stated uncertainty of the components' figures and of the pours, to first order.
    pub components: f64,
    /// From the property model: the mixing rules' disagreement and the model's own error.
    pub model: f64,
    /// From one laboratory's test of the finished oil: reproducibility / 2.77 (ISO 4259).
    pub test: f64,
}

impl Spread {
    /// What one laboratory would scatter around: components, model and test together.
    #[must_use]
    pub fn total(self) -> f64 {
        self.components.hypot(self.model).hypot(self.test)
    }

    /// What the prediction itself may be off by: components and model.
    #[must_use]
    pub fn prediction(self) -> f64 {
        self.components.hypot(self.model)
    }
}

/// One property of one recipe.
#[derive(Debug, Clone, PartialEq)]
pub struct Predicted {
    /// Which property.
    pub property: Property,
    /// Its value; always finite.
    pub value: f64,
    /// Its unit.
    pub unit: Unit,
    /// Its uncertainty.
    pub spread: Spread,
    /// The components whose estimated figures it rests on; empty where none is.
    pub estimated_from: Vec<String>,
}

/// Who set a requirement: a limit, or the edge of a treat band.
#[derive(Debug, Clone, PartialEq)]
pub enum Source {
    /// A limit.
    Limit(LimitSource),
    /// A treat band.
    Band(EdgeSource),
    /// The minimum of a component that is used at all.
    IfUsed(EdgeSource),
}

/// What the full property model says of one requirement.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Verdict {
    /// The recipe meets it.
    Meets,
    /// The recipe fails it.
    Fails,
    /// No model, or no data: the laboratory decides.
    NotAssured,
}

/// One requirement, judged.
#[derive(Debug, Clone, PartialEq)]
pub struct Judged {
    /// What is limited; `treat:<component>` for a treat band.
    pub property: Property,
    /// Which way.
    pub side: Side,
    /// The number obeyed.
    pub bound: f64,
    /// The number as printed in the file or the standard.
    pub stated: f64,
    /// Whether the standard says "strictly below".
    pub strict: bool,
    /// Who set it.
    pub source: Source,
    /// The predicted value, where there is one.
    pub value: Option<f64>,
    /// The property's unit.
    pub unit: Unit,
    /// Distance to `bound`, positive inside, in the property's unit.
    pub margin: Option<f64>,
    /// Whether the value stands on the bound, within tolerance.
    pub binding: bool,
    /// Meets, fails, or left to the laboratory.
    pub verdict: Verdict,
    /// Probability that one laboratory's result passes, to first order; `None` where unknown.
    pub pass_probability: Option<f64>,
}

/// A rule of recipe logic, judged.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct JudgedRule {
    /// The rule.
    pub rule: Rule,
    /// Those of the components it speaks of that the recipe uses, as indices into the problem's.
    pub used: Vec<usize>,
    /// Whether the recipe keeps it.
    pub holds: bool,
}

/// What to be told beside the numbers.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Warning {
    /// A stable name, kebab-case.
    pub code: &'static str,
    /// What was seen, what it may mean, what to do.
    pub words: String,
}

/// A recipe judged by the full property model.
#[derive(Debug, Clone, PartialEq)]
pub struct Judgement {
    /// Every property that could be predicted, in the order in which answers list them.
    pub properties: Vec<Predicted>,
    /// Every limit, then every treat-band edge that a file or stock set.
    pub requirements: Vec<Judged>,
    /// Every rule of recipe logic, in file order.
    pub rules: Vec<JudgedRule>,
    /// What to be told beside the numbers.
    pub warnings: Vec<Warning>,
}

impl Judgement {
    /// Whether no requirement fails and no rule is broken.
    #[must_use]
    pub fn passes(&self) -> bool {
        let fails = |r: &Judged| r.verdict == Verdict::Fails;
        !self.requirements.iter().any(fails) && self.rules.iter().all(|r| r.holds)
    }

    /// The prediction of a property, where there is one.
    #[must_use]
    pub fn of(&self, property: &Property) -> Option<&Predicted> {
        self.properties.iter().find(|p| &p.property == property)
    }
}

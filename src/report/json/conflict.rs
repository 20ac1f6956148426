//! The answer of `conflict`: shape and words. Its keys are a promise like those of `shape`.

use crate::declare::problem::Problem;
use crate::declare::requirement::Requirement;
use crate::explain::conflict::Explained;
use crate::explain::conflict::Refusal;
use crate::explain::lever;
use crate::explain::remedy;
use crate::explain::wanted;
use crate::report::json::answer;
use crate::report::json::part;
use crate::report::json::shape;
use crate::report::rules;
use crate::report::words;
use crate::solve::answer::Answer;
use serde::Serialize;

/// The answer of `conflict`.
#[derive(Debug, Serialize)]
pub struct Conflict {
    /// [`shape::SCHEMA`].
    pub schema: u32,
    /// `optimal` or `feasible` where there is a recipe, `no-recipe`, or `undecided`.
    pub status: &'static str,
    /// What is proved of that.
    pub proof: shape::Proof,
    /// The goal, with its value where there is a recipe.
    pub objective: shape::Objective,
    /// Why there is no recipe, and what would do; `null` where there is one.
    pub refusal: Option<Refused>,
}

/// Why there is no recipe.
#[derive(Debug, Serialize)]
pub struct Refused {
    /// The reasons: sets of requirements that leave no recipe together.
    pub reasons: Vec<Vec<shape::Party>>,
    /// Whether there are no further reasons.
    pub complete: bool,
    /// What would have to give, least first.
    pub remedies: Vec<Remedy>,
    /// Everything named in the reasons moved alike, stock and rules aside; `null` where that is no
    /// remedy of its own.
    pub everywhere: Option<Remedy>,
    /// Members of the first reason whose giving way alone does not suffice.
    pub not_alone: Vec<shape::Party>,
    /// Members of the first reason of which that was not settled.
    pub unsettled: Vec<shape::Party>,
    /// Components that would do, were they on the shelf.
    pub wanted: Vec<Wanted>,
}

/// A remedy.
#[derive(Debug, Serialize)]
pub struct Remedy {
    /// What changes.
    pub changes: Vec<Change>,
    /// All steps together; `null` where a rule is changed.
    pub steps: Option<f64>,
    /// Whether it was proved that a hundredth less does not suffice.
    pub least: bool,
    /// How the problem so changed is answered.
    pub status: &'static str,
    /// What is proved of that.
    pub proof: shape::Proof,
    /// The goal's value then.
    pub value: Option<f64>,
    /// The recipe then.
    pub recipe: Option<Vec<shape::Ingredient>>,
}

/// A requirement that gives.
#[derive(Debug, Serialize)]
pub struct Change {
    /// The property's key, `treat:<component>` for treat rates, `rule:<key>` for rules.
    pub property: String,
    /// `min`, `max`, `if-used`, or `holds` for a rule.
    pub side: &'static str,
    /// The number now; `null` for a rule without one.
    pub from: Option<f64>,
    /// The number then; `null` where the requirement is lifted.
    pub to: Option<f64>,
    /// The unit of both.
    pub unit: String,
    /// By how many steps it gives; `null` for a rule.
    pub steps: Option<f64>,
    /// One step, in the unit.
    pub step: Option<f64>,
    /// `reproducibility` of the test method, `no test method`, or `null` for a rule.
    pub step_is: Option<&'static str>,
    /// Who set it.
    pub source: Vec<String>,
    /// Grades and classes that the oil would no longer be of.
    pub ends: Vec<String>,
    /// For stock: how many kg more it takes.
    pub more_kg: Option<f64>,
    /// Whether the treat rate would leave the supplier's band.
    pub beyond_supplier: bool,
    /// For a rule: in words.
    pub words: Option<String>,
}

/// A component that would do.
#[derive(Debug, Serialize)]
pub struct Wanted {
    /// The component that it is like.
    pub like: String,
    /// The figures that differ.
    pub figures: Vec<Figure>,
    /// Its treat rate in the recipe that it brings, mass %.
    pub mass_percent: f64,
    /// The goal's value of that recipe, at the price of `like`.
    pub value: Option<f64>,
}

/// A figure of a component that would do.
#[derive(Debug, Serialize)]
pub struct Figure {
    /// Its key on a shelf.
    pub figure: String,
    /// `max`: at most this; `min`: at least this.
    pub side: &'static str,
    /// The number.
    pub value: f64,
    /// The number of the component that it is like.
    pub own: f64,
    /// The unit of both.
    pub unit: String,
}

/// The answer of `conflict`, ending in a line break.
///
/// # Errors
/// Where the writer of JSON fails; it has no reason to on these shapes.
pub fn conflict(problem: &Problem, explained: &Explained) -> serde_json::Result<String> {
    let goal = &problem.goal.property;
    let found = &explained.answer;
    answer::text(&Conflict {
        schema: shape::SCHEMA,
        status: answer::status(found.outcome()),
        proof: answer::proved(found),
        objective: shape::Objective {
            name: goal.key(),
            value: found.objective,
            unit: problem.unit(goal).to_string(),
        },
        refusal: explained.refusal.as_ref().map(|r| refused(problem, r)),
    })
}

fn refused(problem: &Problem, refusal: &Refusal) -> Refused {
    let parties = |all: &[_]| all.iter().map(|p| part::party(problem, p)).collect();
    Refused {
        reasons: refusal
            .sets
            .iter()
            .map(|set| {
                let told = set.members.iter().map(|m| (&m.party, &m.needed));
                part::conflict(problem, told)
            })
            .collect(),
        complete: refusal.complete,
        remedies: refusal
            .remedies
            .iter()
            .map(|r| remedy(problem, r))
            .collect(),
        everywhere: refusal.everywhere.as_ref().map(|r| remedy(problem, r)),
        not_alone: parties(&refusal.not_alone),
        unsettled: parties(&refusal.unsettled),
        wanted: refusal.wanted.iter().map(|w| wanted(problem, w)).collect(),
    }
}

fn remedy(problem: &Problem, remedy: &remedy::Remedy) -> Remedy {
    let found: &Answer = &remedy.answer;
    Remedy {
        changes: remedy.changes.iter().map(|c| change(problem, c)).collect(),
        steps: remedy.steps,
        least: remedy.least,
        status: answer::status(found.outcome()),
        proof: answer::proved(found),
        value: found.objective,
        recipe: found.recipe.as_ref().map(|r| part::recipe(problem, r)),
    }
}

fn change(problem: &Problem, change: &lever::Change) -> Change {
    let lever = &change.lever;
    let rule = match lever.requirements[..] {
        [Requirement::Rule(r)] => Some(&problem.rules[r]),
        _ => None,
    };
    let if_used = matches!(lever.requirements[..], [Requirement::IfUsed(_)]);
    let source = |r: &Requirement| match *r {
        Requirement::Limit(l) => words::limit_source(&problem.limits[l].source),
        Requirement::Edge(j, side) => {
            let band = &problem.bands[j];
            let edge = match side {
                crate::declare::problem::Side::Min => &band.min,
                crate::declare::problem::Side::Max => &band.max,
            };
            words::edge_source(edge.source).into()
        }
        Requirement::IfUsed(_) | Requirement::Rule(_) | Requirement::Whole => "problem".into(),
    };
    Change {
        property: match (&lever.bounds, rule) {
            (Some((property, _)), _) => property.key(),
            (None, Some(rule)) => format!("rule:{}", rule.key()),
            (None, None) => String::new(),
        },
        side: match &lever.bounds {
            _ if if_used => "if-used",
            Some((_, side)) => side.key(),
            None => "holds",
        },
        from: lever.from,
        to: change.to,
        unit: change.unit.to_string(),
        steps: change.steps,
        step: lever.step,
        step_is: lever.step.map(|_| {
            if lever.tested {
                "reproducibility"
            } else {
                "no test method"
            }
        }),
        source: lever.requirements.iter().map(source).collect(),
        ends: change.ends.iter().map(words::limit_source).collect(),
        more_kg: change.more_kg,
        beyond_supplier: change.beyond_supplier,
        words: rule.map(|rule| rules::demands(problem, rule)),
    }
}

fn wanted(problem: &Problem, wanted: &wanted::Wanted) -> Wanted {
    Wanted {
        like: problem.components[wanted.like].id.clone(),
        figures: wanted
            .figures
            .iter()
            .map(|f| Figure {
                figure: f.datum.key(),
                side: f.side.key(),
                value: f.value,
                own: f.own,
                unit: f.unit.to_string(),
            })
            .collect(),
        mass_percent: wanted.treat.percent(),
        value: wanted.answer.objective,
    }
}

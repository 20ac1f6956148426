//! The parts that the answers of several verbs share.

use crate::declare::component::EdgeSource;
use crate::declare::problem::Problem;
use crate::declare::problem::Rule;
use crate::declare::property;
use crate::declare::recipe::Recipe;
use crate::explain::why::Why;
use crate::predict::value::Judgement;
use crate::predict::value::Warning;
use crate::quantity::Unit;
use crate::report::json::shape;
use crate::report::json::why;
use crate::report::rules;
use crate::report::used;
use crate::report::words;
use crate::solve::answer::Answer;
use crate::solve::answer::Party;

/// The components used.
#[must_use]
pub fn recipe(problem: &Problem, recipe: &Recipe) -> Vec<shape::Ingredient> {
    let indices = used::by_treat_rate(recipe);
    let costs = used::costs(problem, recipe, &indices);
    indices
        .iter()
        .zip(costs)
        .map(|(&j, cost_share)| shape::Ingredient {
            component: problem.components[j].id.clone(),
            mass_percent: recipe.shares()[j].percent(),
            cost_share,
        })
        .collect()
}

/// What was predicted.
#[must_use]
pub fn properties(judgement: &Judgement) -> shape::Properties {
    shape::Properties(
        judgement
            .properties
            .iter()
            .map(|p| {
                let property = shape::Property {
                    value: p.value,
                    unit: p.unit.to_string(),
                    sd: p.spread.total(),
                    estimated: !p.estimated_from.is_empty(),
                };
                (p.property.key(), property)
            })
            .collect(),
    )
}

/// Every requirement.
#[must_use]
pub fn limits(problem: &Problem, judgement: &Judgement, why: Option<&Why>) -> Vec<shape::Limit> {
    let price = |k: usize| why?.prices.iter().find(|p| p.requirement == k);
    judgement
        .requirements
        .iter()
        .enumerate()
        .map(|(k, r)| shape::Limit {
            property: r.property.key(),
            side: r.side.key(),
            bound: r.bound,
            stated: r.stated,
            strict: r.strict,
            value: r.value,
            unit: r.unit.to_string(),
            margin: r.margin,
            binding: r.binding,
            source: words::source(&r.source),
            pass_probability: r.pass_probability,
            price: price(k).map(|p| why::cost(problem, &r.unit, p)),
        })
        .collect()
}

/// Every rule of recipe logic.
#[must_use]
pub fn rules(problem: &Problem, judgement: &Judgement) -> Vec<shape::Rule> {
    judgement
        .rules
        .iter()
        .map(|judged| shape::Rule {
            rule: judged.rule.key(),
            components: rules::named(problem, &judged.rule),
            at_most: match judged.rule {
                Rule::AtMost(most, _) => Some(most),
                _ => None,
            },
            used: rules::ids(problem, &judged.used),
            holds: judged.holds,
            words: format!(
                "{}: {}",
                rules::says(problem, &judged.rule),
                rules::does(problem, judged)
            ),
        })
        .collect()
}

/// The parties of an answer's conflict.
#[must_use]
pub fn collision(problem: &Problem, answer: &Answer) -> Vec<shape::Party> {
    conflict(problem, answer.conflict.iter().zip(&answer.needed))
}

/// The parties of a conflict.
#[must_use]
pub fn conflict<'a>(
    problem: &Problem,
    parties: impl Iterator<Item = (&'a Party, &'a bool)>,
) -> Vec<shape::Party> {
    parties
        .map(|(party, needed)| shape::Party {
            needed: *needed,
            ..self::party(problem, party)
        })
        .collect()
}

/// A requirement, taken as needed.
#[must_use]
pub fn party(problem: &Problem, party: &Party) -> shape::Party {
    match party {
        Party::Rule(rule) => shape::Party {
            property: format!("rule:{}", rule.key()),
            side: "holds",
            bound: match rule {
                Rule::AtMost(most, _) => f64::from(u32::try_from(*most).unwrap_or(u32::MAX)),
                _ => 1.0,
            },
            strict: false,
            unit: String::new(),
            source: rules::demands(problem, rule),
            needed: true,
        },
        Party::IfUsed { component, percent } => shape::Party {
            property: property::Property::Treat(component.clone()).key(),
            side: "if-used",
            bound: *percent,
            strict: false,
            unit: Unit::PERCENT.to_string(),
            source: words::edge_source(EdgeSource::Problem).into(),
            needed: true,
        },
        Party::Limit {
            property,
            side,
            strict,
            stated,
            unit,
            source,
        } => shape::Party {
            property: property.key(),
            side: side.key(),
            bound: *stated,
            strict: *strict,
            unit: unit.to_string(),
            source: words::limit_source(source),
            needed: true,
        },
        Party::Band {
            component,
            side,
            percent,
            source,
        } => shape::Party {
            property: property::Property::Treat(component.clone()).key(),
            side: side.key(),
            bound: *percent,
            strict: false,
            unit: Unit::PERCENT.to_string(),
            source: words::edge_source(*source).into(),
            needed: true,
        },
        Party::Whole => shape::Party {
            property: "total".into(),
            side: "exactly",
            bound: 100.0,
            strict: false,
            unit: Unit::PERCENT.to_string(),
            source: "every recipe".into(),
            needed: true,
        },
    }
}

/// The warnings.
#[must_use]
pub fn warnings(all: &[Warning]) -> Vec<shape::Warning> {
    all.iter()
        .map(|w| shape::Warning {
            code: w.code,
            words: w.words.clone(),
        })
        .collect()
}

//! Recipe logic in words.

use crate::declare::problem::Problem;
use crate::declare::problem::Rule;
use crate::predict::value::JudgedRule;
use crate::report::words;

/// The components that a rule names, by id; none for `at-most`.
#[must_use]
pub fn named(problem: &Problem, rule: &Rule) -> Vec<String> {
    match rule {
        Rule::AtMost(..) => Vec::new(),
        Rule::NotTogether(these, _) | Rule::OneOf(these, _) => ids(problem, these),
        Rule::Needs(one, other, _) => ids(problem, &[*one, *other]),
    }
}

/// The ids of components.
#[must_use]
pub fn ids(problem: &Problem, these: &[usize]) -> Vec<String> {
    these
        .iter()
        .filter_map(|&j| problem.components.get(j).map(|c| c.id.clone()))
        .collect()
}

/// A rule as its author would say it.
#[must_use]
pub fn says(problem: &Problem, rule: &Rule) -> String {
    let named = named(problem, rule);
    match rule {
        Rule::AtMost(1, _) => "at most 1 component".into(),
        Rule::AtMost(most, _) => format!("at most {most} components"),
        Rule::NotTogether(..) => format!("no two of {} together", words::list(&named)),
        Rule::OneOf(..) => format!("exactly one of {}", words::list(&named)),
        Rule::Needs(..) => named.join(" only with "),
    }
}

/// A rule as a clause of a sentence.
#[must_use]
pub fn demands(problem: &Problem, rule: &Rule) -> String {
    let named = named(problem, rule);
    match rule {
        Rule::AtMost(1, _) => "at most 1 component may be used".into(),
        Rule::AtMost(most, _) => format!("at most {most} components may be used"),
        Rule::NotTogether(..) => {
            format!("no two of {} may be used together", words::list(&named))
        }
        Rule::OneOf(..) => format!("exactly one of {} must be used", words::list(&named)),
        Rule::Needs(..) => format!("{} may be used only with {}", named[0], named[1]),
    }
}

/// What the recipe does under a rule.
#[must_use]
pub fn does(problem: &Problem, judged: &JudgedRule) -> String {
    let used = ids(problem, &judged.used);
    match &judged.rule {
        Rule::AtMost(..) => format!("the recipe uses {}", used.len()),
        _ if used.is_empty() => "the recipe uses none of them".into(),
        Rule::Needs(_, other, _) if !judged.holds => format!(
            "the recipe uses {} without {}",
            words::list(&used),
            words::list(&ids(problem, &[*other]))
        ),
        _ => format!("the recipe uses {}", words::list(&used)),
    }
}

//! Why there is no recipe, in a sentence.

use crate::declare::problem::LimitSource;
use crate::declare::problem::Problem;
use crate::declare::property::Property;
use crate::report::bound::Bound;
use crate::report::number;
use crate::report::rules;
use crate::report::table;
use crate::report::words;
use crate::solve::answer::Party;

/// `Because A, B and C, no recipe exists.` Empty where no party is known.
#[must_use]
pub fn section(problem: &Problem, parties: &[Party]) -> String {
    // The treat rates of any blend add up: beside one requirement that says nothing.
    if let [one @ Party::Limit { .. }] | [one @ Party::Limit { .. }, Party::Whole] = parties {
        return table::paragraph(&format!(
            "Because {}, which no blend of this shelf reaches, no recipe exists.",
            clause(problem, one)
        ));
    }
    let clauses: Vec<String> = parties.iter().map(|p| clause(problem, p)).collect();
    match clauses.as_slice() {
        [] => String::new(),
        clauses => table::paragraph(&format!(
            "Because {}, no recipe exists.",
            words::list(clauses)
        )),
    }
}

/// Why there is no recipe, in clauses, and whether some of them may be spared; `None` where nobody knows.
#[must_use]
pub fn clauses(problem: &Problem, parties: &[Party], settled: bool) -> Option<String> {
    let mut clauses: Vec<String> = parties.iter().map(|p| clause(problem, p)).collect();
    if clauses.is_empty() {
        return None;
    }
    if !settled {
        clauses.push("(some of these may not be needed)".into());
    }
    Some(clauses.join("; "))
}

/// The same as a sentence, on one line.
#[must_use]
pub fn sentence(problem: &Problem, parties: &[Party], settled: bool) -> String {
    let because = section(problem, parties);
    let mut words: Vec<&str> = because.split_whitespace().collect();
    if !settled && !words.is_empty() {
        words.push("Some of what is named may not be needed for that: it was not settled.");
    }
    words.join(" ")
}

/// A requirement as a clause of a sentence.
#[must_use]
pub fn clause(problem: &Problem, party: &Party) -> String {
    match party {
        Party::Limit {
            property,
            side,
            strict,
            stated,
            unit,
            source,
        } => {
            let bound = Bound::new(property, *side, *strict, *stated, unit.clone());
            let set_by = match source {
                LimitSource::Class(class, sure) if !sure.is_empty() => format!("{class}, {sure}"),
                other => words::limit_source(other),
            };
            format!("{} ({set_by})", bound.demanded())
        }
        Party::Band {
            component,
            side,
            percent,
            source,
        } => {
            let rate = number::bound(&Property::Treat(component.clone()), *percent);
            format!(
                "the treat rate of {} must be {} {rate} % ({})",
                named(problem, component),
                words::must_be(*side, false),
                words::edge_source(*source)
            )
        }
        Party::Rule(rule) => rules::demands(problem, rule),
        Party::IfUsed { component, percent } => {
            let rate = number::bound(&Property::Treat(component.clone()), *percent);
            format!(
                "{} is used at {rate} % at least, or not at all",
                named(problem, component)
            )
        }
        Party::Whole => "the treat rates add up to 100 %".into(),
    }
}

/// `PAO 4 (pao-4)`.
#[must_use]
pub fn named(problem: &Problem, id: &str) -> String {
    match problem.component(id) {
        Some(index) => format!("{} ({id})", problem.components[index].name),
        None => id.into(),
    }
}

//! What binds and what rules a recipe out, in the few words that stand on a picture.

use crate::declare::component::EdgeSource;
use crate::declare::dial::Aim;
use crate::declare::dial::Dial;
use crate::declare::problem::LimitSource;
use crate::declare::problem::Problem;
use crate::report::keys;
use crate::report::text::conflict;
use crate::report::text::standing;
use crate::report::text::standing::Legend;
use crate::report::words;
use crate::solve::answer::Party;
use crate::study::sweep::kept::Sweep;

/// Why there is no recipe where the search ended before it knew.
pub const OPEN: &str = "none was found, nor proved impossible";

/// A limit beside its bars: `phosphorus at most 800 ppm`, and who set it where that is not the problem.
#[must_use]
pub fn mark(problem: &Problem, legend: &Legend, party: &Party, varied: bool) -> String {
    if legend.moves(party).unwrap_or(varied) {
        return format!("{} as varied", standing::bare(problem, party));
    }
    let words = standing::stated(problem, party);
    match set_by(party) {
        Some(by) => format!("{words} ({by})"),
        None => words,
    }
}

/// Who set a requirement, where the reader would not guess it.
fn set_by(party: &Party) -> Option<String> {
    match party {
        Party::Limit { source, .. } => match source {
            LimitSource::Problem | LimitSource::Asked => None,
            LimitSource::Class(class, sure) if !sure.is_empty() => Some(format!("{class}, {sure}")),
            other => Some(words::limit_source(other)),
        },
        Party::Band { source, .. } => {
            (*source != EdgeSource::Problem).then(|| words::edge_source(*source).into())
        }
        Party::IfUsed { .. } | Party::Rule(_) | Party::Whole => None,
    }
}

/// A limit in the name of a region: `max phosphorus`.
#[must_use]
pub fn short(party: &Party) -> String {
    match party {
        Party::Limit { property, side, .. } => {
            format!("{} {}", side.key(), words::property(property))
        }
        Party::Band {
            component, side, ..
        } => format!("{} treat of {component}", side.key()),
        Party::IfUsed { component, .. } => format!("treat of {component} if used"),
        Party::Rule(_) | Party::Whole => keys::key(party),
    }
}

/// Why there is no recipe: clauses without a full stop; empty where nobody knows.
#[must_use]
pub fn because(found: &Sweep, parties: &[Party]) -> String {
    let problem = found.plan.problem();
    let clause = |party: &Party| {
        if varied(found, party) {
            let bare = standing::bare(problem, party);
            let must = ["at least", "at most", "above", "below"]
                .into_iter()
                .find_map(|side| Some((bare.strip_suffix(side)?, side)));
            if let Some((what, side)) = must {
                return format!("{what}must be {side} what the axis says");
            }
        }
        conflict::clause(problem, party)
    };
    if let [one @ Party::Limit { .. }] | [one @ Party::Limit { .. }, Party::Whole] = parties {
        return format!("{}, which no blend of this shelf reaches", clause(one));
    }
    let clauses: Vec<String> = parties.iter().map(clause).collect();
    words::list(&clauses)
}

/// Whether a requirement is what a sweep varies.
#[must_use]
pub fn varied(found: &Sweep, party: &Party) -> bool {
    let problem = found.plan.problem();
    let by = |dial: &Dial| match (&dial.aim, party) {
        (
            Aim::Limit(moved, sides),
            Party::Limit {
                property,
                side,
                source: LimitSource::Asked,
                ..
            },
        ) => moved == property && sides.contains(side),
        (
            Aim::Treat(j, sides),
            Party::Band {
                component, side, ..
            },
        ) => problem.components[*j].id == *component && sides.contains(side),
        (Aim::IfUsed(j), Party::IfUsed { component, .. }) => {
            problem.components[*j].id == *component
        }
        _ => false,
    };
    found.plan.varied().iter().any(|(dial, _)| by(dial))
}

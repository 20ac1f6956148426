//! A property or a component named beside the files: on a command line.

use super::component::no_such;
use super::limits::Known;
use super::words::short;
use crate::declare::problem::{Problem, Sense};
use crate::declare::property::Property;
use crate::fault::{Fault, Place};

/// No file says it.
pub(super) const NOWHERE: Place = Place {
    file: 0,
    span: 0..0,
};

/// The property that a key names in a problem, as its `[limits]` would name it.
///
/// # Errors
///
/// A sentence with the nearest word, where there is no such property.
pub fn property(problem: &Problem, key: &str) -> Result<Property, String> {
    let known = Known {
        components: &problem.components,
        properties: &problem.properties,
        groups: &problem.groups,
        currency: &problem.currency,
    };
    let mut faults = Vec::new();
    known
        .property(key, &NOWHERE, &mut faults)
        .ok_or_else(|| faults.first().map_or_else(String::new, sentence))
}

/// The ends of a key that say which way is better.
const BETTER: [(&str, Sense); 2] = [(":low", Sense::Minimise), (":high", Sense::Maximise)];

/// The property that a key names, and which way is better where the key says so: `noack:low`.
///
/// # Errors
///
/// A sentence with the nearest word, where there is no such property.
pub fn aim(problem: &Problem, key: &str) -> Result<(Property, Option<Sense>), String> {
    // A component may bear the name of a way: `treat:low` is its treat rate.
    let bare = property(problem, key);
    for (end, sense) in BETTER {
        if let Some(rest) = key.strip_suffix(end)
            && bare.is_err()
        {
            return Ok((property(problem, rest)?, Some(sense)));
        }
    }
    if let Some((rest, way)) = key.rsplit_once(':')
        && bare.is_err()
        && property(problem, rest).is_ok()
    {
        return Err(format!(
            "`{}` is no way to be better: write `{rest}:low` or `{rest}:high`",
            short(way)
        ));
    }
    Ok((bare?, None))
}

/// The component of an id, as an index into the problem's.
///
/// # Errors
///
/// A sentence with the nearest id, where there is no such component.
pub fn component(problem: &Problem, id: &str) -> Result<usize, String> {
    problem.component(id).ok_or_else(|| {
        let ids: Vec<&str> = problem.components.iter().map(|c| c.id.as_str()).collect();
        sentence(&no_such(id, "`--with`", NOWHERE, &ids))
    })
}

/// A fault in one sentence, with the edit to make.
pub(super) fn sentence(fault: &Fault) -> String {
    match &fault.help {
        Some(help) => format!("{}: {help}", fault.title),
        None => fault.title.clone(),
    }
}

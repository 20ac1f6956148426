//! Which properties to trace to their components.

use crate::cli::refusal::Refusal;
use crate::declare::problem::Problem;
use crate::declare::property::Property;
use crate::declare::read::named;
use crate::explain::contribution;

/// The properties of `--contributions`: a list of keys with commas between them, or the usual ones
/// where it names none.
///
/// # Errors
/// Where a key names nothing, or what only a laboratory can tell.
pub fn asked(problem: &Problem, keys: Option<&str>) -> Result<Option<Vec<Property>>, Refusal> {
    let Some(keys) = keys else {
        return Ok(None);
    };
    let mut all: Vec<Property> = Vec::new();
    for key in keys.split(',').map(str::trim).filter(|k| !k.is_empty()) {
        let property = named::property(problem, key).map_err(Refusal::Sentence)?;
        if !contribution::predictable(problem, &property) {
            return Err(Refusal::Sentence(format!(
                "`{property}` cannot be predicted, so nobody can say where it comes from: test it"
            )));
        }
        if !all.contains(&property) {
            all.push(property);
        }
    }
    if all.is_empty() {
        all = contribution::usual(problem);
    }
    Ok(Some(all))
}

//! A recipe as a file that `predict` reads.

use crate::declare::problem::Problem;
use crate::declare::recipe::Recipe;
use crate::report::draft;
use crate::report::used;
use std::io;
use std::path::Path;

/// The text of the file: treat rates in mass %, the largest first, to the last digit.
#[must_use]
pub fn text(problem: &Problem, recipe: &Recipe) -> String {
    let title = toml::Value::String(problem.title.clone());
    let rates: Vec<String> = used::by_treat_rate(recipe)
        .into_iter()
        .map(|j| {
            let rate = toml::Value::Float(recipe.shares()[j].percent());
            format!("{} = {rate}\n", key(&problem.components[j].id))
        })
        .collect();
    format!(
        "title = {title}\n\n# Mass % of the finished oil.\n[recipe]\n{}",
        rates.concat()
    )
}

/// Whether a text is a recipe file, or nothing yet.
#[must_use]
pub fn is_one(text: &str) -> bool {
    text.trim().is_empty() || text.lines().any(|line| line.trim() == "[recipe]")
}

/// Writes the file whole or not at all: beside its place first, then by renaming.
///
/// # Errors
/// Where the folder is absent or the file cannot be written.
pub fn write(path: &Path, problem: &Problem, recipe: &Recipe) -> io::Result<()> {
    draft::write(path, text(problem, recipe).as_bytes())
}

/// A bare key where TOML allows one.
fn key(id: &str) -> String {
    let bare = !id.is_empty()
        && id
            .chars()
            .all(|c| c.is_ascii_alphanumeric() || matches!(c, '-' | '_'));
    if bare {
        id.into()
    } else {
        toml::Value::String(id.into()).to_string()
    }
}

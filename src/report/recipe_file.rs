//! A recipe as a file that `predict` reads.

use crate::declare::problem::Problem;
use crate::declare::recipe::Recipe;
use crate::report::draft;
use crate::report::used;
use std::io;
use std::path::Path;

/// The remark over the treat rates.
const REMARK: &str = "# Mass % of the finished oil.";

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
    format!("title = {title}\n\n{REMARK}\n[recipe]\n{}", rates.concat())
}

/// Whether a text is a recipe file and no more, or nothing yet: what a new one may replace. A laboratory's
/// report holds a recipe too, and measured values and remarks that are nowhere else.
#[must_use]
pub fn is_one(text: &str) -> bool {
    if text.trim().is_empty() {
        return true;
    }
    let remarked = text
        .lines()
        .any(|line| line.contains('#') && line.trim() != REMARK && !line.starts_with("title = "));
    let Ok(table) = text.parse::<toml::Table>() else {
        return false;
    };
    let recipe = table.get("recipe").is_some_and(toml::Value::is_table);
    recipe && !remarked && table.keys().all(|key| key == "title" || key == "recipe")
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

#[cfg(test)]
mod tests {
    use super::is_one;

    #[test]
    fn what_holds_more_than_a_recipe_is_kept() {
        let own = "title = \"a # b\"\n\n# Mass % of the finished oil.\n[recipe]\na = 99.5\n\"b c\" = 0.5\n";
        for (text, one) in [
            (own.to_owned(), true),
            ("[recipe]\na = 100\n".into(), true),
            ("\n".into(), true),
            (format!("{own}[measured]\nkv100 = 14.2\n"), false),
            (format!("note = \"best so far\"\n{own}"), false),
            (format!("{own}# add the ester last\n"), false),
            (own.replace("0.5", "0.5 # weighed twice"), false),
            ("My notes\n\n[recipe]\n".into(), false),
            (
                "title = \"a shelf\"\n[[component]]\nid = \"a\"\n".into(),
                false,
            ),
        ] {
            assert_eq!(is_one(&text), one, "{text}");
        }
    }
}

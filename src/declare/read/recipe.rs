//! A recipe file: a `[recipe]` table of treat rates in mass %.

use super::component::no_such;
use super::figure::{amount, missing};
use super::range::Range;
use super::treat::rate;
use super::tree::Table;
use super::words::{only, short};
use crate::declare::problem::Problem;
use crate::declare::recipe::{RECIPE_SUM_TOLERANCE_PERCENT, Recipe};
use crate::fault::{Code, Fault};
use crate::quantity::Share;

/// Keys of a recipe file; a lab report is a recipe with measured values, which are not read here.
const KEYS: [&str; 7] = [
    "title", "note", "problem", "batch", "date", "recipe", "measured",
];

/// The recipe of a tree; whole only where no fault was added.
pub(super) fn recipe(
    root: &Table<'_>,
    problem: &Problem,
    faults: &mut Vec<Fault>,
) -> Option<Recipe> {
    if let Some(fault) = not_a_recipe(root) {
        faults.push(fault);
        return None;
    }
    only(root, "a recipe", &KEYS, faults);
    if root.get("recipe").is_none() {
        faults.push(missing(root, "this file", "recipe", "[recipe]").help(
            "write a line `[recipe]`, and below it one line a component: `pao-4 = 48.2` (mass %)",
        ));
    }
    let table = root.table("recipe", faults)?;
    let before = faults.len();
    let ids: Vec<&str> = problem.components.iter().map(|c| c.id.as_str()).collect();
    let mut shares = vec![Share::NONE; ids.len()];
    for item in &table.items {
        let Some(index) = problem.component(item.key) else {
            let place = item.key_place.clone();
            faults.push(no_such(item.key, "the recipe", place, &ids));
            continue;
        };
        let what = format!("the treat rate of `{}`", short(item.key));
        if let Some(read) = amount(item.node, &what, &Range::PERCENT, faults) {
            shares[index] = Share::from_percent(read.value);
        }
    }
    if faults.len() > before {
        return None;
    }
    let sum = Share::from_fraction(shares.iter().map(|s| s.fraction()).sum());
    if (sum.percent() - 100.0).abs() > RECIPE_SUM_TOLERANCE_PERCENT {
        let place = root
            .item("recipe")
            .map_or(table.place.clone(), |item| item.key_place.clone());
        let rest = rate(Share::from_fraction(1.0 - sum.fraction()));
        let help = if rest > 0.0 {
            format!("{rest} % is missing: is a component left out?")
        } else {
            format!("{} % is too much: lower a treat rate", -rest)
        };
        faults.push(
            Fault::at(
                Code::RecipeSum,
                format!("the treat rates add up to {} %, not to 100 %", rate(sum)),
                place,
                "",
            )
            .help(help),
        );
        return None;
    }
    Recipe::as_written(problem, &shares)
}

/// A problem or a shelf where a recipe was expected.
fn not_a_recipe(root: &Table<'_>) -> Option<Fault> {
    if root.get("recipe").is_some() {
        return None;
    }
    let (item, title, label) = if let Some(item) = root.item("component") {
        (
            item,
            "this file is a shelf, not a recipe",
            "components stand on a shelf",
        )
    } else {
        let of_problems = ["shelf", "limits", "grade", "minimise", "maximise"];
        (
            of_problems.iter().find_map(|key| root.item(key))?,
            "this file is a problem, not a recipe",
            "said of the oil that is wanted",
        )
    };
    let help = "a recipe is a line `[recipe]`, and below it one line a component: `pao-4 = 48.2` \
                (mass %); the problem comes first, then the recipe";
    Some(Fault::at(Code::UnknownKey, title, item.key_place.clone(), label).help(help))
}

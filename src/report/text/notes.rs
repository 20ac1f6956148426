//! What a formulator must be told beside the numbers: estimates, warnings, cautions.

use crate::declare::problem::Problem;
use crate::declare::property::Datum;
use crate::declare::property::Property;
use crate::declare::recipe::Recipe;
use crate::predict::value::Judgement;
use crate::predict::value::Warning;
use crate::report::number;
use crate::report::table;
use crate::report::used;
use crate::report::words;

/// What a recipe never says of itself.
pub const NO_LICENCE: &str = "A predicted grade is not a licence or an approval.";

/// Warnings whose content the text shows in a place of its own: beside the estimates and limits.
const TOLD_ELSEWHERE: [&str; 2] = ["estimated-value", "not-assured"];

/// The warning of the property model that says what the caution on cold pumping would say.
const YIELD_STRESS: &str = "yield-stress";

/// The components whose estimated figures a prediction rests on, with what rests on them.
#[must_use]
pub fn estimated(problem: &Problem, judgement: &Judgement) -> String {
    let items: Vec<String> = problem
        .components
        .iter()
        .filter_map(|c| {
            let resting: Vec<String> = judgement
                .properties
                .iter()
                .filter(|p| p.estimated_from.contains(&c.id))
                .map(|p| words::property(&p.property))
                .collect();
            (!resting.is_empty())
                .then(|| format!("{} ({}): {}", c.name, c.id, words::list(&resting)))
        })
        .collect();
    listed("Resting on estimated figures of", &items)
}

/// The warnings, each once.
#[must_use]
pub fn warnings(all: &[Warning]) -> String {
    let items: Vec<String> = all
        .iter()
        .filter(|w| !TOLD_ELSEWHERE.contains(&w.code))
        .map(|w| words::sentence(&w.words))
        .collect();
    listed("Warnings", &items)
}

/// What to mind at the bench and before anything is claimed of the oil; empty where the blend is not
/// one of fluids.
#[must_use]
pub fn cautions(problem: &Problem, recipe: &Recipe, warnings: &[Warning]) -> String {
    let used = used::by_treat_rate(recipe);
    if !fluid(problem, &used) {
        return String::new();
    }
    let mut items = vec![
        heat(problem, &used),
        "Wear gloves and eye protection, ventilate, and follow the safety data sheet of every \
         component; it wins over anything said here."
            .into(),
        NO_LICENCE.into(),
    ];
    let cold = problem
        .limits
        .iter()
        .any(|l| matches!(l.property, Property::Ccs(_) | Property::Mrv(_)));
    if cold && !warnings.iter().any(|w| w.code == YIELD_STRESS) {
        items.push("The yield stress of cold pumping cannot be predicted: test it.".into());
    }
    listed("Cautions", &items)
}

/// The same in a line, for a page of many recipes; the whole stands with the recipe that is chosen.
#[must_use]
pub fn safety(problem: &Problem, used: &[usize]) -> String {
    if !fluid(problem, used) {
        return String::new();
    }
    table::paragraph(&format!(
        "Hot oil burns skin and gives off vapour; the safety data sheet of each component wins over \
         anything said here. {NO_LICENCE} `solve` and `predict` tell the cautions of one recipe."
    ))
}

/// Whether any of these components is an oil, and not a metal or a grain.
#[must_use]
pub fn fluid(problem: &Problem, used: &[usize]) -> bool {
    used.iter().any(|&j| {
        let c = &problem.components[j];
        [Datum::Kv40, Datum::Kv100, Datum::Flash]
            .iter()
            .any(|d| c.figure(d).is_some())
    })
}

fn heat(problem: &Problem, used: &[usize]) -> String {
    let flash = |j: usize| problem.components[j].figure(&Datum::Flash).map(|f| f.value);
    let lowest = used
        .iter()
        .filter_map(|&j| flash(j).map(|f| (f, j)))
        .min_by(|a, b| a.0.total_cmp(&b.0));
    let unstated: Vec<String> = used
        .iter()
        .filter(|&&j| flash(j).is_none())
        .map(|&j| problem.components[j].id.clone())
        .collect();
    let known = lowest.map_or_else(String::new, |(flash, j)| {
        format!(
            ", {} °C ({})",
            number::value(&Property::Flash, flash),
            problem.components[j].id
        )
    });
    let unknown = if unstated.is_empty() {
        String::new()
    } else {
        format!(
            " The shelf states none for {}: look it up first.",
            words::list(&unstated)
        )
    };
    format!(
        "Base oils and concentrates on a hot plate burn skin and give off vapour: keep them well \
         below the lowest flash point in the recipe{known}.{unknown}"
    )
}

fn listed(head: &str, items: &[String]) -> String {
    if items.is_empty() {
        return String::new();
    }
    let lines: String = items.iter().map(|i| table::item(i)).collect();
    format!("{head}\n{lines}")
}

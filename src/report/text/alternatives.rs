//! The next-best recipes beside the best, a column each.

use crate::declare::problem::Problem;
use crate::declare::recipe::Recipe;
use crate::quantity::Share;
use crate::report::number;
use crate::report::table;
use crate::report::table::Align;
use crate::report::table::Table;
use crate::report::words;
use crate::solve::answer::Answer;
use crate::solve::answer::Status;

/// A treat rate below this is not shown: half of the last printed decimal.
const SHOWN: Share = Share::from_fraction(5e-6);

/// The next-best recipes; empty where none was asked for or found.
#[must_use]
pub fn section(problem: &Problem, answer: &Answer) -> String {
    let all: Vec<(&Answer, &Recipe)> = [answer]
        .into_iter()
        .chain(&answer.alternatives)
        .filter_map(|a| Some((a, a.recipe.as_ref()?)))
        .collect();
    if all.len() < 2 {
        return String::new();
    }
    let names: Vec<String> = (0..all.len())
        .map(|k| {
            if k == 0 {
                "best".into()
            } else {
                format!("next {k}")
            }
        })
        .collect();
    let mut heads = vec![("mass %", Align::Left)];
    heads.extend(names.iter().map(|name| (name.as_str(), Align::Right)));
    let mut rows = Table::new(&heads);
    for (j, component) in problem.components.iter().enumerate() {
        if all.iter().any(|(_, recipe)| recipe.shares()[j] >= SHOWN) {
            let cells = all.iter().map(|(_, recipe)| percent(recipe.shares()[j]));
            rows.row([component.id.clone()].into_iter().chain(cells).collect());
        }
    }
    let goal = &problem.goal.property;
    let unit = problem.unit(goal);
    let values: Vec<Option<f64>> = all.iter().map(|(a, _)| a.objective).collect();
    let shown = |value: Option<f64>| value.map_or(String::new(), |v| number::value(goal, v));
    let name = words::property_in(goal, &unit);
    rows.row(
        [name]
            .into_iter()
            .chain(values.iter().map(|v| shown(*v)))
            .collect(),
    );
    let apart = values.iter().map(|v| {
        let apart = (*v).zip(values[0]).map(|(v, best)| v - best);
        apart
            .filter(|d| d.abs() > 0.0)
            .map_or(String::new(), |d| number::beside(goal, d, d))
    });
    rows.row(
        ["apart from the best".to_owned()]
            .into_iter()
            .chain(apart)
            .collect(),
    );
    let certain = all.iter().all(|(a, _)| a.status == Status::Optimal);
    let proof = if certain {
        "each proved the best of its kind"
    } else {
        "not all proved"
    };
    let head = table::paragraph(&format!(
        "Next best: each does without something that every recipe before it uses ({proof})."
    ));
    format!("{head}{}", rows.render())
}

fn percent(share: Share) -> String {
    if share >= SHOWN {
        number::fixed(share.percent(), number::TREAT)
    } else {
        "-".into()
    }
}

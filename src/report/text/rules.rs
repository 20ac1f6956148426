//! Recipe logic beside what the recipe does.

use crate::declare::problem::Problem;
use crate::predict::value::Judgement;
use crate::report::rules;
use crate::report::table;

/// Every rule, kept or broken; empty where the problem has none.
#[must_use]
pub fn section(problem: &Problem, judgement: &Judgement) -> String {
    if judgement.rules.is_empty() {
        return String::new();
    }
    let lines: String = judgement
        .rules
        .iter()
        .map(|judged| {
            let verdict = if judged.holds { "kept" } else { "BROKEN" };
            table::item(&format!(
                "{}: {verdict}; {} (`{}`)",
                rules::says(problem, &judged.rule),
                rules::does(problem, judged),
                judged.rule.key()
            ))
        })
        .collect();
    format!("Rules\n{lines}")
}

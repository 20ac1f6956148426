//! What moved between two problems and which change did it, as a page.

use crate::declare::problem::Sense;
use crate::declare::property::Property;
use crate::predict::value::Warning;
use crate::report::number;
use crate::report::table;
use crate::report::table::Align;
use crate::report::table::Table;
use crate::report::text::answer::page;
use crate::report::text::changes;
use crate::report::text::columns;
use crate::report::text::columns::Column;
use crate::report::text::conflict;
use crate::report::text::headline;
use crate::report::text::notes;
use crate::report::warnings;
use crate::report::words;
use crate::solve::answer::Status;
use crate::study::compare::Blame;
use crate::study::compare::Comparison;
use crate::study::compare::Deed;
use crate::study::compare::Effect;
use crate::study::compare::Told;
use crate::study::solved::Solved;

/// The answer of `compare`.
#[must_use]
pub fn compare(found: &Comparison, told: &[Warning]) -> String {
    let mut sections = vec![head(found)];
    sections.extend(reasons(found));
    sections.push(effects(found));
    sections.push(recipes(found));
    if let (Some((_, before)), Some((_, now))) = (found.old.recipe(), found.new.recipe())
        && !found.effects.is_empty()
    {
        sections.push(columns::moves(
            before,
            now,
            ("before", "now"),
            "What moved with it",
        ));
    }
    let problem = &found.new.problem;
    match found.new.recipe() {
        Some((recipe, judgement)) => {
            let all = warnings::together(told, Some(judgement));
            sections.push(notes::estimated(problem, judgement));
            sections.push(notes::warnings(&all));
            sections.push(notes::cautions(problem, recipe, &all));
        }
        None => sections.push(notes::warnings(told)),
    }
    page(&sections)
}

fn head(found: &Comparison) -> String {
    let mut lines = vec![first_line(found)];
    if found.new.recipe().is_some() {
        lines.push(headline::proof(&found.new.problem, &found.new.answer));
    }
    if found.old.answer.outcome() == Status::Feasible && !found.effects.is_empty() {
        let proof = headline::proof(&found.old.problem, &found.old.answer);
        lines.push(format!("Before: {proof}"));
    }
    if let Some((_, judgement)) = found.new.recipe() {
        let tested = headline::to_test(judgement);
        lines.push(words::sentence(tested.trim_start_matches("; ")));
    }
    let (old, new) = (&found.old.problem.title, &found.new.problem.title);
    if !new.is_empty() {
        lines.push(if old == new || old.is_empty() {
            format!("For: {new}")
        } else {
            format!("For: {new}; before: {old}")
        });
    }
    lines
        .iter()
        .filter(|line| !line.is_empty())
        .map(|line| table::paragraph(line))
        .collect()
}

fn value(solved: &Solved) -> Option<String> {
    let goal = &solved.problem.goal.property;
    let value = solved.value()?;
    Some(words::with_unit(
        &number::value(goal, value),
        &solved.problem.unit(goal),
    ))
}

fn first_line(found: &Comparison) -> String {
    let (old, new) = (&found.old, &found.new);
    if found.effects.is_empty() {
        let now = value(new).map_or_else(
            || "there is no recipe, before or now".into(),
            |v| format!("{} {v}, before and now", best(new)),
        );
        return format!("Nothing changed: {now}.");
    }
    match (value(old), value(new)) {
        (Some(was), Some(is)) if !found.comparable => format!(
            "The goals cannot be compared. Before, {} {was}; now, {} {is}.",
            best(old),
            best(new)
        ),
        (Some(was), Some(is)) => {
            let goal = &new.problem.goal.property;
            let apart = new.value().zip(old.value()).map_or(0.0, |(b, a)| b - a);
            let rise = columns::risen(apart, number::places(goal, old.value().unwrap_or(0.0)));
            if rise.is_empty() {
                let best = words::sentence(&best(new));
                return format!("{} {is}, as before.", best.trim_end_matches('.'));
            }
            let best = words::sentence(&best(new));
            let unit = new.problem.unit(goal);
            format!(
                "{} {is} instead of {was} ({}).",
                best.trim_end_matches('.'),
                words::with_unit(&rise, &unit)
            )
        }
        (Some(was), None) if new.none() => {
            format!("No recipe any more; {} {was}.", was_best(old))
        }
        (None, Some(is)) if old.none() => {
            format!(
                "There is a recipe now, where there was none: {} {is}.",
                best(new)
            )
        }
        (None, None) if old.none() && new.none() => "No recipe before, and none now.".into(),
        (was, is) => {
            let said = |v: Option<String>, s: &Solved| {
                v.map_or_else(|| "undecided".into(), |v| format!("{} {v}", best(s)))
            };
            let none = |s: &Solved, v: Option<String>| {
                if s.none() {
                    "no recipe".into()
                } else {
                    said(v, s)
                }
            };
            format!(
                "Undecided: before, {}; now, {}.",
                none(old, was),
                none(new, is)
            )
        }
    }
}

/// `the cheapest recipe costs`, `the highest viscosity index is`.
fn best(solved: &Solved) -> String {
    let goal = &solved.problem.goal;
    let found = match solved.answer.outcome() {
        Status::Optimal => "",
        _ => " found",
    };
    match (&goal.property, goal.sense) {
        (Property::Cost | Property::CostPerLitre, Sense::Minimise) => {
            format!("the cheapest recipe{found} costs")
        }
        _ => format!("the {}{found} is", changes::goal(goal)),
    }
}

/// The same of what is past.
fn was_best(solved: &Solved) -> String {
    best(solved)
        .replace(" costs", " cost")
        .replace(" is", " was")
}

/// Which changes did it, and why there is no recipe.
fn reasons(found: &Comparison) -> Vec<String> {
    let mut sections = Vec::new();
    if let Some(blame) = &found.blame {
        sections.push(blamed(found, blame));
    }
    if let Some(blame) = found.blame.as_ref().filter(|b| b.deed == Deed::Broke) {
        sections.extend(why(&blame.with_them));
        return sections;
    }
    if found.old.none() && !found.effects.is_empty() {
        sections.push(format!("Before\n{}", why(&found.old).join("\n")));
    }
    if found.new.none() {
        let head = if found.effects.is_empty() {
            ""
        } else {
            "Now\n"
        };
        sections.push(format!("{head}{}", why(&found.new).join("\n")));
    }
    sections
}

fn why(solved: &Solved) -> Vec<String> {
    let proof = table::paragraph(&words::sentence(&solved.answer.proof.words));
    let sentence = conflict::section(&solved.problem, &solved.answer.conflict);
    [sentence, proof]
        .into_iter()
        .filter(|s| !s.is_empty())
        .collect()
}

fn blamed(found: &Comparison, blame: &Blame) -> String {
    let lines: String = blame
        .changes
        .iter()
        .map(|n| {
            let says = changes::says(&found.new.problem, &found.effects[n.index].change);
            let maybe = if n.shown { "" } else { " (perhaps not needed)" };
            table::item(&format!("{says}{maybe}"))
        })
        .collect();
    let one = blame.changes.len() == 1;
    let all_shown = blame.changes.iter().all(|n| n.shown);
    let head = match (blame.deed, one) {
        (Deed::Broke, true) => "This change alone leaves no recipe",
        (Deed::Broke, false) => "These changes together leave no recipe",
        (Deed::Restored, true) => "This change alone is enough for a recipe",
        (Deed::Restored, false) => "These changes together are enough for a recipe",
    };
    let needed = match (blame.deed, one || !all_shown) {
        (_, true) => "",
        (Deed::Broke, false) => "; without any one of them there is one",
        (Deed::Restored, false) => "; without any one of them there is none",
    };
    format!("{head}{needed}\n{lines}")
}

fn effects(found: &Comparison) -> String {
    if found.effects.is_empty() {
        return String::new();
    }
    let problem = &found.new.problem;
    let goal = &problem.goal.property;
    if !found.comparable {
        let lines: String = found
            .effects
            .iter()
            .map(|e| table::item(&changes::says(problem, &e.change)))
            .collect();
        return format!("What changed\n{lines}");
    }
    let unit = words::property_in(goal, &problem.unit(goal));
    let mut rows = Table::new(&[
        (unit.as_str(), Align::Left),
        ("alone", Align::Right),
        ("last", Align::Right),
    ]);
    for effect in &found.effects {
        rows.row(vec![
            changes::says(problem, &effect.change),
            alone(found, effect),
            last(found, effect),
        ]);
    }
    let mut legend =
        "alone: what this change does by itself; last: what it does when all the others \
                      are made already."
            .to_owned();
    let told = || found.effects.iter().flat_map(|e| [e.alone, e.without]);
    if told().any(|t| matches!(t, Told::Found(_))) {
        legend += " ?: from the best recipe found, which was not proved the best.";
    }
    if told().any(|t| t == Told::Unasked) {
        legend += " -: cannot stand alone, for lack of figures or names that other changes bring.";
    }
    format!(
        "What changed, and what each change does\n{}{}",
        rows.render(),
        table::note(&legend)
    )
}

fn alone(found: &Comparison, effect: &Effect) -> String {
    match (effect.alone, found.old.value()) {
        (Told::Value(v), Some(before)) => step(found, before, v),
        (Told::Found(v), Some(before)) => format!("{} ?", step(found, before, v)),
        (Told::Value(_) | Told::Found(_), None) if found.old.none() => "a recipe".into(),
        (Told::NoRecipe, Some(_)) => "no recipe".into(),
        (Told::NoRecipe, None) => "still none".into(),
        (Told::Undecided, _) => "undecided".into(),
        _ => "-".into(),
    }
}

fn last(found: &Comparison, effect: &Effect) -> String {
    match (effect.without, found.new.value()) {
        (Told::Value(v), Some(now)) => step(found, v, now),
        (Told::Found(v), Some(now)) => format!("{} ?", step(found, v, now)),
        (Told::Value(_) | Told::Found(_), None) if found.new.none() => "no recipe".into(),
        (Told::NoRecipe, Some(_)) => "a recipe".into(),
        (Told::NoRecipe, None) => "still none".into(),
        (Told::Undecided, _) => "undecided".into(),
        _ => "-".into(),
    }
}

fn step(found: &Comparison, from: f64, to: f64) -> String {
    let goal = &found.new.problem.goal.property;
    let text = columns::risen(to - from, number::places(goal, from));
    if text.is_empty() { "0".into() } else { text }
}

fn recipes(found: &Comparison) -> String {
    // Where the goals differ, cost is what both still have.
    let mut problem = found.new.problem.clone();
    if !found.comparable {
        problem.goal.property = Property::Cost;
    }
    let nothing_moved = found.effects.is_empty();
    let all = if nothing_moved {
        vec![Column {
            head: "recipe",
            solved: Some(&found.new),
        }]
    } else {
        vec![
            Column {
                head: "before",
                solved: Some(&found.old),
            },
            Column {
                head: "now",
                solved: Some(&found.new),
            },
        ]
    };
    let table = columns::recipes(&problem, &all);
    if table.is_empty() {
        return String::new();
    }
    format!("Recipes\n{table}")
}

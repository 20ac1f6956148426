//! What would have to give, as a table: the least first.

use crate::declare::problem::LimitSource;
use crate::declare::problem::Problem;
use crate::declare::problem::Side;
use crate::declare::property::Property;
use crate::declare::requirement::Requirement;
use crate::explain::lever::Change;
use crate::explain::remedy::Remedy;
use crate::report::number;
use crate::report::rules;
use crate::report::table;
use crate::report::table::Align;
use crate::report::table::Table;
use crate::report::words;
use crate::solve::answer::Status;

/// The remedies, or that none was found; `unsettled` where the search for them was cut short.
#[must_use]
pub fn section(problem: &Problem, remedies: &[Remedy], unsettled: bool) -> String {
    if remedies.is_empty() && unsettled {
        return table::paragraph("The search ended before it found what would have to give.");
    }
    if remedies.is_empty() {
        return table::paragraph(
            "Nothing was found that brings a recipe by giving way in up to three places.",
        );
    }
    let goal = &problem.goal.property;
    let value = words::property_in(goal, &problem.unit(goal));
    let mut rows = Table::new(&[
        ("", Align::Left),
        ("what", Align::Left),
        ("from", Align::Right),
        ("to", Align::Right),
        ("by R", Align::Right),
        (&value, Align::Right),
        ("then", Align::Left),
    ]);
    for (k, remedy) in remedies.iter().enumerate() {
        for (i, change) in remedy.changes.iter().enumerate() {
            let first = i == 0;
            let once = |text: String| if first { text } else { String::new() };
            let cost = remedy.answer.objective;
            let cost = cost.map_or(String::new(), |v| number::value(goal, v));
            rows.row(vec![
                if first {
                    format!("{}.", k + 1)
                } else {
                    "and".into()
                },
                what(problem, change),
                change
                    .lever
                    .from
                    .map_or(String::new(), |v| bound(change, v)),
                to(change),
                steps(change),
                once(cost),
                then(change),
            ]);
        }
    }
    let notes: String = notes(problem, remedies)
        .iter()
        .map(|n| table::note(n))
        .collect();
    format!(
        "What would have to give, least first\n{}{notes}",
        rows.render()
    )
}

/// More R than this in every place is not a little.
const FAR: f64 = 3.0;

/// A little everywhere, in a sentence; empty where it takes much.
#[must_use]
pub fn everywhere(problem: &Problem, remedy: Option<&Remedy>) -> String {
    let Some(remedy) = remedy else {
        return String::new();
    };
    let Some(each) = remedy
        .changes
        .iter()
        .filter_map(|c| c.steps)
        .reduce(f64::max)
    else {
        return String::new();
    };
    let untested = remedy.changes.iter().all(|c| !c.lever.tested);
    if each > FAR && !untested {
        return String::new();
    }
    let all: Vec<String> = remedy.changes.iter().map(|c| clause(problem, c)).collect();
    let tested = remedy.changes.iter().all(|c| c.lever.tested);
    let within = if each < 1.0 && tested {
        " Two laboratories may differ by that much on one sample: look at the figures on your shelf \
         before you give up a limit."
    } else {
        ""
    };
    table::paragraph(&format!(
        "A little everywhere: {}, {} {} each, would do as well{}.{within}",
        words::list(&all),
        number::fixed(each, 2),
        match (tested, untested) {
            (true, _) => "R",
            (_, true) => "steps",
            _ => "R or steps",
        },
        cost(problem, remedy)
    ))
}

fn cost(problem: &Problem, remedy: &Remedy) -> String {
    let goal = &problem.goal.property;
    remedy.answer.objective.map_or(String::new(), |v| {
        let value = words::with_unit(&number::value(goal, v), &problem.unit(goal));
        format!(" ({} {value})", words::property(goal))
    })
}

fn clause(problem: &Problem, change: &Change) -> String {
    let side = change.lever.bounds.as_ref().map(|(_, side)| *side);
    let to = to(change);
    let number = words::with_unit(&to, &change.unit);
    match side {
        Some(side) => format!("{} {} {number}", name(change), words::must_be(side, false)),
        None => what(problem, change),
    }
}

fn name(change: &Change) -> String {
    change
        .lever
        .bounds
        .as_ref()
        .map_or(String::new(), |(p, _)| words::property(p))
}

fn what(problem: &Problem, change: &Change) -> String {
    let lever = &change.lever;
    if let [Requirement::Rule(r)] = lever.requirements[..] {
        return format!("rule: {}", rules::says(problem, &problem.rules[r]));
    }
    let Some((property, side)) = &lever.bounds else {
        return String::new();
    };
    if lever.is_stock(problem)
        && let Property::Treat(id) = property
    {
        return format!("stock of {id}, % of the batch");
    }
    let kind = match lever.requirements[..] {
        [Requirement::IfUsed(_)] => "if-used min",
        _ => match side {
            Side::Min => "min",
            Side::Max => "max",
        },
    };
    format!("{}, {kind}", words::property_in(property, &change.unit))
}

fn bound(change: &Change, value: f64) -> String {
    match &change.lever.bounds {
        Some((property, _)) => number::bound(property, value),
        None => number::as_written(value),
    }
}

fn to(change: &Change) -> String {
    match change.to {
        Some(to) => bound(change, to),
        None => "lifted".into(),
    }
}

fn steps(change: &Change) -> String {
    let Some(steps) = change.steps else {
        return String::new();
    };
    let places = if steps < 10.0 { 2 } else { 0 };
    let shown = number::fixed(steps, places);
    if change.lever.tested {
        shown
    } else {
        format!("({shown})")
    }
}

fn then(change: &Change) -> String {
    let mut all: Vec<String> = Vec::new();
    for source in &change.ends {
        all.push(match source {
            LimitSource::Class(class, _) => format!("no longer {class}"),
            other => format!("no longer {}", words::limit_source(other)),
        });
    }
    if let Some(kg) = change.more_kg {
        let kg = number::fixed(kg, 3);
        all.push(format!("{kg} kg more stock"));
    }
    if change.beyond_supplier {
        all.push("outside the supplier's band".into());
    }
    all.join(", ")
}

fn notes(problem: &Problem, remedies: &[Remedy]) -> Vec<String> {
    let changes = || remedies.iter().flat_map(|r| &r.changes);
    let mut notes = vec![
        "R: how far two laboratories may differ on one sample, the test's reproducibility. Each numbered \
         change is enough: it was tried, and the last number is what the recipe then costs."
            .to_owned(),
    ];
    if problem.goal.property != Property::Cost {
        notes[0] = notes[0].replace("what the recipe then costs", "what the recipe then reaches");
    }
    if remedies.iter().any(|r| r.changes.len() > 1) {
        notes.push("Lines joined by \"and\" go together.".into());
    }
    if changes().any(|c| c.lever.step.is_some() && !c.lever.tested) {
        notes.push(
            "In brackets: no test method is known; counted in steps of 0.1 % of the oil for treat \
             rates and shares, 1 °C for temperatures, else 1 % of the bound."
                .into(),
        );
    }
    if remedies.iter().any(|r| !r.least) {
        let which: Vec<String> = remedies
            .iter()
            .enumerate()
            .filter(|(_, r)| !r.least)
            .map(|(k, _)| format!("{}", k + 1))
            .collect();
        notes.push(format!(
            "Line {}: that a little less would not do was not proved.",
            words::list(&which)
        ));
    }
    if remedies
        .iter()
        .any(|r| r.answer.outcome() != Status::Optimal)
    {
        notes.push("Not every cost is proved the lowest.".into());
    }
    notes
}

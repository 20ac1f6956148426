//! A problem file with its shelves: from trees to one checked problem.

use super::absent::absences;
use super::component::no_such;
use super::figure::split;
use super::limits::{Known, goal, limits};
use super::mixing::{choices, decided};
use super::names::{groups, properties, unmixable};
use super::range::Range;
use super::rules::rules;
use super::shelf;
use super::treat::{asked, narrowed};
use super::tree::{Node, Table};
use super::words::{only, short, suggestion};
use crate::declare::component::{Band, Component, EdgeSource};
use crate::declare::problem::{Goal, Limit, Problem, Sense, Side};
use crate::declare::property::{Datum, Property};
use crate::declare::windows;
use crate::fault::{Code, Fault, Place};
use crate::quantity::Share;
use std::collections::BTreeSet;

const KEYS: [&str; 15] = [
    "title", "note", "shelf", "minimise", "maximise", "batch", "balance", "grade", "class",
    "limits", "treat", "rules", "property", "group", "mixing",
];

/// Stands for a goal that has a fault, so that the other checks still run; it needs no figure.
const UNREAD_GOAL: Goal = Goal {
    sense: Sense::Minimise,
    property: Property::PolarShare,
    place: Place {
        file: 0,
        span: 0..0,
    },
};

/// The paths of a problem's shelves, as written, with their places.
pub(super) fn shelves<'t>(root: &Table<'t>, faults: &mut Vec<Fault>) -> Vec<(&'t str, Place)> {
    let Some(node) = root.get("shelf") else {
        faults.push(
            Fault::at(
                Code::MissingKey,
                "this problem names no `shelf`",
                Place {
                    file: root.place.file,
                    span: 0..0,
                },
                "",
            )
            .help("write `shelf = \"bench.toml\"`, a path from the folder of this file"),
        );
        return Vec::new();
    };
    let mut paths: Vec<(&str, Place)> = Vec::new();
    for (path, place) in node.texts("`shelf`", faults) {
        if let Some((_, first)) = paths.iter().find(|(other, _)| *other == path) {
            faults.push(
                Fault::at(
                    Code::DuplicateName,
                    format!("the shelf `{}` is named twice", short(path)),
                    place,
                    "again",
                )
                .and(first.clone(), "first")
                .help("delete one of the two"),
            );
        } else {
            paths.push((path, place));
        }
    }
    if paths.is_empty() && node.as_list().is_some_and(|list| list.is_empty()) {
        faults.push(
            Fault::at(
                Code::MissingKey,
                "this problem names no shelf",
                node.place(),
                "",
            )
            .help("write `shelf = [\"bench.toml\"]`"),
        );
    }
    paths
}

/// The problem of a file's tree and its shelves' trees; sound only where no fault was added.
pub(super) fn problem(
    root: &Table<'_>,
    shelf_roots: &[Table<'_>],
    faults: &mut Vec<Fault>,
) -> Problem {
    only(root, "a problem", &KEYS, faults);
    root.text("note", faults);
    let title = root.text("title", faults).unwrap_or("").to_owned();
    let properties = properties(root, faults);
    let declared: BTreeSet<String> = properties.iter().map(|p| p.name.clone()).collect();
    let own = choices(root, faults);
    let theirs: Vec<_> = shelf_roots.iter().map(|s| choices(s, faults)).collect();
    let mixing = decided(&own, &theirs, faults);
    let currencies: Vec<_> = shelf_roots
        .iter()
        .map(|s| shelf::currency(s, faults))
        .collect();
    let currency = shelf::one_currency(currencies.into_iter(), faults);
    let mut components = Vec::new();
    for shelf in shelf_roots {
        shelf::components(shelf, &declared, mixing.thickening, &mut components, faults);
    }
    let groups = groups(root, &components, &properties, faults);
    let batch = root
        .get("batch")
        .and_then(|node| mass(node, &BATCH, faults));
    let balance = balance(root, faults);
    let bands = bands(root, &components, batch, faults);
    if root.get("batch").is_none() {
        no_batch(root, &components, &bands, faults);
    }
    let known = Known {
        components: &components,
        properties: &properties,
        groups: &groups,
        currency: &currency,
    };
    let goal = goal(root, &known, faults);
    let mut limits = limits(root, &known, faults);
    unmixable(&properties, &components, &limits, faults);
    against_bands(&limits, &components, &bands, faults);
    let grade = grade(root, &mut limits, faults);
    let classes = classes(root, grade.as_deref(), &mut limits, faults);
    let rules = rules(root, &components, faults);
    let problem = Problem {
        title,
        currency,
        components,
        bands,
        mixing,
        goal: goal.unwrap_or(UNREAD_GOAL),
        batch,
        balance,
        grade,
        classes,
        limits,
        rules,
        properties,
        groups,
        known: None,
    };
    absences(&problem, faults);
    problem
}

/// A key whose value is a mass, with an example and the least that it can be, in kg.
struct Mass {
    key: &'static str,
    example: &'static str,
    unit: &'static str,
    least: f64,
}

const BATCH: Mass = Mass {
    key: "batch",
    example: "20 kg",
    unit: "kg",
    least: 1e-6,
};

/// A microgram is finer than any balance for a batch of oil.
const BALANCE: Mass = Mass {
    key: "balance",
    example: "0.1 g",
    unit: "g",
    least: 1e-9,
};

/// How far a pour may be off, in kg; it means nothing without a batch.
fn balance(root: &Table<'_>, faults: &mut Vec<Fault>) -> Option<f64> {
    let node = root.get("balance")?;
    if root.get("batch").is_none() {
        faults.push(
            Fault::at(
                Code::MissingBatch,
                "a `balance` says how far each pour may be off, and this problem gives no `batch`",
                node.place(),
                "",
            )
            .help("add `batch = \"20 kg\"` to the problem"),
        );
    }
    mass(node, &BALANCE, faults)
}

/// A mass such as `"20 kg"`, in kg, above nothing.
fn mass(node: Node<'_>, of: &Mass, faults: &mut Vec<Fault>) -> Option<f64> {
    let Mass {
        key,
        example,
        unit: own,
        least,
    } = of;
    let others = if *own == "kg" { "`g`" } else { "`kg`" };
    let help = format!("write `{key} = \"{example}\"`; {others} and `t` are known too");
    if let Some(number) = node.as_number() {
        let fault = node.wrong_type(&format!("`{key}`"), "text with a unit");
        faults.push(fault.help(format!("write `{key} = \"{number} {own}\"`")));
        return None;
    }
    let text = node.text(&format!("`{key}`"), faults)?;
    let (number, unit) = split(text);
    if number.contains(',') && number.replace(',', ".").parse::<f64>().is_ok() {
        faults.push(
            Fault::at(
                Code::DecimalComma,
                format!("`{}` has a decimal comma", short(text)),
                node.place(),
                "",
            )
            .help(format!("write `\"{}\"`", short(&text.replace(',', ".")))),
        );
        return None;
    }
    let factor = match unit {
        "kg" => 1.0,
        "g" => 0.001,
        "t" => 1000.0,
        _ => {
            faults.push(
                Fault::at(
                    Code::UnknownWord,
                    format!("`{}` is no mass with a unit", short(text)),
                    node.place(),
                    "",
                )
                .help(help),
            );
            return None;
        }
    };
    let Ok(value) = number.parse::<f64>() else {
        let fault = node.wrong_type(&format!("`{key}`"), "a number and a unit");
        faults.push(fault.help(help));
        return None;
    };
    let range = Range {
        low: *least,
        ..Range::MASS
    };
    range.check(value * factor, &format!("`{key}`"), &node.place(), faults)
}

/// Each component's effective band: the shelf's, the problem's, the stock's.
fn bands(
    root: &Table<'_>,
    components: &[Component],
    batch: Option<f64>,
    faults: &mut Vec<Fault>,
) -> Vec<Band> {
    let mut bands: Vec<Band> = components.iter().map(|c| c.treat.clone()).collect();
    if let Some(table) = root.table("treat", faults) {
        for item in &table.items {
            let what = "`[treat]`";
            let Some(index) = components.iter().position(|c| c.id == item.key) else {
                let ids: Vec<&str> = components.iter().map(|c| c.id.as_str()).collect();
                faults.push(no_such(item.key, what, item.key_place.clone(), &ids));
                continue;
            };
            let what = format!("`[treat]` of `{}`", item.key);
            if let Some(wish) = asked(item.node, &what, EdgeSource::Problem, faults) {
                bands[index] = narrowed(&bands[index], wish, item.key, faults);
            }
        }
    }
    if let Some(batch) = batch {
        for (component, band) in components.iter().zip(&mut bands) {
            if let Some(stock) = component.figure(&Datum::Stock) {
                band.hold(stock, batch);
            }
        }
    }
    bands
}

/// One fault for all stocks where there is no batch to hold them against.
fn no_batch(root: &Table<'_>, components: &[Component], bands: &[Band], faults: &mut Vec<Fault>) {
    let stocked: Vec<&Component> = components
        .iter()
        .zip(bands)
        .filter(|(c, band)| c.figures.contains_key(&Datum::Stock) && band.max.share > Share::NONE)
        .map(|(c, _)| c)
        .collect();
    let Some(first) = stocked.iter().find_map(|c| c.figure(&Datum::Stock)) else {
        return;
    };
    let ids: Vec<String> = stocked
        .iter()
        .take(6)
        .map(|c| format!("`{}`", c.id))
        .collect();
    let more = if stocked.len() > 6 { ", …" } else { "" };
    let place = root.get("shelf").map_or_else(
        || Place {
            file: root.place.file,
            span: 0..0,
        },
        Node::place,
    );
    faults.push(
        Fault::at(
            Code::MissingBatch,
            format!("the stock of {}{more} limits what a batch can hold, and this problem gives no `batch`", ids.join(", ")),
            place,
            "this shelf states stocks",
        )
        .and(first.place.clone(), "the first stock, in kg")
        .help("add `batch = \"20 kg\"` to the problem"),
    );
}

/// A limit on a treat rate that the problem's own `[treat]` forbids.
fn against_bands(
    limits: &[Limit],
    components: &[Component],
    bands: &[Band],
    faults: &mut Vec<Fault>,
) {
    for limit in limits {
        let Property::Treat(id) = &limit.property else {
            continue;
        };
        let Some(index) = components.iter().position(|c| c.id == *id) else {
            continue;
        };
        let share = Share::from_percent(limit.bound);
        let (edge, crossed, ours, theirs) = match limit.side {
            Side::Min => {
                let edge = &bands[index].max;
                (edge, share > edge.share, "the minimum", "the maximum")
            }
            Side::Max => {
                let edge = &bands[index].min;
                (edge, share < edge.share, "the maximum", "the minimum")
            }
        };
        if let (true, EdgeSource::Problem, Some(place)) = (crossed, edge.source, &edge.place) {
            faults.push(
                Fault::at(
                    Code::EmptyBand,
                    format!(
                        "`{id}` is asked for twice and nothing fits both: {} % here, {} % in `[treat]`",
                        limit.bound,
                        super::treat::rate(edge.share)
                    ),
                    limit.place.clone(),
                    ours,
                )
                .and(place.clone(), theirs)
                .help("keep one of the two"),
            );
        }
    }
}

fn grade(root: &Table<'_>, limits: &mut Vec<Limit>, faults: &mut Vec<Fault>) -> Option<String> {
    let node = root.get("grade")?;
    let text = node.text("`grade`", faults)?;
    let Some(windows) = windows::limits_of_grade(text, &node.place()) else {
        let known = windows::known_grades();
        faults.push(
            Fault::at(
                Code::UnknownWord,
                format!("no standard here knows the grade `{}`", short(text)),
                node.place(),
                "",
            )
            .help(suggestion(text, known.iter().map(String::as_str))),
        );
        return None;
    };
    limits.extend(windows);
    Some(text.to_owned())
}

fn classes(
    root: &Table<'_>,
    grade: Option<&str>,
    limits: &mut Vec<Limit>,
    faults: &mut Vec<Fault>,
) -> Vec<String> {
    let Some(node) = root.get("class") else {
        return Vec::new();
    };
    let mut classes = Vec::new();
    for (text, place) in node.texts("`class`", faults) {
        if let Some(windows) = windows::limits_of_class(text, grade, &place) {
            limits.extend(windows);
            classes.push(text.to_owned());
        } else {
            let known = windows::known_classes();
            faults.push(
                Fault::at(
                    Code::UnknownWord,
                    format!("there is no class `{}` here", short(text)),
                    place,
                    "",
                )
                .help(suggestion(text, known.iter().map(String::as_str))),
            );
        }
    }
    classes
}

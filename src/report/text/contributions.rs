//! Which component brings what: a small table with bars for each property.

use crate::declare::problem::Problem;
use crate::declare::property::Property;
use crate::explain::contribution::Contribution;
use crate::explain::contribution::Contributions;
use crate::explain::contribution::Origins;
use crate::explain::contribution::Untold;
use crate::report::number;
use crate::report::parts;
use crate::report::table;
use crate::report::table::Align;
use crate::report::table::Table;
use crate::report::text::bar;
use crate::report::words;

/// A component below this part of all that moves a property is told among the others.
const SMALL: f64 = 0.01;

/// Below this part of the largest effect stands the rounding of arithmetic, not an effect.
const DUST: f64 = 1e-9;

/// The longest bar, characters.
const LONGEST: f64 = 20.0;

/// The longest bar on either side of a middle line.
const LONGEST_SIDE: f64 = 10.0;

/// Beyond this many last digits a column is printed as it is, not made to add up.
const MOST_UNITS: f64 = 1e9;

/// What the changes mean, once for all tables.
const LEGEND: &str = "without: the component is left out and the rest made up to 100 %; such changes do \
                      not add up.";

/// The same of the column of index shares.
const INDEX: &str = "of mix: the component's part of the mixing rule's sum, polymers aside.";

/// Where the properties come from; empty where nothing was asked.
#[must_use]
pub fn section(problem: &Problem, origins: &Origins) -> String {
    let mut blocks: Vec<String> = origins.told.iter().map(|c| block(problem, c)).collect();
    blocks.extend(origins.untold.iter().map(|u| untold(problem, u)));
    if origins.told.iter().any(|c| !is_sum(c)) {
        let mixed = |c: &Contributions| !is_sum(c) && has_index(c);
        let index = if origins.told.iter().any(mixed) {
            INDEX
        } else {
            ""
        };
        blocks.push(table::note(&format!("{LEGEND} {index}")));
    }
    if blocks.is_empty() {
        return String::new();
    }
    format!("Where it comes from\n{}", blocks.join("\n"))
}

fn untold(problem: &Problem, untold: &Untold) -> String {
    let name = words::property(&untold.property);
    let ids: Vec<String> = untold
        .lacking
        .iter()
        .map(|&j| problem.components[j].id.clone())
        .collect();
    table::note(&if ids.is_empty() {
        format!("{name} cannot be predicted of this recipe.")
    } else {
        format!(
            "{name} cannot be predicted of this recipe: the shelf says too little of {}.",
            words::list(&ids)
        )
    })
}

fn has_index(c: &Contributions) -> bool {
    c.parts.iter().any(|p| p.index_percent.is_some())
}

/// Whether the table shows exact parts. The parts of a density are masses in a litre: true, but what a
/// component does to it is better seen without it.
fn is_sum(c: &Contributions) -> bool {
    c.property != Property::Density && c.parts.iter().all(|p| p.part.is_some())
}

fn block(problem: &Problem, c: &Contributions) -> String {
    if is_sum(c) {
        sum(problem, c)
    } else {
        changes(problem, c)
    }
}

/// The property and its value.
fn named(c: &Contributions) -> String {
    let value = number::value(&c.property, c.value);
    format!(
        "{}, {}",
        words::property(&c.property),
        words::with_unit(&value, &c.unit)
    )
}

/// Half a last printed digit.
fn half_digit(places: i32) -> f64 {
    0.5 * 10_f64.powi(-places)
}

/// The table of a value that is the sum of its parts.
fn sum(problem: &Problem, c: &Contributions) -> String {
    let places = number::places(&c.property, c.value);
    let part = |p: &Contribution| p.part.unwrap_or(0.0);
    let (large, small) = sorted(&c.parts, places, part);
    if large.is_empty() {
        return table::note(&format!("{}: nothing in the recipe brings any.", named(c)));
    }
    let mut names: Vec<String> = large
        .iter()
        .map(|p| problem.components[p.component].id.clone())
        .collect();
    let mut amounts: Vec<f64> = large.iter().map(|p| part(p)).collect();
    let rest: f64 = small.iter().map(|p| part(p)).sum();
    if rest.abs() >= half_digit(places) {
        names.push(format!("{} others", small.len()));
        amounts.push(rest);
    }
    let unit = words::money(&c.unit);
    let mut table = Table::new(&[
        ("component", Align::Left),
        (if unit.is_empty() { "part" } else { &unit }, Align::Right),
        ("of it", Align::Right),
        ("", Align::Left),
    ]);
    let shares: Vec<f64> = amounts.iter().map(|a| 100.0 * a / c.value).collect();
    let bars = bar::column(&amounts, LONGEST, LONGEST_SIDE);
    let printed = adding_up(&amounts, c.value, places);
    let percents = adding_up(&shares, 100.0, 0);
    for (((name, amount), percent), bar) in names.into_iter().zip(printed).zip(percents).zip(bars) {
        table.row(vec![name, amount, format!("{percent} %"), bar]);
    }
    let head = format!("{}, made up of", named(c));
    table::note(&head) + &table::inner(&table.render())
}

/// A column whose printed figures add up to the printed total, where none is negative.
fn adding_up(amounts: &[f64], total: f64, places: i32) -> Vec<String> {
    let per_unit = 10_f64.powi(places);
    let fits = total * per_unit < MOST_UNITS && amounts.iter().all(|a| *a >= 0.0);
    if !fits {
        return amounts.iter().map(|a| number::fixed(*a, places)).collect();
    }
    parts::of_whole(amounts, parts::units(total * per_unit))
        .into_iter()
        .map(|units| number::fixed(f64::from(units) / per_unit, places))
        .collect()
}

/// The components that matter, the largest effect first, and those too small to show; without those of
/// no effect at all. A small one that would stand alone among the others stands for itself.
fn sorted(
    all: &[Contribution],
    places: i32,
    effect: impl Fn(&Contribution) -> f64,
) -> (Vec<&Contribution>, Vec<&Contribution>) {
    let size = |p: &Contribution| effect(p).abs();
    let least = (SMALL * all.iter().map(size).sum::<f64>()).max(half_digit(places));
    let nothing = DUST * all.iter().map(size).fold(0.0, f64::max);
    let mut some: Vec<&Contribution> = all.iter().filter(|p| size(p) > nothing).collect();
    some.sort_by(|a, b| size(b).total_cmp(&size(a)));
    let (mut large, mut small): (Vec<_>, Vec<_>) = some.into_iter().partition(|p| size(p) >= least);
    let alone = small.len() == 1 && small.iter().all(|p| size(p) >= half_digit(places));
    if alone || large.is_empty() {
        large.append(&mut small);
    }
    (large, small)
}

/// The table of a value that is no sum: what it would be without each component.
fn changes(problem: &Problem, c: &Contributions) -> String {
    let places = number::places(&c.property, c.value);
    let known: Vec<Contribution> = c
        .parts
        .iter()
        .filter(|p| p.without.is_some())
        .cloned()
        .collect();
    let (large, small) = sorted(&known, places, |p| p.without.unwrap_or(0.0));
    // What cannot be left out matters most.
    let rows: Vec<&Contribution> = c
        .parts
        .iter()
        .filter(|p| p.without.is_none())
        .chain(large)
        .collect();
    if rows.is_empty() {
        return table::note(&format!("{}: leaving one out changes nothing.", named(c)));
    }
    let ratio = match c.property {
        Property::Ratio(a, b) => Some((format!("of {a}"), format!("of {b}"))),
        _ => None,
    };
    let (top, bottom) = ratio.unwrap_or_default();
    let mut table = Table::new(&[
        ("component", Align::Left),
        ("mass %", Align::Right),
        ("of mix", Align::Right),
        (&top, Align::Right),
        (&bottom, Align::Right),
        ("without", Align::Right),
        ("", Align::Left),
    ]);
    let moves: Vec<f64> = rows.iter().map(|p| p.without.unwrap_or(0.0)).collect();
    let bars = bar::both_ways(&moves, LONGEST_SIDE);
    for (p, bar) in rows.iter().zip(bars) {
        table.row(vec![
            problem.components[p.component].id.clone(),
            number::fixed(p.share.percent(), number::TREAT),
            percent(p.index_percent),
            percent(p.top_percent),
            percent(p.bottom_percent),
            p.without
                .map_or_else(|| "undefined".into(), |w| signed(c, w)),
            bar,
        ]);
    }
    let head = table::note(&format!(
        "{}{}; this much higher (+) or lower (-) without:",
        named(c),
        thickened(problem, c)
    ));
    head + &table::inner(&table.render()) + &others(problem, c, &small)
}

fn percent(part: Option<f64>) -> String {
    part.map_or_else(String::new, |p| format!("{} %", number::fixed(p, 0)))
}

fn signed(c: &Contributions, change: f64) -> String {
    let text = number::beside(&c.property, c.value, change);
    if change > 0.0 {
        format!("+{text}")
    } else {
        text
    }
}

/// What the polymers do to the base fluid; empty where they do nothing.
fn thickened(problem: &Problem, c: &Contributions) -> String {
    let mut polymers: Vec<(f64, &str)> = c
        .parts
        .iter()
        .filter_map(|p| Some((p.thickening?, problem.components[p.component].id.as_str())))
        .filter(|(added, _)| added.abs() > 0.0)
        .collect();
    polymers.sort_by(|a, b| b.0.total_cmp(&a.0));
    let Some(base) = c.base.filter(|_| !polymers.is_empty()) else {
        return String::new();
    };
    let amounts: Vec<f64> = [base]
        .into_iter()
        .chain(polymers.iter().map(|p| p.0))
        .collect();
    let mut printed = adding_up(&amounts, c.value, number::places(&c.property, c.value));
    let base_text = printed.remove(0);
    let each: Vec<String> = printed
        .iter()
        .zip(&polymers)
        .map(|(added, (_, id))| format!("{added} from {id}"))
        .collect();
    format!(
        ": {base_text} without polymer, times {} by thickening ({})",
        number::fixed(c.value / base, 2),
        words::list(&each)
    )
}

/// The components that change next to nothing.
fn others(problem: &Problem, c: &Contributions, small: &[&Contribution]) -> String {
    let most = small
        .iter()
        .filter_map(|p| p.without)
        .fold(0.0, |m: f64, w| m.max(w.abs()));
    let ids: Vec<String> = small
        .iter()
        .map(|p| problem.components[p.component].id.clone())
        .collect();
    if ids.is_empty() {
        return String::new();
    }
    let places = number::places(&c.property, c.value);
    let step = 10_f64.powi(-places);
    let bound = number::fixed((most / step).ceil() * step, places);
    let each = if ids.len() > 1 { " each" } else { "" };
    table::inner_note(&format!("at most {bound}{each}: {}", words::list(&ids)))
}

//! Recipes side by side: a column each, with what changed; and the properties that moved with them.

use crate::declare::problem::Problem;
use crate::declare::property::Property;
use crate::declare::recipe::Recipe;
use crate::predict::value::Judged;
use crate::predict::value::Judgement;
use crate::quantity::Share;
use crate::report::bound::Bound;
use crate::report::number;
use crate::report::table;
use crate::report::table::Align;
use crate::report::table::Table;
use crate::report::words;
use crate::standard::element::Element;
use crate::study::apart;
use crate::study::apart::Moved;
use crate::study::solved::Solved;

/// A treat rate below this is not shown: half of the last printed decimal.
const SHOWN: Share = Share::from_fraction(5e-6);

/// One answer with the head of its column.
pub struct Column<'r> {
    /// What it is called here.
    pub head: &'r str,
    /// The answer; one without a recipe leaves the column out.
    pub solved: Option<&'r Solved>,
}

/// The recipes, each after the first followed by its change from the first; empty where there is none.
#[must_use]
pub fn recipes(problem: &Problem, columns: &[Column<'_>]) -> String {
    let told: Vec<(&str, &Recipe, &Judgement)> = columns
        .iter()
        .filter_map(|c| c.solved?.recipe().map(|(r, j)| (c.head, r, j)))
        .collect();
    let Some((first, rest)) = told.split_first() else {
        return String::new();
    };
    let mut heads = vec![("mass %", Align::Left), (first.0, Align::Right)];
    for column in rest {
        heads.extend([(column.0, Align::Right), ("change", Align::Right)]);
    }
    let mut table = Table::new(&heads);
    for j in by_first(&told, problem.components.len()) {
        let share = |recipe: &Recipe| recipe.shares()[j];
        if told.iter().all(|c| share(c.1) < SHOWN) {
            continue;
        }
        let mut row = vec![problem.components[j].id.clone(), percent(share(first.1))];
        for column in rest {
            let change = share(column.1).percent() - share(first.1).percent();
            row.push(percent(share(column.1)));
            row.push(risen(change, number::TREAT));
        }
        table.row(row);
    }
    for property in priced(problem) {
        let value = |judgement: &Judgement| judgement.of(&property).map(|p| p.value);
        let Some(before) = value(first.2) else {
            continue;
        };
        let places = number::places(&property, before);
        let unit = problem.unit(&property);
        let mut row = vec![
            words::property_in(&property, &unit),
            number::fixed(before, places),
        ];
        for column in rest {
            let after = value(column.2);
            row.push(after.map_or(String::new(), |v| number::fixed(v, places)));
            row.push(after.map_or(String::new(), |v| risen(v - before, places)));
        }
        table.row(row);
    }
    table.render()
}

/// The components, those with most in the first recipe first, then by the next ones.
fn by_first(told: &[(&str, &Recipe, &Judgement)], components: usize) -> Vec<usize> {
    let mut order: Vec<usize> = (0..components).collect();
    order.sort_by(|&a, &b| {
        let of = |j: usize| told.iter().map(move |c| c.1.shares()[j].fraction());
        of(b)
            .zip(of(a))
            .map(|(b, a)| b.total_cmp(&a))
            .find(|o| o.is_ne())
            .unwrap_or(std::cmp::Ordering::Equal)
    });
    order
}

/// The goal, and the cost where it is another one.
fn priced(problem: &Problem) -> Vec<Property> {
    let mut rows = vec![problem.goal.property.clone()];
    if problem.goal.property != Property::Cost {
        rows.push(Property::Cost);
    }
    rows
}

fn percent(share: Share) -> String {
    if share >= SHOWN {
        number::fixed(share.percent(), number::TREAT)
    } else {
        "-".into()
    }
}

/// A change with its sign; nothing where no digit of it shows.
#[must_use]
pub fn risen(change: f64, places: i32) -> String {
    let text = number::fixed(change, places);
    let nothing = text.chars().all(|c| matches!(c, '-' | '0' | '.'));
    match (nothing, change > 0.0) {
        (true, _) => String::new(),
        (false, true) => format!("+{text}"),
        (false, false) => text,
    }
}

/// The properties that moved by what their test method can see, and the limits that bind in one of the
/// two recipes only; `heads` call the recipes.
#[must_use]
pub fn moves(before: &Judgement, after: &Judgement, heads: (&str, &str), title: &str) -> String {
    let mut table = Table::new(&[
        ("property", Align::Left),
        (heads.0, Align::Right),
        (heads.1, Align::Right),
        ("change", Align::Right),
    ]);
    let mut rows = 0;
    for m in apart::moved(before, after) {
        let cells = cells(&m);
        if m.property == Property::Cost || cells[0] == cells[1] || unmade(&m, before, after) {
            continue;
        }
        let name = words::property_in(&m.property, &m.unit);
        let [was, is, change] = cells;
        table.row(vec![name, was, is, change]);
        rows += 1;
        if let Some(mole) = by_mole(&m) {
            let [was, is, change] = self::cells(&mole);
            table.row(vec!["Mo:P by mole".into(), was, is, change]);
        }
    }
    let mut text = String::new();
    if rows > 0 {
        text = format!("{title}\n{}", table.render());
    }
    for (words, only) in [
        ("Now binding", apart::binds_only(after, before)),
        ("No longer binding", apart::binds_only(before, after)),
    ] {
        if !only.is_empty() {
            text += &table::note(&format!("{words}: {}.", list(&only)));
        }
    }
    text
}

/// A ratio to an element that neither recipe holds in earnest, and the elements neither holds.
fn unmade(m: &Moved, before: &Judgement, after: &Judgement) -> bool {
    let holds =
        |j: &Judgement, e: Element| j.of(&Property::Element(e)).is_some_and(|p| p.value > 0.0);
    match m.property {
        Property::Ratio(_, below) => !holds(before, below) && !holds(after, below),
        _ => false,
    }
}

/// Molybdenum over phosphorus by mole: parity by mass is about a third by mole.
fn by_mole(m: &Moved) -> Option<Moved> {
    (m.property == Property::Ratio(Element::Mo, Element::P)).then(|| {
        let mole = |v: f64| v * mole_per_mass();
        Moved {
            before: m.before.map(mole),
            after: m.after.map(mole),
            ..m.clone()
        }
    })
}

/// Moles of molybdenum over phosphorus for the same mass of both.
#[must_use]
pub fn mole_per_mass() -> f64 {
    Element::P.atomic_weight() / Element::Mo.atomic_weight()
}

fn cells(m: &Moved) -> [String; 3] {
    let places = number::places(&m.property, m.before.or(m.after).unwrap_or(0.0));
    let shown = |v: Option<f64>| v.map_or_else(|| "-".into(), |v| number::fixed(v, places));
    // What is printed must add up: the change of the printed figures.
    let unit = 10_f64.powi(places);
    let change = m
        .after
        .zip(m.before)
        .map(|(a, b)| ((a * unit).round() - (b * unit).round()) / unit);
    [
        shown(m.before),
        shown(m.after),
        change.map_or_else(String::new, |c| risen(c, places)),
    ]
}

/// `phosphorus >= 750 ppm (problem)`, one after another.
#[must_use]
pub fn list(requirements: &[&Judged]) -> String {
    let all: Vec<String> = requirements.iter().map(|r| bound(r)).collect();
    words::list(&all)
}

/// A requirement with its bound and who set it.
#[must_use]
pub fn bound(r: &Judged) -> String {
    let bound = Bound::judged(r).signed();
    format!("{bound} ({})", words::source(&r.source))
}

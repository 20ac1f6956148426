//! One `[[component]]` of a shelf.

use super::dilution::IndexRule;
use super::figure::{Allowance, entry, missing};
use super::order;
use super::polymer::polymer;
use super::range::Range;
use super::treat::{asked, band};
use super::tree::{Item, Node, Table};
use super::words::{choice, short, sound_name, suggestion};
use crate::declare::component::{Band, Component, EdgeSource, Entry, Group, Kind};
use crate::declare::needs::estimable;
use crate::declare::problem::ThickeningLaw;
use crate::declare::property::Datum;
use crate::fault::{Code, Fault};
use crate::quantity::Celsius;
use crate::standard::element::Element;
use std::collections::{BTreeMap, BTreeSet};

/// The keys of a component that are not figures.
pub(super) const KEYS: [&str; 10] = [
    "id", "name", "kind", "group", "polar", "polymer", "ccs", "mrv", "treat", "note",
];

/// What the other files say that a component must be read with.
pub(super) struct Surroundings<'s> {
    /// Properties that the problem or the shelf declares.
    pub(super) declared: &'s BTreeSet<String>,
    /// The law that a measured thickening is fitted by.
    pub(super) law: ThickeningLaw,
}

/// A component, or nothing where even its name or kind is not known.
pub(super) fn component(
    table: &Table<'_>,
    around: &Surroundings<'_>,
    faults: &mut Vec<Fault>,
) -> Option<Component> {
    let id = id(table, faults);
    let called = id.as_deref().unwrap_or("this component");
    let kind = kind(table, called, faults);
    let name = table.text("name", faults).or(id.as_deref()).unwrap_or("");
    table.text("note", faults);
    let group = table.get("group").and_then(|node| {
        let what = format!("`group` of `{called}`");
        choice(node, &what, &Group::ALL, Group::key, faults)
    });
    let polar = table
        .get("polar")
        .and_then(|node| node.flag(&format!("`polar` of `{called}`"), faults))
        .unwrap_or(false);
    only_where_it_belongs(table, kind, called, faults);
    let figures = figures(table, called, kind, around, faults);
    order::thinning(&figures, called, faults);
    let polymer = table
        .get("polymer")
        .and_then(|node| polymer(node, called, around.law, faults));
    let treat = table
        .get("treat")
        .and_then(|node| {
            let what = format!("`treat` of `{called}`");
            asked(node, &what, EdgeSource::Shelf, faults)
        })
        .map_or_else(Band::natural, |asked| band(asked, called, faults));
    let place = table.get("id").map_or(table.place.clone(), Node::place);
    Some(Component {
        name: name.to_owned(),
        kind: kind?,
        group,
        polar,
        figures,
        polymer,
        treat,
        place,
        id: id?,
    })
}

fn id(table: &Table<'_>, faults: &mut Vec<Fault>) -> Option<String> {
    let Some(node) = table.get("id") else {
        faults.push(missing(table, "this component", "id", "id = \"pao-4\""));
        return None;
    };
    let id = node.text("`id`", faults)?;
    // A component with an unsound name is still read, so that its other faults are seen too.
    sound_name(id, "a component's `id`", &node.place(), faults);
    Some(short(id))
}

fn kind(table: &Table<'_>, called: &str, faults: &mut Vec<Fault>) -> Option<Kind> {
    let Some(node) = table.get("kind") else {
        let words: Vec<&str> = Kind::ALL.into_iter().map(Kind::key).collect();
        faults.push(
            missing(
                table,
                &format!("`{called}`"),
                "kind",
                "kind = \"base-stock\"",
            )
            .help(format!("write `kind = …` with one of {}", words.join(", "))),
        );
        return None;
    };
    let what = format!("`kind` of `{called}`");
    choice(node, &what, &Kind::ALL, Kind::key, faults)
}

/// Polymers belong to viscosity modifiers, API groups to base stocks.
fn only_where_it_belongs(
    table: &Table<'_>,
    kind: Option<Kind>,
    called: &str,
    faults: &mut Vec<Fault>,
) {
    let Some(kind) = kind else { return };
    for (key, owner) in [
        ("polymer", Kind::ViscosityModifier),
        ("group", Kind::BaseStock),
    ] {
        if let Some(item) = table.item(key)
            && kind != owner
        {
            faults.push(
                Fault::at(
                    Code::UnknownKey,
                    format!("`{called}` is of kind `{}` and has no `{key}`", kind.key()),
                    item.key_place.clone(),
                    "",
                )
                .help(format!("delete it, or write `kind = \"{}\"`", owner.key())),
            );
        }
    }
    if kind == Kind::ViscosityModifier && table.get("polymer").is_none() {
        let place = table.get("id").map_or(table.place.clone(), Node::place);
        faults.push(
            Fault::at(
                Code::MissingKey,
                format!("the viscosity modifier `{called}` says nothing of its polymer"),
                place,
                "",
            )
            .help("add `polymer = { solids = 0.11, iv40 = 1.02, iv100 = 1.05, iv150 = 1.02, k = 0.35, hths-loss = 0.30, ssi = 12, ccs-thickening = 0.12 }` with the supplier's numbers"),
        );
    }
}

fn figures(
    table: &Table<'_>,
    called: &str,
    kind: Option<Kind>,
    around: &Surroundings<'_>,
    faults: &mut Vec<Fault>,
) -> BTreeMap<Datum, Entry> {
    let mut figures = BTreeMap::new();
    for item in &table.items {
        match item.key {
            "ccs" => cold(item, called, Datum::Ccs, &mut figures, faults),
            "mrv" => cold(item, called, Datum::Mrv, &mut figures, faults),
            key if KEYS.contains(&key) => {}
            key => {
                let Some(datum) = datum_of(key, around.declared) else {
                    faults.push(unknown(item, called, around.declared));
                    continue;
                };
                let what = format!("`{}` of `{called}`", short(key));
                let before = faults.len();
                one(item.node, &what, datum.clone(), &mut figures, faults);
                if faults.len() == before
                    && let Datum::Element(element) = datum
                    && let Some(kind) = kind.filter(|kind| *kind != Kind::BaseStock)
                {
                    let least = least_meant(kind, element);
                    percent_for_ppm(item.node, &what, element, least, faults);
                }
            }
        }
    }
    figures
}

fn datum_of(key: &str, declared: &BTreeSet<String>) -> Option<Datum> {
    Datum::of_key(key).or_else(|| declared.contains(key).then(|| Datum::User(key.into())))
}

fn unknown(item: &Item<'_>, called: &str, declared: &BTreeSet<String>) -> Fault {
    let plain: Vec<String> = Datum::PLAIN.iter().map(Datum::key).collect();
    let known = plain
        .iter()
        .map(String::as_str)
        .chain(KEYS.iter().copied())
        .chain(Element::ALL.into_iter().map(|e| -> &str { e.key() }))
        .chain(declared.iter().map(String::as_str));
    let near = super::words::nearest(item.key, known);
    let key = short(item.key);
    Fault::at(
        Code::UnknownKey,
        format!("`{called}` has no key `{key}`"),
        item.key_place.clone(),
        "",
    )
    .help(match near {
        Some(near) => format!("did you mean `{near}`?"),
        None => format!(
            "if it is a property of your own, declare it: `[property.{key}]` in the problem, or `properties = [\"{key}\"]` at the top of the shelf"
        ),
    })
}

/// Reads one figure. A faulty one is kept as an estimate, so that it is not reported missing too:
/// with a fault about, no problem is made of it.
fn one(
    node: Node<'_>,
    what: &str,
    datum: Datum,
    figures: &mut BTreeMap<Datum, Entry>,
    faults: &mut Vec<Fault>,
) {
    let allowed = Allowance {
        range: Range::of_datum(&datum),
        estimable: estimable(&datum),
        dilution: match datum {
            Datum::Kv40 | Datum::Kv100 => Some(IndexRule::DoubleLog),
            Datum::Ccs(_) | Datum::Mrv(_) => Some(IndexRule::Log),
            _ => None,
        },
    };
    let read = entry(node, what, &allowed, faults);
    figures.insert(datum, read.unwrap_or_else(|| Entry::Estimate(node.place())));
}

/// A table keyed by test temperatures.
fn cold(
    item: &Item<'_>,
    called: &str,
    datum: impl Fn(Celsius) -> Datum,
    figures: &mut BTreeMap<Datum, Entry>,
    faults: &mut Vec<Fault>,
) {
    let key = item.key;
    let what = format!("`{key}` of `{called}`");
    let Some(table) = item.node.as_table() else {
        let help = if item.node.as_text() == Some("estimated") {
            format!(
                "say at which: `{key} = {{ \"-35\" = \"estimated\", \"-30\" = \"estimated\" }}`"
            )
        } else {
            format!("write `{key} = {{ \"-35\" = …, \"-30\" = … }}`")
        };
        faults.push(
            item.node
                .wrong_type(&what, "a table of test temperatures")
                .help(help),
        );
        at_any(item.node, datum, figures);
        return;
    };
    for entry in &table.items {
        let Some(t) = temperature(entry, &what, faults) else {
            at_any(entry.node, &datum, figures);
            continue;
        };
        let datum = datum(t);
        if figures.contains_key(&datum) {
            faults.push(
                Fault::at(
                    Code::DuplicateName,
                    format!("{what} states {t} °C twice"),
                    entry.key_place.clone(),
                    "",
                )
                .help("keep one of the two"),
            );
            continue;
        }
        let what = format!("{what} at {t} °C");
        one(entry.node, &what, datum, figures, faults);
    }
}

/// Test temperatures go from here to there, °C.
const COLD: [f64; 2] = [-60.0, 0.0];

/// Keeps a cold viscosity whose temperature could not be read as an estimate at the ends of all, so that
/// it is not reported missing too, as `one` does.
fn at_any(node: Node<'_>, datum: impl Fn(Celsius) -> Datum, figures: &mut BTreeMap<Datum, Entry>) {
    for t in COLD.into_iter().filter_map(Celsius::from_degrees) {
        let unread = Entry::Estimate(node.place());
        figures.entry(datum(t)).or_insert(unread);
    }
}

fn temperature(entry: &Item<'_>, what: &str, faults: &mut Vec<Fault>) -> Option<Celsius> {
    let written = short(entry.key);
    let degrees = entry.key.trim().parse::<f64>().ok();
    if let Some(t) = degrees.filter(|t| (COLD[0]..=COLD[1]).contains(t)) {
        let dotted = entry
            .node
            .as_table()
            .and_then(|table| table.items.first().map(|item| item.key))
            .filter(|key| key.chars().all(|c| c.is_ascii_digit()));
        if let Some(tenths) = dotted {
            faults.push(
                Fault::at(
                    Code::WrongType,
                    format!("a temperature of {what} with a decimal point needs quotes"),
                    entry.key_place.clone(),
                    "",
                )
                .help(format!("write `\"{written}.{tenths}\" = …`")),
            );
            return None;
        }
        return Celsius::from_degrees(t);
    }
    let fault = Fault::at(
        Code::OutOfRange,
        format!("{what} is keyed by test temperatures from -60 to 0 °C, not by `{written}`"),
        entry.key_place.clone(),
        "",
    );
    faults.push(match degrees {
        Some(t) if (0.0..=60.0).contains(&t) => fault.help(format!("write `\"-{t}\"`")),
        _ => fault.help("write a temperature such as `\"-35\"`"),
    });
    None
}

/// Fewer ppm than this of an element in a component that is no base stock are more likely a percentage
/// without its sign: of the metals and phosphorus that packages and boosters are bought for, fewer than
/// 30, of the rest fewer than 1 (common practice, no source). Written as text with its unit the number is
/// taken as it stands.
pub(super) fn least_meant(kind: Kind, element: Element) -> f64 {
    let bought_for = matches!(
        element,
        Element::Zn | Element::P | Element::Mo | Element::Ca | Element::Mg
    );
    match kind {
        Kind::AdditivePackage | Kind::Booster if bought_for => 30.0,
        _ => 1.0,
    }
}

/// A few ppm in an additive are a percentage without its sign.
fn percent_for_ppm(
    node: Node<'_>,
    what: &str,
    element: Element,
    least: f64,
    faults: &mut Vec<Fault>,
) {
    let number = node
        .as_table()
        .and_then(|table| table.get("value"))
        .unwrap_or(node)
        .as_number();
    if let Some(value) = number.filter(|v| *v > 0.0 && *v < least) {
        faults.push(
            Fault::at(
                Code::OutOfRange,
                format!("{what} is {value} ppm, next to nothing for an additive"),
                node.place(),
                "read as ppm (mg/kg)",
            )
            .help(percent_help(element.key(), value)),
        );
    }
}

/// The two ways to say what was meant by a small number of an element.
pub(super) fn percent_help(key: &str, value: f64) -> String {
    let ppm = (value * crate::quantity::PPM_PER_PERCENT * 1e6).round() / 1e6;
    format!(
        "if you meant mass percent, write `{key} = \"{value} %\"` ({ppm} ppm); if not, `{key} = \"{value} ppm\"`"
    )
}

/// A second component of one name.
pub(super) fn twice(first: &Component, second: &Component) -> Fault {
    Fault::at(
        Code::DuplicateName,
        format!("there are two components `{}`", second.id),
        second.place.clone(),
        "the second",
    )
    .and(first.place.clone(), "the first")
    .help(format!(
        "give one of them another `id`, such as `{}-b`",
        second.id
    ))
}

/// A component name that no shelf holds.
pub(super) fn no_such(id: &str, what: &str, place: crate::fault::Place, ids: &[&str]) -> Fault {
    Fault::at(
        Code::UnknownComponent,
        format!("{what} names `{}`, which no shelf holds", short(id)),
        place,
        "",
    )
    .help(if ids.is_empty() {
        "add it to a shelf".to_owned()
    } else {
        suggestion(id, ids.iter().copied())
    })
}

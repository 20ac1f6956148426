//! A shelf file: currency, declared keys, components.

use super::component::{KEYS, Surroundings, component, twice};
use super::figure::missing;
use super::tree::Table;
use super::words::{only, sound_name};
use crate::declare::component::Component;
use crate::declare::problem::ThickeningLaw;
use crate::declare::property::{Datum, Property};
use crate::fault::{Code, Fault, Place};
use std::collections::BTreeMap;
use std::collections::BTreeSet;

const SHELF_KEYS: [&str; 6] = [
    "currency",
    "mixing",
    "note",
    "title",
    "properties",
    "component",
];

/// The currency a shelf states, with its place.
pub(super) fn currency(root: &Table<'_>, faults: &mut Vec<Fault>) -> Option<(String, Place)> {
    let node = root.get("currency")?;
    let text = node.text("`currency`", faults)?;
    if text.is_empty() || text.len() > 16 {
        faults.push(
            Fault::at(
                Code::OutOfRange,
                "`currency` is a short name of a money",
                node.place(),
                "",
            )
            .help("write `currency = \"EUR\"`"),
        );
        return None;
    }
    Some((text.to_owned(), node.place()))
}

/// The currency of all shelves, with a fault for each that states another.
pub(super) fn one_currency(
    stated: impl Iterator<Item = Option<(String, Place)>>,
    faults: &mut Vec<Fault>,
) -> String {
    let mut first: Option<(String, Place)> = None;
    for (currency, place) in stated.flatten() {
        match &first {
            None => first = Some((currency, place)),
            Some((other, other_place)) if *other != currency => faults.push(
                Fault::at(
                    Code::MixedCurrencies,
                    format!("one shelf is priced in {other}, another in {currency}"),
                    place,
                    "this shelf",
                )
                .and(other_place.clone(), "the other shelf")
                .help(format!("restate this shelf's prices in {other}")),
            ),
            Some(_) => {}
        }
    }
    first.map(|(currency, _)| currency).unwrap_or_default()
}

/// The components of one shelf, added to those of the shelves before it.
pub(super) fn components(
    root: &Table<'_>,
    declared: &BTreeSet<String>,
    law: ThickeningLaw,
    into: &mut Vec<Component>,
    faults: &mut Vec<Fault>,
) {
    only(root, "a shelf", &SHELF_KEYS, faults);
    for key in ["title", "note"] {
        root.text(key, faults);
    }
    let mut declared = declared.clone();
    if let Some(node) = root.get("properties") {
        for (name, place) in node.texts("`properties`", faults) {
            if own_name(name, &place, faults) {
                declared.insert(name.to_owned());
            }
        }
    }
    let Some(node) = root.get("component") else {
        faults.push(
            missing(root, "this shelf", "component", "[[component]]")
                .help("a shelf is a list of components; start each with a line `[[component]]`"),
        );
        return;
    };
    let Some(list) = node.as_list() else {
        faults.push(
            node.wrong_type("`component`", "a list of tables")
                .help("write `[[component]]` with two brackets"),
        );
        return;
    };
    let mut ids: BTreeMap<String, usize> = into
        .iter()
        .enumerate()
        .map(|(index, component)| (component.id.clone(), index))
        .collect();
    let around = Surroundings {
        declared: &declared,
        law,
    };
    if list.is_empty() {
        faults.push(
            Fault::at(Code::MissingKey, "this shelf is empty", node.place(), "")
                .help("start each component with a line `[[component]]`"),
        );
    }
    for node in list {
        let Some(table) = node.table("a component", faults) else {
            continue;
        };
        let Some(read) = component(&table, &around, faults) else {
            continue;
        };
        if let Some(first) = ids.get(&read.id).and_then(|first| into.get(*first)) {
            faults.push(twice(first, &read));
        } else {
            ids.insert(read.id.clone(), into.len());
            into.push(read);
        }
    }
}

/// Whether a user's name for a property or a sum is sound and not taken by the tool.
pub(super) fn own_name(name: &str, place: &Place, faults: &mut Vec<Fault>) -> bool {
    if !sound_name(name, "a name of your own", place, faults) {
        return false;
    }
    let taken =
        KEYS.contains(&name) || Datum::of_key(name).is_some() || Property::of_key(name).is_some();
    if taken {
        faults.push(
            Fault::at(
                Code::DuplicateName,
                format!("`{name}` is already the name of something the tool knows"),
                place.clone(),
                "",
            )
            .help(format!("choose another name, such as `my-{name}`")),
        );
    }
    !taken
}

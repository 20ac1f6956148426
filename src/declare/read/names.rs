//! The problem's own names: declared properties and sums of treat rates.

use super::component::no_such;
use super::figure::{amount, missing};
use super::range::Range;
use super::shelf::own_name;
use super::tree::{Item, Table};
use super::words::{choice, only};
use crate::declare::component::{Component, Group, Kind};
use crate::declare::problem::{Limit, TreatGroup, UserProperty, UserRule};
use crate::declare::property::{Datum, Property};
use crate::fault::{Code, Fault};
use crate::quantity::Unit;

/// The `[property.NAME]` tables.
pub(super) fn properties(root: &Table<'_>, faults: &mut Vec<Fault>) -> Vec<UserProperty> {
    let Some(table) = root.table("property", faults) else {
        return Vec::new();
    };
    table
        .items
        .iter()
        .filter_map(|item| property(item, faults))
        .collect()
}

fn property(item: &Item<'_>, faults: &mut Vec<Fault>) -> Option<UserProperty> {
    let sound = own_name(item.key, &item.key_place, faults);
    let what = format!("`[property.{}]`", super::words::short(item.key));
    let table = item.node.table(&what, faults)?;
    only(&table, &what, &["unit", "rule", "missing", "note"], faults);
    let unit = table.text("unit", faults).unwrap_or("");
    let missing_value = table.get("missing").and_then(|node| {
        amount(node, &format!("`missing` of {what}"), &Range::OWN, faults).map(|a| a.value)
    });
    let Some(node) = table.get("rule") else {
        let mut fault = missing(&table, &what, "rule", "rule = \"mass-linear\"");
        if let Some(mark) = fault.marks.first_mut() {
            mark.place = item.key_place.clone();
        }
        faults.push(fault);
        return None;
    };
    let rule = choice(
        node,
        &format!("`rule` of {what}"),
        &UserRule::ALL,
        UserRule::key,
        faults,
    )?;
    sound.then(|| UserProperty {
        name: item.key.to_owned(),
        unit: Unit::named(unit),
        rule,
        missing: missing_value,
        place: item.key_place.clone(),
    })
}

/// The least value that a rule can mix, itself excluded; none where it mixes any.
fn floor(rule: UserRule) -> Option<f64> {
    match rule {
        UserRule::MassLinear | UserRule::VolumeLinear => None,
        UserRule::LogMass | UserRule::LogVolume | UserRule::ReciprocalMass => Some(0.0),
        UserRule::DoubleLogMass | UserRule::DoubleLogVolume => Some(0.2),
    }
}

/// Values of a declared property that its rule cannot mix: no logarithm, no reciprocal.
pub(super) fn unmixable(
    properties: &[UserProperty],
    components: &[Component],
    limits: &[Limit],
    faults: &mut Vec<Fault>,
) {
    for property in properties {
        let Some(floor) = floor(property.rule) else {
            continue;
        };
        let datum = Datum::User(property.name.clone());
        let stated = components
            .iter()
            .filter_map(|c| Some((format!("`{}`", c.id), c.figure(&datum)?)))
            .map(|(who, figure)| (who, figure.value, figure.place.clone()));
        let wanted = Property::User(property.name.clone());
        let bounds = limits
            .iter()
            .filter(|l| l.property == wanted)
            .map(|l| ("its limit".to_owned(), l.bound, l.place.clone()));
        let missing = property
            .missing
            .map(|value| ("`missing`".to_owned(), value, property.place.clone()));
        for (who, value, place) in stated.chain(bounds).chain(missing) {
            if value <= floor {
                faults.push(
                    Fault::at(
                        Code::OutOfRange,
                        format!(
                            "`{}` is mixed by `{}`, which needs values above {floor}: {who} says {value}",
                            property.name,
                            property.rule.key()
                        ),
                        place,
                        "",
                    )
                    .and(property.place.clone(), "declared here")
                    .help("choose `rule = \"mass-linear\"`, or give a value above that"),
                );
            }
        }
    }
}

/// The `[group.NAME]` tables, members resolved.
pub(super) fn groups(
    root: &Table<'_>,
    components: &[Component],
    properties: &[UserProperty],
    faults: &mut Vec<Fault>,
) -> Vec<TreatGroup> {
    let Some(table) = root.table("group", faults) else {
        return Vec::new();
    };
    let mut groups = Vec::new();
    for item in &table.items {
        let sound = own_name(item.key, &item.key_place, faults);
        if let Some(property) = properties.iter().find(|p| p.name == item.key) {
            faults.push(
                Fault::at(
                    Code::DuplicateName,
                    format!("`{}` is both a property and a group", item.key),
                    item.key_place.clone(),
                    "the group",
                )
                .and(property.place.clone(), "the property")
                .help("rename one of the two"),
            );
        }
        if let Some(members) = members(item, components, faults)
            && sound
        {
            groups.push(TreatGroup {
                name: item.key.to_owned(),
                members,
                place: item.key_place.clone(),
            });
        }
    }
    groups
}

fn members(
    item: &Item<'_>,
    components: &[Component],
    faults: &mut Vec<Fault>,
) -> Option<Vec<usize>> {
    let what = format!("`[group.{}]`", super::words::short(item.key));
    let table = item.node.table(&what, faults)?;
    only(&table, &what, &["of", "note"], faults);
    let Some(node) = table.get("of") else {
        faults.push(missing(
            &table,
            &what,
            "of",
            "of = [\"pao-4\", \"group V\"]",
        ));
        return None;
    };
    let mut members = Vec::new();
    for (word, place) in node.texts(&format!("`of` of {what}"), faults) {
        let found = matching(word, components);
        if found.is_empty() && !is_class_of_components(word) {
            let mut known: Vec<&str> = components.iter().map(|c| c.id.as_str()).collect();
            known.extend(Kind::ALL.into_iter().map(|kind| -> &str { kind.key() }));
            known.extend(GROUP_WORDS.iter());
            faults.push(no_such(word, &what, place, &known));
        }
        members.extend(found);
    }
    members.sort_unstable();
    members.dedup();
    Some(members)
}

const GROUP_WORDS: [&str; 5] = ["group I", "group II", "group III", "group IV", "group V"];

fn is_class_of_components(word: &str) -> bool {
    GROUP_WORDS.contains(&word) || Kind::ALL.into_iter().any(|kind| kind.key() == word)
}

/// The components that a word names: one by its id, or all of a kind or an API group.
fn matching(word: &str, components: &[Component]) -> Vec<usize> {
    if let Some(one) = components.iter().position(|c| c.id == word) {
        return vec![one];
    }
    let numeral = word.strip_prefix("group ");
    let group = Group::ALL.into_iter().find(|g| Some(g.key()) == numeral);
    components
        .iter()
        .enumerate()
        .filter(|(_, c)| c.kind.key() == word || (group.is_some() && c.group == group))
        .map(|(index, _)| index)
        .collect()
}

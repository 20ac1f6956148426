//! The `[limits]` table, and the goal: what a key names, and what its bounds are.

use super::component::{no_such, percent_help};
use super::figure::{Amount, amount};
use super::range::Range;
use super::tree::{Item, Node, Table};
use super::words::{nearest, only, short};
use crate::declare::component::Component;
use crate::declare::problem::{Goal, Limit, LimitSource, Sense, Side, TreatGroup, UserProperty};
use crate::declare::property::Property;
use crate::fault::{Code, Fault, Place};
use crate::quantity::PPM_PER_PERCENT;
use crate::standard::element::Element;

/// Properties that are tested in the cold.
const COLD: [&str; 3] = ["ccs", "mrv", "brookfield"];

/// Words of the trade for properties whose key is another.
const OTHERWISE: [(&str, &str); 20] = [
    ("price", "cost"),
    ("tbn", "base-number"),
    ("bn", "base-number"),
    ("viscosity-index", "vi"),
    ("kv", "kv100"),
    ("volatility", "noack"),
    ("evaporation", "noack"),
    ("flash-point", "flash"),
    ("sulfated-ash", "ash"),
    ("sulphated-ash", "ash"),
    ("zinc", "zn"),
    ("phosphorus", "p"),
    ("molybdenum", "mo"),
    ("calcium", "ca"),
    ("magnesium", "mg"),
    ("boron", "b"),
    ("sulfur", "s"),
    ("sulphur", "s"),
    ("barium", "ba"),
    ("sodium", "na"),
];

/// What a property's key may name in one problem.
pub(super) struct Known<'k> {
    pub(super) components: &'k [Component],
    pub(super) properties: &'k [UserProperty],
    pub(super) groups: &'k [TreatGroup],
    pub(super) currency: &'k str,
}

impl Known<'_> {
    /// The property of a key, with a fault where there is none.
    pub(super) fn property(
        &self,
        key: &str,
        place: &Place,
        faults: &mut Vec<Fault>,
    ) -> Option<Property> {
        if let Some(id) = key.strip_prefix("treat:")
            && !self.components.iter().any(|c| c.id == id)
        {
            let ids: Vec<&str> = self.components.iter().map(|c| c.id.as_str()).collect();
            let what = format!("`{}`", short(key));
            faults.push(no_such(id, &what, place.clone(), &ids));
            return None;
        }
        let found = Property::of_key(key)
            .or_else(|| self.group(key))
            .or_else(|| self.own(key));
        if found.is_none() {
            faults.push(self.unknown(key, place));
        }
        found
    }

    fn group(&self, key: &str) -> Option<Property> {
        let group = self.groups.iter().find(|g| g.name == key)?;
        Some(Property::Group(group.name.clone()))
    }

    fn own(&self, key: &str) -> Option<Property> {
        let property = self.properties.iter().find(|p| p.name == key)?;
        Some(Property::User(property.name.clone()))
    }

    fn unknown(&self, key: &str, place: &Place) -> Fault {
        let plain: Vec<String> = Property::PLAIN.iter().map(Property::key).collect();
        let known = plain
            .iter()
            .map(String::as_str)
            .chain(Element::ALL.into_iter().map(|e| -> &str { e.key() }))
            .chain(self.groups.iter().map(|g| g.name.as_str()))
            .chain(self.properties.iter().map(|p| p.name.as_str()));
        let written = short(key);
        let warm = key.split_once('@').filter(|(name, _)| COLD.contains(name));
        let help = if COLD.contains(&key) {
            format!("name the test temperature, in quotes: `\"{key}@-35\"`")
        } else if let Some((name, at)) = warm.filter(|(_, at)| at.parse::<f64>().is_ok()) {
            format!("it is tested below 0 °C: did you mean `\"{name}@-{at}\"`?")
        } else if let Some((_, own)) = OTHERWISE.iter().find(|(other, _)| *other == key) {
            format!("it is `{own}` here")
        } else if let Some(near) = nearest(key, known) {
            format!("did you mean `{near}`?")
        } else if key.contains('@') {
            "cold viscosities are `\"ccs@-35\"`, `\"mrv@-40\"`, `\"brookfield@-40\"`".into()
        } else if key.contains('/') {
            "a ratio names two elements: `\"mo/p\"`".into()
        } else {
            format!("declare it: `[property.{written}]` with `unit` and `rule = \"mass-linear\"`")
        };
        Fault::at(
            Code::UnknownProperty,
            format!("the tool knows no property `{written}`"),
            place.clone(),
            "",
        )
        .help(help)
    }

    fn unit(&self, property: &Property) -> String {
        let declared = match property {
            Property::User(name) => self.properties.iter().find(|p| p.name == *name),
            _ => None,
        };
        property
            .unit(self.currency, declared.map(|p| &p.unit))
            .to_string()
    }
}

/// The limits of the `[limits]` table.
pub(super) fn limits(root: &Table<'_>, known: &Known<'_>, faults: &mut Vec<Fault>) -> Vec<Limit> {
    let Some(table) = root.table("limits", faults) else {
        return Vec::new();
    };
    let mut limits: Vec<Limit> = Vec::new();
    for item in &table.items {
        let Some(property) = known.property(item.key, &item.key_place, faults) else {
            continue;
        };
        if let Some(first) = limits.iter().find(|limit| limit.property == property) {
            faults.push(
                Fault::at(
                    Code::DuplicateName,
                    format!("`{property}` is limited twice"),
                    item.key_place.clone(),
                    "again",
                )
                .and(first.place.clone(), "first")
                .help("write both bounds in one table: `{ min = …, max = … }`"),
            );
            continue;
        }
        limits.extend(bounds(item, &property, known, faults));
    }
    limits
}

/// A number of a bound, and where it stands.
struct Bound {
    amount: Amount,
    place: Place,
}

fn bounds(
    item: &Item<'_>,
    property: &Property,
    known: &Known<'_>,
    faults: &mut Vec<Fault>,
) -> Vec<Limit> {
    let what = format!("the limit on `{property}`");
    let Some(table) = limit_table(item, property, &what, faults) else {
        return Vec::new();
    };
    only(&table, &what, &["min", "max", "exactly", "note"], faults);
    let range = Range::of_property(property);
    let mut bound = |key: &str| {
        let node = table.get(key)?;
        let amount = amount(node, &format!("`{key}` of {what}"), &range, faults)?;
        Some(Bound {
            amount,
            place: node.place(),
        })
    };
    let (min, max, exactly) = (bound("min"), bound("max"), bound("exactly"));
    if let (Some(exact), Some(other)) = (&exactly, min.as_ref().or(max.as_ref())) {
        faults.push(
            Fault::at(
                Code::KeysTogether,
                format!("{what} says `exactly` and a bound beside it"),
                exact.place.clone(),
                "exactly this",
            )
            .and(other.place.clone(), "and this bound")
            .help("keep `exactly`, or `min` and `max`"),
        );
    }
    let states = ["min", "max", "exactly"]
        .iter()
        .any(|key| table.get(key).is_some());
    if !states {
        faults.push(
            Fault::at(
                Code::MissingKey,
                format!("{what} states no bound"),
                item.key_place.clone(),
                "",
            )
            .help("write `{ min = … }`, `{ max = … }`, both, or `{ exactly = … }`"),
        );
    }
    judged(property, min.as_ref(), max.as_ref(), known, faults);
    let (low, high) = match exactly {
        Some(exact) => (Some(exact.copy()), Some(exact)),
        None => (min, max),
    };
    [(Side::Min, low), (Side::Max, high)]
        .into_iter()
        .filter_map(|(side, bound)| {
            let bound = bound?;
            Some(Limit {
                property: property.clone(),
                side,
                bound: bound.amount.value,
                stated: bound.amount.value,
                strict: false,
                source: LimitSource::Problem,
                place: bound.place,
            })
        })
        .collect()
}

impl Bound {
    fn copy(&self) -> Bound {
        Bound {
            amount: self.amount,
            place: self.place.clone(),
        }
    }
}

fn limit_table<'t>(
    item: &Item<'t>,
    property: &Property,
    what: &str,
    faults: &mut Vec<Fault>,
) -> Option<Table<'t>> {
    let written = match (item.node.as_number(), item.node.as_text()) {
        (Some(number), _) => number.to_string(),
        (None, Some(text)) if text.trim().parse::<f64>().is_ok() => short(text.trim()),
        (None, Some(text)) => format!("\"{}\"", short(text)),
        (None, None) => return item.node.table(what, faults),
    };
    // The side that this property is usually limited on comes first.
    let (first, second) = match property {
        Property::Vi
        | Property::Hths
        | Property::Kv100Sheared
        | Property::Kv100Krl
        | Property::BaseNumber
        | Property::AnilinePoint
        | Property::Flash
        | Property::Ratio(..) => ("min", "max"),
        _ => ("max", "min"),
    };
    let key = if item.key.contains(['@', '/', ':']) {
        format!("\"{}\"", short(item.key))
    } else {
        short(item.key)
    };
    faults.push(
        item.node
            .wrong_type(what, "a table that says which way")
            .help(format!(
                "write `{key} = {{ {first} = {written} }}`, `{{ {second} = {written} }}` or `{{ exactly = {written} }}`"
            )),
    );
    None
}

/// Bounds that cross, and element bounds that were meant as percentages.
fn judged(
    property: &Property,
    min: Option<&Bound>,
    max: Option<&Bound>,
    known: &Known<'_>,
    faults: &mut Vec<Fault>,
) {
    if let (Some(min), Some(max)) = (min, max)
        && min.amount.value > max.amount.value
    {
        faults.push(empty(property, min, max, known));
        return;
    }
    let Property::Element(element) = property else {
        return;
    };
    for (key, bound) in [("min", min), ("max", max)] {
        if let Some(bound) = bound
            && percent_like(&bound.amount)
        {
            faults.push(
                Fault::at(
                    Code::OutOfRange,
                    format!(
                        "{} ppm of {} is below what an analysis reports",
                        bound.amount.value,
                        element.name()
                    ),
                    bound.place.clone(),
                    "read as ppm (mg/kg)",
                )
                .help(percent_help(key, bound.amount.value)),
            );
        }
    }
}

fn percent_like(amount: &Amount) -> bool {
    !amount.with_unit && amount.value > 0.0 && amount.value < 1.0
}

fn empty(property: &Property, min: &Bound, max: &Bound, known: &Known<'_>) -> Fault {
    let unit = known.unit(property);
    let gap = if unit.is_empty() { "" } else { " " };
    let band = match property {
        Property::Element(element) => element.name().to_owned(),
        other => format!("`{other}`"),
    };
    let (low, high) = (min.amount.value, max.amount.value);
    let in_ppm = matches!(property, Property::Element(_)) && percent_like(&max.amount);
    let label = if in_ppm {
        "read as ppm (mg/kg)"
    } else {
        "the maximum"
    };
    let fault = Fault::at(
        Code::EmptyBand,
        format!("the {band} band is empty: {low}{gap}{unit} is above {high}{gap}{unit}"),
        max.place.clone(),
        label,
    )
    .and(min.place.clone(), "the minimum");
    let ppm = (high * PPM_PER_PERCENT * 1e6).round() / 1e6;
    fault.help(if in_ppm && ppm >= low {
        format!("if you meant mass percent, write `max = \"{high} %\"` ({ppm} ppm)")
    } else {
        format!("if the two are swapped, write `{{ min = {high}, max = {low} }}`")
    })
}

/// A goal that begins with this names a recipe file: change as little of it as possible.
pub(super) const CHANGE_FROM: &str = "change-from:";

/// The goal: `minimise`, `maximise`, or the least cost where the problem says neither.
pub(super) fn goal(root: &Table<'_>, known: &Known<'_>, faults: &mut Vec<Fault>) -> Option<Goal> {
    let read = |key: &str, faults: &mut Vec<Fault>| -> Option<(Property, Node<'_>)> {
        let node = root.get(key)?;
        let text = node.text(&format!("`{key}`"), faults)?;
        if key == "minimise" && text.starts_with(CHANGE_FROM) {
            return Some((Property::Change, node));
        }
        Some((known.property(text, &node.place(), faults)?, node))
    };
    let (low, high) = (root.item("minimise"), root.item("maximise"));
    if let (Some(low), Some(high)) = (low, high) {
        faults.push(
            Fault::at(
                Code::KeysTogether,
                "a problem has one goal, and this one says `minimise` and `maximise`",
                high.key_place.clone(),
                "the second goal",
            )
            .and(low.key_place.clone(), "the first")
            .help("keep one; put a limit on the other"),
        );
        return None;
    }
    let (sense, key) = if high.is_some() {
        (Sense::Maximise, "maximise")
    } else {
        (Sense::Minimise, "minimise")
    };
    let (property, place) = if low.or(high).is_some() {
        let (property, node) = read(key, faults)?;
        (property, node.place())
    } else {
        let start = root.place.file;
        (
            Property::Cost,
            Place {
                file: start,
                span: 0..0,
            },
        )
    };
    Some(Goal {
        sense,
        property,
        place,
    })
}

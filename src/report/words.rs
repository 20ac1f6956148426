//! Trade words for what is limited and for who limits it.

use crate::declare::component::EdgeSource;
use crate::declare::problem::LimitSource;
use crate::declare::problem::Side;
use crate::declare::property::Property;
use crate::predict::value::Source;
use crate::quantity::Unit;

/// A property as a formulator calls it.
#[must_use]
pub fn property(property: &Property) -> String {
    match property {
        Property::Kv40 => "KV40".into(),
        Property::Kv100 => "KV100".into(),
        Property::Vi => "viscosity index".into(),
        Property::Density => "density at 15 °C".into(),
        Property::Hths => "HTHS at 150 °C".into(),
        Property::Kv100Sheared => "KV100 after shear".into(),
        Property::Kv100Krl => "KV100 after KRL 20 h".into(),
        Property::Ccs(t) => format!("CCS at {t} °C"),
        Property::Mrv(t) => format!("MRV at {t} °C"),
        Property::Brookfield(t) => format!("Brookfield at {t} °C"),
        Property::Noack => "Noack loss".into(),
        Property::Element(e) => e.name().into(),
        Property::Ratio(a, b) => format!("{a}:{b} by mass"),
        Property::Ash => "sulfated ash".into(),
        Property::BaseNumber => "base number".into(),
        Property::AcidNumber => "acid number".into(),
        Property::PolarShare => "polar base stocks".into(),
        Property::AnilinePoint => "aniline point".into(),
        Property::IrBaseline => "IR baseline".into(),
        Property::Flash => "flash point".into(),
        Property::Cost => "cost".into(),
        Property::CostPerLitre => "cost per litre".into(),
        Property::Change => "change from the known recipe".into(),
        Property::Treat(id) => format!("treat of {id}"),
        Property::Group(name) | Property::User(name) => name.clone(),
    }
}

/// A property with its unit, as a table's row is headed.
#[must_use]
pub fn property_in(named: &Property, unit: &Unit) -> String {
    let words = property(named);
    match money(unit).as_str() {
        "" => words,
        unit => format!("{words}, {unit}"),
    }
}

/// A number's text followed by its unit, where it has one.
#[must_use]
pub fn with_unit(number: &str, unit: &Unit) -> String {
    match money(unit).as_str() {
        "" => number.into(),
        unit => format!("{number} {unit}"),
    }
}

/// A unit as printed; a cost of a shelf that states no currency reads `per kg`.
#[must_use]
pub fn money(unit: &Unit) -> String {
    match unit.as_str().strip_prefix('/') {
        Some(per) => format!("per {per}"),
        None => unit.as_str().into(),
    }
}

/// Who set a requirement.
#[must_use]
pub fn source(source: &Source) -> String {
    match source {
        Source::Limit(limit) => limit_source(limit),
        Source::Band(edge) => edge_source(*edge).into(),
        Source::IfUsed(edge) => format!("{}, if used", edge_source(*edge)),
    }
}

/// Who set a limit.
#[must_use]
pub fn limit_source(source: &LimitSource) -> String {
    match source {
        LimitSource::Problem => "problem".into(),
        LimitSource::Grade(grade) => grade.clone(),
        LimitSource::Class(class, sure) if sure.is_empty() => class.clone(),
        LimitSource::Class(class, sure) => format!("{class} ({sure})"),
        LimitSource::Asked => "asked".into(),
    }
}

/// Who set the edge of a treat band.
#[must_use]
pub fn edge_source(source: EdgeSource) -> &'static str {
    match source {
        EdgeSource::Natural => "0 to 100 %",
        EdgeSource::Shelf => "shelf band",
        EdgeSource::Problem => "problem",
        EdgeSource::Stock => "stock",
    }
}

/// The sign before a bound.
#[must_use]
pub fn sign(side: Side, strict: bool) -> &'static str {
    match (side, strict) {
        (Side::Min, false) => ">=",
        (Side::Min, true) => ">",
        (Side::Max, false) => "<=",
        (Side::Max, true) => "<",
    }
}

/// The same in words.
#[must_use]
pub fn must_be(side: Side, strict: bool) -> &'static str {
    match (side, strict) {
        (Side::Min, false) => "at least",
        (Side::Min, true) => "above",
        (Side::Max, false) => "at most",
        (Side::Max, true) => "below",
    }
}

/// `a`, `a and b`, `a, b and c`.
#[must_use]
pub fn list(items: &[String]) -> String {
    match items {
        [] => String::new(),
        [one] => one.clone(),
        [first @ .., last] => format!("{} and {last}", first.join(", ")),
    }
}

/// A phrase as a sentence: a capital at its head and a full stop at its end.
#[must_use]
pub fn sentence(phrase: &str) -> String {
    let mut letters = phrase.trim().chars();
    let Some(first) = letters.next() else {
        return String::new();
    };
    let stop = if phrase.trim_end().ends_with(['.', '?', '!']) {
        ""
    } else {
        "."
    };
    format!("{}{}{stop}", first.to_uppercase(), letters.as_str())
}

#[cfg(test)]
mod tests {
    use super::{list, sentence};

    #[test]
    fn phrases_become_sentences() {
        assert_eq!(sentence("nothing was found"), "Nothing was found.");
        assert_eq!(sentence(""), "");
        assert_eq!(list(&["a".into(), "b".into(), "c".into()]), "a, b and c");
    }
}

//! What a missing component would have to be, in sentences.

use crate::declare::problem::Problem;
use crate::declare::property::Datum;
use crate::declare::property::Property;
use crate::explain::wanted::Figured;
use crate::explain::wanted::Wanted;
use crate::report::number;
use crate::report::table;
use crate::report::text::conflict;
use crate::report::words;

/// The components that would do; empty where none is known.
#[must_use]
pub fn section(problem: &Problem, all: &[Wanted]) -> String {
    if all.is_empty() {
        return String::new();
    }
    let items: String = all
        .iter()
        .map(|w| table::item(&sentence(problem, w)))
        .collect();
    format!("Or one component more on the shelf\n{items}")
}

fn sentence(problem: &Problem, wanted: &Wanted) -> String {
    let template = &problem.components[wanted.like];
    let figures: Vec<String> = wanted.figures.iter().map(figure).collect();
    let goal = &problem.goal.property;
    let value = wanted.answer.objective.map_or(String::new(), |v| {
        let value = words::with_unit(&number::value(goal, v), &problem.unit(goal));
        format!(": {} {value} at its price", words::property(goal))
    });
    format!(
        "one like {} but with {} would do, at {} % of the oil{value}.",
        conflict::named(problem, &template.id),
        words::list(&figures),
        number::fixed(wanted.treat.percent(), number::TREAT_SUM),
    )
}

fn figure(figured: &Figured) -> String {
    let (name, property) = named(&figured.datum);
    let own = property.as_ref().map_or_else(
        || number::as_written(figured.own),
        |p| number::value(p, figured.own),
    );
    format!(
        "{name} of {} {} ({own} now)",
        words::must_be(figured.side, false),
        words::with_unit(&number::as_written(figured.value), &figured.unit)
    )
}

/// A figure's name as a formulator says it, and the property that it is in an oil.
fn named(datum: &Datum) -> (String, Option<Property>) {
    let property = match datum {
        Datum::Kv40 => Property::Kv40,
        Datum::Kv100 => Property::Kv100,
        Datum::Ccs(t) => Property::Ccs(*t),
        Datum::Mrv(t) => Property::Mrv(*t),
        Datum::Noack => Property::Noack,
        Datum::Element(e) => Property::Element(*e),
        Datum::Ash => Property::Ash,
        Datum::BaseNumber => Property::BaseNumber,
        Datum::AcidNumber => Property::AcidNumber,
        Datum::AnilinePoint => Property::AnilinePoint,
        Datum::IrBaseline => Property::IrBaseline,
        Datum::Flash => Property::Flash,
        Datum::Density => Property::Density,
        Datum::User(name) => Property::User(name.clone()),
        Datum::Price | Datum::Stock => return (datum.key(), None),
    };
    (words::property(&property), Some(property))
}

//! What was predicted although nothing limits it.

use crate::declare::property::Property;
use crate::predict::value::Judgement;
use crate::predict::value::Predicted;
use crate::report::number;
use crate::report::table::Align;
use crate::report::table::Table;
use crate::report::text::limits;
use crate::report::words;
use crate::standard::element::Element;

/// Relative difference below which shear has taken nothing.
const UNSHEARED: f64 = 1e-9;

/// The properties that the table of limits does not show; empty where there is none.
#[must_use]
pub fn section(judgement: &Judgement) -> String {
    let mut rows: Vec<[String; 3]> = judgement
        .properties
        .iter()
        .filter(|p| worth_telling(judgement, p))
        .map(|p| {
            [
                words::property_in(&p.property, &p.unit),
                number::value(&p.property, p.value),
                limits::spread(p),
            ]
        })
        .collect();
    rows.extend(parity(judgement));
    if rows.is_empty() {
        return String::new();
    }
    let mut table = Table::new(&[
        ("property", Align::Left),
        ("value", Align::Right),
        ("±", Align::Right),
    ]);
    for row in rows {
        table.row(row.into());
    }
    format!("Also predicted\n{}", table.render())
}

/// Not what is shown already, and not the elements that are not there.
fn worth_telling(judgement: &Judgement, predicted: &Predicted) -> bool {
    let limited = judgement
        .requirements
        .iter()
        .any(|r| r.property == predicted.property && limits::shown(r));
    let in_recipe_table = predicted.property == Property::Cost;
    let absent = match predicted.property {
        Property::Element(_) | Property::PolarShare => predicted.value <= 0.0,
        Property::Ratio(a, b) => !present(judgement, a) || !present(judgement, b),
        // An oil without polymer loses nothing to shear.
        Property::Kv100Sheared => judgement
            .of(&Property::Kv100)
            .is_some_and(|fresh| (fresh.value - predicted.value).abs() < UNSHEARED * fresh.value),
        _ => false,
    };
    !limited && !in_recipe_table && !absent
}

/// Molybdenum to phosphorus, by mass and by mole, where the recipe holds both: parity by mass is
/// about a third by mole.
fn parity(judgement: &Judgement) -> Vec<[String; 3]> {
    let (mo, p) = (Element::Mo, Element::P);
    let ratio = Property::Ratio(mo, p);
    let ppm = |e| judgement.of(&Property::Element(e)).map(|x| x.value);
    let (Some(a), Some(b)) = (ppm(mo), ppm(p)) else {
        return Vec::new();
    };
    if a <= 0.0 || b <= 0.0 {
        return Vec::new();
    }
    let by_mass = a / b;
    let by_mole = by_mass * p.atomic_weight() / mo.atomic_weight();
    let mass = [
        words::property(&ratio),
        number::value(&ratio, by_mass),
        String::new(),
    ];
    let mole = [
        format!("{mo}:{p} by mole"),
        number::value(&ratio, by_mole),
        String::new(),
    ];
    let listed = judgement.of(&ratio).is_some();
    if listed { vec![mole] } else { vec![mass, mole] }
}

fn present(judgement: &Judgement, element: Element) -> bool {
    judgement
        .of(&Property::Element(element))
        .is_some_and(|p| p.value > 0.0)
}

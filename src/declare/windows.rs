//! Published grades and classes as limits of a problem.

use crate::declare::problem::{Limit, LimitSource, Side};
use crate::declare::property::Property;
use crate::fault::Place;
use crate::quantity::PPM_PER_PERCENT;
use crate::standard::classes;
use crate::standard::element::Element;
use crate::standard::grade;
use crate::standard::grade::Grade;

/// Decimals that a high-shear test reports (ASTM D4683; from memory).
const HTHS_DECIMALS: i32 = 2;

/// The limits that a viscosity grade sets; `None` where no standard knows the grade.
#[must_use]
pub fn limits_of_grade(text: &str, place: &Place) -> Option<Vec<Limit>> {
    let grade = Grade::parse(text)?;
    let label = grade.to_string();
    // `SAE 5W-50` is labelled `SAE J300 5W-50`; the ISO label already names its standard.
    let name = label.strip_prefix("SAE ").map_or_else(
        || label.clone(),
        |short| format!("{} {short}", grade.standard()),
    );
    let mut limits = Vec::new();
    for window in grade.windows() {
        let property = match window.quantity {
            grade::Quantity::Kv40 => Property::Kv40,
            grade::Quantity::Kv100 => Property::Kv100,
            grade::Quantity::Hths => Property::Hths,
            grade::Quantity::Ccs(t) => Property::Ccs(t),
            grade::Quantity::Mrv(t) => Property::Mrv(t),
            grade::Quantity::Brookfield(t) => Property::Brookfield(t),
            grade::Quantity::Kv100Krl => Property::Kv100Krl,
        };
        let sides = Sides {
            min: window.min,
            max: window.max,
            below: window.strict.then_some(grade::KV_DECIMALS),
        };
        let source = LimitSource::Grade(name.clone());
        sides.push(&property, &source, place, &mut limits);
    }
    Some(limits)
}

/// The limits that a published class sets for a grade; `None` where the tool knows no such class.
///
/// Where the problem states no grade, a maximum that depends on the grade is the strictest.
#[must_use]
pub fn limits_of_class(text: &str, grade: Option<&str>, place: &Place) -> Option<Vec<Limit>> {
    let class = classes::find(text)?;
    let mut limits = Vec::new();
    for limit in class.limits(grade.and_then(Grade::parse)) {
        let (property, factor) = match limit.quantity {
            classes::Quantity::Phosphorus => (Property::Element(Element::P), PPM_PER_PERCENT),
            classes::Quantity::Sulfur => (Property::Element(Element::S), PPM_PER_PERCENT),
            classes::Quantity::Ash => (Property::Ash, 1.0),
            classes::Quantity::Noack => (Property::Noack, 1.0),
            classes::Quantity::BaseNumber => (Property::BaseNumber, 1.0),
            classes::Quantity::Hths => (Property::Hths, 1.0),
        };
        let sides = Sides {
            min: limit.min.map(|v| scaled(v, factor)),
            max: limit.max.map(|v| scaled(v, factor)),
            below: limit.strict.then_some(HTHS_DECIMALS),
        };
        let source = LimitSource::Class(class.name.to_owned(), class.confidence.to_owned());
        sides.push(&property, &source, place, &mut limits);
    }
    Some(limits)
}

/// A published percentage in the property's unit, without the dust of the multiplication.
fn scaled(value: f64, factor: f64) -> f64 {
    (value * factor * 1e6).round() / 1e6
}

/// The bounds of one row.
struct Sides {
    min: Option<f64>,
    max: Option<f64>,
    /// The decimals of the test, where the maximum itself is excluded.
    below: Option<i32>,
}

impl Sides {
    fn push(
        &self,
        property: &Property,
        source: &LimitSource,
        place: &Place,
        limits: &mut Vec<Limit>,
    ) {
        let mut push = |side, stated, bound, strict| {
            limits.push(Limit {
                property: property.clone(),
                side,
                bound,
                stated,
                strict,
                source: source.clone(),
                place: place.clone(),
            });
        };
        if let Some(min) = self.min {
            push(Side::Min, min, min, false);
        }
        if let Some(max) = self.max {
            match self.below {
                Some(decimals) => push(Side::Max, max, grade::obeyed(max, decimals), true),
                None => push(Side::Max, max, max, false),
            }
        }
    }
}

/// Grades that the standards know, for suggestions.
#[must_use]
pub fn known_grades() -> Vec<String> {
    grade::names()
}

/// Names of the classes known, for suggestions.
#[must_use]
pub fn known_classes() -> Vec<String> {
    classes::names().map(str::to_owned).collect()
}

#[cfg(test)]
mod tests {
    use super::{limits_of_class, limits_of_grade};
    use crate::declare::problem::{Limit, LimitSource, Side};
    use crate::fault::Place;

    fn place() -> Place {
        Place {
            file: 0,
            span: 0..0,
        }
    }

    fn bound(limits: &[Limit], key: &str, side: Side) -> Option<f64> {
        let mut found = limits
            .iter()
            .filter(|l| l.property.key() == key && l.side == side);
        found.next().map(|l| l.bound)
    }

    #[test]
    fn a_grade_is_its_standard_s_windows() {
        // SAE J300_202405.
        let limits = limits_of_grade("5W-50", &place()).expect("a grade");
        assert_eq!(bound(&limits, "ccs@-30", Side::Max), Some(6600.0));
        assert_eq!(bound(&limits, "mrv@-35", Side::Max), Some(60_000.0));
        assert_eq!(bound(&limits, "hths", Side::Min), Some(3.7));
        assert_eq!(bound(&limits, "kv100", Side::Min), Some(16.3));
        let below = bound(&limits, "kv100", Side::Max).expect("a maximum");
        assert!((below - 21.89).abs() < 1e-9);
        assert_eq!(
            limits[0].source,
            LimitSource::Grade("SAE J300 5W-50".into())
        );
        assert_eq!(limits_of_grade("5W-35", &place()), None);
    }

    #[test]
    fn a_class_speaks_in_the_property_s_unit() {
        // ILSAC GF-6A, from memory: phosphorus 0.06 to 0.08 %.
        let limits = limits_of_class("ILSAC GF-6A", Some("5W-30"), &place()).expect("a class");
        assert_eq!(bound(&limits, "p", Side::Min), Some(600.0));
        assert_eq!(bound(&limits, "p", Side::Max), Some(800.0));
        assert_eq!(bound(&limits, "noack", Side::Max), Some(15.0));
        assert_eq!(bound(&limits, "s", Side::Max), Some(5000.0));
    }
}

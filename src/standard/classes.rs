//! Published chemical limits of engine-oil classes (ACEA, API, ILSAC).
//!
//! Source: mostly from memory, a few numbers from secondary tables; each class says which. Rules
//! that are not one number (shear stability, engine tests, reports) are kept as notes.
//!
//! Domain: numbers only. See [`NO_CONFORMITY`].
//!
//! Confidence: per class, in the words of [`Class::confidence`].
//!
//! ```
//! use treatrate::standard::classes::{Quantity, find};
//!
//! let class = find("acea c3").expect("a class");
//! let ash = class.limits(None).into_iter().find(|l| l.quantity == Quantity::Ash);
//! assert_eq!(ash.and_then(|l| l.max), Some(0.8));
//! ```

mod rows;

use crate::standard::grade::Grade;
pub use rows::CLASSES;

/// What every answer says beside a class.
pub const NO_CONFORMITY: &str = "meeting a class's published numbers is not conformity: \
     the class is earned in engine tests";

/// What a class limits.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Quantity {
    /// Phosphorus, mass %.
    Phosphorus,
    /// Sulfur, mass %.
    Sulfur,
    /// Sulfated ash, mass %.
    Ash,
    /// Evaporation loss, mass %.
    Noack,
    /// Base number, mg KOH/g.
    BaseNumber,
    /// High-shear viscosity at 150 °C, mPa·s.
    Hths,
}

/// A maximum that may depend on the grade.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Maximum {
    /// None.
    No,
    /// One number for every grade.
    Any(f64),
    /// One number for 0W and 5W, another for 10W; none for heavier winter grades.
    ByWinter {
        /// With 0W and 5W.
        light: f64,
        /// With 10W.
        ten: f64,
    },
    /// One number for the grades named, as `0W-20`; none for the others.
    Only(f64, &'static [&'static str]),
}

impl Maximum {
    /// The maximum for a grade; the strictest where no grade is stated.
    #[must_use]
    pub fn at(self, grade: Option<Grade>) -> Option<f64> {
        match self {
            Maximum::No => None,
            Maximum::Any(max) => Some(max),
            Maximum::ByWinter { light, ten } => match grade.map(|g| g.winter()) {
                None | Some(Some("0W" | "5W")) => Some(light),
                Some(Some("10W")) => Some(ten),
                Some(_) => None,
            },
            Maximum::Only(max, named) => grade
                .is_none_or(|g| named.iter().any(|n| Grade::parse(n) == Some(g)))
                .then_some(max),
        }
    }
}

/// One quantity of a class between two bounds.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ClassLimit {
    /// What is limited.
    pub quantity: Quantity,
    /// At least.
    pub min: Option<f64>,
    /// At most, or strictly below where `strict`.
    pub max: Option<f64>,
    /// Whether the class says "strictly below" of the maximum (from memory).
    pub strict: bool,
}

/// The published numbers of one class; units as in [`Quantity`].
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Class {
    /// As written: `ACEA C3`.
    pub name: &'static str,
    /// Other names for the same numbers.
    pub also: &'static [&'static str],
    /// Edition.
    pub year: u16,
    /// The grades that it covers, in words.
    pub grades: &'static str,
    /// Least phosphorus.
    pub p_min: Option<f64>,
    /// Greatest phosphorus.
    pub p_max: Maximum,
    /// Greatest sulfur.
    pub s_max: Maximum,
    /// Least sulfated ash.
    pub ash_min: Option<f64>,
    /// Greatest sulfated ash.
    pub ash_max: Option<f64>,
    /// Greatest evaporation loss.
    pub noack_max: Option<f64>,
    /// Least base number.
    pub base_number_min: Option<f64>,
    /// Least high-shear viscosity.
    pub hths_min: Option<f64>,
    /// Greatest high-shear viscosity.
    pub hths_max: Option<f64>,
    /// Whether `hths_max` is itself excluded (from memory).
    pub hths_below: bool,
    /// Rules that are not one number; empty where there are none.
    pub other: &'static str,
    /// How sure the numbers are.
    pub confidence: &'static str,
    /// Where the numbers come from.
    pub source: &'static str,
}

impl Class {
    /// Its limits for a grade, in the order of [`Quantity`]; quantities without a number are absent.
    #[must_use]
    pub fn limits(&self, grade: Option<Grade>) -> Vec<ClassLimit> {
        let row = |quantity, min, max| ClassLimit {
            quantity,
            min,
            max,
            strict: quantity == Quantity::Hths && self.hths_below,
        };
        [
            row(Quantity::Phosphorus, self.p_min, self.p_max.at(grade)),
            row(Quantity::Sulfur, None, self.s_max.at(grade)),
            row(Quantity::Ash, self.ash_min, self.ash_max),
            row(Quantity::Noack, None, self.noack_max),
            row(Quantity::BaseNumber, self.base_number_min, None),
            row(Quantity::Hths, self.hths_min, self.hths_max),
        ]
        .into_iter()
        .filter(|limit| limit.min.is_some() || limit.max.is_some())
        .collect()
    }
}

/// The class of a name; case, spaces and punctuation do not matter.
#[must_use]
pub fn find(name: &str) -> Option<&'static Class> {
    let wanted = plain(name);
    const { &CLASSES }
        .iter()
        .find(|c| plain(c.name) == wanted || c.also.iter().any(|a| plain(a) == wanted))
}

/// Every name that [`find`] knows, as written.
pub fn names() -> impl Iterator<Item = &'static str> {
    const { &CLASSES }
        .iter()
        .flat_map(|c| std::iter::once(c.name).chain(c.also.iter().copied()))
}

/// Letters and digits only, upper case.
fn plain(name: &str) -> String {
    name.chars()
        .filter(char::is_ascii_alphanumeric)
        .map(|c| c.to_ascii_uppercase())
        .collect()
}

#[cfg(test)]
mod tests {
    use super::{CLASSES, Maximum, find, names, plain};
    use crate::standard::grade::Grade;
    use std::collections::BTreeSet;

    fn sulfur(class: &str, grade: &str) -> Option<f64> {
        let class = find(class).expect("a class");
        class.s_max.at(Some(Grade::parse(grade).expect("a grade")))
    }

    #[test]
    fn names_are_distinct_and_found() {
        let distinct: BTreeSet<String> = names().map(plain).collect();
        assert_eq!(distinct.len(), names().count());
        assert!(names().all(|name| find(name).is_some()));
        assert_eq!(find("ilsac gf6a").map(|c| c.name), Some("ILSAC GF-6A"));
        assert_eq!(find("ACEA Z9"), None);
    }

    #[test]
    fn sulfur_follows_the_winter_grade() {
        assert_eq!(sulfur("ILSAC GF-6A", "0W-20"), Some(0.5));
        assert_eq!(sulfur("ILSAC GF-6A", "10W-30"), Some(0.6));
        assert_eq!(sulfur("API SM", "10W-30"), Some(0.7));
        assert_eq!(sulfur("ILSAC GF-6A", "15W-40"), None);
        assert_eq!(sulfur("ACEA C4", "15W-40"), Some(0.2));
        assert_eq!(Maximum::No.at(None), None);
    }

    #[test]
    fn phosphorus_maximum_spares_heavier_grades() {
        let class = find("API SP").expect("a class");
        assert_eq!(class.p_max.at(Grade::parse("5W-30")), Some(0.08));
        assert_eq!(class.p_max.at(Grade::parse("5W-40")), None);
        assert_eq!(class.p_max.at(None), Some(0.08));
    }

    #[test]
    fn every_band_is_open_and_every_number_says_where_from() {
        for class in CLASSES {
            assert!(!class.source.is_empty() && !class.confidence.is_empty());
            for limit in class.limits(None) {
                if let (Some(min), Some(max)) = (limit.min, limit.max) {
                    assert!(min < max, "{} {:?}", class.name, limit.quantity);
                }
            }
        }
    }
}

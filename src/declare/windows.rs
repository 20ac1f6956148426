//! Published grades and classes as limits of a problem.

use crate::declare::problem::Limit;
use crate::fault::Place;

/// The limits that a viscosity grade sets; `None` where no standard knows the grade.
#[must_use]
pub fn limits_of_grade(grade: &str, place: &Place) -> Option<Vec<Limit>> {
    let _ = (grade, place);
    None
}

/// The limits that a published class sets; `None` where the tool knows no such class.
#[must_use]
pub fn limits_of_class(class: &str, place: &Place) -> Option<Vec<Limit>> {
    let _ = (class, place);
    None
}

/// Words that name a grade or a class, for suggestions.
#[must_use]
pub fn known_grades() -> Vec<String> {
    Vec::new()
}

/// Names of the classes known, for suggestions.
#[must_use]
pub fn known_classes() -> Vec<String> {
    Vec::new()
}

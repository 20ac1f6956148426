//! Which figures a component may leave out.

use crate::declare::component::Component;
use crate::declare::property::Datum;

/// Whether leaving a figure out plainly means none of it.
#[must_use]
pub fn omitted_is_zero(_component: &Component, datum: &Datum) -> bool {
    matches!(datum, Datum::Element(_))
}

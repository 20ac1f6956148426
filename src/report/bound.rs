//! A bound in words: the one place that says how a limit is written, beside numbers with a sign and in
//! sentences with a word, *below* where its standard says so.

use crate::declare::problem::Limit;
use crate::declare::problem::Problem;
use crate::declare::problem::Side;
use crate::declare::property::Property;
use crate::predict::value::Judged;
use crate::quantity::Unit;
use crate::report::number;
use crate::report::words;

/// A number that a property is held to.
#[derive(Debug, Clone)]
pub struct Bound<'a> {
    property: &'a Property,
    side: Side,
    strict: bool,
    stated: f64,
    unit: Unit,
}

impl<'a> Bound<'a> {
    /// A bound; `stated` as its file or standard prints it, in `unit`.
    #[must_use]
    pub fn new(property: &'a Property, side: Side, strict: bool, stated: f64, unit: Unit) -> Self {
        Bound {
            property,
            side,
            strict,
            stated,
            unit,
        }
    }

    /// Of a problem's limit.
    #[must_use]
    pub fn limit(problem: &Problem, limit: &'a Limit) -> Self {
        let unit = problem.unit(&limit.property);
        Bound::new(
            &limit.property,
            limit.side,
            limit.strict,
            limit.stated,
            unit,
        )
    }

    /// Of a requirement that a recipe was judged by.
    #[must_use]
    pub fn judged(r: &'a Judged) -> Self {
        Bound::new(&r.property, r.side, r.strict, r.stated, r.unit.clone())
    }

    /// `16.3 mm²/s`.
    #[must_use]
    pub fn number(&self) -> String {
        words::with_unit(&number::bound(self.property, self.stated), &self.unit)
    }

    /// `KV100 < 16.3 mm²/s`: in tables and lists.
    #[must_use]
    pub fn signed(&self) -> String {
        let sign = words::sign(self.side, self.strict);
        format!(
            "{} {sign} {}",
            words::property(self.property),
            self.number()
        )
    }

    /// `KV100 below 16.3 mm²/s`: in sentences and on pictures.
    #[must_use]
    pub fn worded(&self) -> String {
        format!("{} {}", words::property(self.property), self.alone())
    }

    /// `below 16.3 mm²/s`.
    #[must_use]
    pub fn alone(&self) -> String {
        let way = words::must_be(self.side, self.strict);
        format!("{way} {}", self.number())
    }

    /// `KV100 must be below 16.3 mm²/s`.
    #[must_use]
    pub fn demanded(&self) -> String {
        format!(
            "{} must be {}",
            words::property(self.property),
            self.alone()
        )
    }
}

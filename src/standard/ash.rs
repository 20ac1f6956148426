//! Sulfated ash from the metals (ASTM D874).
//!
//! Each metal leaves a known mass of sulfate, so the ash is a weighted sum of the metals.
//!
//! ```text
//! ash = Σ metal × factor        factor = M(sulfate per metal atom) / M(metal)
//! ```
//!
//! | symbol | argument | unit |
//! |---|---|---|
//! | metal | – | mass % |
//! | ash | – | mass % |
//!
//! Source: sulfate masses over atomic weights (IUPAC weights). Zinc is dealt with apart, because it
//! may leave as oxide or as sulfate, and the trade's table uses a value in between.
//!
//! Domain: the standard warns that measured and calculated ash differ when phosphorus is present; a
//! measured ash wins. Molybdenum and boron are left out, as in the common tables.
//!
//! Confidence: high for the sulfates; [`ZINC_TRADE`] is common practice, no source.
//!
//! ```
//! use treatrate::standard::ash::{ZINC_TRADE, factor};
//! use treatrate::standard::element::Element;
//!
//! let calcium = factor(Element::Ca).expect("calcium leaves ash");
//! assert!((0.22 * calcium + 0.095 * ZINC_TRADE - 0.8898).abs() < 1e-3);
//! ```

use crate::standard::element::Element;

/// Zinc left as oxide, `ZnO`.
pub const ZINC_AS_OXIDE: f64 = 1.245;

/// Zinc left as sulfate, `ZnSO4`.
pub const ZINC_AS_SULFATE: f64 = 2.469;

/// Zinc by the trade's table (common practice, no source).
pub const ZINC_TRADE: f64 = 1.50;

/// Mass of sulfated ash per mass of a metal; `None` for zinc (see the constants) and for elements
/// that leave none.
#[must_use]
pub fn factor(element: Element) -> Option<f64> {
    match element {
        Element::Ba => Some(1.700),
        Element::Ca => Some(3.397),
        Element::K => Some(2.229),
        Element::Li => Some(7.920),
        Element::Mg => Some(4.952),
        Element::Na => Some(3.089),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::{ZINC_AS_OXIDE, ZINC_AS_SULFATE, factor};
    use crate::standard::element::Element;

    /// Atomic weight of oxygen, g/mol (IUPAC, abridged).
    const OXYGEN: f64 = 15.999;

    /// Factors are given to three decimals; barium and potassium are rounded up (1.6995, 2.2284).
    const ROUNDING: f64 = 7e-4;

    #[test]
    fn factors_are_the_sulfates_over_the_metals() {
        let sulfate = Element::S.atomic_weight() + 4.0 * OXYGEN;
        for (metal, valence) in [
            (Element::Ba, 2.0),
            (Element::Ca, 2.0),
            (Element::Mg, 2.0),
            (Element::K, 1.0),
            (Element::Li, 1.0),
            (Element::Na, 1.0),
        ] {
            let weight = metal.atomic_weight();
            let exact = (weight + sulfate * valence / 2.0) / weight;
            let printed = factor(metal).expect("a metal that leaves ash");
            assert!((printed - exact).abs() < ROUNDING, "{metal}: {exact}");
        }
        let zinc = Element::Zn.atomic_weight();
        assert!((ZINC_AS_OXIDE - (zinc + OXYGEN) / zinc).abs() < ROUNDING);
        assert!((ZINC_AS_SULFATE - (zinc + sulfate) / zinc).abs() < ROUNDING);
        assert_eq!(factor(Element::Zn), None);
        assert_eq!(factor(Element::P), None);
    }
}

//! The elements that an oil analysis reports (ASTM D4951, ASTM D5185) and their sulfated-ash factors.

use std::fmt;

/// An element of an oil analysis, reported in ppm (mg/kg).
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Element {
    /// Barium.
    Ba,
    /// Boron.
    B,
    /// Calcium.
    Ca,
    /// Potassium.
    K,
    /// Lithium.
    Li,
    /// Magnesium.
    Mg,
    /// Molybdenum.
    Mo,
    /// Nitrogen.
    N,
    /// Sodium.
    Na,
    /// Phosphorus.
    P,
    /// Sulfur.
    S,
    /// Silicon.
    Si,
    /// Zinc.
    Zn,
}

impl Element {
    /// Every element, in the order in which reports list them.
    pub const ALL: [Element; 13] = [
        Element::Zn,
        Element::P,
        Element::Mo,
        Element::Ca,
        Element::Mg,
        Element::B,
        Element::S,
        Element::N,
        Element::Na,
        Element::K,
        Element::Li,
        Element::Ba,
        Element::Si,
    ];

    /// The key in files, lower case.
    #[must_use]
    pub fn key(self) -> &'static str {
        match self {
            Element::Ba => "ba",
            Element::B => "b",
            Element::Ca => "ca",
            Element::K => "k",
            Element::Li => "li",
            Element::Mg => "mg",
            Element::Mo => "mo",
            Element::N => "n",
            Element::Na => "na",
            Element::P => "p",
            Element::S => "s",
            Element::Si => "si",
            Element::Zn => "zn",
        }
    }

    /// The chemical symbol.
    #[must_use]
    pub fn symbol(self) -> &'static str {
        match self {
            Element::Ba => "Ba",
            Element::B => "B",
            Element::Ca => "Ca",
            Element::K => "K",
            Element::Li => "Li",
            Element::Mg => "Mg",
            Element::Mo => "Mo",
            Element::N => "N",
            Element::Na => "Na",
            Element::P => "P",
            Element::S => "S",
            Element::Si => "Si",
            Element::Zn => "Zn",
        }
    }

    /// The name in words, lower case.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Element::Ba => "barium",
            Element::B => "boron",
            Element::Ca => "calcium",
            Element::K => "potassium",
            Element::Li => "lithium",
            Element::Mg => "magnesium",
            Element::Mo => "molybdenum",
            Element::N => "nitrogen",
            Element::Na => "sodium",
            Element::P => "phosphorus",
            Element::S => "sulfur",
            Element::Si => "silicon",
            Element::Zn => "zinc",
        }
    }

    /// The element of a key such as `zn`.
    #[must_use]
    pub fn of_key(key: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|e| e.key() == key)
    }

    /// Atomic weight, g/mol (IUPAC standard atomic weights, abridged; from memory).
    #[must_use]
    pub fn atomic_weight(self) -> f64 {
        match self {
            Element::Ba => 137.327,
            Element::B => 10.81,
            Element::Ca => 40.078,
            Element::K => 39.0983,
            Element::Li => 6.94,
            Element::Mg => 24.305,
            Element::Mo => 95.95,
            Element::N => 14.007,
            Element::Na => 22.990,
            Element::P => 30.974,
            Element::S => 32.06,
            Element::Si => 28.085,
            Element::Zn => 65.38,
        }
    }
}

impl fmt::Display for Element {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.symbol())
    }
}

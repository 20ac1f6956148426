//! What can be limited, minimised or predicted, and the figures a component may carry.

use crate::quantity::{Celsius, Unit};
use crate::standard::element::Element;
use std::fmt;

/// A property of the finished oil.
///
/// [`Property::key`] is its one name: in problem files, recipes, answers and JSON.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Property {
    /// Kinematic viscosity at 40 °C, mm²/s.
    Kv40,
    /// Kinematic viscosity at 100 °C, mm²/s.
    Kv100,
    /// Viscosity index.
    Vi,
    /// Density at 15 °C, kg/L.
    Density,
    /// High-temperature high-shear viscosity at 150 °C and 1e6 1/s, mPa·s.
    Hths,
    /// Kinematic viscosity at 100 °C after the diesel-injector shear test, mm²/s.
    Kv100Sheared,
    /// Kinematic viscosity at 100 °C after 20 h in the tapered-roller-bearing shear test, mm²/s.
    Kv100Krl,
    /// Cold-cranking viscosity at a test temperature, mPa·s.
    Ccs(Celsius),
    /// Cold-pumping viscosity at a test temperature, mPa·s (screening only).
    Mrv(Celsius),
    /// Low-temperature rotational viscosity of gear oils, mPa·s: never modelled, always to be tested.
    Brookfield(Celsius),
    /// Evaporation loss, mass %.
    Noack,
    /// An element, ppm.
    Element(Element),
    /// One element over another, by mass.
    Ratio(Element, Element),
    /// Sulfated ash, mass %.
    Ash,
    /// Base number, mg KOH/g.
    BaseNumber,
    /// Acid number, mg KOH/g.
    AcidNumber,
    /// Sum of the treat rates of polar base stocks, mass %.
    PolarShare,
    /// Aniline point, °C: a lower one dissolves additives better.
    AnilinePoint,
    /// Infrared absorbance of the fresh oil in the oxidation band, A/cm.
    IrBaseline,
    /// Flash point (open cup), °C.
    Flash,
    /// Cost per kg.
    Cost,
    /// Cost per litre at 15 °C.
    CostPerLitre,
    /// How much of the oil differs from the problem's known recipe, mass %: half the sum of the treat
    /// rates' changes.
    Change,
    /// The treat rate of one component, mass %.
    Treat(String),
    /// A sum of treat rates that the problem names, mass %.
    Group(String),
    /// A property that the problem declares with its own mixing rule.
    User(String),
}

impl Property {
    /// The one name of this property in files and answers.
    #[must_use]
    pub fn key(&self) -> String {
        match self {
            Property::Kv40 => "kv40".into(),
            Property::Kv100 => "kv100".into(),
            Property::Vi => "vi".into(),
            Property::Density => "density".into(),
            Property::Hths => "hths".into(),
            Property::Kv100Sheared => "kv100-sheared".into(),
            Property::Kv100Krl => "kv100-krl".into(),
            Property::Ccs(t) => format!("ccs@{t}"),
            Property::Mrv(t) => format!("mrv@{t}"),
            Property::Brookfield(t) => format!("brookfield@{t}"),
            Property::Noack => "noack".into(),
            Property::Element(e) => e.key().into(),
            Property::Ratio(a, b) => format!("{}/{}", a.key(), b.key()),
            Property::Ash => "ash".into(),
            Property::BaseNumber => "base-number".into(),
            Property::AcidNumber => "acid-number".into(),
            Property::PolarShare => "polar-share".into(),
            Property::AnilinePoint => "aniline-point".into(),
            Property::IrBaseline => "ir-baseline".into(),
            Property::Flash => "flash".into(),
            Property::Cost => "cost".into(),
            Property::CostPerLitre => "cost-per-litre".into(),
            Property::Change => "change".into(),
            Property::Treat(id) => format!("treat:{id}"),
            Property::Group(name) | Property::User(name) => name.clone(),
        }
    }

    /// The property that a key names, for keys that need no declaration by the problem.
    ///
    /// Groups and user-declared properties are resolved by the problem that declares them.
    #[must_use]
    pub fn of_key(key: &str) -> Option<Self> {
        if let Some(id) = key.strip_prefix("treat:") {
            return (!id.is_empty()).then(|| Property::Treat(id.into()));
        }
        if let Some((name, at)) = key.split_once('@') {
            // No method tests it where it is warm.
            let t = Celsius::from_degrees(at.parse().ok()?).filter(|t| t.degrees() < 0.0)?;
            return match name {
                "ccs" => Some(Property::Ccs(t)),
                "mrv" => Some(Property::Mrv(t)),
                "brookfield" => Some(Property::Brookfield(t)),
                _ => None,
            };
        }
        if let Some((a, b)) = key.split_once('/') {
            return Some(Property::Ratio(Element::of_key(a)?, Element::of_key(b)?));
        }
        Self::PLAIN
            .into_iter()
            .find(|p| p.key() == key)
            .or_else(|| Element::of_key(key).map(Property::Element))
    }

    /// The properties whose key is a fixed word.
    pub const PLAIN: [Property; 17] = [
        Property::Kv40,
        Property::Kv100,
        Property::Vi,
        Property::Density,
        Property::Hths,
        Property::Kv100Sheared,
        Property::Kv100Krl,
        Property::Noack,
        Property::Ash,
        Property::BaseNumber,
        Property::AcidNumber,
        Property::PolarShare,
        Property::AnilinePoint,
        Property::IrBaseline,
        Property::Flash,
        Property::Cost,
        Property::CostPerLitre,
    ];

    /// Whether it is an amount of money.
    #[must_use]
    pub fn is_money(&self) -> bool {
        matches!(self, Property::Cost | Property::CostPerLitre)
    }

    /// Whether a laboratory tests it: not money, and not what a recipe itself says.
    #[must_use]
    pub fn is_tested(&self) -> bool {
        !self.is_money()
            && !matches!(
                self,
                Property::PolarShare | Property::Change | Property::Treat(_) | Property::Group(_)
            )
    }

    /// The unit of its values; `currency` names the shelf's money, `declared` a user's own unit.
    #[must_use]
    pub fn unit(&self, currency: &str, declared: Option<&Unit>) -> Unit {
        match self {
            Property::Kv40 | Property::Kv100 | Property::Kv100Sheared | Property::Kv100Krl => {
                Unit::MM2_PER_S
            }
            Property::Vi | Property::Ratio(..) => Unit::NONE,
            Property::Density => Unit::KG_PER_L,
            Property::Hths | Property::Ccs(_) | Property::Mrv(_) | Property::Brookfield(_) => {
                Unit::MPA_S
            }
            Property::Noack
            | Property::Ash
            | Property::PolarShare
            | Property::Change
            | Property::Treat(_)
            | Property::Group(_) => Unit::PERCENT,
            Property::Element(_) => Unit::PPM,
            Property::BaseNumber | Property::AcidNumber => Unit::MG_KOH_PER_G,
            Property::AnilinePoint | Property::Flash => Unit::CELSIUS,
            Property::IrBaseline => Unit::ABSORBANCE_PER_CM,
            Property::Cost => Unit::named(format!("{currency}/kg")),
            Property::CostPerLitre => Unit::named(format!("{currency}/L")),
            Property::User(_) => declared.cloned().unwrap_or(Unit::NONE),
        }
    }
}

impl fmt::Display for Property {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.key())
    }
}

/// A figure that a component may carry.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Datum {
    /// Price per kg, in the shelf's currency.
    Price,
    /// Stock on hand, kg.
    Stock,
    /// Density at 15 °C, kg/L.
    Density,
    /// Kinematic viscosity at 40 °C, mm²/s.
    Kv40,
    /// Kinematic viscosity at 100 °C, mm²/s.
    Kv100,
    /// Cold-cranking viscosity at a temperature, mPa·s.
    Ccs(Celsius),
    /// Cold-pumping viscosity at a temperature, mPa·s.
    Mrv(Celsius),
    /// Evaporation loss, mass %.
    Noack,
    /// An element, ppm.
    Element(Element),
    /// Measured sulfated ash, mass %; wins over the sum of the metals.
    Ash,
    /// Base number, mg KOH/g.
    BaseNumber,
    /// Acid number, mg KOH/g.
    AcidNumber,
    /// Aniline point, °C (an effective value for esters and additives).
    AnilinePoint,
    /// Infrared absorbance in the oxidation band, A/cm.
    IrBaseline,
    /// Flash point (open cup), °C.
    Flash,
    /// A property that the problem declares.
    User(String),
}

impl Datum {
    /// The key on a shelf.
    #[must_use]
    pub fn key(&self) -> String {
        match self {
            Datum::Price => "price".into(),
            Datum::Stock => "stock".into(),
            Datum::Density => "density".into(),
            Datum::Kv40 => "kv40".into(),
            Datum::Kv100 => "kv100".into(),
            Datum::Ccs(t) => format!("ccs at {t} °C"),
            Datum::Mrv(t) => format!("mrv at {t} °C"),
            Datum::Noack => "noack".into(),
            Datum::Element(e) => e.key().into(),
            Datum::Ash => "ash".into(),
            Datum::BaseNumber => "base-number".into(),
            Datum::AcidNumber => "acid-number".into(),
            Datum::AnilinePoint => "aniline-point".into(),
            Datum::IrBaseline => "ir-baseline".into(),
            Datum::Flash => "flash".into(),
            Datum::User(name) => name.clone(),
        }
    }

    /// The figure that a shelf key names, for keys with a single value.
    #[must_use]
    pub fn of_key(key: &str) -> Option<Self> {
        Self::PLAIN
            .into_iter()
            .find(|d| d.key() == key)
            .or_else(|| Element::of_key(key).map(Datum::Element))
    }

    /// The figures whose key is a fixed word.
    pub const PLAIN: [Datum; 12] = [
        Datum::Price,
        Datum::Stock,
        Datum::Density,
        Datum::Kv40,
        Datum::Kv100,
        Datum::Noack,
        Datum::Ash,
        Datum::BaseNumber,
        Datum::AcidNumber,
        Datum::AnilinePoint,
        Datum::IrBaseline,
        Datum::Flash,
    ];
}

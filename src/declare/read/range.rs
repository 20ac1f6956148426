//! What each quantity can be: bounds that catch a wrong unit or a slipped digit, not a rare oil.

use crate::declare::property::{Datum, Property};
use crate::fault::{Code, Fault, Place};
use crate::quantity::PPM_PER_PERCENT;

/// How a number of a quantity may be written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Scale {
    /// A bare number.
    Plain,
    /// Stored in ppm; `"0.88 %"` and `"8800 ppm"` are understood.
    Ppm,
    /// Stored in mass percent; `"0.88 %"` and `"8800 ppm"` are understood.
    Percent,
    /// A fraction, 0 to 1; a percentage in its place is recognised.
    Fraction,
}

impl Scale {
    /// The stored unit's number for one of a written unit; `None` where that unit may not be written.
    pub(super) fn factor(self, unit: &str) -> Option<f64> {
        match (self, unit) {
            (Scale::Ppm, "%") => Some(PPM_PER_PERCENT),
            (Scale::Ppm, "ppm") | (Scale::Percent, "%") => Some(1.0),
            (Scale::Percent, "ppm") => Some(1.0 / PPM_PER_PERCENT),
            (Scale::Fraction, "%") => Some(0.01),
            _ => None,
        }
    }
}

/// The bounds of a quantity, both included.
#[derive(Debug, Clone, Copy)]
pub(super) struct Range {
    pub(super) low: f64,
    pub(super) high: f64,
    pub(super) unit: &'static str,
    pub(super) scale: Scale,
}

/// No engine oil is so thick at 150 °C, mPa·s; cold viscosities are.
const HOT: f64 = 100.0;

impl Range {
    const fn plain(low: f64, high: f64, unit: &'static str) -> Self {
        Range {
            low,
            high,
            unit,
            scale: Scale::Plain,
        }
    }

    /// A mass percentage.
    pub(super) const PERCENT: Range = Range {
        low: 0.0,
        high: 100.0,
        unit: "%",
        scale: Scale::Percent,
    };

    /// A percentage that is an index of a test, not a mass share.
    pub(super) const INDEX: Range = Range::plain(0.0, 100.0, "%");

    /// A fraction.
    pub(super) const FRACTION: Range = Range {
        low: 0.0,
        high: 1.0,
        unit: "",
        scale: Scale::Fraction,
    };

    /// Solids: a fraction above nothing.
    pub(super) const SOLIDS: Range = Range {
        low: 0.001,
        high: 1.0,
        unit: "",
        scale: Scale::Fraction,
    };

    /// An intrinsic viscosity.
    pub(super) const INTRINSIC: Range = Range::plain(0.001, 20.0, "dL/g");

    /// A constant of a thickening law.
    pub(super) const THICKENING_CONSTANT: Range = Range::plain(0.0, 5.0, "");

    /// A relative rise per g/dL.
    pub(super) const RISE: Range = Range::plain(0.0, 100.0, "per g/dL");

    /// A batch or a stock in kg.
    pub(super) const MASS: Range = Range::plain(0.0, 1e9, "kg");

    /// A number of the user's own.
    pub(super) const OWN: Range = Range::plain(-1e9, 1e9, "");

    /// The share of a heavy stock in its dilution, mass %.
    pub(super) const DILUTION: Range = Range {
        low: 0.1,
        high: 100.0,
        unit: "%",
        scale: Scale::Percent,
    };

    /// A kinematic viscosity: above 0.2 mm²/s, where ln ln(ν + 0.8) ends.
    pub(super) const KINEMATIC: Range = Range::plain(0.21, 1e6, "mm²/s");

    /// A cold dynamic viscosity.
    pub(super) const COLD: Range = Range::plain(1.0, 1e9, "mPa·s");

    /// A density.
    pub(super) const DENSITY: Range = Range::plain(0.6, 1.5, "kg/L");

    /// An element.
    pub(super) const ELEMENT: Range = Range {
        low: 0.0,
        high: 1e6,
        unit: "ppm",
        scale: Scale::Ppm,
    };

    /// What a figure of a component can be.
    pub(super) fn of_datum(datum: &Datum) -> Self {
        match datum {
            Datum::Price => Range::plain(0.0, 1e9, "per kg"),
            Datum::Stock => Range::MASS,
            Datum::Density => Range::DENSITY,
            Datum::Kv40 | Datum::Kv100 => Range::KINEMATIC,
            Datum::Ccs(_) | Datum::Mrv(_) => Range::COLD,
            Datum::Noack | Datum::Ash => Range::PERCENT,
            Datum::Element(_) => Range::ELEMENT,
            Datum::BaseNumber | Datum::AcidNumber => Range::plain(0.0, 1000.0, "mg KOH/g"),
            Datum::AnilinePoint => Range::plain(-200.0, 300.0, "°C"),
            Datum::IrBaseline => Range::plain(0.0, 1e5, "A/cm"),
            Datum::Flash => Range::plain(-100.0, 500.0, "°C"),
            Datum::User(_) => Range::OWN,
        }
    }

    /// What a limit on a property can be.
    pub(super) fn of_property(property: &Property) -> Self {
        match property {
            Property::Kv40 | Property::Kv100 | Property::Kv100Sheared | Property::Kv100Krl => {
                Range::KINEMATIC
            }
            Property::Vi => Range::plain(-1000.0, 1000.0, ""),
            Property::Density => Range::DENSITY,
            Property::Hths => Range::plain(0.1, HOT, "mPa·s"),
            Property::Ccs(_) | Property::Mrv(_) | Property::Brookfield(_) => Range::COLD,
            Property::Noack
            | Property::Ash
            | Property::PolarShare
            | Property::Change
            | Property::Treat(_)
            | Property::Group(_) => Range::PERCENT,
            Property::Element(_) => Range::ELEMENT,
            Property::Ratio(..) => Range::plain(0.0, 1e6, ""),
            Property::BaseNumber | Property::AcidNumber => Range::of_datum(&Datum::BaseNumber),
            Property::AnilinePoint => Range::of_datum(&Datum::AnilinePoint),
            Property::IrBaseline => Range::of_datum(&Datum::IrBaseline),
            Property::Flash => Range::of_datum(&Datum::Flash),
            Property::Cost | Property::CostPerLitre => Range::plain(0.0, 1e9, ""),
            Property::User(_) => Range::OWN,
        }
    }

    /// The value where it lies within; a fault where it does not.
    pub(super) fn check(
        &self,
        value: f64,
        what: &str,
        place: &Place,
        faults: &mut Vec<Fault>,
    ) -> Option<f64> {
        if value.is_finite() && (self.low..=self.high).contains(&value) {
            return Some(value);
        }
        let gap = if self.unit.is_empty() { "" } else { " " };
        let unit = self.unit;
        let title = if value.is_finite() {
            format!(
                "{what} cannot be {value}{gap}{unit}: it lies between {} and {}{gap}{unit}",
                self.low, self.high
            )
        } else {
            format!("{what} must be a finite number")
        };
        let fault = Fault::at(Code::OutOfRange, title, place.clone(), "");
        faults.push(match self.hint(value) {
            Some(hint) => fault.help(hint),
            None => fault,
        });
        None
    }

    fn hint(&self, value: f64) -> Option<String> {
        if !value.is_finite() {
            return Some("write the number, or delete the key if it is not known".into());
        }
        let within = |v: f64| v.is_finite() && (self.low..=self.high).contains(&v);
        if value < 0.0 && within(-value) {
            return Some(format!(
                "write {} without the sign, if that is meant",
                -value
            ));
        }
        match self.scale {
            Scale::Fraction if within(value / 100.0) => Some(format!(
                "this is a fraction: write {} for {value} %",
                value / 100.0
            )),
            _ if self.unit == "kg/L" && within(value / 1000.0) => Some(format!(
                "densities are in kg/L: write {} for {value} kg/m³",
                value / 1000.0
            )),
            _ if self.high <= HOT && self.unit == "mPa·s" && within(value / 1000.0) => {
                Some(format!(
                    "at 150 °C oils have a few mPa·s: write {} if that is meant",
                    value / 1000.0
                ))
            }
            _ => None,
        }
    }
}

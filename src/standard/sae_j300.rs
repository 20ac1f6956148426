//! Viscosity grades of engine oils: SAE J300, edition `J300_202405`.
//!
//! A winter grade limits cranking and pumping in the cold and sets a minimum at 100 °C; a grade
//! without W sets a window at 100 °C (maximum strictly below) and a minimum under high shear at
//! 150 °C.
//!
//! Source: several secondary tables of SAE J300 that agree, row by row as marked. The minimum of the
//! 40 grade under high shear is 3.5 mPa·s with 0W, 5W and 10W (2.9 before 2007, which old tables
//! still print) and 3.7 mPa·s otherwise.
//!
//! Confidence: high, except the 12 grade: medium, from memory.
//!
//! ```
//! use treatrate::standard::sae_j300::{hot, hths_min, winter};
//!
//! let forty = hot("40").expect("a grade");
//! let light = hths_min(forty, winter("5W"));
//! let heavy = hths_min(forty, winter("15W"));
//! assert!(light < heavy);
//! ```

use crate::quantity::Celsius;

/// The standard's name in answers.
pub const NAME: &str = "SAE J300";

/// The edition that the tables follow.
pub const EDITION: &str = "J300_202405";

/// A winter grade.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Winter {
    /// As written: `5W`.
    pub name: &'static str,
    /// Greatest cold-cranking viscosity, mPa·s.
    pub ccs_max: f64,
    /// Temperature of that test.
    pub ccs_at: Celsius,
    /// Greatest cold-pumping viscosity without yield stress, mPa·s.
    pub mrv_max: f64,
    /// Temperature of that test.
    pub mrv_at: Celsius,
    /// Least kinematic viscosity at 100 °C, mm²/s.
    pub kv100_min: f64,
    /// How sure this row is.
    pub confidence: &'static str,
}

/// A grade without W.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Hot {
    /// As written: `30`.
    pub name: &'static str,
    /// Least kinematic viscosity at 100 °C, mm²/s.
    pub kv100_min: f64,
    /// Kinematic viscosity at 100 °C to stay strictly below, mm²/s.
    pub kv100_below: f64,
    /// Least high-shear viscosity at 150 °C, mPa·s; see [`hths_min`].
    pub hths_min: f64,
    /// The same together with 0W, 5W or 10W, mPa·s.
    pub hths_min_light: f64,
    /// How sure this row is.
    pub confidence: &'static str,
}

/// A row of the winter grades; the cranking test runs 5 °C above the pumping test.
const fn cold(name: &'static str, ccs_max: f64, ccs_at: i16, kv100_min: f64) -> Winter {
    Winter {
        name,
        ccs_max,
        ccs_at: Celsius::whole(ccs_at),
        mrv_max: 60_000.0,
        mrv_at: Celsius::whole(ccs_at - 5),
        kv100_min,
        confidence: "high",
    }
}

/// A row of the grades without W whose high-shear minimum does not depend on the winter grade.
const fn plain(name: &'static str, kv100_min: f64, kv100_below: f64, hths_min: f64) -> Hot {
    Hot {
        name,
        kv100_min,
        kv100_below,
        hths_min,
        hths_min_light: hths_min,
        confidence: "high",
    }
}

/// The winter grades, coldest first.
pub const WINTER: [Winter; 6] = [
    cold("0W", 6200.0, -35, 3.8),
    cold("5W", 6600.0, -30, 3.8),
    cold("10W", 7000.0, -25, 4.1),
    cold("15W", 7000.0, -20, 5.6),
    cold("20W", 9500.0, -15, 5.6),
    cold("25W", 13_000.0, -10, 9.3),
];

/// The grades without W, thinnest first; 8, 12, 16 and 20 overlap.
pub const HOT: [Hot; 8] = [
    plain("8", 4.0, 6.1, 1.7),
    Hot {
        confidence: "medium, from memory",
        ..plain("12", 5.0, 7.1, 2.0)
    },
    plain("16", 6.1, 8.2, 2.3),
    plain("20", 6.9, 9.3, 2.6),
    plain("30", 9.3, 12.5, 2.9),
    Hot {
        hths_min_light: 3.5,
        ..plain("40", 12.5, 16.3, 3.7)
    },
    plain("50", 16.3, 21.9, 3.7),
    plain("60", 21.9, 26.1, 3.7),
];

/// The winter grade of a name such as `5W`.
#[must_use]
pub fn winter(name: &str) -> Option<&'static Winter> {
    const { &WINTER }.iter().find(|row| row.name == name)
}

/// The grade without W of a name such as `30`.
#[must_use]
pub fn hot(name: &str) -> Option<&'static Hot> {
    const { &HOT }.iter().find(|row| row.name == name)
}

/// The least high-shear viscosity at 150 °C, mPa·s, of a grade together with a winter grade.
#[must_use]
pub fn hths_min(hot: &Hot, winter: Option<&Winter>) -> f64 {
    match winter {
        Some(winter) if matches!(winter.name, "0W" | "5W" | "10W") => hot.hths_min_light,
        _ => hot.hths_min,
    }
}

#[cfg(test)]
mod tests {
    use super::{HOT, WINTER};

    #[test]
    fn checksums() {
        let cold: f64 = WINTER.iter().map(|w| w.ccs_max + w.kv100_min).sum();
        assert!((cold - 49_332.2).abs() < 1e-9, "{cold}");
        let hot: f64 = HOT.iter().map(|h| h.kv100_min + h.kv100_below).sum();
        assert!((hot - 189.5).abs() < 1e-9, "{hot}");
        let shear: f64 = HOT.iter().map(|h| h.hths_min).sum();
        assert!((shear - 22.6).abs() < 1e-9, "{shear}");
    }

    #[test]
    fn from_20_up_each_window_begins_where_the_last_ends() {
        for pair in HOT[3..].windows(2) {
            assert!((pair[0].kv100_below - pair[1].kv100_min).abs() < f64::EPSILON);
        }
    }
}

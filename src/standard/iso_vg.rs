//! Viscosity grades of industrial oils: ISO 3448.
//!
//! ```text
//! 0.9 m ≤ ν(40 °C) ≤ 1.1 m        m = the mid-point of the grade
//! ```
//!
//! | symbol | argument | unit |
//! |---|---|---|
//! | m | [`Class::mid`] | mm²/s |
//!
//! Source: the rule above; secondary tables agree for the rows that they show.
//!
//! Confidence: high.
//!
//! ```
//! use treatrate::standard::iso_vg::class;
//!
//! let grade = class("46").expect("a grade");
//! assert!((grade.min() - 41.4).abs() < 1e-9 && (grade.max() - 50.6).abs() < 1e-9);
//! ```

/// The standard's name in answers.
pub const NAME: &str = "ISO 3448";

/// A viscosity grade.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Class {
    /// The number as written: `46`.
    pub name: &'static str,
    /// Mid-point of the kinematic viscosity at 40 °C, mm²/s.
    pub mid: f64,
}

impl Class {
    /// Least kinematic viscosity at 40 °C, mm²/s.
    #[must_use]
    pub fn min(&self) -> f64 {
        self.mid * 9.0 / 10.0
    }

    /// Greatest kinematic viscosity at 40 °C, mm²/s.
    #[must_use]
    pub fn max(&self) -> f64 {
        self.mid * 11.0 / 10.0
    }
}

/// A row of the table.
const fn row(name: &'static str, mid: f64) -> Class {
    Class { name, mid }
}

/// The grades, thinnest first.
pub const CLASSES: [Class; 20] = [
    row("2", 2.2),
    row("3", 3.2),
    row("5", 4.6),
    row("7", 6.8),
    row("10", 10.0),
    row("15", 15.0),
    row("22", 22.0),
    row("32", 32.0),
    row("46", 46.0),
    row("68", 68.0),
    row("100", 100.0),
    row("150", 150.0),
    row("220", 220.0),
    row("320", 320.0),
    row("460", 460.0),
    row("680", 680.0),
    row("1000", 1000.0),
    row("1500", 1500.0),
    row("2200", 2200.0),
    row("3200", 3200.0),
];

/// The grade of a number such as `46`.
#[must_use]
pub fn class(name: &str) -> Option<&'static Class> {
    const { &CLASSES }.iter().find(|row| row.name == name)
}

#[cfg(test)]
mod tests {
    use super::CLASSES;

    #[test]
    fn checksum_and_order() {
        let sum: f64 = CLASSES.iter().map(|c| c.mid).sum();
        assert!((sum - 10_039.8).abs() < 1e-6, "{sum}");
        assert!(CLASSES.windows(2).all(|p| p[0].max() < p[1].min()));
    }
}

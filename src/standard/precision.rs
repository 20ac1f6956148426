//! How well two laboratories agree, and what that asks of a release (ASTM D3244, ISO 4259).
//!
//! The reproducibility R of a method is the difference that two laboratories exceed on one sample in
//! one case of twenty. It fixes how far inside a limit one result must lie.
//!
//! ```text
//! σ = R / 2.77
//! margin for the laboratory alone:       0.59 R
//! margin with a model's own error s:     h = 1.645 √(σ² + s²)
//! ```
//!
//! | symbol | argument | unit |
//! |---|---|---|
//! | R | – | of the value |
//! | s | `model` | of the value |
//! | h | – | of the value |
//!
//! Source: the decision rule of ASTM D3244 / ISO 4259 at 95 % confidence; R by method as each
//! [`Method`] states.
//!
//! Domain: positive values; ash above 0.11 %. Elsewhere `None`.
//!
//! Confidence: [`Method::confidence`]; mostly from memory.
//!
//! ```
//! use treatrate::standard::precision::{Method, margin, release_margin};
//!
//! let lab = release_margin(Method::Kv100, 12.5).expect("a positive viscosity");
//! assert!((12.5 + lab - 12.60).abs() < 0.005);
//! let both = margin(Method::Kv100, 12.5, 0.02 * 12.5).expect("a positive viscosity");
//! assert!((12.5 + both - 12.92).abs() < 0.005);
//! ```

/// R over σ: 1.96 √2, rounded as the standards print it.
pub const R_PER_SIGMA: f64 = 2.77;

/// Share of R by which one result lies inside a limit for 95 % confidence.
pub const RELEASE: f64 = 0.59;

/// One-sided 95 % point of the normal distribution.
pub const ONE_SIDED_95: f64 = 1.645;

/// Sulfated ash, mass %, at and below which its equation does not hold.
const LOWEST_ASH: f64 = 0.11;

/// A test method with a known reproducibility.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Method {
    /// Kinematic viscosity of a formulated oil at 40 °C (ASTM D445): 1.22 % of the value.
    Kv40,
    /// Kinematic viscosity of a formulated oil at 100 °C (ASTM D445): 1.38 % of the value.
    Kv100,
    /// Kinematic viscosity of a base oil (ASTM D445): 0.65 % of the value.
    BaseOilKv,
    /// High-temperature high-shear viscosity (ASTM D4683, D4741, D5481): 3.5 % of the value.
    Hths,
    /// Cold-cranking viscosity (ASTM D5293): 7.3 % of the value.
    Ccs,
    /// Cold-pumping viscosity (ASTM D4684): 8 to 20 % by memory; 15 % of the value is used.
    Mrv,
    /// Evaporation loss (ASTM D5800): 16 % of the value.
    Noack,
    /// Sulfated ash (ASTM D874): 0.142 X^0.75 for X above 0.11 %.
    Ash,
    /// Base number (ASTM D2896): 7 % of the value.
    BaseNumber,
    /// An element (ASTM D4951, D5185): 8 to 12 % by memory; 10 % of the value is used.
    Element,
}

impl Method {
    /// Every method.
    pub const ALL: [Method; 10] = [
        Method::Kv40,
        Method::Kv100,
        Method::BaseOilKv,
        Method::Hths,
        Method::Ccs,
        Method::Mrv,
        Method::Noack,
        Method::Ash,
        Method::BaseNumber,
        Method::Element,
    ];

    /// How sure the number is, in the words that answers use.
    #[must_use]
    pub fn confidence(self) -> &'static str {
        match self {
            Method::BaseOilKv => "from the standard",
            Method::Mrv => "from memory, 8 to 20 %",
            Method::Element => "from memory, 8 to 12 %",
            _ => "from memory",
        }
    }
}

/// The reproducibility R of a method at a value, both in the method's unit.
///
/// `None` outside the method's range.
#[must_use]
pub fn reproducibility(method: Method, value: f64) -> Option<f64> {
    let of_value = match method {
        Method::Kv40 => 0.0122,
        Method::Kv100 => 0.0138,
        Method::BaseOilKv => 0.0065,
        Method::Hths => 0.035,
        Method::Ccs => 0.073,
        Method::Mrv => 0.15,
        Method::Noack => 0.16,
        Method::BaseNumber => 0.07,
        Method::Element => 0.10,
        Method::Ash if value > LOWEST_ASH && value.is_finite() => {
            return Some(0.142 * value.powf(0.75));
        }
        Method::Ash => return None,
    };
    (value.is_finite() && value > 0.0).then_some(of_value * value)
}

/// The standard deviation σ between laboratories at a value.
#[must_use]
pub fn standard_deviation(method: Method, value: f64) -> Option<f64> {
    reproducibility(method, value).map(|r| r / R_PER_SIGMA)
}

/// How far inside a limit one laboratory result must lie to be released: 0.59 R at the limit.
#[must_use]
pub fn release_margin(method: Method, limit: f64) -> Option<f64> {
    reproducibility(method, limit).map(|r| RELEASE * r)
}

/// How far inside a limit a prediction must lie whose own standard deviation is `model`.
#[must_use]
pub fn margin(method: Method, limit: f64, model: f64) -> Option<f64> {
    standard_deviation(method, limit).map(|lab| ONE_SIDED_95 * lab.hypot(model))
}

#[cfg(test)]
mod tests {
    use super::{Method, margin, release_margin, reproducibility};

    #[test]
    fn margins_without_model_error_agree() {
        for method in Method::ALL {
            let lab = release_margin(method, 5.0).expect("in range");
            let both = margin(method, 5.0, 0.0).expect("in range");
            assert!((lab / both - 1.0).abs() < 0.01, "{method:?}");
        }
    }

    #[test]
    fn ash_has_a_lower_end() {
        assert_eq!(reproducibility(Method::Ash, 0.11), None);
        let r = reproducibility(Method::Ash, 0.8).expect("in range");
        assert!((r - 0.1201).abs() < 1e-4);
        assert_eq!(reproducibility(Method::Kv100, 0.0), None);
        assert_eq!(reproducibility(Method::Kv100, f64::NAN), None);
    }
}

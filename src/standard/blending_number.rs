//! The viscosity blending number: an index of kinematic viscosity that mixes linearly on mass.
//!
//! ```text
//! VBN = 14.534 ln ln(ν + 0.8) + 10.975
//! ```
//!
//! | symbol | argument | unit |
//! |---|---|---|
//! | ν | `nu` | mm²/s |
//! | VBN | `number` | – |
//!
//! Source: Maples, *Petroleum Refinery Process Economics*, 2000, as quoted. The two constants
//! cancel in a blend, so `predict` mixes ln ln(ν + 0.8) itself.
//!
//! Domain: ν above 0.2 mm²/s, otherwise NaN.
//!
//! Confidence: high (several handbooks print it).
//!
//! ```
//! use treatrate::standard::blending_number::vbn;
//!
//! assert!((vbn(4.1_f64) - 17.707_918).abs() < 1e-5);
//! ```

use num_dual::DualNum;

/// The factor of the double logarithm.
const FACTOR: f64 = 14.534;

/// The constant term.
const OFFSET: f64 = 10.975;

/// The shift of the viscosity, mm²/s.
const SHIFT: f64 = 0.8;

/// The blending number of a viscosity in mm²/s.
#[must_use]
pub fn vbn<D: DualNum<Primitive = f64> + Copy>(nu: D) -> D {
    (nu + SHIFT).ln().ln() * FACTOR + OFFSET
}

/// The viscosity, mm²/s, of a blending number.
#[must_use]
pub fn nu_of_vbn<D: DualNum<Primitive = f64> + Copy>(number: D) -> D {
    ((number - OFFSET) / FACTOR).exp().exp() - SHIFT
}

#[cfg(test)]
mod tests {
    use super::{nu_of_vbn, vbn};

    #[test]
    fn inverse_undoes_forward() {
        for nu in [0.5, 4.1, 100.0, 3000.0] {
            assert!((nu_of_vbn(vbn(nu)) / nu - 1.0_f64).abs() < 1e-12);
        }
    }
}

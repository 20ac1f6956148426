//! Flash-point indices that mix linearly on volume.
//!
//! A little of a light component pulls the flash point of a blend down far more than its share.
//!
//! ```text
//! Thiele:  I  = 10^(−F/100)                            F in °F
//! index:   log10 BI = −6.1188 + 2414/(T − 42.6)        T in K
//! ```
//!
//! | symbol | argument | unit |
//! |---|---|---|
//! | F, T | `flash` | °C (converted inside) |
//! | I, BI | `index` | – |
//!
//! Source: Thiele, *Industrial and Engineering Chemistry* 19 (1927) 259; the second index after
//! Wickey and Chittenden 1963, from memory (4345.2/(°F + 383) is 2414/(K − 42.6)).
//!
//! Domain: both indices fall as the flash point rises. The second is for flash points above −200 °C;
//! an index that is not positive gives NaN.
//!
//! Confidence: Thiele from the literature; the second from memory. Neither knows a real flash test:
//! measure before heating anything, and keep to the safety data sheet.
//!
//! ```
//! use treatrate::standard::flash::{thiele_flash, thiele_index};
//!
//! let index = 0.7 * thiele_index(220.0_f64) + 0.3 * thiele_index(270.0_f64);
//! assert!((thiele_flash(index) - 227.3_f64).abs() < 0.1);
//! ```

use crate::quantity::KELVIN_AT_ZERO_CELSIUS;
use num_dual::DualNum;
use std::f64::consts::LN_10;

/// Constant term of the second index.
const INDEX_CONSTANT: f64 = -6.1188;

/// Numerator of the second index, K.
const INDEX_NUMERATOR: f64 = 2414.0;

/// Temperature shift of the second index, K.
const INDEX_SHIFT: f64 = 42.6;

/// Thiele's index of a flash point in °C.
#[must_use]
pub fn thiele_index<D: DualNum<Primitive = f64> + Copy>(flash: D) -> D {
    let fahrenheit = flash * 1.8 + 32.0;
    (fahrenheit * (-LN_10 / 100.0)).exp()
}

/// The flash point, °C, of Thiele's index.
#[must_use]
pub fn thiele_flash<D: DualNum<Primitive = f64> + Copy>(index: D) -> D {
    (index.log10() * -100.0 - 32.0) / 1.8
}

/// The second index of a flash point in °C.
#[must_use]
pub fn index_of_flash<D: DualNum<Primitive = f64> + Copy>(flash: D) -> D {
    let kelvin = flash + KELVIN_AT_ZERO_CELSIUS;
    (((kelvin - INDEX_SHIFT).recip() * INDEX_NUMERATOR + INDEX_CONSTANT) * LN_10).exp()
}

/// The flash point, °C, of the second index.
#[must_use]
pub fn index_flash<D: DualNum<Primitive = f64> + Copy>(index: D) -> D {
    (index.log10() - INDEX_CONSTANT).recip() * INDEX_NUMERATOR + INDEX_SHIFT
        - KELVIN_AT_ZERO_CELSIUS
}

#[cfg(test)]
mod tests {
    use super::{index_flash, index_of_flash, thiele_flash, thiele_index};

    #[test]
    fn inverses_undo_forwards_and_indices_fall() {
        for flash in [60.0_f64, 150.0, 220.0, 300.0] {
            assert!((thiele_flash(thiele_index(flash)) - flash).abs() < 1e-9);
            assert!((index_flash(index_of_flash(flash)) - flash).abs() < 1e-9);
            assert!(thiele_index(flash + 1.0) < thiele_index(flash));
            assert!(index_of_flash(flash + 1.0) < index_of_flash(flash));
        }
    }

    #[test]
    fn second_index_is_its_fahrenheit_form() {
        let printed = 10.0_f64.powf(-6.1188 + 4345.2 / (200.0 * 1.8 + 32.0 + 383.0));
        assert!((index_of_flash(200.0) / printed - 1.0).abs() < 1e-3);
    }
}

//! Mixing rules as links: a value is a *link* of a weighted mean of component indices.
//!
//! ```text
//! value = link( Σ w I / Σ w )
//! ```
//!
//! Because every link is strictly monotone, a fixed limit on such a value is one exactly linear row
//! in the mass fractions: `Σ w (I − link⁻¹(limit)) ≤ 0` (or ≥ 0).

use crate::standard::flash;
use crate::standard::temperature;
use num_dual::DualNum;

/// A strictly monotone map from a mean index to a value.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Link {
    /// The index is the value.
    Identity,
    /// I = 1/v.
    Reciprocal,
    /// I = ln v (Arrhenius 1887).
    Log,
    /// I = ln ln(v + 0.8): the viscosity blending index whose constants cancel (Maples 2000).
    DoubleLog,
    /// I = log10 log10 Z(v), Z of ASTM D341: the "ASTM" and Wright procedures of ASTM D7152.
    Walther,
    /// I = 10^(−F/100), F the flash point in °F (Thiele 1927); v in °C.
    Thiele,
    /// log10 I = −6.1188 + 2414/(v − 42.6 + 273.15 offset of the source), v in °C (from memory).
    FlashIndex,
}

/// The constant of the double-log index, mm²/s.
const DOUBLE_LOG_SHIFT: f64 = 0.8;

impl Link {
    /// The value of an index.
    ///
    /// Outside the index's domain the result is not finite; callers check.
    #[must_use]
    pub fn value<D: DualNum<Primitive = f64> + Copy>(self, index: D) -> D {
        match self {
            Link::Identity => index,
            Link::Reciprocal => index.recip(),
            Link::Log => index.exp(),
            Link::DoubleLog => index.exp().exp() - DOUBLE_LOG_SHIFT,
            Link::Walther => temperature::nu_of_w(index),
            Link::Thiele => flash::thiele_flash(index),
            Link::FlashIndex => flash::index_flash(index),
        }
    }

    /// The index of a value; `None` where the value has none (a viscosity below 0.2 mm²/s, a
    /// logarithm of nothing).
    #[must_use]
    pub fn index(self, value: f64) -> Option<f64> {
        let index = match self {
            Link::Identity => value,
            Link::Reciprocal => value.recip(),
            Link::Log => value.ln(),
            Link::DoubleLog => (value + DOUBLE_LOG_SHIFT).ln().ln(),
            Link::Walther => temperature::w_of_nu(value),
            Link::Thiele => flash::thiele_index(value),
            Link::FlashIndex => flash::index_of_flash(value),
        };
        index.is_finite().then_some(index)
    }

    /// Whether the value rises with the index.
    #[must_use]
    pub fn rises(self) -> bool {
        !matches!(self, Link::Reciprocal | Link::Thiele | Link::FlashIndex)
    }
}

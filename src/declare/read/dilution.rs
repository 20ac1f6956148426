//! Effective values: what a stock that cannot be measured alone must be, for one dilution of it to
//! have measured what it did.

use crate::quantity::Share;

/// The index that mixes linearly on mass.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum IndexRule {
    /// ln η, for cold viscosities.
    Log,
    /// ln ln(ν + 0.8), for kinematic viscosities.
    DoubleLog,
}

/// The effective value of a stock whose dilution at a mass share `a` measures `blend`.
///
/// ```text
/// I(v) = (I(blend) − (1 − a) I(base)) / a
/// ```
///
/// Not finite where the three numbers have no such value.
pub(super) fn undone(rule: IndexRule, blend: f64, base: f64, share: Share) -> f64 {
    let a = share.fraction();
    match rule {
        IndexRule::Log => ((blend.ln() - (1.0 - a) * base.ln()) / a).exp(),
        IndexRule::DoubleLog => {
            let index = |v: f64| (v + 0.8).ln().ln();
            ((index(blend) - (1.0 - a) * index(base)) / a).exp().exp() - 0.8
        }
    }
}

#[cfg(test)]
mod tests {
    use super::{IndexRule, undone};
    use crate::quantity::Share;

    #[test]
    fn a_tenth_of_a_heavy_stock() {
        // Worked by hand from the logarithmic rule: 10 % in 1450 mPa·s giving 2350 mPa·s.
        let heavy = undone(IndexRule::Log, 2350.0, 1450.0, Share::from_percent(10.0));
        assert!((heavy - 181_287.0).abs() < 1.0, "{heavy}");
    }

    #[test]
    fn diluting_again_gives_the_blend() {
        let share = Share::from_percent(20.0);
        let heavy = undone(IndexRule::DoubleLog, 6.35, 4.1, share);
        let index = |v: f64| (v + 0.8_f64).ln().ln();
        let mixed = 0.2 * index(heavy) + 0.8 * index(4.1);
        assert!((mixed - index(6.35)).abs() < 1e-12);
    }
}

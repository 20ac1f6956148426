//! The intrinsic viscosity that a measured thickening says.

use crate::declare::component::Thickened;
use crate::declare::problem::ThickeningLaw;

/// The intrinsic viscosity, dL/g, of a measured thickening at a constant K ≥ 0 of a law.
///
/// With s = \[η\]·c and r > 1 the ratio of the viscosities:
///
/// ```text
/// Huggins: 1 + s + K s² = r       Martin: 1 + s·exp(K s) = r
/// ```
#[must_use]
pub fn intrinsic(law: ThickeningLaw, measured: Thickened, k: f64) -> f64 {
    specific(law, measured.ratio, k) / measured.concentration
}

/// s of a relative viscosity r > 1 and a constant K ≥ 0.
fn specific(law: ThickeningLaw, r: f64, k: f64) -> f64 {
    let rise = r - 1.0;
    if k < 1e-12 {
        return rise;
    }
    match law {
        ThickeningLaw::Huggins => ((1.0 + 4.0 * k * rise).sqrt() - 1.0) / (2.0 * k),
        ThickeningLaw::Martin => {
            // ln s + K s = ln(r − 1) is concave and rising in s: from a point at or below the root
            // Newton's steps overshoot once and then fall back monotonically; 60 are ample.
            let mut s = rise.min(1.0);
            for _ in 0..60 {
                let f = s.ln() + k * s - rise.ln();
                s = (s - f / (1.0 / s + k)).max(s * 1e-3);
            }
            s
        }
    }
}

#[cfg(test)]
mod tests {
    use super::specific;
    use crate::declare::problem::ThickeningLaw;

    #[test]
    fn huggins_by_hand() {
        // Worked by hand: 5.20 → 11.50 mm²/s with 1.0 % solids at 0.79 g/mL, K = 0.4.
        let s = specific(ThickeningLaw::Huggins, 11.50 / 5.20, 0.4);
        assert!((s / 0.79 - 1.130).abs() < 1e-3, "{}", s / 0.79);
    }

    #[test]
    fn martin_solves_its_equation() {
        for r in [1.0001, 1.5, 2.044_154, 30.0, 1e5] {
            for k in [0.0, 0.1, 0.45, 5.0] {
                let s = specific(ThickeningLaw::Martin, r, k);
                let back = 1.0 + s * (k * s).exp();
                assert!((back / r - 1.0).abs() < 1e-9, "r {r}, k {k}: {back}");
            }
        }
        // From the formula: s = 0.7463, K = 0.45 give a ratio of 2.044154.
        let s = specific(ThickeningLaw::Martin, 2.044_154, 0.45);
        assert!((s - 0.7463).abs() < 1e-5, "{s}");
    }
}

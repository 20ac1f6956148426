//! Kinematic viscosity against temperature (ASTM D341).
//!
//! Twice the logarithm of a slightly shifted viscosity is a straight line in the logarithm of
//! temperature, so two measured viscosities give all others.
//!
//! ```text
//! Z = ν + 0.7 + exp(−1.47 − 1.84 ν − 0.51 ν²)
//! log10 log10 Z = A − B log10 T
//! ```
//!
//! | symbol | argument | unit |
//! |---|---|---|
//! | ν | `nu`, `nu40`, `nu100` | mm²/s |
//! | Z | `z` | mm²/s |
//! | W = log10 log10 Z | `w` | – |
//! | T | `at` | K (given as °C) |
//! | A, B | [`Line::a`], [`Line::b`] | – |
//!
//! Source: ASTM D341, the full form. The inverse Z → ν is found by Newton's method: the standard's
//! printed inverse polynomial is off by up to 0.024 %.
//!
//! Domain: ν above about 0.21 mm²/s. Interpolate freely between the two points; extrapolate to
//! 150 °C for fluids without polymer; never below about 0 °C, where light PAO comes out about twice
//! as thick as it is. Outside the domain of a function the result is NaN or `None`.
//!
//! Confidence: high.
//!
//! ```
//! use treatrate::quantity::Celsius;
//! use treatrate::standard::temperature::Line;
//!
//! let line = Line::through(18.4, 4.1).expect("40 °C is thicker than 100 °C");
//! assert!((line.at(Celsius::whole(150)) - 2.009_958).abs() < 1e-5);
//! ```

use crate::quantity::Celsius;
use num_dual::DualNum;

/// The lower of the two temperatures at which viscosities are stated.
pub const FORTY: Celsius = Celsius::whole(40);

/// The upper of the two temperatures at which viscosities are stated.
pub const HUNDRED: Celsius = Celsius::whole(100);

/// Newton steps allowed; the search needs fewer than ten from its starting point.
const STEPS: usize = 60;

/// Relative step at which Newton's method has converged: a few units in the last place.
const CONVERGED: f64 = 1e-15;

/// Z(ν), mm²/s, for a viscosity in mm²/s.
#[must_use]
pub fn z<D: DualNum<Primitive = f64> + Copy>(nu: D) -> D {
    nu + 0.7 + correction(nu)
}

/// The term of Z that matters below 2 mm²/s.
fn correction<D: DualNum<Primitive = f64> + Copy>(nu: D) -> D {
    (nu * nu * -0.51 - nu * 1.84 - 1.47).exp()
}

/// dZ/dν.
fn slope(nu: f64) -> f64 {
    1.0 - correction(nu) * (1.84 + 1.02 * nu)
}

/// The viscosity ν(Z), mm²/s; NaN where Z is below Z(0) or not finite.
///
/// Z is rising and convex, and ν ≤ Z − 0.7, so Newton's method from there never overshoots. Each
/// step after that, taken in dual numbers, makes one more order of derivative exact.
///
/// ```
/// use treatrate::standard::temperature::{nu_of_z, z};
///
/// assert!((nu_of_z(z(4.1)) - 4.1_f64).abs() < 1e-12);
/// ```
#[must_use]
pub fn nu_of_z<D: DualNum<Primitive = f64> + Copy>(target: D) -> D {
    let t = target.re();
    if !t.is_finite() || t < z(0.0) {
        return D::from(f64::NAN);
    }
    let mut nu = t - 0.7;
    for _ in 0..STEPS {
        let step = (z(nu) - t) / slope(nu);
        nu -= step;
        if step.abs() <= CONVERGED * nu.abs() {
            break;
        }
    }
    let steepness = slope(nu);
    let mut dual = D::from(nu);
    for _ in 0..D::NDERIV {
        dual -= (z(dual) - target) / steepness;
    }
    dual
}

/// W = log10 log10 Z of a viscosity in mm²/s; NaN below about 0.09 mm²/s.
#[must_use]
pub fn w_of_nu<D: DualNum<Primitive = f64> + Copy>(nu: D) -> D {
    z(nu).log10().log10()
}

/// The viscosity, mm²/s, of W = log10 log10 Z.
#[must_use]
pub fn nu_of_w<D: DualNum<Primitive = f64> + Copy>(w: D) -> D {
    let ln10 = std::f64::consts::LN_10;
    nu_of_z(((w * ln10).exp() * ln10).exp())
}

/// The straight line of one fluid: W = A − B log10 T.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Line {
    /// A, the intercept.
    pub a: f64,
    /// B, the slope; positive.
    pub b: f64,
}

impl Line {
    /// The line through the viscosities at 40 °C and 100 °C, mm²/s.
    ///
    /// `None` where either is outside the domain or the one at 40 °C is not the larger.
    #[must_use]
    pub fn through(nu40: f64, nu100: f64) -> Option<Self> {
        let (w40, w100) = (w_of_nu(nu40), w_of_nu(nu100));
        let (t40, t100) = (FORTY.kelvin().log10(), HUNDRED.kelvin().log10());
        let b = (w40 - w100) / (t100 - t40);
        let line = Line {
            a: w40 + b * t40,
            b,
        };
        (nu100 > 0.0 && b > 0.0 && line.a.is_finite()).then_some(line)
    }

    /// The viscosity at a temperature, mm²/s.
    #[must_use]
    pub fn at(&self, at: Celsius) -> f64 {
        nu_of_w(self.w(at))
    }

    /// W = log10 log10 Z at a temperature.
    #[must_use]
    pub fn w(&self, at: Celsius) -> f64 {
        self.a - self.b * at.kelvin().log10()
    }
}

#[cfg(test)]
mod tests {
    use super::{FORTY, HUNDRED, Line, nu_of_w, nu_of_z, w_of_nu, z};
    use num_dual::second_derivative;

    #[test]
    fn inverse_undoes_forward() {
        for nu in [0.21_f64, 0.5, 1.0, 2.0, 4.1, 18.4, 100.0, 3000.0, 1e6] {
            assert!((nu_of_z(z(nu)) / nu - 1.0).abs() < 1e-13, "Z at {nu}");
            assert!((nu_of_w(w_of_nu(nu)) / nu - 1.0).abs() < 1e-11, "W at {nu}");
        }
    }

    #[test]
    fn inverse_has_the_inverse_derivatives() {
        for nu in [0.3_f64, 0.8, 1.7, 4.1, 40.0] {
            let (_, up1, up2) = second_derivative(z, nu);
            let (_, back1, back2) = second_derivative(nu_of_z, z(nu));
            assert!((back1 * up1 - 1.0).abs() < 1e-12, "first at {nu}");
            let expected = -up2 / up1.powi(3);
            assert!((back2 - expected).abs() < 1e-11, "second at {nu}");
        }
    }

    #[test]
    fn line_passes_through_its_points_and_refuses_nonsense() {
        let line = Line::through(75.0, 13.6).expect("an ordinary oil");
        assert!((line.at(FORTY) - 75.0).abs() < 1e-9);
        assert!((line.at(HUNDRED) - 13.6).abs() < 1e-9);
        for (nu40, nu100) in [(4.1, 18.4), (4.1, 4.1), (18.4, -1.0), (f64::NAN, 4.1)] {
            assert_eq!(Line::through(nu40, nu100), None);
        }
        assert!(nu_of_z(0.5_f64).is_nan());
    }
}

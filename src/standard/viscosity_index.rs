//! Viscosity index (ASTM D2270, ISO 2909).
//!
//! How little an oil thins between 40 °C and 100 °C, against two reference series of the same
//! viscosity at 100 °C: L has index 0, H has index 100.
//!
//! ```text
//! to 100:     VI = 100 (L − U) / (L − H)
//! above 100:  VI = 100 + (10^N − 1) / 0.00715        N = (log10 H − log10 U) / log10 Y
//! Y > 70:     L = 0.8353 Y² + 14.67 Y − 216
//!             H = 0.1684 Y² + 11.85 Y −  97
//! ```
//!
//! | symbol | argument | unit |
//! |---|---|---|
//! | U | `kv40` | mm²/s |
//! | Y | `kv100` | mm²/s |
//! | L, H | – | mm²/s |
//!
//! Source: ASTM D2270: table 1 with linear interpolation up to and with 70 mm²/s, above it the
//! text's own rounded quadratics (from memory; the open library `chemicals` 1.5.2 agrees). The
//! piecewise quadratics of the appendix are left out: they jump at their seams (VI *falls* by 0.4 as
//! KV100 rises through 7.7), so neither a slope nor a bound may rest on them.
//!
//! Domain: KV100 of at least 2.0 mm²/s, otherwise `None`. VI falls with KV40, and rises with KV100
//! with kinks at the table's rows and at VI 100, except at [`SEAM`]: from the table's last row to the
//! quadratics L drops by 1.1 mm²/s and H by 0.3 mm²/s, so VI drops by up to [`SEAM_FALL`], which
//! 0.03 mm²/s more of KV100 makes good.
//!
//! Confidence: high; the standard's two printed examples (92, 156) agree. The test methods alone
//! leave ±3 to 4.
//!
//! ```
//! use treatrate::standard::viscosity_index::viscosity_index;
//!
//! let vi: f64 = viscosity_index(73.30, 8.86).expect("thicker than 2 mm²/s at 100 °C");
//! assert!((vi.round() - 92.0).abs() < 1e-9);
//! ```

mod table;

use num_dual::DualNum;
use table::TABLE;

/// Kinematic viscosity at 100 °C, mm²/s, below which the index is undefined.
pub const LOWEST_KV100: f64 = 2.0;

/// Kinematic viscosity at 100 °C, mm²/s, where the table ends and the quadratics begin.
pub const SEAM: f64 = 70.0;

/// Upper bound on the drop of the index as KV100 rises through [`SEAM`], for indices from −50 to 400.
pub const SEAM_FALL: f64 = 0.06;

/// L above the table, as coefficients of 1, Y and Y².
const L_ABOVE: [f64; 3] = [-216.0, 14.67, 0.8353];

/// H above the table, as coefficients of 1, Y and Y².
const H_ABOVE: [f64; 3] = [-97.0, 11.85, 0.1684];

/// Curvature of the index above 100.
const ABOVE_100: f64 = 0.007_15;

/// The reference viscosities L and H at 40 °C, mm²/s, of a viscosity at 100 °C.
///
/// `None` below 2.0 mm²/s or where the argument is not finite.
#[must_use]
pub fn l_and_h<D: DualNum<Primitive = f64> + Copy>(kv100: D) -> Option<(D, D)> {
    let y = kv100.re();
    if !y.is_finite() || y < LOWEST_KV100 {
        return None;
    }
    if y > SEAM {
        let quadratic = |c: [f64; 3]| kv100 * (kv100 * c[2] + c[1]) + c[0];
        let (l, h) = (quadratic(L_ABOVE), quadratic(H_ABOVE));
        return Some((l, h));
    }
    let above = TABLE.partition_point(|row| row.0 <= y).min(TABLE.len() - 1);
    let (y0, l0, h0) = TABLE[above - 1];
    let (y1, l1, h1) = TABLE[above];
    let along = (kv100 - y0) / (y1 - y0);
    Some((along * (l1 - l0) + l0, along * (h1 - h0) + h0))
}

/// The viscosity index, unrounded, of the viscosities at 40 °C and 100 °C, mm²/s.
///
/// `None` where `kv100` is below 2.0 mm²/s, `kv40` is not positive, or either is not finite.
#[must_use]
pub fn viscosity_index<D: DualNum<Primitive = f64> + Copy>(kv40: D, kv100: D) -> Option<D> {
    let (l, h) = l_and_h(kv100)?;
    let u = kv40.re();
    if !u.is_finite() || u <= 0.0 {
        return None;
    }
    if u >= h.re() {
        return Some((l - kv40) / (l - h) * 100.0);
    }
    let n_ln10 = (h / kv40).ln() / kv100.log10();
    Some(n_ln10.exp_m1() / ABOVE_100 + 100.0)
}

/// The viscosity at 40 °C, mm²/s, that gives a viscosity index at a viscosity at 100 °C; a larger
/// one gives a lower index.
///
/// ```text
/// to 100:     U = L − VI/100 (L − H)
/// above 100:  log10 U = log10 H − N log10 Y        10^N = 1 + 0.00715 (VI − 100)
/// ```
///
/// `None` where `kv100` is below 2.0 mm²/s or an argument is not finite.
#[must_use]
pub fn kv40_for(vi: f64, kv100: f64) -> Option<f64> {
    let (l, h) = l_and_h(kv100)?;
    let u = if vi <= 100.0 {
        l - vi / 100.0 * (l - h)
    } else {
        let n = (ABOVE_100 * (vi - 100.0)).ln_1p() / std::f64::consts::LN_10;
        h * kv100.powf(-n)
    };
    u.is_finite().then_some(u)
}

/// The kinematic viscosities at 100 °C, mm²/s, of the table's rows, ascending: the index has a kink at
/// each.
pub fn rows() -> impl Iterator<Item = f64> {
    TABLE.iter().map(|(y, _, _)| *y)
}

/// The edge of an index over a stretch of KV100: on each piece, the KV40 that has index `vi` is
/// `(c0 + c1 Y + c2 Y²) · Y^−n`. Returns each piece's coefficients, its n, and its stretch of Y.
///
/// Pieces follow one another from `lo` (at least 2.0) to `hi`; empty where `hi < lo`.
#[must_use]
pub fn pieces(vi: f64, lo: f64, hi: f64) -> Vec<([f64; 3], f64, (f64, f64))> {
    // To 100 the edge is a mean of L and H, above 100 it is H · Y^−n.
    let (from_l, n) = if vi <= 100.0 {
        (1.0 - vi / 100.0, 0.0)
    } else {
        (
            0.0,
            (ABOVE_100 * (vi - 100.0)).ln_1p() / std::f64::consts::LN_10,
        )
    };
    let mix = |l: f64, h: f64| from_l * l + (1.0 - from_l) * h;
    let mut all = Vec::new();
    let mut push = |c, over: (f64, f64)| {
        let over = (over.0.max(lo), over.1.min(hi));
        if over.0 <= over.1 && (over.0 < over.1 || hi <= lo) {
            all.push((c, n, over));
        }
    };
    for pair in TABLE.windows(2) {
        let ((y0, l0, h0), (y1, l1, h1)) = (pair[0], pair[1]);
        let (u0, u1) = (mix(l0, h0), mix(l1, h1));
        let slope = (u1 - u0) / (y1 - y0);
        push([u0 - slope * y0, slope, 0.0], (y0, y1));
    }
    push(
        std::array::from_fn(|k| mix(L_ABOVE[k], H_ABOVE[k])),
        (SEAM, f64::INFINITY),
    );
    all
}

#[cfg(test)]
mod tests {
    use super::{SEAM, SEAM_FALL, TABLE, kv40_for, l_and_h, viscosity_index};
    use num_dual::{first_derivative, second_derivative};

    /// Room for rounding in the last digits of an index near 100.
    const ROUNDING: f64 = 1e-9;

    fn vi(kv40: f64, kv100: f64) -> f64 {
        viscosity_index(kv40, kv100).expect("inside the domain")
    }

    #[test]
    fn table_rows_come_back() {
        for (y, l, h) in TABLE {
            let (found_l, found_h) = l_and_h(y).expect("inside the domain");
            assert!((found_l - l).abs() < ROUNDING && (found_h - h).abs() < ROUNDING);
        }
    }

    #[test]
    fn undefined_outside_its_domain() {
        for (kv40, kv100) in [
            (5.0, 1.999_999),
            (f64::NAN, 4.0),
            (18.0, f64::INFINITY),
            (0.0, 4.0),
        ] {
            assert_eq!(viscosity_index(kv40, kv100), None);
        }
        assert!(viscosity_index(5.5, 2.0_f64).is_some());
    }

    #[test]
    fn continuous_at_100() {
        for y in [2.0, 4.1, 13.6, 69.9, 120.0] {
            let (_, h): (f64, f64) = l_and_h(y).expect("inside the domain");
            assert!((vi(h, y) - 100.0).abs() < ROUNDING);
            assert!((vi(h * (1.0 - 1e-12), y) - 100.0).abs() < 1e-6);
        }
    }

    #[test]
    fn kv40_for_inverts_the_index() {
        for y in [2.0, 2.05, 4.1, 13.6, 70.0, 71.0, 300.0] {
            for wanted in [-20.0, 0.0, 60.0, 100.0, 125.0, 190.0, 320.0] {
                let kv40 = kv40_for(wanted, y).expect("inside the domain");
                assert!((vi(kv40, y) - wanted).abs() < 1e-7, "VI {wanted} at {y}");
            }
        }
    }

    #[test]
    fn pieces_are_the_edge() {
        for wanted in [-20.0, 60.0, 100.0, 125.0, 190.0, 320.0] {
            let all = super::pieces(wanted, 2.0, 300.0);
            for (c, n, (lo, hi)) in all {
                let y = f64::midpoint(lo, hi);
                let edge = (c[0] + y * (c[1] + y * c[2])) * y.powf(-n);
                let kv40 = kv40_for(wanted, y).expect("inside the domain");
                assert!((edge / kv40 - 1.0).abs() < 1e-12, "VI {wanted} at {y}");
            }
        }
    }

    #[test]
    fn rises_with_kv100_and_falls_with_kv40_on_the_table() {
        for pair in TABLE.windows(2) {
            for wanted in [-20.0, 0.0, 50.0, 99.0, 101.0, 150.0, 250.0, 400.0] {
                let kv40 = kv40_for(wanted, pair[0].0).expect("inside the domain");
                let middle = f64::midpoint(pair[0].0, pair[1].0);
                assert!(vi(kv40, middle) > vi(kv40, pair[0].0), "at {}", pair[0].0);
                assert!(vi(kv40, pair[1].0) > vi(kv40, middle), "at {}", pair[1].0);
                assert!(vi(kv40 * 1.001, middle) < vi(kv40, middle));
            }
        }
    }

    #[test]
    fn the_seam_drops_by_less_than_stated() {
        for wanted in [-50.0, 0.0, 99.0, 101.0, 150.0, 250.0, 400.0] {
            let kv40 = kv40_for(wanted, SEAM).expect("inside the domain");
            let drop = wanted - vi(kv40, SEAM * (1.0 + f64::EPSILON));
            assert!((0.0..SEAM_FALL).contains(&drop), "{drop} at VI {wanted}");
            assert!(vi(kv40, SEAM + 0.03) > wanted, "made good at VI {wanted}");
        }
    }

    #[test]
    fn slopes_are_central_differences() {
        for (kv40, kv100) in [(75.03, 13.63), (120.0, 12.345), (1000.0, 100.0)] {
            let step = 1e-5;
            let (_, by40) =
                first_derivative(|u| viscosity_index(u, kv100.into()).unwrap_or(u), kv40);
            let (_, by100, _) =
                second_derivative(|y| viscosity_index(kv40.into(), y).unwrap_or(y), kv100);
            let difference40 = (vi(kv40 + step, kv100) - vi(kv40 - step, kv100)) / (2.0 * step);
            let difference100 = (vi(kv40, kv100 + step) - vi(kv40, kv100 - step)) / (2.0 * step);
            assert!((by40 - difference40).abs() < 1e-5);
            assert!((by100 - difference100).abs() < 1e-4);
        }
    }
}

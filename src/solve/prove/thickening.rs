//! The part of a log-viscosity that a polymer and the density make: b over a box of (q, κ, V).
//!
//! ```text
//! b = ln(1 + q ρ g(κ ρ)) + p ln ρ ,  ρ = 1/V − δ
//! ```

use crate::declare::problem::ThickeningLaw;
use crate::predict::formula::DENSITY_PER_CELSIUS;
use crate::solve::prove::estimate::LogViscosity;
use crate::solve::prove::interval::Interval;
use crate::solve::prove::jet::Jet;

/// The density at the test temperature over an interval of V, with its two derivatives by V.
struct Density {
    v: Interval,
    first: Interval,
    second: Interval,
}

impl Density {
    fn over(f: &LogViscosity, volume: Interval) -> Self {
        let shift = DENSITY_PER_CELSIUS * (f.at.degrees() - 15.0);
        let r = volume.recip();
        let r2 = r * r;
        Density {
            v: r + Interval::point(shift),
            first: -r2,
            second: Interval::point(2.0) * (r2 * r),
        }
    }
}

/// b over the box of (q, κ, V).
pub(super) fn jet(f: &LogViscosity, over: &[Interval; 3]) -> Jet<3> {
    let mut b = Jet::constant(0.0);
    if f.kept.is_none() && !f.dynamic {
        return b;
    }
    let density = Density::over(f, over[2]);
    if f.kept.is_some() {
        b = match f.law {
            ThickeningLaw::Martin => martin(over[0], over[1], &density),
            ThickeningLaw::Huggins => {
                let mut rho = Jet::constant(0.0);
                (rho.v, rho.d[2], rho.h[2][2]) = (density.v, density.first, density.second);
                let s = Jet::variable(0, over[0]).times(rho);
                let ks = Jet::variable(1, over[1]).times(rho);
                s.times(ks.plus_number(1.0)).plus_number(1.0).ln()
            }
        };
    }
    if f.dynamic {
        let slope = density.first * density.v.recip();
        b.v = b.v + density.v.ln();
        b.d[2] = b.d[2] + slope;
        b.h[2][2] = b.h[2][2] + (density.second * density.v.recip() - slope * slope);
    }
    b
}

/// An enclosure of b alone: it rises with q, κ and ρ, so two corners enclose it.
#[must_use]
pub(super) fn range(f: &LogViscosity, rest: &[Interval; 3]) -> Interval {
    if f.kept.is_none() && !f.dynamic {
        return Interval::point(0.0);
    }
    let rho = Density::over(f, rest[2]).v;
    if rho.lo <= 0.0 || rest[0].lo < 0.0 || rest[1].lo < 0.0 {
        return jet(f, rest).v;
    }
    Interval::new(
        corner(f, rest[0].lo, rest[1].lo, rho.lo).lo,
        corner(f, rest[0].hi, rest[1].hi, rho.hi).hi,
    )
}

/// The lower or the upper end of [`range`] alone.
#[must_use]
pub(super) fn end(f: &LogViscosity, rest: &[Interval; 3], upper: bool) -> f64 {
    if f.kept.is_none() && !f.dynamic {
        return 0.0;
    }
    let rho = Density::over(f, rest[2]).v;
    if rho.lo <= 0.0 || rest[0].lo < 0.0 || rest[1].lo < 0.0 {
        let all = jet(f, rest).v;
        return if upper { all.hi } else { all.lo };
    }
    if upper {
        corner(f, rest[0].hi, rest[1].hi, rho.hi).hi
    } else {
        corner(f, rest[0].lo, rest[1].lo, rho.lo).lo
    }
}

/// b at one corner of a box.
fn corner(f: &LogViscosity, q: f64, kappa: f64, rho: f64) -> Interval {
    let [q, kappa, rho] = [q, kappa, rho].map(Interval::point);
    let mut b = Interval::point(0.0);
    if f.kept.is_some() {
        let growth = match f.law {
            ThickeningLaw::Martin => (kappa * rho).exp(),
            ThickeningLaw::Huggins => kappa * rho + Interval::point(1.0),
        };
        b = (Interval::point(1.0) + q * rho * growth).ln();
    }
    if f.dynamic { b + rho.ln() } else { b }
}

/// ln(1 + q ρ exp(κ ρ)) with derivatives in a form in which each variable appears once or twice, so
/// that intervals stay tight over wide boxes.
///
/// With E = exp(−κρ)/ρ, G = q + E and P = q/G (so 1 − P = E/G), w = κ + 1/ρ:
///
/// ```text
/// b = ln(1 + q/E)     b_q = 1/G           b_κ = ρ P            b_ρ = w P
/// b_qq = −1/G²        b_qκ = ρ (1−P)/G    b_qρ = w (1−P)/G
/// b_κκ = ρ² P(1−P)    b_κρ = P + ρ w P(1−P)
/// b_ρρ = −P/ρ² + w² P(1−P)
/// ```
fn martin(q: Interval, kappa: Interval, density: &Density) -> Jet<3> {
    let point = Interval::point;
    let rho = density.v;
    let e = (-(kappa * rho)).exp() * rho.recip();
    let g = q + e;
    let inverse = g.recip();
    // P rises with q/E: its ends are at the ends of that.
    let share = |q: f64, e: f64| {
        let (q, e) = (point(q), point(e));
        q * (q + e).recip()
    };
    let p = Interval::new(share(q.lo, e.hi).lo, share(q.hi, e.lo).hi);
    let rest = point(1.0) - p;
    let both = Interval::new((p * rest).lo.max(0.0), (p * rest).hi.min(0.25));
    let w = kappa + rho.recip();
    let value = (point(1.0) + q * e.recip()).ln();
    let by_rho = w * p;
    let by_rho2 = w * w * both - p * (rho.recip() * rho.recip());
    // In (q, κ, ρ); then ρ is a function of V alone.
    let (rho1, rho2) = (density.first, density.second);
    let mixed_q = w * (rest * inverse);
    let mixed_kappa = p + rho * w * both;
    let d = [inverse, rho * p, by_rho * rho1];
    let qk = rho * (rest * inverse);
    let (qv, kv) = (mixed_q * rho1, mixed_kappa * rho1);
    let h = [
        [-(inverse * inverse), qk, qv],
        [qk, rho * rho * both, kv],
        [qv, kv, by_rho2 * (rho1 * rho1) + by_rho * rho2],
    ];
    Jet { v: value, d, h }
}

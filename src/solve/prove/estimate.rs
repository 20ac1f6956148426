//! Linear functions that bound a curved one over a whole box.
//!
//! Every curved limit is about the logarithm of a viscosity,
//!
//! ```text
//! F = a(I) + b(q, κ, V) ,   I = N / D
//! a = ln link(I)                                  index of the polymer-free fluid
//! b = ln(1 + q ρ g(κ ρ)) + p ln ρ ,  ρ = 1/V − δ   thickening, density (p = 0 or 1)
//! ```
//!
//! where N, D, q, κ, V are blend totals, exactly linear in the mass fractions. Over a box:
//!
//! * `a` lies within M w²/8 of its chord, M a bound on the second derivative (the classical error of
//!   linear interpolation);
//! * `b` lies within ½ Σ|H| r r of its tangent at the centre (Taylor's theorem), H an enclosure of
//!   the second derivatives over the box.
//!
//! Both bounds come from interval arithmetic with outward rounding, so they hold for every point of
//! the box, not only for sampled ones. Multiplying `F ≤ L` by D > 0 leaves `α N + D·ℓ ≤ 0` with ℓ
//! linear; the product is bounded by `D·ℓ ≥ ℓc D + Dc ℓ − Dc ℓc − rD rℓ`, which is linear in the
//! mass fractions.

use crate::declare::problem::ThickeningLaw;
use crate::predict::formula::Formula;
use crate::predict::link::Link;
use crate::quantity::Celsius;
use crate::solve::prove::interval::Interval;
use crate::solve::prove::jet::Jet;
use crate::solve::prove::thickening;
use crate::solve::task::Curve;

/// The logarithm of a viscosity, by the totals it takes (indices into the task's totals).
#[derive(Debug, Clone, PartialEq)]
pub struct LogViscosity {
    /// Link of the fluid's index.
    pub link: Link,
    /// Total N.
    pub index: usize,
    /// Total D.
    pub weight: usize,
    /// Total V, where the density matters.
    pub volume: Option<usize>,
    /// Total q, where a polymer matters.
    pub kept: Option<usize>,
    /// Total κ, where the polymer crowds.
    pub crowding: Option<usize>,
    /// Thickening law.
    pub law: ThickeningLaw,
    /// Temperature of the density.
    pub at: Celsius,
    /// p: whether the viscosity is dynamic.
    pub dynamic: bool,
}

/// A curve that this module can bound.
#[derive(Debug, Clone, PartialEq)]
pub enum Shape {
    /// The logarithm of one viscosity.
    Log(LogViscosity),
    /// A viscosity index: the viscosities at 40 and at 100 °C.
    Index(LogViscosity, LogViscosity),
}

/// The shape of a curve; `None` where no bound is known (the limit is then left out of the
/// relaxation, which is sound: fewer limits, a lower bound).
#[must_use]
pub fn shape(curve: &Curve) -> Option<Shape> {
    let t = |i: usize| curve.totals[i];
    let plain = |link, index, weight, at| LogViscosity {
        link,
        index,
        weight,
        volume: None,
        kept: None,
        crowding: None,
        law: ThickeningLaw::Martin,
        at,
        dynamic: false,
    };
    Some(match curve.formula {
        Formula::Thickened { link, law, at } => Shape::Log(LogViscosity {
            volume: Some(t(2)),
            kept: Some(t(3)),
            crowding: Some(t(4)),
            law,
            ..plain(link, t(0), t(1), at)
        }),
        Formula::Sheared { link, law, at } => Shape::Log(LogViscosity {
            volume: Some(t(2)),
            kept: Some(t(3)),
            crowding: Some(t(4)),
            law,
            dynamic: true,
            ..plain(link, t(0), t(1), at)
        }),
        Formula::Dynamic { link, at } => Shape::Log(LogViscosity {
            volume: Some(t(2)),
            dynamic: true,
            ..plain(link, t(0), t(1), at)
        }),
        Formula::ColdThickened { at } => Shape::Log(LogViscosity {
            volume: Some(t(2)),
            kept: Some(t(3)),
            ..plain(Link::Log, t(0), t(1), at)
        }),
        Formula::Vi { link } => Shape::Index(
            plain(link, t(0), t(2), Celsius::whole(40)),
            plain(link, t(1), t(2), Celsius::whole(100)),
        ),
        Formula::ViThickened { link, law } => {
            let at = |index, kept, crowding, at| LogViscosity {
                volume: Some(t(3)),
                kept: Some(kept),
                crowding: Some(crowding),
                law,
                ..plain(link, index, t(2), at)
            };
            Shape::Index(
                at(t(0), t(4), t(5), Celsius::whole(40)),
                at(t(1), t(6), t(7), Celsius::whole(100)),
            )
        }
        Formula::Sum | Formula::Quotient(_) | Formula::LowerFlash => return None,
    })
}

/// Where the scalars of one log-viscosity may lie.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Cell {
    /// I.
    pub index: Interval,
    /// q, κ, V.
    pub rest: [Interval; 3],
}

/// `α I + γ·(q, κ, V) + constant`, a bound on a log-viscosity over a cell, with the part of its
/// slack that each scalar is to blame for.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bound {
    /// Slope by I.
    pub alpha: f64,
    /// Slopes by q, κ, V.
    pub gamma: [f64; 3],
    /// The constant, rounded outward.
    pub constant: f64,
    /// Slack by cause: I, then q, κ, V.
    pub blame: [f64; 4],
}

impl Bound {
    /// The bound, where every number of it is finite.
    fn if_finite(self) -> Option<Self> {
        let numbers = [self.alpha, self.constant];
        numbers
            .iter()
            .chain(&self.gamma)
            .chain(&self.blame)
            .all(|x| x.is_finite())
            .then_some(self)
    }
}

/// Which side of the function a bound is on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum From {
    /// The bound is below the function everywhere in the cell.
    Below,
    /// Above.
    Above,
}

/// A linear bound on a log-viscosity over a cell; `None` where none is finite.
#[must_use]
pub fn bound(f: &LogViscosity, cell: &Cell, from: From) -> Option<Bound> {
    let over = Over::new(f, cell, from)?;
    centre(f, cell, from, &over)
}

/// What every bound over a cell is made of.
struct Over {
    /// Slope, constant and slack of the chord of `a`.
    chord: (f64, Interval, f64),
    /// `b` with its slopes and curvatures.
    jet: Jet<3>,
}

impl Over {
    fn new(f: &LogViscosity, cell: &Cell, from: From) -> Option<Self> {
        Some(Over {
            chord: chord(f.link, cell.index, from)?,
            jet: thickening::jet(f, &cell.rest),
        })
    }
}

/// The bound from the centre of a cell.
fn centre(f: &LogViscosity, cell: &Cell, from: From, over: &Over) -> Option<Bound> {
    let (alpha, chord, index_slack) = over.chord;
    let (gamma, tangent, rest_slack) = tangent(f, &cell.rest, from, &over.jet)?;
    let constant = match from {
        From::Below => (chord + tangent).lo,
        From::Above => (chord + tangent).hi,
    };
    let blame = [index_slack, rest_slack[0], rest_slack[1], rest_slack[2]];
    Bound {
        alpha,
        gamma,
        constant,
        blame,
    }
    .if_finite()
}

/// Slack of a tangent above which the bounds from the corners are worth their rows.
const WIDE: f64 = 0.02;

/// Every linear bound worth having over a cell: from the centre, and where the cell is wide from the
/// corner where b is least and the one where it is greatest.
///
/// From a corner u₀ the mean value theorem gives b(u) = b(u₀) + ∇b(·)(u − u₀) with the slopes taken
/// somewhere in the box; the sign of each u − u₀ is known, so each slope is replaced by the end of its
/// enclosure that is on the safe side.
#[must_use]
pub fn bounds(f: &LogViscosity, cell: &Cell, from: From) -> Vec<Bound> {
    let Some(over) = Over::new(f, cell, from) else {
        return Vec::new();
    };
    let centre = centre(f, cell, from, &over);
    let rest: f64 = centre
        .as_ref()
        .map_or(f64::INFINITY, |b| b.blame[1..].iter().sum());
    let mut all: Vec<Bound> = centre.into_iter().collect();
    if rest > WIDE {
        all.extend(
            [[false, false, true], [true, true, false]]
                .into_iter()
                .filter_map(|high| corner(f, cell, (from, &over), high)),
        );
    }
    all
}

/// The bound from one corner; `high` says at which end each of q, κ, V stands there.
fn corner(
    f: &LogViscosity,
    cell: &Cell,
    (from, over): (From, &Over),
    high: [bool; 3],
) -> Option<Bound> {
    let (alpha, chord, index_slack) = over.chord;
    let at: [Interval; 3] = std::array::from_fn(|i| {
        Interval::point(if high[i] {
            cell.rest[i].hi
        } else {
            cell.rest[i].lo
        })
    });
    let start = thickening::jet(f, &at).v;
    let slopes = over.jet.d;
    let mut constant = chord + start;
    let mut gamma = [0.0; 3];
    let mut blame = [index_slack, 0.0, 0.0, 0.0];
    for i in 0..3 {
        // u − u₀ is not positive from the high end.
        let take_low = (from == From::Below) != high[i];
        gamma[i] = if take_low { slopes[i].lo } else { slopes[i].hi };
        constant = constant - Interval::point(gamma[i]) * at[i];
        blame[i + 1] = slopes[i].width() * cell.rest[i].width();
    }
    let constant = match from {
        From::Below => constant.lo,
        From::Above => constant.hi,
    };
    Bound {
        alpha,
        gamma,
        constant,
        blame,
    }
    .if_finite()
}

/// An enclosure of a log-viscosity over a cell.
#[must_use]
pub fn enclose(f: &LogViscosity, cell: &Cell) -> Interval {
    fluid(f, cell.index) + thickening::range(f, &cell.rest)
}

/// An enclosure of the part of a log-viscosity that the index makes.
#[must_use]
pub fn fluid(f: &LogViscosity, index: Interval) -> Interval {
    // It rises with I, for the link is monotone: the ends suffice.
    let lo = log_value(f.link, index.lo).lo;
    let hi = log_value(f.link, index.hi).hi;
    Interval::new(lo, hi)
}

/// Slope and constant of the chord of `a`, moved outward by the error of linear interpolation, as an
/// enclosure of the constant; and that error.
fn chord(link: Link, over: Interval, from: From) -> Option<(f64, Interval, f64)> {
    if link == Link::Log {
        return Some((1.0, Interval::point(0.0), 0.0));
    }
    let (left, right) = (log_value(link, over.lo), log_value(link, over.hi));
    let curvature = log_link(link, Jet::<1>::variable(0, over)).h[0][0];
    let alpha = if over.hi - over.lo > 1e-9 {
        (right.middle() - left.middle()) / (over.hi - over.lo)
    } else {
        log_link(link, Jet::<1>::variable(0, Interval::point(over.middle()))).d[0].middle()
    };
    let slope = Interval::point(alpha);
    let ends = [
        left - slope * Interval::point(over.lo),
        right - slope * Interval::point(over.hi),
    ];
    let width = Interval::point(over.width());
    let eighth = width * width * Interval::point(0.125);
    let constant = match from {
        From::Below => {
            let error = eighth * Interval::point(curvature.hi.max(0.0));
            Interval::point(ends[0].lo.min(ends[1].lo)) - error
        }
        From::Above => {
            let error = eighth * Interval::point((-curvature.lo).max(0.0));
            Interval::point(ends[0].hi.max(ends[1].hi)) + error
        }
    };
    let slack = (eighth * Interval::point(curvature.magnitude())).hi;
    constant
        .magnitude()
        .is_finite()
        .then_some((alpha, constant, slack))
}

/// The tangent of `b` at the centre of the box, moved outward by Taylor's remainder.
fn tangent(
    f: &LogViscosity,
    over: &[Interval; 3],
    from: From,
    spread: &Jet<3>,
) -> Option<([f64; 3], Interval, [f64; 3])> {
    let centre = over.map(|i| Interval::point(i.middle()));
    let point = thickening::jet(f, &centre);
    // Distance from the centre to the farther end, rounded up.
    let reach: [f64; 3] = std::array::from_fn(|i| {
        let c = centre[i].lo;
        (over[i].hi - c).max(c - over[i].lo).next_up()
    });
    let gamma = point.d.map(Interval::middle);
    let mut constant = point.v;
    // What the bound must be moved by, and how far it can then be from the function: a concave
    // function needs no move to lie below its tangent, but is not close to it.
    let (mut moved, mut slack) = (0.0, [0.0; 3]);
    for i in 0..3 {
        constant = constant - Interval::point(gamma[i]) * centre[i];
        // The slope used is a number inside the slope's enclosure: what is left over counts.
        moved += (point.d[i].width() * reach[i]).next_up();
        for j in 0..3 {
            let h = spread.h[i][j];
            let outward = match (i == j, from) {
                (true, From::Below) => (-h.lo).max(0.0),
                (true, From::Above) => h.hi.max(0.0),
                (false, _) => h.magnitude(),
            };
            moved += (0.5 * outward * reach[i] * reach[j]).next_up();
            slack[i] += (outward + h.magnitude()) * 0.5 * reach[i] * reach[j];
        }
    }
    let total = Interval::point((moved * (1.0 + 1e-12)).next_up());
    let constant = match from {
        From::Below => constant - total,
        From::Above => constant + total,
    };
    constant
        .magnitude()
        .is_finite()
        .then_some((gamma, constant, slack))
}

/// An enclosure of ln link(I) at one index.
fn log_value(link: Link, index: f64) -> Interval {
    match link {
        Link::Walther => walther_value(Interval::point(index)).ln(),
        _ => log_link(link, Jet::<0>::constant(index)).v,
    }
}

/// ln link(I) over a jet.
fn log_link<const N: usize>(link: Link, index: Jet<N>) -> Jet<N> {
    match link {
        Link::Log => index,
        Link::DoubleLog => index.exp().exp().plus_number(-0.8).ln(),
        Link::Walther => walther(index),
        Link::Identity => index.ln(),
        Link::Reciprocal | Link::Thiele | Link::FlashIndex => Jet {
            v: Interval::WHOLE,
            d: [Interval::WHOLE; N],
            h: [[Interval::WHOLE; N]; N],
        },
    }
}

/// ln ν of ASTM D341's W: ν solves Z(ν) = 10^(10^W).
///
/// The inverse is enclosed by its value at the ends (Z rises), widened by [`INVERSE_ERROR`]; its
/// derivatives follow from those of Z by the rule for inverse functions.
fn walther<const N: usize>(w: Jet<N>) -> Jet<N> {
    let ten = std::f64::consts::LN_10;
    let z = w.times_number(ten).exp().times_number(ten).exp();
    let nu = walther_value(w.v);
    if nu.lo <= 0.0 {
        return Jet {
            v: Interval::WHOLE,
            d: [Interval::WHOLE; N],
            h: [[Interval::WHOLE; N]; N],
        };
    }
    // Z(ν) = ν + 0.7 + E, E = exp(−1.47 − 1.84 ν − 0.51 ν²). With u = −1.84 − 1.02 ν ≤ −1.84, the
    // slope 1 + E u rises (its own slope E (u² − 1.02) is positive) and that slope falls (by
    // E u (u² − 3.06) < 0): the ends enclose both, where one interval for all of ν would lose the
    // sign over a wide box.
    let p = Interval::point;
    let at = |nu: f64| {
        let nu = p(nu);
        let e = (p(-1.47) - p(1.84) * nu - p(0.51) * (nu * nu)).exp();
        let u = -(p(1.84) + p(1.02) * nu);
        (p(1.0) + e * u, e * (u * u - p(1.02)))
    };
    let (low, high) = (at(nu.lo), at(nu.hi));
    let z1 = Interval::new(low.0.lo, high.0.hi);
    let z2 = Interval::new(high.1.lo, low.1.hi);
    if z1.lo <= 0.0 {
        return Jet {
            v: Interval::WHOLE,
            d: [Interval::WHOLE; N],
            h: [[Interval::WHOLE; N]; N],
        };
    }
    let r = z1.recip();
    z.chain(nu, r, -(z2 * r * r * r)).ln()
}

/// An enclosure of ν over an interval of W.
fn walther_value(w: Interval) -> Interval {
    let end = |w: f64| Link::Walther.value(w);
    Interval::new(
        end(w.lo) * (1.0 - INVERSE_ERROR),
        end(w.hi) * (1.0 + INVERSE_ERROR),
    )
}

/// Relative error of the inverse of Z by Newton's method: it stops at a few units of rounding; this
/// is a thousand times that.
const INVERSE_ERROR: f64 = 1e-12;

//! The edge of a viscosity-index limit in the plane of the two viscosities.
//!
//! VI ≥ v holds exactly where ln ν40 ≤ φ(ln ν100), φ the logarithm of the 40 °C viscosity that has
//! index v. On each row of the standard's table φ is `ln(c0 + c1 Y + c2 Y²) − n ln Y`, so a straight
//! line over or under it on any stretch is found by comparing closed-form candidates: the ends, the
//! table's rows, and the one point of each piece where the slopes agree.

use crate::solve::prove::estimate::From;
use crate::solve::prove::interval::Interval;
use crate::standard::viscosity_index;

/// Rounding of a logarithm of a polynomial in double precision, in parts of its size, a thousand
/// times over.
const ROUNDING: f64 = 1e-12;

/// A straight line `slope · t + constant` on one side of φ over a stretch of t = ln ν100, and how
/// far φ is from it at most.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Line {
    /// Slope.
    pub slope: f64,
    /// Constant.
    pub constant: f64,
    /// Largest distance.
    pub slack: f64,
}

/// One piece of φ: `ln(c0 + c1 Y + c2 Y²) − n ln Y` for Y in `over`.
struct Piece {
    c: [f64; 3],
    n: f64,
    over: (f64, f64),
}

impl Piece {
    fn at(&self, y: f64) -> f64 {
        (self.c[0] + y * (self.c[1] + y * self.c[2])).ln() - self.n * y.ln()
    }

    /// Where φ has a given slope by ln Y: (2 − ω) c2 Y² + (1 − ω) c1 Y − ω c0 = 0, ω = slope + n.
    fn same_slope(&self, slope: f64) -> Vec<f64> {
        let w = slope + self.n;
        let (a, b, c) = ((2.0 - w) * self.c[2], (1.0 - w) * self.c[1], -w * self.c[0]);
        let roots = if a.abs() <= f64::EPSILON * b.abs() {
            vec![-c / b]
        } else {
            let root = (b * b - 4.0 * a * c).max(0.0).sqrt();
            vec![(-b + root) / (2.0 * a), (-b - root) / (2.0 * a)]
        };
        let (lo, hi) = self.over;
        roots.into_iter().filter(|y| *y > lo && *y < hi).collect()
    }
}

/// A line on one side of φ over `t`; `None` where φ is not defined all over it.
#[must_use]
pub fn line(vi: f64, t: Interval, from: From) -> Option<Line> {
    // The exponential is rounded: an end must not fall short of a table row or of the seam.
    let outward = 8.0 * f64::EPSILON;
    let (lo, hi) = (
        (t.lo.exp() * (1.0 - outward)).max(viscosity_index::LOWEST_KV100),
        t.hi.exp() * (1.0 + outward),
    );
    if !hi.is_finite() || hi < lo {
        return None;
    }
    let pieces: Vec<Piece> = viscosity_index::pieces(vi, lo, hi)
        .into_iter()
        .map(|(c, n, over)| Piece { c, n, over })
        .collect();
    let (first, last) = (pieces.first()?, pieces.last()?);
    let (left, right) = (first.at(lo), last.at(hi));
    let (t0, t1) = (lo.ln(), hi.ln());
    let slope = if t1 - t0 > 1e-9 {
        (right - left) / (t1 - t0)
    } else {
        let y = lo;
        let u = first.c[0] + y * (first.c[1] + y * first.c[2]);
        y * (first.c[1] + 2.0 * first.c[2] * y) / u - first.n
    };
    let mut low = f64::INFINITY;
    let mut high = f64::NEG_INFINITY;
    for piece in &pieces {
        let mut points = piece.same_slope(slope);
        points.extend([piece.over.0, piece.over.1]);
        for y in points {
            let off = piece.at(y) - slope * y.ln();
            if !off.is_finite() {
                return None;
            }
            low = low.min(off);
            high = high.max(off);
        }
    }
    let pad = ROUNDING * (1.0 + high.abs() + low.abs() + slope.abs() * t.magnitude());
    let constant = match from {
        From::Above => high + pad,
        From::Below => low - pad,
    };
    Some(Line {
        slope,
        constant,
        slack: high - low + 2.0 * pad,
    })
}

/// The highest value of φ over a stretch (from above), or its lowest (from below); `None` where φ is
/// not defined at the end that decides.
///
/// φ rises, but for one fall: at the end of the standard's table. So the far end decides, and that
/// place where the stretch holds it.
#[must_use]
pub fn extreme(vi: f64, t: Interval, from: From) -> Option<f64> {
    let at = |t: f64| {
        let line = line(vi, Interval::point(t), from)?;
        Some(line.slope * t + line.constant)
    };
    let seam = viscosity_index::SEAM.ln();
    let held = t.lo - SEAM_ROOM <= seam && seam <= t.hi + SEAM_ROOM;
    let far = at(match from {
        From::Above => t.hi,
        From::Below => t.lo,
    })?;
    let fallen = if held { at(seam)? } else { far };
    Some(match from {
        From::Above => far.max(fallen),
        From::Below => far.min(fallen),
    })
}

/// A stretch that ends this near to the table's end, in ln ν, counts as holding it.
const SEAM_ROOM: f64 = 1e-9;

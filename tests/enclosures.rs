//! The bounds that proofs stand on, tried at thousands of points over wide boxes; and the same
//! bounds with their safety left out, which must fail there, or the trials would show nothing.

mod support;

use support::Random;
use treatrate::declare::problem::ThickeningLaw;
use treatrate::predict::formula::density_at;
use treatrate::predict::link::Link;
use treatrate::quantity::Celsius;
use treatrate::solve::prove::estimate::{Bound, Cell, From, LogViscosity, bound, enclose};
use treatrate::solve::prove::index_edge;
use treatrate::solve::prove::interval::Interval;
use treatrate::solve::prove::jet::Jet;
use treatrate::standard::viscosity_index::{SEAM, kv40_for, viscosity_index};

/// Rounding of a logarithm of a viscosity computed in plain arithmetic.
const ROUNDING: f64 = 1e-11;

/// A bound without its remainder must be wrong by more than this somewhere, in ln ν: a tenth of a
/// percent of a viscosity.
const TEETH: f64 = 1e-3;

/// Boxes tried for each link and law, and points in each.
const BOXES: usize = 120;
const POINTS: usize = 60;

const LINKS: [Link; 3] = [Link::DoubleLog, Link::Walther, Link::Log];

fn log_viscosity(link: Link, law: ThickeningLaw, dynamic: bool, at: Celsius) -> LogViscosity {
    LogViscosity {
        link,
        index: 0,
        weight: 1,
        volume: Some(2),
        kept: Some(3),
        crowding: Some(4),
        law,
        at,
        dynamic,
    }
}

/// F at a point, in plain arithmetic.
fn plain(f: &LogViscosity, index: f64, [q, k, v]: [f64; 3]) -> f64 {
    let density: f64 = density_at(v.recip(), f.at);
    let g = match f.law {
        ThickeningLaw::Martin => (k * density).exp(),
        ThickeningLaw::Huggins => 1.0 + k * density,
    };
    let nu: f64 = f.link.value(index);
    nu.ln() + (1.0 + q * density * g).ln() + if f.dynamic { density.ln() } else { 0.0 }
}

fn stretch(r: &mut Random, lo: f64, hi: f64, narrow: bool) -> Interval {
    let (a, b) = (r.between(lo, hi), r.between(lo, hi));
    let b = if narrow { a + 0.01 * (b - a) } else { b };
    Interval::new(a.min(b), a.max(b))
}

/// A box: the first as wide as a whole shelf, others of any width.
fn cell(r: &mut Random, link: Link, k: usize) -> Cell {
    let of = |nu: f64| link.index(nu).expect("a viscosity");
    let whole = k == 0;
    let narrow = k % 4 == 3;
    if whole {
        return Cell {
            index: Interval::new(of(1.2), of(1_500.0)),
            rest: [
                Interval::new(0.0, 6.0),
                Interval::new(0.0, 3.0),
                Interval::new(0.9, 1.25),
            ],
        };
    }
    Cell {
        index: stretch(r, of(1.2), of(1_500.0), narrow),
        rest: [
            stretch(r, 0.0, 6.0, narrow),
            stretch(r, 0.0, 3.0, narrow),
            stretch(r, 0.9, 1.25, narrow),
        ],
    }
}

/// A point of an interval: an end now and then.
fn inside(r: &mut Random, over: Interval) -> f64 {
    match r.below(5) {
        0 => over.lo,
        1 => over.hi,
        _ => r.between(over.lo, over.hi).clamp(over.lo, over.hi),
    }
}

fn points(r: &mut Random, cell: &Cell) -> Vec<(f64, [f64; 3])> {
    (0..POINTS)
        .map(|_| (inside(r, cell.index), cell.rest.map(|over| inside(r, over))))
        .collect()
}

fn at(b: &Bound, index: f64, rest: [f64; 3]) -> f64 {
    let sum: f64 = b.gamma.iter().zip(rest).map(|(g, x)| g * x).sum();
    b.alpha * index + sum + b.constant
}

/// How far a value is on the wrong side of a bound, positive when it is wrong.
fn wrong_by(from: From, bound: f64, value: f64) -> f64 {
    match from {
        From::Below => bound - value,
        From::Above => value - bound,
    }
}

/// Runs over every link, law, kind and side.
fn shapes(mut check: impl FnMut(&LogViscosity, From, &mut Random)) {
    let mut r = Random::new(11);
    for link in LINKS {
        for law in ThickeningLaw::ALL {
            for (dynamic, at) in [(false, 40), (false, 100), (true, 150), (false, -30)] {
                let f = log_viscosity(link, law, dynamic, Celsius::whole(at));
                for from in [From::Below, From::Above] {
                    check(&f, from, &mut r);
                }
            }
        }
    }
}

#[test]
fn estimates_hold_over_wide_boxes() {
    let mut tried = 0;
    shapes(|f, from, r| {
        for k in 0..BOXES {
            let cell = cell(r, f.link, k);
            let Some(b) = bound(f, &cell, from) else {
                continue;
            };
            let over = enclose(f, &cell);
            for (index, rest) in points(r, &cell) {
                let value = plain(f, index, rest);
                let size = 1.0 + at(&b, index, rest).abs() + b.constant.abs();
                assert!(
                    wrong_by(from, at(&b, index, rest), value) <= ROUNDING * size,
                    "{f:?} {from:?} over {cell:?} at {index}, {rest:?}"
                );
                let slack = ROUNDING * (1.0 + value.abs());
                assert!(
                    over.lo - slack <= value && value <= over.hi + slack,
                    "{f:?}: {value} outside {over:?}"
                );
                tried += 1;
            }
        }
    });
    assert!(tried > 200_000, "only {tried} points were tried");
}

#[test]
fn the_whole_shelf_has_a_bound() {
    shapes(|f, from, r| {
        let cell = cell(r, f.link, 0);
        assert!(bound(f, &cell, from).is_some(), "{f:?} {from:?}");
    });
}

#[test]
fn estimates_tighten_with_the_box() {
    shapes(|f, from, r| {
        let wide = cell(r, f.link, 0);
        let middle = wide.index.middle();
        let rest = wide.rest.map(Interval::middle);
        let value = plain(f, middle, rest);
        let around = |c: f64, w: f64| Interval::new(c - w, c + w);
        let distance = |w: f64| {
            let cell = Cell {
                index: around(middle, w * (wide.index.hi - wide.index.lo)),
                rest: std::array::from_fn(|i| {
                    around(rest[i], w * (wide.rest[i].hi - wide.rest[i].lo))
                }),
            };
            let b = bound(f, &cell, from).expect("a small box");
            (at(&b, middle, rest) - value).abs()
        };
        // Slack falls with the square of the width: otherwise branching would not end.
        assert!(distance(1e-3) < 1e-4, "{f:?}: {}", distance(1e-3));
        assert!(distance(1e-4) < 1e-6, "{f:?}: {}", distance(1e-4));
    });
}

#[test]
fn a_tangent_without_its_remainder_would_be_wrong() {
    shapes(|f, from, r| {
        let mut worst: f64 = 0.0;
        for k in 0..BOXES {
            let cell = cell(r, f.link, k);
            let Some(b) = bound(f, &cell, from) else {
                continue;
            };
            // The same slopes through the value at the centre, nothing added.
            let centre = (cell.index.middle(), cell.rest.map(Interval::middle));
            let naive = Bound {
                constant: b.constant + plain(f, centre.0, centre.1) - at(&b, centre.0, centre.1),
                ..b
            };
            for (index, rest) in points(r, &cell) {
                let value = plain(f, index, rest);
                worst = worst.max(wrong_by(from, at(&naive, index, rest), value));
            }
        }
        assert!(worst > TEETH, "{f:?} {from:?}: wrong by {worst} at most");
    });
}

#[test]
fn a_chord_without_its_remainder_would_be_wrong_on_one_side() {
    for link in [Link::DoubleLog, Link::Walther] {
        let mut worst = [0.0_f64; 2];
        let of = |nu: f64| link.index(nu).expect("a viscosity");
        let (lo, hi) = (of(1.5), of(300.0));
        let ln = |index: f64| {
            let nu: f64 = link.value(index);
            nu.ln()
        };
        for k in 0..=100 {
            let t = f64::from(k) / 100.0;
            let off = ln(lo + t * (hi - lo)) - (ln(lo) + t * (ln(hi) - ln(lo)));
            worst = [worst[0].max(off), worst[1].max(-off)];
        }
        assert!(worst.iter().any(|w| *w > TEETH), "{link:?}: {worst:?}");
    }
}

/// φ: the logarithm of the viscosity at 40 °C that has index `vi`.
fn edge(vi: f64, t: f64) -> Option<f64> {
    kv40_for(vi, t.exp()).map(f64::ln).filter(|u| u.is_finite())
}

/// A stretch of ln KV100: across the whole table, across its seam, between two rows, or any.
fn stretch_of_t(r: &mut Random, k: usize) -> Interval {
    let ends = match k % 5 {
        0 => (2.0, 300.0),
        1 => (SEAM * r.between(0.6, 0.999), SEAM * r.between(1.001, 2.0)),
        2 => {
            let y = r.around(2.0, 60.0);
            (y, y * r.between(1.0, 1.05))
        }
        _ => {
            let (a, b) = (r.around(2.0, 300.0), r.around(2.0, 300.0));
            (a.min(b), a.max(b))
        }
    };
    Interval::new(f64::ln(ends.0), f64::ln(ends.1))
}

/// An index: around the change of procedures at 100 now and then.
fn index(r: &mut Random) -> f64 {
    match r.below(4) {
        0 => 100.0,
        1 => r.between(99.0, 101.0),
        _ => r.between(-60.0, 300.0),
    }
}

#[test]
fn index_edges_hold_over_wide_stretches() {
    let mut r = Random::new(23);
    let (mut tried, mut naive) = (0, [0.0_f64; 2]);
    for k in 0..4_000 {
        let vi = index(&mut r);
        let t = stretch_of_t(&mut r, k);
        for (side, from) in [From::Below, From::Above].into_iter().enumerate() {
            let Some(line) = index_edge::line(vi, t, from) else {
                continue;
            };
            let first = edge(vi, t.lo.max(f64::ln(2.0) + 1e-15));
            for _ in 0..20 {
                let at = inside(&mut r, t);
                let Some(value) = edge(vi, at) else { continue };
                let off = wrong_by(from, line.slope * at + line.constant, value);
                assert!(
                    off <= ROUNDING * (1.0 + value.abs()),
                    "VI {vi} {from:?} over {t:?} at {at}: wrong by {off}"
                );
                assert!(-off <= line.slack + ROUNDING * (1.0 + value.abs()));
                if let Some(first) = first {
                    let chord = first + line.slope * (at - t.lo);
                    naive[side] = naive[side].max(wrong_by(from, chord, value));
                }
                tried += 1;
            }
        }
    }
    assert!(tried > 100_000, "only {tried} points were tried");
    assert!(naive.iter().all(|w| *w > TEETH), "{naive:?}");
}

#[test]
fn index_edges_are_where_the_index_is() {
    let mut r = Random::new(29);
    for _ in 0..5_000 {
        let (vi, y) = (index(&mut r), r.around(2.0, 300.0));
        let Some(u) = kv40_for(vi, y).filter(|u| *u > 0.0) else {
            continue;
        };
        let found: Option<f64> = viscosity_index(u, y);
        assert!(
            found.is_some_and(|f| (f - vi).abs() < 1e-6),
            "{vi} at {y}: {found:?}"
        );
    }
}

/// The error of a sum or product in double precision, exactly (Knuth; fused multiply–add).
fn sum_error(a: f64, b: f64) -> f64 {
    let s = a + b;
    let t = s - a;
    (a - (s - t)) + (b - t)
}

/// Whether `over` holds the exact number `rounded + error`, `error` below half a step.
fn holds_exactly(over: Interval, rounded: f64, error: f64) -> bool {
    (over.lo < rounded || over.lo <= rounded && error >= 0.0)
        && (over.hi > rounded || over.hi >= rounded && error <= 0.0)
}

#[test]
fn interval_operations_hold_the_exact_result() {
    let mut r = Random::new(31);
    for _ in 0..20_000 {
        let (wa, wb) = (r.around(1e-6, 10.0), r.around(1e-6, 10.0));
        let (a, b) = (r.between(-5.0, 5.0), r.between(-5.0, 5.0));
        let (ia, ib) = (Interval::new(a, a + wa), Interval::new(b, b + wb));
        let (x, y) = (inside(&mut r, ia), inside(&mut r, ib));
        assert!(holds_exactly(ia + ib, x + y, sum_error(x, y)));
        assert!(holds_exactly(ia - ib, x - y, sum_error(x, -y)));
        assert!(holds_exactly(ia * ib, x * y, x.mul_add(y, -(x * y))));
        assert!(ia.recip().holds(x.recip()) && ia.exp().holds(x.exp()));
        if x > 0.0 {
            assert!(ia.ln().holds(x.ln()));
        }
        // One number in: the result is not that number's rounding but holds the exact value.
        let (px, py) = (Interval::point(x), Interval::point(y));
        assert!(holds_exactly(px * py, x * y, x.mul_add(y, -(x * y))));
        assert!(holds_exactly(px + py, x + y, sum_error(x, y)));
        // 1/x = q + e/x with e = 1 − q x, which a fused multiply–add gives exactly.
        let q = x.recip();
        let e = (-q).mul_add(x, 1.0) / x;
        assert!(holds_exactly(px.recip(), q, e));
        assert!(px.exp().ln().holds(x), "ln exp {x}");
        if x > 0.0 {
            assert!(px.ln().exp().holds(x), "exp ln {x}");
        }
    }
}

/// A function of two variables that uses every operation of a jet.
fn jet(x: Jet<2>, y: Jet<2>) -> Jet<2> {
    let s = x.times(y).plus_number(1.5).ln();
    let t = y.times_number(-0.7).exp().times(x.recip());
    s.plus(t).times(s)
}

/// The same with its first derivatives, by hand.
fn by_hand(x: f64, y: f64) -> (f64, [f64; 2]) {
    let u = x * y + 1.5;
    let s = u.ln();
    let t = (-0.7 * y).exp() / x;
    let (sx, sy) = (y / u, x / u);
    let (tx, ty) = (-t / x, -0.7 * t);
    (
        (s + t) * s,
        [(sx + tx) * s + (s + t) * sx, (sy + ty) * s + (s + t) * sy],
    )
}

#[test]
fn jets_hold_values_slopes_and_curvatures() {
    const STEP: f64 = 1e-5;
    let mut r = Random::new(37);
    for _ in 0..3_000 {
        let over: [Interval; 2] = std::array::from_fn(|_| {
            let lo = r.between(0.2, 3.0);
            Interval::new(lo, lo + r.around(1e-5, 1.0))
        });
        let found = jet(Jet::variable(0, over[0]), Jet::variable(1, over[1]));
        let (x, y) = (inside(&mut r, over[0]), inside(&mut r, over[1]));
        let (value, slope) = by_hand(x, y);
        let within = |i: Interval, v: f64, room: f64| i.lo - room <= v && v <= i.hi + room;
        assert!(within(found.v, value, 1e-13 * (1.0 + value.abs())));
        for (i, slope) in slope.iter().enumerate() {
            assert!(within(found.d[i], *slope, 1e-13 * (1.0 + slope.abs())));
            for j in 0..2 {
                let shift = |by: f64| if j == 0 { (x + by, y) } else { (x, y + by) };
                let (up, down) = (shift(STEP), shift(-STEP));
                let h = (by_hand(up.0, up.1).1[i] - by_hand(down.0, down.1).1[i]) / (2.0 * STEP);
                assert!(within(found.h[i][j], h, 1e-6 * (1.0 + h.abs())));
            }
        }
    }
}

//! Intervals with outward rounding.
//!
//! Every operation returns an interval that holds the exact result for every choice of operands from
//! the given intervals: each bound is computed in double precision and moved outward, by one step for
//! the four operations (IEEE 754 rounds them correctly) and by `LIBRARY_STEPS` for `exp` and `ln`
//! (the platform's are within one step or two of the exact value).

use std::ops::Add;
use std::ops::Mul;
use std::ops::Neg;
use std::ops::Sub;

/// Steps outward that cover the error of a mathematical library's `exp` and `ln`.
const LIBRARY_STEPS: u64 = 4;

/// All numbers from `lo` to `hi`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Interval {
    /// Lower end.
    pub lo: f64,
    /// Upper end; not below `lo`.
    pub hi: f64,
}

fn down(x: f64, steps: u64) -> f64 {
    -up(-x, steps)
}

/// So many steps up; the numbers of one sign follow one another as their bits do.
fn up(x: f64, steps: u64) -> f64 {
    let bits = x.to_bits();
    let most = f64::MAX.to_bits() - steps;
    if x > 0.0 && bits <= most {
        f64::from_bits(bits + steps)
    } else if x < 0.0 && x.is_finite() && (-x).to_bits() > steps {
        f64::from_bits(bits - steps)
    } else {
        (0..steps).fold(x, |x, _| x.next_up())
    }
}

impl Interval {
    /// Everything.
    pub const WHOLE: Interval = Interval {
        lo: f64::NEG_INFINITY,
        hi: f64::INFINITY,
    };

    /// From ends in order.
    #[must_use]
    pub fn new(lo: f64, hi: f64) -> Self {
        if lo.is_nan() || hi.is_nan() {
            Self::WHOLE
        } else {
            Interval { lo, hi }
        }
    }

    /// One number.
    #[must_use]
    pub fn point(x: f64) -> Self {
        Self::new(x, x)
    }

    /// Half the width, rounded up.
    #[must_use]
    pub fn radius(self) -> f64 {
        ((self.hi - self.lo) * 0.5).next_up()
    }

    /// Width, rounded up.
    #[must_use]
    pub fn width(self) -> f64 {
        (self.hi - self.lo).next_up()
    }

    /// A number in the middle.
    #[must_use]
    pub fn middle(self) -> f64 {
        (self.lo + (self.hi - self.lo) * 0.5).clamp(self.lo, self.hi)
    }

    /// The largest absolute value.
    #[must_use]
    pub fn magnitude(self) -> f64 {
        self.lo.abs().max(self.hi.abs())
    }

    /// Whether a number lies inside.
    #[must_use]
    pub fn holds(self, x: f64) -> bool {
        self.lo <= x && x <= self.hi
    }

    /// e^x.
    #[must_use]
    pub fn exp(self) -> Self {
        Interval::new(
            down(self.lo.exp(), LIBRARY_STEPS).max(0.0),
            up(self.hi.exp(), LIBRARY_STEPS),
        )
    }

    /// ln x; reaches to minus infinity where the interval reaches zero or below.
    #[must_use]
    pub fn ln(self) -> Self {
        let lo = if self.lo > 0.0 {
            down(self.lo.ln(), LIBRARY_STEPS)
        } else {
            f64::NEG_INFINITY
        };
        Interval::new(lo, up(self.hi.max(0.0).ln(), LIBRARY_STEPS))
    }

    /// 1/x; everything where the interval holds zero.
    #[must_use]
    pub fn recip(self) -> Self {
        if self.lo > 0.0 || self.hi < 0.0 {
            Interval::new(self.hi.recip().next_down(), self.lo.recip().next_up())
        } else {
            Self::WHOLE
        }
    }

    /// What of it is not below nothing, for what cannot be.
    #[must_use]
    pub fn nonnegative(self) -> Self {
        Interval::new(self.lo.max(0.0), self.hi.max(0.0))
    }

    /// The part shared with another; `None` where there is none.
    #[must_use]
    pub fn meet(self, other: Self) -> Option<Self> {
        let (lo, hi) = (self.lo.max(other.lo), self.hi.min(other.hi));
        (lo <= hi).then_some(Interval { lo, hi })
    }
}

impl Add for Interval {
    type Output = Self;
    #[inline]
    fn add(self, o: Self) -> Self {
        Interval::new((self.lo + o.lo).next_down(), (self.hi + o.hi).next_up())
    }
}

impl Neg for Interval {
    type Output = Self;
    fn neg(self) -> Self {
        Interval {
            lo: -self.hi,
            hi: -self.lo,
        }
    }
}

impl Sub for Interval {
    type Output = Self;
    fn sub(self, o: Self) -> Self {
        self + -o
    }
}

impl Interval {
    /// Product with a number.
    #[must_use]
    pub fn times(self, x: f64) -> Self {
        let (a, b) = (self.lo * x, self.hi * x);
        if a.is_nan() || b.is_nan() {
            return Self::WHOLE;
        }
        let (lo, hi) = if a <= b { (a, b) } else { (b, a) };
        Interval {
            lo: lo.next_down(),
            hi: hi.next_up(),
        }
    }
}

impl Mul for Interval {
    type Output = Self;
    #[inline]
    fn mul(self, o: Self) -> Self {
        let (a, b) = (self.lo * o.lo, self.lo * o.hi);
        let (c, d) = (self.hi * o.lo, self.hi * o.hi);
        // Anything that is no number makes the sum none.
        if (a + b + c + d).is_nan() && [a, b, c, d].iter().any(|p| p.is_nan()) {
            return Self::WHOLE;
        }
        let less = |a: f64, b: f64| if b < a { b } else { a };
        let more = |a: f64, b: f64| if b > a { b } else { a };
        Interval {
            lo: less(less(a, b), less(c, d)).next_down(),
            hi: more(more(a, b), more(c, d)).next_up(),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::{down, up};

    #[test]
    fn steps_by_bits_are_steps_one_by_one() {
        let tiny = f64::from_bits(3);
        let all = [
            0.0,
            1.0,
            0.1,
            1e300,
            tiny,
            f64::MIN_POSITIVE,
            f64::MAX,
            f64::INFINITY,
        ];
        for x in all.into_iter().flat_map(|x| [x, -x]) {
            let one_by_one = (0..4).fold(x, |x, _| x.next_up());
            assert_eq!(up(x, 4).to_bits(), one_by_one.to_bits(), "{x} up");
            let one_by_one = (0..4).fold(x, |x, _| x.next_down());
            assert_eq!(down(x, 4).to_bits(), one_by_one.to_bits(), "{x} down");
        }
        assert!(up(f64::NAN, 4).is_nan());
    }
}

//! A function of a few variables over a box: enclosures of its value, slopes and curvatures.
//!
//! Forward propagation of second-order Taylor coefficients in interval arithmetic: every entry
//! encloses the exact value of that derivative at every point of the box.

use crate::solve::prove::interval::Interval;

/// Value, slopes and curvatures in `N` variables.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Jet<const N: usize> {
    /// The value.
    pub v: Interval,
    /// First derivatives.
    pub d: [Interval; N],
    /// Second derivatives.
    pub h: [[Interval; N]; N],
}

const ZERO: Interval = Interval { lo: 0.0, hi: 0.0 };

impl<const N: usize> Jet<N> {
    /// A number.
    #[must_use]
    pub fn constant(x: f64) -> Self {
        Jet {
            v: Interval::point(x),
            d: [ZERO; N],
            h: [[ZERO; N]; N],
        }
    }

    /// The i-th variable, over an interval.
    #[must_use]
    pub fn variable(i: usize, over: Interval) -> Self {
        let mut jet = Self::constant(0.0);
        jet.v = over;
        jet.d[i] = Interval::point(1.0);
        jet
    }

    /// A function of one variable applied, given enclosures of its value and two derivatives over
    /// `self.v`.
    #[must_use]
    pub fn chain(self, f: Interval, f1: Interval, f2: Interval) -> Self {
        let mut out = Self::constant(0.0);
        out.v = f;
        for i in 0..N {
            out.d[i] = f1 * self.d[i];
            for j in 0..=i {
                out.h[i][j] = f1 * self.h[i][j] + f2 * (self.d[i] * self.d[j]);
                out.h[j][i] = out.h[i][j];
            }
        }
        out
    }

    /// Sum.
    #[must_use]
    pub fn plus(self, o: Self) -> Self {
        let mut out = self;
        out.v = self.v + o.v;
        for i in 0..N {
            out.d[i] = self.d[i] + o.d[i];
            for j in 0..N {
                out.h[i][j] = self.h[i][j] + o.h[i][j];
            }
        }
        out
    }

    /// Sum with a number.
    #[must_use]
    pub fn plus_number(self, x: f64) -> Self {
        Jet {
            v: self.v + Interval::point(x),
            ..self
        }
    }

    /// Product.
    #[must_use]
    pub fn times(self, o: Self) -> Self {
        let mut out = self;
        out.v = self.v * o.v;
        for i in 0..N {
            out.d[i] = self.d[i] * o.v + self.v * o.d[i];
            for j in 0..=i {
                out.h[i][j] = self.h[i][j] * o.v
                    + self.v * o.h[i][j]
                    + (self.d[i] * o.d[j] + self.d[j] * o.d[i]);
                out.h[j][i] = out.h[i][j];
            }
        }
        out
    }

    /// Product with a number.
    #[must_use]
    pub fn times_number(self, x: f64) -> Self {
        let mut out = self;
        out.v = self.v.times(x);
        for i in 0..N {
            out.d[i] = self.d[i].times(x);
            for j in 0..N {
                out.h[i][j] = self.h[i][j].times(x);
            }
        }
        out
    }

    /// e^x.
    #[must_use]
    pub fn exp(self) -> Self {
        let e = self.v.exp();
        self.chain(e, e, e)
    }

    /// ln x.
    #[must_use]
    pub fn ln(self) -> Self {
        let r = self.v.recip();
        self.chain(self.v.ln(), r, -(r * r))
    }

    /// 1/x.
    #[must_use]
    pub fn recip(self) -> Self {
        let r = self.v.recip();
        let r2 = r * r;
        self.chain(r, -r2, r2 * r * Interval::point(2.0))
    }
}

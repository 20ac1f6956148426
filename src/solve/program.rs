//! A linear program as plain data. The primal, the dual, the elastic program and every check are
//! derived from it, and no back end is trusted beyond what plain arithmetic confirms.

/// `lower ≤ Σ coefficients · x ≤ upper`; an infinite side is no limit.
#[derive(Debug, Clone, PartialEq)]
pub struct Row {
    /// Dense, one for each variable.
    pub coefficients: Vec<f64>,
    /// Lower side.
    pub lower: f64,
    /// Upper side.
    pub upper: f64,
}

impl Row {
    /// The row's value at a point.
    #[must_use]
    pub fn value(&self, x: &[f64]) -> f64 {
        self.coefficients.iter().zip(x).map(|(a, x)| a * x).sum()
    }

    /// Size of the row's largest coefficient, at least its finite sides, never 0: violations are
    /// measured against it.
    #[must_use]
    pub fn scale(&self) -> f64 {
        let sides = [self.lower, self.upper]
            .into_iter()
            .filter(|s| s.is_finite());
        let largest = self
            .coefficients
            .iter()
            .copied()
            .chain(sides)
            .fold(0.0_f64, |m, a| m.max(a.abs()));
        if largest > 0.0 { largest } else { 1.0 }
    }
}

/// Minimise `cost · x` over rows and finite bounds on every variable.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Program {
    /// One for each variable.
    pub cost: Vec<f64>,
    /// Lower bounds; finite.
    pub lower: Vec<f64>,
    /// Upper bounds; finite.
    pub upper: Vec<f64>,
    /// Rows.
    pub rows: Vec<Row>,
}

impl Program {
    /// Number of variables.
    #[must_use]
    pub fn width(&self) -> usize {
        self.cost.len()
    }

    /// The goal at a point.
    #[must_use]
    pub fn goal(&self, x: &[f64]) -> f64 {
        self.cost.iter().zip(x).map(|(c, x)| c * x).sum()
    }

    /// Adds two columns for each, how far it rises and how far it falls from a value, mass fractions all, at
    /// no cost.
    pub fn measure_from(&mut self, values: &[f64]) {
        let n = values.len();
        for row in &mut self.rows {
            row.coefficients.resize(3 * n, 0.0);
        }
        self.cost.resize(3 * n, 0.0);
        self.lower.resize(3 * n, 0.0);
        self.upper.resize(3 * n, 1.0);
        for (k, &at) in values.iter().enumerate() {
            let mut coefficients = vec![0.0; 3 * n];
            coefficients[k] = 1.0;
            coefficients[n + k] = -1.0;
            coefficients[2 * n + k] = 1.0;
            self.rows.push(Row {
                coefficients,
                lower: at,
                upper: at,
            });
        }
    }

    /// The largest violation of any row or bound at a point, each row over its scale.
    #[must_use]
    pub fn violation(&self, x: &[f64]) -> f64 {
        let rows = self.rows.iter().map(|row| {
            let v = row.value(x);
            (row.lower - v).max(v - row.upper).max(0.0) / row.scale()
        });
        let bounds = x
            .iter()
            .zip(self.lower.iter().zip(&self.upper))
            .map(|(x, (lo, hi))| (lo - x).max(x - hi).max(0.0));
        rows.chain(bounds).fold(0.0, f64::max)
    }

    /// The bound that row multipliers prove: `cost · x ≥ bound(y)` for every x that meets the rows
    /// and bounds, whatever `y` is.
    ///
    /// ```text
    /// c·x = y·Ax + (c − Aᵀy)·x ≥ Σ_i min over the row's sides of y_i r_i + Σ_j min over the bounds of d_j x_j
    /// ```
    ///
    /// Minus infinity where a multiplier leans on an infinite side. The rounding of the sums is
    /// subtracted: with k terms it is at most k units of 1.1e-16 of the terms' sizes (Higham 2002,
    /// section 3.1), taken here four times over.
    #[must_use]
    pub fn bound(&self, cost: &[f64], y: &[f64]) -> f64 {
        let (bound, rounding) = self.bound_and_rounding(cost, y);
        bound - rounding
    }

    /// The same before the rounding is subtracted, and the rounding.
    #[must_use]
    pub fn bound_and_rounding(&self, cost: &[f64], y: &[f64]) -> (f64, f64) {
        let mut reduced = cost.to_vec();
        let mut sizes: Vec<f64> = cost.iter().map(|c| c.abs()).collect();
        let (mut bound, mut size) = (0.0, 0.0);
        for (row, &y) in self.rows.iter().zip(y) {
            if y == 0.0 {
                continue;
            }
            let part = y * if y > 0.0 { row.lower } else { row.upper };
            bound += part;
            size += part.abs();
            for ((d, s), a) in reduced.iter_mut().zip(&mut sizes).zip(&row.coefficients) {
                *d -= y * a;
                *s += (y * a).abs();
            }
        }
        for ((d, s), (lo, hi)) in reduced
            .iter()
            .zip(&sizes)
            .zip(self.lower.iter().zip(&self.upper))
        {
            let part = d * if *d > 0.0 { lo } else { hi };
            bound += part;
            size += s * lo.abs().max(hi.abs());
        }
        #[expect(clippy::cast_precision_loss, reason = "a count of rows and columns")]
        let terms = (self.rows.len() + self.width() + 2) as f64;
        let rounding = 4.0 * f64::EPSILON * terms * size;
        if (bound - rounding).is_nan() {
            (f64::NEG_INFINITY, 0.0)
        } else {
            (bound, rounding)
        }
    }
}

//! Many small causes of a few numbers, as few: a factor of their covariance.

/// A correlation that is left below this is rounding: the totals have no more independent directions.
const NOTHING: f64 = 1e-12;

/// A lower-trapezoidal matrix F with F Fᵀ = M Mᵀ: `rows[t]` is what each of `rank` independent unit
/// causes moves number t.
#[derive(Debug, Clone, PartialEq)]
pub struct Factor {
    /// One row a number, each of length `rank`.
    pub rows: Vec<Vec<f64>>,
    /// How many independent causes are left.
    pub rank: usize,
}

/// Factors the covariance of numbers of which `moves[c][t]` is what unit cause c moves number t:
/// Cholesky's method with the largest remaining variance first (N. J. Higham, *Accuracy and Stability
/// of Numerical Algorithms*, chapter 10), on correlations, for the numbers have many units.
#[must_use]
pub fn factor(moves: &[&[f64]], numbers: usize) -> Factor {
    let sizes: Vec<f64> = (0..numbers)
        .map(|t| moves.iter().map(|m| m[t] * m[t]).sum::<f64>().sqrt())
        .collect();
    let scaled = |c: &[f64], t: usize| {
        if sizes[t] > 0.0 { c[t] / sizes[t] } else { 0.0 }
    };
    let mut left: Vec<f64> = sizes.iter().map(|s| f64::from(*s > 0.0)).collect();
    let mut rows: Vec<Vec<f64>> = vec![Vec::new(); numbers];
    let mut rank = 0;
    while rank < numbers.min(moves.len()) {
        let Some((pivot, most)) = left
            .iter()
            .copied()
            .enumerate()
            .max_by(|a, b| a.1.total_cmp(&b.1).then(b.0.cmp(&a.0)))
        else {
            break;
        };
        if most <= NOTHING {
            break;
        }
        let root = most.sqrt();
        let at_pivot = rows[pivot].clone();
        for t in 0..numbers {
            let together: f64 = moves.iter().map(|m| scaled(m, t) * scaled(m, pivot)).sum();
            let told: f64 = rows[t].iter().zip(&at_pivot).map(|(a, b)| a * b).sum();
            let value = (together - told) / root;
            rows[t].push(value);
            left[t] = (left[t] - value * value).max(0.0);
        }
        // What has been a pivot has no variance left, whatever rounding says.
        left[pivot] = 0.0;
        rank += 1;
    }
    for (row, size) in rows.iter_mut().zip(&sizes) {
        for value in row {
            *value *= size;
        }
    }
    Factor { rows, rank }
}

#[cfg(test)]
mod tests {
    use super::factor;

    #[test]
    fn the_covariance_is_kept() {
        // Four causes of three numbers of very different size, the third twice the second.
        let moves: [&[f64]; 4] = [
            &[1e3, 2e-3, 4e-3],
            &[0.0, 1e-3, 2e-3],
            &[5e2, 0.0, 0.0],
            &[0.0, -3e-3, -6e-3],
        ];
        let found = factor(&moves, 3);
        assert_eq!(found.rank, 2);
        for a in 0..3 {
            for b in 0..3 {
                let wanted: f64 = moves.iter().map(|m| m[a] * m[b]).sum();
                let got: f64 = (0..found.rank)
                    .map(|k| found.rows[a][k] * found.rows[b][k])
                    .sum();
                let size: f64 = [a, b]
                    .map(|t| moves.iter().map(|m| m[t] * m[t]).sum::<f64>().sqrt())
                    .iter()
                    .product();
                assert!((wanted - got).abs() < 1e-12 * size, "{a} {b}");
            }
        }
        assert_eq!(factor(&[&[0.0, 0.0]], 2).rank, 0);
    }
}

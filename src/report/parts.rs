//! Rounding a whole into printed parts that add up to it.

/// Rounds each weight's part of a whole, in units of the last printed digit, so that the parts add up
/// to exactly `units`: the largest remainders are rounded up, earlier ones first where they tie.
///
/// Weights are finite and not negative and need not add up to 1; where all are 0, so are the parts.
#[must_use]
pub fn of_whole(weights: &[f64], units: u32) -> Vec<u32> {
    let sum: f64 = weights.iter().sum();
    if sum <= 0.0 || !sum.is_finite() {
        return vec![0; weights.len()];
    }
    let exact: Vec<f64> = weights.iter().map(|w| w / sum * f64::from(units)).collect();
    let mut parts: Vec<u32> = exact.iter().map(|e| whole(*e)).collect();
    let mut order: Vec<usize> = (0..weights.len()).collect();
    order.sort_by(|&a, &b| (exact[b] - exact[b].floor()).total_cmp(&(exact[a] - exact[a].floor())));
    let given: u32 = parts.iter().sum();
    let missing = usize::try_from(units.saturating_sub(given)).unwrap_or(usize::MAX);
    for &index in order.iter().take(missing) {
        parts[index] += 1;
    }
    parts
}

/// The nearest count of units in an amount, at most about four thousand million.
#[must_use]
pub fn units(amount: f64) -> u32 {
    whole(amount.round())
}

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "a float-to-integer cast saturates, and printed amounts are far below its end"
)]
fn whole(amount: f64) -> u32 {
    amount.floor() as u32
}

#[cfg(test)]
mod tests {
    use super::of_whole;
    use proptest::prelude::{prop, prop_assert, prop_assert_eq, proptest};

    #[test]
    fn thirds_add_up() {
        assert_eq!(of_whole(&[1.0, 1.0, 1.0], 100), [34, 33, 33]);
        assert_eq!(of_whole(&[0.29, 0.71], 100_000), [29_000, 71_000]);
        assert_eq!(of_whole(&[0.0, 0.0], 100), [0, 0]);
    }

    proptest! {
        #[test]
        fn parts_add_up_and_none_is_off_by_a_unit(
            weights in prop::collection::vec(0.0..1.0_f64, 1..20),
            units in 1_u32..1_000_000,
        ) {
            let sum: f64 = weights.iter().sum();
            let parts = of_whole(&weights, units);
            if sum > 0.0 {
                prop_assert_eq!(parts.iter().sum::<u32>(), units);
                for (part, weight) in parts.iter().zip(&weights) {
                    let exact = weight / sum * f64::from(units);
                    prop_assert!((f64::from(*part) - exact).abs() < 1.0 + 1e-6);
                }
            }
        }
    }
}

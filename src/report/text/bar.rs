//! Small bars of block characters.

/// One step of a bar.
const FULL: char = '█';
/// Half a step at the end of a bar to the right.
const LEFT_HALF: char = '▌';
/// Half a step at the end of a bar to the left.
const RIGHT_HALF: char = '▐';
/// Where bars to both sides start.
const MIDDLE: char = '│';

/// Bars for a column of amounts, the largest `longest` characters; where one is negative, bars to both
/// sides of a middle line, the largest `side` characters.
#[must_use]
pub fn column(amounts: &[f64], longest: f64, side: f64) -> Vec<String> {
    if amounts.iter().any(|a| *a < 0.0) {
        return both_ways(amounts, side);
    }
    let largest = largest(amounts);
    amounts
        .iter()
        .map(|a| right(halves(*a, largest, longest)))
        .collect()
}

/// Bars to the left for what is negative, to the right for what is positive; the largest is `side`
/// characters.
#[must_use]
pub fn both_ways(amounts: &[f64], side: f64) -> Vec<String> {
    let largest = largest(amounts);
    let width = halves(1.0, 1.0, side) / 2;
    amounts
        .iter()
        .map(|a| {
            let steps = halves(a.abs(), largest, side);
            if *a < 0.0 {
                format!("{:>width$}{MIDDLE}", left(steps))
            } else {
                format!("{:width$}{MIDDLE}{}", "", right(steps))
            }
        })
        .collect()
}

fn largest(amounts: &[f64]) -> f64 {
    amounts.iter().fold(0.0, |m, a| m.max(a.abs()))
}

/// The length of a bar in half steps: something shows of whatever is not nothing.
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "a float-to-integer cast saturates, and bars are short"
)]
fn halves(amount: f64, largest: f64, longest: f64) -> usize {
    if amount <= 0.0 || largest <= 0.0 {
        return 0;
    }
    ((amount / largest * longest * 2.0).round() as usize).max(1)
}

fn right(halves: usize) -> String {
    let half = (halves % 2 == 1).then_some(LEFT_HALF);
    std::iter::repeat_n(FULL, halves / 2).chain(half).collect()
}

fn left(halves: usize) -> String {
    let half = (halves % 2 == 1).then_some(RIGHT_HALF);
    half.into_iter()
        .chain(std::iter::repeat_n(FULL, halves / 2))
        .collect()
}

#[cfg(test)]
mod tests {
    use super::{both_ways, column};

    #[test]
    fn bars_are_in_proportion() {
        assert_eq!(
            column(&[8.0, 4.0, 1.0, 0.0], 4.0, 2.0),
            ["████", "██", "▌", ""]
        );
        assert_eq!(column(&[-4.0, 2.0, 1.0], 4.0, 2.0), ["██│", "  │█", "  │▌"]);
        assert_eq!(both_ways(&[-1.0, -3.0, 0.0], 3.0), ["  █│", "███│", "   │"]);
    }
}

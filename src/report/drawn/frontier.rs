//! A frontier as a picture's data.

use crate::report::number;
use crate::report::picture::data::Axis;
use crate::report::picture::data::FrontierPicture;
use crate::report::picture::data::FrontierPoint;
use crate::report::picture::data::Picture;
use crate::report::picture::scale;
use crate::report::text::frontier::best;
use crate::report::words;
use crate::study::frontier::Frontier;
use crate::study::frontier::Outcome;
use crate::study::frontier::Point;

/// Every how many-th point of a curve, at most, has its exchange rate written beside it.
const RATES: usize = 4;

/// Significant digits of an exchange rate.
const DIGITS: i32 = 2;

/// The picture of a frontier; `None` where there is no curve. Money is drawn upwards.
#[must_use]
pub fn frontier(found: &Frontier) -> Option<Picture> {
    let Outcome::Curve(curve) = &found.outcome else {
        return None;
    };
    // Which of the two lies along the page, and which goes up.
    let (x, y) = if found.aims[0].property.is_money() {
        (1, 0)
    } else {
        (0, 1)
    };
    let problem = &found.problem;
    let unit = |k: usize| words::money(&problem.unit(&found.aims[k].property));
    let axis = |k: usize| Axis::new(&words::property(&found.aims[k].property), &unit(k));
    let rate = |k: usize, point: &Point| {
        let shown =
            k > 0 && k + 1 < curve.points.len() && k.is_multiple_of(spread(curve.points.len()));
        let by_first = point.rates.one().filter(|_| shown);
        let upwards = if y == 1 {
            by_first
        } else {
            by_first.filter(|r| r.abs() > 0.0).map(f64::recip)
        };
        upwards.map_or_else(String::new, |r| {
            format!(
                "{} {} per {} more",
                scale::signed(&number::digits(r, DIGITS)),
                unit(y),
                one(&unit(x))
            )
        })
    };
    Some(Picture::Frontier(FrontierPicture {
        title: problem.title.clone(),
        x: axis(x),
        y: axis(y),
        points: curve
            .points
            .iter()
            .enumerate()
            .map(|(k, point)| FrontierPoint {
                x: point.at[x],
                y: point.at[y],
                rate: rate(k, point),
            })
            .collect(),
        jumps: curve.jumps.clone(),
        ends: [best(&found.aims[0]), best(&found.aims[1])],
    }))
}

fn spread(points: usize) -> usize {
    (points / RATES).max(1)
}

/// One of a unit: `1 %`; of a pure number, one.
fn one(unit: &str) -> String {
    format!("1 {unit}").trim_end().into()
}

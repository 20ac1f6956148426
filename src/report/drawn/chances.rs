//! Where the lab's results may lie, as a picture's data.

use crate::declare::problem::Problem;
use crate::declare::problem::Side;
use crate::predict::chance::Chances;
use crate::predict::chance::Distribution;
use crate::report::number;
use crate::report::picture::data::Axis;
use crate::report::picture::data::DistributionPanel;
use crate::report::picture::data::DistributionPicture;
use crate::report::picture::data::LimitLine;
use crate::report::picture::data::Picture;
use crate::report::words;
use crate::study::confidence::Confident;
use crate::study::confidence::Outcome;

/// What a picture says of a recipe that was not asked for.
const HIGHEST: &str = "No recipe passes as often as was asked: this is the one with the highest confidence \
                       that was found. ";

/// The picture of what came of a confidence: of the recipe that passes as often as asked, or of the one
/// that comes nearest.
#[must_use]
pub fn confident(problem: &Problem, found: &Confident) -> Option<Picture> {
    let mut drawn = chances(problem, &found.held()?.sample.chances)?;
    if let (Picture::Distribution(picture), Outcome::NotReached { .. }) =
        (&mut drawn, &found.outcome)
    {
        picture.together.insert_str(0, HIGHEST);
    }
    Some(drawn)
}

/// The picture of a recipe's chances; `None` where nothing that is limited is uncertain.
#[must_use]
pub fn chances(problem: &Problem, chances: &Chances) -> Option<Picture> {
    if chances.distributions.is_empty() {
        return None;
    }
    Some(Picture::Distribution(DistributionPicture {
        title: problem.title.clone(),
        panels: chances
            .distributions
            .iter()
            .map(|one| panel(problem, chances, one))
            .collect(),
        together: format!(
            "All limits together pass in {} of one laboratory's tests.",
            percent(chances.together.part)
        ),
    }))
}

fn panel(problem: &Problem, chances: &Chances, one: &Distribution) -> DistributionPanel {
    let min = tightest(problem, one, Side::Min);
    let max = tightest(problem, one, Side::Max);
    // A result cannot be below a window and above it: what fails on its two sides adds up.
    let fails: f64 = [min, max]
        .into_iter()
        .flatten()
        .filter_map(|l| chances.limits.get(l)?.pass)
        .map(|pass| 1.0 - pass.part)
        .sum();
    let line = |limit: Option<usize>| {
        let limit = &problem.limits[limit?];
        Some(LimitLine {
            value: limit.stated,
            words: format!(
                "{} {}",
                words::must_be(limit.side, limit.strict),
                number::bound(&limit.property, limit.stated)
            ),
        })
    };
    DistributionPanel {
        axis: Axis::new(
            &words::property(&one.property),
            &words::money(&problem.unit(&one.property)),
        ),
        from: one.low,
        width: one.width,
        bins: one.bins.iter().map(|&n| real(n)).collect(),
        min: line(min),
        max: line(max),
        pass: format!("passes {}", percent(1.0 - fails)),
    }
}

/// The limit on one side of a property that is the hardest to pass, by index.
fn tightest(problem: &Problem, one: &Distribution, side: Side) -> Option<usize> {
    let own = problem
        .limits
        .iter()
        .enumerate()
        .filter(|(_, l)| l.property == one.property && l.side == side);
    own.max_by(|(_, a), (_, b)| {
        let order = a.stated.total_cmp(&b.stated);
        match side {
            Side::Min => order,
            Side::Max => order.reverse(),
        }
    })
    .map(|(l, _)| l)
}

fn percent(part: f64) -> String {
    let percent = 100.0 * part;
    match percent {
        p if p > 99.9 => ">99.9 %".into(),
        p if p < 0.1 => "<0.1 %".into(),
        p => format!("{} %", number::fixed(p, 1)),
    }
}

#[expect(
    clippy::cast_precision_loss,
    reason = "a count of draws, far below 2^52"
)]
fn real(count: u64) -> f64 {
    count as f64
}

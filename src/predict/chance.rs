//! How often one laboratory's single test of each limited property passes, and all of them together.

use crate::declare::problem::Problem;
use crate::declare::problem::Side;
use crate::declare::property::Property;
use crate::predict::cause::Causes;
use crate::predict::draw;
use crate::predict::draw::BLOCK;
use crate::predict::draw::Block;
use crate::predict::value::Judgement;
use crate::predict::value::Verdict;

/// Draws unless asked otherwise: the error of a probability is then below a tenth of a percent.
pub const DRAWS: usize = 65_536;

/// A chance may fall short of a confidence by this part of what the confidence leaves over, and by no more
/// than [`MOST_SHORT`]: far less than is known of any test's scatter.
const SHORT: f64 = 0.01;

/// See [`SHORT`].
const MOST_SHORT: f64 = 5e-4;

/// By how much a chance may fall short of a confidence.
#[must_use]
pub fn short(confidence: f64) -> f64 {
    (SHORT * (1.0 - confidence)).min(MOST_SHORT)
}

/// Whether a chance is as good as a confidence asks: the same for a recipe that is sought and for one that
/// is judged.
#[must_use]
pub fn is_enough(chance: f64, confidence: f64) -> bool {
    chance >= confidence - short(confidence)
}

/// Standard deviations to each side of the predicted value that a distribution's bins span.
const SPAN: f64 = 5.0;

/// Bins of a distribution.
const BINS: usize = 80;

/// A probability from draws.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Estimate {
    /// The part of the draws, 0 to 1.
    pub part: f64,
    /// Its standard error: how far independently scrambled blocks of draws disagree.
    pub error: f64,
}

/// One limit's chances.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LimitChance {
    /// That one laboratory's result passes; `None` where no laboratory tests it, or only a laboratory
    /// can tell.
    pub pass: Option<Estimate>,
    /// Whether anything that bears on it is uncertain.
    pub drawn: bool,
    /// Of the draws in which something fails, the part in which this limit does, 0 to 1.
    pub blamed: f64,
    /// The same where it alone fails.
    pub alone: f64,
}

impl LimitChance {
    /// Whether it passes as often as asked; what no laboratory tells does.
    #[must_use]
    pub fn reaches(&self, confidence: f64) -> bool {
        self.pass.is_none_or(|p| is_enough(p.part, confidence))
    }
}

/// What laboratories would report of one property, as a histogram.
#[derive(Debug, Clone, PartialEq)]
pub struct Distribution {
    /// The property.
    pub property: Property,
    /// The predicted value.
    pub value: f64,
    /// Mean of the reported values.
    pub mean: f64,
    /// Their standard deviation.
    pub sd: f64,
    /// The standard deviation to first order.
    pub first_order: f64,
    /// Where the first bin begins, in the property's unit.
    pub low: f64,
    /// Width of a bin.
    pub width: f64,
    /// Draws in each bin.
    pub bins: Vec<u64>,
    /// Draws below the first bin, above the last, and without a value.
    pub beyond: [u64; 3],
}

/// The chances of every limit of a problem at one recipe.
#[derive(Debug, Clone, PartialEq)]
pub struct Chances {
    /// How many draws.
    pub draws: usize,
    /// One for each of the problem's limits.
    pub limits: Vec<LimitChance>,
    /// That all that a laboratory tests and that can be predicted passes.
    pub together: Estimate,
    /// One for each property with a limit and an uncertainty.
    pub distributions: Vec<Distribution>,
}

impl Chances {
    /// The least of the limits' chances; 1 where nothing is tested.
    #[must_use]
    pub fn least(&self) -> f64 {
        let passes = self.limits.iter().filter_map(|l| l.pass);
        passes.map(|e| e.part).fold(1.0, f64::min)
    }

    /// Whether each limit passes as often as asked.
    #[must_use]
    pub fn each_reaches(&self, confidence: f64) -> bool {
        self.limits.iter().all(|l| l.reaches(confidence))
    }
}

/// How a limit fares.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Fate {
    /// Drawn: the place of its property among the tested.
    Drawn(usize),
    /// Nothing that bears on it is uncertain.
    Certain(bool),
    /// No laboratory tests it, or only a laboratory can tell.
    Untold,
}

/// Which limits are drawn.
fn fates(problem: &Problem, judgement: &Judgement, causes: &Causes) -> Vec<Fate> {
    problem
        .limits
        .iter()
        .zip(&judgement.requirements)
        .map(|(limit, judged)| {
            if !limit.property.is_tested() || judged.verdict == Verdict::NotAssured {
                return Fate::Untold;
            }
            match causes.place(&limit.property) {
                Some(k) if causes.sd(k) > 0.0 => Fate::Drawn(k),
                _ => Fate::Certain(judged.verdict == Verdict::Meets),
            }
        })
        .collect()
}

/// Counts of one block.
#[derive(Debug, Clone)]
struct Tally {
    fails: Vec<u64>,
    alone: Vec<u64>,
    passed: u64,
    columns: Vec<Column>,
}

/// Counts of one property in one block.
#[derive(Debug, Clone)]
struct Column {
    bins: Vec<u64>,
    beyond: [u64; 3],
    sum: f64,
    squares: f64,
}

/// Draws and counts.
#[must_use]
pub fn chances(problem: &Problem, judgement: &Judgement, causes: &Causes, draws: usize) -> Chances {
    let fates = fates(problem, judgement, causes);
    let scales: Vec<f64> = (0..causes.tested.len()).map(|k| causes.sd(k)).collect();
    let tallies = draw::each_block(causes, draws, |block| {
        tally(problem, &fates, causes, &scales, &block)
    });
    summed(&fates, causes, &scales, &tallies)
}

/// Draws kept, for questions that need their order.
#[derive(Debug, Clone)]
pub struct Sample {
    fates: Vec<Fate>,
    blocks: Vec<Block>,
    predicted: Vec<f64>,
    /// The chances.
    pub chances: Chances,
}

impl Sample {
    /// Draws, counts and keeps.
    #[must_use]
    pub fn of(problem: &Problem, judgement: &Judgement, causes: &Causes, draws: usize) -> Self {
        let fates = fates(problem, judgement, causes);
        let scales: Vec<f64> = (0..causes.tested.len()).map(|k| causes.sd(k)).collect();
        let kept = draw::each_block(causes, draws, |block| {
            let tally = tally(problem, &fates, causes, &scales, &block);
            (tally, block)
        });
        let (tallies, blocks): (Vec<Tally>, Vec<Block>) = kept.into_iter().unzip();
        Sample {
            chances: summed(&fates, causes, &scales, &tallies),
            fates,
            blocks,
            predicted: causes.tested.iter().map(|t| t.value).collect(),
        }
    }

    /// How far inside its number each limit's prediction must lie for one result to pass with a
    /// probability, in the property's unit: a quantile of what is reported less what is predicted.
    /// Never below 0; 0 where nothing is uncertain.
    #[must_use]
    pub fn guards(&self, problem: &Problem, confidence: f64) -> Vec<f64> {
        let guard = |l: usize| {
            let mut misses = self.misses(problem, l)?;
            let place = place(misses.len(), confidence);
            let (_, guard, _) = misses.select_nth_unstable_by(place, f64::total_cmp);
            Some(guard.max(0.0))
        };
        (0..self.fates.len())
            .map(|l| guard(l).unwrap_or(0.0))
            .collect()
    }

    /// How far each draw misses the prediction towards a limit, in the property's unit, draw by draw;
    /// infinitely where it has no value. `None` where nothing that bears on the limit is uncertain.
    #[must_use]
    pub fn misses(&self, problem: &Problem, limit: usize) -> Option<Vec<f64>> {
        let Fate::Drawn(k) = self.fates[limit] else {
            return None;
        };
        let toward = |v: &f64| match problem.limits[limit].side {
            _ if v.is_nan() => f64::INFINITY,
            Side::Max => v - self.predicted[k],
            Side::Min => self.predicted[k] - v,
        };
        let blocks = self.blocks.iter();
        Some(
            blocks
                .flat_map(|b| b.values[k].iter().map(toward))
                .collect(),
        )
    }

    /// How far inside its stated number the prediction of a limit's property lies, in its unit: below 0
    /// outside. `None` where nothing that bears on the limit is uncertain.
    #[must_use]
    pub fn room(&self, problem: &Problem, limit: usize) -> Option<f64> {
        let Fate::Drawn(k) = self.fates[limit] else {
            return None;
        };
        let limit = &problem.limits[limit];
        Some(match limit.side {
            Side::Max => limit.stated - self.predicted[k],
            Side::Min => self.predicted[k] - limit.stated,
        })
    }
}

/// Of so many numbers in rising order, the place of the first that a part of them does not exceed.
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    clippy::cast_precision_loss,
    reason = "a place in a list of draws"
)]
fn place(count: usize, part: f64) -> usize {
    let place = (count as f64 * part).ceil() - 1.0;
    (place.max(0.0) as usize).min(count.saturating_sub(1))
}

fn tally(
    problem: &Problem,
    fates: &[Fate],
    causes: &Causes,
    scales: &[f64],
    block: &Block,
) -> Tally {
    let mut failed = vec![0_u32; BLOCK];
    let fails = |fate: &Fate, limit: usize, draw: usize| match fate {
        Fate::Drawn(k) => {
            let (side, stated) = (problem.limits[limit].side, problem.limits[limit].stated);
            let value = block.values[*k][draw];
            match side {
                Side::Min => value.is_nan() || value < stated,
                Side::Max => value.is_nan() || value > stated,
            }
        }
        Fate::Certain(passes) => !passes,
        Fate::Untold => false,
    };
    let mut counts = vec![0; fates.len()];
    for (limit, fate) in fates.iter().enumerate() {
        for (draw, failed) in failed.iter_mut().enumerate() {
            let fails = u32::from(fails(fate, limit, draw));
            *failed += fails;
            counts[limit] += u64::from(fails);
        }
    }
    let mut alone = vec![0; fates.len()];
    let mut passed = 0;
    for (draw, failed) in failed.iter().enumerate() {
        passed += u64::from(*failed == 0);
        if *failed == 1 {
            let one = (0..fates.len()).find(|l| fails(&fates[*l], *l, draw));
            if let Some(limit) = one {
                alone[limit] += 1;
            }
        }
    }
    let columns = causes.tested.iter().zip(scales).zip(&block.values);
    Tally {
        fails: counts,
        alone,
        passed,
        columns: columns
            .map(|((tested, sd), values)| column(tested.value, *sd, values))
            .collect(),
    }
}

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    clippy::cast_precision_loss,
    reason = "a bin's number"
)]
fn column(predicted: f64, sd: f64, values: &[f64]) -> Column {
    let mut column = Column {
        bins: vec![0; BINS],
        beyond: [0; 3],
        sum: 0.0,
        squares: 0.0,
    };
    if sd <= 0.0 {
        return column;
    }
    let per_unit = BINS as f64 / (2.0 * SPAN * sd);
    for value in values {
        let off = value - predicted;
        let bin = (off + SPAN * sd) * per_unit;
        if bin.is_nan() {
            column.beyond[2] += 1;
            continue;
        }
        column.sum += off;
        column.squares += off * off;
        if bin < 0.0 {
            column.beyond[0] += 1;
        } else if let Some(count) = column.bins.get_mut(bin as usize) {
            *count += 1;
        } else {
            column.beyond[1] += 1;
        }
    }
    column
}

#[expect(clippy::cast_precision_loss, reason = "counts of draws")]
fn summed(fates: &[Fate], causes: &Causes, scales: &[f64], tallies: &[Tally]) -> Chances {
    let draws = tallies.len() * BLOCK;
    let estimate = |count: &dyn Fn(&Tally) -> u64| {
        let parts: Vec<f64> = tallies
            .iter()
            .map(|t| count(t) as f64 / BLOCK as f64)
            .collect();
        let blocks = parts.len() as f64;
        let part = parts.iter().sum::<f64>() / blocks;
        let apart: f64 = parts.iter().map(|p| (p - part) * (p - part)).sum();
        Estimate {
            part,
            error: (apart / (blocks - 1.0).max(1.0) / blocks).sqrt(),
        }
    };
    let passed: u64 = tallies.iter().map(|t| t.passed).sum();
    let failing = (draws as u64 - passed).max(1) as f64;
    let limits = fates.iter().enumerate().map(|(l, fate)| {
        let count = |of: &dyn Fn(&Tally) -> u64| tallies.iter().map(of).sum::<u64>() as f64;
        LimitChance {
            pass: (*fate != Fate::Untold).then(|| estimate(&|t| BLOCK as u64 - t.fails[l])),
            drawn: matches!(fate, Fate::Drawn(_)),
            blamed: count(&|t| t.fails[l]) / failing,
            alone: count(&|t| t.alone[l]) / failing,
        }
    });
    Chances {
        draws,
        limits: limits.collect(),
        together: estimate(&|t| t.passed),
        distributions: (0..causes.tested.len())
            .filter(|k| scales[*k] > 0.0)
            .map(|k| distribution(causes, k, scales[k], tallies))
            .collect(),
    }
}

#[expect(clippy::cast_precision_loss, reason = "counts of draws and of bins")]
fn distribution(causes: &Causes, k: usize, sd: f64, tallies: &[Tally]) -> Distribution {
    let tested = &causes.tested[k];
    let mut whole = Column {
        bins: vec![0; BINS],
        beyond: [0; 3],
        sum: 0.0,
        squares: 0.0,
    };
    for column in tallies.iter().map(|t| &t.columns[k]) {
        let counts = whole.bins.iter_mut().chain(&mut whole.beyond);
        for (sum, count) in counts.zip(column.bins.iter().chain(&column.beyond)) {
            *sum += count;
        }
        whole.sum += column.sum;
        whole.squares += column.squares;
    }
    let valued = whole.bins.iter().chain(&whole.beyond[..2]).sum::<u64>();
    let valued = valued.max(1) as f64;
    let off = whole.sum / valued;
    Distribution {
        property: tested.entry.property.clone(),
        value: tested.value,
        mean: tested.value + off,
        sd: (whole.squares / valued - off * off).max(0.0).sqrt(),
        first_order: sd,
        low: tested.value - SPAN * sd,
        width: 2.0 * SPAN * sd / BINS as f64,
        bins: whole.bins,
        beyond: whole.beyond,
    }
}

/// Puts the drawn chances in the place of those to first order.
pub fn tell(judgement: &mut Judgement, chances: &Chances) {
    for (judged, chance) in judgement.requirements.iter_mut().zip(&chances.limits) {
        let drawn = chance.pass.filter(|_| chance.drawn);
        judged.pass_probability = drawn.map(|e| e.part);
    }
}

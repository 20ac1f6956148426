//! How sure an answer is, as JSON.

use crate::declare::problem::Problem;
use crate::predict::chance::Chances;
use crate::predict::chance::Distribution;
use crate::predict::chance::Estimate;
use crate::report::beside::Beside;
use crate::report::json::shape;
use crate::report::unknown;
use crate::report::words;
use crate::study::confidence::Confident;
use crate::study::confidence::Outcome;
use crate::study::guard;
use serde::Serialize;

/// How sure an answer is.
#[derive(Debug, Serialize)]
pub struct Confidence {
    /// The probability asked for; `null` where none was.
    pub asked: Option<f64>,
    /// What it is asked of: `each` limit, or all `together`.
    pub of: &'static str,
    /// Whether the recipe reaches it; `null` where none was asked, or nothing was decided.
    pub reached: Option<bool>,
    /// How many draws; `null`, as all that follows from them, where there is no recipe to draw.
    pub draws: Option<usize>,
    /// The chance that every test passes.
    pub together: Option<Chance>,
    /// One for each limit, in the problem's order.
    pub limits: Option<Vec<Limit>>,
    /// What a laboratory would report of each limited property.
    pub distributions: Option<Vec<Histogram>>,
    /// For `solve`: the objective without a confidence.
    pub without: Option<f64>,
    /// For `solve`: how much worse the objective is for the confidence.
    pub costs: Option<f64>,
    /// For `solve`: the highest confidence that was found, and the objective at it, where what was asked
    /// is not reached.
    pub highest: Option<Highest>,
    /// For `solve` on a balance's grid: the objective at what was asked off it, where only there such a recipe was
    /// found.
    pub off_grid: Option<f64>,
    /// For `solve`: what knowing one thing exactly is worth, the most first.
    pub measure_first: Option<Vec<Measure>>,
}

/// A chance with its standard error.
#[derive(Debug, Serialize)]
pub struct Chance {
    /// 0 to 1.
    pub probability: f64,
    /// Of the draws alone.
    pub error: f64,
}

/// A limit's chance.
#[derive(Debug, Serialize)]
pub struct Limit {
    /// The property's key.
    pub property: String,
    /// `min` or `max`.
    pub side: &'static str,
    /// The number as stated.
    pub stated: f64,
    /// The unit of every number here.
    pub unit: String,
    /// Who set it.
    pub source: String,
    /// For `solve`: how far the limit was moved inwards.
    pub guard: Option<f64>,
    /// For `solve`: the number obeyed.
    pub aim: Option<f64>,
    /// That one laboratory's result passes; `null` where none tests it.
    pub pass: Option<Chance>,
    /// Of the draws with a failure, the part in which this limit fails.
    pub of_failures: f64,
    /// The same where it alone fails.
    pub alone: f64,
}

/// What a laboratory would report, as a histogram.
#[derive(Debug, Serialize)]
pub struct Histogram {
    /// The property's key.
    pub property: String,
    /// The unit of every number here.
    pub unit: String,
    /// The predicted value.
    pub value: f64,
    /// Mean of what is reported.
    pub mean: f64,
    /// Standard deviation of what is reported.
    pub sd: f64,
    /// Where the first bin begins.
    pub low: f64,
    /// Width of a bin.
    pub width: f64,
    /// Draws in each bin.
    pub bins: Vec<u64>,
    /// Draws below the first bin.
    pub below: u64,
    /// Draws above the last.
    pub above: u64,
    /// Draws in which the property is undefined.
    pub undefined: u64,
}

/// The highest confidence that was found.
#[derive(Debug, Serialize)]
pub struct Highest {
    /// It, in thousandths.
    pub confidence: f64,
    /// Whether asking for it finds a recipe: it was asked for.
    pub is_had: bool,
    /// What its recipe reaches of it: a little less or more.
    pub probability: f64,
    /// The objective there.
    pub value: Option<f64>,
}

/// What knowing one thing exactly is worth.
#[derive(Debug, Serialize)]
pub struct Measure {
    /// The thing, in words.
    pub known: String,
    /// The objective at the same confidence; `null` where it is still not reached. On a balance's grid the objective
    /// there less what knowing it saves off the grid, or that off the grid where the recipe is not as sure as asked.
    pub value: Option<f64>,
    /// By how much that betters the objective.
    pub saves: Option<f64>,
    /// By how much it raises the chance that every test of the recipe passes.
    pub together: f64,
}

/// A proof that holds within the guards of a recipe, and says so.
#[must_use]
pub fn within_guards(mut proof: shape::Proof, confident: &Confident) -> shape::Proof {
    if let Outcome::NotReached {
        refused: Some(refused),
        ..
    } = &confident.outcome
    {
        proof.words += if refused.by_every {
            ", within the guards that every recipe needs to pass as often, to first order in the errors of the \
             figures"
        } else {
            ", within the guards that the surest recipe found would need"
        };
    }
    proof
}

/// How sure an answer is; `None` where nobody asked.
#[must_use]
pub fn of(problem: &Problem, beside: Beside) -> Option<Confidence> {
    match (beside.confident, beside.chances) {
        (Some(confident), _) => Some(of_solve(problem, confident)),
        (None, Some((chances, asked))) => Some(of_predict(problem, chances, asked)),
        (None, None) => None,
    }
}

fn of_predict(problem: &Problem, chances: &Chances, asked: Option<f64>) -> Confidence {
    Confidence {
        asked,
        of: "each",
        reached: asked.map(|asked| chances.each_reaches(asked)),
        draws: Some(chances.draws),
        together: Some(chance(&chances.together)),
        limits: Some(limits(problem, chances, None)),
        distributions: Some(distributions(problem, chances)),
        without: None,
        costs: None,
        highest: None,
        off_grid: None,
        measure_first: None,
    }
}

fn of_solve(problem: &Problem, confident: &Confident) -> Confidence {
    let reached = match &confident.outcome {
        Outcome::Reached(held) => Some(held),
        _ => None,
    };
    let chances = reached.map(|held| &held.sample.chances);
    Confidence {
        asked: Some(confident.wish.confidence),
        of: if confident.wish.together {
            "together"
        } else {
            "each"
        },
        reached: match &confident.outcome {
            Outcome::Reached(_) => Some(true),
            Outcome::NotReached { .. } => Some(false),
            Outcome::NoRecipe => None,
        },
        draws: chances.map(|c| c.draws),
        together: chances.map(|c| chance(&c.together)),
        limits: reached.map(|held| {
            let guards = guard::own(problem, confident.wish, held);
            limits(problem, &held.sample.chances, Some(&guards))
        }),
        distributions: chances.map(|c| distributions(problem, c)),
        without: confident.plain.objective,
        costs: reached.and(confident.dearer()),
        highest: match &confident.outcome {
            Outcome::NotReached { highest, .. } => Some(Highest {
                confidence: highest.confidence,
                is_had: highest.is_had,
                probability: confident.wish.reached(&highest.held),
                value: highest.held.value(),
            }),
            _ => None,
        },
        off_grid: match &confident.outcome {
            Outcome::NotReached { off_grid, .. } => *off_grid,
            _ => None,
        },
        measure_first: confident.held().map(|_| {
            confident
                .worth
                .iter()
                .map(|w| Measure {
                    known: unknown::words(problem, &w.unknown),
                    value: w.value,
                    saves: w.saves,
                    together: w.together,
                })
                .collect()
        }),
    }
}

fn chance(estimate: &Estimate) -> Chance {
    Chance {
        probability: estimate.part,
        error: estimate.error,
    }
}

fn limits(problem: &Problem, chances: &Chances, guards: Option<&[f64]>) -> Vec<Limit> {
    let guarded = guards.map(|g| guard::guarded(problem, g));
    let all = problem.limits.iter().zip(&chances.limits).enumerate();
    all.map(|(l, (limit, drawn))| Limit {
        property: limit.property.key(),
        side: limit.side.key(),
        stated: limit.stated,
        unit: problem.unit(&limit.property).to_string(),
        source: words::limit_source(&limit.source),
        guard: guards.map(|g| g[l]),
        aim: guarded.as_ref().map(|p| p.limits[l].bound),
        pass: drawn.pass.as_ref().map(chance),
        of_failures: drawn.blamed,
        alone: drawn.alone,
    })
    .collect()
}

fn distributions(problem: &Problem, chances: &Chances) -> Vec<Histogram> {
    let one = |d: &Distribution| Histogram {
        property: d.property.key(),
        unit: problem.unit(&d.property).to_string(),
        value: d.value,
        mean: d.mean,
        sd: d.sd,
        low: d.low,
        width: d.width,
        bins: d.bins.clone(),
        below: d.beyond[0],
        above: d.beyond[1],
        undefined: d.beyond[2],
    };
    chances.distributions.iter().map(one).collect()
}

//! The plain top-up: one component added to an oil that is there already, nothing else changed.

use crate::declare::problem::Limit;
use crate::declare::problem::Problem;
use crate::declare::problem::Side;
use crate::declare::recipe::Recipe;
use crate::predict::book::Book;
use crate::predict::book::Entry;
use crate::predict::exact;
use crate::predict::exact::Form;
use crate::predict::exact::TotalRow;
use crate::predict::judge;
use crate::predict::value::Judged;
use crate::predict::value::Judgement;
use crate::predict::value::Verdict;
use crate::quantity::Share;

/// What a top-up comes to.
#[derive(Debug, Clone, PartialEq)]
pub struct TopUp {
    /// What is added, as a part of the oil after adding.
    pub added: Share,
    /// The oil after adding.
    pub recipe: Recipe,
    /// That oil, judged with the target among the limits.
    pub judgement: Judgement,
}

impl TopUp {
    /// Grams to add to each kilogram of the oil that is there.
    #[must_use]
    pub fn grams_per_kilogram(&self) -> f64 {
        1000.0 * self.added.fraction() / (1.0 - self.added.fraction())
    }

    /// The limits and bands that the topped-up oil fails.
    #[must_use]
    pub fn fails(&self) -> Vec<&Judged> {
        let fails = |r: &&Judged| r.verdict == Verdict::Fails;
        self.judgement.requirements.iter().filter(fails).collect()
    }
}

/// Points between nothing and all at which a curved property is tried, closer where little is added.
const TRIED: u32 = 400;

/// Halvings after the first point that meets the target: to the last digit of a double.
const HALVINGS: usize = 60;

/// The least of a component to add so that `target`, one of the problem's limits, is met; `None`
/// where adding it never gets there.
///
/// Where the target is exactly linear, with `R` its row's distance (negative while it is missed) in
/// the oil and `R'` in the component alone,
///
/// ```text
/// t = -R / (R' - R)
/// ```
///
/// which for an element over another, at least r, is `(r P - Mo) / ((m - r p) + (r P - Mo))`.
#[must_use]
pub fn top_up(problem: &Problem, target: &Limit, component: usize, oil: &Recipe) -> Option<TopUp> {
    let book = Book::new(problem, problem.mixing, [&target.property]);
    let entry = book.entry(&target.property)?;
    let shares: Vec<f64> = oil.shares().iter().map(|s| s.fraction()).collect();
    let added = match exact::form(entry.formula, target.side, target.bound) {
        Form::Always => Some(0.0),
        Form::Never => None,
        Form::Rows(rows) => rows.iter().try_fold(0.0_f64, |most, row| {
            by_row(&book, entry, row, &shares, component).map(|t| most.max(t))
        }),
        Form::Curved => by_trial(&book, entry, target, &shares, component),
    }?;
    let topped: Vec<Share> = mixed(&shares, component, added)
        .into_iter()
        .map(Share::from_fraction)
        .collect();
    let recipe = Recipe::new(problem, &topped)?;
    Some(TopUp {
        added: Share::from_fraction(added),
        judgement: judge::judge(problem, &recipe),
        recipe,
    })
}

/// The oil with a part `t` of the component in it.
fn mixed(shares: &[f64], component: usize, t: f64) -> Vec<f64> {
    let alone = |j: usize| if j == component { t } else { 0.0 };
    shares
        .iter()
        .enumerate()
        .map(|(j, x)| (1.0 - t) * x + alone(j))
        .collect()
}

fn by_row(
    book: &Book,
    entry: &Entry,
    row: &TotalRow,
    shares: &[f64],
    component: usize,
) -> Option<f64> {
    let inside = |shares: &[f64]| {
        let z = book.at(entry, shares);
        let sum: f64 = row.weights.iter().zip(&z).map(|(w, z)| w * z).sum();
        match row.side {
            Side::Min => sum - row.rhs,
            Side::Max => row.rhs - sum,
        }
    };
    let (oil, alone) = (inside(shares), inside(&mixed(shares, component, 1.0)));
    if oil >= 0.0 {
        return Some(0.0);
    }
    (alone > 0.0).then(|| -oil / (alone - oil))
}

fn by_trial(
    book: &Book,
    entry: &Entry,
    target: &Limit,
    shares: &[f64],
    component: usize,
) -> Option<f64> {
    let met = |t: f64| {
        let value = book.value(entry, &mixed(shares, component, t));
        value.is_some_and(|v| match target.side {
            Side::Min => v >= target.bound,
            Side::Max => v <= target.bound,
        })
    };
    if met(0.0) {
        return Some(0.0);
    }
    let at = |k: u32| (f64::from(k) / f64::from(TRIED)).powi(2);
    let first = (1..TRIED).find(|k| met(at(*k)))?;
    let (mut misses, mut meets) = (at(first - 1), at(first));
    for _ in 0..HALVINGS {
        let middle = f64::midpoint(misses, meets);
        if met(middle) {
            meets = middle;
        } else {
            misses = middle;
        }
    }
    Some(meets)
}

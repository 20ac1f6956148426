//! A whole sweep, kept: its rows, what changes along its range, and where there is no recipe.

use crate::declare::dial::Setting;
use crate::declare::requirement::Requirement;
use crate::solve::answer::Party;
use crate::solve::spot;
use crate::solve::spot::Trail;
use crate::study::sweep::breaks;
use crate::study::sweep::breaks::Break;
use crate::study::sweep::plan::Plan;
use crate::study::sweep::row::Row;
use crate::study::sweep::run;
use crate::study::sweep::run::Orders;
use std::convert::Infallible;

/// A stretch of the range without a recipe.
#[derive(Debug, Clone, PartialEq)]
pub struct Barren {
    /// Where it begins, in the direction of the sweep.
    pub from: f64,
    /// Where it ends.
    pub to: f64,
    /// Whether that there is none was proved; if not, neither a recipe nor a proof was found.
    pub proved: bool,
    /// Why, with the value at which that was asked: at each end where the reasons differ in kind.
    pub reasons: Vec<Reason>,
}

/// Why there is no recipe at a value.
#[derive(Debug, Clone, PartialEq)]
pub struct Reason {
    /// The value.
    pub at: f64,
    /// Requirements that cannot all hold.
    pub parties: Vec<Party>,
    /// Whether each of these was shown to be needed for that; else some may be spared.
    pub settled: bool,
}

/// A sweep.
#[derive(Debug, Clone)]
pub struct Sweep {
    /// What was asked.
    pub plan: Plan,
    /// The rows, in order; fewer than the plan's points where it ended early.
    pub rows: Vec<Row>,
    /// What changes along the range; empty where two things are varied, or a list.
    pub breaks: Vec<Break>,
    /// Where there is no recipe, along the range.
    pub barren: Vec<Barren>,
    /// Whether `breaks` and `barren` were sought at all.
    pub searched: bool,
}

impl Sweep {
    /// The stretches between two changes along the range, each with what the recipe stands on there.
    #[must_use]
    pub fn segments(&self) -> Vec<(f64, f64, &[Requirement])> {
        let Some((_, stops)) = self.plan.line().filter(|_| self.searched) else {
            return Vec::new();
        };
        let (Some(first), Some(last)) = (self.rows.first(), self.rows.last()) else {
            return Vec::new();
        };
        let at = |row: &Row| stops.number(row.point).unwrap_or_default();
        let begin = self.breaks.first().map_or(&first.held, |b| &b.before.held);
        let held = [begin]
            .into_iter()
            .chain(self.breaks.iter().map(|b| &b.after.held));
        let edges = edges(at(first), &self.breaks, at(last));
        edges
            .windows(2)
            .zip(held)
            .map(|(edge, held)| (edge[0], edge[1], held.as_slice()))
            .collect()
    }

    /// Whether every point was solved.
    #[must_use]
    pub fn is_whole(&self) -> bool {
        self.rows.len() == self.plan.points()
    }
}

/// Makes a sweep; `seek` asks for what changes along its range, `each` is told of each chunk's points.
#[must_use]
pub fn sweep(plan: Plan, orders: &Orders, seek: bool, each: &mut dyn FnMut(usize)) -> Sweep {
    let mut rows: Vec<Row> = Vec::new();
    let chunks = 0..plan.chunks();
    let mut sink = |chunk: Vec<Row>| -> Result<(), Infallible> {
        each(chunk.len());
        rows.extend(chunk);
        Ok(())
    };
    // Nothing can go wrong with a sink that only keeps.
    let Ok(_) = run::run(&plan, chunks, orders, |rows| rows, &mut sink);
    let searched = seek && plan.line().is_some() && !rows.is_empty();
    let (mut found, mut barren) = (Vec::new(), Vec::new());
    if searched {
        found = breaks::breaks(&plan, &rows, orders);
        barren = stretches(&plan, &rows, &found, orders);
    }
    Sweep {
        plan,
        rows,
        breaks: found,
        barren,
        searched,
    }
}

fn edges(first: f64, breaks: &[Break], last: f64) -> Vec<f64> {
    let between = breaks.iter().map(|b| b.at);
    [first].into_iter().chain(between).chain([last]).collect()
}

fn stretches(plan: &Plan, rows: &[Row], breaks: &[Break], orders: &Orders) -> Vec<Barren> {
    let Some((_, stops)) = plan.line() else {
        return Vec::new();
    };
    let at = |row: &Row| stops.number(row.point).unwrap_or_default();
    let (Some(first), Some(last)) = (rows.first(), rows.last()) else {
        return Vec::new();
    };
    let edges = edges(at(first), breaks, at(last));
    let begins = breaks
        .first()
        .map_or_else(|| breaks::Signature::of(first).recipe, |b| b.before.recipe);
    let kinds = [begins]
        .into_iter()
        .chain(breaks.iter().map(|b| b.after.recipe));
    edges
        .windows(2)
        .zip(kinds)
        .filter(|(_, recipe)| *recipe != Some(true))
        .map(|(edge, recipe)| {
            let (low, high) = (edge[0].min(edge[1]), edge[0].max(edge[1]));
            let inside: Vec<&Row> = rows
                .iter()
                .filter(|row| (low..=high).contains(&at(row)) && !row.has_recipe())
                .collect();
            let mut reasons = Vec::new();
            if let (Some(a), Some(b)) = (inside.first(), inside.last()) {
                for row in [a, b] {
                    reasons.push(Reason {
                        at: at(row),
                        parties: row.conflict.clone(),
                        settled: row.settled,
                    });
                }
            } else {
                let middle = edge[0] + 0.5 * (edge[1] - edge[0]);
                let problem = plan.problem_at(&[Setting::Number(middle)]);
                let mut trail = Trail::new(true);
                let spot = spot::spot(&problem, &mut trail, &orders.each());
                reasons.push(Reason {
                    at: middle,
                    parties: spot.conflict,
                    settled: spot.settled,
                });
            }
            reasons.retain(|reason: &Reason| !reason.parties.is_empty());
            reasons.dedup_by(|b, a| alike(&a.parties, &b.parties));
            Barren {
                from: edge[0],
                to: edge[1],
                proved: recipe == Some(false),
                reasons,
            }
        })
        .collect()
}

/// Whether two reasons name the same things, whatever their numbers.
fn alike(a: &[Party], b: &[Party]) -> bool {
    a.len() == b.len() && a.iter().zip(b).all(|(a, b)| a.is(b))
}

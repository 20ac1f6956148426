//! Whether a problem has any recipe at all, within a purse.

use crate::declare::problem::Limit;
use crate::declare::problem::Problem;
use crate::declare::problem::Side;
use crate::declare::property::Property;
use crate::declare::requirement::Requirement;
use crate::predict::judge;
use crate::solve::answer::Effort;
use crate::solve::filter::Probe;
use crate::solve::linear;
use crate::solve::linear::Found;
use crate::solve::logic::Demand;
use crate::solve::prove::tree;
use crate::solve::prove::tree::Limits;
use crate::solve::refine;
use crate::solve::task::Task;
use std::time::Duration;
use std::time::Instant;

/// What many questions together may spend.
#[derive(Debug, Clone)]
pub struct Purse {
    /// Most regions of one question's proof.
    pub each: usize,
    /// Regions left for all questions.
    pub left: usize,
    /// When to begin nothing new.
    pub end: Option<Instant>,
    /// What was spent.
    pub effort: Effort,
}

impl Purse {
    /// A full purse.
    #[must_use]
    pub fn new(each: usize, all: usize, end: Option<Instant>) -> Self {
        Purse {
            each,
            left: all,
            end,
            effort: Effort::default(),
        }
    }

    /// Whether nothing is left.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.left == 0 || self.time().is_some_and(|t| t.is_zero())
    }

    /// The time left, where it is bounded.
    #[must_use]
    pub fn time(&self) -> Option<Duration> {
        self.end
            .map(|end| end.saturating_duration_since(Instant::now()))
    }

    /// The regions that the next question may look at.
    #[must_use]
    pub fn nodes(&self) -> usize {
        self.each.min(self.left)
    }

    /// Pays for a proof.
    pub fn pay(&mut self, nodes: usize, programs: usize) {
        self.left = self.left.saturating_sub(nodes);
        self.effort.nodes += nodes;
        self.effort.programs += programs;
    }
}

/// Room for the last digits of a share.
const ROUNDING: f64 = 1e-9;

/// Requirements that plain arithmetic shows to collide: a limit that nothing can meet, a treat band
/// whose minimum is above its maximum (a stock too small for what must go in), a property's minimum
/// above its maximum.
#[must_use]
pub fn collision(problem: &Problem, task: &Task) -> Option<Vec<Requirement>> {
    if let Some(never) = task.never.first() {
        return Some(vec![Requirement::Limit(*never)]);
    }
    let empty = |j: &usize| {
        let band = &problem.bands[*j];
        band.min.share.fraction() > band.max.share.fraction() * (1.0 + ROUNDING)
    };
    if let Some(j) = (0..problem.bands.len()).find(empty) {
        return Some(vec![
            Requirement::Edge(j, Side::Min),
            Requirement::Edge(j, Side::Max),
        ]);
    }
    let (low, high) = empty_window(&problem.limits)?;
    Some(vec![Requirement::Limit(low), Requirement::Limit(high)])
}

/// Whether no oil has more of the first than of the second: a property and itself, or what an oil is after
/// shear and what it was before, for shear breaks polymers and builds none (a stability index is 0 to 100 %).
fn is_never_more(first: &Property, second: &Property) -> bool {
    let sheared = matches!(first, Property::Kv100Sheared | Property::Kv100Krl);
    first == second || sheared && *second == Property::Kv100
}

/// A minimum above a maximum of one property, or of one that is never more, beyond the tolerance of
/// judging.
fn empty_window(limits: &[Limit]) -> Option<(usize, usize)> {
    let of = |side: Side| {
        limits
            .iter()
            .enumerate()
            .filter(move |(_, l)| l.side == side)
    };
    of(Side::Min).find_map(|(i, low)| {
        let tolerance = 2.0 * judge::MET * low.bound.abs().max(1.0);
        of(Side::Max)
            .find(|(_, high)| {
                is_never_more(&low.property, &high.property) && low.bound > high.bound + tolerance
            })
            .map(|(k, _)| (i, k))
    })
}

/// Whether a problem has a recipe.
#[must_use]
pub fn possible(problem: &Problem, demand: &Demand, purse: &mut Purse) -> Probe {
    let task = Task::with(problem, demand);
    if collision(problem, &task).is_some() {
        return Probe::Impossible;
    }
    purse.effort.programs += 1;
    let decided = task.logic.is_empty() && task.logic.grid.is_none();
    match linear::solve(&task.exact) {
        Found::Empty(_) => return Probe::Impossible,
        Found::Best { .. } if task.curved.is_empty() && decided => return Probe::Possible,
        Found::Best { x, .. } => {
            let point = refine::descend(&task, &x, &mut purse.effort.programs);
            if point.is_some_and(|p| p.missed <= refine::MET && task.logic.keeps(&p.x)) {
                return Probe::Possible;
            }
        }
        Found::Unknown => {}
    }
    if purse.is_empty() {
        return Probe::Unknown;
    }
    let limits = Limits {
        nodes: purse.nodes(),
        time: purse.time(),
        first: true,
        ..Limits::default()
    };
    let outcome = tree::prove(&task, None, &limits);
    purse.pay(outcome.nodes.max(1), outcome.programs);
    match (&outcome.best, outcome.complete) {
        (Some(_), _) => Probe::Possible,
        (None, true) => Probe::Impossible,
        (None, false) => Probe::Unknown,
    }
}

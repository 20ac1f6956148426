//! Recipes found on the way: a relaxation's point taken as it is, mended, or improved.

use crate::solve::linear;
use crate::solve::linear::Found;
use crate::solve::logic::Use;
use crate::solve::prove::relax::Region;
use crate::solve::prove::tree::Prover;
use crate::solve::refine;
use crate::solve::refine::Point;
use crate::solve::task::Task;

/// Every so many nodes the search is asked to improve on a node's point.
const EVERY: usize = 32;

/// The first nodes are all tried while nothing is known, and none before them where a neighbour's best
/// recipe is.
const FIRST: usize = 8;

impl Prover<'_> {
    /// Takes a relaxation's point as a recipe where it is one; now and then mends or improves it.
    pub(super) fn try_point(&mut self, region: &Region, x: &[f64]) {
        if self.offer_as_is(x) {
            return;
        }
        // The last best recipe of a series is the likeliest again: the search is asked later.
        let first = if self.follows { FIRST } else { 1 };
        let due = self.best.is_none() && self.afresh <= FIRST || self.afresh % EVERY == first;
        if !due {
            return;
        }
        if self.task.logic.grid.is_some() {
            self.dive(region);
        } else if self.task.logic.is_empty() {
            let task = self.task;
            self.improve(task, x);
        } else {
            self.mend(region, x);
        }
    }

    /// Offers a point that meets everything; whether it did.
    fn offer_as_is(&mut self, x: &[f64]) -> bool {
        let x = self.task.logic.on_grid(x);
        let missed = self
            .task
            .curved
            .iter()
            .map(|c| self.task.missed(c, &x))
            .fold(0.0, f64::max);
        if missed > refine::MET
            || self.task.exact.violation(&x) > refine::MET
            || !self.task.logic.keeps(&x)
        {
            return false;
        }
        if let Some(goal) = self.task.goal(&x) {
            self.offer(Point { x, goal, missed });
        }
        true
    }

    fn improve(&mut self, task: &Task, x: &[f64]) {
        let start: Vec<f64> = x
            .iter()
            .zip(task.exact.lower.iter().zip(&task.exact.upper))
            .map(|(x, (lo, hi))| x.clamp(*lo, *hi))
            .collect();
        if let Some(point) = refine::descend(task, &start, &mut self.programs)
            && point.missed <= refine::MET
            && self.task.logic.keeps(&point.x)
        {
            self.offer(point);
        }
    }

    /// Decides every use as a point suggests, and searches among the recipes with those uses.
    fn mend(&mut self, region: &Region, x: &[f64]) {
        let logic = &self.task.logic;
        let mut uses = logic.near(&region.uses, x);
        let mut task = self.task.clone();
        if !logic.carry(&mut uses, &mut task.exact.lower, &mut task.exact.upper) {
            return;
        }
        let mut program = task.exact.clone();
        if let Some(slope) = task.goal_slope(x) {
            program.cost = slope;
        }
        self.programs += 1;
        if let Found::Best { x, .. } = linear::solve(&program) {
            self.improve(&task, &x);
        }
    }

    /// Puts one treat rate after another on the balance's grid, the surest first, and lets the rest
    /// follow.
    fn dive(&mut self, region: &Region) {
        let mut region = region.clone();
        for _ in 0..2 * region.upper.len() {
            if !self.narrow(&mut region) {
                return;
            }
            let program = self.program(&region).program;
            self.programs += 1;
            let Found::Best { x, .. } = linear::solve(&program) else {
                return;
            };
            if let Some(j) = self.task.logic.broken(&region.uses, &x) {
                let near = self.task.logic.near(&region.uses, &x);
                region.uses[j] = if near[j] == Use::Off {
                    Use::Off
                } else {
                    Use::On
                };
                continue;
            }
            let Some((j, at)) = self.task.logic.surest(&region.lower, &region.upper, &x) else {
                self.offer_as_is(&x);
                return;
            };
            region.lower[j] = at;
            region.upper[j] = at;
        }
    }

    fn offer(&mut self, point: Point) {
        if self.best.as_ref().is_none_or(|b| point.goal < b.goal) {
            self.best = Some(point);
        }
    }
}

//! Branch on the few curved scalars, bound with linear programs, stop at the gap.
//!
//! **What is proved, and why it holds.** Let the feasible set be the recipes that meet the exact rows
//! and every curved limit. The tree starts with a region that holds all of it, and replaces a region
//! only by two regions whose union holds it, or by a smaller one from which only recipes were cut that
//! miss a limit or cannot beat the best known goal by more than the gap. A region is closed only when
//!
//! 1. row multipliers prove, by plain arithmetic with its rounding error subtracted
//!    ([`Program::bound`]), that no point of its relaxation beats the best known goal by more than
//!    the gap; or
//! 2. multipliers prove in the same way that its relaxation has no point at all; or
//! 3. interval arithmetic shows that every recipe in it misses a limit (`shrink`).
//!
//! Every recipe of a region is a point of its relaxation (`estimate`, `relax`, `logic`). A back end's word
//! never closes a region: where no proof is found, the region is split again, and when the budget ends
//! the answer says how far the proof came. So "certified" assumes the property models, IEEE 754
//! arithmetic, and a mathematical library whose `exp` and `ln` err by at most four units in the last
//! place; it assumes nothing of the simplex method.

use crate::solve::linear;
use crate::solve::linear::Found;
use crate::solve::program::Program;
use crate::solve::program::Row;
use crate::solve::prove::branch;
use crate::solve::prove::memory::Memory;
use crate::solve::prove::relax;
use crate::solve::prove::relax::BendRow;
use crate::solve::prove::relax::Model;
use crate::solve::prove::relax::Region;
use crate::solve::prove::relax::Scalar;
use crate::solve::prove::relax::Tag;
use crate::solve::prove::root::Root;
use crate::solve::prove::shrink;
use crate::solve::refine::Point;
use crate::solve::task::Goal;
use crate::solve::task::Task;
use std::time::Duration;
use std::time::Instant;

/// What a proof may spend.
#[derive(Debug, Clone, PartialEq)]
pub struct Limits {
    /// Relative gap at which the proof stops.
    pub gap: f64,
    /// Most regions looked at.
    pub nodes: usize,
    /// Wall time.
    pub time: Option<Duration>,
    /// Stop at the first recipe found, or at the first that betters the known one.
    pub first: bool,
    /// No improvement below this is worth a search, in the goal's own unit: a goal of nothing (no
    /// change, none of a component) has no relative gap.
    pub least: f64,
}

impl Default for Limits {
    fn default() -> Self {
        Limits {
            gap: 1e-4,
            nodes: 200_000,
            time: None,
            first: false,
            least: LEAST_GAIN,
        }
    }
}

/// The least improvement worth a search where nothing is said of it, in the goal's own unit.
pub const LEAST_GAIN: f64 = 1e-9;

impl Limits {
    /// By how much a goal must be bettered to count.
    #[must_use]
    pub fn gain(&self, goal: f64) -> f64 {
        (self.gap * goal.abs()).max(self.least)
    }
}

/// How a proof ended.
#[derive(Debug, Clone, PartialEq)]
pub struct Outcome {
    /// The best recipe known at the end.
    pub best: Option<Point>,
    /// No recipe of the task has a lower (minimised) goal; minus infinity where nothing is proved,
    /// plus infinity where no recipe exists.
    pub bound: f64,
    /// Whether every region was closed.
    pub complete: bool,
    /// Regions looked at.
    pub nodes: usize,
    /// Linear programs solved.
    pub programs: usize,
}

/// An open region.
pub(super) struct Node {
    pub(super) region: Region,
    pub(super) bound: f64,
    id: usize,
}

/// A region's linear program.
pub(super) struct Relaxation {
    pub(super) program: Program,
    /// What each of its rows is.
    pub(super) tags: Vec<Tag>,
    /// The rows of bends, each with the bend it is of.
    pub(super) bends: Vec<(usize, BendRow)>,
}

/// Room above nothing in a curved goal's cutoff row, for the back end's tolerance.
const CUTOFF_ROOM: f64 = 1e-7;

/// The goal's own row among the bends of a program.
pub(super) const GOAL: usize = usize::MAX;

pub(super) struct Prover<'a> {
    pub(super) task: &'a Task,
    pub(super) model: Model,
    limits: Limits,
    pub(super) best: Option<Point>,
    /// The goal of the recipe known at the beginning.
    known: Option<f64>,
    pub(super) nodes: usize,
    pub(super) programs: usize,
    begun: Instant,
    /// Whether a bound on the goal is known: without one a recipe is all that can be found.
    boundable: bool,
    /// What the proofs of a series hand on; `None` for a proof that stands alone.
    pub(super) memory: Option<&'a mut Memory>,
}

/// Proves a best known recipe best within the gap, finds a better one on the way, or proves that
/// there is none. A `known` recipe that breaks the task's logic or grid is not used.
#[must_use]
pub fn prove(task: &Task, known: Option<Point>, limits: &Limits) -> Outcome {
    prove_with(task, known, limits, None)
}

/// The same as one of a series of proofs of neighbouring tasks: begun with what the last one left, and
/// content with the gap as soon as it is reached.
#[must_use]
pub fn prove_next(
    task: &Task,
    known: Option<Point>,
    limits: &Limits,
    memory: &mut Memory,
) -> Outcome {
    prove_with(task, known, limits, Some(memory))
}

fn prove_with(
    task: &Task,
    known: Option<Point>,
    limits: &Limits,
    memory: Option<&mut Memory>,
) -> Outcome {
    let mut model = Model::new(task);
    if let Goal::Curved(curve) = &task.goal
        && let Some(bend) = relax::goal_bend(curve, task.sign, task.sign)
    {
        model.register(task, &bend.shape);
    }
    let best = known.filter(|point| task.logic.keeps(&point.x));
    let mut prover = Prover {
        task,
        model,
        limits: limits.clone(),
        known: best.as_ref().map(|point| point.goal),
        best,
        nodes: 0,
        programs: 0,
        begun: Instant::now(),
        boundable: task.goal_is_boundable(),
        memory,
    };
    prover.run()
}

/// What became of a region.
pub(super) enum Verdict {
    /// Nothing better in it.
    Closed(f64),
    /// Its parts, which together hold all that is worth finding in it.
    Split(f64, Vec<Region>),
    /// Nothing is left to split, and it is not closed.
    Stuck(f64),
}

impl Prover<'_> {
    fn run(&mut self) -> Outcome {
        let mut root = self.model.whole(self.task);
        let mut closed = f64::INFINITY;
        let mut open: Vec<Node> = Vec::new();
        let mut stuck = false;
        match self.root(&mut root) {
            Root::Closed(bound) => closed = bound,
            Root::Open => open.push(Node {
                region: root,
                bound: f64::NEG_INFINITY,
                id: 0,
            }),
        }
        let mut next_id = 1;
        while let Some(mut node) = self.take(&mut open) {
            if self.spent() {
                open.push(node);
                break;
            }
            if node.bound >= self.threshold() {
                closed = closed.min(node.bound);
                continue;
            }
            self.nodes += 1;
            match self.look(&mut node) {
                Verdict::Closed(bound) => closed = closed.min(bound),
                Verdict::Stuck(bound) => {
                    stuck = true;
                    closed = closed.min(bound);
                }
                Verdict::Split(bound, parts) => {
                    for region in parts {
                        open.push(Node {
                            region,
                            bound,
                            id: next_id,
                        });
                        next_id += 1;
                    }
                }
            }
        }
        let complete = open.is_empty() && !stuck;
        let lowest = open.iter().map(|n| n.bound).fold(closed, f64::min);
        Outcome {
            bound: self.final_bound(lowest, complete),
            best: self.best.clone(),
            complete,
            nodes: self.nodes,
            programs: self.programs,
        }
    }

    /// Narrows the root, first as the last proof of a series did.
    fn root(&mut self, region: &mut Region) -> Root {
        match self.replay(region) {
            Root::Open => self.tighten_root(region),
            closed @ Root::Closed(_) => closed,
        }
    }

    /// The next node: the lowest bound, for it decides the proof; but on a grid, where recipes are hard
    /// to come by, the newest until one is found.
    fn take(&self, open: &mut Vec<Node>) -> Option<Node> {
        if self.best.is_none() && self.task.logic.grid.is_some() {
            return open.pop();
        }
        lowest(open)
    }

    fn spent(&self) -> bool {
        self.nodes >= self.limits.nodes
            || self.limits.time.is_some_and(|t| self.begun.elapsed() >= t)
            || self.best.is_some() && !self.boundable
            || self.limits.first && self.bettered()
    }

    /// Whether a recipe was found that betters the known one, if one was known.
    fn bettered(&self) -> bool {
        self.best
            .as_ref()
            .is_some_and(|best| self.known.is_none_or(|known| best.goal < known))
    }

    /// Whether the goal is linear, so that a region's bound is a bound on the goal itself.
    fn linear(&self) -> Option<&Vec<f64>> {
        match &self.task.goal {
            Goal::Linear(weights) => Some(weights),
            Goal::Curved(_) => None,
        }
    }

    /// A goal below this would be an improvement worth the gap.
    pub(super) fn target(&self) -> Option<f64> {
        self.best
            .as_ref()
            .map(|b| b.goal - self.limits.gain(b.goal))
    }

    /// A region whose bound reaches this is closed. For a linear goal bounds are goals; for a curved
    /// one they are the least value of "goal minus target", so nothing is the mark, and everything is
    /// closed where a limit on the goal itself leaves no room for an improvement.
    pub(super) fn threshold(&self) -> f64 {
        match (self.linear(), self.target()) {
            (_, None) => f64::INFINITY,
            (Some(_), Some(target)) => target,
            (None, Some(target)) if target <= self.task.goal_floor() => f64::NEG_INFINITY,
            (None, Some(_)) => 0.0,
        }
    }

    fn final_bound(&self, lowest: f64, complete: bool) -> f64 {
        match (self.linear(), &self.best) {
            (_, None) if complete => f64::INFINITY,
            (Some(_), Some(best)) => lowest.min(best.goal),
            (None, Some(_)) if complete => {
                let target = self.target().unwrap_or(f64::NEG_INFINITY);
                target.max(self.task.goal_floor())
            }
            _ => self.task.goal_floor(),
        }
    }

    /// The relaxation of a region with its bend rows and its goal.
    pub(super) fn program(&self, region: &Region) -> Relaxation {
        let (mut program, mut tags) = self.model.program(self.task, region);
        let mut bends = Vec::new();
        for (i, bend) in self.model.bends.iter().enumerate() {
            if region.kept[i] {
                continue;
            }
            for (k, row) in self
                .model
                .rows(self.task, region, bend)
                .into_iter()
                .enumerate()
            {
                program.rows.push(row.row.clone());
                tags.push(Tag::Bend(i, k));
                bends.push((i, row));
            }
        }
        if let Some(weights) = self.linear() {
            program.cost.clone_from(weights);
            if let Some(target) = self.target() {
                program.rows.push(Row {
                    coefficients: weights.clone(),
                    lower: f64::NEG_INFINITY,
                    upper: target + self.cutoff_slack(),
                });
                tags.push(Tag::Cutoff);
            }
        } else if let Some((cost, row)) = self.goal_row(region) {
            // What does not reach the target cannot be an improvement: cut it off.
            program.rows.push(Row {
                coefficients: cost.clone(),
                lower: f64::NEG_INFINITY,
                upper: CUTOFF_ROOM,
            });
            tags.push(Tag::Cutoff);
            program.cost = cost;
            bends.extend(row.map(|r| (GOAL, r)));
        }
        Relaxation {
            program,
            tags,
            bends,
        }
    }

    /// Room above the target in the cutoff row: points worth finding stay well inside.
    fn cutoff_slack(&self) -> f64 {
        self.best
            .as_ref()
            .map_or(0.0, |b| 2.0 * self.limits.gain(b.goal))
    }

    /// A curved goal's "goal minus target" as a linear function that is below it over the region:
    /// its weights, with the constant carried by the row that sums to the whole.
    fn goal_row(&self, region: &Region) -> Option<(Vec<f64>, Option<BendRow>)> {
        let target = self.target()?;
        let Goal::Curved(curve) = &self.task.goal else {
            return None;
        };
        if let Some(bend) = relax::goal_bend(curve, self.task.sign, target) {
            let row = self
                .model
                .rows(self.task, region, &bend)
                .into_iter()
                .next()?;
            // Σ x = 1 carries the constant.
            let whole = &self.task.exact.rows[0].coefficients;
            let cost = row
                .row
                .coefficients
                .iter()
                .zip(whole)
                .map(|(c, one)| c - row.row.upper * one)
                .collect();
            return Some((cost, Some(row)));
        }
        Some((self.task.goal_threshold(curve, target)?, None))
    }

    fn look(&mut self, node: &mut Node) -> Verdict {
        if !self.narrow(&mut node.region) {
            return Verdict::Closed(self.threshold());
        }
        let Relaxation { program, bends, .. } = self.program(&node.region);
        let priced = self.linear().is_some() || program.cost.iter().any(|c| *c != 0.0);
        self.programs += 1;
        let (x, bound) = match linear::solve(&program) {
            // A program without a price on the goal (a curved goal before there is a target, or where
            // no bound on it is known) proves nothing of it: its bound of nothing, carried along,
            // would close regions unseen.
            Found::Best { x, .. } if !priced => (x, f64::NEG_INFINITY),
            Found::Best { x, bound, .. } => (x, bound.max(node.bound)),
            Found::Empty(_) => return Verdict::Closed(self.threshold()),
            Found::Unknown => return self.split_widest(node),
        };
        if bound >= self.threshold() {
            return Verdict::Closed(bound);
        }
        self.try_point(&node.region, &x);
        if bound >= self.threshold() {
            return Verdict::Closed(bound);
        }
        if let Some(narrowed) = self.narrowed_by_blame(&node.region, program, &x, &bends) {
            return Verdict::Split(bound, vec![narrowed]);
        }
        self.choose(node, &x, bound, &bends)
    }

    /// What follows from a region without any linear program; false where it holds no recipe.
    pub(super) fn narrow(&self, region: &mut Region) -> bool {
        let logic = &self.task.logic;
        logic.carry(&mut region.uses, &mut region.lower, &mut region.upper)
            && shrink::shrink(&self.model, self.task, region)
            && logic.carry(&mut region.uses, &mut region.lower, &mut region.upper)
    }

    /// Every scalar that may be split.
    pub(super) fn scalars(&self) -> Vec<Scalar> {
        branch::scalars(&self.model)
    }
}

/// The open node with the lowest bound, the oldest among equals.
fn lowest(open: &mut Vec<Node>) -> Option<Node> {
    let at = open
        .iter()
        .enumerate()
        .min_by(|(_, a), (_, b)| a.bound.total_cmp(&b.bound).then(a.id.cmp(&b.id)))
        .map(|(i, _)| i)?;
    Some(open.swap_remove(at))
}

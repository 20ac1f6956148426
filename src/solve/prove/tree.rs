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
//!
//! [`Program::bound`]: crate::solve::program::Program::bound

use crate::solve::linear;
use crate::solve::linear::Found;
use crate::solve::prove::branch;
use crate::solve::prove::memory::Inward;
use crate::solve::prove::memory::Memory;
use crate::solve::prove::memory::Multipliers;
use crate::solve::prove::outline::Closing;
use crate::solve::prove::outline::Cut;
use crate::solve::prove::outline::Outline;
use crate::solve::prove::outline::Step;
use crate::solve::prove::relax;
use crate::solve::prove::relax::Model;
use crate::solve::prove::relax::Region;
use crate::solve::prove::relax::Scalar;
use crate::solve::prove::relaxation::Relaxation;
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

/// The tree as far as it has grown.
struct Tree {
    open: Vec<Node>,
    /// The lowest bound of the regions that were closed.
    closed: f64,
    /// Whether some region could be neither closed nor cut.
    stuck: bool,
    /// Regions so far.
    born: usize,
}

/// An open region.
pub(super) struct Node {
    pub(super) region: Region,
    pub(super) bound: f64,
    id: usize,
    /// Its step in the outline that is retraced.
    last: Option<usize>,
}

pub(super) struct Prover<'a> {
    pub(super) task: &'a Task,
    pub(super) model: Model,
    pub(super) limits: Limits,
    pub(super) best: Option<Point>,
    /// The goal of the recipe known at the beginning.
    known: Option<f64>,
    nodes: usize,
    /// Regions looked at with nothing to retrace.
    pub(super) afresh: usize,
    pub(super) programs: usize,
    begun: Instant,
    /// Whether a bound on the goal is known: without one a recipe is all that can be found.
    boundable: bool,
    /// What the proofs of a series hand on; `None` for a proof that stands alone.
    pub(super) memory: Option<&'a mut Memory>,
    /// Whether it goes on from a neighbour's best recipe and proof.
    pub(super) follows: bool,
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
    mut memory: Option<&mut Memory>,
) -> Outcome {
    let mut model = Model::new(task);
    if let Goal::Curved(curve) = &task.goal
        && let Some(bend) = relax::goal_bend(curve, task.sign, task.sign)
    {
        model.register(task, &bend.shape);
    }
    let best = known.filter(|point| task.logic.keeps(&point.x));
    let scalars = branch::scalars(&model);
    let fits = memory
        .as_mut()
        .is_some_and(|memory| memory.fits(task.exact.width(), &scalars, task.logic.grid));
    let mut prover = Prover {
        task,
        model,
        limits: limits.clone(),
        known: best.as_ref().map(|point| point.goal),
        nodes: 0,
        afresh: 0,
        programs: 0,
        begun: Instant::now(),
        boundable: task.goal_is_boundable(),
        follows: fits && best.is_some(),
        best,
        memory,
    };
    prover.run()
}

/// What became of a region.
pub(super) enum Verdict {
    /// Nothing better in it, with multipliers that showed it, where some did.
    Closed(f64, Option<Closing>),
    /// Its parts, which together hold all of it, each with its place.
    Cut(f64, Cut, Vec<(usize, Region)>),
    /// What is left of it without what is not worth finding, with what narrowed it.
    Narrowed(f64, Region, Vec<Inward>),
    /// Nothing is left to split, and it is not closed.
    Stuck(f64),
}

impl Prover<'_> {
    fn run(&mut self) -> Outcome {
        let mut root = self.model.whole(self.task);
        let mut tree = Tree {
            open: Vec::new(),
            closed: f64::INFINITY,
            stuck: false,
            born: 1,
        };
        match self.root(&mut root) {
            Root::Closed(bound) => tree.closed = bound,
            Root::Open => tree.open.push(Node {
                region: root,
                bound: f64::NEG_INFINITY,
                id: 0,
                last: self.memory.as_ref().and_then(|m| m.outline.root()),
            }),
        }
        let mut outline = self.memory.as_ref().map(|m| m.outline.next());
        while let Some(mut node) = self.take(&mut tree.open) {
            if self.spent() {
                tree.open.push(node);
                break;
            }
            if node.bound >= self.threshold() {
                tree.closed = tree.closed.min(node.bound);
                continue;
            }
            self.nodes += 1;
            let verdict = self.look(&mut node);
            let step = self.grow(&mut tree, &node, verdict);
            if let Some(outline) = &mut outline {
                outline.write(node.id, step);
            }
        }
        let complete = tree.open.is_empty() && !tree.stuck;
        // A root closed at once leaves the tree of the one before it as good as it was.
        if let (Some(memory), Some(outline)) = (&mut self.memory, outline)
            && self.nodes > 0
        {
            memory.outline = if complete {
                outline.finished()
            } else {
                Outline::default()
            };
        }
        let lowest = tree
            .open
            .iter()
            .map(|n| n.bound)
            .fold(tree.closed, f64::min);
        Outcome {
            bound: self.final_bound(lowest, complete),
            best: self.best.clone(),
            complete,
            nodes: self.nodes,
            programs: self.programs,
        }
    }

    /// Puts what a region was found to be into the tree; its step in the outline.
    fn grow(&self, tree: &mut Tree, node: &Node, verdict: Verdict) -> Step {
        let (step, bound, parts) = match verdict {
            Verdict::Closed(bound, closing) => {
                tree.closed = tree.closed.min(bound);
                return closing.map_or(Step::Forgotten, Step::Closed);
            }
            Verdict::Stuck(bound) => {
                tree.stuck = true;
                tree.closed = tree.closed.min(bound);
                return Step::Forgotten;
            }
            Verdict::Cut(bound, cut, parts) => {
                let mut ids = [None; 2];
                for (id, (place, _)) in (tree.born..).zip(&parts) {
                    ids[*place] = Some(id);
                }
                (Step::Cut(cut, ids), bound, parts)
            }
            Verdict::Narrowed(bound, region, ends) => {
                (Step::Narrowed(ends, tree.born), bound, vec![(0, region)])
            }
        };
        for (place, region) in parts {
            tree.open.push(Node {
                region,
                bound,
                id: tree.born,
                last: self.last(node).below(place),
            });
            tree.born += 1;
        }
        step
    }

    /// What became of a region last time.
    fn last(&self, node: &Node) -> &Step {
        match (&self.memory, node.last) {
            (Some(memory), Some(at)) => memory.outline.step(at),
            _ => &Step::Forgotten,
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
    pub(super) fn linear(&self) -> Option<&Vec<f64>> {
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

    fn look(&mut self, node: &mut Node) -> Verdict {
        if let Some(verdict) = self.retraced_at_once(self.last(node), node) {
            return verdict;
        }
        if !self.narrow(&mut node.region) {
            return Verdict::Closed(self.threshold(), None);
        }
        if let Some(verdict) = self.retraced(self.last(node), node) {
            return verdict;
        }
        node.last = None;
        self.afresh += 1;
        let Relaxation {
            program,
            tags,
            bends,
        } = self.program(&node.region);
        let priced = self.linear().is_some() || program.cost.iter().any(|c| *c != 0.0);
        self.programs += 1;
        let (x, y, bound) = match linear::solve(&program) {
            // A program without a price on the goal (a curved goal before there is a target, or where
            // no bound on it is known) proves nothing of it: its bound of nothing, carried along,
            // would close regions unseen.
            Found::Best { x, y, .. } if !priced => (x, y, f64::NEG_INFINITY),
            Found::Best { x, y, bound } => (x, y, bound.max(node.bound)),
            Found::Empty(y) => {
                let closing = Closing::Empty(Multipliers::new(&tags, &y));
                return Verdict::Closed(self.threshold(), Some(closing));
            }
            Found::Unknown => return self.cut_widest(node, node.bound),
        };
        if bound >= self.threshold() {
            let closing = Closing::Nothing(Multipliers::new(&tags, &y));
            return Verdict::Closed(bound, Some(closing));
        }
        self.try_point(&node.region, &x);
        if bound >= self.threshold() {
            return Verdict::Closed(bound, None);
        }
        let by_blame = self.narrowed_by_blame(&node.region, (program, &tags), &x, &bends);
        if let Some((narrowed, ends)) = by_blame {
            return Verdict::Narrowed(bound, narrowed, ends);
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

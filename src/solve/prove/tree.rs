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
//! Every recipe of a region is a point of its relaxation (`estimate`, `relax`). A back end's word
//! never closes a region: where no proof is found, the region is split again, and when the budget ends
//! the answer says how far the proof came. So "certified" assumes the property models, IEEE 754
//! arithmetic, and a mathematical library whose `exp` and `ln` err by at most four units in the last
//! place; it assumes nothing of the simplex method.

use crate::solve::linear;
use crate::solve::linear::Found;
use crate::solve::program::Program;
use crate::solve::program::Row;
use crate::solve::prove::interval::Interval;
use crate::solve::prove::relax;
use crate::solve::prove::relax::Bend;
use crate::solve::prove::relax::BendRow;
use crate::solve::prove::relax::Model;
use crate::solve::prove::relax::Region;
use crate::solve::prove::relax::Scalar;
use crate::solve::prove::shrink;
use crate::solve::refine;
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
}

impl Default for Limits {
    fn default() -> Self {
        Limits {
            gap: 1e-4,
            nodes: 200_000,
            time: None,
        }
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
struct Node {
    region: Region,
    bound: f64,
    id: usize,
}

/// A split keeps this part of a scalar's width on each side at least.
const LEAST_PART: f64 = 0.15;

/// A scalar narrower than this part of its size is not split further: the slack it causes is below
/// the tolerance at which recipes are judged.
const NARROWEST: f64 = 1e-10;

/// Tightening rounds at the root, and the shrinkage that earns another.
const ROOT_ROUNDS: usize = 4;
const WORTH_A_ROUND: f64 = 0.7;

/// Every so many nodes the search is asked to improve on a node's point.
const DESCEND_EVERY: usize = 32;

/// Room above nothing in a curved goal's cutoff row, for the back end's tolerance.
const CUTOFF_ROOM: f64 = 1e-7;

struct Prover<'a> {
    task: &'a Task,
    model: Model,
    limits: Limits,
    best: Option<Point>,
    nodes: usize,
    programs: usize,
    begun: Instant,
}

/// Proves a best known recipe best within the gap, finds a better one on the way, or proves that
/// there is none.
#[must_use]
pub fn prove(task: &Task, known: Option<Point>, limits: &Limits) -> Outcome {
    let mut model = Model::new(task);
    if let Goal::Curved(curve) = &task.goal
        && let Some(bend) = relax::goal_bend(curve, task.sign, 1.0)
    {
        model.register(task, &bend.shape);
    }
    let mut prover = Prover {
        task,
        model,
        limits: limits.clone(),
        best: known,
        nodes: 0,
        programs: 0,
        begun: Instant::now(),
    };
    prover.run()
}

/// What became of a region.
enum Verdict {
    /// Nothing better in it.
    Closed(f64),
    /// Split it, at this scalar and place.
    Split(f64, Scalar, f64),
    /// Nothing is left to split, and it is not closed.
    Stuck(f64),
}

impl Prover<'_> {
    fn run(&mut self) -> Outcome {
        let mut root = self.model.whole(self.task);
        let mut closed = f64::INFINITY;
        let mut open: Vec<Node> = Vec::new();
        let mut stuck = false;
        if self.tighten_root(&mut root) {
            open.push(Node {
                region: root,
                bound: f64::NEG_INFINITY,
                id: 0,
            });
        }
        let mut next_id = 1;
        while let Some(mut node) = take_lowest(&mut open) {
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
                Verdict::Split(bound, scalar, at) => {
                    for region in split(&node.region, scalar, at) {
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

    fn spent(&self) -> bool {
        self.nodes >= self.limits.nodes
            || self.limits.time.is_some_and(|t| self.begun.elapsed() >= t)
    }

    /// Whether the goal is linear, so that a region's bound is a bound on the goal itself.
    fn linear(&self) -> Option<&Vec<f64>> {
        match &self.task.goal {
            Goal::Linear(weights) => Some(weights),
            Goal::Curved(_) => None,
        }
    }

    /// A goal below this would be an improvement worth the gap.
    fn target(&self) -> Option<f64> {
        self.best
            .as_ref()
            .map(|b| b.goal - self.limits.gap * b.goal.abs().max(f64::MIN_POSITIVE))
    }

    /// A region whose bound reaches this is closed. For a linear goal bounds are goals; for a curved
    /// one they are the least value of "goal minus target", so nothing is the mark.
    fn threshold(&self) -> f64 {
        match (self.linear(), self.target()) {
            (_, None) => f64::INFINITY,
            (Some(_), Some(target)) => target,
            (None, Some(_)) => 0.0,
        }
    }

    fn final_bound(&self, lowest: f64, complete: bool) -> f64 {
        match (self.linear(), &self.best) {
            (_, None) => {
                if complete {
                    f64::INFINITY
                } else {
                    f64::NEG_INFINITY
                }
            }
            (Some(_), Some(best)) => lowest.min(best.goal),
            (None, Some(_)) if complete => self.target().unwrap_or(f64::NEG_INFINITY),
            (None, Some(_)) => f64::NEG_INFINITY,
        }
    }

    /// The relaxation of a region with its bend rows and its goal.
    fn program(&self, region: &Region) -> (Program, Vec<(usize, BendRow)>) {
        let mut program = self.model.program(self.task, region);
        let mut bends = Vec::new();
        for (i, bend) in self.model.bends.iter().enumerate() {
            for row in self.model.rows(self.task, region, bend) {
                program.rows.push(row.row.clone());
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
            }
        } else if let Some((cost, row)) = self.goal_row(region) {
            // What does not reach the target cannot be an improvement: cut it off.
            program.rows.push(Row {
                coefficients: cost.clone(),
                lower: f64::NEG_INFINITY,
                upper: CUTOFF_ROOM,
            });
            program.cost = cost;
            bends.extend(row.map(|r| (usize::MAX, r)));
        }
        (program, bends)
    }

    /// Room above the target in the cutoff row: points worth finding stay well inside.
    fn cutoff_slack(&self) -> f64 {
        self.best
            .as_ref()
            .map_or(0.0, |b| 2.0 * self.limits.gap * b.goal.abs())
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
            let cost = row
                .row
                .coefficients
                .iter()
                .map(|c| c - row.row.upper)
                .collect();
            return Some((cost, Some(row)));
        }
        let weights = self.task.goal_threshold(curve, target)?;
        Some((weights, None))
    }

    fn look(&mut self, node: &mut Node) -> Verdict {
        if !shrink::shrink(&self.model, self.task, &mut node.region) {
            return Verdict::Closed(self.threshold());
        }
        let (program, bends) = self.program(&node.region);
        self.programs += 1;
        let (x, bound) = match linear::solve(&program) {
            Found::Best { x, bound, .. } => (x, bound.max(node.bound)),
            Found::Empty(_) => return Verdict::Closed(self.threshold()),
            Found::Unknown => return self.split_widest(node),
        };
        if bound >= self.threshold() {
            return Verdict::Closed(bound);
        }
        self.try_point(&x);
        if bound >= self.threshold() {
            return Verdict::Closed(bound);
        }
        self.choose(node, &x, bound, &bends)
    }

    /// Takes a relaxation's point as a recipe where it is one; now and then lets the search improve
    /// on it.
    fn try_point(&mut self, x: &[f64]) {
        let missed = self
            .task
            .curved
            .iter()
            .map(|c| self.task.missed(c, x))
            .fold(0.0, f64::max);
        let exact = self.task.exact.violation(x) <= refine::MET;
        if missed <= refine::MET && exact {
            if let Some(goal) = self.task.goal(x) {
                self.offer(Point {
                    x: x.to_vec(),
                    goal,
                    missed,
                });
            }
        } else if self.best.is_none() && self.nodes <= 8 || self.nodes % DESCEND_EVERY == 1 {
            let mut start = x.to_vec();
            for (x, (lo, hi)) in start
                .iter_mut()
                .zip(self.task.exact.lower.iter().zip(&self.task.exact.upper))
            {
                *x = x.clamp(*lo, *hi);
            }
            if let Some(point) = refine::descend(self.task, &start, &mut self.programs)
                && point.missed <= refine::MET
            {
                self.offer(point);
            }
        }
    }

    fn offer(&mut self, point: Point) {
        if self.best.as_ref().is_none_or(|b| point.goal < b.goal) {
            self.best = Some(point);
        }
    }

    /// The scalar most to blame for the worst miss at a relaxation's point.
    fn choose(&self, node: &Node, x: &[f64], bound: f64, bends: &[(usize, BendRow)]) -> Verdict {
        let miss = |bend: usize| -> f64 {
            if bend == usize::MAX {
                let target = self.target().unwrap_or(0.0);
                return self.task.goal(x).map_or(1.0, |g| {
                    (g - target).max(0.0) / target.abs().max(f64::MIN_POSITIVE)
                });
            }
            let Bend {
                limit: Some(limit), ..
            } = self.model.bends[bend]
            else {
                return 0.0;
            };
            self.task.missed(&self.task.curved[limit], x)
        };
        let mut causes: Vec<(Scalar, f64)> = Vec::new();
        for (bend, row) in bends {
            let missed = miss(*bend);
            let all: f64 = row.blame.iter().map(|(_, b)| b).sum();
            if missed <= 0.0 || all <= 0.0 {
                continue;
            }
            for (scalar, b) in &row.blame {
                let weight = *b;
                match causes.iter_mut().find(|(s, _)| s == scalar) {
                    Some((_, sum)) => *sum += weight,
                    None => causes.push((*scalar, weight)),
                }
            }
        }
        causes.sort_by(|a, b| b.1.total_cmp(&a.1).then(a.0.cmp(&b.0)));
        for (scalar, _) in causes {
            let over = interval(&node.region, scalar);
            let size = over.magnitude().max(1e-3);
            if over.hi - over.lo > NARROWEST * size {
                let at = self.model.value(self.task, scalar, x);
                let (lo, hi) = (
                    over.lo + LEAST_PART * (over.hi - over.lo),
                    over.hi - LEAST_PART * (over.hi - over.lo),
                );
                return Verdict::Split(bound, scalar, at.clamp(lo, hi));
            }
        }
        match self.split_widest(node) {
            Verdict::Split(_, scalar, at) => Verdict::Split(bound, scalar, at),
            _ => Verdict::Stuck(bound),
        }
    }

    /// Halves the scalar that is widest for its size.
    fn split_widest(&self, node: &Node) -> Verdict {
        let scalars = (0..self.model.quotients.len())
            .map(Scalar::Quotient)
            .chain((0..self.model.sums.len()).map(Scalar::Sum))
            .chain(self.model.polymers.iter().copied().map(Scalar::Column));
        let widest = scalars
            .map(|s| {
                let over = interval(&node.region, s);
                (s, (over.hi - over.lo) / over.magnitude().max(1e-3), over)
            })
            .filter(|(_, w, _)| *w > NARROWEST)
            .max_by(|a, b| a.1.total_cmp(&b.1).then(b.0.cmp(&a.0)));
        match widest {
            Some((scalar, _, over)) => Verdict::Split(node.bound, scalar, over.middle()),
            None => Verdict::Stuck(node.bound),
        }
    }

    /// Narrows every scalar of the root to what its relaxation allows; false when that proves the
    /// root closed.
    fn tighten_root(&mut self, region: &mut Region) -> bool {
        let scalars: Vec<Scalar> = (0..self.model.quotients.len())
            .map(Scalar::Quotient)
            .chain((0..self.model.sums.len()).map(Scalar::Sum))
            .chain(self.model.polymers.iter().copied().map(Scalar::Column))
            .collect();
        for _ in 0..ROOT_ROUNDS {
            if !shrink::shrink(&self.model, self.task, region) {
                return false;
            }
            let mut best_shrink: f64 = 1.0;
            let (program, _) = self.program(region);
            for &scalar in &scalars {
                let over = interval(region, scalar);
                if over.hi - over.lo <= NARROWEST * over.magnitude().max(1e-3) {
                    continue;
                }
                let Some(narrow) = self.narrowed(&program, region, scalar, over) else {
                    return true;
                };
                best_shrink = best_shrink.min((narrow.hi - narrow.lo) / (over.hi - over.lo));
                set(region, scalar, narrow);
            }
            if best_shrink > WORTH_A_ROUND {
                break;
            }
        }
        true
    }

    /// The interval of a scalar over a relaxation, each end proved by multipliers; `None` where the
    /// relaxation seems to have no point.
    fn narrowed(
        &mut self,
        program: &Program,
        region: &Region,
        scalar: Scalar,
        over: Interval,
    ) -> Option<Interval> {
        let mut ends = [over.lo, over.hi];
        for (k, end) in ends.iter_mut().enumerate() {
            let sign = if k == 0 { 1.0 } else { -1.0 };
            let (cost, least_weight) = self.distance(region, scalar, sign, *end);
            let moved = Program {
                cost,
                ..program.clone()
            };
            self.programs += 1;
            let Found::Best { bound, .. } = linear::solve(&moved) else {
                return None;
            };
            let by = bound / least_weight;
            if by.is_finite() && by > 0.0 {
                // The division and the sum are rounded: stay outside.
                *end += sign * by * (1.0 - 1e-9);
            }
        }
        Interval::new(ends[0], ends[1]).meet(over)
    }

    /// A linear function of the mass fractions that is the distance of a scalar from an end, times
    /// at most the second number.
    fn distance(&self, region: &Region, scalar: Scalar, sign: f64, end: f64) -> (Vec<f64>, f64) {
        let n = self.task.columns.len();
        match scalar {
            Scalar::Quotient(q) => {
                let (num, den) = self.model.quotients[q];
                let cost = (0..n)
                    .map(|j| sign * (self.task.totals[num][j] - end * self.task.totals[den][j]))
                    .collect();
                let most = self
                    .model
                    .sums
                    .iter()
                    .position(|s| *s == den)
                    .map_or(1.0, |s| region.sums[s].hi.max(f64::MIN_POSITIVE));
                (cost, most)
            }
            Scalar::Sum(s) => {
                let total = &self.task.totals[self.model.sums[s]];
                ((0..n).map(|j| sign * (total[j] - end)).collect(), 1.0)
            }
            Scalar::Column(c) => {
                let cost = (0..n)
                    .map(|j| sign * (if j == c { 1.0 } else { 0.0 } - end))
                    .collect();
                (cost, 1.0)
            }
        }
    }
}

fn interval(region: &Region, scalar: Scalar) -> Interval {
    match scalar {
        Scalar::Quotient(q) => region.quotients[q],
        Scalar::Sum(s) => region.sums[s],
        Scalar::Column(j) => Interval::new(region.lower[j], region.upper[j]),
    }
}

fn set(region: &mut Region, scalar: Scalar, over: Interval) {
    match scalar {
        Scalar::Quotient(q) => region.quotients[q] = over,
        Scalar::Sum(s) => region.sums[s] = over,
        Scalar::Column(j) => {
            region.lower[j] = over.lo;
            region.upper[j] = over.hi;
        }
    }
}

fn split(region: &Region, scalar: Scalar, at: f64) -> [Region; 2] {
    let over = interval(region, scalar);
    let (mut low, mut high) = (region.clone(), region.clone());
    set(&mut low, scalar, Interval::new(over.lo, at));
    set(&mut high, scalar, Interval::new(at, over.hi));
    [low, high]
}

/// The open node with the lowest bound, the oldest among equals.
fn take_lowest(open: &mut Vec<Node>) -> Option<Node> {
    let at = open
        .iter()
        .enumerate()
        .min_by(|(_, a), (_, b)| a.bound.total_cmp(&b.bound).then(a.id.cmp(&b.id)))
        .map(|(i, _)| i)?;
    Some(open.swap_remove(at))
}

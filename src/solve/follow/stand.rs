//! Where a best point stands: what holds it, and the worth of each hold.
//!
//! With r the rooms of the holds, λ their worth, g the goal's slope over the columns that are free:
//!
//! ```text
//! g = Σ λ ∇r,   r = 0,   λ ≥ 0 (a row with equal sides: any sign)
//! ```
//!
//! solved to full precision by Newton's method, with the curvature of goal and curved limits. Source:
//! the first-order conditions of constrained minima (Nocedal and Wright 2006, chapters 12 and 18;
//! from memory).

use crate::declare::problem::Side;
use crate::solve::follow::hold;
use crate::solve::follow::hold::Hold;
use crate::solve::linear;
use crate::solve::linear::Found;
use crate::solve::program::Program;
use crate::solve::program::Row;
use crate::solve::task::Task;
use nalgebra::DMatrix;
use nalgebra::DVector;

/// A hold with less room than this may hold the point: a search stops at a billionth.
const NEAR: f64 = 1e-7;

/// A column within this of an edge of its band stands on it.
const ON_EDGE: f64 = 1e-9;

/// A worth below this part of the goal's size is none.
pub const NO_WORTH: f64 = 1e-9;

/// A step that would better the goal by more than this part of its size: the point is not the best.
const NOT_BEST: f64 = 1e-5;

/// A room below this is broken: ten times what Newton's method leaves.
pub const BROKEN: f64 = -1e-8;

/// Steps of Newton's method; from a neighbouring point three or four are enough.
const STEPS: usize = 25;

/// Residuals at which they stop, in parts of each scale.
const EXACT: f64 = 1e-12;

/// Residuals that are still good enough where rounding leaves no more.
const GOOD: f64 = 1e-9;

/// Curvature added along every direction, in goal sizes: where nothing decides, the point stays.
const DAMPING: f64 = 1e-6;

/// A best point with what holds it.
#[derive(Debug, Clone, PartialEq)]
pub struct Stand {
    /// The point, by column.
    pub x: Vec<f64>,
    /// Rows and curved limits that hold it.
    pub holds: Vec<Hold>,
    /// Whether each of them holds from both sides.
    pub both: Vec<bool>,
    /// Worth of each, per unit of its room, in the goal's unit; not negative unless it holds from both
    /// sides.
    pub worth: Vec<f64>,
    /// The edge that each column stands on.
    pub edges: Vec<Option<Side>>,
    /// Rise of the goal per unit of each column, the holds accounted for: 0 for a free one.
    pub rise: Vec<f64>,
    /// The goal's size, against which worths are measured.
    pub size: f64,
}

/// What would end a stand's validity.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Event {
    /// This begins to hold.
    Binds(Hold),
    /// This ceases to hold.
    Frees(Hold),
}

impl Stand {
    /// What holds a best point of a task; `None` where the point is not the best nearby.
    #[must_use]
    pub fn at(task: &Task, x: &[f64]) -> Option<Stand> {
        let mut start = guess(task, x)?;
        if start.settle(task).is_some() {
            return Some(start);
        }
        // A point that standing exactly moves away from what was near it.
        let again = start.x.clone();
        let mut start = guess(task, &again)?;
        start.settle(task)?;
        Some(start)
    }

    /// Columns that are free to move.
    fn free(&self) -> Vec<usize> {
        (0..self.x.len())
            .filter(|&j| self.edges[j].is_none())
            .collect()
    }

    /// Stands exactly where the same holds hold in a task; `None` where Newton's method does not
    /// arrive.
    pub fn settle(&mut self, task: &Task) -> Option<()> {
        if self.x.len() != task.exact.width() {
            return None;
        }
        for (j, edge) in self.edges.iter().enumerate() {
            match edge {
                Some(Side::Min) => self.x[j] = task.exact.lower[j],
                Some(Side::Max) => self.x[j] = task.exact.upper[j],
                None => {}
            }
        }
        let free = self.free();
        let mut before = f64::INFINITY;
        for step in 0..STEPS {
            let off = self.step(task, &free)?;
            if off <= EXACT || (off <= GOOD && off >= 0.5 * before) {
                break;
            }
            if step > 4 && off > 1e3 * before.max(GOOD) || step + 1 == STEPS {
                return None;
            }
            before = off;
        }
        self.rise = rise(task, &self.x, &self.holds, &self.worth)?;
        Some(())
    }

    /// One step of Newton's method; how far off the point was before it.
    fn step(&mut self, task: &Task, free: &[usize]) -> Option<f64> {
        let (n, m) = (free.len(), self.holds.len());
        if m > n {
            return None;
        }
        let slopes: Option<Vec<Vec<f64>>> = self
            .holds
            .iter()
            .map(|h| hold::slope(task, *h, &self.x))
            .collect();
        let slopes = slopes?;
        let rooms: Option<Vec<f64>> = self
            .holds
            .iter()
            .map(|h| hold::room(task, *h, &self.x))
            .collect();
        let rooms = rooms?;
        let goal = task.goal_slope(&self.x)?;
        let scale = self.size;
        let h = self.curvature(task, free)?;
        let mut kkt = DMatrix::zeros(n + m, n + m);
        kkt.view_mut((0, 0), (n, n)).copy_from(&h);
        for (k, slope) in slopes.iter().enumerate() {
            for (r, &j) in free.iter().enumerate() {
                kkt[(n + k, r)] = slope[j];
                kkt[(r, n + k)] = -slope[j];
            }
        }
        let rhs = DVector::from_fn(n + m, |i, _| {
            if i < n {
                -goal[free[i]] / scale
            } else {
                -rooms[i - n]
            }
        });
        // The unknowns are the step and the new worths, in goal sizes.
        let lu = kkt.clone().lu();
        let mut solved = lu.solve(&rhs)?;
        let again = lu.solve(&(&rhs - &kkt * &solved))?;
        solved += again;
        if solved.iter().any(|s| !s.is_finite()) {
            return None;
        }
        let moved = solved.rows(0, n).amax();
        let changed = (0..m)
            .map(|k| (solved[n + k] - self.worth[k] / scale).abs())
            .fold(0.0, f64::max);
        let largest = self
            .worth
            .iter()
            .fold(1.0_f64, |a, w| a.max(w.abs() / scale));
        let missed = rooms.iter().fold(0.0_f64, |a, r| a.max(r.abs()));
        for (r, &j) in free.iter().enumerate() {
            self.x[j] += solved[r].clamp(-0.2, 0.2);
        }
        for k in 0..m {
            self.worth[k] = solved[n + k] * scale;
        }
        Some(moved.max(missed).max(changed / largest))
    }

    fn curvature(&self, task: &Task, free: &[usize]) -> Option<DMatrix<f64>> {
        let n = free.len();
        let mut h = DMatrix::zeros(n, n);
        if self.holds.len() == n {
            // A corner: the holds alone decide.
            return Some(h);
        }
        let mut add = |curvature: &DMatrix<f64>, weight: f64| {
            for (r, &i) in free.iter().enumerate() {
                for (c, &j) in free.iter().enumerate() {
                    h[(r, c)] += weight * curvature[(i, j)];
                }
            }
        };
        if let Some(curvature) = task.goal_curvature(&self.x) {
            add(&curvature, self.size.recip());
        }
        for (hold, worth) in self.holds.iter().zip(&self.worth) {
            if matches!(hold, Hold::Curve(_) | Hold::Seam(..)) {
                let curvature = hold::curvature(task, *hold, &self.x)?;
                add(&curvature, -worth / self.size);
            }
        }
        for i in 0..n {
            h[(i, i)] += DAMPING;
        }
        Some(h)
    }

    /// Everything that may end this stand, with its room: parts of a scale, mass fraction, or parts of
    /// the goal's size.
    #[must_use]
    pub fn rooms(&self, task: &Task) -> Vec<(Event, f64)> {
        let mut all = Vec::new();
        for ((hold, both), worth) in self.holds.iter().zip(&self.both).zip(&self.worth) {
            if !both {
                all.push((Event::Frees(*hold), worth / self.size));
            }
        }
        for hold in hold::limits(task) {
            if !self.holds.contains(&hold) {
                let room = hold::room(task, hold, &self.x).unwrap_or(-1.0);
                all.push((Event::Binds(hold), room));
            }
        }
        for j in 0..self.x.len() {
            let (lo, hi) = (task.exact.lower[j], task.exact.upper[j]);
            match self.edges[j] {
                None => {
                    all.push((Event::Binds(Hold::Edge(j, Side::Min)), self.x[j] - lo));
                    all.push((Event::Binds(Hold::Edge(j, Side::Max)), hi - self.x[j]));
                }
                Some(side) => {
                    let (sign, other) = match side {
                        Side::Min => (1.0, Side::Max),
                        Side::Max => (-1.0, Side::Min),
                    };
                    // A band that closes leaves no room for anything.
                    all.push((Event::Binds(Hold::Edge(j, other)), hi - lo));
                    if hi > lo {
                        let worth = sign * self.rise[j] / self.size;
                        all.push((Event::Frees(Hold::Edge(j, side)), worth));
                    }
                }
            }
        }
        all
    }

    /// Whether nothing ends this stand in a task.
    #[must_use]
    pub fn is_sound(&self, task: &Task) -> bool {
        self.rooms(task).iter().all(|(_, room)| *room >= BROKEN)
    }

    /// The holds that are to be expected after an event: with what binds, without what is freed. To be
    /// settled; `None` where more would hold than there is free.
    #[must_use]
    pub fn after(&self, event: Event) -> Option<Stand> {
        let mut next = self.clone();
        match event {
            Event::Binds(Hold::Edge(j, side)) => next.edges[j] = Some(side),
            Event::Frees(Hold::Edge(j, _)) => next.edges[j] = None,
            Event::Binds(hold) => {
                next.holds.push(hold);
                next.both.push(false);
                next.worth.push(0.0);
            }
            Event::Frees(hold) => {
                let k = next.holds.iter().position(|h| *h == hold)?;
                next.holds.remove(k);
                next.both.remove(k);
                next.worth.remove(k);
            }
        }
        (next.holds.len() <= next.free().len()).then_some(next)
    }

    /// The goal with each hold's worth times its room subtracted, at this point in another task than the
    /// one where it stands (`own`): its
    /// derivative by a number of the task is that of the best goal (the envelope theorem).
    #[must_use]
    pub fn reckoned(&self, own: &Task, task: &Task) -> Option<f64> {
        let mut sum = task.goal(&self.x)?;
        for (hold, worth) in self.holds.iter().zip(&self.worth) {
            // A scale may move with the number; the worth is per unit of the stand's own.
            let units = hold::scale(task, *hold) / hold::scale(own, *hold);
            sum -= worth * hold::room(task, *hold, &self.x)? * units;
        }
        for (j, edge) in self.edges.iter().enumerate() {
            if let Some(side) = edge {
                let sign = if *side == Side::Min { 1.0 } else { -1.0 };
                sum -= sign * self.rise[j] * hold::room(task, Hold::Edge(j, *side), &self.x)?;
            }
        }
        Some(sum)
    }
}

/// Rise of the goal per unit of each column, the holds accounted for.
fn rise(task: &Task, x: &[f64], holds: &[Hold], worth: &[f64]) -> Option<Vec<f64>> {
    let mut rise = task.goal_slope(x)?;
    for (hold, worth) in holds.iter().zip(worth) {
        for (r, s) in rise.iter_mut().zip(hold::slope(task, *hold, x)?) {
            *r -= worth * s;
        }
    }
    Some(rise)
}

/// What seems to hold a point: the linear program of the directions that lower the goal has no such
/// direction, and its multipliers say why.
fn guess(task: &Task, x: &[f64]) -> Option<Stand> {
    let goal = task.goal_slope(x)?;
    let size = Task::goal_size(&goal, x);
    let near = near(task, x)?;
    let slopes: Option<Vec<Vec<f64>>> = near.iter().map(|h| hold::slope(task, *h, x)).collect();
    let slopes = slopes?;
    let edges: Vec<Option<Side>> = (0..x.len()).map(|j| edge(task, x, j)).collect();
    let cost = goal.iter().map(|g| g / size).collect();
    let program = directions(task, &near, &slopes, &edges, cost);
    let Found::Best { x: way, y, .. } = linear::solve(&program) else {
        return None;
    };
    if program.goal(&way) < -NOT_BEST {
        return None;
    }
    let kept: Vec<usize> = (0..near.len())
        .filter(|&k| is_equality(task, near[k]) || y[k].abs() > NO_WORTH)
        .collect();
    let holds: Vec<Hold> = kept.iter().map(|&k| near[k]).collect();
    let worth: Vec<f64> = kept.iter().map(|&k| y[k] * size).collect();
    let rise = rise(task, x, &holds, &worth)?;
    let both = |k: usize| is_both(task, near[k]) || mirrored(&slopes, k);
    let mut stand = Stand {
        x: x.to_vec(),
        both: kept.iter().map(|&k| both(k)).collect(),
        holds,
        worth,
        edges,
        rise,
        size,
    };
    free_enough(task, &mut stand);
    Some(stand)
}

/// The holds with next to no room.
fn near(task: &Task, x: &[f64]) -> Option<Vec<Hold>> {
    let mut near = Vec::new();
    for h in hold::limits(task) {
        if hold::room(task, h, x)?.abs() <= NEAR {
            near.push(h);
        }
    }
    near.extend(hold::seams(task, x, NEAR));
    Some(near)
}

/// The edge of its band on which a column stands.
fn edge(task: &Task, x: &[f64], j: usize) -> Option<Side> {
    let (lo, hi) = (task.exact.lower[j], task.exact.upper[j]);
    if x[j] <= lo + ON_EDGE {
        Some(Side::Min)
    } else if x[j] >= hi - ON_EDGE {
        Some(Side::Max)
    } else {
        None
    }
}

/// The program of the directions that no near hold and no edge forbids.
fn directions(
    task: &Task,
    near: &[Hold],
    slopes: &[Vec<f64>],
    edges: &[Option<Side>],
    cost: Vec<f64>,
) -> Program {
    let open = |j: usize, side: Side| edges[j] != Some(side) && !shut(task, j);
    let end = |open: bool, far: f64| if open { far } else { 0.0 };
    let columns = 0..edges.len();
    Program {
        cost,
        lower: columns
            .clone()
            .map(|j| end(open(j, Side::Min), -1.0))
            .collect(),
        upper: columns.map(|j| end(open(j, Side::Max), 1.0)).collect(),
        rows: near
            .iter()
            .zip(slopes)
            .map(|(h, slope)| Row {
                coefficients: slope.clone(),
                lower: 0.0,
                upper: if is_both(task, *h) {
                    0.0
                } else {
                    f64::INFINITY
                },
            })
            .collect(),
    }
}

fn is_equality(task: &Task, h: Hold) -> bool {
    matches!(h, Hold::Row(i, _) if hold::is_equality(&task.exact.rows[i]))
}

/// Whether a hold keeps from both sides: a row with equal sides, or a seam of the viscosity index.
fn is_both(task: &Task, h: Hold) -> bool {
    matches!(h, Hold::Seam(..)) || is_equality(task, h)
}

/// Whether a column's band is a single treat rate.
fn shut(task: &Task, j: usize) -> bool {
    task.exact.upper[j] - task.exact.lower[j] <= ON_EDGE
}

/// Whether another near hold is this one from the other side.
fn mirrored(slopes: &[Vec<f64>], k: usize) -> bool {
    let largest = slopes[k].iter().fold(0.0_f64, |a, s| a.max(s.abs()));
    slopes.iter().enumerate().any(|(i, other)| {
        i != k
            && other
                .iter()
                .zip(&slopes[k])
                .all(|(a, b)| (a + b).abs() <= 1e-9 * largest)
    })
}

/// More holds than free columns: those on an edge that it costs nothing to leave are freed.
fn free_enough(task: &Task, stand: &mut Stand) {
    let mut lacking = stand.holds.len().saturating_sub(stand.free().len());
    for j in 0..stand.x.len() {
        if lacking > 0
            && stand.edges[j].is_some()
            && !shut(task, j)
            && stand.rise[j].abs() <= NO_WORTH * stand.size
        {
            stand.edges[j] = None;
            lacking -= 1;
        }
    }
}

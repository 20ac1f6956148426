//! One step towards a recipe that passes more often, or as often for less: a linear program in which the
//! guards are variables beside the treat rates.
//!
//! Every drawn limit's property is its tangent at a recipe, and so is its scatter. Where each limit is to
//! pass, each guard is at least the quantile of the draws there. Where all are to pass together, the
//! logarithm of that chance is a sum over the limits, each the logarithm of a normal probability, which is
//! concave: tangents bound it, and are added where the solution needs them (J. E. Kelley 1960). A limit
//! counts in the sum for as much as the draws at the recipe say: less than 1 where it fails together with
//! another. Both agree with the draws at the recipe, in value and in slope, so a recipe that a step
//! does not move is the best nearby.

use crate::declare::problem::Side;
use crate::predict::room::Room;
use crate::predict::room::Rooms;
use crate::solve::linear::Found;
use crate::solve::linear::Growing;
use crate::solve::logic::Logic;
use crate::solve::logic::Use;
use crate::solve::program::Program;
use crate::solve::program::Row;
use crate::solve::task::Owner;
use crate::solve::task::Task;
use crate::standard::normal;
use crate::study::held::Held;
use crate::study::stand::Ground;
use crate::study::stand::Stand;
use crate::study::whole;
use crate::study::whole::Rows;
use std::ops::Range;

/// Guards beyond this many standard deviations are not told apart: what lies there fails once in
/// 300,000.
pub const FAR: f64 = 4.5;

/// Where the logarithm has its first tangents, in standard deviations.
const FIRST: [f64; 2] = [1.0, 2.5];

/// Rounds of adding tangents, and how far below it the last may lie.
const ROUNDS: usize = 12;
const BELOW: f64 = 1e-6;

/// The least and the most that a limit's failures count for: draws cannot tell less, and with more a law is
/// so unlike the normal one that a shorter step is the better answer.
const LEAST_COUNT: f64 = 0.02;
const MOST_COUNT: f64 = 4.0;

/// See [`off`].
const CURVED: f64 = 2.0;
const MOST_OFF: f64 = 0.02;

/// What is asked of a step.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Aim {
    /// The best goal with this chance: of each limit, or that all pass.
    Chance(f64),
    /// The highest chance.
    Surest,
}

/// Where a step leads.
#[derive(Debug, Clone, PartialEq)]
pub struct Step {
    /// The treat rates, by column of the task.
    pub x: Vec<f64>,
    /// How far inside each of the problem's limits they lie, to first order, in its property's unit.
    pub guards: Vec<f64>,
    /// What of the goal one unit of the logarithm of the chance costs: never below 0.
    pub price: f64,
    /// By how much the step betters what is aimed at, to first order: the goal, or how sure it is, in
    /// logarithms of a chance or standard deviations of each limit.
    pub gain: f64,
}

/// The columns of the program: treat rates, then guards, then how often each limit fails; or, where each
/// limit is to pass, by how much all of them are surer.
struct Columns {
    rates: usize,
    limits: usize,
    together: bool,
}

impl Columns {
    fn guard(&self, l: usize) -> usize {
        self.rates + l
    }

    fn missing(&self, l: usize) -> usize {
        self.rates + self.limits + l
    }

    fn surer(&self) -> usize {
        self.rates + self.limits
    }

    fn width(&self) -> usize {
        self.rates + self.limits + if self.together { self.limits } else { 1 }
    }

    /// Tangents of the logarithm where a solution lies below it.
    fn missed(&self, x: &[f64]) -> Vec<Row> {
        let limits = if self.together { self.limits } else { 0 };
        let missed = (0..limits)
            .map(|l| (l, x[self.guard(l)]))
            .filter(|(l, z)| missing(*z).0 - x[self.missing(*l)] > BELOW);
        missed.map(|(l, z)| tangent(self, l, z)).collect()
    }

    fn row(&self, lower: f64, upper: f64) -> Row {
        Row {
            coefficients: vec![0.0; self.width()],
            lower,
            upper,
        }
    }
}

/// A step from a recipe whose treat rates may each move by a radius (mass fraction); `None` where the
/// aim cannot be met so near, as far as the tangents tell.
#[must_use]
pub fn step(ground: Ground, stand: &Stand, aim: Aim, radius: f64) -> Option<Step> {
    let x = rates(ground.task, &stand.held);
    let (lower, upper) = about(ground.task, &x, radius);
    let step = |off| within(ground, stand, aim, &x, (lower.clone(), upper.clone(), off));
    match aim {
        Aim::Chance(_) => step(off(radius)),
        // Where a recipe stands on a limit that it cannot leave, another may still be made surer.
        Aim::Surest => step(off(radius)).or_else(|| step(0.0)),
    }
}

/// A step to a recipe that uses these columns of the task and no others; `None` where rules forbid that, or
/// the aim cannot be met, as far as the tangents tell.
#[must_use]
pub fn step_to(ground: Ground, stand: &Stand, aim: Aim, uses: &[Use]) -> Option<Step> {
    let task = ground.task;
    let x = rates(task, &stand.held);
    let (mut lower, mut upper) = (task.exact.lower.clone(), task.exact.upper.clone());
    let mut uses = uses.to_vec();
    let allowed = task.logic.carry(&mut uses, &mut lower, &mut upper);
    allowed.then(|| within(ground, stand, aim, &x, (lower, upper, 0.0)))?
}

/// A recipe's treat rates, by column of the task.
#[must_use]
pub fn rates(task: &Task, held: &Held) -> Vec<f64> {
    let shares = held.recipe.shares();
    let mut x: Vec<f64> = task.columns.iter().map(|j| shares[*j].fraction()).collect();
    x.resize(task.exact.width(), 0.0);
    x
}

/// A step with treat rates between bounds, and no less than so many standard deviations inside every limit.
fn within(
    ground: Ground,
    stand: &Stand,
    aim: Aim,
    x: &[f64],
    (lower, upper, off): (Vec<f64>, Vec<f64>, f64),
) -> Option<Step> {
    let Ground { task, .. } = ground;
    let rooms = &stand.rooms;
    let columns = Columns {
        rates: task.exact.width(),
        limits: rooms.all.len(),
        together: ground.wish.together,
    };
    let mut program = boxed(&columns, lower, upper, off);
    kept(task, rooms, &columns, x, &mut program);
    let least = (!columns.together).then(|| quantiles(ground, stand, aim));
    for l in 0..columns.limits {
        let z = least.as_ref().map_or_else(|| had(&rooms.all[l]), |z| z[l]);
        program
            .rows
            .push(inside(ground, &columns, stand, (l, z), x)?);
    }
    let size = match aim {
        Aim::Surest => 1.0,
        Aim::Chance(_) => priced(task, x, &mut program)?,
    };
    let asked = match &least {
        Some(least) => each(&columns, least, aim, &mut program),
        None => together(ground, stand, &columns, aim, &mut program),
    };
    let cost = program.cost.clone();
    let (solved, mut solution, multipliers) = Solved::begin(&columns, program)?;
    if task.logic.grid.is_some() {
        solution = whole::best(solved, solution, &cost, &task.logic)?;
    }
    let price = asked.map(|row| multipliers[row].abs()).sum::<f64>();
    Some(stepped(
        ground,
        stand,
        &columns,
        (x, &solution),
        (price, size, &cost),
        aim,
    ))
}

/// A solution as a step.
fn stepped(
    ground: Ground,
    stand: &Stand,
    columns: &Columns,
    (x, solved): (&[f64], &[f64]),
    (price, size, cost): (f64, f64, &[f64]),
    aim: Aim,
) -> Step {
    let rooms = &stand.rooms;
    let mut before = solved.to_vec();
    before[..x.len()].copy_from_slice(x);
    if columns.together {
        for (l, room) in rooms.all.iter().enumerate() {
            before[columns.missing(l)] = missing(had(room)).0;
        }
    } else {
        before[columns.surer()] = 0.0;
    }
    let apart = before.iter().zip(solved).zip(cost);
    let gain = apart.map(|((a, b), c)| (a - b) * c).sum::<f64>() * size;
    let mut guards = vec![0.0; ground.problem.limits.len()];
    for (l, room) in rooms.all.iter().enumerate() {
        guards[room.limit] = solved[columns.guard(l)].max(0.0) * room.sd;
    }
    // What a standard deviation of every limit costs, as what the logarithm of its chance costs.
    let by_chance = match aim {
        Aim::Chance(asked) if !columns.together => asked / normal::density(normal::quantile(asked)),
        _ => 1.0,
    };
    Step {
        x: solved[..columns.rates].to_vec(),
        guards,
        price: price * size * by_chance,
        gain,
    }
}

/// The standard deviations that a limit has to spare.
fn had(room: &Room) -> f64 {
    (room.room / room.sd).clamp(0.0, FAR)
}

/// How many standard deviations inside each limit a recipe must lie to pass as often as is aimed at; as often
/// as the least sure limit does here, where more is sought.
fn quantiles(ground: Ground, stand: &Stand, aim: Aim) -> Vec<f64> {
    let chance = match aim {
        Aim::Chance(asked) => asked,
        Aim::Surest => ground.wish.chance(&stand.held),
    };
    let guards = stand.held.sample.guards(ground.problem, chance);
    let rooms = stand.rooms.all.iter();
    rooms
        .map(|room| (guards[room.limit] / room.sd).min(FAR))
        .collect()
}

/// Bounds about a recipe: what recipe logic has decided there stays as it is.
fn about(task: &Task, x: &[f64], radius: f64) -> (Vec<f64>, Vec<f64>) {
    let mut lower = task.exact.lower.clone();
    let mut upper = task.exact.upper.clone();
    for j in 0..task.columns.len() {
        if !task.logic.is_empty() {
            if x[j] <= 0.0 {
                upper[j] = 0.0;
            } else if !may_go(&task.logic, j, x) {
                lower[j] = lower[j].max(task.logic.least[j].min(x[j]));
            }
        }
        lower[j] = lower[j].max(x[j] - radius).min(x[j]);
        upper[j] = upper[j].min(x[j] + radius).max(x[j]);
    }
    (lower, upper)
}

/// The bounds of all columns.
fn boxed(columns: &Columns, mut lower: Vec<f64>, mut upper: Vec<f64>, off: f64) -> Program {
    let rest = columns.width() - columns.rates - columns.limits;
    let most = if columns.together {
        std::f64::consts::LN_2
    } else {
        0.0
    };
    lower.extend(vec![off; columns.limits]);
    lower.extend(vec![0.0; rest]);
    upper.extend(vec![FAR; columns.limits]);
    upper.extend(vec![most; rest]);
    Program {
        cost: vec![0.0; columns.width()],
        lower,
        upper,
        rows: Vec::new(),
    }
}

/// How far inside every limit a step keeps, in standard deviations: what its curves may take of it.
fn off(radius: f64) -> f64 {
    (CURVED * radius).min(MOST_OFF)
}

/// Whether a used component may fall to nothing on its way: no minimum that binds when it is used, and no
/// rule that asks for it.
fn may_go(logic: &Logic, j: usize, x: &[f64]) -> bool {
    let asked = logic.some.iter().any(|set| set.contains(&j));
    let needed = logic.needs.iter();
    let needed = needed.filter(|(first, second)| x[*first] > 0.0 && *second == Some(j));
    !logic.stepped[j] && !asked && needed.count() == 0
}

/// The rows that stay as they are: the whole, definitions, and limits that nothing uncertain bears on.
fn kept(task: &Task, rooms: &Rooms, columns: &Columns, x: &[f64], program: &mut Program) {
    let is_drawn = |limit: usize| rooms.all.iter().any(|r| r.limit == limit);
    for (row, owner) in task.exact.rows.iter().zip(&task.owners) {
        if matches!(owner, Owner::Limit(l) if is_drawn(*l)) {
            continue;
        }
        let mut coefficients = row.coefficients.clone();
        coefficients.resize(columns.width(), 0.0);
        program.rows.push(Row {
            coefficients,
            ..*row
        });
    }
    for limit in &task.curved {
        let Some((value, slope)) = task
            .tangent(&limit.curve, x)
            .filter(|_| !limit.limit.is_some_and(is_drawn))
        else {
            continue;
        };
        let at: f64 = slope.iter().zip(x).map(|(s, x)| s * x).sum();
        // The recipe itself stays a point of the program.
        let (lower, upper) = match limit.side {
            Side::Min => (limit.bound.min(value) - value + at, f64::INFINITY),
            Side::Max => (f64::NEG_INFINITY, limit.bound.max(value) - value + at),
        };
        let mut row = columns.row(lower, upper);
        row.coefficients[..slope.len()].copy_from_slice(&slope);
        program.rows.push(row);
    }
}

/// A limit with its guard, to first order and in standard deviations: the recipe's room, less what the
/// move takes of it and what so many of its standard deviations grow by, is at least the guard.
fn inside(
    ground: Ground,
    columns: &Columns,
    stand: &Stand,
    (l, z): (usize, f64),
    x: &[f64],
) -> Option<Row> {
    let room = &stand.rooms.all[l];
    let closer = stand.closer(ground, l, z)?;
    // A recipe that stands on a limit, and by rounding beyond it, stays a point of the program.
    let mut row = columns.row(f64::NEG_INFINITY, room.room.max(0.0) / room.sd);
    for ((c, closer), x) in row.coefficients.iter_mut().zip(closer).zip(x) {
        *c = closer;
        row.upper += closer * x;
    }
    row.coefficients[columns.guard(l)] = 1.0;
    Some(row)
}

/// Minus the logarithm of the chance that a limit with z standard deviations to spare passes, and its slope.
fn missing(z: f64) -> (f64, f64) {
    let passes = normal::below(z);
    (-passes.ln(), -normal::density(z) / passes)
}

/// It is convex: nowhere below its tangents.
fn tangent(columns: &Columns, l: usize, z: f64) -> Row {
    let (value, slope) = missing(z);
    let mut row = columns.row(value - slope * z, f64::INFINITY);
    row.coefficients[columns.missing(l)] = 1.0;
    row.coefficients[columns.guard(l)] = -slope;
    row
}

/// For how much each limit's failures count, where all are to pass.
#[must_use]
pub fn counts(rooms: &Rooms) -> Vec<f64> {
    let count = |c: Option<f64>| c.map_or(1.0, |c| c.clamp(LEAST_COUNT, MOST_COUNT));
    rooms.counts().into_iter().map(count).collect()
}

/// Sets the goal; its size, by which it was divided.
fn priced(task: &Task, x: &[f64], program: &mut Program) -> Option<f64> {
    let slope = task.goal_slope(x)?;
    let size = Task::goal_size(&slope, x);
    for (c, s) in program.cost.iter_mut().zip(&slope) {
        *c = s / size;
    }
    Some(size)
}

/// Each limit's guard is at least so many standard deviations, or those and as many more as can be; the rows
/// that say so, where that has a price.
fn each(columns: &Columns, least: &[f64], aim: Aim, program: &mut Program) -> Range<usize> {
    let first = program.rows.len();
    for (l, z) in least.iter().enumerate() {
        let mut row = columns.row(*z, f64::INFINITY);
        row.coefficients[columns.guard(l)] = 1.0;
        row.coefficients[columns.surer()] = -1.0;
        program.rows.push(row);
    }
    if aim == Aim::Surest {
        program.cost[columns.surer()] = -1.0;
        program.upper[columns.surer()] = FAR;
        return 0..0;
    }
    first..program.rows.len()
}

/// The logarithm of the chance that all pass is as high as is aimed at, or as high as can be; the row that
/// says so, where that has a price.
fn together(
    ground: Ground,
    stand: &Stand,
    columns: &Columns,
    aim: Aim,
    program: &mut Program,
) -> Range<usize> {
    for l in 0..columns.limits {
        for z in FIRST {
            program.rows.push(tangent(columns, l, z));
        }
    }
    let counts = counts(&stand.rooms);
    let Aim::Chance(asked) = aim else {
        for (l, count) in counts.iter().enumerate() {
            program.cost[columns.missing(l)] = *count;
        }
        return 0..0;
    };
    let chance = ground.wish.chance(&stand.held);
    let mut row = columns.row(f64::NEG_INFINITY, chance.ln() - asked.ln());
    for (l, (count, room)) in counts.iter().zip(&stand.rooms.all).enumerate() {
        row.coefficients[columns.missing(l)] = *count;
        row.upper += count * missing(had(room)).0;
    }
    program.rows.push(row);
    program.rows.len() - 1..program.rows.len()
}

/// A solved program, with the tangents that it took.
#[derive(Clone)]
struct Solved<'a> {
    columns: &'a Columns,
    growing: Growing,
}

impl<'a> Solved<'a> {
    /// The solution, and its multipliers.
    fn begin(columns: &'a Columns, program: Program) -> Option<(Self, Vec<f64>, Vec<f64>)> {
        let (growing, found) = Growing::begin(program);
        let mut solved = Solved { columns, growing };
        let (x, y) = solved.close(found)?;
        Some((solved, x, y))
    }

    /// Adds tangents where the solution lies below the logarithm.
    fn close(&mut self, mut found: Found) -> Option<(Vec<f64>, Vec<f64>)> {
        let mut round = 1;
        loop {
            let Found::Best { x, y, .. } = found else {
                return None;
            };
            let missed = self.columns.missed(&x);
            if missed.is_empty() || round == ROUNDS {
                return Some((x, y));
            }
            round += 1;
            found = self.growing.and(missed);
        }
    }
}

impl Rows for Solved<'_> {
    fn and(&mut self, row: Row) -> Option<Vec<f64>> {
        let mut x = self.growing.quickly(&[row])?;
        for _ in 1..ROUNDS {
            let missed = self.columns.missed(&x);
            if missed.is_empty() {
                break;
            }
            x = self.growing.quickly(&missed)?;
        }
        Some(x)
    }
}

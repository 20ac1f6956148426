//! One step towards sharing the failures among the limits: a linear program in which the guards are
//! variables beside the treat rates.
//!
//! Every drawn limit's property is its tangent at a recipe, and so is its scatter. The logarithm of the
//! chance that all pass is a sum over the limits, each the logarithm of a normal probability, which is
//! concave: tangents bound it, and are added where the solution needs them (J. E. Kelley 1960). A limit
//! counts in the sum for as much as the draws at the recipe say: less than 1 where it fails together with
//! another. The sum agrees with the draws at the recipe, in value and in slope, so a recipe that a step
//! does not move shares its failures as is best nearby.

use crate::declare::problem::Problem;
use crate::declare::problem::Side;
use crate::predict::book::Book;
use crate::predict::cause::Unknown;
use crate::predict::room::Room;
use crate::predict::room::Rooms;
use crate::predict::scatter;
use crate::solve::linear;
use crate::solve::linear::Found;
use crate::solve::logic::Logic;
use crate::solve::program::Program;
use crate::solve::program::Row;
use crate::solve::task::Owner;
use crate::solve::task::Task;
use crate::standard::normal;
use crate::study::guard::Held;

/// Guards beyond this many standard deviations are not told apart: what lies there fails once in
/// 300,000.
pub const FAR: f64 = 4.5;

/// Where the logarithm has its first tangents, in standard deviations.
const FIRST: [f64; 6] = [0.0, 0.8, 1.4, 2.0, 2.7, 3.4];

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
    /// The best goal with this chance that all limits pass.
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
    /// By how much the step betters what is aimed at, to first order: the goal, or the logarithm of the
    /// chance.
    pub gain: f64,
}

/// What does not change from step to step.
#[derive(Debug, Clone, Copy)]
pub struct Ground<'a> {
    /// The problem.
    pub problem: &'a Problem,
    /// It in the search's terms.
    pub task: &'a Task,
    /// The models of its limits.
    pub book: &'a Book,
}

/// A recipe to step from.
#[derive(Debug, Clone)]
pub struct Stand {
    /// The recipe, drawn.
    pub held: Held,
    /// Its drawn limits.
    pub rooms: Rooms,
    /// `scatter[l][j]`: how the standard deviation of a drawn limit's property changes with a component.
    scatter: Vec<Vec<f64>>,
}

impl Stand {
    /// The chance that all limits pass, never below half a draw.
    #[must_use]
    pub fn chance(&self) -> f64 {
        chance(&self.held)
    }

    /// At a recipe.
    #[must_use]
    pub fn at(problem: &Problem, held: Held, known: Option<&Unknown>) -> Self {
        let place = |l: usize| held.causes.place(&problem.limits[l].property);
        let rooms = Rooms::of(problem, &held.sample, &held.causes);
        let slopes = scatter::slopes(problem, &held.recipe, &held.causes, known);
        let of = |room: &Room| place(room.limit).map_or_else(Vec::new, |k| slopes[k].clone());
        Stand {
            scatter: rooms.all.iter().map(of).collect(),
            rooms,
            held,
        }
    }
}

/// The chance that all limits of a recipe pass, never below half a draw.
#[must_use]
#[expect(clippy::cast_precision_loss, reason = "a count of draws")]
pub fn chance(held: &Held) -> f64 {
    let drawn = &held.sample.chances;
    drawn.together.part.max(0.5 / drawn.draws.max(1) as f64)
}

/// The columns of the program: treat rates, then guards, then how often each limit fails.
struct Columns {
    rates: usize,
    limits: usize,
}

impl Columns {
    fn guard(&self, l: usize) -> usize {
        self.rates + l
    }

    fn missing(&self, l: usize) -> usize {
        self.rates + self.limits + l
    }

    fn width(&self) -> usize {
        self.rates + 2 * self.limits
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
    let Ground { problem, task, .. } = ground;
    let rooms = &stand.rooms;
    let shares = stand.held.recipe.shares();
    let columns = Columns {
        rates: task.exact.width(),
        limits: rooms.all.len(),
    };
    let mut x: Vec<f64> = task.columns.iter().map(|j| shares[*j].fraction()).collect();
    x.resize(columns.rates, 0.0);
    let mut program = boxed(task, &columns, &x, radius);
    kept(task, rooms, &columns, &x, &mut program);
    for l in 0..columns.limits {
        program.rows.push(inside(ground, &columns, stand, l, &x)?);
        for z in FIRST {
            program.rows.push(tangent(&columns, l, z));
        }
    }
    let size = aimed(task, stand, &columns, &x, aim, &mut program)?;
    let cost = program.cost.clone();
    let (solved, multipliers, budget) = solved(&columns, program, aim)?;
    let price = budget.map_or(0.0, |row| (-multipliers[row]).max(0.0) * size);
    let mut before = solved.clone();
    before[..x.len()].copy_from_slice(&x);
    for (l, room) in rooms.all.iter().enumerate() {
        before[columns.missing(l)] = missing((room.room / room.sd).clamp(0.0, FAR)).0;
    }
    let apart = before.iter().zip(&solved).zip(&cost);
    let gain = apart.map(|((a, b), c)| (a - b) * c).sum::<f64>() * size;
    let mut guards = vec![0.0; problem.limits.len()];
    for (l, room) in rooms.all.iter().enumerate() {
        guards[room.limit] = solved[columns.guard(l)].max(0.0) * room.sd;
    }
    Some(Step {
        x: solved[..columns.rates].to_vec(),
        guards,
        price,
        gain,
    })
}

/// The columns' bounds: about the recipe, and what recipe logic has decided there stays as it is.
fn boxed(task: &Task, columns: &Columns, x: &[f64], radius: f64) -> Program {
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
    let own = |first: f64, second: f64| {
        let halves = [vec![first; columns.limits], vec![second; columns.limits]];
        halves.concat()
    };
    Program {
        cost: vec![0.0; columns.width()],
        lower: [lower, own(off(radius), 0.0)].concat(),
        upper: [upper, own(FAR, std::f64::consts::LN_2)].concat(),
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
/// move takes of it and what the scatter grows, is at least the guard.
fn inside(ground: Ground, columns: &Columns, stand: &Stand, l: usize, x: &[f64]) -> Option<Row> {
    let room = &stand.rooms.all[l];
    let limit = &ground.problem.limits[room.limit];
    let entry = ground.book.entry(&limit.property)?;
    let shares: Vec<f64> = stand
        .held
        .recipe
        .shares()
        .iter()
        .map(|s| s.fraction())
        .collect();
    let slope = ground.book.slope(entry, &shares)?;
    let toward = match limit.side {
        Side::Max => 1.0,
        Side::Min => -1.0,
    };
    // A recipe that stands on a limit, and by rounding beyond it, stays a point of the program.
    let mut row = columns.row(f64::NEG_INFINITY, room.room.max(0.0) / room.sd);
    let z = (room.room / room.sd).clamp(0.0, FAR);
    for ((c, &j), x) in row.coefficients.iter_mut().zip(&ground.task.columns).zip(x) {
        *c = (toward * slope[j] + z * stand.scatter[l][j]) / room.sd;
        row.upper += *c * x;
    }
    row.coefficients[columns.guard(l)] = 1.0;
    Some(row)
}

/// Minus the logarithm of the chance that a limit with z standard deviations to spare passes, and its slope.
fn missing(z: f64) -> (f64, f64) {
    let passes = normal::below(z);
    let density = (-0.5 * z * z).exp() / (2.0 * std::f64::consts::PI).sqrt();
    (-passes.ln(), -density / passes)
}

/// It is convex: nowhere below its tangents.
fn tangent(columns: &Columns, l: usize, z: f64) -> Row {
    let (value, slope) = missing(z);
    let mut row = columns.row(value - slope * z, f64::INFINITY);
    row.coefficients[columns.missing(l)] = 1.0;
    row.coefficients[columns.guard(l)] = -slope;
    row
}

/// For how much each limit's failures count.
fn counts(rooms: &Rooms) -> Vec<f64> {
    let count = |c: Option<f64>| c.map_or(1.0, |c| c.clamp(LEAST_COUNT, MOST_COUNT));
    rooms.counts().into_iter().map(count).collect()
}

/// Sets the aim; the goal's size, by which it was divided.
fn aimed(
    task: &Task,
    stand: &Stand,
    columns: &Columns,
    x: &[f64],
    aim: Aim,
    program: &mut Program,
) -> Option<f64> {
    let rooms = &stand.rooms;
    let counts = counts(rooms);
    match aim {
        Aim::Surest => {
            for (l, count) in counts.iter().enumerate() {
                program.cost[columns.missing(l)] = *count;
            }
            Some(1.0)
        }
        Aim::Chance(asked) => {
            let slope = task.goal_slope(x)?;
            let size = Task::goal_size(&slope, x);
            for (c, s) in program.cost.iter_mut().zip(&slope) {
                *c = s / size;
            }
            let mut row = columns.row(f64::NEG_INFINITY, stand.chance().ln() - asked.ln());
            for (l, (count, room)) in counts.iter().zip(&rooms.all).enumerate() {
                row.coefficients[columns.missing(l)] = *count;
                row.upper += count * missing((room.room / room.sd).clamp(0.0, FAR)).0;
            }
            program.rows.push(row);
            Some(size)
        }
    }
}

/// The solved program, its multipliers, and which row is the budget.
type Solved = (Vec<f64>, Vec<f64>, Option<usize>);

/// Solves, adding tangents of the tail where the solution lies below it.
fn solved(columns: &Columns, mut program: Program, aim: Aim) -> Option<Solved> {
    let budget = (aim != Aim::Surest).then(|| program.rows.len() - 1);
    let mut last = None;
    for _ in 0..ROUNDS {
        let Found::Best { x, y, .. } = linear::solve(&program) else {
            return None;
        };
        let missed: Vec<(usize, f64)> = (0..columns.limits)
            .map(|l| (l, x[columns.guard(l)]))
            .filter(|(l, z)| missing(*z).0 - x[columns.missing(*l)] > BELOW)
            .collect();
        last = Some((x, y, budget));
        if missed.is_empty() {
            break;
        }
        for (l, z) in missed {
            program.rows.push(tangent(columns, l, z));
        }
    }
    last
}

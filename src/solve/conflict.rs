//! Which requirements of the exactly linear part cannot all hold.

use crate::declare::problem::Problem;
use crate::declare::problem::Side;
use crate::solve::answer::Effort;
use crate::solve::answer::Party;
use crate::solve::linear;
use crate::solve::linear::Found;
use crate::solve::program::Program;
use crate::solve::task::Owner;
use crate::solve::task::Task;

/// One requirement that may be dropped from the exact part to see whether the rest can hold.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Item {
    /// A limit, with all its rows.
    Limit(usize),
    /// The treat rates add up to the whole.
    Whole,
    /// A band edge that a file or stock set.
    Edge(usize, Side),
}

/// An irreducible conflict of the exact part, each step proved by multipliers; `None` where the
/// exact part was not proved empty.
#[must_use]
pub fn of_exact(problem: &Problem, task: &Task, effort: &mut Effort) -> Option<Vec<Party>> {
    effort.programs += 1;
    let Found::Empty(y) = linear::solve(&task.exact) else {
        return None;
    };
    let mut kept = support(problem, task, &y);
    if !empty(task, &kept, effort) {
        kept = every_item(problem, task);
    }
    let mut i = 0;
    while i < kept.len() {
        let mut fewer = kept.clone();
        fewer.remove(i);
        if empty(task, &fewer, effort) {
            kept = fewer;
        } else {
            i += 1;
        }
    }
    let parties = kept
        .iter()
        .filter_map(|item| match item {
            Item::Limit(l) => Some(task.party(problem, Owner::Limit(*l))),
            Item::Edge(j, side) => task.band_party(problem, *j, *side),
            Item::Whole => Some(Party::Whole),
        })
        .collect();
    Some(parties)
}

/// Whether the exact part is proved empty with only these requirements.
fn empty(task: &Task, kept: &[Item], effort: &mut Effort) -> bool {
    effort.programs += 1;
    linear::is_empty(&only(task, kept))
}

fn only(task: &Task, kept: &[Item]) -> Program {
    let mut program = task.exact.clone();
    for j in 0..program.width() {
        if !kept.contains(&Item::Edge(j, Side::Min)) {
            program.lower[j] = 0.0;
        }
        if !kept.contains(&Item::Edge(j, Side::Max)) {
            program.upper[j] = 1.0;
        }
    }
    let mut owners = task.owners.iter();
    program.rows.retain(|_| match owners.next() {
        Some(Owner::Limit(l)) => kept.contains(&Item::Limit(*l)),
        Some(Owner::Whole) => kept.contains(&Item::Whole),
        _ => true,
    });
    program
}

fn every_item(problem: &Problem, task: &Task) -> Vec<Item> {
    let mut items: Vec<Item> = Vec::new();
    for owner in &task.owners {
        if let Owner::Limit(l) = owner
            && !items.contains(&Item::Limit(*l))
        {
            items.push(Item::Limit(*l));
        }
    }
    for j in 0..task.columns.len() {
        for side in [Side::Min, Side::Max] {
            if task.band_party(problem, j, side).is_some() {
                items.push(Item::Edge(j, side));
            }
        }
    }
    items.push(Item::Whole);
    items
}

/// The requirements on which a proof of emptiness leans.
fn support(problem: &Problem, task: &Task, y: &[f64]) -> Vec<Item> {
    let mut reduced = vec![0.0; task.columns.len()];
    for (row, y) in task.exact.rows.iter().zip(y) {
        for (d, a) in reduced.iter_mut().zip(&row.coefficients) {
            *d -= y * a;
        }
    }
    every_item(problem, task)
        .into_iter()
        .filter(|item| match item {
            Item::Limit(l) => task
                .owners
                .iter()
                .zip(y)
                .any(|(owner, y)| *owner == Owner::Limit(*l) && *y != 0.0),
            Item::Whole => true,
            Item::Edge(j, Side::Min) => reduced[*j] > 0.0,
            Item::Edge(j, Side::Max) => reduced[*j] < 0.0,
        })
        .collect()
}

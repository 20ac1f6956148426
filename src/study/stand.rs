//! A recipe to step from: its draws, its room inside each limit, and how its scatter changes.

use crate::declare::problem::Problem;
use crate::declare::problem::Side;
use crate::predict::book::Book;
use crate::predict::cause::Unknown;
use crate::predict::room::Room;
use crate::predict::room::Rooms;
use crate::predict::scatter;
use crate::solve::task::Task;
use crate::study::held::Held;
use crate::study::wish::Wish;

/// What does not change from step to step.
#[derive(Debug, Clone, Copy)]
pub struct Ground<'a> {
    /// The problem.
    pub problem: &'a Problem,
    /// It in the search's terms.
    pub task: &'a Task,
    /// The models of its limits.
    pub book: &'a Book,
    /// What is asked of them.
    pub wish: Wish,
}

/// A recipe to step from.
#[derive(Debug, Clone)]
pub struct Stand {
    /// The recipe, drawn.
    pub held: Held,
    /// Its drawn limits.
    pub rooms: Rooms,
    /// `scatter[l][j]`: how the standard deviation of a drawn limit's property changes with a component.
    pub scatter: Vec<Vec<f64>>,
}

impl Stand {
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

    /// By how much each column's component takes the recipe closer to a drawn limit, to first order and in that
    /// limit's standard deviations, per unit mass fraction: what it takes of the room, and what so many standard
    /// deviations grow by. `None` where the property has no slope.
    #[must_use]
    pub fn closer(&self, ground: Ground, l: usize, deviations: f64) -> Option<Vec<f64>> {
        let room = &self.rooms.all[l];
        let limit = &ground.problem.limits[room.limit];
        let entry = ground.book.entry(&limit.property)?;
        let shares = self.held.recipe.shares().iter();
        let shares: Vec<f64> = shares.map(|s| s.fraction()).collect();
        let slope = ground.book.slope(entry, &shares)?;
        let toward = match limit.side {
            Side::Max => 1.0,
            Side::Min => -1.0,
        };
        let closer = |j: &usize| (toward * slope[*j] + deviations * self.scatter[l][*j]) / room.sd;
        Some(ground.task.columns.iter().map(closer).collect())
    }
}

//! A recipe to step from: its draws, its room inside each limit, and how its scatter changes.

use crate::declare::problem::Problem;
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
}

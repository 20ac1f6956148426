//! Other sets of components beside the one in use: one more, one less, or one for another, the most promising
//! first.
//!
//! Recipe logic makes of every set a problem of its own. Each neighbour is judged by one linear program
//! (`lean`) about the recipe in hand: what it would gain to first order.

use crate::declare::problem::Problem;
use crate::parallel;
use crate::quantity::Share;
use crate::solve::logic::Use;
use crate::solve::task::Task;
use crate::study::change;
use crate::study::held::Basis;
use crate::study::held::Held;
use crate::study::lean;
use crate::study::lean::Aim;
use crate::study::lean::Step;
use crate::study::stand::Ground;
use crate::study::stand::Stand;
use crate::study::wish::Wish;

/// A gain below this part of the goal, or of the chance, is none.
const LEAST: f64 = 1e-4;

/// A set of components, and where a step within it would lead.
#[derive(Debug, Clone)]
pub struct Swap {
    /// Whether each of the problem's components is used.
    pub uses: Vec<bool>,
    /// How far inside each limit the step's recipe lies, to first order.
    pub guards: Vec<f64>,
    /// Whether it would pass as often as asked; then by how much it betters the goal, else the chance.
    gain: (bool, f64),
}

impl Swap {
    /// The problem with no other components.
    #[must_use]
    pub fn only(&self, problem: &Problem) -> Problem {
        let mut only = problem.clone();
        for (band, used) in only.bands.iter_mut().zip(&self.uses) {
            if !used {
                *band = change::held_out();
            }
        }
        only
    }
}

/// The neighbours of a recipe's set that are promising, the most first.
#[must_use]
pub fn swaps(basis: Basis, wish: Wish, held: &Held) -> Vec<Swap> {
    let book = Task::book(basis.problem);
    // What is promising is told off the grid.
    let task = Task::by(basis.problem, &book, &basis.clock.off_grid().left().demand);
    let ground = Ground {
        problem: basis.problem,
        task: &task,
        book: &book,
        wish,
    };
    let stand = Stand::at(basis.problem, held.clone(), basis.known);
    let shares = held.recipe.shares();
    let used = |j: &usize| shares[*j] > Share::NONE;
    let own: Vec<bool> = task.columns.iter().map(used).collect();
    let reached = wish.is_reached(held);
    let all = parallel::each(&neighbours(&own), |uses| {
        let decided: Vec<Use> = uses.iter().copied().map(decided).collect();
        let step = |aim| lean::step_to(ground, &stand, aim, &decided);
        let (passes, step) = match step(Aim::Chance(wish.confidence)) {
            Some(step) => (true, step),
            None if reached => return None,
            None => (false, step(Aim::Surest)?),
        };
        Some(swap(basis, &task, uses, &step, passes))
    });
    let least = if reached {
        held.value().unwrap_or(0.0).abs() * LEAST
    } else {
        LEAST
    };
    let mut all: Vec<Swap> = all.into_iter().flatten().collect();
    all.retain(|swap| (swap.gain.0 && !reached) || swap.gain.1 > least);
    all.sort_by(|a, b| b.gain.0.cmp(&a.gain.0).then(b.gain.1.total_cmp(&a.gain.1)));
    all
}

fn decided(used: bool) -> Use {
    if used { Use::On } else { Use::Off }
}

fn swap(basis: Basis, task: &Task, uses: &[bool], step: &Step, passes: bool) -> Swap {
    let mut all = vec![false; basis.problem.components.len()];
    for (j, used) in task.columns.iter().zip(uses) {
        all[*j] = *used;
    }
    Swap {
        uses: all,
        guards: step.guards.clone(),
        gain: (passes, step.gain),
    }
}

/// One more, one less, one for another.
fn neighbours(own: &[bool]) -> Vec<Vec<bool>> {
    let mut all = Vec::new();
    for j in 0..own.len() {
        let mut one = own.to_vec();
        one[j] = !one[j];
        if own[j] {
            for (k, _) in own.iter().enumerate().filter(|(_, used)| !**used) {
                let mut other = one.clone();
                other[k] = true;
                all.push(other);
            }
        }
        all.push(one);
    }
    all
}

//! A recipe off the balance's grid, brought onto it.
//!
//! Which failures are shared how is found off the grid, where small steps tell; then the best recipes on the
//! grid around that one, within parts of its guards, are drawn, and the best of them is bettered step by step
//! of the grid: more of one component, less of another.

use crate::declare::problem::Problem;
use crate::parallel;
use crate::quantity::Share;
use crate::solve::answer::Answer;
use crate::solve::search;
use crate::solve::task::Task;
use crate::study::guard;
use crate::study::held::Basis;
use crate::study::held::Held;
use crate::study::seek;
use crate::study::walk::Sought;
use crate::study::wish::Wish;

/// How many steps of the grid around the recipe are looked at; last, wherever else there are recipes.
const AROUND: [f64; 3] = [3.0, 12.0, f64::INFINITY];

/// Parts of the guards: on the grid there is seldom a recipe within all of them.
const PARTS: [f64; 3] = [1.04, 0.97, 0.8];

/// Mass fractions that are the same but for rounding.
const ROUNDING: f64 = 1e-9;

/// Recipes drawn before it is asked whether one of them is better.
const AT_ONCE: usize = 16;

/// Steps of the grid at most, and how often they are tried anew with a higher aim.
const STEPS: usize = 60;
const AGAIN: usize = 4;

/// The best recipe on the grid around one off it; `None` where there is none that meets the limits as stated.
#[must_use]
pub fn onto(basis: Basis, wish: Wish, found: &Held) -> Option<Sought> {
    let mut best = None;
    for around in AROUND {
        best = within(basis, wish, best, (found, around));
        best = best.map(|best| poured(basis, wish, best));
        if matches!(best, Some(Sought::Reached(_))) {
            break;
        }
        best = settled(basis, wish, best, (found, around));
        if matches!(best, Some(Sought::Reached(_))) {
            return best.map(|best| poured(basis, wish, best));
        }
    }
    best
}

/// The better of a recipe and the best within parts of another's guards, not farther from that one than so
/// many steps of the grid.
fn within(
    basis: Basis,
    wish: Wish,
    mut best: Option<Sought>,
    (found, around): (&Held, f64),
) -> Option<Sought> {
    let own = guard::own(basis.problem, wish, found);
    let problem = about(basis, found, around);
    let near = Basis {
        problem: &problem,
        ..basis
    };
    for part in PARTS {
        if basis.clock.is_over() && best.is_some() {
            break;
        }
        let guards: Vec<f64> = own.iter().map(|g| part * g).collect();
        let answer = guard::within(near, &guards);
        best = better(basis, wish, best, Held::of(basis, &answer));
    }
    best
}

/// The better of a recipe and the best nearby of which each limit fails no more often than one of so many may.
fn settled(
    basis: Basis,
    wish: Wish,
    best: Option<Sought>,
    (found, around): (&Held, f64),
) -> Option<Sought> {
    let own = guard::own(basis.problem, wish, found);
    let problem = about(basis, found, around);
    let near = Basis {
        problem: &problem,
        ..basis
    };
    let settled = parallel::each(&wish.evenly(), |each| guard::settle(near, *each, &own));
    let settled = settled.into_iter();
    settled.fold(best, |best, other| better(basis, wish, best, other))
}

fn better(basis: Basis, wish: Wish, best: Option<Sought>, other: Option<Held>) -> Option<Sought> {
    let Some(other) = other else {
        return best;
    };
    let other = Sought::of(wish, other);
    Some(match best {
        Some(best) => seek::better(basis, wish, best, other),
        None => other,
    })
}

/// The best recipe that steps of the grid lead to, with few draws as long as those tell; with all draws it must
/// do better than the one in hand.
fn poured(basis: Basis, wish: Wish, mut best: Sought) -> Sought {
    let few = seek::few(basis);
    let mut aim = wish;
    for _ in 0..AGAIN {
        let Some(from) = Held::of(few, &best.held().answer) else {
            break;
        };
        let led = steps(few, aim, from);
        let Some(all) = Held::of(basis, &led.answer) else {
            break;
        };
        // Few draws said that it passes as often as asked, and all draws say that it does not.
        let missed = aim.is_reached(&led) && !wish.is_reached(&all);
        aim.confidence += wish.reached(&led) - wish.reached(&all);
        best = seek::better(basis, wish, best, Sought::of(wish, all));
        if !missed || aim.confidence >= 1.0 {
            break;
        }
    }
    best
}

/// Steps of the grid as long as one is better.
fn steps(basis: Basis, wish: Wish, mut at: Held) -> Held {
    let book = Task::book(basis.problem);
    let task = Task::by(basis.problem, &book, &basis.clock.left().demand);
    for _ in 0..STEPS {
        if basis.clock.is_over() {
            break;
        }
        let had = Sought::of(wish, at.clone());
        let best = stepped(basis, wish, &task, &had);
        let Some(best) = best else {
            break;
        };
        at = best.held().clone();
    }
    at
}

/// The best recipe one step away; from one that passes as often as asked, those that better the goal most are
/// drawn first, and the rest only where none of them does.
fn stepped(basis: Basis, wish: Wish, task: &Task, had: &Sought) -> Option<Sought> {
    let (effort, sign) = (had.held().answer.effort, basis.sign());
    let worth = |answer: &Answer| answer.objective.map_or(f64::INFINITY, |value| value * sign);
    let judged = parallel::each(&moves(task, had.held()), |x| {
        search::local_answer(basis.problem, task, x, effort)
    });
    let mut judged: Vec<Answer> = judged
        .into_iter()
        .filter(|answer| answer.outcome().has_recipe())
        .collect();
    let mut at_once = judged.len().max(1);
    if matches!(had, Sought::Reached(_)) {
        judged.retain(|answer| worth(answer) < had.held().worth(sign));
        judged.sort_by(|a, b| worth(a).total_cmp(&worth(b)));
        at_once = AT_ONCE;
    }
    judged.chunks(at_once).find_map(|some| {
        let drawn = parallel::each(some, |answer| Held::of(basis, answer));
        let drawn = drawn
            .into_iter()
            .flatten()
            .map(|held| Sought::of(wish, held));
        let best = drawn.reduce(|a, b| seek::better(basis, wish, a, b))?;
        let gained = seek::is_better(basis, wish, best.held(), had.held());
        gained.then_some(best)
    })
}

/// A step more of one component and less of another, every way.
fn moves(task: &Task, at: &Held) -> Vec<Vec<f64>> {
    let Some(step) = task.logic.grid else {
        return Vec::new();
    };
    let mut x: Vec<f64> = task
        .columns
        .iter()
        .map(|j| at.recipe.shares()[*j].fraction())
        .collect();
    x.resize(task.exact.width(), 0.0);
    let mut all = Vec::new();
    for more in 0..task.columns.len() {
        for less in (0..task.columns.len()).filter(|less| *less != more) {
            let mut moved = x.clone();
            moved[more] += step;
            moved[less] -= step;
            let moved = task.logic.on_grid(&moved);
            let bounds = task.exact.lower.iter().zip(&task.exact.upper);
            let mut bounded = moved.iter().zip(bounds);
            let allowed =
                bounded.all(|(x, (low, high))| *low - ROUNDING <= *x && *x <= *high + ROUNDING);
            if allowed && task.logic.keeps(&moved) {
                all.push(moved);
            }
        }
    }
    all
}

/// The problem with the components of a recipe alone, and their treat rates no more than so many steps of the
/// grid from it; with infinitely many, the problem as it is.
fn about(basis: Basis, held: &Held, around: f64) -> Problem {
    let mut about = basis.problem.clone();
    let step = basis.clock.left().demand.grid.map_or(0.0, Share::fraction);
    if around.is_infinite() {
        return about;
    }
    let far = around * step;
    for (band, share) in about.bands.iter_mut().zip(held.recipe.shares()) {
        let at = share.fraction();
        let (least, most) = if at > 0.0 {
            (at - far, at + far)
        } else {
            (0.0, 0.0)
        };
        let least = least.max(band.min.share.fraction());
        let most = most.min(band.max.share.fraction()).max(least);
        band.min.share = Share::from_fraction(least);
        band.max.share = Share::from_fraction(most);
    }
    about
}

//! A recipe off the balance's grid, brought onto it.
//!
//! Which failures are shared how is found off the grid, where small steps tell; then the best recipes on the
//! grid around that one, within parts of its guards, are drawn, and the best of them is taken.

use crate::declare::problem::Problem;
use crate::quantity::Share;
use crate::study::guard;
use crate::study::held::Basis;
use crate::study::held::Held;
use crate::study::seek;
use crate::study::walk::Sought;
use crate::study::wish::Wish;

/// How many steps of the grid around the recipe are looked at; last, wherever else there are recipes.
const AROUND: [f64; 3] = [3.0, 12.0, f64::INFINITY];

/// Parts of the guards: on the grid there is seldom a recipe within all of them.
const PARTS: [f64; 8] = [1.2, 1.1, 1.04, 1.0, 0.97, 0.92, 0.8, 0.5];

/// The best recipe on the grid around one off it; `None` where there is none that meets the limits as stated.
#[must_use]
pub fn onto(basis: Basis, wish: Wish, found: &Held) -> Option<Sought> {
    let step = basis.clock.left().demand.grid?.fraction();
    let own = guard::own(basis.problem, wish, found);
    let mut best: Option<Sought> = None;
    for around in AROUND {
        let problem = if around.is_finite() {
            about(basis.problem, found, around * step)
        } else {
            basis.problem.clone()
        };
        let near = Basis {
            problem: &problem,
            ..basis
        };
        for part in PARTS {
            if basis.clock.is_over() && best.is_some() {
                return best;
            }
            let guards: Vec<f64> = own.iter().map(|g| part * g).collect();
            let answer = guard::within(near, &guards);
            best = better(basis, wish, best, Held::of(basis, &answer));
        }
        if matches!(best, Some(Sought::Reached(_))) {
            break;
        }
        for each in wish.evenly() {
            best = better(basis, wish, best, guard::settle(near, each, &own));
        }
        if matches!(best, Some(Sought::Reached(_))) {
            break;
        }
    }
    best
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

/// The problem with the components of a recipe alone, and their treat rates no farther from it.
fn about(problem: &Problem, held: &Held, far: f64) -> Problem {
    let mut about = problem.clone();
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

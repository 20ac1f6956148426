//! A recipe off the balance's grid, brought onto it.
//!
//! Which failures are shared how is found off the grid, where small steps tell. From the best recipes on the grid
//! around that one, within parts of its guards, walks lead on along the grid.

use crate::declare::problem::Problem;
use crate::parallel;
use crate::quantity::Share;
use crate::solve::answer::Answer;
use crate::study::guard;
use crate::study::held::Basis;
use crate::study::held::Held;
use crate::study::seek;
use crate::study::walk;
use crate::study::walk::Sought;
use crate::study::wish::Wish;

/// How many steps of the grid around the recipe are looked at.
const AROUND: f64 = 12.0;

/// Parts of the guards: on the grid there is seldom a recipe within all of them.
const PARTS: [f64; 4] = [1.0, 0.98, 0.95, 0.0];

/// The best recipe on the grid around one off it; `None` where there is none that meets the limits as stated.
#[must_use]
pub fn onto(basis: Basis, wish: Wish, found: &Held) -> Option<Sought> {
    // Within guards for more than there is off the grid, there is nothing on it.
    let confidence = wish.confidence.min(wish.reached(found));
    let own = guard::own(basis.problem, Wish { confidence, ..wish }, found);
    let near = Basis {
        problem: &about(basis, found),
        ..basis
    };
    let begun = parallel::each(&PARTS, |part| {
        let guards: Vec<f64> = own.iter().map(|g| part * g).collect();
        guard::within(near, &guards)
    });
    along(basis, wish, &begun)
}

/// The best recipe that walks along the grid lead to, from recipes on it.
#[must_use]
pub fn along(basis: Basis, wish: Wish, begun: &[Answer]) -> Option<Sought> {
    let few = seek::few(basis);
    let led = parallel::each(begun, |answer| {
        let start = Held::of(few, answer)?;
        Some(walk::walk(few, wish, &start))
    });
    let best = led.into_iter().flatten();
    let best = best.reduce(|best, other| seek::better(few, wish, best, other))?;
    let all = Held::of(basis, &best.held().answer)?;
    Some(walk::on(basis, wish, &all))
}

/// The problem with the components of a recipe alone, and their treat rates no more than so many steps of the
/// grid from it.
fn about(basis: Basis, held: &Held) -> Problem {
    let mut about = basis.problem.clone();
    let step = basis.clock.left().demand.grid.map_or(0.0, Share::fraction);
    let far = AROUND * step;
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

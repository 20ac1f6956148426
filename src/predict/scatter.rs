//! How the scatter of each result changes with the treat rates.

use crate::declare::problem::Problem;
use crate::declare::recipe::Recipe;
use crate::parallel;
use crate::predict::cause::Causes;
use crate::predict::cause::Sources;
use crate::predict::cause::Unknown;
use crate::quantity::Share;

/// The mass fraction that is added to see what changes.
const ADDED: f64 = 1e-4;

/// `slopes[k][j]`: by how much the standard deviation of tested property k of `causes` grows for each unit
/// mass fraction of component j, all others making room in proportion. Pours are left out: that a
/// component is poured at all is a step, not a slope.
#[must_use]
pub fn slopes(
    problem: &Problem,
    recipe: &Recipe,
    causes: &Causes,
    known: Option<&Unknown>,
) -> Vec<Vec<f64>> {
    let left = |causes: Causes| {
        let causes = known.map_or_else(|| causes.clone(), |known| causes.without(known));
        causes.without(&Unknown::Pours)
    };
    let sources = Sources::of(problem);
    let here = left(sources.at(recipe));
    let components: Vec<usize> = (0..problem.components.len()).collect();
    let added = parallel::each(&components, |j| {
        let shares = recipe.shares().iter().enumerate().map(|(i, share)| {
            let more = if i == *j { ADDED } else { 0.0 };
            Share::from_fraction((share.fraction() + more) / (1.0 + ADDED))
        });
        let shares: Vec<Share> = shares.collect();
        Recipe::new(problem, &shares).map(|recipe| left(sources.at(&recipe)))
    });
    let slope = |k: usize, there: &Option<Causes>| {
        let property = &causes.tested[k].entry.property;
        let (own, whole) = (here.place(property)?, causes.sd(k));
        let there = there.as_ref()?;
        let (was, is) = (here.sd(own), there.sd(there.place(property)?));
        // d √(s² + pours²) = s ds / √(s² + pours²).
        (whole > 0.0).then(|| was / whole * (is - was) / ADDED)
    };
    (0..causes.tested.len())
        .map(|k| added.iter().map(|to| slope(k, to).unwrap_or(0.0)).collect())
        .collect()
}

//! Which components a recipe uses, and what each costs in it.

use crate::declare::problem::Problem;
use crate::declare::property::Datum;
use crate::declare::recipe::Recipe;

/// A share below this is the dust of arithmetic, not an ingredient: a milligram in a tonne.
pub const NONE_OF_IT: f64 = 1e-9;

/// The components used, as indices, the largest treat rate first.
#[must_use]
pub fn by_treat_rate(recipe: &Recipe) -> Vec<usize> {
    let share = |j: usize| recipe.shares()[j].fraction();
    let mut used: Vec<usize> = (0..recipe.shares().len())
        .filter(|&j| share(j) > NONE_OF_IT)
        .collect();
    used.sort_by(|&a, &b| share(b).total_cmp(&share(a)));
    used
}

/// The cost that each used component brings, per kg of oil; `None` where it states no price.
#[must_use]
pub fn costs(problem: &Problem, recipe: &Recipe, used: &[usize]) -> Vec<Option<f64>> {
    used.iter()
        .map(|&j| {
            problem.components[j]
                .figure(&Datum::Price)
                .map(|price| price.value * recipe.shares()[j].fraction())
        })
        .collect()
}

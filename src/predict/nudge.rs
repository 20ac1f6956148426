//! The uncertain figures of a recipe's components, each moved up and down by its standard deviation.

use crate::declare::component::Component;
use crate::declare::component::Entry;
use crate::declare::component::Figure;
use crate::declare::problem::Problem;
use crate::declare::property::Datum;

/// One figure of a component.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub enum Part {
    /// A figure that the shelf states.
    Datum(Datum),
    /// A figure of its polymer, by the shelf's key.
    Polymer(&'static str),
}

/// A component with one of its figures moved up and down by its standard deviation.
#[derive(Debug, Clone)]
pub struct Nudge {
    /// The component's index in the problem.
    pub component: usize,
    /// Which figure.
    pub part: Part,
    /// The component with the figure higher.
    pub up: Component,
    /// The component with the figure lower.
    pub down: Component,
}

/// Every uncertain figure of the components that a recipe uses.
#[must_use]
pub fn nudges(problem: &Problem, shares: &[f64]) -> Vec<Nudge> {
    let mut all = Vec::new();
    for (j, component) in problem.components.iter().enumerate() {
        if shares[j] <= 0.0 {
            continue;
        }
        all.extend(of_figures(j, component));
        all.extend(of_polymer(j, component));
    }
    all
}

fn of_figures(j: usize, component: &Component) -> Vec<Nudge> {
    let uncertain = component
        .figures
        .keys()
        .filter(|d| component.figure(d).is_some_and(uncertain));
    uncertain
        .map(|datum| {
            let with = |sign| {
                let mut c = component.clone();
                if let Some(Entry::Stated(f)) = c.figures.get_mut(datum) {
                    nudge(f, sign);
                }
                c
            };
            Nudge {
                component: j,
                part: Part::Datum(datum.clone()),
                up: with(1.0),
                down: with(-1.0),
            }
        })
        .collect()
}

fn of_polymer(j: usize, component: &Component) -> Vec<Nudge> {
    let Some(polymer) = &component.polymer else {
        return Vec::new();
    };
    let figures = polymer.figures();
    let uncertain = polymer
        .keys()
        .into_iter()
        .zip(figures)
        .enumerate()
        .filter(|(_, (_, figure))| uncertain(figure));
    uncertain
        .map(|(k, (key, _))| {
            let with = |sign| {
                let mut c = component.clone();
                if let Some(p) = &mut c.polymer
                    && let Some(f) = p.figures_mut().into_iter().nth(k)
                {
                    nudge(f, sign);
                }
                c
            };
            Nudge {
                component: j,
                part: Part::Polymer(key),
                up: with(1.0),
                down: with(-1.0),
            }
        })
        .collect()
}

fn uncertain(figure: &Figure) -> bool {
    figure.sd.is_some_and(|sd| sd > 0.0)
}

/// Moves a figure by one standard deviation; one that is positive stays positive.
fn nudge(figure: &mut Figure, sign: f64) {
    let moved = figure.value + sign * figure.sd.unwrap_or(0.0);
    figure.value = if figure.value > 0.0 {
        moved.max(figure.value * 0.01)
    } else {
        moved
    };
}

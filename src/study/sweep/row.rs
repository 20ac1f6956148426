//! One point of a sweep.

use crate::declare::dial::Setting;
use crate::declare::problem::Problem;
use crate::declare::requirement::Requirement;
use crate::solve::answer::Party;
use crate::solve::answer::Status;
use crate::solve::conflict;
use crate::solve::spot::Spot;
use crate::study::sweep::plan::Plan;

/// What is known at one point.
#[derive(Debug, Clone, PartialEq)]
pub struct Row {
    /// Its place in the sweep, from 0.
    pub point: usize,
    /// What each path is set to.
    pub at: Vec<Setting>,
    /// The outcome.
    pub status: Status,
    /// Relative distance to what no recipe betters, where proved.
    pub gap: Option<f64>,
    /// The goal's value, in its unit.
    pub goal: Option<f64>,
    /// Mass fraction of each component; empty without a recipe.
    pub shares: Vec<f64>,
    /// The value of each property of [`Plan::limited`], where this point limits it.
    pub values: Vec<Option<f64>>,
    /// What the recipe stands on, as requirements of the problem at this point.
    pub held: Vec<Requirement>,
    /// The same, to be told.
    pub stands: Vec<Party>,
    /// Without a recipe: requirements that cannot all hold.
    pub conflict: Vec<Party>,
    /// Whether each of these was shown to be needed for that; else some may be spared.
    pub settled: bool,
}

impl Row {
    /// Of a spot of the problem at this point.
    #[must_use]
    pub fn new(plan: &Plan, point: usize, at: Vec<Setting>, problem: &Problem, spot: Spot) -> Self {
        let values = plan
            .limited()
            .iter()
            .map(|property| {
                let l = problem
                    .limits
                    .iter()
                    .position(|l| l.property == *property)?;
                spot.values.get(l).copied().flatten()
            })
            .collect();
        let stands = spot
            .binding
            .iter()
            .filter_map(|r| conflict::party(problem, *r))
            .collect();
        Row {
            point,
            at,
            status: spot.status,
            gap: spot.gap,
            goal: spot.goal,
            shares: spot.shares,
            values,
            held: spot.binding,
            stands,
            conflict: spot.conflict,
            settled: spot.settled,
        }
    }

    /// Whether there is a recipe that meets every limit.
    #[must_use]
    pub fn has_recipe(&self) -> bool {
        self.status.has_recipe()
    }
}

//! Where properties come from, component by component.

use crate::declare::problem::Problem;
use crate::explain::contribution;
use crate::explain::contribution::Origins;
use serde::Serialize;

/// Where one property comes from.
#[derive(Debug, Serialize)]
pub struct Contributions {
    /// The property's key.
    pub property: String,
    /// Its value; `null` where it cannot be predicted of this recipe.
    pub value: Option<f64>,
    /// The unit of the value, parts, thickenings and changes.
    pub unit: String,
    /// The value of the fluid without any polymer; `null` where the property knows no thickening.
    pub base: Option<f64>,
    /// The components in the recipe, in shelf order; where there is no value, those that lack a figure
    /// for it.
    pub components: Vec<Contribution>,
}

/// One component's contribution.
#[derive(Debug, Serialize)]
pub struct Contribution {
    /// Its id.
    pub component: String,
    /// Its exact part; the parts add up to the value. `null` where the value is no sum.
    pub part: Option<f64>,
    /// Its part of the mixing index of the polymer-free fluid, %; `null` where there is none.
    pub index_percent: Option<f64>,
    /// What its polymer adds to `base`; `null` where the property knows no thickening.
    pub thickening: Option<f64>,
    /// Of a ratio: its part of the element above the line, %.
    pub top_percent: Option<f64>,
    /// Of a ratio: its part of the element below the line, %.
    pub bottom_percent: Option<f64>,
    /// The value without it, the rest scaled to 100 %, less the value; `null` where undefined.
    pub without: Option<f64>,
}

/// The properties asked for, those that cannot be predicted last.
#[must_use]
pub fn contributions(problem: &Problem, origins: &Origins) -> Vec<Contributions> {
    let told = origins.told.iter().map(|c| Contributions {
        property: c.property.key(),
        value: Some(c.value),
        unit: c.unit.to_string(),
        base: c.base,
        components: c.parts.iter().map(|p| one(problem, p)).collect(),
    });
    let untold = origins.untold.iter().map(|u| Contributions {
        property: u.property.key(),
        value: None,
        unit: problem.unit(&u.property).to_string(),
        base: None,
        components: u.lacking.iter().map(|&j| unknown(problem, j)).collect(),
    });
    told.chain(untold).collect()
}

fn one(problem: &Problem, p: &contribution::Contribution) -> Contribution {
    Contribution {
        part: p.part,
        index_percent: p.index_percent,
        thickening: p.thickening,
        top_percent: p.top_percent,
        bottom_percent: p.bottom_percent,
        without: p.without,
        ..unknown(problem, p.component)
    }
}

fn unknown(problem: &Problem, component: usize) -> Contribution {
    Contribution {
        component: problem.components[component].id.clone(),
        part: None,
        index_percent: None,
        thickening: None,
        top_percent: None,
        bottom_percent: None,
        without: None,
    }
}

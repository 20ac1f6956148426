//! Two judged recipes apart: what moved, what binds only in one of them.

use crate::declare::property::Property;
use crate::predict::value::Judged;
use crate::predict::value::Judgement;
use crate::predict::value::Verdict;
use crate::quantity::Unit;

/// One property in two recipes.
#[derive(Debug, Clone, PartialEq)]
pub struct Moved {
    /// Which.
    pub property: Property,
    /// Its unit.
    pub unit: Unit,
    /// In the first recipe, where it could be predicted.
    pub before: Option<f64>,
    /// In the second.
    pub after: Option<f64>,
}

impl Moved {
    /// By how much it rose, where both are known.
    #[must_use]
    pub fn change(&self) -> Option<f64> {
        self.after.zip(self.before).map(|(a, b)| a - b)
    }
}

/// A relative change below this is rounding.
const STILL: f64 = 1e-9;

/// Every property whose value is not the same in both, in the order of the first recipe's listing.
#[must_use]
pub fn moved(before: &Judgement, after: &Judgement) -> Vec<Moved> {
    let fresh = after
        .properties
        .iter()
        .filter(|p| before.of(&p.property).is_none());
    before
        .properties
        .iter()
        .chain(fresh)
        .map(|p| Moved {
            property: p.property.clone(),
            unit: p.unit.clone(),
            before: before.of(&p.property).map(|p| p.value),
            after: after.of(&p.property).map(|p| p.value),
        })
        // A treat rate that only one of them limits is in the recipes already.
        .filter(|m| {
            let treat = matches!(m.property, Property::Treat(_));
            !treat || m.before.is_some() && m.after.is_some()
        })
        .filter(|m| {
            let size = m
                .before
                .unwrap_or(0.0)
                .abs()
                .max(m.after.unwrap_or(0.0).abs());
            m.change().is_none_or(|c| c.abs() > STILL * size)
        })
        .collect()
}

/// The requirements that bind in `one` and not in `other`: limits and treat-band edges, save that
/// nothing can be taken out of an oil below none.
#[must_use]
pub fn binds_only<'j>(one: &'j Judgement, other: &Judgement) -> Vec<&'j Judged> {
    binding(one)
        .into_iter()
        .filter(|b| {
            !binding(other)
                .iter()
                .any(|o| o.property == b.property && o.side == b.side)
        })
        .collect()
}

/// What a recipe stands on, one requirement a property and side.
#[must_use]
pub fn binding(judgement: &Judgement) -> Vec<&Judged> {
    let mut all: Vec<&Judged> = Vec::new();
    for r in &judgement.requirements {
        let edge_at_none = matches!(r.property, Property::Treat(_)) && r.bound <= 0.0;
        let told = all
            .iter()
            .any(|a| a.property == r.property && a.side == r.side);
        if r.binding && r.verdict == Verdict::Meets && !edge_at_none && !told {
            all.push(r);
        }
    }
    all
}

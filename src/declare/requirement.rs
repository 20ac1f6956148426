//! What a problem asks for, piece by piece, and the problem with one piece moved or left out.

use crate::declare::component::Band;
use crate::declare::component::EdgeSource;
use crate::declare::needs;
use crate::declare::problem::LimitSource;
use crate::declare::problem::Problem;
use crate::declare::problem::Rule;
use crate::declare::problem::Side;
use crate::declare::property::Property;
use crate::quantity::Share;

/// One requirement of a problem, by its place there.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Requirement {
    /// An edge of a component's treat band that a file or stock set.
    Edge(usize, Side),
    /// A component's `if-used` minimum.
    IfUsed(usize),
    /// A rule of recipe logic.
    Rule(usize),
    /// A limit.
    Limit(usize),
    /// The treat rates add up to the whole: no problem can be asked without it.
    Whole,
}

/// Every requirement of a problem that may be left out, in the order bands, rules, limits.
///
/// A component that may not be used at all counts as not on the shelf: it need not have the figures
/// that use would need. Only a stock of nothing that must be used is a requirement like any other.
#[must_use]
pub fn every(problem: &Problem) -> Vec<Requirement> {
    let bands = problem.bands.iter().enumerate().flat_map(|(j, band)| {
        // A band from 0 or up to 100 % asks nothing, whoever wrote it.
        let min = band.min.source != EdgeSource::Natural && band.min.share > Share::NONE;
        let max = band.max.source != EdgeSource::Natural
            && band.max.share < Share::WHOLE
            && may_widen(problem, j);
        [
            min.then_some(Requirement::Edge(j, Side::Min)),
            max.then_some(Requirement::Edge(j, Side::Max)),
            band.if_used.is_some().then_some(Requirement::IfUsed(j)),
        ]
        .into_iter()
        .flatten()
    });
    let rules = (0..problem.rules.len()).map(Requirement::Rule);
    let limits = (0..problem.limits.len()).map(Requirement::Limit);
    bands.chain(rules).chain(limits).collect()
}

/// Whether a component's maximum may be raised: it may be used, or it lacks nothing but stock.
fn may_widen(problem: &Problem, component: usize) -> bool {
    let band = &problem.bands[component];
    band.max.share > Share::NONE || band.min.share > Share::NONE && states_all(problem, component)
}

/// Whether a component states what the limits and the goal need.
fn states_all(problem: &Problem, component: usize) -> bool {
    let limited = problem.limits.iter().map(|l| &l.property);
    limited.chain([&problem.goal.property]).all(|property| {
        needs::needs(property, problem)
            .iter()
            .all(|need| need.met_by(&problem.components[component]))
    })
}

/// Whether some component has no stock and must be used: it stands on the shelf only as a wish.
#[must_use]
pub fn wished(problem: &Problem) -> bool {
    let bands = &problem.bands;
    (0..bands.len()).any(|j| {
        bands[j].max.share <= Share::NONE
            && bands[j].min.share > Share::NONE
            && may_widen(problem, j)
    })
}

/// The number that a requirement states: in the property's unit, mass % for treat rates, a count for
/// `at-most`; `None` where it has none.
#[must_use]
pub fn bound(problem: &Problem, requirement: Requirement) -> Option<f64> {
    match requirement {
        Requirement::Limit(l) => Some(problem.limits[l].bound),
        Requirement::Edge(j, Side::Min) => Some(problem.bands[j].min.share.percent()),
        Requirement::Edge(j, Side::Max) => Some(problem.bands[j].max.share.percent()),
        Requirement::IfUsed(j) => {
            let edge = problem.bands[j].if_used.as_ref()?;
            Some(edge.share.percent())
        }
        Requirement::Rule(r) => match problem.rules[r] {
            Rule::AtMost(most, _) => u32::try_from(most).ok().map(f64::from),
            _ => None,
        },
        Requirement::Whole => None,
    }
}

/// What a requirement bounds, and from which side; `None` for rules and the whole.
#[must_use]
pub fn bounds(problem: &Problem, requirement: Requirement) -> Option<(Property, Side)> {
    let treat = |j: usize| Property::Treat(problem.components[j].id.clone());
    match requirement {
        Requirement::Limit(l) => {
            let limit = &problem.limits[l];
            Some((limit.property.clone(), limit.side))
        }
        Requirement::Edge(j, side) => Some((treat(j), side)),
        Requirement::IfUsed(j) => Some((treat(j), Side::Min)),
        Requirement::Rule(_) | Requirement::Whole => None,
    }
}

/// The problem with only these requirements; a blend stays a blend.
#[must_use]
pub fn keeping(problem: &Problem, kept: &[Requirement]) -> Problem {
    let dropped: Vec<(Requirement, Option<f64>)> = every(problem)
        .into_iter()
        .filter(|r| !kept.contains(r))
        .map(|r| (r, None))
        .collect();
    changed(problem, &dropped)
}

/// The problem with requirements moved to another number (in [`bound`]'s unit), or left out (`None`).
///
/// A limit that was moved is the problem's own, whoever set it before.
#[must_use]
pub fn changed(problem: &Problem, changes: &[(Requirement, Option<f64>)]) -> Problem {
    let mut new = problem.clone();
    let natural = Band::natural();
    for (requirement, to) in changes {
        match (*requirement, *to) {
            (Requirement::Limit(l), Some(to)) => {
                let limit = &mut new.limits[l];
                limit.bound = to;
                limit.stated = to;
                limit.strict = false;
                limit.source = LimitSource::Problem;
            }
            (Requirement::Edge(j, Side::Min), to) => match to {
                Some(to) => new.bands[j].min.share = Share::from_percent(to),
                None => new.bands[j].min = natural.min.clone(),
            },
            (Requirement::Edge(j, Side::Max), to) => match to {
                Some(to) => new.bands[j].max.share = Share::from_percent(to),
                None => new.bands[j].max = natural.max.clone(),
            },
            (Requirement::IfUsed(j), to) => {
                let edge = new.bands[j].if_used.take();
                new.bands[j].if_used = edge.zip(to).map(|(mut edge, to)| {
                    edge.share = Share::from_percent(to);
                    edge
                });
            }
            (Requirement::Rule(r), Some(to)) => {
                if let Rule::AtMost(most, _) = &mut new.rules[r] {
                    *most = count(to);
                }
            }
            (Requirement::Limit(_) | Requirement::Rule(_), None) | (Requirement::Whole, _) => {}
        }
    }
    // Last, because the places of what follows change.
    let drops = |r: Requirement| changes.contains(&(r, None));
    let mut place = 0..;
    new.limits
        .retain(|_| !place.next().is_some_and(|l| drops(Requirement::Limit(l))));
    let mut place = 0..;
    new.rules
        .retain(|_| !place.next().is_some_and(|r| drops(Requirement::Rule(r))));
    new
}

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "a count of components"
)]
fn count(number: f64) -> usize {
    number.max(0.0) as usize
}

//! A recipe judged at a glance: the same verdicts as a full judgement, without spreads and words.
//!
//! Studies of thousands of recipes need to know of each whether it passes and on what it stands, no
//! more. Every number comes from the same models ([`Book`]) and the same verdicts
//! ([`judge::standing`]) as a judgement's.

use crate::declare::component::EdgeSource;
use crate::declare::problem::Problem;
use crate::declare::problem::Side;
use crate::declare::property::Property;
use crate::declare::requirement::Requirement;
use crate::predict::book::Book;
use crate::predict::judge;
use crate::predict::judge::ON_EDGE_PERCENT;
use crate::predict::logic;
use crate::predict::value::Verdict;
use crate::quantity::Share;

/// What a glance tells.
#[derive(Debug, Clone, PartialEq)]
pub struct Glance {
    /// The goal's value, in its unit.
    pub goal: Option<f64>,
    /// The value of each limit's property, in the order of the problem's limits.
    pub values: Vec<Option<f64>>,
    /// What the recipe stands on: limits and edges of treat bands, in that order.
    pub binding: Vec<Requirement>,
    /// Whether every limit, band and rule holds.
    pub passes: bool,
}

/// Looks at mass fractions, one for each component of a problem, with the models of its limits and goal.
#[must_use]
pub fn glance(problem: &Problem, book: &Book, shares: &[f64]) -> Glance {
    let value = |property: &Property| {
        let entry = book.entry(property)?;
        judge::value(book, entry, shares)
    };
    let mut told = Glance {
        goal: value(&problem.goal.property),
        values: Vec::with_capacity(problem.limits.len()),
        binding: Vec::new(),
        passes: logic::judge(problem, shares).iter().all(|r| r.holds),
    };
    for (l, limit) in problem.limits.iter().enumerate() {
        // A window is two limits on one value.
        let twin = problem.limits[..l]
            .iter()
            .position(|other| other.property == limit.property);
        let value = twin.map_or_else(|| value(&limit.property), |l| told.values[l]);
        let standing = judge::standing(problem, book, limit, value, shares, Share::NONE);
        told.values.push(value);
        told.passes &= standing.verdict != Verdict::Fails;
        if standing.binding {
            told.binding.push(Requirement::Limit(l));
        }
    }
    bands(problem, shares, &mut told);
    told
}

fn bands(problem: &Problem, shares: &[f64], told: &mut Glance) {
    for (j, (band, share)) in problem.bands.iter().zip(shares).enumerate() {
        let percent = share * 100.0;
        let if_used = band
            .if_used
            .as_ref()
            .filter(|_| percent > ON_EDGE_PERCENT)
            .map(|edge| (Requirement::IfUsed(j), edge, percent - edge.share.percent()));
        let edges = [
            (
                Requirement::Edge(j, Side::Min),
                &band.min,
                percent - band.min.share.percent(),
            ),
            (
                Requirement::Edge(j, Side::Max),
                &band.max,
                band.max.share.percent() - percent,
            ),
        ];
        for (requirement, edge, margin) in edges.into_iter().chain(if_used) {
            if edge.source == EdgeSource::Natural {
                continue;
            }
            told.passes &= margin >= -judge::MET;
            // That nothing can be taken out of an oil holds nobody.
            if margin.abs() <= ON_EDGE_PERCENT
                && (percent > ON_EDGE_PERCENT || edge.share > Share::NONE)
            {
                told.binding.push(requirement);
            }
        }
    }
}

//! Which limits are exactly linear in the mass fractions, and their rows.

use crate::declare::problem::Side;
use crate::predict::formula::Formula;
use crate::predict::link::Link;

/// A limit in the terms of its formula's totals.
#[derive(Debug, Clone, PartialEq)]
pub enum Form {
    /// Exactly linear: each row must hold.
    Rows(Vec<TotalRow>),
    /// Curved: holds where the formula's value is within the bound.
    Curved,
    /// Holds for every recipe: the bound is beyond what the property can reach.
    Always,
    /// Holds for no recipe.
    Never,
}

/// `Σ weight_k · total_k ≤ rhs` (or ≥) over the totals of a formula.
#[derive(Debug, Clone, PartialEq)]
pub struct TotalRow {
    /// One weight for each of the formula's totals.
    pub weights: Vec<f64>,
    /// Which way.
    pub side: Side,
    /// Right-hand side.
    pub rhs: f64,
}

/// The form of a limit on a formula.
///
/// A quotient's denominator is positive by construction (masses, volumes, positive slopes), or an
/// element's sum that is not negative: multiplying by it keeps the limit's direction.
#[must_use]
pub fn form(formula: Formula, side: Side, bound: f64) -> Form {
    match formula {
        Formula::Sum => Form::Rows(vec![TotalRow {
            weights: vec![1.0],
            side,
            rhs: bound,
        }]),
        Formula::Quotient(link) => quotient(link, side, bound),
        Formula::LowerFlash if side == Side::Min => {
            let row = |link: Link, place: usize| {
                let mut weights = vec![0.0, 0.0, -link.index(bound)?];
                weights[place] = 1.0;
                Some(TotalRow {
                    weights,
                    side: Side::Max,
                    rhs: 0.0,
                })
            };
            match (row(Link::Thiele, 0), row(Link::FlashIndex, 1)) {
                (Some(a), Some(b)) => Form::Rows(vec![a, b]),
                _ => Form::Curved,
            }
        }
        _ => Form::Curved,
    }
}

fn quotient(link: Link, side: Side, bound: f64) -> Form {
    let Some(index) = link.index(bound) else {
        // Below a link's domain every value is above the bound.
        return match side {
            Side::Min => Form::Always,
            Side::Max => Form::Never,
        };
    };
    let side = match (link.rises(), side) {
        (true, side) => side,
        (false, Side::Min) => Side::Max,
        (false, Side::Max) => Side::Min,
    };
    Form::Rows(vec![TotalRow {
        weights: vec![1.0, -index],
        side,
        rhs: 0.0,
    }])
}

//! The full property model's word on a recipe: every value, every limit.
//!
//! Shares nothing with the search but the property models themselves: what is printed was
//! recomputed here from the fractions.

use crate::declare::component::Edge;
use crate::declare::component::EdgeSource;
use crate::declare::problem::Limit;
use crate::declare::problem::Problem;
use crate::declare::problem::Side;
use crate::declare::property::Datum;
use crate::declare::property::Property;
use crate::declare::recipe::Recipe;
use crate::predict::book::Book;
use crate::predict::book::Entry;
use crate::predict::exact;
use crate::predict::exact::Form;
use crate::predict::logic;
use crate::predict::spread::Uncertain;
use crate::predict::value::Judged;
use crate::predict::value::Judgement;
use crate::predict::value::Predicted;
use crate::predict::value::Source;
use crate::predict::value::Spread;
use crate::predict::value::Verdict;
use crate::predict::warnings;
use crate::quantity::Celsius;
use crate::quantity::Share;
use crate::quantity::Unit;
use crate::standard::element::Element;
use crate::standard::normal;

/// A limit is met when it is missed by no more than this part of its span (its window's width, else
/// the size of its bound, at least 1): far below what any test method can see.
pub const MET: f64 = 1e-6;

/// A treat rate within this of a band's edge, mass %, stands on it: a tenth of a milligram per kg.
pub const ON_EDGE_PERCENT: f64 = 1e-7;

/// An element below this is not there, ppm: a ratio to it is undefined.
pub const NO_ELEMENT_PPM: f64 = 1e-6;

/// Judges a recipe.
#[must_use]
pub fn judge(problem: &Problem, recipe: &Recipe) -> Judgement {
    let shares: Vec<f64> = recipe.shares().iter().map(|s| s.fraction()).collect();
    let listed = listed(problem);
    let book = Book::new(problem, problem.mixing, &listed);
    let uncertain = Uncertain::new(problem, &listed, &shares);
    let properties: Vec<Predicted> = listed
        .iter()
        .filter_map(|property| predicted(problem, &book, &uncertain, property, &shares))
        .collect();
    let limits = problem
        .limits
        .iter()
        .map(|l| judge_limit(problem, &book, &properties, l, &shares, recipe.rounding()));
    let requirements = limits
        .chain(judge_bands(problem, &shares, recipe))
        .collect();
    let mut judgement = Judgement {
        properties,
        requirements,
        rules: logic::judge(problem, &shares),
        warnings: Vec::new(),
    };
    judgement.warnings = warnings::of(problem, &shares, &judgement);
    judgement.warnings.extend(warnings::rescaled(recipe));
    judgement
}

/// The properties that an answer lists: the goal, everything limited, and what the shelf can tell.
fn listed(problem: &Problem) -> Vec<Property> {
    let mut listed: Vec<Property> = vec![problem.goal.property.clone()];
    let limited = problem.limits.iter().map(|l| l.property.clone());
    let plain = Property::PLAIN
        .into_iter()
        .filter(|p| *p != Property::Kv100Krl);
    let cold = cold_temperatures(problem).into_iter().map(Property::Ccs);
    let elements = Element::ALL
        .into_iter()
        .filter(|e| {
            problem
                .components
                .iter()
                .any(|c| c.figure(&Datum::Element(*e)).is_some())
        })
        .map(Property::Element);
    let parity = Property::Ratio(Element::Mo, Element::P);
    let user = problem
        .properties
        .iter()
        .map(|p| Property::User(p.name.clone()));
    let groups = problem
        .groups
        .iter()
        .map(|g| Property::Group(g.name.clone()));
    for p in limited
        .chain(plain)
        .chain(cold)
        .chain(elements)
        .chain([parity])
        .chain(user)
        .chain(groups)
    {
        if !listed.contains(&p) {
            listed.push(p);
        }
    }
    listed
}

/// The temperatures at which the problem limits the cold tests.
fn cold_temperatures(problem: &Problem) -> Vec<Celsius> {
    let mut all: Vec<Celsius> = problem
        .limits
        .iter()
        .filter_map(|l| match l.property {
            Property::Ccs(t) => Some(t),
            _ => None,
        })
        .collect();
    all.sort_unstable();
    all.dedup();
    all
}

fn predicted(
    problem: &Problem,
    book: &Book,
    uncertain: &Uncertain,
    property: &Property,
    shares: &[f64],
) -> Option<Predicted> {
    if *property == Property::Change {
        return change(problem, shares);
    }
    let entry = book.entry(property)?;
    if states_nothing(problem, property, shares) {
        return None;
    }
    let value = value(book, entry, shares)?;
    let estimated_from = problem
        .components
        .iter()
        .enumerate()
        .filter(|(j, _)| shares[*j] > 0.0)
        .filter(|(j, _)| {
            entry
                .totals
                .iter()
                .any(|&t| book.row(t)[*j].is_some_and(|r| r.estimated))
        })
        .map(|(_, c)| c.id.clone())
        .collect();
    Some(Predicted {
        property: property.clone(),
        value,
        unit: problem.unit(property),
        spread: uncertain.spread(problem, book, entry, shares, value),
        estimated_from,
    })
}

/// A property's value as a judgement tells it: [`Book::value`], save that a ratio to an element which is
/// not there is undefined.
#[must_use]
pub fn value(book: &Book, entry: &Entry, shares: &[f64]) -> Option<f64> {
    let ratio = matches!(entry.property, Property::Ratio(..));
    if ratio && book.at(entry, shares)[1] < NO_ELEMENT_PPM {
        return None;
    }
    book.value(entry, shares)
}

/// How much of the oil differs from the known recipe: half the sum of the changes, mass %.
fn change(problem: &Problem, shares: &[f64]) -> Option<Predicted> {
    let known = problem.known.as_ref()?;
    let moved: f64 = shares
        .iter()
        .zip(known)
        .map(|(x, k)| (x - k.fraction()).abs())
        .sum();
    Some(Predicted {
        property: Property::Change,
        value: moved * 50.0,
        unit: Unit::PERCENT,
        spread: Spread::default(),
        estimated_from: Vec::new(),
    })
}

/// A property that no used component states is not reported as zero, unless it is limited: nobody has
/// said anything of it.
fn states_nothing(problem: &Problem, property: &Property, shares: &[f64]) -> bool {
    if problem.limits.iter().any(|l| l.property == *property) {
        return false;
    }
    let data: &[Datum] = match property {
        Property::BaseNumber => &[Datum::BaseNumber],
        Property::AcidNumber => &[Datum::AcidNumber],
        Property::Ash => &[
            Datum::Ash,
            Datum::Element(Element::Ca),
            Datum::Element(Element::Zn),
            Datum::Element(Element::Mg),
        ],
        Property::PolarShare => {
            return !problem.components.iter().any(|c| c.polar);
        }
        _ => return false,
    };
    !problem
        .components
        .iter()
        .zip(shares)
        .any(|(c, &x)| x > 0.0 && data.iter().any(|d| c.figure(d).is_some()))
}

fn judge_limit(
    problem: &Problem,
    book: &Book,
    properties: &[Predicted],
    limit: &Limit,
    shares: &[f64],
    rounding: Share,
) -> Judged {
    let predicted = properties.iter().find(|p| p.property == limit.property);
    let value = predicted.map(|p| p.value);
    let Standing {
        margin,
        binding,
        verdict,
    } = standing(problem, book, limit, value, shares, rounding);
    let sd = predicted.map_or(0.0, |p| p.spread.total());
    let to_stated = value.map(|v| inside(limit.side, limit.stated, v));
    Judged {
        property: limit.property.clone(),
        side: limit.side,
        bound: limit.bound,
        stated: limit.stated,
        strict: limit.strict,
        source: Source::Limit(limit.source.clone()),
        value,
        unit: problem.unit(&limit.property),
        margin,
        binding,
        verdict,
        pass_probability: to_stated
            .filter(|_| sd > 0.0)
            .map(|m| normal::below(m / sd)),
    }
}

/// How a recipe stands to one limit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Standing {
    /// Distance to the bound in the property's unit, positive inside; `None` without a value.
    pub margin: Option<f64>,
    /// Whether the recipe stands on the limit.
    pub binding: bool,
    /// Whether it is met.
    pub verdict: Verdict,
}

/// How mass fractions stand to a limit on a property of this value; `rounding` is how far each share may
/// be off because it was written with so many digits.
#[must_use]
pub fn standing(
    problem: &Problem,
    book: &Book,
    limit: &Limit,
    value: Option<f64>,
    shares: &[f64],
    rounding: Share,
) -> Standing {
    let margin = value.map(|v| inside(limit.side, limit.bound, v));
    let tolerance =
        MET * limit.span(&problem.limits) + unwritten(book, &limit.property, shares, rounding);
    let verdict = match margin {
        Some(m) if m >= -tolerance => Verdict::Meets,
        Some(_) => Verdict::Fails,
        None => without_value(book, limit, shares),
    };
    Standing {
        margin,
        binding: margin.is_some_and(|m| m.abs() <= tolerance),
        verdict,
    }
}

/// By how much a property may be off because the recipe was written with so many digits: every used
/// treat rate half a last digit to the worse side.
fn unwritten(book: &Book, property: &Property, shares: &[f64], rounding: Share) -> f64 {
    if rounding <= Share::NONE {
        return 0.0;
    }
    let slope = book
        .entry(property)
        .and_then(|entry| book.slope(entry, shares));
    let used = slope
        .iter()
        .flatten()
        .zip(shares)
        .filter(|(_, x)| **x > 0.0);
    rounding.fraction() * used.map(|(s, _)| s.abs()).sum::<f64>()
}

/// A limit on an undefined value: a ratio with nothing below the line is judged by its row; what has
/// no model, or no data, is left to the laboratory; a viscosity index that is undefined fails.
fn without_value(book: &Book, limit: &Limit, shares: &[f64]) -> Verdict {
    let Some(entry) = book.entry(&limit.property) else {
        return Verdict::NotAssured;
    };
    if !book.complete(entry, shares) {
        return Verdict::NotAssured;
    }
    let Form::Rows(rows) = exact::form(entry.formula, limit.side, limit.bound) else {
        return Verdict::Fails;
    };
    let z = book.at(entry, shares);
    let holds = rows.iter().all(|row| {
        let sum: f64 = row.weights.iter().zip(&z).map(|(w, z)| w * z).sum();
        inside(row.side, row.rhs, sum) >= -MET
    });
    if holds {
        Verdict::Meets
    } else {
        Verdict::Fails
    }
}

/// Distance to a bound, positive inside.
fn inside(side: Side, bound: f64, value: f64) -> f64 {
    match side {
        Side::Min => value - bound,
        Side::Max => bound - value,
    }
}

/// Every treat-band edge that a file or stock set.
fn judge_bands(problem: &Problem, shares: &[f64], recipe: &Recipe) -> Vec<Judged> {
    let mut all = Vec::new();
    // A written treat rate is off by its last digit and by what the sum was scaled with.
    let scaled = (recipe.written().fraction() - 1.0).abs();
    let off = |percent: f64| MET + recipe.rounding().percent() + percent * scaled;
    for ((component, band), &share) in problem.components.iter().zip(&problem.bands).zip(shares) {
        let percent = share * 100.0;
        let off = off(percent);
        for (side, edge) in [(Side::Min, &band.min), (Side::Max, &band.max)] {
            if edge.source != EdgeSource::Natural {
                let source = Source::Band(edge.source);
                all.push(judge_edge(
                    &component.id,
                    side,
                    edge,
                    source,
                    (percent, off),
                ));
            }
        }
        if let Some(edge) = band.if_used.as_ref().filter(|_| percent > ON_EDGE_PERCENT) {
            let source = Source::IfUsed(edge.source);
            all.push(judge_edge(
                &component.id,
                Side::Min,
                edge,
                source,
                (percent, off),
            ));
        }
    }
    all
}

fn judge_edge(
    id: &str,
    side: Side,
    edge: &Edge,
    source: Source,
    (percent, off): (f64, f64),
) -> Judged {
    let bound = edge.share.percent();
    let margin = inside(side, bound, percent);
    Judged {
        property: Property::Treat(id.into()),
        side,
        bound,
        stated: bound,
        strict: false,
        source,
        value: Some(percent),
        unit: Unit::PERCENT,
        margin: Some(margin),
        binding: margin.abs() <= ON_EDGE_PERCENT,
        verdict: if margin >= -off {
            Verdict::Meets
        } else {
            Verdict::Fails
        },
        pass_probability: None,
    }
}

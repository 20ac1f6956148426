//! The answer of `frontier`: shape and content.

use crate::declare::problem::Limit;
use crate::declare::problem::Problem;
use crate::declare::problem::Sense;
use crate::predict::value::Warning;
use crate::report::json::answer;
use crate::report::json::part;
use crate::report::json::shape;
use crate::report::json::solved;
use crate::report::warnings;
use crate::report::words;
use crate::study::apart;
use crate::study::frontier as study;
use crate::study::frontier::Outcome;
use serde::Serialize;

/// The answer of `frontier`.
#[derive(Debug, Serialize)]
pub struct Frontier {
    /// [`shape::SCHEMA`].
    pub schema: u32,
    /// `curve`, `one-recipe`, `no-recipe` or `undecided`.
    pub status: &'static str,
    /// What is traded, in the order asked.
    pub between: [Aim; 2],
    /// The recipes, the best of the first property first.
    pub points: Vec<Point>,
    /// Between which of `points` nothing lies that no recipe betters in both.
    pub jumps: Vec<Jump>,
    /// The distance between neighbours of each unbroken piece, in parts of the whole way.
    pub spacing: Vec<f64>,
    /// The problem's own limit on the second property on which the first point stands, and on the first
    /// property on which the last stands; `null` where there is none.
    pub stops: [Option<Stop>; 2],
    /// Whether every search behind the answer was proved to the end.
    pub proved: bool,
    /// For `no-recipe`: requirements that cannot all hold.
    pub conflict: Option<Vec<shape::Party>>,
    /// What to be told beside the numbers.
    pub warnings: Vec<shape::Warning>,
}

/// A property and which way is better.
#[derive(Debug, Serialize)]
pub struct Aim {
    /// The property's key.
    pub property: String,
    /// Its unit.
    pub unit: String,
    /// `low` or `high`.
    pub better: &'static str,
}

/// A recipe that no other betters in both.
#[derive(Debug, Serialize)]
pub struct Point {
    /// Its values, in the order of `between`.
    pub values: [f64; 2],
    /// The way from the first point, 0 to 1: half the sum of both ways, each in parts of the way between
    /// the ends.
    pub along: f64,
    /// The unbroken piece that it belongs to, from 0.
    pub piece: usize,
    /// What the second property changes by per unit by which the first rises.
    pub exchange_rate: Rate,
    /// The part of a value by which a recipe may better it in both, as far as is proved; `null` where it
    /// is not proved.
    pub gap: Option<f64>,
    /// The components used, the largest treat rate first.
    pub recipe: Vec<shape::Ingredient>,
    /// What was predicted.
    pub properties: shape::Properties,
    /// What the recipe stands on.
    pub binding: Vec<solved::Bound>,
}

/// An exchange rate.
#[derive(Debug, Serialize)]
pub struct Rate {
    /// The rate; `null` on a kink, where the two sides differ, and where none is known.
    pub per_unit: Option<f64>,
    /// Towards better values of the first property; `null` at an end or edge there.
    pub towards_better: Option<f64>,
    /// Towards worse ones.
    pub towards_worse: Option<f64>,
}

/// Two neighbours between which the curve jumps.
#[derive(Debug, Serialize)]
pub struct Jump {
    /// The index of the one in `points`.
    pub from: usize,
    /// The index of the other.
    pub to: usize,
}

/// A limit that ends the curve.
#[derive(Debug, Serialize)]
pub struct Stop {
    /// The property's key.
    pub property: String,
    /// `min` or `max`.
    pub side: &'static str,
    /// The number obeyed.
    pub bound: f64,
    /// Its unit.
    pub unit: String,
    /// Who set it.
    pub source: String,
}

/// The answer of `frontier`, ending in a line break.
///
/// # Errors
/// Where the writer of JSON fails; it has no reason to on these shapes.
pub fn frontier(found: &study::Frontier) -> serde_json::Result<String> {
    let problem = &found.problem;
    let points = found.points();
    let told = told(points);
    let (status, conflict) = match &found.outcome {
        Outcome::Curve(_) => ("curve", None),
        Outcome::One(_) => ("one-recipe", None),
        Outcome::None(s) if s.none() => ("no-recipe", Some(part::collision(&s.problem, &s.answer))),
        Outcome::None(_) => ("undecided", None),
    };
    let curve = match &found.outcome {
        Outcome::Curve(curve) => Some(curve),
        _ => None,
    };
    let stops = curve.map_or([None, None], |c| c.stops.clone());
    answer::text(&Frontier {
        schema: shape::SCHEMA,
        status,
        between: [0, 1].map(|k| Aim {
            property: found.aims[k].property.key(),
            unit: problem.unit(&found.aims[k].property).to_string(),
            better: match found.aims[k].sense {
                Sense::Minimise => "low",
                Sense::Maximise => "high",
            },
        }),
        points: points.iter().map(|p| point(problem, p)).collect(),
        jumps: curve.map_or_else(Vec::new, |c| {
            let jump = |at: &usize| Jump {
                from: *at,
                to: at + 1,
            };
            c.jumps.iter().map(jump).collect()
        }),
        spacing: curve.map_or_else(Vec::new, |c| c.spacing.clone()),
        stops: stops.map(|limit| limit.map(|l| stop(problem, &l))),
        proved: found.is_proved(),
        conflict,
        warnings: part::warnings(&told),
    })
}

fn point(problem: &Problem, point: &study::Point) -> Point {
    Point {
        values: point.at,
        along: point.along,
        piece: point.piece,
        exchange_rate: Rate {
            per_unit: point.rates.one(),
            towards_better: point.rates.better,
            towards_worse: point.rates.worse,
        },
        gap: point.gap,
        recipe: part::recipe(problem, &point.recipe),
        properties: part::properties(&point.judgement),
        binding: solved::bounds(&apart::binding(&point.judgement)),
    }
}

fn stop(problem: &Problem, limit: &Limit) -> Stop {
    Stop {
        property: limit.property.key(),
        side: limit.side.key(),
        bound: limit.bound,
        unit: problem.unit(&limit.property).to_string(),
        source: words::limit_source(&limit.source),
    }
}

/// The warnings of all recipes, each once.
fn told(points: &[study::Point]) -> Vec<Warning> {
    points.iter().fold(Vec::new(), |all, p| {
        warnings::together(&all, Some(&p.judgement))
    })
}

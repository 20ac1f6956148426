//! What one property costs in another: the recipes that no other betters in both.
//!
//! One of the two is bounded and the other made the best, each time with a proof over the whole shelf.
//! Distances along the curve are half the sum of both ways, each in parts of the way between the ends;
//! along a curve that never turns back these add up, whatever its shape.

pub mod aim;

pub mod trade;

pub mod chain;

pub mod rate;

pub mod scan;

pub mod place;

use crate::declare::problem::Limit;
use crate::declare::problem::Problem;
use crate::declare::recipe::Recipe;
use crate::parallel;
use crate::predict::judge;
use crate::predict::value::Judgement;
use crate::solve::search::Budget;
use crate::study::frontier::aim::Aim;
use crate::study::frontier::chain::Chain;
use crate::study::frontier::chain::Scale;
use crate::study::frontier::place::Piece;
use crate::study::frontier::rate::Rates;
use crate::study::frontier::trade::Found;
use crate::study::frontier::trade::Trade;
use crate::study::solved::Solved;

/// The answer.
#[derive(Debug, Clone, PartialEq)]
pub struct Frontier {
    /// The problem.
    pub problem: Problem,
    /// What is traded; the first is the better known one, told first.
    pub aims: [Aim; 2],
    /// What was found.
    pub outcome: Outcome,
}

impl Frontier {
    /// The recipes found.
    #[must_use]
    pub fn points(&self) -> &[Point] {
        match &self.outcome {
            Outcome::None(_) => &[],
            Outcome::One(point) => std::slice::from_ref(&**point),
            Outcome::Curve(curve) => &curve.points,
        }
    }

    /// Whether every search behind the answer was proved to the end.
    #[must_use]
    pub fn is_proved(&self) -> bool {
        match &self.outcome {
            Outcome::None(refused) => refused.none(),
            Outcome::One(point) => point.gap.is_some(),
            Outcome::Curve(curve) => curve.sure && curve.points.iter().all(|p| p.gap.is_some()),
        }
    }
}

/// What was found.
#[derive(Debug, Clone, PartialEq)]
pub enum Outcome {
    /// No recipe, or none was found: the search that says so.
    None(Box<Solved>),
    /// One recipe is the best in both.
    One(Box<Point>),
    /// A curve.
    Curve(Box<Curve>),
}

/// The recipes of a curve, from the best of the first property to the best of the second.
#[derive(Debug, Clone, PartialEq)]
pub struct Curve {
    /// The recipes.
    pub points: Vec<Point>,
    /// After which of them, by index, the curve jumps: between it and the next no recipe lies that none
    /// betters in both.
    pub jumps: Vec<usize>,
    /// The distance between neighbours of each unbroken piece, in parts of the whole way; 0 where it is
    /// one recipe.
    pub spacing: Vec<f64>,
    /// The limits of the problem that end the curve: at the first point on the second property, at the
    /// last on the first.
    pub stops: [Option<Limit>; 2],
    /// Whether every search behind it, those that found jumps included, was proved to the end.
    pub sure: bool,
}

/// A recipe that no other betters in both.
#[derive(Debug, Clone, PartialEq)]
pub struct Point {
    /// Its values, in the properties' units.
    pub at: [f64; 2],
    /// The way from the first point, in parts of the whole, jumps included.
    pub along: f64,
    /// Which unbroken piece it belongs to.
    pub piece: usize,
    /// What the second property changes by per unit of the first.
    pub rates: Rates,
    /// The recipe.
    pub recipe: Recipe,
    /// It, judged by the problem's own limits.
    pub judgement: Judgement,
    /// The part of a value by which a recipe may better it in both, as far as is proved; `None` where too
    /// little is to be called proved.
    pub gap: Option<f64>,
}

/// Answers the question with about so many recipes, 2 at least: each edge of a jump is one.
#[must_use]
pub fn frontier(problem: &Problem, aims: [Aim; 2], points: usize, budget: &Budget) -> Frontier {
    let trade = Trade::new(problem, aims.clone(), budget);
    Frontier {
        problem: problem.clone(),
        outcome: outcome(&trade, points.max(2)),
        aims,
    }
}

fn outcome(trade: &Trade, points: usize) -> Outcome {
    let alone = parallel::each(&[0, 1], |goal| trade.alone(*goal));
    let refused = alone.iter().position(|a| !a.outcome().has_recipe());
    let none = |k: usize| {
        let (problem, _) = trade.bounded(k, None);
        let answer = alone[k].clone();
        Outcome::None(Box::new(Solved { problem, answer }))
    };
    if let Some(k) = refused {
        return none(k);
    }
    let ends = parallel::each(&[0, 1], |goal| trade.end(*goal, &alone[*goal]));
    let [Some(first), Some(last)] = ends.as_slice() else {
        return none(0);
    };
    let scale = Scale::between(first, last);
    let Some(scale) = scale else {
        let one = point(trade, last, 0.0, 0, Rates::default());
        return one.map_or_else(|| none(0), |one| Outcome::One(Box::new(one)));
    };
    let trade = trade.clone().along(scale.best, scale.worst);
    let mut chain = Chain::new(scale, first.clone(), last.clone());
    scan::fill(&trade, &mut chain);
    curve(&trade, &chain, points).map_or_else(|| none(0), |curve| Outcome::Curve(Box::new(curve)))
}

fn curve(trade: &Trade, chain: &Chain, points: usize) -> Option<Curve> {
    let pieces = place::pieces(chain);
    let lengths: Vec<f64> = pieces.iter().map(|p| length(chain, *p)).collect();
    let counts = place::shared(&lengths, points);
    let mut curve = Curve {
        points: Vec::new(),
        jumps: Vec::new(),
        spacing: Vec::new(),
        stops: [None, None],
        sure: chain.sure,
    };
    for (k, (piece, count)) in pieces.iter().zip(&counts).enumerate() {
        let found = place::placed(trade, chain, *piece, *count);
        let edges: Vec<usize> = (0..found.len()).collect();
        let told = parallel::each(&edges, |at| {
            let rates = rate::rates_of_all(trade, &found[*at], *at > 0, *at + 1 < found.len());
            let first = chain.links[0].loss;
            let along = place::apart(first, chain.scale.loss(found[*at].at));
            point(trade, &found[*at], along, k, rates)
        });
        if k > 0 {
            curve.jumps.push(curve.points.len() - 1);
        }
        curve.spacing.push(spacing(lengths[k], found.len()));
        curve
            .points
            .extend(told.into_iter().collect::<Option<Vec<Point>>>()?);
    }
    let (first, last) = (curve.points.first()?, curve.points.last()?);
    let stop =
        |point: &Point, k: usize| trade::own_limit(trade.problem, &trade.aims[k], point.at[k]);
    curve.stops = [stop(first, 1), stop(last, 0)];
    Some(curve)
}

fn length(chain: &Chain, piece: Piece) -> f64 {
    place::apart(chain.links[piece.first].loss, chain.links[piece.last].loss)
}

#[expect(clippy::cast_precision_loss, reason = "a few hundred recipes at most")]
fn spacing(length: f64, points: usize) -> f64 {
    length / points.saturating_sub(1).max(1) as f64
}

fn point(trade: &Trade, found: &Found, along: f64, piece: usize, rates: Rates) -> Option<Point> {
    let recipe = found.answer.recipe.clone()?;
    Some(Point {
        at: found.at,
        along,
        piece,
        rates,
        judgement: judge::judge(trade.problem, &recipe),
        recipe,
        gap: found.is_proved().then_some(found.gap),
    })
}

//! How much of one component a limit takes, what the rest of the recipe does meanwhile, and what it
//! costs.

use crate::declare::component::Edge;
use crate::declare::component::EdgeSource;
use crate::declare::problem::Goal;
use crate::declare::problem::Limit;
use crate::declare::problem::LimitSource;
use crate::declare::problem::Problem;
use crate::declare::problem::Sense;
use crate::declare::problem::Side;
use crate::declare::property::Property;
use crate::predict::book::Book;
use crate::quantity::Share;
use crate::solve::search::Budget;
use crate::study::clock::Clock;
use crate::study::solved::Solved;
use crate::study::top_up;
use crate::study::top_up::TopUp;

/// The answer to one such question.
#[derive(Debug, Clone, PartialEq)]
pub struct Reach {
    /// What is to be reached.
    pub target: Limit,
    /// The component asked about, an index into each problem's.
    pub component: usize,
    /// The best recipe without the target and without the problem's own limits on that side.
    pub before: Solved,
    /// The recipe with the least of the component that reaches the target and keeps every other limit;
    /// its goal is the treat rate. Where it has no recipe, its conflict says why.
    pub least: Solved,
    /// The best recipe, by the problem's goal, at that treat rate.
    pub at_least: Option<Solved>,
    /// The best recipe that reaches the target, with as much of the component as pays.
    pub best: Option<Solved>,
    /// The component on top of the recipe before.
    pub top_up: Option<TopUp>,
    /// Where the target cannot be reached: how far it goes, with the best recipe there.
    pub farthest: Option<Farthest>,
}

/// How far a property goes with every other limit kept.
#[derive(Debug, Clone, PartialEq)]
pub struct Farthest {
    /// The extreme value; its goal is the property.
    pub extreme: Solved,
    /// The best recipe there, by the problem's goal; judged without the target.
    pub recipe: Solved,
}

/// How the question is answered.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Outcome {
    /// The target is reached.
    Reached,
    /// Proved: no recipe reaches it.
    NotReached,
    /// Neither.
    Undecided,
}

impl Reach {
    /// How it ended.
    #[must_use]
    pub fn outcome(&self) -> Outcome {
        let found = [Some(&self.least), self.best.as_ref()];
        if found.into_iter().flatten().any(|s| s.recipe().is_some()) {
            Outcome::Reached
        } else if self.least.none() {
            Outcome::NotReached
        } else {
            Outcome::Undecided
        }
    }

    /// The search that says why the target is not reached: where there is no recipe even without it,
    /// that is the reason.
    #[must_use]
    pub fn refused(&self) -> &Solved {
        if self.farthest.is_none() {
            &self.before
        } else {
            &self.least
        }
    }

    /// The least treat rate, where one was found.
    #[must_use]
    pub fn least_treat(&self) -> Option<Share> {
        let (recipe, _) = self.least.recipe()?;
        Some(recipe.shares()[self.component])
    }
}

/// Why a property cannot be a target.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Unable {
    /// It has no model: only a laboratory can tell.
    NoModel,
    /// These components, which the problem allows or the question names, state too little for it.
    NoFigures(Vec<String>),
    /// The problem does not limit it, and nothing was asked.
    NoTarget,
}

/// At a parity: as much of the one element as of the other.
const PARITY: f64 = 1.0;

/// What to reach: what is asked, else the problem's own limit, minimum first and the tightest of
/// several, else parity for a ratio.
///
/// # Errors
/// Where there is nothing to reach, or it cannot be predicted of this shelf.
pub fn target(
    problem: &Problem,
    property: &Property,
    component: usize,
    asked: Option<(Side, f64)>,
) -> Result<Limit, Unable> {
    predictable(problem, property, Some(component))?;
    let ratio = matches!(property, Property::Ratio(..));
    match asked {
        Some((side, bound)) => Ok(limit(property, side, bound)),
        None => own(problem, property, Side::Min)
            .or_else(|| own(problem, property, Side::Max))
            .or_else(|| ratio.then(|| limit(property, Side::Min, PARITY)))
            .ok_or(Unable::NoTarget),
    }
}

/// A limit that the question sets, in the unit of the property.
#[must_use]
pub fn limit(property: &Property, side: Side, bound: f64) -> Limit {
    Limit {
        property: property.clone(),
        side,
        bound,
        stated: bound,
        strict: false,
        source: LimitSource::Asked,
        place: crate::fault::Place {
            file: 0,
            span: 0..0,
        },
    }
}

/// The tightest of the problem's own limits on one side.
fn own(problem: &Problem, property: &Property, side: Side) -> Option<Limit> {
    let towards = match side {
        Side::Min => 1.0,
        Side::Max => -1.0,
    };
    problem
        .limits
        .iter()
        .filter(|l| l.property == *property && l.side == side)
        .max_by(|a, b| (towards * a.bound).total_cmp(&(towards * b.bound)))
        .cloned()
}

/// Whether a property can be predicted of every recipe that the problem allows; `component` must state
/// what it takes even where the problem rules it out.
///
/// # Errors
/// Where it has no model, or components lack figures.
pub fn predictable(
    problem: &Problem,
    property: &Property,
    component: Option<usize>,
) -> Result<(), Unable> {
    let book = Book::new(problem, problem.mixing, [property]);
    let entry = book.entry(property).ok_or(Unable::NoModel)?;
    let lacking: Vec<String> = problem
        .components
        .iter()
        .enumerate()
        .filter(|(j, _)| component == Some(*j) || problem.bands[*j].max.share > Share::NONE)
        .filter(|(j, _)| entry.totals.iter().any(|&t| book.row(t)[*j].is_none()))
        .map(|(_, c)| c.id.clone())
        .collect();
    if lacking.is_empty() {
        Ok(())
    } else {
        Err(Unable::NoFigures(lacking))
    }
}

/// Relative gap to which the least treat rate is proved.
const TIGHT: f64 = 1e-6;

/// Relative gap of recipes whose difference is told: what two proofs leave open stays below the last
/// digit printed.
const APART: f64 = 1e-5;

/// Answers the question.
#[must_use]
pub fn reach(problem: &Problem, target: Limit, component: usize, budget: &Budget) -> Reach {
    let clock = Clock::start(budget);
    let without = Problem {
        limits: others(problem, &target).cloned().collect(),
        ..problem.clone()
    };
    let with = Problem {
        limits: replaced(problem, &target),
        ..problem.clone()
    };
    let before = Solved::of(without.clone(), &clock.left_to(APART));
    let least = Solved::of(for_least(&with, component), &clock.left_to(TIGHT));
    let reached = !least.none();
    let at_least = least
        .recipe()
        .map(|(recipe, _)| capped(&with, component, recipe.shares()[component]))
        .map(|capped| Solved::of(capped, &clock.left_to(APART)).as_of(&with));
    let best = reached.then(|| Solved::of(with.clone(), &clock.left_to(APART)));
    let top_up = before
        .recipe()
        .and_then(|(oil, _)| top_up::top_up(&with, &target, component, oil));
    let farthest = (!reached && !before.none()).then(|| farthest(&without, &target, &clock));
    Reach {
        target,
        component,
        before,
        least,
        at_least,
        best,
        top_up,
        farthest,
    }
}

/// The limits on anything else, and on the other side.
fn others<'p>(problem: &'p Problem, target: &'p Limit) -> impl Iterator<Item = &'p Limit> {
    problem.limits.iter().filter(|l| !rivals(l, target))
}

fn rivals(limit: &Limit, target: &Limit) -> bool {
    limit.property == target.property && limit.side == target.side
}

/// The limits with the target in the place of the problem's own on that side.
fn replaced(problem: &Problem, target: &Limit) -> Vec<Limit> {
    let at = problem.limits.iter().position(|l| rivals(l, target));
    let mut limits: Vec<Limit> = others(problem, target).cloned().collect();
    limits.insert(at.unwrap_or(limits.len()), target.clone());
    limits
}

fn for_least(problem: &Problem, component: usize) -> Problem {
    Problem {
        goal: Goal {
            sense: Sense::Minimise,
            property: Property::Treat(problem.components[component].id.clone()),
            place: problem.goal.place.clone(),
        },
        ..problem.clone()
    }
}

/// Room above the least treat rate, so that rounding leaves a recipe: a tenth of a milligram in a
/// kilogram, and a part of the rate itself.
const ROOM: f64 = 1e-7;

/// The problem with no more of a component than this.
fn capped(problem: &Problem, component: usize, most: Share) -> Problem {
    let mut capped = problem.clone();
    let share = Share::from_fraction(most.fraction() * (1.0 + ROOM) + ROOM);
    let band = &mut capped.bands[component];
    if most > Share::NONE && share < band.max.share {
        band.max = Edge {
            share,
            source: EdgeSource::Natural,
            place: None,
        };
    } else if most <= Share::NONE {
        band.max.share = Share::NONE;
        band.max.source = EdgeSource::Natural;
    }
    capped
}

fn farthest(without: &Problem, target: &Limit, clock: &Clock) -> Farthest {
    let sense = match target.side {
        Side::Min => Sense::Maximise,
        Side::Max => Sense::Minimise,
    };
    let goal = Goal {
        sense,
        property: target.property.clone(),
        place: without.goal.place.clone(),
    };
    let extreme = Solved::of(
        Problem {
            goal,
            ..without.clone()
        },
        &clock.left(),
    );
    let recipe = extreme
        .value()
        .map(|value| {
            let room = ROOM * value.abs().max(1.0);
            let bound = match target.side {
                Side::Min => value - room,
                Side::Max => value + room,
            };
            let mut there = without.clone();
            there
                .limits
                .push(limit(&target.property, target.side, bound));
            Solved::of(there, &clock.left())
        })
        .filter(|there| there.recipe().is_some())
        .unwrap_or_else(|| extreme.clone())
        .as_of(without);
    Farthest { extreme, recipe }
}

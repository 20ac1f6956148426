//! One of many answers: what a study of thousands of neighbouring problems keeps of each, found from
//! where the one before it ended.
//!
//! A [`Trail`] leads from answer to answer. The best recipe of the last problem is settled onto the same
//! limits in the next (Newton's method on a handful of equations); where something else holds it, the
//! local search begins there; and the multipliers that proved the last recipe best are tried first on
//! the next. None of that is believed: every recipe is judged by the property models, and is called
//! optimal only with a proof for its own problem.

use crate::declare::problem::Problem;
use crate::declare::property::Property;
use crate::declare::requirement;
use crate::declare::requirement::Requirement;
use crate::predict::book::Book;
use crate::predict::glance;
use crate::predict::glance::Glance;
use crate::solve::answer::Answer;
use crate::solve::answer::Effort;
use crate::solve::answer::Party;
use crate::solve::answer::Status;
use crate::solve::conflict;
use crate::solve::conflict::Conflict;
use crate::solve::filter::Probe;
use crate::solve::follow::local;
use crate::solve::follow::stand::Stand;
use crate::solve::linear;
use crate::solve::linear::Found;
use crate::solve::logic::Demand;
use crate::solve::possible;
use crate::solve::possible::Purse;
use crate::solve::prove::memory::Memory;
use crate::solve::prove::tree;
use crate::solve::prove::tree::Limits;
use crate::solve::refine;
use crate::solve::refine::Point;
use crate::solve::search;
use crate::solve::search::Budget;
use crate::solve::task::Task;

/// What a study keeps of one problem's answer.
#[derive(Debug, Clone, PartialEq)]
pub struct Spot {
    /// The outcome.
    pub status: Status,
    /// The goal's value, in the goal property's unit and sense.
    pub goal: Option<f64>,
    /// Relative distance to what no recipe betters, where proved.
    pub gap: Option<f64>,
    /// Mass fraction of each component of the problem; empty without a recipe.
    pub shares: Vec<f64>,
    /// Value of each limit's property, in the order of the problem's limits.
    pub values: Vec<Option<f64>>,
    /// What the recipe stands on, sorted.
    pub binding: Vec<Requirement>,
    /// For no recipe: requirements that cannot all hold; empty where nobody asked.
    pub conflict: Vec<Party>,
    /// Whether each of these was shown to be needed for that; else some may be spared.
    pub settled: bool,
}

impl Spot {
    fn without(status: Status) -> Self {
        Spot {
            status,
            goal: None,
            gap: None,
            shares: Vec::new(),
            values: Vec::new(),
            binding: Vec::new(),
            conflict: Vec::new(),
            settled: true,
        }
    }

    /// Whether there is a recipe that meets every limit.
    #[must_use]
    pub fn has_recipe(&self) -> bool {
        self.status.has_recipe()
    }

    /// Indices of the components that are in the oil.
    #[must_use]
    pub fn used(&self) -> Vec<usize> {
        (0..self.shares.len())
            .filter(|&j| self.shares[j] > 0.0)
            .collect()
    }
}

/// What one answer leaves for the next.
#[derive(Debug, Clone, Default)]
pub struct Trail {
    reasons: bool,
    last: Option<Left>,
    memory: Memory,
    reason: Vec<Requirement>,
    settled: bool,
}

/// A best point with what it was a point of.
#[derive(Debug, Clone)]
struct Left {
    columns: Vec<usize>,
    used: Vec<bool>,
    x: Vec<f64>,
    stand: Option<Stand>,
}

impl Trail {
    /// The beginning of a trail; `reasons` asks for the conflict of each problem without a recipe.
    #[must_use]
    pub fn new(reasons: bool) -> Self {
        Trail {
            reasons,
            ..Trail::default()
        }
    }

    /// What holds the last recipe, where that is known, with the columns it uses.
    #[must_use]
    pub fn stand(&self) -> Option<(&Stand, &[bool])> {
        let left = self.last.as_ref()?;
        Some((left.stand.as_ref()?, &left.used))
    }
}

/// The answer of a problem, begun from where a trail stands. Without [`Budget::proof`] the recipe is one
/// that nothing nearby betters; [`Budget::starts`] and a balance's steps are not looked at.
#[must_use]
pub fn spot(problem: &Problem, trail: &mut Trail, budget: &Budget) -> Spot {
    // Goals whose columns are no components, or which have a value only sometimes, take the long way.
    if matches!(
        problem.goal.property,
        Property::Change | Property::Ratio(..)
    ) || budget.demand != Demand::default()
    {
        return of_answer(problem, &search::cheapest(problem, budget));
    }
    let book = Task::book(problem);
    let task = Task::by(problem, &book, &Demand::default());
    if let Some(colliding) = possible::collision(problem, &task) {
        return none(problem, trail, || {
            Some(conflict::of_collision(
                problem,
                colliding,
                &mut Effort::default(),
            ))
        });
    }
    let known = match trail.along(&task) {
        Some(point) => Some(point),
        None => match cold(&task) {
            Cold::Impossible => {
                return none(problem, trail, || {
                    conflict::of_exact(problem, &task, &mut Effort::default())
                });
            }
            Cold::Lost => return Spot::without(Status::Undecided),
            Cold::Found(point) => point,
        },
    };
    let gap = budget
        .proof
        .or((!task.logic.is_empty()).then_some(search::LOGIC_GAP));
    let Some(gap) = gap else {
        return match known {
            Some(point) => told(problem, &book, &task, trail, &point, None),
            None => Spot::without(Status::Undecided),
        };
    };
    proved(problem, &book, &task, trail, known, gap, budget)
}

/// What a search that begins at nothing came to.
enum Cold {
    Found(Option<Point>),
    Impossible,
    Lost,
}

fn cold(task: &Task) -> Cold {
    match linear::solve(&search::exact_program(task)) {
        Found::Best { x, .. } => {
            let found = refine::descend(task, &x, &mut 0);
            Cold::Found(found.filter(|p| p.missed <= refine::MET && task.logic.keeps(&p.x)))
        }
        Found::Empty(_) => Cold::Impossible,
        Found::Unknown => Cold::Lost,
    }
}

impl Trail {
    /// The best point near the last one, where there is one.
    fn along(&mut self, task: &Task) -> Option<Point> {
        let left = self.last.as_mut().filter(|l| l.columns == task.columns)?;
        let here = local::decided(task.clone(), &left.used);
        if let Some(stand) = &mut left.stand
            && stand.settle(&here).is_some()
            && stand.is_sound(&here)
        {
            return Some(Point {
                goal: here.goal(&stand.x)?,
                x: stand.x.clone(),
                missed: 0.0,
            });
        }
        left.stand = None;
        local::best(&here, &left.x).filter(|p| task.logic.keeps(&p.x))
    }

    /// Leaves a best point for the next problem.
    fn leave(&mut self, task: &Task, point: &Point) {
        let used = local::used(task, &point.x);
        let stays = self.last.as_ref().is_some_and(|l| {
            l.columns == task.columns
                && l.used == used
                && l.stand.as_ref().is_some_and(|s| s.x == point.x)
        });
        if stays {
            if let Some(left) = &mut self.last {
                left.x.clone_from(&point.x);
            }
            return;
        }
        let here = local::decided(task.clone(), &used);
        self.last = Some(Left {
            columns: task.columns.clone(),
            stand: Stand::at(&here, &point.x),
            used,
            x: point.x.clone(),
        });
    }
}

/// The proof, and the recipe that it leaves.
fn proved(
    problem: &Problem,
    book: &Book,
    task: &Task,
    trail: &mut Trail,
    known: Option<Point>,
    gap: f64,
    budget: &Budget,
) -> Spot {
    let limits = Limits {
        gap,
        nodes: budget.nodes,
        time: budget.time,
        first: false,
        least: task.least_gain().max(tree::LEAST_GAIN),
    };
    let before = known.clone();
    let outcome = tree::prove_next(task, known, &limits, &mut trail.memory);
    let Some(best) = outcome.best.clone() else {
        if !outcome.complete {
            return Spot::without(Status::Undecided);
        }
        return none(problem, trail, || {
            Some(conflict::of_whole(
                problem,
                &budget.demand,
                &limits,
                &mut Effort::default(),
            ))
        });
    };
    let point = if before.as_ref() == Some(&best) {
        best
    } else {
        search::settled(task, &best)
    };
    let reached = search::gap(task, &point, &outcome);
    let certified = budget.proof.is_some() && search::is_closed(&outcome, reached, gap);
    let certified = certified.then_some(reached);
    told(problem, book, task, trail, &point, certified)
}

/// A recipe, judged.
fn told(
    problem: &Problem,
    book: &Book,
    task: &Task,
    trail: &mut Trail,
    point: &Point,
    certified: Option<f64>,
) -> Spot {
    trail.leave(task, point);
    let shares: Vec<f64> = task.shares(&point.x).iter().map(|s| s.fraction()).collect();
    let Glance {
        goal,
        values,
        binding,
        passes,
    } = glance::glance(problem, book, &shares);
    let status = match (passes, certified) {
        (false, _) => Status::Undecided,
        (true, Some(_)) => Status::Optimal,
        (true, None) => Status::Feasible,
    };
    if status == Status::Undecided {
        return Spot::without(status);
    }
    Spot {
        status,
        goal,
        gap: certified,
        shares,
        values,
        binding,
        conflict: Vec::new(),
        settled: true,
    }
}

/// Most regions of asking whether the last reason still holds.
const REASON_NODES: usize = 200;

/// A problem without a recipe: the reason of the one before, where it still is one, else its own.
fn none(problem: &Problem, trail: &mut Trail, fresh: impl FnOnce() -> Option<Conflict>) -> Spot {
    let mut spot = Spot::without(Status::NoRecipe);
    if !trail.reasons {
        return spot;
    }
    let known = requirement::every(problem);
    let again = !trail.reason.is_empty() && trail.reason.iter().all(|r| known.contains(r));
    if again {
        let alone = requirement::keeping(problem, &trail.reason);
        let mut purse = Purse::new(REASON_NODES, REASON_NODES, None);
        if possible::possible(&alone, &Demand::default(), &mut purse) == Probe::Impossible {
            spot.conflict = trail
                .reason
                .iter()
                .filter_map(|r| conflict::party(problem, *r))
                .collect();
            spot.settled = trail.settled;
            return spot;
        }
    }
    let found = fresh().unwrap_or_default();
    spot.conflict = found.parties();
    spot.settled = found.irreducible();
    trail.reason = found.requirements();
    trail.settled = spot.settled;
    spot
}

/// A whole answer as a spot.
#[must_use]
pub fn of_answer(problem: &Problem, answer: &Answer) -> Spot {
    let status = answer.outcome();
    let mut spot = Spot::without(status);
    spot.conflict.clone_from(&answer.conflict);
    spot.settled = answer.needed.iter().all(|needed| *needed);
    let recipe = answer.recipe.as_ref().filter(|_| spot.has_recipe());
    let Some(recipe) = recipe else { return spot };
    let shares: Vec<f64> = recipe.shares().iter().map(|s| s.fraction()).collect();
    let glance = glance::glance(problem, &Task::book(problem), &shares);
    Spot {
        goal: answer.objective,
        gap: answer.proof.gap.filter(|_| status == Status::Optimal),
        values: glance.values,
        binding: glance.binding,
        shares,
        ..spot
    }
}

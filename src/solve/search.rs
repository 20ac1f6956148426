//! `cheapest`: the whole search, from a problem to a judged answer.

use crate::declare::problem::Problem;
use crate::declare::property::Property;
use crate::declare::recipe::Recipe;
use crate::predict::judge;
use crate::predict::value::Judgement;
use crate::solve::answer::Answer;
use crate::solve::answer::Effort;
use crate::solve::answer::Proof;
use crate::solve::answer::ProofKind;
use crate::solve::answer::Status;
use crate::solve::conflict;
use crate::solve::conflict::Conflict;
use crate::solve::follow::local;
use crate::solve::grid;
use crate::solve::linear;
use crate::solve::linear::Found;
use crate::solve::logic::Demand;
use crate::solve::possible;
use crate::solve::program::Program;
use crate::solve::prove::tree;
use crate::solve::prove::tree::Limits;
use crate::solve::prove::tree::Outcome;
use crate::solve::refine;
use crate::solve::refine::Point;
use crate::solve::start;
use crate::solve::start::Sequence;
use crate::solve::task;
use crate::solve::task::Task;
use std::time::Duration;
use std::time::Instant;

/// What a search may spend.
#[derive(Debug, Clone, PartialEq)]
pub struct Budget {
    /// Random starts beside the first. A proof makes them needless; without one they are insurance
    /// against a poor local best.
    pub starts: usize,
    /// Seed of the starts.
    pub seed: u64,
    /// Wall time for the whole.
    pub time: Option<Duration>,
    /// Whether to prove the answer over the whole feasible set, and to which relative gap.
    pub proof: Option<f64>,
    /// Most regions of a proof.
    pub nodes: usize,
    /// What is asked of the recipe beyond the problem.
    pub demand: Demand,
}

impl Default for Budget {
    fn default() -> Self {
        Budget {
            starts: 1,
            seed: 1,
            time: None,
            proof: Some(GAP),
            nodes: 200_000,
            demand: Demand::default(),
        }
    }
}

/// Relative gap at which a proof stops unless asked otherwise: a hundredth of a percent of the cost.
pub const GAP: f64 = 1e-4;

/// Relative gap at which a search with recipe logic stops when no proof is asked for.
pub const LOGIC_GAP: f64 = 0.01;

/// The cheapest recipe that meets every limit, or why there is none.
#[must_use]
pub fn cheapest(problem: &Problem, budget: &Budget) -> Answer {
    let answer = searched(problem, budget);
    if answer.status == Status::NoRecipe
        && let Property::Ratio(_, below) = problem.goal.property
        && possible_but_for_the_goal(problem, budget)
    {
        let words = format!(
            "there are recipes, but none holds 1 ppm of {}: the ratio that is asked for has no \
             value to be the best",
            below.name()
        );
        return undecided(&words, answer.effort);
    }
    answer
}

/// Whether there is a recipe when its goal is another: a ratio is a goal only where it has a value.
fn possible_but_for_the_goal(problem: &Problem, budget: &Budget) -> bool {
    let mut other = problem.clone();
    let Some(first) = problem.components.first() else {
        return false;
    };
    other.goal.property = Property::Treat(first.id.clone());
    searched(&other, budget).status != Status::NoRecipe
}

fn searched(problem: &Problem, budget: &Budget) -> Answer {
    let begun = Instant::now();
    let task = Task::with(problem, &budget.demand);
    let mut effort = Effort::default();
    if let Some(start) = possible::collision(problem, &task) {
        let conflict = conflict::of_collision(problem, start, &mut effort);
        return no_recipe(&conflict, effort);
    }
    effort.programs += 1;
    let first = match linear::solve(&exact_program(&task)) {
        Found::Best { x, .. } => x,
        Found::Empty(_) | Found::Unknown => {
            return match conflict::of_exact(problem, &task, &mut effort) {
                Some(conflict) => no_recipe(&conflict, effort),
                None => undecided(
                    "the limits that are exactly linear seem impossible, but no proof was found",
                    effort,
                ),
            };
        }
    };
    let found = local(&task, &first, budget, begun, &mut effort);
    let met = found.clone().filter(|p| p.missed <= refine::MET);
    // Recipe logic is decided by the tree even where no proof is asked for.
    let decided = task.logic.is_empty() && task.logic.grid.is_none();
    let Some(gap) = budget.proof.or((!decided).then_some(LOGIC_GAP)) else {
        return match met {
            Some(point) => local_answer(problem, &task, &point.x, effort),
            None => nothing_found(problem, &task, found.as_ref(), effort),
        };
    };
    let limits = Limits {
        gap,
        nodes: budget.nodes,
        time: budget.time.map(|t| t.saturating_sub(begun.elapsed())),
        first: false,
        least: task.least_gain().max(tree::LEAST_GAIN),
    };
    let outcome = grid::prove(&task, met, &limits);
    effort.programs += outcome.programs;
    effort.nodes = outcome.nodes;
    match &outcome.best {
        Some(point) if budget.proof.is_none() => {
            local_answer(problem, &task, &settled(&task, point).x, effort)
        }
        Some(point) => proved(
            problem,
            &task,
            &settled(&task, point),
            &outcome,
            gap,
            effort,
        ),
        None if outcome.complete => impossible(problem, budget, &limits, effort),
        None => {
            // An attempt off the balance's steps is none that could be poured.
            let attempt = found.as_ref().filter(|_| task.logic.grid.is_none());
            nothing_found(problem, &task, attempt, effort)
        }
    }
}

/// The best point near one that the proof came upon: a recipe within the gap may stand on no limit yet.
#[must_use]
pub fn settled(task: &Task, point: &Point) -> Point {
    if task.logic.grid.is_some() {
        return point.clone();
    }
    let here = local::decided(task.clone(), &local::used(task, &point.x));
    local::best(&here, &point.x)
        .filter(|better| better.goal < point.goal && task.logic.keeps(&better.x))
        .unwrap_or_else(|| point.clone())
}

/// The exact part with the goal's slope where the goal is linear.
#[must_use]
pub fn exact_program(task: &Task) -> Program {
    let mut program = task.exact.clone();
    if let task::Goal::Linear(weights) = &task.goal {
        program.cost.clone_from(weights);
    }
    program
}

/// The best local point over the first start and the random ones.
fn local(
    task: &Task,
    first: &[f64],
    budget: &Budget,
    begun: Instant,
    effort: &mut Effort,
) -> Option<Point> {
    let mut sequence = Sequence::new(budget.seed);
    let mut best: Option<Point> = None;
    for k in 0..=budget.starts {
        let enough =
            budget.proof.is_some() && best.as_ref().is_some_and(|b| b.missed <= refine::MET);
        if k > 0 && (enough || budget.time.is_some_and(|t| begun.elapsed() >= t)) {
            break;
        }
        let from = if k == 0 {
            Some(first.to_vec())
        } else {
            start::random(task, &mut sequence, &mut effort.programs)
        };
        let Some(from) = from else { continue };
        effort.starts += 1;
        if let Some(point) = refine::descend(task, &from, &mut effort.programs)
            && best.as_ref().is_none_or(|b| better(&point, b))
        {
            best = Some(point);
        }
    }
    best
}

fn better(a: &Point, b: &Point) -> bool {
    match (a.missed <= refine::MET, b.missed <= refine::MET) {
        (true, true) => a.goal < b.goal,
        (met, _) => met || (b.missed > refine::MET && a.missed < b.missed),
    }
}

/// A recipe and how far the proof came.
fn proved(
    problem: &Problem,
    task: &Task,
    point: &Point,
    outcome: &Outcome,
    asked: f64,
    effort: Effort,
) -> Answer {
    let mut answer = local_answer(problem, task, &point.x, effort);
    if answer.status != Status::Feasible || !outcome.bound.is_finite() {
        return answer;
    }
    let gap = gap(task, point, outcome);
    answer.proof.bound = Some(task.sign * outcome.bound);
    answer.proof.gap = Some(gap);
    if is_closed(outcome, gap, asked) {
        answer.status = Status::Optimal;
        answer.proof.kind = ProofKind::Certified;
        let more = by_more(gap);
        answer.proof.words =
            format!("no recipe on this shelf does better{more}, on these property models");
    } else {
        let more = by_more(gap);
        answer.proof.words =
            format!("the budget ended before the proof: no recipe does better{more}");
    }
    answer
}

/// Relative distance between a recipe and the bound that a proof came to.
#[must_use]
pub fn gap(task: &Task, point: &Point, outcome: &Outcome) -> f64 {
    let apart = (point.goal - outcome.bound).max(0.0);
    // A part of nothing is no measure.
    if apart <= task.least_gain().max(tree::LEAST_GAIN) * (1.0 + ROUNDING) {
        0.0
    } else {
        apart / point.goal.abs().max(f64::MIN_POSITIVE)
    }
}

/// Whether a proof came to its end, and within the gap that was asked for.
#[must_use]
pub fn is_closed(outcome: &Outcome, gap: f64, asked: f64) -> bool {
    outcome.complete && outcome.bound.is_finite() && gap <= asked * (1.0 + ROUNDING)
}

/// Room for the last digits of a gap.
const ROUNDING: f64 = 1e-9;

/// A gap in words: a percentage that is never rounded down, and nothing of none.
fn by_more(gap: f64) -> String {
    if gap <= 0.0 {
        return String::new();
    }
    let percent = gap * 100.0;
    let decimals = [2, 3, 4, 5, 6]
        .into_iter()
        .find(|d| percent >= 10f64.powi(-d))
        .unwrap_or(6);
    let unit = 10f64.powi(decimals);
    let shown = (percent * unit * (1.0 - ROUNDING)).ceil() / unit;
    let places = usize::try_from(decimals).unwrap_or(6);
    format!(" by more than {shown:.places$} %")
}

/// A point that nothing nearby betters, judged afresh as an answer.
#[must_use]
pub fn local_answer(problem: &Problem, task: &Task, x: &[f64], effort: Effort) -> Answer {
    let mut answer = empty(
        Status::Feasible,
        ProofKind::Local,
        "nothing better was found nearby; that no better recipe exists is not proved",
        effort,
    );
    attach(problem, task, x, &mut answer);
    if !answer.judgement.as_ref().is_some_and(Judgement::passes) {
        answer.status = Status::Undecided;
        answer.proof.kind = ProofKind::None;
        answer.proof.words =
            "the best recipe found fails a limit when judged afresh: see below".into();
    }
    answer
}

fn nothing_found(problem: &Problem, task: &Task, best: Option<&Point>, effort: Effort) -> Answer {
    let mut answer = undecided(
        "no recipe that meets every limit was found, and none was ruled out either",
        effort,
    );
    if let Some(point) = best {
        attach(problem, task, &point.x, &mut answer);
    }
    answer
}

/// Puts a recipe into an answer, judged afresh.
fn attach(problem: &Problem, task: &Task, x: &[f64], answer: &mut Answer) {
    let Some(recipe) = Recipe::new(problem, &task.shares(x)) else {
        return;
    };
    let judgement = judge::judge(problem, &recipe);
    answer.objective = judgement.of(&problem.goal.property).map(|p| p.value);
    answer.judgement = Some(judgement);
    answer.recipe = Some(recipe);
}

/// A problem that was proved impossible as a whole, with what in it collides.
fn impossible(problem: &Problem, budget: &Budget, limits: &Limits, mut effort: Effort) -> Answer {
    let steps = budget.demand.grid.is_some();
    let conflict = if steps {
        Conflict::default()
    } else {
        conflict::of_whole(problem, &budget.demand, limits, &mut effort)
    };
    let words = if steps {
        "no recipe of the balance's steps meets every limit: all of the shelf was searched, on these \
         property models"
    } else {
        "no recipe on this shelf meets every limit: all of it was searched, on these property models"
    };
    let maybe = "; some of what is named may not be needed for that, which was not settled";
    let words = if conflict.irreducible() {
        words.to_owned()
    } else {
        format!("{words}{maybe}")
    };
    let answer = empty(Status::NoRecipe, ProofKind::Certified, &words, effort);
    Answer {
        conflict: conflict.parties(),
        needed: conflict.needed(),
        ..answer
    }
}

/// A conflict of the exactly linear limits.
fn no_recipe(conflict: &Conflict, effort: Effort) -> Answer {
    let words = if conflict.exact {
        "these alone leave no recipe: the proof was checked by plain arithmetic"
    } else {
        "these alone leave no recipe, on these property models"
    };
    let answer = empty(Status::NoRecipe, ProofKind::Certified, words, effort);
    Answer {
        conflict: conflict.parties(),
        needed: conflict.needed(),
        ..answer
    }
}

fn undecided(words: &str, effort: Effort) -> Answer {
    empty(Status::Undecided, ProofKind::None, words, effort)
}

fn empty(status: Status, kind: ProofKind, words: &str, effort: Effort) -> Answer {
    Answer {
        status,
        proof: Proof {
            kind,
            bound: None,
            gap: None,
            words: words.into(),
        },
        recipe: None,
        objective: None,
        judgement: None,
        conflict: Vec::new(),
        needed: Vec::new(),
        warnings: Vec::new(),
        effort,
        alternatives: Vec::new(),
    }
}

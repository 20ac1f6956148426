//! `cheapest`: the whole search, from a problem to a judged answer.

use crate::declare::component::Edge;
use crate::declare::problem::Problem;
use crate::declare::problem::Rule;
use crate::declare::recipe::Recipe;
use crate::predict::judge;
use crate::predict::value::Judgement;
use crate::solve::answer::Answer;
use crate::solve::answer::Effort;
use crate::solve::answer::Party;
use crate::solve::answer::Proof;
use crate::solve::answer::ProofKind;
use crate::solve::answer::Status;
use crate::solve::backend;
use crate::solve::backend::Reply;
use crate::solve::conflict;
use crate::solve::dual;
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
    /// Random starts beside the first, as insurance against a poor local best.
    pub starts: usize,
    /// Seed of the starts.
    pub seed: u64,
    /// Wall time after which no further start is begun.
    pub time: Option<Duration>,
}

impl Default for Budget {
    fn default() -> Self {
        Budget {
            starts: 4,
            seed: 1,
            time: None,
        }
    }
}

/// The cheapest recipe that meets every limit, or why there is none.
#[must_use]
pub fn cheapest(problem: &Problem, budget: &Budget) -> Answer {
    let task = Task::new(problem);
    let mut effort = Effort::default();
    if let Some(index) = task.never.first() {
        return no_recipe(vec![task::limit_party(problem, *index)], effort);
    }
    effort.programs += 1;
    let first = match backend::best(&exact_program(&task)) {
        Reply::Best(x) => x,
        Reply::Empty | Reply::Failed => {
            return match conflict::of_exact(problem, &task, &mut effort) {
                Some(parties) => no_recipe(parties, effort),
                None => undecided(
                    "the limits that are exactly linear seem impossible, but no proof was found",
                    effort,
                ),
            };
        }
    };
    if let Some(rule) = logic(problem) {
        let words =
            format!("this problem uses the rule `{rule}`, which the search does not handle yet");
        return undecided(&words, effort);
    }
    if task.is_linear() {
        return linear(problem, &task, &first, effort);
    }
    let found = local(&task, &first, budget, &mut effort);
    match found {
        Some(point) if point.missed <= refine::MET => feasible(problem, &task, &point, effort),
        best => {
            let mut answer = undecided(
                "no recipe that meets every limit was found, and none was ruled out either",
                effort,
            );
            if let Some(point) = best {
                attach(problem, &task, &point.x, &mut answer);
            }
            answer
        }
    }
}

/// The exact part with the goal's slope where the goal is linear.
fn exact_program(task: &Task) -> crate::solve::program::Program {
    let mut program = task.exact.clone();
    if let task::Goal::Linear(weights) = &task.goal {
        program.cost.clone_from(weights);
    }
    program
}

/// The first rule of recipe logic that a problem uses.
fn logic(problem: &Problem) -> Option<&'static str> {
    let if_used = problem
        .bands
        .iter()
        .any(|b| b.max.share.fraction() > 0.0 && b.if_used.as_ref().is_some_and(binds));
    problem
        .rules
        .first()
        .map(Rule::key)
        .or(if_used.then_some("if-used"))
}

fn binds(edge: &Edge) -> bool {
    edge.share.fraction() > 0.0
}

/// The best local point over the first start and the random ones.
fn local(task: &Task, first: &[f64], budget: &Budget, effort: &mut Effort) -> Option<Point> {
    let begun = Instant::now();
    let mut sequence = Sequence::new(budget.seed);
    let mut best: Option<Point> = None;
    for k in 0..=budget.starts {
        if k > 0 && budget.time.is_some_and(|t| begun.elapsed() >= t) {
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

/// A problem with nothing curved: the linear program's multipliers prove its best point.
fn linear(problem: &Problem, task: &Task, x: &[f64], effort: Effort) -> Answer {
    let program = exact_program(task);
    let point = Point {
        x: x.to_vec(),
        goal: program.goal(x),
        missed: 0.0,
    };
    let mut answer = feasible(problem, task, &point, effort);
    if answer.status != Status::Feasible {
        return answer;
    }
    if let Some(y) = dual::of_best(&program, x) {
        let bound = program.bound(&program.cost, &y);
        let gap = (point.goal - bound).max(0.0) / dual::goal_size(&program, x);
        answer.status = Status::Optimal;
        answer.proof = Proof {
            kind: ProofKind::Certified,
            bound: Some(task.sign * bound),
            gap: Some(gap),
            words: "no recipe on this shelf does better: every limit is exactly linear, and the \
                    bound was checked by plain arithmetic"
                .into(),
        };
    }
    answer
}

fn feasible(problem: &Problem, task: &Task, point: &Point, effort: Effort) -> Answer {
    let mut answer = Answer {
        status: Status::Feasible,
        proof: Proof {
            kind: ProofKind::Local,
            bound: None,
            gap: None,
            words: "nothing better was found nearby; that no better recipe exists is not proved"
                .into(),
        },
        recipe: None,
        objective: None,
        judgement: None,
        conflict: Vec::new(),
        warnings: Vec::new(),
        effort,
    };
    attach(problem, task, &point.x, &mut answer);
    if !answer.judgement.as_ref().is_some_and(Judgement::passes) {
        answer.status = Status::Undecided;
        answer.proof.kind = ProofKind::None;
        answer.proof.words =
            "the best recipe found fails a limit when judged afresh: see below".into();
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

fn no_recipe(conflict: Vec<Party>, effort: Effort) -> Answer {
    Answer {
        status: Status::NoRecipe,
        proof: Proof {
            kind: ProofKind::Certified,
            bound: None,
            gap: None,
            words: "these alone leave no recipe: they are exactly linear, and the proof was \
                    checked by plain arithmetic"
                .into(),
        },
        recipe: None,
        objective: None,
        judgement: None,
        conflict,
        warnings: Vec::new(),
        effort,
    }
}

fn undecided(words: &str, effort: Effort) -> Answer {
    Answer {
        status: Status::Undecided,
        proof: Proof {
            kind: ProofKind::None,
            bound: None,
            gap: None,
            words: words.into(),
        },
        recipe: None,
        objective: None,
        judgement: None,
        conflict: Vec::new(),
        warnings: Vec::new(),
        effort,
    }
}

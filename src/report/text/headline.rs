//! The result in words: the first lines of an answer.

use crate::declare::problem::Problem;
use crate::declare::problem::Sense;
use crate::declare::property::Property;
use crate::predict::value::Judged;
use crate::predict::value::Judgement;
use crate::predict::value::Verdict;
use crate::report::number;
use crate::report::rules;
use crate::report::table;
use crate::report::words;
use crate::solve::answer::Answer;
use crate::solve::answer::ProofKind;
use crate::solve::answer::Status;

/// Relative distances below this are rounding, not something to tell.
const NO_GAP: f64 = 1e-9;

/// Distances from this on are no part of the value any more: the bound itself says more.
const WHOLE_GAP: f64 = 1.0;

/// A smaller distance is told as this one, a thousandth of a percent: nobody weighs out more.
const SMALLEST_GAP: f64 = 1e-5;

/// The result of a search.
#[must_use]
pub fn solve(problem: &Problem, answer: &Answer) -> String {
    let first = match (answer.outcome(), &answer.judgement) {
        (Status::NoRecipe, _) => "No recipe: what is asked for cannot all hold at once.".into(),
        (Status::Undecided, None) => {
            "Undecided: no recipe was found, and none was ruled out.".into()
        }
        (Status::Undecided, Some(judgement)) => attempt(problem, judgement),
        (status, judgement) => found(problem, answer, status, judgement.as_ref()),
    };
    // A refusal gives its reason first.
    let proof = match answer.outcome() {
        Status::NoRecipe => String::new(),
        _ => proof(problem, answer),
    };
    [first, proof, title(problem)]
        .iter()
        .filter(|line| !line.is_empty())
        .map(|line| table::paragraph(line))
        .collect()
}

/// How much is proved, in words.
#[must_use]
pub fn proof(problem: &Problem, answer: &Answer) -> String {
    bound(problem, answer).unwrap_or_else(|| words::sentence(&answer.proof.words))
}

/// The result of a prediction, with the chance that one laboratory's tests all pass where it was drawn: a
/// recipe that stands on its limits meets them, and still fails at the laboratory more often than not.
#[must_use]
pub fn predict(problem: &Problem, judgement: &Judgement, chance: Option<&str>) -> String {
    let failed = failed(problem, judgement);
    let tested = to_test(judgement);
    let first = match (failed.is_empty(), tested.is_empty(), chance) {
        (true, true, None) => "The recipe passes: it meets every limit.".into(),
        (true, false, None) => {
            format!("The recipe passes every limit that can be calculated{tested}.")
        }
        (false, _, None) => format!("The recipe fails: {}{tested}.", words::list(&failed)),
        (true, true, Some(chance)) => format!(
            "The recipe meets every limit as predicted; one laboratory's tests would pass all of them \
             {chance}."
        ),
        (true, false, Some(chance)) => format!(
            "The recipe meets every limit that can be calculated, as predicted; one laboratory's tests \
             of these would all pass {chance}{tested}."
        ),
        (false, _, Some(chance)) => format!(
            "The recipe fails as predicted: {}; one laboratory's tests would all pass \
             {chance}{tested}.",
            words::list(&failed)
        ),
    };
    [first, title(problem)]
        .iter()
        .filter(|line| !line.is_empty())
        .map(|line| table::paragraph(line))
        .collect()
}

/// What the oil is for.
#[must_use]
pub fn title(problem: &Problem) -> String {
    if problem.title.is_empty() {
        String::new()
    } else {
        format!("For: {}", problem.title)
    }
}

fn attempt(problem: &Problem, judgement: &Judgement) -> String {
    match failed(problem, judgement).as_slice() {
        [] => "Undecided: the recipe below is the best attempt so far.".into(),
        failed => format!(
            "Undecided: the recipe below is the best attempt so far, and it fails {}: not to be \
             blended as it stands.",
            words::list(failed)
        ),
    }
}

fn found(
    problem: &Problem,
    answer: &Answer,
    status: Status,
    judgement: Option<&Judgement>,
) -> String {
    let goal = &problem.goal.property;
    let costs = goal.is_money();
    let best = status == Status::Optimal;
    let subject = match (best, costs, problem.goal.sense) {
        (false, ..) => "A recipe".into(),
        (true, true, Sense::Minimise) => "The cheapest recipe".into(),
        (true, _, Sense::Minimise) => {
            format!("The recipe with the lowest {}", words::property(goal))
        }
        (true, _, Sense::Maximise) => {
            format!("The recipe with the highest {}", words::property(goal))
        }
    };
    let tested = judgement.map(to_test).unwrap_or_default();
    let nothing_asked = judgement.is_some_and(|j| j.requirements.is_empty() && j.rules.is_empty());
    let limits = match (nothing_asked, tested.is_empty()) {
        (true, _) => "",
        (false, true) => " that meets every limit",
        (false, false) => " that meets every limit that can be calculated",
    };
    let value = answer
        .objective
        .or_else(|| judgement.and_then(|j| j.of(goal)).map(|p| p.value))
        .map(|v| valued(problem, answer, v));
    let value = match value {
        None => String::new(),
        Some(value) if costs || best => format!(": {value}"),
        Some(value) => format!(": {} {value}", words::property(goal)),
    };
    format!("{subject}{limits}{value}{tested}.")
}

/// What is proved in numbers, where a distance to the best is known.
fn bound(problem: &Problem, answer: &Answer) -> Option<String> {
    let certified = match answer.outcome() {
        Status::Optimal => answer.proof.kind == ProofKind::Certified,
        Status::Feasible => false,
        Status::NoRecipe | Status::Undecided => return None,
    };
    let (bound, gap) = (answer.proof.bound?, answer.proof.gap?);
    let goal = &problem.goal.property;
    let named = words::property(goal);
    let better = match (goal, problem.goal.sense) {
        (Property::Cost | Property::CostPerLitre, Sense::Minimise) => "is cheaper".into(),
        (_, Sense::Minimise) => format!("has a lower {named}"),
        (_, Sense::Maximise) => format!("has a higher {named}"),
    };
    let claim = if gap < NO_GAP {
        String::new()
    } else {
        let limit = outermost(problem, bound, places(problem, answer)?);
        let side = match problem.goal.sense {
            Sense::Minimise => "below",
            Sense::Maximise => "above",
        };
        if gap < WHOLE_GAP {
            let gap = number::up_to_one_digit(gap.max(SMALLEST_GAP) * 100.0);
            format!(" by more than {gap} % (none lies {side} {limit})")
        } else {
            format!(" than {limit}")
        }
    };
    Some(if certified {
        format!("No recipe on this shelf {better}{claim}, on these property models.")
    } else {
        format!(
            "The proof is not finished: so far, no recipe on this shelf {better}{claim}, on these \
             property models."
        )
    })
}

/// A value of the goal, to the digits in which its bound is told.
#[must_use]
pub fn valued(problem: &Problem, answer: &Answer, value: f64) -> String {
    let goal = &problem.goal.property;
    let places = places(problem, answer).unwrap_or_else(|| number::places(goal, value));
    words::with_unit(&number::fixed(value, places), &problem.unit(goal))
}

/// Decimals at which the goal's value and its bound differ as printed; `None` without a bound.
fn places(problem: &Problem, answer: &Answer) -> Option<i32> {
    let (bound, gap, value) = (answer.proof.bound?, answer.proof.gap?, answer.objective?);
    let told = (value - bound).abs().max(SMALLEST_GAP * value.abs());
    (gap >= NO_GAP).then(|| number::places_to_tell(&problem.goal.property, value, told))
}

/// A bound rounded to the side that claims less.
fn outermost(problem: &Problem, bound: f64, places: i32) -> String {
    let goal = &problem.goal.property;
    let step = 10_f64.powi(-places);
    let claimed = match problem.goal.sense {
        Sense::Minimise => (bound / step).floor() * step,
        Sense::Maximise => (bound / step).ceil() * step,
    };
    words::with_unit(&number::fixed(claimed, places), &problem.unit(goal))
}

/// The requirements with a verdict, each named once.
fn named(judgement: &Judgement, verdict: Verdict) -> Vec<String> {
    let mut all: Vec<String> = Vec::new();
    for Judged { property, .. } in judgement
        .requirements
        .iter()
        .filter(|r| r.verdict == verdict)
    {
        let words = words::property(property);
        if !all.contains(&words) {
            all.push(words);
        }
    }
    all
}

/// What a recipe fails: limits and bands, then the rules of recipe logic.
fn failed(problem: &Problem, judgement: &Judgement) -> Vec<String> {
    let broken = judgement.rules.iter().filter(|r| !r.holds);
    let rules = broken.map(|r| format!("the rule \"{}\"", rules::says(problem, &r.rule)));
    named(judgement, Verdict::Fails)
        .into_iter()
        .chain(rules)
        .collect()
}

/// `; still to be tested: MRV at -35 °C`; empty where everything could be calculated.
#[must_use]
pub fn to_test(judgement: &Judgement) -> String {
    match named(judgement, Verdict::NotAssured).as_slice() {
        [] => String::new(),
        names => format!("; still to be tested: {}", words::list(names)),
    }
}

//! The result in words: the first lines of an answer.

use crate::declare::problem::Problem;
use crate::declare::problem::Sense;
use crate::declare::property::Property;
use crate::predict::value::Judged;
use crate::predict::value::Judgement;
use crate::predict::value::Verdict;
use crate::report::number;
use crate::report::table;
use crate::report::words;
use crate::solve::answer::Answer;
use crate::solve::answer::Status;

/// Relative distances below this are rounding, not something to tell.
const NO_GAP: f64 = 1e-9;

/// The result of a search.
#[must_use]
pub fn solve(problem: &Problem, answer: &Answer) -> String {
    let first = match (answer.outcome(), &answer.judgement) {
        (Status::NoRecipe, _) => "No recipe: what is asked for cannot all hold at once.".into(),
        (Status::Undecided, None) => {
            "Undecided: no recipe was found, and none was ruled out.".into()
        }
        (Status::Undecided, Some(judgement)) => attempt(judgement),
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
    let told = [words::sentence(&answer.proof.words), bound(problem, answer)];
    told.join(" ").trim().to_owned()
}

/// The result of a prediction.
#[must_use]
pub fn predict(problem: &Problem, judgement: &Judgement) -> String {
    let failed = named(judgement, Verdict::Fails);
    let tested = to_test(judgement);
    let first = match (failed.is_empty(), tested.is_empty()) {
        (true, true) => "The recipe passes: it meets every limit.".into(),
        (true, false) => format!("The recipe passes every limit that can be calculated{tested}."),
        (false, _) => format!("The recipe fails: {}{tested}.", words::list(&failed)),
    };
    [first, title(problem)]
        .iter()
        .filter(|line| !line.is_empty())
        .map(|line| table::paragraph(line))
        .collect()
}

fn title(problem: &Problem) -> String {
    if problem.title.is_empty() {
        String::new()
    } else {
        format!("For: {}", problem.title)
    }
}

fn attempt(judgement: &Judgement) -> String {
    match named(judgement, Verdict::Fails).as_slice() {
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
    let costs = matches!(goal, Property::Cost | Property::CostPerLitre);
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
    let limits = if tested.is_empty() {
        "every limit"
    } else {
        "every limit that can be calculated"
    };
    let value = answer
        .objective
        .or_else(|| judgement.and_then(|j| j.of(goal)).map(|p| p.value))
        .map(|v| words::with_unit(&number::value(goal, v), &problem.unit(goal)));
    let value = match value {
        None => String::new(),
        Some(value) if costs || best => format!(": {value}"),
        Some(value) => format!(": {} {value}", words::property(goal)),
    };
    format!("{subject} that meets {limits}{value}{tested}.")
}

/// What is proved in numbers, where a distance to the best is known.
fn bound(problem: &Problem, answer: &Answer) -> String {
    let solved = matches!(answer.outcome(), Status::Optimal | Status::Feasible);
    let (Some(bound), Some(gap), true) = (answer.proof.bound, answer.proof.gap, solved) else {
        return String::new();
    };
    if gap < NO_GAP {
        return String::new();
    }
    let goal = &problem.goal.property;
    let step = 10_f64.powi(-number::places(goal, bound));
    // Rounded to the side that claims less.
    let (claimed, side) = match problem.goal.sense {
        Sense::Minimise => ((bound / step).floor() * step, "below"),
        Sense::Maximise => ((bound / step).ceil() * step, "above"),
    };
    format!(
        "No recipe lies {side} {}, so this one is within {} % of the best there can be.",
        words::with_unit(&number::value(goal, claimed), &problem.unit(goal)),
        number::as_written((gap * 100_000.0).ceil() / 1000.0)
    )
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

fn to_test(judgement: &Judgement) -> String {
    match named(judgement, Verdict::NotAssured).as_slice() {
        [] => String::new(),
        names => format!("; still to be tested: {}", words::list(names)),
    }
}

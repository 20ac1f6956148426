//! `solve --confidence`: the best recipe that passes often enough.

use crate::cli::arguments;
use crate::cli::progress::Progress;
use crate::cli::refusal::Refusal;
use crate::declare::problem::Problem;
use crate::solve::answer::Answer;
use crate::solve::answer::Proof;
use crate::solve::answer::ProofKind;
use crate::solve::answer::Status;
use crate::solve::search::Budget;
use crate::study::confidence;
use crate::study::confidence::Confident;
use crate::study::confidence::Outcome;
use crate::study::wish::Wish;

/// Takes another balance than the problem's.
///
/// # Errors
/// Where there is no batch for the balance to weigh.
pub fn balance(problem: &mut Problem, kilograms: Option<f64>) -> Result<(), Refusal> {
    if kilograms.is_some() && problem.batch.is_none() {
        return Err(Refusal::Sentence(
            "`--balance` says how far each pour may be off, and the problem gives no `batch`: write \
             `batch = \"20 kg\"` there"
                .into(),
        ));
    }
    problem.balance = kilograms.or(problem.balance);
    Ok(())
}

/// What cannot be asked together with a confidence.
///
/// # Errors
/// A sentence where it is.
pub fn refused(asked: &arguments::Solve) -> Result<(), Refusal> {
    let what = if asked.alternatives > 0 {
        "`--alternatives`: each of them would need guards of its own"
    } else if asked.prices.is_some_and(|p| p != arguments::Prices::None) {
        "`--prices`: they are told of limits as stated, not of guarded ones"
    } else {
        return Ok(());
    };
    Err(Refusal::Sentence(format!(
        "`--confidence` does not go with {what}"
    )))
}

/// The best recipe that passes often enough.
#[must_use]
pub fn confident(
    problem: &Problem,
    asked: &arguments::Solve,
    probability: f64,
    budget: &Budget,
) -> Confident {
    let wish = Wish {
        confidence: probability,
        together: asked.together,
        draws: asked.draws,
        worth: true,
    };
    let _progress = Progress::begin("searching, with guards");
    confidence::confident(problem, wish, budget)
}

/// The answer that is told, and written as a recipe: none where nothing passes often enough.
#[must_use]
pub fn answer(confident: &Confident) -> Answer {
    match &confident.outcome {
        Outcome::Reached(held) => held.answer.clone(),
        Outcome::NotReached {
            refused: Some(refused),
            ..
        } => {
            let mut answer = refused.answer.clone();
            answer.status = confident.status();
            if answer.status != Status::NoRecipe {
                answer.proof.kind = ProofKind::None;
            }
            answer
        }
        Outcome::NotReached { refused: None, .. } => Answer {
            status: Status::Undecided,
            recipe: None,
            judgement: None,
            objective: None,
            proof: Proof {
                kind: ProofKind::None,
                bound: None,
                gap: None,
                words: "no recipe that passes so often was found, and none was ruled out".into(),
            },
            ..confident.plain.clone()
        },
        Outcome::NoRecipe => confident.plain.clone(),
    }
}

//! From a result to an exit code, in one place.

use crate::predict::value::Judgement;
use crate::solve::answer::Answer;
use crate::solve::answer::Status;
use crate::study::frontier;
use crate::study::reach::Outcome;
use std::process::ExitCode;

/// How a run ended.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Exit {
    /// The answer is yes: a recipe was found, or the recipe passes.
    Yes,
    /// The answer is no: no recipe exists, or the recipe fails a limit.
    No,
    /// The question could not be read.
    Unread,
    /// Work ended before an answer.
    Unfinished,
    /// A bug of this program.
    Bug,
}

impl Exit {
    /// The number that the shell sees.
    #[must_use]
    pub fn number(self) -> u8 {
        match self {
            Exit::Yes => 0,
            Exit::No => 1,
            Exit::Unread => 2,
            Exit::Unfinished => 3,
            Exit::Bug => 70,
        }
    }

    /// How `solve` ends.
    #[must_use]
    pub fn of_answer(answer: &Answer) -> Self {
        match answer.outcome() {
            Status::Optimal | Status::Feasible => Exit::Yes,
            Status::NoRecipe => Exit::No,
            Status::Undecided => Exit::Unfinished,
        }
    }

    /// How `reach` ends.
    #[must_use]
    pub fn of_reach(outcome: Outcome) -> Self {
        match outcome {
            Outcome::Reached => Exit::Yes,
            Outcome::NotReached => Exit::No,
            Outcome::Undecided => Exit::Unfinished,
        }
    }

    /// How `frontier` ends.
    #[must_use]
    pub fn of_frontier(found: &frontier::Outcome) -> Self {
        match found {
            frontier::Outcome::None(refused) if refused.none() => Exit::No,
            frontier::Outcome::None(_) => Exit::Unfinished,
            frontier::Outcome::One(_) | frontier::Outcome::Curve(_) => Exit::Yes,
        }
    }

    /// How `predict` ends.
    #[must_use]
    pub fn of_judgement(judgement: &Judgement) -> Self {
        if judgement.passes() {
            Exit::Yes
        } else {
            Exit::No
        }
    }
}

impl From<Exit> for ExitCode {
    fn from(exit: Exit) -> Self {
        ExitCode::from(exit.number())
    }
}

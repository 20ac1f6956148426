//! What did a moved specification or shelf change, and which change did it?

use crate::cli::arguments;
use crate::cli::arguments::Format;
use crate::cli::exit::Exit;
use crate::cli::input;
use crate::cli::output;
use crate::cli::progress::Progress;
use crate::cli::refusal::Refusal;
use crate::report::json;
use crate::report::text;
use crate::solve::search::Budget;
use crate::study::compare;

/// Answers the question.
///
/// # Errors
/// Where a problem cannot be read, or the answer not be written.
pub fn run(asked: &arguments::Compare) -> Result<Exit, Refusal> {
    if input::both_stdin(&asked.problem, &asked.other) {
        return Err(Refusal::Sentence(
            "the two problems cannot both be read from standard input".into(),
        ));
    }
    let mut old = input::problem(&asked.problem)?;
    let mut new = input::problem(&asked.other)?;
    if let Some(kilograms) = asked.batch {
        old.take_batch(kilograms);
        new.take_batch(kilograms);
    }
    let budget = Budget {
        time: asked.time_limit,
        ..Budget::default()
    };
    let progress = Progress::begin("searching");
    let found = compare::compare(&old, &new, &budget);
    drop(progress);
    let words = match asked.format {
        Format::Text => text::compare::compare(&found, &[]),
        Format::Json => json::compare::compare(&found, &[])
            .map_err(|error| Refusal::Sentence(format!("the answer is not JSON: {error}")))?,
    };
    output::answer(&words)?;
    Ok(Exit::of_answer(&found.new.answer))
}

//! Why is there no recipe, and what is the least that would have to give?

use crate::cli::arguments;
use crate::cli::arguments::Format;
use crate::cli::exit::Exit;
use crate::cli::input;
use crate::cli::output;
use crate::cli::progress::Progress;
use crate::cli::refusal::Refusal;
use crate::explain::conflict;
use crate::explain::conflict::Asked;
use crate::report::json;
use crate::report::text;

/// Answers the question.
///
/// # Errors
/// Where the problem cannot be read, or the answer not be written.
pub fn run(asked: &arguments::Conflict) -> Result<Exit, Refusal> {
    let problem = input::problem(&asked.problem)?;
    let progress = Progress::begin("searching");
    let explained = conflict::explain(
        &problem,
        &Asked {
            sets: asked.sets,
            time: asked.time_limit,
        },
    );
    drop(progress);
    let words = match asked.format {
        Format::Text => text::refusal::conflict(&problem, &explained),
        Format::Json => json::conflict::conflict(&problem, &explained)
            .map_err(|error| Refusal::Sentence(format!("the answer is not JSON: {error}")))?,
    };
    output::answer(&words)?;
    Ok(Exit::of_answer(&explained.answer))
}

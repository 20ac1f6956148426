//! How much of this component does this limit take, and what does it cost?

use crate::cli::arguments;
use crate::cli::arguments::Format;
use crate::cli::exit::Exit;
use crate::cli::input;
use crate::cli::output;
use crate::cli::progress::Progress;
use crate::cli::refusal::Refusal;
use crate::declare::problem::Side;
use crate::declare::read::named;
use crate::report::json;
use crate::report::text;
use crate::solve::search::Budget;
use crate::study::reach;

/// Answers the question.
///
/// # Errors
/// Where the problem cannot be read, names no such property or component, or the answer cannot be
/// written.
pub fn run(asked: &arguments::Reach) -> Result<Exit, Refusal> {
    let mut problem = input::problem(&asked.problem)?;
    let property = named::property(&problem, &asked.property).map_err(Refusal::Sentence)?;
    let component = named::component(&problem, &asked.with).map_err(Refusal::Sentence)?;
    if let Some(kilograms) = asked.batch {
        problem.take_batch(kilograms);
    }
    let bound = asked
        .at_least
        .map(|bound| (Side::Min, bound))
        .or(asked.at_most.map(|bound| (Side::Max, bound)));
    let target = reach::target(&problem, &property, component, bound)
        .map_err(|unable| Refusal::Sentence(text::reach::unable(&property, &unable)))?;
    let budget = Budget {
        time: asked.time_limit,
        ..Budget::default()
    };
    let progress = Progress::begin("searching");
    let answer = reach::reach(&problem, target, component, &budget);
    drop(progress);
    let words = match asked.format {
        Format::Text => text::reach::reach(&answer, &[]),
        Format::Json => json::reach::reach(&answer, &[])
            .map_err(|error| Refusal::Sentence(format!("the answer is not JSON: {error}")))?,
    };
    output::answer(&words)?;
    Ok(Exit::of_reach(answer.outcome()))
}

//! What will this recipe measure, limit by limit?

use crate::cli::arguments;
use crate::cli::arguments::Format;
use crate::cli::exit::Exit;
use crate::cli::input;
use crate::cli::output;
use crate::cli::refusal::Refusal;
use crate::predict::judge;
use crate::report::json;
use crate::report::text;

/// Answers the question.
///
/// # Errors
/// Where a file cannot be read, or the answer not be written.
pub fn run(asked: &arguments::Predict) -> Result<Exit, Refusal> {
    if input::both_stdin(&asked.problem, &asked.recipe) {
        return Err(Refusal::Sentence(
            "problem and recipe cannot both be read from standard input".into(),
        ));
    }
    let problem = input::problem(&asked.problem)?;
    let recipe = input::recipe(&problem, &asked.recipe)?;
    let judgement = judge::judge(&problem, &recipe);
    let words = match asked.format {
        Format::Text => text::answer::predict(&problem, &recipe, &judgement),
        Format::Json => json::answer::predict(&problem, &recipe, &judgement)
            .map_err(|error| Refusal::Sentence(format!("the answer is not JSON: {error}")))?,
    };
    output::answer(&words)?;
    Ok(Exit::of_judgement(&judgement))
}

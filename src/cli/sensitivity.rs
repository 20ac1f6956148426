//! What do small moves do to the goal, limit by limit and price by price?

use crate::cli::arguments;
use crate::cli::arguments::Listing;
use crate::cli::exit::Exit;
use crate::cli::input;
use crate::cli::output;
use crate::cli::progress::Progress;
use crate::cli::refusal::Refusal;
use crate::report::csv;
use crate::report::json;
use crate::report::text;
use crate::solve::search::Budget;
use crate::study::sensitivity;

/// Answers the question.
///
/// # Errors
/// Where the problem cannot be read, or the answer not be written.
pub fn run(asked: &arguments::Sweep) -> Result<Exit, Refusal> {
    let problem = input::problem(&asked.problem)?;
    let budget = Budget {
        time: asked.time_limit,
        ..Budget::default()
    };
    let progress = Progress::begin("searching");
    let mut all = Vec::new();
    if asked.every_limit {
        all.push(sensitivity::limits(&problem, &budget));
    }
    if asked.every_price {
        all.push(sensitivity::prices(&problem, asked.by, &budget));
    }
    drop(progress);
    let words = match asked.format {
        Listing::Text => text::sensitivity::sensitivity(&all),
        Listing::Csv => csv::sensitivity::sensitivity(&all),
        Listing::Json => json::sensitivity::sensitivity(&all)
            .map_err(|error| Refusal::Sentence(format!("the answer is not JSON: {error}")))?,
    };
    output::answer(&words)?;
    let ended = all.first().map(|s| Exit::of_answer(&s.base.answer));
    Ok(ended.unwrap_or(Exit::Unfinished))
}

//! What does one property cost in another?

use crate::cli::arguments;
use crate::cli::arguments::Listing;
use crate::cli::exit::Exit;
use crate::cli::input;
use crate::cli::output;
use crate::cli::picture;
use crate::cli::progress::Progress;
use crate::cli::refusal::Refusal;
use crate::declare::read::named;
use crate::report::csv;
use crate::report::drawn;
use crate::report::json;
use crate::report::text;
use crate::solve::search::Budget;
use crate::study::frontier;
use crate::study::frontier::aim;

/// Answers the question.
///
/// # Errors
/// Where the problem cannot be read, names no such properties, or the answer cannot be written.
pub fn run(asked: &arguments::Frontier) -> Result<Exit, Refusal> {
    picture::named(asked.picture.as_deref())?;
    let problem = input::problem(&asked.problem)?;
    let [first, second] = &asked.between;
    let named = |key: &str| named::aim(&problem, key).map_err(Refusal::Sentence);
    let aims = aim::aims(&problem, [named(first)?, named(second)?])
        .map_err(|unable| Refusal::Sentence(text::frontier::unable(&unable)))?;
    let budget = Budget {
        time: asked.time_limit,
        ..Budget::default()
    };
    let progress = Progress::begin("searching");
    let found = frontier::frontier(&problem, aims, asked.points, &budget);
    drop(progress);
    let words = match asked.format {
        Listing::Text => text::frontier::frontier(&found),
        Listing::Csv => csv::frontier::frontier(&found),
        Listing::Json => json::frontier::frontier(&found)
            .map_err(|error| Refusal::Sentence(format!("the answer is not JSON: {error}")))?,
    };
    output::answer(&words)?;
    let drawn = drawn::frontier::frontier(&found);
    if asked.format == Listing::Text {
        picture::show(drawn.as_ref())?;
    }
    picture::write(asked.picture.as_deref(), drawn.as_ref())?;
    Ok(Exit::of_frontier(&found.outcome))
}

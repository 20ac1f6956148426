//! What do small moves do to the goal, limit by limit and price by price?

use crate::cli::arguments;
use crate::cli::arguments::SweepFormat;
use crate::cli::exit::Exit;
use crate::cli::input;
use crate::cli::output;
use crate::cli::picture;
use crate::cli::progress::Progress;
use crate::cli::refusal::Refusal;
use crate::report::csv;
use crate::report::drawn;
use crate::report::json;
use crate::report::text;
use crate::solve::search::Budget;
use crate::study::sensitivity;

/// What goes with `--vary` alone.
const NO_LINES: &str = "`--every-limit` and `--every-price` are answered at once: print them as text, csv or \
                        json, without `--to`, `--resume` and `--shard`";

/// A file holds one picture.
const ONE_PICTURE: &str =
    "`--picture` holds one tornado: take `--every-limit` or `--every-price`, or a file for each";

/// Answers the question.
///
/// # Errors
/// Where the problem cannot be read, or the answer not be written.
pub fn run(asked: &arguments::Sweep) -> Result<Exit, Refusal> {
    let format = asked.format.unwrap_or(SweepFormat::Text);
    let lines = asked.to.is_some() || asked.shard.is_some() || asked.resume;
    if lines || format == SweepFormat::Jsonl {
        return Err(Refusal::Sentence(NO_LINES.into()));
    }
    picture::named(asked.picture.as_deref())?;
    if asked.picture.is_some() && asked.every_limit && asked.every_price {
        return Err(Refusal::Sentence(ONE_PICTURE.into()));
    }
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
    let words = match format {
        SweepFormat::Jsonl => return Err(Refusal::Sentence(NO_LINES.into())),
        SweepFormat::Text => text::sensitivity::sensitivity(&all),
        SweepFormat::Csv => csv::sensitivity::sensitivity(&all),
        SweepFormat::Json => json::sensitivity::sensitivity(&all)
            .map_err(|error| Refusal::Sentence(format!("the answer is not JSON: {error}")))?,
    };
    output::answer(&words)?;
    for study in &all {
        let drawn = drawn::tornado::sensitivity(study);
        if format == SweepFormat::Text {
            picture::show(drawn.as_ref())?;
        }
        picture::write(asked.picture.as_deref(), drawn.as_ref())?;
    }
    let ended = all.first().map(|s| Exit::of_answer(&s.base.answer));
    Ok(ended.unwrap_or(Exit::Unfinished))
}

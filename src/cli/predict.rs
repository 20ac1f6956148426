//! What will this recipe measure, limit by limit?

use crate::cli::arguments;
use crate::cli::arguments::Format;
use crate::cli::confidence;
use crate::cli::contributions;
use crate::cli::exit::Exit;
use crate::cli::input;
use crate::cli::output;
use crate::cli::picture;
use crate::cli::refusal::Refusal;
use crate::explain::contribution;
use crate::predict::cause::Causes;
use crate::predict::chance;
use crate::predict::judge;
use crate::report::beside::Beside;
use crate::report::drawn;
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
    picture::named(asked.picture.as_deref())?;
    let mut problem = input::problem(&asked.problem)?;
    confidence::balance(&mut problem, asked.balance)?;
    let recipe = input::recipe(&problem, &asked.recipe)?;
    let traced = contributions::asked(&problem, asked.contributions.as_deref())?;
    let mut judgement = judge::judge(&problem, &recipe);
    let chances = asked.confidence.map(|wanted| {
        let causes = Causes::of(&problem, &recipe);
        let drawn = chance::chances(&problem, &judgement, &causes, asked.draws);
        chance::tell(&mut judgement, &drawn);
        (drawn, wanted)
    });
    let origins = traced.map(|t| contribution::of(&problem, &recipe, &t));
    let beside = Beside {
        origins: origins.as_ref(),
        chances: chances.as_ref().map(|(drawn, wanted)| (drawn, *wanted)),
        ..Beside::default()
    };
    let words = match asked.format {
        Format::Text => text::answer::predict_with(&problem, &recipe, &judgement, beside),
        Format::Json => json::answer::predict_with(&problem, &recipe, &judgement, beside)
            .map_err(|error| Refusal::Sentence(format!("the answer is not JSON: {error}")))?,
    };
    output::answer(&words)?;
    let drawn = chances
        .as_ref()
        .and_then(|(chances, _)| drawn::chances::chances(&problem, chances));
    if asked.format == Format::Text {
        picture::show(drawn.as_ref())?;
    }
    picture::write(asked.picture.as_deref(), drawn.as_ref())?;
    Ok(match &chances {
        Some((drawn, wanted)) => Exit::of_chances(&judgement, drawn, *wanted),
        None => Exit::of_judgement(&judgement),
    })
}

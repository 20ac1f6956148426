//! What is the cheapest recipe that meets every limit?

use crate::cli::arguments;
use crate::cli::arguments::Format;
use crate::cli::arguments::Prices;
use crate::cli::confidence;
use crate::cli::contributions;
use crate::cli::destination;
use crate::cli::exit::Exit;
use crate::cli::input;
use crate::cli::output;
use crate::cli::picture;
use crate::cli::progress::Progress;
use crate::cli::refusal::Refusal;
use crate::declare::problem::Problem;
use crate::explain::contribution;
use crate::explain::why;
use crate::explain::why::Why;
use crate::quantity::Share;
use crate::report::beside::Beside;
use crate::report::drawn;
use crate::report::json;
use crate::report::number;
use crate::report::recipe_file;
use crate::report::text;
use crate::solve::alternatives;
use crate::solve::answer::Answer;
use crate::solve::logic::Demand;
use crate::solve::search::Budget;
use std::fs::File;
use std::io;
use std::io::Read;
use std::path::Path;
use std::time::Instant;

/// A part of a treat rate that is a rounding.
const ON_STEP: f64 = 1e-9;

/// Steps to offer where one is too coarse, mass %.
const FINER: [f64; 5] = [0.5, 0.1, 0.05, 0.01, 0.001];

/// Answers the question.
///
/// # Errors
/// Where the problem cannot be read, or the answer not be written.
pub fn run(asked: &arguments::Solve) -> Result<Exit, Refusal> {
    if let Some(path) = &asked.write_recipe {
        spare(path)?;
        if asked.picture.as_ref() == Some(path) {
            return Err(Refusal::Sentence(format!(
                "`{}` cannot hold both the picture and the recipe: name a file for each",
                path.display()
            )));
        }
    }
    picture::named(asked.picture.as_deref())?;
    let mut problem = input::problem(&asked.problem)?;
    if asked.confidence.is_some() {
        confidence::refused(asked)?;
    }
    if let Some(kilograms) = asked.batch {
        problem.take_batch(kilograms);
    }
    confidence::balance(&mut problem, asked.balance)?;
    poured(&problem, asked.resolution)?;
    let traced = contributions::asked(&problem, asked.contributions.as_deref())?;
    let confident = asked
        .confidence
        .map(|c| confidence::confident(&problem, asked, c, &budget(asked)));
    let answer = match &confident {
        Some(confident) => confidence::answer(confident),
        None => search(&problem, asked),
    };
    let origins = traced
        .zip(answer.recipe.as_ref())
        .map(|(traced, recipe)| contribution::of(&problem, recipe, &traced));
    let why = why(&problem, &answer, asked);
    let beside = Beside {
        why: why.as_ref(),
        origins: origins.as_ref(),
        confident: confident.as_ref(),
        ..Beside::default()
    };
    output::answer(&words(&problem, &answer, beside, asked.format)?)?;
    let drawn = confident
        .as_ref()
        .and_then(|found| drawn::chances::confident(&problem, found));
    if asked.format == Format::Text {
        picture::show(drawn.as_ref())?;
    }
    picture::write(asked.picture.as_deref(), drawn.as_ref())?;
    if let Some(path) = &asked.write_recipe {
        write_recipe(path, &problem, &answer)?;
    }
    Ok(confident
        .as_ref()
        .map_or_else(|| Exit::of_answer(&answer), Exit::of_confident))
}

/// Whether every treat rate that must be used holds a step of the balance.
///
/// # Errors
/// A sentence that names the first which does not.
fn poured(problem: &Problem, resolution: Option<f64>) -> Result<(), Refusal> {
    let Some(step) = resolution else {
        return Ok(());
    };
    let Some(j) = off_steps(problem, step) else {
        return Ok(());
    };
    let band = &problem.bands[j];
    let [least, most] = [&band.min, &band.max].map(|edge| number::as_written(edge.share.percent()));
    let rate = if least == most {
        format!("{least} %")
    } else {
        format!("{least} to {most} %")
    };
    let finer = FINER
        .into_iter()
        .find(|f| *f < step && off_steps(problem, *f).is_none());
    let finer = finer.map_or_else(String::new, |f| format!(", such as `--resolution {f}`"));
    Err(Refusal::Sentence(format!(
        "`{}` must be {rate}, where `--resolution {}` has no step: give a finer one{finer}, or another treat rate",
        problem.components[j].id,
        number::as_written(step),
    )))
}

/// The first component with no multiple of a step within its treat band.
fn off_steps(problem: &Problem, step: f64) -> Option<usize> {
    let no_step = |least: f64, most: f64| {
        let first = (least / step * (1.0 - ON_STEP)).ceil();
        first * step > most * (1.0 + ON_STEP)
    };
    let mut bands = problem.bands.iter();
    bands.position(|b| no_step(b.min.share.percent(), b.max.share.percent()))
}

fn budget(asked: &arguments::Solve) -> Budget {
    let usual = Budget::default();
    Budget {
        starts: asked.starts.unwrap_or(usual.starts),
        time: asked.time_limit.or(usual.time),
        proof: (!asked.no_proof).then_some(asked.gap),
        nodes: asked.cases,
        demand: Demand {
            grid: asked.resolution.map(Share::from_percent),
            ..Demand::default()
        },
        ..usual
    }
}

fn search(problem: &Problem, asked: &arguments::Solve) -> Answer {
    let budget = budget(asked);
    let begun = Instant::now();
    let progress = Progress::begin("searching");
    let answer = alternatives::cheapest_and_next(problem, &budget, asked.alternatives);
    drop(progress);
    if asked.verbose {
        let work = answer.effort;
        output::remark(&format!(
            "{} starting points, {} rounds of calculation, {} cases for the proof, {:.2} s",
            work.starts,
            work.programs,
            work.nodes,
            begun.elapsed().as_secs_f64()
        ));
    }
    answer
}

/// The reasons behind a recipe; none on a balance's grid, or where time is short.
fn why(problem: &Problem, answer: &Answer, asked: &arguments::Solve) -> Option<Why> {
    let usual = if asked.time_limit.is_some() {
        Prices::None
    } else {
        Prices::Limits
    };
    let prices = asked.prices.unwrap_or(usual);
    if asked.resolution.is_some() && asked.prices.is_some_and(|p| p != Prices::None) {
        output::remark("no prices: a recipe on the balance's steps stands on no limit");
    }
    if prices == Prices::None || asked.confidence.is_some() || asked.resolution.is_some() {
        return None;
    }
    let _progress = Progress::begin("weighing the limits");
    why::of(problem, answer, prices == Prices::Shelf)
}

fn words(
    problem: &Problem,
    answer: &Answer,
    beside: Beside,
    format: Format,
) -> Result<String, Refusal> {
    match format {
        Format::Text => Ok(text::answer::solve_with(problem, answer, beside)),
        Format::Json => json::answer::solve_with(problem, answer, beside)
            .map_err(|error| Refusal::Sentence(format!("the answer is not JSON: {error}"))),
    }
}

/// Bytes read of a file to tell whether it is a recipe: what is longer is none.
const LONGEST: u64 = 4 << 20;

/// Refuses to write a recipe over a file that is something else, or more: a shelf, the problem itself, a
/// laboratory's report.
fn spare(path: &Path) -> Result<(), Refusal> {
    destination::ready(path)?;
    let mut bytes = Vec::new();
    let read = File::open(path).and_then(|f| f.take(LONGEST).read_to_end(&mut bytes));
    match read {
        Err(error) if error.kind() == io::ErrorKind::NotFound => Ok(()),
        Ok(_) if str::from_utf8(&bytes).is_ok_and(recipe_file::is_one) => Ok(()),
        _ => Err(Refusal::Sentence(format!(
            "`{}` is there already and is no recipe alone: name another file for `--write-recipe`, or remove it first",
            path.display()
        ))),
    }
}

/// Writes the recipe only where it meets every limit: a file does not carry the words beside it.
fn write_recipe(path: &Path, problem: &Problem, answer: &Answer) -> Result<(), Refusal> {
    let meets = Exit::of_answer(answer) == Exit::Yes;
    let Some(recipe) = answer.recipe.as_ref().filter(|_| meets) else {
        output::remark("no recipe file was written: there is no recipe that meets every limit");
        return Ok(());
    };
    // Something else may have come to be there meanwhile.
    spare(path)?;
    recipe_file::write(path, problem, recipe).map_err(|error| {
        let place = path.display();
        Refusal::of_system(format!("the recipe cannot be written to `{place}`"), &error)
    })
}

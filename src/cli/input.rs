//! Reading the question: from a path, or from standard input for `-`.

use crate::cli::refusal::Refusal;
use crate::declare::problem::Problem;
use crate::declare::read;
use crate::declare::recipe::Recipe;
use crate::fault::Sources;
use std::io;
use std::io::Read;
use std::path::Path;

/// The path that stands for standard input.
const STDIN: &str = "-";

/// The name under which faults in standard input are printed.
const STDIN_NAME: &str = "standard input";

/// The longest text taken from standard input, bytes: far above any problem written by hand.
const LONGEST: u64 = 16 << 20;

/// Reads a problem; shelves named by one from standard input are looked for in the current folder.
///
/// # Errors
/// Every fault of the files, or standard input that is no text.
pub fn problem(path: &Path) -> Result<Problem, Refusal> {
    problem_with_sources(path).map(|(problem, _)| problem)
}

/// The same, with the texts that it was read from.
///
/// # Errors
/// As for [`problem`].
pub fn problem_with_sources(path: &Path) -> Result<(Problem, Sources), Refusal> {
    let read = if path == Path::new(STDIN) {
        read::problem_from_text(STDIN_NAME, &stdin()?, Path::new("."))?
    } else {
        read::problem(path)?
    };
    Ok(read)
}

/// Reads a recipe for a problem.
///
/// # Errors
/// Every fault of the file, or standard input that is no text.
pub fn recipe(problem: &Problem, path: &Path) -> Result<Recipe, Refusal> {
    let recipe = if path == Path::new(STDIN) {
        read::recipe_from_text(problem, STDIN_NAME, &stdin()?)?
    } else {
        read::recipe(problem, path)?
    };
    Ok(recipe)
}

/// Whether two paths both ask for standard input, which can be read only once.
#[must_use]
pub fn both_stdin(a: &Path, b: &Path) -> bool {
    a == Path::new(STDIN) && b == Path::new(STDIN)
}

fn stdin() -> Result<String, Refusal> {
    let mut text = String::new();
    io::stdin()
        .lock()
        .take(LONGEST + 1)
        .read_to_string(&mut text)
        .map_err(|error| Refusal::of_system("standard input cannot be read", &error))?;
    if u64::try_from(text.len()).is_ok_and(|length| length > LONGEST) {
        return Err(Refusal::Sentence(format!(
            "standard input is longer than {} MiB",
            LONGEST >> 20
        )));
    }
    Ok(text)
}

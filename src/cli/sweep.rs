//! What do moved numbers of a problem do?

use crate::cli::arguments;
use crate::cli::exit::Exit;
use crate::cli::refusal::Refusal;
use crate::cli::sensitivity;

/// Answers the question.
///
/// # Errors
/// Where the problem cannot be read, or the answer not be written.
pub fn run(asked: &arguments::Sweep) -> Result<Exit, Refusal> {
    sensitivity::run(asked)
}

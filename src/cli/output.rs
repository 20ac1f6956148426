//! Where words go: answers to standard output, all else to standard error.

use crate::cli::refusal::Refusal;
use crate::report::faults;
use console::Term;
use std::env;
use std::io;
use std::io::IsTerminal;
use std::io::Write;

/// Writes an answer. A reader that has gone away (`| head`) is no failure.
///
/// # Errors
/// Where standard output cannot be written for another reason, such as a full disk.
pub fn answer(text: &str) -> Result<(), Refusal> {
    stream(text).map(|_| ())
}

/// Writes a part of an answer; whether anybody still reads.
///
/// # Errors
/// As for [`answer`].
pub fn stream(text: &str) -> Result<bool, Refusal> {
    let mut out = io::stdout().lock();
    match out.write_all(text.as_bytes()).and_then(|()| out.flush()) {
        Ok(()) => Ok(true),
        Err(error) if error.kind() == io::ErrorKind::BrokenPipe => Ok(false),
        Err(error) => Err(Refusal::of_system("the answer cannot be written", &error)),
    }
}

/// Writes a remark for the person watching.
pub fn remark(text: &str) {
    to_stderr(&format!("{text}\n"));
}

/// Writes why nothing was answered.
pub fn refusal(refusal: &Refusal) {
    match refusal {
        Refusal::Files(faults) => {
            let text = faults::render(faults, coloured());
            to_stderr(&format!("{}\n", text.trim_end()));
        }
        Refusal::Sentence(sentence) => to_stderr(&format!("error: {sentence}\n")),
    }
}

/// Whether a person is watching standard error.
#[must_use]
pub fn watched() -> bool {
    io::stderr().is_terminal()
}

/// Whether a person reads standard output itself, not a file or another program.
#[must_use]
pub fn read_by_a_person() -> bool {
    io::stdout().is_terminal()
}

/// Characters across the terminal of standard output, where it is one and tells.
#[must_use]
pub fn width() -> Option<usize> {
    let (_, columns) = Term::stdout().size_checked()?;
    Some(usize::from(columns)).filter(|_| read_by_a_person())
}

/// Whether to colour standard error: a person is watching and has not asked for none
/// (<https://no-color.org>).
#[must_use]
fn coloured() -> bool {
    let refused = env::var_os("NO_COLOR").is_some_and(|value| !value.is_empty());
    let dumb = env::var_os("TERM").is_some_and(|term| term == "dumb");
    watched() && !refused && !dumb
}

fn to_stderr(text: &str) {
    // Where standard error is closed there is nobody left to tell.
    drop(io::stderr().lock().write_all(text.as_bytes()));
}

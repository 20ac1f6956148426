//! Why nothing was answered.

use crate::fault::Faults;
use std::fmt;
use std::io;

/// A question that could not be read, or an answer that could not be written.
#[derive(Debug)]
pub enum Refusal {
    /// What is wrong in the files.
    Files(Faults),
    /// What is wrong around them, as a lower-case phrase.
    Sentence(String),
}

impl Refusal {
    /// A failure of the system, with what was being done.
    #[must_use]
    pub fn of_system(doing: impl fmt::Display, error: &io::Error) -> Self {
        Refusal::Sentence(format!("{doing}: {error}"))
    }
}

impl From<Faults> for Refusal {
    fn from(faults: Faults) -> Self {
        Refusal::Files(faults)
    }
}

//! Warnings from two stages, told once.

use crate::predict::value::Judgement;
use crate::predict::value::Warning;

/// The warnings of an answer and of its judgement, each once.
#[must_use]
pub fn together(own: &[Warning], judgement: Option<&Judgement>) -> Vec<Warning> {
    let mut all: Vec<Warning> = Vec::new();
    for warning in own.iter().chain(judgement.iter().flat_map(|j| &j.warnings)) {
        if !all.contains(warning) {
            all.push(warning.clone());
        }
    }
    all
}

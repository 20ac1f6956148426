//! From arguments to an exit code.

use crate::cli::arguments::Arguments;
use crate::cli::arguments::Verb;
use crate::cli::compare;
use crate::cli::conflict;
use crate::cli::crash;
use crate::cli::exit::Exit;
use crate::cli::frontier;
use crate::cli::output;
use crate::cli::predict;
use crate::cli::reach;
use crate::cli::solve;
use crate::cli::sweep;
use clap::Parser;
use std::ffi::OsString;
use std::panic::AssertUnwindSafe;
use std::process::ExitCode;

/// Runs the program.
#[must_use]
pub fn run(arguments: impl Iterator<Item = OsString>) -> ExitCode {
    crash::guarded(AssertUnwindSafe(|| answer(arguments))).into()
}

fn answer(arguments: impl Iterator<Item = OsString>) -> Exit {
    let asked = match Arguments::try_parse_from(arguments) {
        Ok(asked) => asked,
        Err(told) => {
            // Help and version arrive here too; a closed pipe leaves nobody to tell.
            drop(told.print());
            return if told.use_stderr() {
                Exit::Unread
            } else {
                Exit::Yes
            };
        }
    };
    let ended = match &asked.verb {
        Verb::Solve(asked) => solve::run(asked),
        Verb::Predict(asked) => predict::run(asked),
        Verb::Reach(asked) => reach::run(asked),
        Verb::Compare(asked) => compare::run(asked),
        Verb::Conflict(asked) => conflict::run(asked),
        Verb::Sweep(asked) => sweep::run(asked),
        Verb::Frontier(asked) => frontier::run(asked),
    };
    ended.unwrap_or_else(|refusal| {
        output::refusal(&refusal);
        Exit::Unread
    })
}

//! The binary: arguments in, exit code out.

use std::process::ExitCode;

fn main() -> ExitCode {
    treatrate::cli::run::run(std::env::args_os())
}

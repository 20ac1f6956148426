//! A bug of this program, told as one.

use crate::cli::exit::Exit;
use crate::cli::output;
use std::panic;
use std::panic::PanicHookInfo;

/// Runs, and turns a panic into a sentence and its exit code.
#[must_use]
pub fn guarded(run: impl FnOnce() -> Exit + panic::UnwindSafe) -> Exit {
    panic::set_hook(Box::new(tell));
    panic::catch_unwind(run).unwrap_or(Exit::Bug)
}

fn tell(info: &PanicHookInfo) {
    let place = info
        .location()
        .map_or_else(String::new, |l| format!(" at {}:{}", l.file(), l.line()));
    let payload = info.payload();
    let words = payload
        .downcast_ref::<&str>()
        .map(|s| (*s).to_owned())
        .or_else(|| payload.downcast_ref::<String>().cloned())
        .unwrap_or_else(|| "no words".into());
    output::remark(&format!(
        "this is a bug in treatrate, not in your files: {words}{place}\n\
         nothing was decided; report it with the command, the problem, its shelves and this line"
    ));
}

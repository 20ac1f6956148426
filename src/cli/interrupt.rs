//! Ctrl-C and the shell's request to end: what is whole is kept. The only file that names the library for
//! signals.

use crate::cli::exit::Exit;
use std::process;
use std::sync::atomic::AtomicBool;
use std::sync::atomic::Ordering;

/// Whether somebody asked to end.
static ASKED: AtomicBool = AtomicBool::new(false);

/// Listens from now on. A second request ends at once: files are written so that they can be gone on with
/// from any byte.
#[must_use]
pub fn listen() -> &'static AtomicBool {
    // Where a handler cannot be set, a signal ends the program as it always did.
    drop(ctrlc::set_handler(|| {
        if ASKED.swap(true, Ordering::Relaxed) {
            process::exit(i32::from(Exit::Unfinished.number()));
        }
    }));
    &ASKED
}

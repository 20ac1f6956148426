//! A sign of life during a long search, for a person watching; how far it is, and how long it will take.

use crate::cli::output;
use indicatif::ProgressBar;
use indicatif::ProgressStyle;
use std::time::Duration;

/// How often the sign moves.
const TICK: Duration = Duration::from_millis(120);

/// Shows the sign until dropped; shows nothing where nobody is watching.
#[derive(Debug)]
pub struct Progress(Option<ProgressBar>);

impl Progress {
    /// Begins.
    #[must_use]
    pub fn begin(doing: &'static str) -> Self {
        if !output::watched() {
            return Progress(None);
        }
        let bar = ProgressBar::new_spinner().with_message(doing);
        if let Ok(style) = ProgressStyle::with_template("{msg} {elapsed} {spinner}") {
            bar.set_style(style.tick_strings(&[".  ", ".. ", "...", "   "]));
        }
        bar.enable_steady_tick(TICK);
        Progress(Some(bar))
    }

    /// Begins work of many equal parts.
    #[must_use]
    pub fn counted(parts: &'static str, all: usize) -> Self {
        if !output::watched() {
            return Progress(None);
        }
        let bar = ProgressBar::new(all as u64).with_message(parts);
        let line = "{wide_bar} {human_pos} of {human_len} {msg}, {eta} left";
        if let Ok(style) = ProgressStyle::with_template(line) {
            bar.set_style(style.progress_chars("━━ "));
        }
        bar.enable_steady_tick(TICK);
        Progress(Some(bar))
    }

    /// So many parts more are done.
    pub fn advance(&self, parts: usize) {
        if let Some(bar) = &self.0 {
            bar.inc(parts as u64);
        }
    }
}

impl Drop for Progress {
    fn drop(&mut self) {
        if let Some(bar) = &self.0 {
            bar.finish_and_clear();
        }
    }
}

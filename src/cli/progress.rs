//! A sign of life during a long search, for a person watching.

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
}

impl Drop for Progress {
    fn drop(&mut self) {
        if let Some(bar) = &self.0 {
            bar.finish_and_clear();
        }
    }
}

//! Pictures in plain characters, for a person at a terminal: at most about twenty lines.

use crate::report::picture::data::Picture;

pub mod dots;

pub mod curve;

pub mod sweep;

pub mod map;

pub mod frontier;

pub mod tornado;

pub mod distribution;

/// The narrowest plot that says anything; a narrower terminal wraps it.
const NARROWEST: usize = 40;

/// The most rows of a list: bars, panels.
const LIST: usize = 14;

/// The widest label beside a plot.
const LABEL: usize = 32;

/// The picture in plain characters, each line at most this wide where it is at least 40; it ends
/// with a line break.
#[must_use]
pub fn plot(picture: &Picture, width: usize) -> String {
    let width = width.max(NARROWEST);
    let lines = match picture {
        Picture::Sweep(picture) => sweep::lines(picture, width),
        Picture::Map(picture) => map::lines(picture, width),
        Picture::Frontier(picture) => frontier::lines(picture, width),
        Picture::Tornado(picture) => tornado::lines(picture, width),
        Picture::Distribution(picture) => distribution::lines(picture, width),
    };
    lines
        .iter()
        .flat_map(|line| [cut(line.trim_end(), width), "\n".into()])
        .collect()
}

/// A text in at most so many characters.
fn cut(text: &str, most: usize) -> String {
    if text.chars().count() <= most {
        return text.into();
    }
    let kept: String = text.chars().take(most.saturating_sub(1)).collect();
    format!("{}…", kept.trim_end())
}

/// The widest of some labels, within reason.
fn widest<'a>(labels: impl Iterator<Item = &'a String>, most: usize) -> usize {
    labels
        .map(|l| l.chars().count())
        .max()
        .unwrap_or(0)
        .min(most)
}

/// Words in the middle below a plot.
fn centred(words: &str, margin: usize, columns: usize) -> String {
    let room = columns.saturating_sub(words.chars().count()) / 2;
    format!("{}{words}", " ".repeat(margin + room))
}

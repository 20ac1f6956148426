//! What the pictures share around their data: heads, grids, numbers along axes, remarks below.

use crate::report::picture::canvas::Anchor;
use crate::report::picture::canvas::Canvas;
use crate::report::picture::canvas::Lettering;
use crate::report::picture::data::Along;
use crate::report::picture::lettering;
use crate::report::picture::lettering::Weight;
use crate::report::picture::palette::AXIS;
use crate::report::picture::palette::Colour;
use crate::report::picture::palette::GRID;
use crate::report::picture::palette::INK;
use crate::report::picture::palette::QUIET;
use crate::report::picture::scale::Scale;
use crate::report::picture::scale::Tick;
use crate::report::picture::scale::index;

/// Size of the letters of most words, pixels.
pub const SIZE: f64 = 12.0;
/// Size of the letters of a panel's head.
pub const HEAD: f64 = 13.0;
/// Size of the letters of the picture's head.
pub const TITLE: f64 = 16.0;
/// From one line of words to the next.
pub const LEADING: f64 = 17.0;
/// Free space around everything.
pub const EDGE: f64 = 20.0;
/// What a picture says where there is no recipe.
pub const NO_RECIPE: &str = "no recipe";
/// How far the small marks at an axis reach.
const TOOTH: f64 = 4.0;

/// Words of most kinds.
#[must_use]
pub fn words(anchor: Anchor) -> Lettering {
    look(SIZE, Weight::Regular, INK, anchor)
}

/// Words of the second rank.
#[must_use]
pub fn quiet(anchor: Anchor) -> Lettering {
    look(SIZE, Weight::Regular, QUIET, anchor)
}

/// The head of a panel.
#[must_use]
pub fn head(anchor: Anchor) -> Lettering {
    look(HEAD, Weight::Bold, INK, anchor)
}

fn look(size: f64, weight: Weight, colour: Colour, anchor: Anchor) -> Lettering {
    Lettering {
        size,
        weight,
        colour,
        anchor,
    }
}

/// The lines of a picture's head on a page of this width.
#[must_use]
pub fn title_lines(title: &str, page: f64) -> Vec<String> {
    lettering::few_lines(title, TITLE, Weight::Bold, page - 2.0 * EDGE, 2)
}

/// Writes the head of a picture.
pub fn title(canvas: &Canvas<'_>, lines: &[String]) {
    let mut y = EDGE + TITLE * 0.8;
    for line in lines {
        canvas.text(
            line,
            (EDGE, y),
            look(TITLE, Weight::Bold, INK, Anchor::Start),
        );
        y += TITLE * 1.4;
    }
}

/// Where the rest begins below a head of these lines.
#[must_use]
pub fn below_title(lines: &[String]) -> f64 {
    EDGE + TITLE * 1.4 * index(lines.len()) + 6.0
}

/// A panel: where its data is drawn.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Panel {
    /// From left to right.
    pub x: Scale,
    /// From bottom to top: `start` is the lower edge.
    pub y: Scale,
}

impl Panel {
    /// Horizontal lines with the numbers of the upright axis at their left.
    pub fn rows(&self, canvas: &Canvas<'_>, most: usize) {
        for tick in self.y.ticks(most) {
            let y = self.y.at(tick.at);
            canvas.line(&[(self.x.start, y), (self.x.end, y)], 0.8, GRID);
            let at = (self.x.start - 8.0, y);
            canvas.beside(&tick.words, at, quiet(Anchor::End));
        }
    }

    /// The line on which the panel stands.
    pub fn floor(&self, canvas: &Canvas<'_>) {
        let y = self.y.start;
        canvas.line(&[(self.x.start, y), (self.x.end, y)], 1.0, AXIS);
    }

    /// The panel's head above its left edge: what its upright axis shows.
    pub fn head(&self, canvas: &Canvas<'_>, words: &str) {
        let width = self.x.end - EDGE;
        let words = lettering::fitted(words, HEAD, Weight::Bold, width);
        canvas.text(&words, (EDGE, self.y.end - 12.0), head(Anchor::Start));
    }
}

/// Room below an axis for its numbers or words and its name.
pub const BELOW_AXIS: f64 = 50.0;

/// Numbers or words below a line at height `y`, and the axis' name below them.
pub fn below(canvas: &Canvas<'_>, x: &Scale, y: f64, along: &Along, name: &str) {
    canvas.line(&[(x.start, y), (x.end, y)], 1.0, AXIS);
    let low = match along {
        Along::Numbers(_) => {
            ticks_below(canvas, x, y, &round(x));
            y
        }
        Along::Words(all) => words_below(canvas, x, y, all),
    };
    name_below(canvas, x, low, name);
}

/// The name of an axis below its numbers or words.
pub fn name_below(canvas: &Canvas<'_>, x: &Scale, low: f64, name: &str) {
    let width = x.end - x.start + EDGE;
    let name = lettering::fitted(name, HEAD, Weight::Bold, width);
    let at = (f64::midpoint(x.start, x.end), low + 40.0);
    canvas.text(&name, at, head(Anchor::Middle));
}

/// Round numbers along an axis below a panel, as many as fit.
#[must_use]
pub fn round(x: &Scale) -> Vec<Tick> {
    let most = [9, 7, 5, 4, 3, 2]
        .into_iter()
        .find(|most| fit(x, &x.ticks(*most)))
        .unwrap_or(1);
    x.ticks(most)
}

/// Whether numbers below a line have room beside each other.
#[must_use]
pub fn fit(x: &Scale, ticks: &[Tick]) -> bool {
    let widest = ticks
        .iter()
        .map(|t| lettering::width(&t.words, SIZE, Weight::Regular))
        .fold(0.0, f64::max);
    (widest + 18.0) * index(ticks.len()) <= x.end - x.start
}

/// Numbers below a line.
pub fn ticks_below(canvas: &Canvas<'_>, x: &Scale, y: f64, ticks: &[Tick]) {
    for tick in ticks {
        let at = x.at(tick.at);
        canvas.line(&[(at, y), (at, y + TOOTH)], 1.0, AXIS);
        canvas.text(&tick.words, (at, y + 18.0), quiet(Anchor::Middle));
    }
}

/// Words below a line, in two rows where one is too narrow; tells how low they went.
fn words_below(canvas: &Canvas<'_>, x: &Scale, y: f64, all: &[String]) -> f64 {
    let slot = (x.end - x.start) / index(all.len().max(1));
    let widest = all
        .iter()
        .map(|w| lettering::width(w, SIZE, Weight::Regular))
        .fold(0.0, f64::max);
    let rows = if widest + 6.0 > slot { 2 } else { 1 };
    let room = slot * index(rows) - 6.0;
    for (i, word) in all.iter().enumerate() {
        let at = x.at(index(i));
        let row = index(i % rows);
        canvas.line(&[(at, y), (at, y + TOOTH + 13.0 * row)], 1.0, AXIS);
        let word = lettering::fitted(word, SIZE, Weight::Regular, room);
        let place = (at, y + 18.0 + 13.0 * row);
        canvas.text(&word, place, quiet(Anchor::Middle));
    }
    y + 13.0 * index(rows - 1)
}

/// Remarks as lines on a page of this width.
#[must_use]
pub fn remark_lines(remarks: &[String], page: f64) -> Vec<String> {
    remarks
        .iter()
        .flat_map(|r| lettering::lines(r, SIZE, Weight::Regular, page - 2.0 * EDGE))
        .collect()
}

/// Height of these lines of remarks.
#[must_use]
pub fn remark_height(lines: &[String]) -> f64 {
    if lines.is_empty() {
        0.0
    } else {
        LEADING * index(lines.len()) + 10.0
    }
}

/// Writes remarks from a height downwards.
pub fn remarks(canvas: &Canvas<'_>, lines: &[String], from: f64) {
    for (i, line) in lines.iter().enumerate() {
        let y = from + 14.0 + LEADING * index(i);
        canvas.text(line, (EDGE, y), quiet(Anchor::Start));
    }
}

/// Labels beside a line, each as near as can be to where it wants to stand, none over another: the
/// heights in the order given, which is from the top.
#[must_use]
pub fn apart(wanted: &[f64], pitch: f64, top: f64, bottom: f64) -> Vec<f64> {
    let mut heights = Vec::with_capacity(wanted.len());
    let mut least = top;
    for want in wanted {
        let y = want.max(least);
        heights.push(y);
        least = y + pitch;
    }
    let mut most = bottom;
    for y in heights.iter_mut().rev() {
        *y = y.min(most);
        most = *y - pitch;
    }
    heights
}

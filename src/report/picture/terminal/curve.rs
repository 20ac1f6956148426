//! A curve in plain characters: dots between an upright axis at the left and one below.

use crate::report::picture::data::Along;
use crate::report::picture::scale;
use crate::report::picture::scale::Scale;
use crate::report::picture::scale::index;
use crate::report::picture::terminal::dots::ACROSS;
use crate::report::picture::terminal::dots::DOWN;
use crate::report::picture::terminal::dots::Dots;

/// Lines of the curve.
pub const ROWS: usize = 9;

/// What stands where there is no recipe.
pub const NOTHING: char = '░';

/// What stands for a single point.
const POINT: char = '●';

/// Less than this much of a dot is nothing.
const STILL: f64 = 1e-3;

/// A curve being drawn.
#[derive(Debug)]
pub struct Curve {
    dots: Dots,
    columns: usize,
    x: (f64, f64),
    y: (f64, f64),
    /// Characters left of the upright axis.
    pub margin: usize,
}

/// The upright numbers: a line and its words.
fn upright(y: (f64, f64)) -> Vec<(usize, String)> {
    let scale = Scale::new(y, index(ROWS - 1), 0.0);
    let ticks = scale.ticks(4);
    ticks
        .into_iter()
        .map(|t| (nearest(scale.at(t.at)), t.words))
        .collect()
}

/// Characters that an upright axis over these numbers needs at its left.
#[must_use]
pub fn margin(y: (f64, f64)) -> usize {
    let widths = upright(y).into_iter().map(|(_, w)| w.chars().count());
    widths.max().unwrap_or(0) + 2
}

impl Curve {
    /// An empty curve over these numbers.
    #[must_use]
    pub fn new(columns: usize, x: (f64, f64), y: (f64, f64)) -> Self {
        Curve {
            dots: Dots::new(columns, ROWS),
            columns,
            x,
            y,
            margin: margin(y),
        }
    }

    /// The column of a number.
    #[must_use]
    pub fn column(&self, x: f64) -> usize {
        let last = index(self.columns.saturating_sub(1));
        nearest(Scale::new(self.x, 0.0, last).at(x))
    }

    /// Marks a stretch as without a recipe.
    pub fn nothing(&mut self, from: f64, to: f64) {
        for column in self.column(from)..=self.column(to) {
            self.dots.fill(column, NOTHING);
        }
    }

    /// A line through points; a dot for one.
    pub fn line(&mut self, points: &[(f64, f64)]) {
        let at = |(x, y): (f64, f64)| {
            let across = index((self.columns * ACROSS).saturating_sub(1));
            let down = index(ROWS * DOWN - 1);
            (
                nearest(Scale::new(self.x, 0.0, across).at(x)),
                // A constant lies between two rows of dots, and rounding must not toss it about.
                nearest(Scale::new(self.y, down, 0.0).at(y) + STILL),
            )
        };
        let places: Vec<(usize, usize)> = points.iter().map(|p| at(*p)).collect();
        if let [(x, y)] = places[..] {
            self.dots.set(x, y);
        }
        for pair in places.windows(2) {
            self.dots.line(pair[0], pair[1]);
        }
    }

    /// A single point, larger than a dot.
    pub fn mark(&mut self, x: f64, y: f64) {
        let row = Scale::new(self.y, index(ROWS - 1), 0.0).at(y);
        self.dots.put(self.column(x), nearest(row), POINT);
    }

    /// The lines: the curve, the axis below, its numbers or words.
    #[must_use]
    pub fn lines(&self, along: &Along) -> Vec<String> {
        let named = upright(self.y);
        let mut lines: Vec<String> = Vec::new();
        for (row, dots) in self.dots.lines().into_iter().enumerate() {
            let name = named.iter().find(|(at, _)| *at == row);
            let (words, edge) = name.map_or(("", '│'), |(_, w)| (w.as_str(), '┤'));
            let room = self.margin - 1;
            lines.push(format!("{words:>room$} {edge}{dots}"));
        }
        let axis = "─".repeat(self.columns);
        lines.push(format!("{}└{axis}", " ".repeat(self.margin)));
        let named = self.named(along);
        // Words that are too close for one line take two.
        let (line, left) = self.below(&named);
        lines.push(line);
        if matches!(along, Along::Words(_)) && !left.is_empty() {
            lines.push(self.below(&left).0);
        }
        lines
    }

    /// What is named below the axis, and where.
    fn named(&self, along: &Along) -> Vec<(f64, String)> {
        match along {
            Along::Numbers(_) => {
                let ticks = scale::ticks(self.x.0, self.x.1, 6);
                ticks.into_iter().map(|t| (t.at, t.words)).collect()
            }
            Along::Words(words) => {
                let words = words.iter().enumerate();
                words.map(|(i, w)| (index(i), w.clone())).collect()
            }
        }
    }

    /// Names under their columns, each where the one before leaves room; and those that found none.
    fn below(&self, names: &[(f64, String)]) -> (String, Vec<(f64, String)>) {
        let mut line: Vec<char> = Vec::new();
        let mut left = Vec::new();
        for (at, words) in names {
            let middle = self.margin + 1 + self.column(*at);
            let long = words.chars().count();
            let start = middle.saturating_sub(long / 2);
            let free = line.is_empty() || start > line.len();
            if free && start + long <= self.margin + 2 + self.columns {
                line.resize(start, ' ');
                line.extend(words.chars());
            } else {
                left.push((*at, words.clone()));
            }
        }
        (line.into_iter().collect(), left)
    }
}

/// The whole number nearest to one that is not negative.
#[must_use]
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "a cast of a float saturates"
)]
pub fn nearest(value: f64) -> usize {
    value.round().max(0.0) as usize
}

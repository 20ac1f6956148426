//! A map: the goal as colour over two axes, with the regions in which the same limits bind.

use crate::report::picture::canvas;
use crate::report::picture::canvas::Anchor;
use crate::report::picture::canvas::Canvas;
use crate::report::picture::data::Along;
use crate::report::picture::data::MapPicture;
use crate::report::picture::describe;
use crate::report::picture::frame;
use crate::report::picture::frame::BELOW_AXIS;
use crate::report::picture::frame::EDGE;
use crate::report::picture::frame::LEADING;
use crate::report::picture::frame::NO_RECIPE;
use crate::report::picture::frame::Panel;
use crate::report::picture::frame::SIZE;
use crate::report::picture::grid;
use crate::report::picture::grid::Block;
use crate::report::picture::grid::Grid;
use crate::report::picture::grid::Owner;
use crate::report::picture::lettering;
use crate::report::picture::lettering::Weight;
use crate::report::picture::palette;
use crate::report::picture::palette::AXIS;
use crate::report::picture::palette::Colour;
use crate::report::picture::palette::INK;
use crate::report::picture::palette::NOTHING;
use crate::report::picture::scale;
use crate::report::picture::scale::Scale;
use crate::report::picture::scale::index;

/// Width of the map, pixels.
const WIDE: f64 = 560.0;
/// Its height.
const HIGH: f64 = 440.0;
/// From the map to what stands at its right.
const ASIDE: f64 = 34.0;
/// Width of that.
const KEY: f64 = 240.0;
/// Width of the colour bar.
const BAR: f64 = 18.0;
/// Its height.
const BAR_HIGH: f64 = 180.0;
/// How many colours it has; the map's cells take theirs from the same steps.
const STEPS: usize = 90;
/// Free space around a region's name.
const AROUND: f64 = 8.0;
/// The most lines of a region's name on the map.
const LINES: usize = 4;
/// Least room for numbers or words at the map's left.
const LEFT: f64 = 76.0;

/// The picture as SVG.
#[must_use]
pub fn svg(picture: &MapPicture) -> String {
    let map = Map::of(picture);
    let size = (map.page, map.bottom);
    canvas::page(size, &picture.title, &describe::map(picture), |canvas| {
        frame::title(canvas, &map.title);
        map.cells(canvas);
        map.borders(canvas);
        map.axes(canvas);
        map.bar(canvas);
        map.names(canvas);
    })
}

/// What is written for a region.
struct Name {
    /// The lines on the map.
    lines: Vec<String>,
    /// Their middle.
    at: (f64, f64),
    /// The lines of the key, where the map has only a letter.
    key: Vec<String>,
}

struct Map<'a> {
    picture: &'a MapPicture,
    grid: Grid,
    title: Vec<String>,
    panel: Panel,
    /// Edges of columns and rows, pixels.
    columns: Vec<f64>,
    rows: Vec<f64>,
    /// Least and greatest goal; none where there is no recipe anywhere.
    goals: Option<(f64, f64)>,
    names: Vec<Name>,
    page: f64,
    bottom: f64,
}

impl<'a> Map<'a> {
    fn of(picture: &'a MapPicture) -> Self {
        let left = match &picture.along_y {
            Along::Numbers(_) => LEFT,
            Along::Words(words) => words
                .iter()
                .map(|w| lettering::width(w, SIZE, Weight::Regular) + EDGE + 12.0)
                .fold(LEFT, f64::max)
                .min(3.0 * LEFT),
        };
        let page = left + WIDE + ASIDE + KEY + EDGE;
        let title = frame::title_lines(&picture.title, page);
        let top = frame::below_title(&title) + 28.0;
        let (xs, ys) = (grid::edges(&picture.along_x), grid::edges(&picture.along_y));
        let panel = Panel {
            x: Scale::new((xs[0], xs[xs.len() - 1]), left, left + WIDE),
            y: Scale::new((ys[0], ys[ys.len() - 1]), top + HIGH, top),
        };
        let grid = Grid::of(picture);
        let columns: Vec<f64> = xs.iter().map(|x| panel.x.at(*x)).collect();
        let rows: Vec<f64> = ys.iter().map(|y| panel.y.at(*y)).collect();
        let names = names(picture, &grid, &columns, &rows);
        let key: usize = names.iter().map(|n| n.key.len()).sum();
        let key_bottom = top + BAR_HIGH + 50.0 + LEADING * index(key.max(1) + 1);
        Map {
            picture,
            goals: scale::ends(picture.cells.iter().filter_map(|c| c.goal)),
            grid,
            title,
            panel,
            columns,
            rows,
            names,
            page,
            bottom: (top + HIGH + BELOW_AXIS + 13.0).max(key_bottom + EDGE),
        }
    }

    /// The step of the sequence for a goal.
    fn step(&self, goal: f64) -> usize {
        let Some((low, high)) = self.goals else {
            return 0;
        };
        let scale = Scale::new(scale::exact([low, high]), 0.0, index(STEPS));
        let at = scale.at(goal);
        (0..STEPS).rfind(|i| index(*i) <= at).unwrap_or(0)
    }

    fn colour(&self, column: usize, row: usize) -> Colour {
        let cell = self.picture.cells.get(row * self.grid.columns + column);
        match cell.and_then(|c| c.goal).filter(|g| g.is_finite()) {
            None => NOTHING,
            Some(goal) => shade(self.step(goal)),
        }
    }

    /// The cells, those of one colour beside each other as one rectangle.
    fn cells(&self, canvas: &Canvas<'_>) {
        for row in 0..self.grid.rows {
            let mut from = 0;
            for column in 0..self.grid.columns {
                let colour = self.colour(from, row);
                let next = column + 1;
                if next < self.grid.columns && self.colour(next, row) == colour {
                    continue;
                }
                // A hair of overlap: no ground shines through between cells.
                let low = (self.columns[from], self.rows[row]);
                let right = (self.columns[next] + 0.5).min(self.panel.x.end);
                let high = (self.rows[row + 1] - 0.5).max(self.panel.y.end);
                canvas.rectangle(low, (right, high), colour);
                from = next;
            }
        }
    }

    fn borders(&self, canvas: &Canvas<'_>) {
        for border in self.grid.borders() {
            let places = border.map(|(column, row)| (self.columns[column], self.rows[row]));
            canvas.line(&places, 1.4, INK);
        }
    }

    fn axes(&self, canvas: &Canvas<'_>) {
        let (x, y) = (&self.panel.x, &self.panel.y);
        canvas.line(
            &[
                (x.start, y.start),
                (x.start, y.end),
                (x.end, y.end),
                (x.end, y.start),
            ],
            1.0,
            AXIS,
        );
        let name = self.picture.x.words();
        frame::below(canvas, x, y.start, &self.picture.along_x, &name);
        self.panel.head(canvas, &self.picture.y.words());
        let beside = |at: f64, words: &str| {
            let place = y.at(at);
            canvas.line(&[(x.start - 4.0, place), (x.start, place)], 1.0, AXIS);
            let words = lettering::fitted(words, SIZE, Weight::Regular, x.start - EDGE);
            canvas.beside(&words, (x.start - 8.0, place), frame::quiet(Anchor::End));
        };
        match &self.picture.along_y {
            Along::Numbers(_) => y.ticks(8).iter().for_each(|t| beside(t.at, &t.words)),
            Along::Words(all) => all
                .iter()
                .enumerate()
                .for_each(|(i, w)| beside(index(i), w)),
        }
    }

    /// The colours with their values.
    fn bar(&self, canvas: &Canvas<'_>) {
        let Some((low, high)) = self.goals else {
            return;
        };
        let left = self.panel.x.end + ASIDE;
        let top = self.panel.y.end;
        let head = lettering::fitted(&self.picture.goal.words(), 13.0, Weight::Bold, KEY);
        canvas.text(&head, (left, top - 10.0), frame::head(Anchor::Start));
        let steps = Scale::new((0.0, index(STEPS)), top + BAR_HIGH, top);
        for step in 0..STEPS {
            let a = (left, steps.at(index(step)));
            let b = (left + BAR, (steps.at(index(step + 1)) - 0.5).max(top));
            canvas.rectangle(a, b, shade(step));
        }
        let values = Scale::new(scale::exact([low, high]), top + BAR_HIGH, top);
        for tick in values.ticks(6) {
            let y = values.at(tick.at);
            canvas.line(&[(left + BAR, y), (left + BAR + 4.0, y)], 1.0, AXIS);
            let at = (left + BAR + 8.0, y);
            canvas.beside(&tick.words, at, frame::quiet(Anchor::Start));
        }
    }

    fn names(&self, canvas: &Canvas<'_>) {
        let left = self.panel.x.end + ASIDE;
        let mut y = self.panel.y.end + BAR_HIGH + 40.0;
        if !self.picture.regions.is_empty() {
            canvas.text("what binds", (left, y), frame::head(Anchor::Start));
            if self.names.iter().all(|n| n.key.is_empty()) {
                y += LEADING;
                canvas.text(
                    "stands in each region",
                    (left, y),
                    frame::quiet(Anchor::Start),
                );
            }
        }
        for name in &self.names {
            let first = name.at.1 - 15.0 * (index(name.lines.len()) - 1.0) / 2.0;
            for (i, line) in name.lines.iter().enumerate() {
                let at = (name.at.0, first + 15.0 * index(i));
                canvas.beside(line, at, frame::words(Anchor::Middle));
            }
            for (i, line) in name.key.iter().enumerate() {
                y += LEADING;
                if i == 0 {
                    canvas.text(&name.lines[0], (left, y), frame::head(Anchor::Start));
                }
                canvas.text(line, (left + 26.0, y), frame::words(Anchor::Start));
            }
        }
    }
}

fn shade(step: usize) -> Colour {
    palette::sequence(index(step) / index(STEPS - 1))
}

/// The name of each region that has a cell: whole where it fits, or a letter.
fn names(picture: &MapPicture, grid: &Grid, columns: &[f64], rows: &[f64]) -> Vec<Name> {
    let mut letters = (b'A'..=b'Z').map(|c| char::from(c).to_string()).chain(
        // After Z, numbers.
        (27..).map(|n: u32| n.to_string()),
    );
    let mut names = Vec::new();
    for owner in grid.present() {
        let words = name(picture, owner);
        let size = |block: &Block| {
            let wide = columns[block.columns.1] - columns[block.columns.0];
            let high = rows[block.rows.0] - rows[block.rows.1];
            (wide, high)
        };
        let blocks = grid.blocks(owner);
        let middle = |block: &Block| {
            (
                f64::midpoint(columns[block.columns.0], columns[block.columns.1]),
                f64::midpoint(rows[block.rows.0], rows[block.rows.1]),
            )
        };
        let fitting = blocks
            .iter()
            .filter_map(|block| Some((block, lines(words, size(block))?)))
            .min_by(|(a, la), (b, lb)| {
                let area = |block: &Block| size(block).0 * size(block).1;
                la.len().cmp(&lb.len()).then(area(b).total_cmp(&area(a)))
            });
        let widest = blocks.iter().max_by(|a, b| {
            let room = |block: &Block| size(block).0.min(size(block).1);
            room(a).total_cmp(&room(b))
        });
        match (fitting, widest) {
            (Some((block, lines)), _) => names.push(Name {
                lines,
                at: middle(block),
                key: Vec::new(),
            }),
            (None, Some(block)) if owner.is_some() => names.push(Name {
                lines: letters.next().into_iter().collect(),
                at: middle(block),
                key: lettering::lines(words, SIZE, Weight::Regular, KEY - 26.0),
            }),
            _ => {}
        }
    }
    names
}

fn name(picture: &MapPicture, owner: Owner) -> &str {
    owner.map_or(NO_RECIPE, |region| picture.regions[region].as_str())
}

/// The lines of a name in a room, if all of it fits.
fn lines(words: &str, (wide, high): (f64, f64)) -> Option<Vec<String>> {
    let lines = lettering::lines(words, SIZE, Weight::Regular, wide - 2.0 * AROUND);
    let whole = lines.join(" ") == words.split_whitespace().collect::<Vec<_>>().join(" ");
    let fits = index(lines.len()) * 15.0 + AROUND <= high && lines.len() <= LINES;
    (whole && fits && !lines.is_empty()).then_some(lines)
}

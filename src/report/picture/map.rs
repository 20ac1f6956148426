//! A map: the goal as colour over two axes, with the regions in which the same limits bind.

use crate::report::picture::canvas;
use crate::report::picture::canvas::Anchor;
use crate::report::picture::canvas::Canvas;
use crate::report::picture::canvas::Place;
use crate::report::picture::data::Along;
use crate::report::picture::data::MapPicture;
use crate::report::picture::describe;
use crate::report::picture::frame;
use crate::report::picture::frame::BELOW_AXIS;
use crate::report::picture::frame::EDGE;
use crate::report::picture::frame::LEADING;
use crate::report::picture::frame::Panel;
use crate::report::picture::frame::SIZE;
use crate::report::picture::grid;
use crate::report::picture::grid::Grid;
use crate::report::picture::lettering;
use crate::report::picture::lettering::Weight;
use crate::report::picture::palette;
use crate::report::picture::palette::AXIS;
use crate::report::picture::palette::Colour;
use crate::report::picture::palette::INK;
use crate::report::picture::palette::NOTHING;
use crate::report::picture::regions;
use crate::report::picture::regions::LINE;
use crate::report::picture::regions::Names;
use crate::report::picture::scale;
use crate::report::picture::scale::Scale;
use crate::report::picture::scale::Tick;
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
/// Columns of a key that stands below the map.
const COLUMNS: usize = 3;
/// Between two of them.
const BETWEEN: f64 = 24.0;
/// From a letter of the key to its name.
const TO_NAME: f64 = 26.0;
/// With no more positions along an axis than this each has its own number.
const FEW: usize = 7;
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
        map.key(canvas);
        frame::remarks(canvas, &map.remarks, map.remarks_at);
    })
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
    names: Names,
    key: Key,
    remarks: Vec<String>,
    remarks_at: f64,
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
        let names = regions::names(picture, &grid, &columns, &rows);
        let key = Key::of(&names, (left + WIDE + ASIDE, top), page);
        let mut notes = picture.notes.clone();
        if names.unnamed > 0 {
            notes.push(format!("Regions too small for a name: {}.", names.unnamed));
        }
        let remarks = frame::remark_lines(&notes, page);
        let remarks_at = (top + HIGH + BELOW_AXIS + 13.0).max(key.bottom);
        Map {
            picture,
            goals: scale::ends(picture.cells.iter().filter_map(|c| c.goal)),
            grid,
            title,
            panel,
            columns,
            rows,
            names,
            key,
            page,
            bottom: remarks_at + frame::remark_height(&remarks),
            remarks,
            remarks_at,
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
        let own = few(&self.picture.along_x).filter(|ticks| frame::fit(x, ticks));
        if let Some(ticks) = own {
            canvas.line(&[(x.start, y.start), (x.end, y.start)], 1.0, AXIS);
            frame::ticks_below(canvas, x, y.start, &ticks);
            frame::name_below(canvas, x, y.start, &name);
        } else {
            frame::below(canvas, x, y.start, &self.picture.along_x, &name);
        }
        self.panel.head(canvas, &self.picture.y.words());
        let beside = |at: f64, words: &str| {
            let place = y.at(at);
            canvas.line(&[(x.start - 4.0, place), (x.start, place)], 1.0, AXIS);
            let words = lettering::fitted(words, SIZE, Weight::Regular, x.start - EDGE);
            canvas.beside(&words, (x.start - 8.0, place), frame::quiet(Anchor::End));
        };
        match &self.picture.along_y {
            Along::Numbers(_) => {
                let ticks = few(&self.picture.along_y).unwrap_or_else(|| y.ticks(8));
                for tick in &ticks {
                    beside(tick.at, &tick.words);
                }
            }
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
        for label in &self.names.labels {
            let first = label.at.1 - LINE * (index(label.lines.len()) - 1.0) / 2.0;
            for (i, line) in label.lines.iter().enumerate() {
                let at = (label.at.0, first + LINE * index(i));
                canvas.beside(line, at, frame::words(Anchor::Middle));
            }
        }
    }

    fn key(&self, canvas: &Canvas<'_>) {
        if self.picture.regions.is_empty() {
            return;
        }
        let at = self.key.at;
        canvas.text("what binds", at, frame::head(Anchor::Start));
        if self.key.entries.is_empty() {
            let below = (at.0, at.1 + LEADING);
            let words = "stands in each region";
            canvas.text(words, below, frame::quiet(Anchor::Start));
        }
        for (at, letter, lines) in &self.key.entries {
            canvas.text(letter, *at, frame::head(Anchor::Start));
            for (i, line) in lines.iter().enumerate() {
                let at = (at.0 + TO_NAME, at.1 + LEADING * index(i));
                canvas.text(line, at, frame::words(Anchor::Start));
            }
        }
    }
}

/// The key with its places: at the right where it fits there, else in columns below the map.
struct Key {
    /// Where its head stands.
    at: Place,
    /// Each letter with its place, and the lines of its name.
    entries: Vec<(Place, String, Vec<String>)>,
    bottom: f64,
}

impl Key {
    fn of(names: &Names, (right, top): Place, page: f64) -> Self {
        let at = (right, top + BAR_HIGH + 40.0);
        let one = Key::flowing(names, at, 1, KEY);
        if one.bottom <= top + HIGH {
            return one;
        }
        let columns = index(COLUMNS);
        let wide = (page - 2.0 * EDGE - (columns - 1.0) * BETWEEN) / columns;
        let at = (EDGE, top + HIGH + BELOW_AXIS + LEADING);
        Key::flowing(names, at, COLUMNS, wide)
    }

    /// The key in columns of about one height.
    fn flowing(names: &Names, at: Place, columns: usize, wide: f64) -> Self {
        let wrapped: Vec<Vec<String>> = names
            .key
            .iter()
            .map(|(_, name)| lettering::lines(name, SIZE, Weight::Regular, wide - TO_NAME))
            .collect();
        let all: usize = wrapped.iter().map(|lines| lines.len().max(1)).sum();
        let most = all.div_ceil(columns);
        let (mut column, mut line, mut deepest) = (0, 0, 1);
        let mut entries = Vec::new();
        for ((letter, _), lines) in names.key.iter().zip(wrapped) {
            if line >= most {
                (column, line) = (column + 1, 0);
            }
            let place = (
                at.0 + (wide + BETWEEN) * index(column),
                at.1 + LEADING * index(line + 1),
            );
            line += lines.len().max(1);
            deepest = deepest.max(line);
            entries.push((place, letter.clone(), lines));
        }
        Key {
            at,
            entries,
            bottom: at.1 + LEADING * index(deepest + 1),
        }
    }
}

/// The positions along an axis themselves, where they are few.
fn few(along: &Along) -> Option<Vec<Tick>> {
    let Along::Numbers(numbers) = along else {
        return None;
    };
    let (from, to) = scale::exact(numbers.iter().copied());
    let tick = |at: &f64| Tick {
        at: *at,
        words: scale::along(*at, to - from),
    };
    (numbers.len() <= FEW).then(|| numbers.iter().map(tick).collect())
}

fn shade(step: usize) -> Colour {
    palette::sequence(index(step) / index(STEPS - 1))
}

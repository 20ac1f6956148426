//! A sweep: the goal, the treat rates stacked, and where each limit binds, over one axis.

use crate::report::picture::canvas;
use crate::report::picture::canvas::Anchor;
use crate::report::picture::canvas::Canvas;
use crate::report::picture::canvas::Place;
use crate::report::picture::data::Along;
use crate::report::picture::data::Gap;
use crate::report::picture::data::Mark;
use crate::report::picture::data::Stretch;
use crate::report::picture::data::SweepPicture;
use crate::report::picture::describe;
use crate::report::picture::frame;
use crate::report::picture::frame::BELOW_AXIS;
use crate::report::picture::frame::EDGE;
use crate::report::picture::frame::HEAD;
use crate::report::picture::frame::NO_RECIPE;
use crate::report::picture::frame::Panel;
use crate::report::picture::frame::SIZE;
use crate::report::picture::lettering;
use crate::report::picture::lettering::Weight;
use crate::report::picture::palette::AXIS;
use crate::report::picture::palette::BINDS;
use crate::report::picture::palette::BLUE;
use crate::report::picture::palette::GRID;
use crate::report::picture::palette::GROUND;
use crate::report::picture::palette::NOTHING;
use crate::report::picture::scale;
use crate::report::picture::scale::Scale;
use crate::report::picture::scale::index;
use crate::report::picture::stack;
use crate::report::picture::stack::Layer;

/// Width of the panels, pixels.
const WIDE: f64 = 600.0;
/// Room at their left for numbers.
const LEFT: f64 = 76.0;
/// From the panels to the labels at their right.
const TO_LABELS: f64 = 36.0;
/// The widest label.
const LABEL: f64 = 420.0;
/// Height of the panel of the goal.
const GOAL: f64 = 190.0;
/// Least height of the stack.
const STACK: f64 = 280.0;
/// Room above a panel for its head.
const HEAD_ROOM: f64 = 36.0;
/// Height of a row of the strip.
const ROW: f64 = 20.0;
/// Height of a bar in it.
const BAR: f64 = 9.0;
/// From one label of the stack to the next.
const PITCH: f64 = 16.0;
/// Half the width of what stands for a single position.
const THIN: f64 = 3.0;
/// From the numbers of one row of breaks to the next.
const LANE: f64 = 14.0;
/// With more positions than this the curve has no dots.
const DOTS: usize = 40;
/// What the thin upright lines are.
const LINES: &str =
    "Upright lines: other components are used, or other limits bind, from there on.";
/// Share of a word's slot that its bar leaves free on either side.
const SLOT_FREE: f64 = 0.16;

/// The picture as SVG.
#[must_use]
pub fn svg(picture: &SweepPicture) -> String {
    let sweep = Sweep::of(picture);
    let size = (sweep.page, sweep.bottom);
    canvas::page(size, &picture.title, &describe::sweep(picture), |canvas| {
        frame::title(canvas, &sweep.title);
        sweep.shade(canvas);
        sweep.goal(canvas);
        sweep.stack(canvas);
        sweep.strip(canvas);
        sweep.breaks(canvas);
        let name = picture.x.words();
        frame::below(canvas, &sweep.x, sweep.floor, &picture.along, &name);
        frame::remarks(canvas, &sweep.remarks, sweep.floor + sweep.below);
    })
}

/// Everything with its place.
struct Sweep<'a> {
    picture: &'a SweepPicture,
    gaps: Vec<Gap>,
    values: Vec<Option<f64>>,
    positions: Vec<f64>,
    layers: Vec<Layer>,
    title: Vec<String>,
    remarks: Vec<String>,
    x: Scale,
    goal: Panel,
    stack: Panel,
    /// Upper edge of the strip.
    strip: f64,
    /// The line under everything.
    floor: f64,
    /// Room below that line for its words.
    below: f64,
    page: f64,
    bottom: f64,
}

impl<'a> Sweep<'a> {
    fn of(picture: &'a SweepPicture) -> Self {
        let positions = scale::positions(&picture.along);
        let values: Vec<Option<f64>> = (0..positions.len())
            .map(|i| {
                let value = picture.goal_values.get(i).copied().flatten();
                value.filter(|v| v.is_finite())
            })
            .collect();
        let shown: Vec<bool> = values.iter().map(Option::is_some).collect();
        let layers = stack::layers(&picture.components, &shown);
        let gaps = gaps(picture, &shown);
        let labels = layers.iter().map(|l| &l.name);
        let widest = labels
            .chain(picture.marks.iter().map(|m| &m.label))
            .map(|name| lettering::width(name, SIZE, Weight::Regular))
            .fold(80.0, f64::max)
            .min(LABEL);
        let page = LEFT + WIDE + TO_LABELS + widest + EDGE;
        let title = frame::title_lines(&picture.title, page);
        let remarks = frame::remark_lines(&remarks(picture, &gaps), page);
        let x = Scale::new(scale::covered(&picture.along), LEFT, LEFT + WIDE);

        let top = frame::below_title(&title) + HEAD_ROOM - 4.0;
        let reach = scale::roomy(values.iter().copied().flatten());
        let goal = Panel {
            x,
            y: Scale::new(reach, top + GOAL, top),
        };
        let top = top + GOAL + HEAD_ROOM + 8.0;
        let height = STACK.max(PITCH * index(layers.len() + 1));
        let full = full(&layers, positions.len());
        let stack = Panel {
            x,
            y: Scale::new((0.0, full), top + height, top),
        };
        let strip = top + height + HEAD_ROOM + 8.0;
        let floor = if picture.marks.is_empty() {
            top + height
        } else {
            strip + ROW * index(picture.marks.len()) + 4.0
        };
        let below = BELOW_AXIS
            + if matches!(picture.along, Along::Words(_)) {
                13.0
            } else {
                0.0
            };
        Sweep {
            picture,
            gaps,
            values,
            positions,
            layers,
            title,
            x,
            goal,
            stack,
            strip,
            floor,
            below,
            page,
            bottom: floor + below + frame::remark_height(&remarks),
            remarks,
        }
    }

    /// The panels' upper and lower edges.
    fn panels(&self) -> Vec<(f64, f64)> {
        let mut panels = vec![
            (self.goal.y.end, self.goal.y.start),
            (self.stack.y.end, self.stack.y.start),
        ];
        if !self.picture.marks.is_empty() {
            panels.push((self.strip, self.floor));
        }
        panels
    }

    /// Grey where there is no recipe, with the words where they fit.
    fn shade(&self, canvas: &Canvas<'_>) {
        for gap in &self.gaps {
            let (left, right) = self.across(gap.stretch);
            for (top, bottom) in self.panels() {
                canvas.rectangle((left, top), (right, bottom), NOTHING);
            }
        }
    }

    fn gap_words(&self, canvas: &Canvas<'_>) {
        let wide = lettering::width(NO_RECIPE, SIZE, Weight::Regular);
        for gap in &self.gaps {
            let (left, right) = self.across(gap.stretch);
            let middle = f64::midpoint(left, right);
            let high = f64::midpoint(self.goal.y.start, self.goal.y.end);
            // Grid lines do not run through words.
            let clear = |across: f64, up: f64| {
                let (low, high) = ((middle - across, high - up), (middle + across, high + up));
                canvas.rectangle(low, high, NOTHING);
            };
            if right - left > wide + 8.0 {
                clear(wide / 2.0 + 2.0, SIZE * 0.8);
                canvas.beside(NO_RECIPE, (middle, high), frame::quiet(Anchor::Middle));
            } else if right - left > SIZE + 2.0 {
                clear(SIZE * 0.5, wide / 2.0 + 2.0);
                canvas.upright(NO_RECIPE, (middle, high), frame::quiet(Anchor::Middle));
            }
        }
    }

    /// A stretch in pixels, never thinner than can be seen.
    fn across(&self, stretch: Stretch) -> (f64, f64) {
        let (from, to) = scale::drawn(&self.picture.along, stretch);
        let (left, right) = (self.x.at(from), self.x.at(to));
        if right - left >= THIN {
            return (left, right);
        }
        let middle = f64::midpoint(left, right).clamp(self.x.start + THIN, self.x.end - THIN);
        (middle - THIN / 2.0, middle + THIN / 2.0)
    }

    /// Positions with a recipe in runs that no gap interrupts.
    fn runs(&self) -> Vec<Vec<usize>> {
        let mut runs: Vec<Vec<usize>> = Vec::new();
        for i in (0..self.positions.len()).filter(|i| self.values[*i].is_some()) {
            match runs.last_mut() {
                Some(run) if run.last() == Some(&(i.wrapping_sub(1))) && self.joined(i) => {
                    run.push(i);
                }
                _ => runs.push(vec![i]),
            }
        }
        runs
    }

    /// Whether no gap lies between a position and the one before.
    fn joined(&self, i: usize) -> bool {
        let (a, b) = (self.positions[i - 1], self.positions[i]);
        !self
            .gaps
            .iter()
            .any(|gap| gap.stretch.from < b && gap.stretch.to > a)
    }

    fn asked(&self, i: usize) -> bool {
        self.picture.asked.get(i).copied().unwrap_or(true)
    }

    fn goal(&self, canvas: &Canvas<'_>) {
        // Without a value any number would be made up.
        if self.values.iter().any(Option::is_some) {
            self.goal.rows(canvas, 6);
        }
        self.goal.floor(canvas);
        self.goal.head(canvas, &self.picture.goal.words());
        self.gap_words(canvas);
        let place = |i: usize| -> Place {
            let value = self.values[i].unwrap_or(self.goal.y.from);
            (self.x.at(self.positions[i]), self.goal.y.at(value))
        };
        let words = matches!(self.picture.along, Along::Words(_));
        let few = (0..self.positions.len()).filter(|i| self.asked(*i)).count() <= DOTS;
        for run in self.runs() {
            let places: Vec<Place> = run.iter().map(|i| place(*i)).collect();
            if !words {
                canvas.line(&places, 2.0, BLUE);
            }
            let radius = if words { 5.0 } else { 2.6 };
            let dotted = run.iter().zip(&places).filter(|(i, _)| self.asked(**i));
            if words || places.len() == 1 || few {
                dotted.for_each(|(_, at)| canvas.disc(*at, radius, BLUE));
            }
        }
    }

    fn stack(&self, canvas: &Canvas<'_>) {
        self.stack.head(canvas, "treat rate, mass %");
        self.stack.rows(canvas, 6);
        for run in self.runs() {
            match (&self.picture.along, &run[..]) {
                (Along::Numbers(_), [_, _, ..]) => self.areas(canvas, &run),
                _ => run.iter().for_each(|i| self.bar(canvas, *i)),
            }
        }
        self.stack.floor(canvas);
        self.names(canvas);
    }

    fn areas(&self, canvas: &Canvas<'_>, run: &[usize]) {
        let edges: Vec<Vec<f64>> = run.iter().map(|i| stack::edges(&self.layers, *i)).collect();
        let edge = |level: usize| -> Vec<Place> {
            let places = run.iter().zip(&edges);
            places
                .map(|(i, e)| (self.x.at(self.positions[*i]), self.stack.y.at(e[level])))
                .collect()
        };
        for (level, layer) in self.layers.iter().enumerate() {
            let mut around = edge(level);
            around.extend(edge(level + 1).into_iter().rev());
            canvas.polygon(&around, layer.colour);
        }
        for level in 1..self.layers.len() {
            canvas.line(&edge(level), 0.7, GROUND);
        }
    }

    fn bar(&self, canvas: &Canvas<'_>, i: usize) {
        let middle = self.x.at(self.positions[i]);
        let half = match &self.picture.along {
            Along::Words(words) => {
                (self.x.end - self.x.start) / index(words.len()) * (0.5 - SLOT_FREE)
            }
            Along::Numbers(_) => THIN,
        };
        let left = (middle - half).max(self.x.start);
        let right = (middle + half).min(self.x.end);
        let edges = stack::edges(&self.layers, i);
        for (layer, edge) in self.layers.iter().zip(edges.windows(2)) {
            let (low, high) = (self.stack.y.at(edge[0]), self.stack.y.at(edge[1]));
            canvas.rectangle((left, low), (right, high), layer.colour);
            if low - high > 2.0 {
                canvas.line(&[(left, high), (right, high)], 0.7, GROUND);
            }
        }
    }

    /// The components' names at the right of the stack, in its order, tied to it where it ends with
    /// them.
    fn names(&self, canvas: &Canvas<'_>) {
        let Some(last) = self.values.iter().rposition(Option::is_some) else {
            return;
        };
        let edges = stack::edges(&self.layers, last);
        let middles: Vec<f64> = edges
            .windows(2)
            .map(|e| self.stack.y.at(f64::midpoint(e[0], e[1])))
            .rev()
            .collect();
        let (top, bottom) = (self.stack.y.end + 4.0, self.stack.y.start - 6.0);
        let heights = frame::apart(&middles, PITCH, top, bottom);
        let reaches = last > 0
            && last + 1 == self.values.len()
            && (self.x.at(self.positions[last]) - self.x.end).abs() < 1.0;
        let right = self.x.end + TO_LABELS;
        for ((layer, y), middle) in self.layers.iter().rev().zip(heights).zip(middles) {
            if reaches && layer.rates[last] > 0.0 && matches!(self.picture.along, Along::Numbers(_))
            {
                let places = [
                    (self.x.end + 3.0, middle),
                    (self.x.end + 7.0, middle),
                    (right - 20.0, y),
                    (right - 16.0, y),
                ];
                canvas.line(&places, 0.8, AXIS);
            }
            let (low, high) = ((right - 14.0, y - 5.0), (right - 4.0, y + 5.0));
            canvas.rectangle(low, high, layer.colour);
            let name = lettering::fitted(&layer.name, SIZE, Weight::Regular, LABEL);
            canvas.beside(&name, (right + 2.0, y), frame::words(Anchor::Start));
        }
    }

    fn strip(&self, canvas: &Canvas<'_>) {
        if self.picture.marks.is_empty() {
            return;
        }
        let at = (EDGE, self.strip - 10.0);
        canvas.text("limits, where they bind", at, frame::head(Anchor::Start));
        for (i, mark) in self.picture.marks.iter().enumerate() {
            let y = self.strip + ROW * (index(i) + 0.5) + 2.0;
            self.mark(canvas, mark, y);
        }
    }

    fn mark(&self, canvas: &Canvas<'_>, mark: &Mark, y: f64) {
        canvas.line(&[(self.x.start, y), (self.x.end, y)], 0.8, GRID);
        for stretch in &mark.stretches {
            let (left, right) = self.across(*stretch);
            canvas.rectangle((left, y - BAR / 2.0), (right, y + BAR / 2.0), BINDS);
        }
        let right = self.x.end + TO_LABELS;
        let label = lettering::fitted(&mark.label, SIZE, Weight::Regular, LABEL);
        canvas.beside(&label, (right + 2.0, y), frame::words(Anchor::Start));
    }

    /// Thin upright lines where something changes, with their positions above where those fit.
    fn breaks(&self, canvas: &Canvas<'_>) {
        let mut breaks: Vec<f64> = self.picture.breaks.clone();
        breaks.retain(|b| b.is_finite());
        breaks.sort_by(f64::total_cmp);
        let head = EDGE + lettering::width(&self.picture.goal.words(), HEAD, Weight::Bold) + 8.0;
        // From where each of two rows is free: near numbers stand above one another.
        let mut free = [head; 2];
        let mut told = f64::NEG_INFINITY;
        for at in breaks {
            let x = self.x.at(at);
            for (top, bottom) in self.panels() {
                canvas.line(&[(x, top), (x, bottom)], 0.8, AXIS);
            }
            if matches!(self.picture.along, Along::Numbers(_)) {
                let words = scale::along(at, self.x.to - self.x.from);
                let half = lettering::width(&words, SIZE, Weight::Regular) / 2.0;
                let lane = free.iter().position(|from| x - half >= *from);
                if let Some(lane) = lane.filter(|_| x - told > THIN) {
                    told = x;
                    let above = (x, self.goal.y.end - 6.0 - LANE * index(lane));
                    canvas.text(&words, above, frame::quiet(Anchor::Middle));
                    free[lane] = x + half + 8.0;
                }
            }
        }
    }
}

/// The gaps to draw: the whole axis where there is no recipe at all and nobody said so.
fn gaps(picture: &SweepPicture, shown: &[bool]) -> Vec<Gap> {
    let finite = |gap: &&Gap| gap.stretch.from.is_finite() && gap.stretch.to.is_finite();
    let mut gaps: Vec<Gap> = picture.gaps.iter().filter(finite).cloned().collect();
    if gaps.is_empty() && !shown.iter().any(|s| *s) {
        let (from, to) = match &picture.along {
            Along::Numbers(_) => scale::covered(&picture.along),
            Along::Words(words) => (0.0, index(words.len().saturating_sub(1))),
        };
        gaps.push(Gap {
            stretch: Stretch { from, to },
            reason: String::new(),
        });
    }
    gaps
}

/// What the upright lines are, and each gap in a sentence.
fn remarks(picture: &SweepPicture, gaps: &[Gap]) -> Vec<String> {
    let lines = (!picture.breaks.is_empty()).then(|| LINES.to_owned());
    let gaps = gaps.iter().map(|gap| {
        let at = scale::stretch(&picture.along, &picture.x, gap.stretch);
        if gap.reason.is_empty() {
            format!("No recipe {at}.")
        } else {
            format!("No recipe {at}: {}.", gap.reason.trim_end_matches('.'))
        }
    });
    let notes = picture.notes.iter().cloned();
    lines.into_iter().chain(gaps).chain(notes).collect()
}

/// How high the stack's panel reaches: to 100 % where the recipes are whole.
fn full(layers: &[Layer], positions: usize) -> f64 {
    let most = (0..positions)
        .filter_map(|i| stack::edges(layers, i).last().copied())
        .fold(0.0, f64::max);
    if most > 99.0 && most < 101.0 || most <= 0.0 {
        most.max(100.0)
    } else {
        most
    }
}

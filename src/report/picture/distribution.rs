//! Distributions: where the lab's results may lie, one panel a property, with the limits.

use crate::report::picture::canvas;
use crate::report::picture::canvas::Anchor;
use crate::report::picture::canvas::Canvas;
use crate::report::picture::canvas::Place;
use crate::report::picture::data::DistributionPanel;
use crate::report::picture::data::DistributionPicture;
use crate::report::picture::data::LimitLine;
use crate::report::picture::describe;
use crate::report::picture::frame;
use crate::report::picture::frame::EDGE;
use crate::report::picture::frame::HEAD;
use crate::report::picture::frame::SIZE;
use crate::report::picture::lettering;
use crate::report::picture::lettering::Weight;
use crate::report::picture::palette::Colour;
use crate::report::picture::palette::INK;
use crate::report::picture::palette::SKY;
use crate::report::picture::palette::VERMILLION;
use crate::report::picture::scale;
use crate::report::picture::scale::Scale;
use crate::report::picture::scale::index;

/// Width of a panel, pixels.
const WIDE: f64 = 290.0;
/// Height of its hump.
const HIGH: f64 = 96.0;
/// Room above it: its head, the chance to pass, the limits' words.
const ABOVE: f64 = 58.0;
/// Room below it for numbers.
const BELOW: f64 = 40.0;
/// Between two panels.
const BETWEEN: f64 = 36.0;
/// The most panels in a row.
const COLUMNS: usize = 3;
/// A limit farther off than this many widths of the hump stands outside, at the edge.
const FAR: f64 = 1.5;
/// Share of all draws that a tail may hold and not be drawn.
const TAIL: f64 = 5e-5;

/// The picture as SVG.
#[must_use]
pub fn svg(picture: &DistributionPicture) -> String {
    let columns = match picture.panels.len() {
        0..=1 => 1,
        4 => 2,
        n => n.min(COLUMNS),
    };
    let rows = picture.panels.len().div_ceil(columns);
    let page = (2.0 * EDGE + WIDE * index(columns) + BETWEEN * index(columns - 1)).max(420.0);
    let title = frame::title_lines(&picture.title, page);
    let remarks = frame::remark_lines(std::slice::from_ref(&picture.together), page);
    let head = frame::below_title(&title) + frame::remark_height(&remarks);
    let pitch = ABOVE + HIGH + BELOW;
    let size = (page, head + pitch * index(rows) + 4.0);
    canvas::page(
        size,
        &picture.title,
        &describe::distribution(picture),
        |canvas| {
            frame::title(canvas, &title);
            frame::remarks(canvas, &remarks, frame::below_title(&title) - 8.0);
            for (i, panel) in picture.panels.iter().enumerate() {
                let left = EDGE + (WIDE + BETWEEN) * index(i % columns);
                let top = head + pitch * index(i / columns);
                Hump::of(panel, left, top).draw(canvas);
            }
        },
    )
}

/// One panel with its places.
struct Hump<'a> {
    panel: &'a DistributionPanel,
    bins: Vec<f64>,
    from: f64,
    width: f64,
    x: Scale,
    y: Scale,
    top: f64,
}

impl<'a> Hump<'a> {
    fn of(panel: &'a DistributionPanel, left: f64, top: f64) -> Self {
        let sound = panel.from.is_finite() && panel.width.is_finite() && panel.width > 0.0;
        let bins: Vec<f64> = panel
            .bins
            .iter()
            .map(|b| {
                if sound && b.is_finite() {
                    b.max(0.0)
                } else {
                    0.0
                }
            })
            .collect();
        let (from, width) = if sound {
            (panel.from, panel.width)
        } else {
            (0.0, 1.0)
        };
        let (first, last) = seen(&bins);
        let hump = (from + width * index(first), from + width * index(last));
        let far = FAR * (hump.1 - hump.0);
        let near = [&panel.min, &panel.max]
            .into_iter()
            .flatten()
            .map(|l| l.value)
            .filter(|v| *v > hump.0 - far && *v < hump.1 + far);
        let reach = scale::roomy([hump.0, hump.1].into_iter().chain(near));
        let most = bins.iter().copied().fold(0.0, f64::max);
        let bottom = top + ABOVE + HIGH;
        let most = if most > 0.0 { most } else { 1.0 };
        Hump {
            panel,
            bins,
            from,
            width,
            x: Scale::new(reach, left, left + WIDE),
            y: Scale::new((0.0, most), bottom, bottom - HIGH),
            top,
        }
    }

    fn draw(&self, canvas: &Canvas<'_>) {
        let chance = &self.panel.pass;
        let room = WIDE - lettering::width(chance, SIZE, Weight::Regular) - 14.0;
        let name = lettering::fitted(&self.panel.axis.words(), HEAD, Weight::Bold, room);
        let y = self.top + 16.0;
        canvas.text(&name, (self.x.start, y), frame::head(Anchor::Start));
        canvas.text(chance, (self.x.end, y), frame::words(Anchor::End));
        let min = self
            .panel
            .min
            .as_ref()
            .map_or(f64::NEG_INFINITY, |l| l.value);
        let max = self.panel.max.as_ref().map_or(f64::INFINITY, |l| l.value);
        self.part(canvas, f64::NEG_INFINITY, min, VERMILLION);
        self.part(canvas, min, max, SKY);
        self.part(canvas, max, f64::INFINITY, VERMILLION);
        frame::ticks_below(canvas, &self.x, self.y.start, &frame::round(&self.x));
        let floor = self.y.start;
        canvas.line(&[(self.x.start, floor), (self.x.end, floor)], 1.0, INK);
        self.limits(canvas);
    }

    /// The part of the hump between two values, as steps.
    fn part(&self, canvas: &Canvas<'_>, low: f64, high: f64, colour: Colour) {
        let mut top: Vec<Place> = Vec::new();
        for (i, bin) in self.bins.iter().enumerate() {
            let left = (self.from + self.width * index(i)).max(low);
            let right = (self.from + self.width * index(i + 1)).min(high);
            if left < right && *bin > 0.0 {
                let y = self.y.at(*bin);
                top.push((self.x.at(left), y));
                top.push((self.x.at(right), y));
            }
        }
        let (Some(first), Some(last)) = (top.first().copied(), top.last().copied()) else {
            return;
        };
        top.insert(0, (first.0, self.y.start));
        top.push((last.0, self.y.start));
        canvas.polygon(&top, colour);
    }

    fn limits(&self, canvas: &Canvas<'_>) {
        let (min, max) = (&self.panel.min, &self.panel.max);
        let wide = |limit: &LimitLine| lettering::width(&limit.words, SIZE, Weight::Regular);
        // Words stand on the failing side of their line where there is room, which keeps the two
        // apart.
        if let Some(limit) = min {
            let x = self.line(canvas, limit);
            let (at, anchor) = if x - wide(limit) - 4.0 >= self.x.start {
                (x - 4.0, Anchor::End)
            } else {
                (x + 4.0, Anchor::Start)
            };
            self.words(canvas, limit, at.max(self.x.start), anchor);
        }
        if let Some(limit) = max {
            let x = self.line(canvas, limit);
            let (at, anchor) = if x + wide(limit) + 4.0 <= self.x.end {
                (x + 4.0, Anchor::Start)
            } else {
                (x - 4.0, Anchor::End)
            };
            self.words(canvas, limit, at.min(self.x.end), anchor);
        }
    }

    /// The line of a limit, where it lies in the panel; tells where.
    fn line(&self, canvas: &Canvas<'_>, limit: &LimitLine) -> f64 {
        let x = self.x.at(limit.value);
        if limit.value >= self.x.from && limit.value <= self.x.to {
            canvas.line(&[(x, self.y.start), (x, self.y.end - 22.0)], 1.6, INK);
        }
        x
    }

    fn words(&self, canvas: &Canvas<'_>, limit: &LimitLine, at: f64, anchor: Anchor) {
        let beyond = if limit.value < self.x.from {
            format!("← {}", limit.words)
        } else if limit.value > self.x.to {
            format!("{} →", limit.words)
        } else {
            limit.words.clone()
        };
        let place = (at, self.y.end - 12.0);
        let shown = lettering::fitted(&beyond, SIZE, Weight::Regular, WIDE / 2.0);
        canvas.text(&shown, place, frame::words(anchor));
    }
}

/// The bins that are drawn: the first, and the one after the last; tails of next to nothing go.
fn seen(bins: &[f64]) -> (usize, usize) {
    let tail = bins.iter().sum::<f64>() * TAIL;
    let reached = |mut bins: std::iter::Enumerate<std::slice::Iter<'_, f64>>| {
        let mut sum = 0.0;
        bins.find(|(_, bin)| {
            sum += **bin;
            sum > tail
        })
        .map(|(i, _)| i)
    };
    let backwards: Vec<f64> = bins.iter().rev().copied().collect();
    match (
        reached(bins.iter().enumerate()),
        reached(backwards.iter().enumerate()),
    ) {
        (Some(first), Some(after)) => (first, bins.len() - after),
        _ => (0, bins.len().max(1)),
    }
}

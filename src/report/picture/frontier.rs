//! A frontier: the recipes of which none is beaten in both properties, with exchange rates.

use crate::report::picture::canvas;
use crate::report::picture::canvas::Anchor;
use crate::report::picture::canvas::Canvas;
use crate::report::picture::canvas::Place;
use crate::report::picture::data::Along;
use crate::report::picture::data::FrontierPicture;
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
use crate::report::picture::palette::BLUE;
use crate::report::picture::palette::GROUND;
use crate::report::picture::palette::VERMILLION;
use crate::report::picture::scale;
use crate::report::picture::scale::Scale;

/// Width of the panel, pixels.
const WIDE: f64 = 680.0;
/// Its height.
const HIGH: f64 = 420.0;
/// Room at its left for numbers.
const LEFT: f64 = 76.0;
/// Room at its right for the name of an end.
const RIGHT: f64 = 60.0;
/// Radius of a point.
const POINT: f64 = 2.8;
/// Radius of a point whose exchange rate is told.
const TOLD: f64 = 4.6;
/// Radius of an end.
const END: f64 = 6.0;
/// With more points than this only the line is drawn, and the ends.
const DOTS: usize = 60;
/// Words farther from their point than this are tied to it, pixels.
const BESIDE: f64 = 14.0;
/// What a broken line means.
const JUMP: &str = "Where the line is broken the frontier jumps: no recipe between is unbeaten.";

/// A rectangle: left, top, right, bottom.
type Box = [f64; 4];

/// The picture as SVG.
#[must_use]
pub fn svg(picture: &FrontierPicture) -> String {
    let frontier = Frontier::of(picture);
    let size = (frontier.page, frontier.bottom);
    canvas::page(
        size,
        &picture.title,
        &describe::frontier(picture),
        |canvas| frontier.draw(canvas),
    )
}

struct Frontier<'a> {
    picture: &'a FrontierPicture,
    title: Vec<String>,
    remarks: Vec<String>,
    panel: Panel,
    /// Each point's index among all, and its place.
    places: Vec<(usize, Place)>,
    page: f64,
    bottom: f64,
}

impl<'a> Frontier<'a> {
    fn of(picture: &'a FrontierPicture) -> Self {
        let page = LEFT + WIDE + RIGHT + EDGE;
        let title = frame::title_lines(&picture.title, page);
        let jumps = (!picture.jumps.is_empty()).then(|| JUMP.to_owned());
        let remarks = frame::remark_lines(&Vec::from_iter(jumps), page);
        let top = frame::below_title(&title) + 28.0;
        let points: Vec<_> = picture
            .points
            .iter()
            .enumerate()
            .filter(|(_, p)| p.x.is_finite() && p.y.is_finite())
            .collect();
        let (xs, ys) = (points.iter().map(|p| p.1.x), points.iter().map(|p| p.1.y));
        let panel = Panel {
            x: Scale::new(scale::roomy(xs), LEFT, LEFT + WIDE),
            y: Scale::new(scale::roomy(ys), top + HIGH, top),
        };
        let places = points
            .iter()
            .map(|(i, p)| (*i, (panel.x.at(p.x), panel.y.at(p.y))))
            .collect();
        Frontier {
            picture,
            title,
            panel,
            places,
            page,
            bottom: top + HIGH + BELOW_AXIS + frame::remark_height(&remarks),
            remarks,
        }
    }

    fn draw(&self, canvas: &Canvas<'_>) {
        frame::title(canvas, &self.title);
        self.panel.head(canvas, &self.picture.y.words());
        self.panel.rows(canvas, 8);
        let floor = self.panel.y.start;
        let along = Along::Numbers(Vec::new());
        let name = self.picture.x.words();
        frame::below(canvas, &self.panel.x, floor, &along, &name);
        frame::remarks(canvas, &self.remarks, floor + BELOW_AXIS);
        if self.places.is_empty() {
            let middle = f64::midpoint(self.panel.x.start, self.panel.x.end);
            let at = (middle, f64::midpoint(self.panel.y.start, self.panel.y.end));
            canvas.beside(NO_RECIPE, at, frame::quiet(Anchor::Middle));
            return;
        }
        self.curve(canvas);
        self.labels(canvas);
    }

    /// Runs of points that no jump interrupts.
    fn runs(&self) -> Vec<Vec<Place>> {
        let mut runs: Vec<Vec<Place>> = Vec::new();
        let mut before: Option<usize> = None;
        for (i, place) in &self.places {
            let jumped =
                before.is_some_and(|b| self.picture.jumps.iter().any(|j| (b..*i).contains(j)));
            match runs.last_mut() {
                Some(run) if !jumped => run.push(*place),
                _ => runs.push(vec![*place]),
            }
            before = Some(*i);
        }
        runs
    }

    fn curve(&self, canvas: &Canvas<'_>) {
        for run in self.runs() {
            canvas.line(&run, 2.0, BLUE);
            // What begins or ends at a jump is seen to do so.
            for at in run.first().into_iter().chain(run.last()) {
                canvas.disc(*at, POINT, BLUE);
            }
        }
        for (i, at) in &self.places {
            if !self.picture.points[*i].rate.is_empty() {
                canvas.disc(*at, TOLD, BLUE);
            } else if self.places.len() <= DOTS {
                canvas.disc(*at, POINT, BLUE);
            }
        }
        for (_, at) in self.places.first().into_iter().chain(self.places.last()) {
            canvas.disc(*at, END, VERMILLION);
            canvas.disc(*at, END - 2.5, GROUND);
        }
    }

    /// The names of the ends, then exchange rates where they hide nothing.
    fn labels(&self, canvas: &Canvas<'_>) {
        let mut taken: Vec<Box> = self.places.iter().map(|(_, p)| around(*p, END)).collect();
        let pairs: Vec<(Place, Place)> = self
            .runs()
            .iter()
            .flat_map(|run| run.windows(2).map(|w| (w[0], w[1])).collect::<Vec<_>>())
            .collect();
        let mut put = |words: &str, at: Place, size: f64, weight: Weight, far: f64| {
            let wide = lettering::width(words, size, weight);
            let spot = spots(at, wide, size, far).into_iter().find(|(_, area)| {
                self.inside(area)
                    && !taken.iter().any(|t| overlap(t, area))
                    && !pairs.iter().any(|(a, b)| crosses(*a, *b, area))
            });
            if let Some((place, area)) = spot {
                taken.push(area);
                Self::tie(canvas, at, &area);
                let look = match weight {
                    Weight::Bold => frame::head(Anchor::Start),
                    Weight::Regular => frame::quiet(Anchor::Start),
                };
                canvas.text(words, place, look);
            }
        };
        let ends = [self.places.first(), self.places.last()];
        let both = self.places.len() > 1;
        for (name, end) in self
            .picture
            .ends
            .iter()
            .zip(ends)
            .take(if both { 2 } else { 1 })
        {
            if let Some((_, at)) = end {
                put(name, *at, HEAD, Weight::Bold, END + 4.0);
            }
        }
        for (i, at) in &self.places {
            let rate = &self.picture.points[*i].rate;
            if !rate.is_empty() {
                put(rate, *at, SIZE, Weight::Regular, TOLD + 5.0);
            }
        }
    }

    /// A thin line from a point to its words, where they do not stand right beside it.
    fn tie(canvas: &Canvas<'_>, at: Place, area: &Box) {
        let near = (at.0.clamp(area[0], area[2]), at.1.clamp(area[1], area[3]));
        let away = (near.0 - at.0, near.1 - at.1);
        let far = away.0.hypot(away.1);
        if far > BESIDE {
            let start = 1.0 - (far - TOLD - 1.0) / far;
            let from = (at.0 + away.0 * start, at.1 + away.1 * start);
            canvas.line(&[from, near], 0.8, AXIS);
        }
    }

    /// Whether a rectangle is on the page, beside the numbers and above the axis.
    fn inside(&self, area: &Box) -> bool {
        area[0] >= self.panel.x.start
            && area[2] <= self.page - 6.0
            && area[1] >= self.panel.y.end - 4.0
            && area[3] <= self.panel.y.start - 2.0
    }
}

/// Where a text could stand beside a point: its start on the line, and its rectangle.
fn spots(at: Place, wide: f64, size: f64, far: f64) -> Vec<(Place, Box)> {
    let mut spots = Vec::new();
    for reach in [1.0, 2.2, 4.0] {
        let d = far * reach;
        for (left, middle) in [
            (at.0 + d, at.1 - d * 0.8),
            (at.0 + d, at.1),
            (at.0 - d - wide, at.1 + d * 0.8),
            (at.0 + d, at.1 + d * 0.8),
            (at.0 - d - wide, at.1 - d * 0.8),
            (at.0 - wide / 2.0, at.1 - d - size / 2.0),
            (at.0 - wide / 2.0, at.1 + d + size / 2.0),
            (at.0 - d - wide, at.1),
        ] {
            let area = [
                left - 2.0,
                middle - size * 0.75,
                left + wide + 2.0,
                middle + size * 0.75,
            ];
            spots.push(((left, middle + size * 0.35), area));
        }
    }
    spots
}

fn around(at: Place, far: f64) -> Box {
    [at.0 - far, at.1 - far, at.0 + far, at.1 + far]
}

fn overlap(a: &Box, b: &Box) -> bool {
    a[0] < b[2] && b[0] < a[2] && a[1] < b[3] && b[1] < a[3]
}

/// Whether a straight line passes through a rectangle: clipped to it, something is left.
fn crosses(a: Place, b: Place, area: &Box) -> bool {
    let (mut from, mut to) = (0.0_f64, 1.0_f64);
    let sides = [
        (a.0 - b.0, a.0 - area[0]),
        (b.0 - a.0, area[2] - a.0),
        (a.1 - b.1, a.1 - area[1]),
        (b.1 - a.1, area[3] - a.1),
    ];
    // Liang and Barsky's clipping (from memory).
    for (slope, room) in sides {
        if slope.abs() < f64::EPSILON {
            if room < 0.0 {
                return false;
            }
        } else if slope < 0.0 {
            from = from.max(room / slope);
        } else {
            to = to.min(room / slope);
        }
    }
    from <= to
}

//! A tornado: what moving one thing at a time does to the goal, one bar each way.

use crate::report::picture::canvas;
use crate::report::picture::canvas::Anchor;
use crate::report::picture::canvas::Canvas;
use crate::report::picture::data::Along;
use crate::report::picture::data::Moved;
use crate::report::picture::data::TornadoBar;
use crate::report::picture::data::TornadoPicture;
use crate::report::picture::describe;
use crate::report::picture::frame;
use crate::report::picture::frame::BELOW_AXIS;
use crate::report::picture::frame::EDGE;
use crate::report::picture::frame::SIZE;
use crate::report::picture::lettering;
use crate::report::picture::lettering::Weight;
use crate::report::picture::palette::Colour;
use crate::report::picture::palette::INK;
use crate::report::picture::palette::NOTHING;
use crate::report::picture::palette::SKY;
use crate::report::picture::palette::VERMILLION;
use crate::report::picture::scale;
use crate::report::picture::scale::Scale;
use crate::report::picture::scale::index;

/// Height of a row, pixels.
const ROW: f64 = 30.0;
/// Height of a bar.
const BAR: f64 = 16.0;
/// Width of the bars' panel without the room for words at its sides.
const WIDE: f64 = 380.0;
/// The widest label at the left.
const LABEL: f64 = 380.0;
/// The widest words beside a bar.
const BESIDE: f64 = 170.0;
/// From a bar to its words.
const GAP: f64 = 6.0;
/// The colours of the two ways: the first is darker, in grey too.
const COLOURS: [Colour; 2] = [VERMILLION, SKY];

/// The picture as SVG.
#[must_use]
pub fn svg(picture: &TornadoPicture) -> String {
    let tornado = Tornado::of(picture);
    let size = (tornado.page, tornado.floor + BELOW_AXIS);
    canvas::page(
        size,
        &picture.title,
        &describe::tornado(picture),
        |canvas| tornado.draw(canvas),
    )
}

struct Tornado<'a> {
    picture: &'a TornadoPicture,
    title: Vec<String>,
    /// The bars' numbers; words at either side stand beyond its ends.
    x: Scale,
    /// Decimals of every change.
    places: i32,
    /// How far words reach beyond either end.
    beside: f64,
    top: f64,
    floor: f64,
    page: f64,
}

impl<'a> Tornado<'a> {
    fn of(picture: &'a TornadoPicture) -> Self {
        let label = picture
            .bars
            .iter()
            .map(|b| lettering::width(&b.label, SIZE, Weight::Regular))
            .fold(60.0, f64::max)
            .min(LABEL);
        let places = describe::change_places(picture);
        let moves = || picture.bars.iter().flat_map(|b| b.moves.iter().flatten());
        let beside = moves()
            .map(|m| lettering::width(&words(m, places), SIZE, Weight::Regular))
            .fold(60.0, f64::max)
            .min(BESIDE)
            + GAP;
        let left = EDGE + label + 12.0 + beside;
        let effects = moves().filter_map(|m| m.effect);
        let (low, high) = scale::ends(effects).unwrap_or((0.0, 0.0));
        let reach = if low < 0.0 || high > 0.0 {
            scale::exact([low.min(0.0), high.max(0.0)])
        } else {
            (-1.0, 1.0)
        };
        // A side on which nothing moves still has words to show.
        let span = reach.1 - reach.0;
        let reach = (reach.0.min(-0.12 * span), reach.1.max(0.12 * span));
        let page = left + WIDE + beside + EDGE;
        let title = frame::title_lines(&picture.title, page);
        let top = frame::below_title(&title) + 34.0;
        Tornado {
            picture,
            x: Scale::new(reach, left, left + WIDE),
            places,
            beside,
            top,
            floor: top + ROW * index(picture.bars.len().max(1)) + 4.0,
            page,
            title,
        }
    }

    fn draw(&self, canvas: &Canvas<'_>) {
        frame::title(canvas, &self.title);
        self.ways(canvas);
        let zero = self.x.at(0.0);
        for (i, bar) in self.picture.bars.iter().enumerate() {
            self.bar(canvas, bar, self.top + ROW * (index(i) + 0.5));
        }
        canvas.line(&[(zero, self.top), (zero, self.floor)], 1.2, INK);
        let along = Along::Numbers(Vec::new());
        let name = self.picture.axis.words();
        frame::below(canvas, &self.x, self.floor, &along, &name);
    }

    /// What the two colours mean.
    fn ways(&self, canvas: &Canvas<'_>) {
        let y = self.top - 18.0;
        let mut x = self.x.start;
        for (way, colour) in self.picture.ways.iter().zip(COLOURS) {
            canvas.rectangle((x, y - 6.0), (x + 12.0, y + 6.0), colour);
            canvas.beside(way, (x + 18.0, y), frame::words(Anchor::Start));
            x += 18.0 + lettering::width(way, SIZE, Weight::Regular) + 26.0;
        }
    }

    fn bar(&self, canvas: &Canvas<'_>, bar: &TornadoBar, y: f64) {
        let label = lettering::fitted(&bar.label, SIZE, Weight::Regular, LABEL);
        let at = (self.x.start - self.beside - 12.0, y);
        canvas.beside(&label, at, frame::words(Anchor::End));
        let sides = sides(bar);
        // Two bars on one side share the row's height.
        let shared = sides[0] == sides[1] && bar.moves.iter().all(Option::is_some);
        for (way, moved) in bar.moves.iter().enumerate() {
            let Some(moved) = moved else {
                continue;
            };
            let (middle, height) = match (shared, way) {
                (false, _) => (y, BAR),
                (true, 0) => (y - ROW / 4.0 + 0.5, ROW / 2.0 - 2.0),
                (true, _) => (y + ROW / 4.0 - 0.5, ROW / 2.0 - 2.0),
            };
            self.one(canvas, moved, sides[way], (middle, height), COLOURS[way]);
        }
    }

    /// One bar from zero outwards, and its words at its end.
    fn one(
        &self,
        canvas: &Canvas<'_>,
        moved: &Moved,
        right: bool,
        (middle, height): (f64, f64),
        colour: Colour,
    ) {
        let zero = self.x.at(0.0);
        let (end, colour) = match moved.effect.filter(|e| e.is_finite()) {
            Some(effect) => (self.x.at(effect), colour),
            // As far as there is anything to see: no recipe is worse than any cost.
            None if right => (self.x.end, NOTHING),
            None => (self.x.start, NOTHING),
        };
        let (top, bottom) = (middle - height / 2.0, middle + height / 2.0);
        canvas.rectangle((zero, top), (end, bottom), colour);
        let text = lettering::fitted(
            &words(moved, self.places),
            SIZE,
            Weight::Regular,
            self.beside - GAP,
        );
        let (at, anchor) = if right {
            (end + GAP, Anchor::Start)
        } else {
            (end - GAP, Anchor::End)
        };
        canvas.beside(&text, (at, middle), frame::quiet(anchor));
    }
}

/// On which side of zero each way goes: `true` is right. What has no effect, or no recipe, goes
/// against the other; tightening costs.
#[must_use]
pub fn sides(bar: &TornadoBar) -> [bool; 2] {
    let sign = |moved: &Option<Moved>| {
        let effect = moved.as_ref()?.effect?;
        (effect.abs() > 0.0).then_some(effect > 0.0)
    };
    let known = [sign(&bar.moves[0]), sign(&bar.moves[1])];
    match known {
        [Some(a), Some(b)] => [a, b],
        [Some(a), None] => [a, !a],
        [None, Some(b)] => [!b, b],
        [None, None] => [true, false],
    }
}

/// What a move does and where to: `+0.120 at 737`.
fn words(moved: &Moved, places: i32) -> String {
    format!("{} at {}", describe::change(moved.effect, places), moved.to)
}

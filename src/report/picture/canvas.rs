//! The only file that names the plotting library: lines, areas and words on a page, and round
//! positions along an axis.
//!
//! Everything is placed in pixels from the top left corner. The library counts in whole units, so
//! the page is ten times finer than its pixels.

use crate::report::picture::lettering::FAMILY;
use crate::report::picture::lettering::Weight;
use crate::report::picture::palette::Colour;
use crate::report::picture::palette::GROUND;
use plotters::coord::Shift;
use plotters::coord::ranged1d::Ranged;
use plotters::coord::types::RangedCoordf64;
use plotters::prelude::Circle;
use plotters::prelude::DrawingArea;
use plotters::prelude::IntoDrawingArea;
use plotters::prelude::IntoFont;
use plotters::prelude::PathElement;
use plotters::prelude::Polygon;
use plotters::prelude::RGBColor;
use plotters::prelude::Rectangle;
use plotters::prelude::SVGBackend;
use plotters::prelude::ShapeStyle;
use plotters::style::FontStyle;
use plotters::style::FontTransform;
use plotters::style::text_anchor::HPos;
use plotters::style::text_anchor::Pos;
use plotters::style::text_anchor::VPos;

/// The second line of every page, so that one can be told from a drawing by another hand.
const MADE: &str = "<!-- drawn by treatrate -->";

/// Units of the page a pixel.
const FINE: f64 = 10.0;

/// The library writes a letter size divided by this.
const LIBRARY_SIZE: f64 = 1.24;

/// The library lifts words that stand on a line by half an x-height; this is what it lifts them by,
/// as a share of the size.
const LIBRARY_LIFT: f64 = 0.25;

/// Half the height of a digit, as a share of the size: how far below a middle the words stand.
const HALF_DIGIT: f64 = 0.35;

/// A place on the page, pixels from the left and from the top.
pub type Place = (f64, f64);

/// Where a text stands from its place.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Anchor {
    /// Begins there.
    Start,
    /// Has its middle there.
    Middle,
    /// Ends there.
    End,
}

/// How a text looks.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Lettering {
    /// Size, pixels.
    pub size: f64,
    /// Weight.
    pub weight: Weight,
    /// Colour.
    pub colour: Colour,
    /// Where it stands from its place.
    pub anchor: Anchor,
}

/// A page being drawn.
pub struct Canvas<'a> {
    area: DrawingArea<SVGBackend<'a>, Shift>,
}

/// Draws a page: its size in pixels, its name and its content in words for who cannot see it.
pub fn page(
    size: (f64, f64),
    title: &str,
    description: &str,
    draw: impl FnOnce(&Canvas<'_>),
) -> String {
    let mut text = String::new();
    let fine = (units(size.0), units(size.1));
    {
        let area = SVGBackend::with_string(&mut text, fine).into_drawing_area();
        let canvas = Canvas { area };
        canvas.rectangle((0.0, 0.0), size, GROUND);
        draw(&canvas);
        written(canvas.area.present());
    }
    let body = text.split_once('\n').map_or("", |(_, body)| body);
    format!(
        "<svg width=\"{}\" height=\"{}\" viewBox=\"0 0 {} {}\" role=\"img\" \
         xmlns=\"http://www.w3.org/2000/svg\">\n{MADE}\n\
         <title>{}</title>\n<desc>{}</desc>\n{body}",
        f64::from(fine.0) / FINE,
        f64::from(fine.1) / FINE,
        fine.0,
        fine.1,
        escaped(title),
        // Where there is nothing to tell, what it would be about.
        escaped(if description.is_empty() {
            title
        } else {
            description
        }),
    )
}

/// Whether the bytes are a page that was drawn here.
#[must_use]
pub fn is_ours(bytes: &[u8]) -> bool {
    let mut lines = bytes.split(|b| *b == b'\n');
    let first = lines.next().is_some_and(|l| l.starts_with(b"<svg "));
    first && lines.next() == Some(MADE.as_bytes())
}

impl Canvas<'_> {
    /// A line through places; nothing for fewer than two.
    pub fn line(&self, places: &[Place], width: f64, colour: Colour) {
        if places.len() > 1 {
            let places: Vec<_> = places.iter().map(|p| fine(*p)).collect();
            let style = ShapeStyle::from(&rgb(colour)).stroke_width(units(width));
            written(self.area.draw(&PathElement::new(places, style)));
        }
    }

    /// A filled area with this edge.
    pub fn polygon(&self, places: &[Place], colour: Colour) {
        if places.len() > 2 {
            let places: Vec<_> = places.iter().map(|p| fine(*p)).collect();
            let style = ShapeStyle::from(&rgb(colour)).filled();
            written(self.area.draw(&Polygon::new(places, style)));
        }
    }

    /// A filled rectangle between two corners.
    pub fn rectangle(&self, a: Place, b: Place, colour: Colour) {
        let low = (a.0.min(b.0), a.1.min(b.1));
        let high = (a.0.max(b.0), a.1.max(b.1));
        let style = ShapeStyle::from(&rgb(colour)).filled();
        written(
            self.area
                .draw(&Rectangle::new([fine(low), fine(high)], style)),
        );
    }

    /// A disc.
    pub fn disc(&self, middle: Place, radius: f64, colour: Colour) {
        let style = ShapeStyle::from(&rgb(colour)).filled();
        written(
            self.area
                .draw(&Circle::new(fine(middle), units(radius), style)),
        );
    }

    /// A text that stands on a line through the place.
    pub fn text(&self, text: &str, at: Place, look: Lettering) {
        let stands = (at.0, at.1 + LIBRARY_LIFT * look.size);
        self.write(text, stands, look, FontTransform::None);
    }

    /// A text whose digits have their middle at the height of the place.
    pub fn beside(&self, text: &str, at: Place, look: Lettering) {
        self.text(text, (at.0, at.1 + HALF_DIGIT * look.size), look);
    }

    /// A text that reads upwards, with its middle line at the place.
    pub fn upright(&self, text: &str, at: Place, look: Lettering) {
        let aside = (HALF_DIGIT + LIBRARY_LIFT) * look.size;
        let at = (at.0 + aside, at.1);
        self.write(text, at, look, FontTransform::Rotate270);
    }

    fn write(&self, text: &str, at: Place, look: Lettering, turned: FontTransform) {
        if text.is_empty() {
            return;
        }
        let side = match look.anchor {
            Anchor::Start => HPos::Left,
            Anchor::Middle => HPos::Center,
            Anchor::End => HPos::Right,
        };
        let style = match look.weight {
            Weight::Regular => FontStyle::Normal,
            Weight::Bold => FontStyle::Bold,
        };
        let font = (FAMILY, look.size * FINE * LIBRARY_SIZE)
            .into_font()
            .style(style)
            .transform(turned)
            .color(&rgb(look.colour))
            .pos(Pos::new(side, VPos::Bottom));
        written(self.area.draw_text(&printable(text), &font, fine(at)));
    }
}

/// Round positions between two numbers, at most a few, ascending.
#[must_use]
pub fn round_positions(from: f64, to: f64, most: usize) -> Vec<f64> {
    let span = to - from;
    if !span.is_finite() || span <= 0.0 {
        return vec![from];
    }
    // The library's arithmetic is made for spans around 1.
    let scale = 10_f64.powf(span.log10().floor());
    let axis = RangedCoordf64::from(from / scale..to / scale);
    let found = axis.key_points(most);
    // Adding up step after step it loses the last position to a hair of rounding: its step, counted.
    let hair = span / scale * 1e-9;
    let first = found.first().copied();
    let counted = match found[..] {
        [a, b, ..] => (0..=most)
            .map(|k| a + f64::from(u32::try_from(k).unwrap_or(0)) * (b - a))
            .collect(),
        _ => Vec::from_iter(first),
    };
    counted
        .into_iter()
        .filter(|p| *p >= from / scale - hair && *p <= to / scale + hair)
        .map(|p| if p.abs() < hair { 0.0 } else { p * scale })
        .filter(|p| p.is_finite())
        .collect()
}

fn rgb(colour: Colour) -> RGBColor {
    RGBColor(colour.0, colour.1, colour.2)
}

fn fine(place: Place) -> (i32, i32) {
    (whole(place.0), whole(place.1))
}

#[expect(
    clippy::cast_possible_truncation,
    reason = "a cast of a float saturates, and pages are small"
)]
fn whole(pixels: f64) -> i32 {
    (pixels * FINE).round() as i32
}

fn units(pixels: f64) -> u32 {
    whole(pixels).max(0).unsigned_abs()
}

/// A text that XML can hold: no control characters.
fn printable(text: &str) -> String {
    text.chars()
        .map(|c| if c.is_control() { ' ' } else { c })
        .filter(|c| !matches!(c, '\u{fffe}' | '\u{ffff}'))
        .collect()
}

fn escaped(text: &str) -> String {
    printable(text)
        .replace('&', "&amp;")
        .replace('<', "&lt;")
        .replace('>', "&gt;")
}

fn written<T, E: std::fmt::Debug>(result: Result<T, E>) {
    // The page is a string in memory.
    result.expect("a string takes what is written to it");
}

//! Pictures: SVG, PNG, and a compact plot of plain characters.
//!
//! In: plain data (`data`), filled by whoever has an answer to show. Out: text or bytes, the same
//! for the same input on every machine. Refuses to know where the numbers come from.

use crate::report::picture::data::Picture;
use crate::report::picture::png::NotDrawn;

pub mod data;

pub mod palette;

pub mod lettering;

pub mod canvas;

pub mod png;

pub mod scale;

pub mod frame;

pub mod describe;

pub mod stack;

pub mod sweep;

pub mod grid;

pub mod regions;

pub mod map;

pub mod frontier;

pub mod tornado;

pub mod distribution;

pub mod terminal;

pub mod file;

/// The picture as SVG, with its name and content in words for who cannot see it.
#[must_use]
pub fn svg(picture: &Picture) -> String {
    match picture {
        Picture::Sweep(picture) => sweep::svg(picture),
        Picture::Map(picture) => map::svg(picture),
        Picture::Frontier(picture) => frontier::svg(picture),
        Picture::Tornado(picture) => tornado::svg(picture),
        Picture::Distribution(picture) => distribution::svg(picture),
    }
}

/// The picture as PNG, two pixels for each pixel of the SVG's page.
///
/// # Errors
/// Where the picture is too large for memory.
pub fn png(picture: &Picture) -> Result<Vec<u8>, NotDrawn> {
    png::from_svg(&svg(picture))
}

/// The picture in plain characters, for a terminal this many characters wide.
#[must_use]
pub fn terminal(picture: &Picture, width: usize) -> String {
    terminal::plot(picture, width)
}

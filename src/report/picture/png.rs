//! The only file that names the rasterising library: from SVG text to the bytes of a PNG.

use crate::report::picture::lettering::FACES;
use resvg::tiny_skia::Pixmap;
use resvg::tiny_skia::Transform;
use resvg::usvg::Options;
use resvg::usvg::Tree;
use std::fmt;

/// Pixels of the PNG a pixel of the page: sharp on fine screens and in print.
const SHARP: f32 = 2.0;

/// Why there is no PNG.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NotDrawn(String);

impl fmt::Display for NotDrawn {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "the picture cannot be drawn as a PNG: {}", self.0)
    }
}

impl std::error::Error for NotDrawn {}

/// The PNG of an SVG, with the embedded letters only: the same bytes on every machine.
///
/// # Errors
/// Where the text is no SVG, or the page too large for memory.
pub fn from_svg(svg: &str) -> Result<Vec<u8>, NotDrawn> {
    let mut options = Options::default();
    let letters = options.fontdb_mut();
    for face in FACES {
        letters.load_font_data(face.to_vec());
    }
    let tree = Tree::from_str(svg, &options).map_err(|e| NotDrawn(e.to_string()))?;
    let size = tree
        .size()
        .to_int_size()
        .scale_by(SHARP)
        .ok_or_else(|| NotDrawn("its size is nothing".into()))?;
    let mut pixels = Pixmap::new(size.width(), size.height())
        .ok_or_else(|| NotDrawn("it is too large".into()))?;
    resvg::render(
        &tree,
        Transform::from_scale(SHARP, SHARP),
        &mut pixels.as_mut(),
    );
    pixels.encode_png().map_err(|e| NotDrawn(e.to_string()))
}

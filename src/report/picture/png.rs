//! The only file that names the rasterising library: from SVG text to the bytes of a PNG.

use crate::report::picture::lettering::FACES;
use resvg::tiny_skia::Pixmap;
use resvg::tiny_skia::Transform;
use resvg::usvg::Options;
use resvg::usvg::Tree;
use std::fmt;

/// Pixels of the PNG a pixel of the page: sharp on fine screens and in print.
const SHARP: f32 = 2.0;

/// How a PNG begins, and its bytes to the end of the first chunk (ISO/IEC 15948:2004, 5.2 and 11.2.2).
const SIGNATURE: [u8; 8] = *b"\x89PNG\r\n\x1a\n";
const HEAD: usize = 8 + 25;

/// A chunk of text that says who made it, its check sum last (11.3.4.3): so that one can be told from a
/// picture by another hand.
const MADE: [u8; 30] = *b"\0\0\0\x12tEXtSoftware\0treatrate\x8c\xc3\x8e\xa5";

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
    let bytes = pixels.encode_png().map_err(|e| NotDrawn(e.to_string()))?;
    // The first chunk, which tells the size, has a fixed length.
    let (head, rest) = bytes
        .split_at_checked(HEAD)
        .ok_or_else(|| NotDrawn("it is empty".into()))?;
    Ok([head, &MADE, rest].concat())
}

/// Whether the bytes are a PNG that was made here.
#[must_use]
pub fn is_ours(bytes: &[u8]) -> bool {
    bytes.starts_with(&SIGNATURE) && bytes.get(HEAD..).is_some_and(|b| b.starts_with(&MADE))
}

//! A picture as a file, its kind told by the ending of its name.

use crate::report::draft;
use crate::report::picture;
use crate::report::picture::canvas;
use crate::report::picture::data::Picture;
use std::fmt;
use std::io;
use std::path::Path;

/// The kinds of file.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Kind {
    /// Lines and words: any size, and a browser shows it.
    Svg,
    /// Pixels.
    Png,
}

/// Why no picture was written.
#[derive(Debug)]
pub enum Unwritten {
    /// The name ends otherwise than in `.svg` or `.png`.
    Ending,
    /// It cannot be drawn.
    Drawing(picture::png::NotDrawn),
    /// It cannot be put in its place.
    System(io::Error),
}

impl fmt::Display for Unwritten {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Unwritten::Ending => write!(
                f,
                "the name of a picture ends in `.svg` (drawn sharp at any size) or `.png` (pixels)"
            ),
            Unwritten::Drawing(why) => why.fmt(f),
            Unwritten::System(error) => error.fmt(f),
        }
    }
}

impl std::error::Error for Unwritten {}

/// The kind of picture that a name asks for, so that a wrong one is told before any work.
///
/// # Errors
/// Where the name ends otherwise than in `.svg` or `.png`, in whichever case.
pub fn kind(path: &Path) -> Result<Kind, Unwritten> {
    let ending = path.extension().map(|e| e.to_string_lossy().to_lowercase());
    match ending.as_deref() {
        Some("svg") => Ok(Kind::Svg),
        Some("png") => Ok(Kind::Png),
        _ => Err(Unwritten::Ending),
    }
}

/// Whether a file is a picture of its kind that was drawn here, or nothing yet: what a new one may
/// replace.
#[must_use]
pub fn is_one(kind: Kind, bytes: &[u8]) -> bool {
    bytes.is_empty()
        || match kind {
            Kind::Svg => canvas::is_ours(bytes),
            Kind::Png => picture::png::is_ours(bytes),
        }
}

/// Writes the picture whole or not at all.
///
/// # Errors
/// Where the name's ending is neither of the two, the picture too large, the folder absent or the
/// file not to be written.
pub fn write(path: &Path, picture: &Picture) -> Result<(), Unwritten> {
    let bytes = match kind(path)? {
        Kind::Svg => picture::svg(picture).into_bytes(),
        Kind::Png => picture::png(picture).map_err(Unwritten::Drawing)?,
    };
    draft::write(path, &bytes).map_err(Unwritten::System)
}

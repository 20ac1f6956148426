//! The letters of the pictures, and how wide a text is.
//!
//! One embedded family, Noto Sans (SIL Open Font License 1.1), draws the PNG, so that it is the same
//! on every machine. An SVG names the family first and then common ones; where another one is used,
//! widths differ by a few per cent, for which `SPARE` leaves room.

use skrifa::FontRef;
use skrifa::MetadataProvider;
use skrifa::instance::LocationRef;
use skrifa::instance::Size;

/// Families in the order in which a browser looks for them.
pub const FAMILY: &str = "Noto Sans, Arial, Helvetica, sans-serif";

/// The files of the embedded family.
pub const FACES: [&[u8]; 2] = [notosans::REGULAR_TTF, notosans::BOLD_TTF];

/// Room for another sans-serif family than the embedded one, which is wider than most.
const SPARE: f64 = 1.04;

/// Width of a letter that the family does not have, as a share of the size: a full-width one.
const UNKNOWN: f64 = 1.0;

/// What stands for what was cut off.
const CUT: char = '…';

/// The weight of letters.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Weight {
    /// For most.
    Regular,
    /// For heads.
    Bold,
}

/// Width of a text at a size, in the size's unit.
#[must_use]
pub fn width(text: &str, size: f64, weight: Weight) -> f64 {
    let face = match weight {
        Weight::Regular => FACES[0],
        Weight::Bold => FACES[1],
    };
    let Ok(font) = FontRef::new(face) else {
        return text.chars().map(|_| UNKNOWN * size).sum();
    };
    // Unscaled, so that the sum is the same on every machine.
    let metrics = font.glyph_metrics(Size::unscaled(), LocationRef::default());
    let em = f64::from(
        font.metrics(Size::unscaled(), LocationRef::default())
            .units_per_em,
    );
    let letters = font.charmap();
    let units: f64 = text
        .chars()
        .map(|c| {
            letters
                .map(c)
                .and_then(|glyph| metrics.advance_width(glyph))
                .map_or(UNKNOWN * em, f64::from)
        })
        .sum();
    units / em * size * SPARE
}

/// The text, or as much of its beginning as fits with a sign that it was cut.
#[must_use]
pub fn fitted(text: &str, size: f64, weight: Weight, most: f64) -> String {
    if width(text, size, weight) <= most {
        return text.into();
    }
    let mut kept: String = text.into();
    while kept.pop().is_some() {
        let shown = format!("{}{CUT}", kept.trim_end_matches([' ', ',', '-']));
        if width(&shown, size, weight) <= most {
            return shown;
        }
    }
    String::new()
}

/// The text broken between words into lines of at most a width; a longer word is cut.
#[must_use]
pub fn lines(text: &str, size: f64, weight: Weight, most: f64) -> Vec<String> {
    let mut done: Vec<String> = Vec::new();
    for word in text.split_whitespace() {
        let word = fitted(word, size, weight, most);
        let longer = done.last().map(|line| format!("{line} {word}"));
        match longer {
            Some(line) if width(&line, size, weight) <= most => {
                done.pop();
                done.push(line);
            }
            _ => done.push(word),
        }
    }
    done
}

/// Lines of at most a width, no more than a number of them; the last one says that it was cut.
#[must_use]
pub fn few_lines(text: &str, size: f64, weight: Weight, most: f64, count: usize) -> Vec<String> {
    let mut all = lines(text, size, weight, most);
    if all.len() > count {
        let rest = all.split_off(count.saturating_sub(1)).join(" ");
        all.push(fitted(&rest, size, weight, most));
    }
    all
}

#[cfg(test)]
mod tests {
    use super::{FACES, Weight, few_lines, fitted, lines, width};
    use skrifa::FontRef;
    use skrifa::MetadataProvider;

    #[test]
    fn the_letters_of_the_trade_are_there() {
        for face in FACES {
            let font = FontRef::new(face).expect("an embedded font");
            let mut lost = String::new();
            for letter in "→←aZ09²³°·–−≤≥±×…µΔäéøçß%:,<>&€‹›".chars()
            {
                if font.charmap().map(letter).is_none() {
                    lost.push(letter);
                }
            }
            assert_eq!(lost, "");
        }
    }

    #[test]
    fn what_does_not_fit_is_cut_and_says_so() {
        let name = "zinc dialkyl dithiophosphate, secondary";
        let cut = fitted(name, 12.0, Weight::Regular, 120.0);
        assert!(cut.ends_with('…') && cut.len() > 10, "{cut}");
        assert!(width(&cut, 12.0, Weight::Regular) <= 120.0);
        assert_eq!(fitted(name, 12.0, Weight::Regular, 1e3), name);
        let broken = lines(name, 12.0, Weight::Regular, 120.0);
        assert_eq!(broken.join(" "), name);
        assert!(broken.len() > 1);
        assert_eq!(few_lines(name, 12.0, Weight::Regular, 120.0, 1).len(), 1);
        assert_eq!(fitted(name, 12.0, Weight::Regular, 1.0), "");
    }
}

//! Colours: few, told apart by every eye, and in print without colour.

/// A colour: red, green, blue.
pub type Colour = (u8, u8, u8);

/// The ground of every picture.
pub const GROUND: Colour = (255, 255, 255);
/// Words, and lines that carry data without a colour of their own.
pub const INK: Colour = (34, 34, 34);
/// Words of the second rank: numbers along axes, remarks.
pub const QUIET: Colour = (85, 85, 85);
/// The line on which a panel stands.
pub const AXIS: Colour = (130, 130, 130);
/// Lines that only help the eye across.
pub const GRID: Colour = (228, 228, 228);
/// Where there is no recipe.
pub const NOTHING: Colour = (236, 236, 236);
/// What is left when the small ones are taken together.
pub const OTHERS: Colour = (187, 187, 187);
/// Bars that say "binds here".
pub const BINDS: Colour = (77, 77, 77);

/// The seven hues of Okabe and Ito, in an order in which neighbours differ in lightness too, so that
/// a stack of them reads in grey.
///
/// Source: M. Okabe and K. Ito, "Color Universal Design", 2008,
/// <https://jfly.uni-koeln.de/color/>; their eighth colour is black, which is kept for words.
pub const HUES: [Colour; 7] = [
    SKY,
    BLUE,
    (240, 228, 66),
    (0, 158, 115),
    (230, 159, 0),
    (204, 121, 167),
    VERMILLION,
];

/// Sky blue of Okabe and Ito.
pub const SKY: Colour = (86, 180, 233);
/// Blue of Okabe and Ito.
pub const BLUE: Colour = (0, 114, 178);
/// Vermillion of Okabe and Ito.
pub const VERMILLION: Colour = (213, 94, 0);

/// Share of white in the lighter hues of the second round.
const LIGHTER: f64 = 0.5;
/// Share of black in its darker hues.
const DARKER: f64 = 0.4;

/// The colour of the `i`-th of several: the seven hues, then each of them lighter or darker, in turn,
/// then grey. Fifteen can be told apart; from there on they come again.
#[must_use]
pub fn hue(i: usize) -> Colour {
    let i = i % (2 * HUES.len() + 1);
    let hue = HUES[i % HUES.len()];
    match (i / HUES.len(), i % HUES.len() % 2) {
        (0, _) => hue,
        (1, 0) => mixed(hue, GROUND, LIGHTER),
        (1, _) => mixed(hue, (0, 0, 0), DARKER),
        _ => OTHERS,
    }
}

/// The light part of a sequence from yellow through green to blue: lightness falls all the way, so it
/// is in order for every eye and in grey, and black words are legible on all of it.
///
/// Source: `YlGnBu`, nine classes, the first six; colours from <https://colorbrewer2.org> by
/// Cynthia A. Brewer, Geography, Pennsylvania State University.
pub const SEQUENCE: [Colour; 6] = [
    (255, 255, 217),
    (237, 248, 177),
    (199, 233, 180),
    (127, 205, 187),
    (65, 182, 196),
    (29, 145, 192),
];

/// Stretches between two neighbours of the sequence.
const STRETCHES: f64 = 5.0;

/// The colour of a share of the sequence, 0 to 1.
#[must_use]
pub fn sequence(share: f64) -> Colour {
    let mut left = share.clamp(0.0, 1.0) * STRETCHES;
    let mut i = 0;
    while left > 1.0 && i + 2 < SEQUENCE.len() {
        left -= 1.0;
        i += 1;
    }
    mixed(SEQUENCE[i], SEQUENCE[i + 1], left)
}

/// A colour between two: 0 is the first, 1 the second.
#[must_use]
pub fn mixed(a: Colour, b: Colour, share: f64) -> Colour {
    let one = |a: u8, b: u8| {
        let value = f64::from(a) + (f64::from(b) - f64::from(a)) * share.clamp(0.0, 1.0);
        whole(value)
    };
    (one(a.0, b.0), one(a.1, b.1), one(a.2, b.2))
}

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "clamped to the type's range first"
)]
fn whole(value: f64) -> u8 {
    value.round().clamp(0.0, 255.0) as u8
}

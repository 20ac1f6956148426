//! The names of a map's regions: on the map where they fit, or a letter there and the name in a key.

use crate::report::picture::data::MapPicture;
use crate::report::picture::frame::NO_RECIPE;
use crate::report::picture::frame::SIZE;
use crate::report::picture::grid::Block;
use crate::report::picture::grid::Grid;
use crate::report::picture::grid::Owner;
use crate::report::picture::lettering;
use crate::report::picture::lettering::Weight;
use crate::report::picture::scale::index;

/// Free space around a region's name, pixels.
const AROUND: f64 = 8.0;
/// The most lines of a region's name on the map.
const LINES: usize = 4;
/// From one of them to the next.
pub const LINE: f64 = 15.0;
/// The least room for a letter: narrower ones would lie over borders and each other.
const LETTER: (f64, f64) = (13.0, 13.0);

/// What is written on a patch.
#[derive(Debug, Clone, PartialEq)]
pub struct Label {
    /// Its lines.
    pub lines: Vec<String>,
    /// Their middle, pixels.
    pub at: (f64, f64),
}

/// The names of a map.
#[derive(Debug, Clone, PartialEq)]
pub struct Names {
    /// What is written on it.
    pub labels: Vec<Label>,
    /// Each letter with the name for which it stands, in their order.
    pub key: Vec<(String, String)>,
    /// How many regions are too small even for a letter.
    pub unnamed: usize,
}

/// The letter of the `i`-th region, as on a page of plain characters; after Z, numbers.
#[must_use]
pub fn letter(i: usize) -> String {
    let letter = ('A'..='Z').nth(i);
    letter.map_or_else(|| (i + 1).to_string(), String::from)
}

/// The names of a map with these edges of columns and rows, pixels.
#[must_use]
pub fn names(picture: &MapPicture, grid: &Grid, columns: &[f64], rows: &[f64]) -> Names {
    let place = Places { columns, rows };
    let mut labels = Vec::new();
    let mut lettered: Vec<usize> = Vec::new();
    let mut named: Vec<usize> = Vec::new();
    for patch in grid.patches() {
        let words = name(picture, patch.owner);
        let blocks = grid.blocks(&patch);
        if let Some((block, lines)) = place.whole(words, &blocks) {
            let at = place.middle(block);
            labels.push(Label { lines, at });
            named.extend(patch.owner);
        } else if let (Some(region), Some(block)) = (patch.owner, place.roomiest(&blocks)) {
            if !lettered.contains(&region) {
                lettered.push(region);
            }
            labels.push(Label {
                lines: vec![letter(region)],
                at: place.middle(block),
            });
        }
    }
    let present = grid.present().into_iter().flatten();
    let unnamed = present
        .filter(|r| !lettered.contains(r) && !named.contains(r))
        .count();
    lettered.sort_unstable();
    Names {
        labels,
        key: lettered
            .into_iter()
            .map(|r| (letter(r), picture.regions[r].clone()))
            .collect(),
        unnamed,
    }
}

/// Where cells lie, pixels.
struct Places<'a> {
    columns: &'a [f64],
    rows: &'a [f64],
}

impl Places<'_> {
    fn size(&self, block: &Block) -> (f64, f64) {
        let wide = self.columns[block.columns.1] - self.columns[block.columns.0];
        let high = self.rows[block.rows.0] - self.rows[block.rows.1];
        (wide, high)
    }

    fn middle(&self, block: &Block) -> (f64, f64) {
        let (a, b) = (block.columns.0, block.columns.1);
        let (low, high) = (block.rows.0, block.rows.1);
        (
            f64::midpoint(self.columns[a], self.columns[b]),
            f64::midpoint(self.rows[low], self.rows[high]),
        )
    }

    /// The block in which a name fits in the fewest lines, the largest of these.
    fn whole<'b>(&self, words: &str, blocks: &'b [Block]) -> Option<(&'b Block, Vec<String>)> {
        let fitting = blocks
            .iter()
            .filter_map(|block| Some((block, lines(words, self.size(block))?)));
        fitting.min_by(|(a, la), (b, lb)| {
            let area = |block: &Block| self.size(block).0 * self.size(block).1;
            la.len().cmp(&lb.len()).then(area(b).total_cmp(&area(a)))
        })
    }

    /// The block that leaves a letter the most room, if that is enough.
    fn roomiest<'b>(&self, blocks: &'b [Block]) -> Option<&'b Block> {
        let room = |block: &Block| self.size(block).0.min(self.size(block).1);
        let enough = |block: &&Block| {
            let (wide, high) = self.size(block);
            wide >= LETTER.0 && high >= LETTER.1
        };
        let enough = blocks.iter().filter(enough);
        enough.max_by(|a, b| room(a).total_cmp(&room(b)))
    }
}

fn name(picture: &MapPicture, owner: Owner) -> &str {
    owner.map_or(NO_RECIPE, |region| picture.regions[region].as_str())
}

/// The lines of a name in a room, if all of it fits.
fn lines(words: &str, (wide, high): (f64, f64)) -> Option<Vec<String>> {
    let lines = lettering::lines(words, SIZE, Weight::Regular, wide - 2.0 * AROUND);
    let whole = lines.join(" ") == words.split_whitespace().collect::<Vec<_>>().join(" ");
    let fits = index(lines.len()) * LINE + AROUND <= high && lines.len() <= LINES;
    (whole && fits && !lines.is_empty()).then_some(lines)
}

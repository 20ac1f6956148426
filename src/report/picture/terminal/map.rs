//! A map in plain characters: one letter a region, with a key.

use crate::report::number;
use crate::report::picture::data::Along;
use crate::report::picture::data::MapPicture;
use crate::report::picture::frame::NO_RECIPE;
use crate::report::picture::grid::Grid;
use crate::report::picture::scale;
use crate::report::picture::terminal::centred;
use crate::report::picture::terminal::cut;
use crate::report::picture::terminal::widest;

/// The most lines of the map itself.
const ROWS: usize = 12;

/// What stands where there is no recipe.
const NOTHING: char = '·';

/// The letter of a region among those that have a cell.
fn letter(present: &[usize], region: usize) -> char {
    let place = present.iter().position(|p| *p == region).unwrap_or(0);
    ('A'..='Z').chain('a'..='z').nth(place).unwrap_or('?')
}

/// The lines.
#[must_use]
pub fn lines(picture: &MapPicture, width: usize) -> Vec<String> {
    let grid = Grid::of(picture);
    let mut lines = vec![picture.y.words()];
    if grid.columns == 0 || grid.rows == 0 {
        return lines;
    }
    let present: Vec<usize> = grid.present().into_iter().flatten().collect();
    let names = names(&picture.along_y);
    let margin = widest(names.iter(), 14);
    let rows = grid.rows.min(ROWS);
    let wide = if grid.columns * 2 + margin + 2 < width {
        2
    } else {
        1
    };
    let columns = grid.columns.min(width.saturating_sub(margin + 2));
    for row in (0..rows).rev() {
        let from = sampled(row, rows, grid.rows);
        let cell = |column: usize| {
            let owner = grid.owner(sampled(column, columns, grid.columns), from);
            owner.map_or(NOTHING, |region| letter(&present, region))
        };
        let cells: String = (0..columns)
            .flat_map(|column| std::iter::repeat_n(cell(column), wide))
            .collect();
        let named = row % 3 == 0 || rows < 6;
        let name = if named { names[from].as_str() } else { "" };
        lines.push(format!("{:>margin$} │{cells}", cut(name, margin)));
    }
    let axis = "─".repeat(columns * wide);
    lines.push(format!("{} └{axis}", " ".repeat(margin)));
    lines.push(centred(&below(picture), margin + 2, columns * wide));
    let taken = margin + 2 + columns * wide + 3;
    beside(&mut lines, key(picture, &grid, &present), taken, width);
    lines
}

/// The axis below in words: its ends and its name.
fn below(picture: &MapPicture) -> String {
    let names = names(&picture.along_x);
    let name = picture.x.words();
    match &names[..] {
        [] => name,
        [only] => format!("{only}: {name}"),
        [first, .., last] => format!("{first} to {last}: {name}"),
    }
}

/// What binds in a region, in few characters.
fn short(picture: &MapPicture, region: usize) -> &str {
    let known = picture.keys.get(region);
    known.unwrap_or(&picture.regions[region])
}

/// What each letter means, and what the goal is.
fn key(picture: &MapPicture, grid: &Grid, present: &[usize]) -> Vec<String> {
    let mut key: Vec<String> = present
        .iter()
        .map(|r| format!("{}  {}", letter(present, *r), short(picture, *r)))
        .collect();
    if grid.present().contains(&None) {
        key.push(format!("{NOTHING}  {NO_RECIPE}"));
    }
    if let Some((low, high)) = scale::ends(picture.cells.iter().filter_map(|c| c.goal)) {
        let [low, high] = [low, high].map(|v| number::digits(v, 4));
        key.push(format!("{} from {low} to {high}", picture.goal.words()));
    }
    key
}

/// Puts the key beside the map where there is room, else below it.
fn beside(lines: &mut Vec<String>, key: Vec<String>, taken: usize, width: usize) {
    let room = width.saturating_sub(taken);
    if room < widest(key.iter(), width) || key.len() >= lines.len() {
        lines.extend(key);
        return;
    }
    for (line, entry) in lines[1..].iter_mut().zip(key) {
        let space = taken.saturating_sub(line.chars().count());
        line.push_str(&" ".repeat(space));
        line.push_str(&entry);
    }
}

/// Each position in words.
fn names(along: &Along) -> Vec<String> {
    match along {
        Along::Words(words) => words.clone(),
        Along::Numbers(numbers) => {
            let (low, high) = scale::exact(numbers.iter().copied());
            let words = numbers.iter().map(|n| scale::along(*n, high - low));
            words.collect()
        }
    }
}

/// The index among `of` that the `i`-th of `count` evenly spread ones shows.
fn sampled(i: usize, count: usize, of: usize) -> usize {
    if count < 2 {
        return 0;
    }
    (i * (of - 1) + (count - 1) / 2) / (count - 1)
}

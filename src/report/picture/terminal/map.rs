//! A map in plain characters: one letter a region, with a key.

use crate::report::number;
use crate::report::picture::data::Along;
use crate::report::picture::data::MapPicture;
use crate::report::picture::frame::NO_RECIPE;
use crate::report::picture::grid::Grid;
use crate::report::picture::scale;
use crate::report::picture::terminal::LABEL;
use crate::report::picture::terminal::centred;
use crate::report::picture::terminal::cut;
use crate::report::picture::terminal::widest;

/// The most lines of the map itself.
const ROWS: usize = 12;

/// What stands where there is no recipe.
const NOTHING: &str = "·";

/// The lines.
#[must_use]
pub fn lines(picture: &MapPicture, width: usize) -> Vec<String> {
    let grid = Grid::of(picture);
    let present: Vec<usize> = grid.present().into_iter().flatten().collect();
    let letter = |region: usize| {
        let place = present.iter().position(|p| *p == region).unwrap_or(0);
        ('A'..='Z').chain('a'..='z').nth(place).unwrap_or('?')
    };
    let rows_named = names(&picture.along_y);
    let margin = widest(rows_named.iter(), 14);
    let rows = grid.rows.clamp(1, ROWS);
    let wide = if grid.columns * 2 + margin + 2 < width {
        2
    } else {
        1
    };
    let columns = grid.columns.clamp(1, width.saturating_sub(margin + 2));
    let mut lines = vec![picture.y.words()];
    if grid.columns == 0 || grid.rows == 0 {
        return lines;
    }
    for row in (0..rows).rev() {
        let from = sampled(row, rows, grid.rows);
        let cells: String = (0..columns)
            .map(
                |column| match grid.owner(sampled(column, columns, grid.columns), from) {
                    Some(region) => letter(region).to_string().repeat(wide),
                    None => NOTHING.repeat(wide),
                },
            )
            .collect();
        let name = if row % 3 == 0 || rows < 6 {
            rows_named[from].as_str()
        } else {
            ""
        };
        lines.push(format!("{:>margin$} │{cells}", cut(name, margin)));
    }
    lines.push(format!(
        "{} └{}",
        " ".repeat(margin),
        "─".repeat(columns * wide)
    ));
    let ends = names(&picture.along_x);
    let name = picture.x.words();
    if let (Some(first), Some(last)) = (ends.first(), ends.last()) {
        let line = if grid.columns == 1 {
            first.clone()
        } else {
            format!("{first} to {last}: {name}")
        };
        lines.push(centred(&line, margin + 2, columns * wide));
    }
    let key = present
        .iter()
        .map(|r| (letter(*r), picture.regions[*r].clone()));
    let mut key: Vec<String> = key.map(|(l, name)| format!("{l}  {name}")).collect();
    if grid.present().contains(&None) {
        key.push(format!("{NOTHING}  {NO_RECIPE}"));
    }
    if let Some((low, high)) = scale::ends(picture.cells.iter().filter_map(|c| c.goal)) {
        let ends = [low, high].map(|v| number::digits(v, 4));
        key.push(format!(
            "{} from {} to {}",
            picture.goal.words(),
            ends[0],
            ends[1]
        ));
    }
    // Beside the map where there is room, else below it.
    let taken = margin + 2 + columns * wide + 3;
    let room = width.saturating_sub(taken);
    if room >= widest(key.iter(), LABEL) && key.len() <= rows {
        for (line, entry) in lines[1..].iter_mut().zip(key) {
            let space = (taken).saturating_sub(line.chars().count());
            line.push_str(&format!("{}{entry}", " ".repeat(space)));
        }
    } else {
        lines.extend(key);
    }
    lines
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

//! A sweep of two numbers as a map of characters: the goal, and regions by what binds.

use crate::declare::stops::Stops;
use crate::report::dials;
use crate::report::table;
use crate::report::table::Align;
use crate::report::table::Table;
use crate::report::text::standing::Legend;
use crate::report::text::sweep::cell;
use crate::report::words;
use crate::solve::answer::Status;
use crate::study::sweep::kept::Sweep;
use crate::study::sweep::row::Row;

/// Most rows and columns of the table of the goal.
const ROWS: usize = 25;
const COLUMNS: usize = 8;

/// Most columns of the map of regions, and most that have room for two characters each.
const WIDE: usize = 60;
const ROOMY: usize = 30;

/// Regions with a letter of their own; the others share the last sign.
const LETTERS: &str = "ABCDEFGHIJKLMNOPQRSTUVWXYZ";

/// Where it is proved that there is no recipe, and where neither is.
const NONE: char = '-';
const OPEN: char = '?';

/// The goal over both numbers, then the regions.
#[must_use]
pub fn section(found: &Sweep, legend: &Legend) -> String {
    format!("{}\n{}", values(found), regions(found, legend))
}

/// About `most` of `count` places, the ends always among them.
fn thinned(count: usize, most: usize) -> Vec<usize> {
    if count <= most {
        return (0..count).collect();
    }
    let last = (most - 1).max(1);
    (0..most).map(|k| k * (count - 1) / last).collect()
}

fn row(found: &Sweep, first: usize, second: usize) -> Option<&Row> {
    let across = found.plan.varied().get(1)?.1.len();
    found.rows.get(first * across + second)
}

fn values(found: &Sweep) -> String {
    let [(down, downs), (across, acrosses)] = found.plan.varied() else {
        return String::new();
    };
    let problem = found.plan.problem();
    let goal = &problem.goal.property;
    let columns = thinned(acrosses.len(), COLUMNS);
    let mut heads = vec![String::new()];
    heads.extend(
        columns
            .iter()
            .map(|&k| dials::setting(acrosses, &acrosses.at(k))),
    );
    let heads: Vec<(&str, Align)> = heads.iter().map(|h| (h.as_str(), Align::Right)).collect();
    let mut table = Table::new(&heads);
    for first in thinned(downs.len(), ROWS) {
        let mut cells = vec![dials::setting(downs, &downs.at(first))];
        cells.extend(columns.iter().map(|&second| {
            row(found, first, second).map_or(String::new(), |row| cell(problem, row))
        }));
        table.row(cells);
    }
    format!(
        "{}: down {}, across {}\n{}{}",
        words::property_in(goal, &problem.unit(goal)),
        dials::label(problem, down),
        dials::label(problem, across),
        table.render(),
        left_out(
            downs.len().min(ROWS),
            downs.len(),
            columns.len(),
            acrosses.len()
        )
    )
}

/// What a table does not show of so many rows and columns.
fn left_out(rows: usize, all_rows: usize, columns: usize, all_columns: usize) -> String {
    if rows == all_rows && columns == all_columns {
        return String::new();
    }
    table::note(&format!(
        "Shown: {rows} of {all_rows} rows and {columns} of {all_columns} columns; `--format csv`, `--to FILE` \
         and `--picture` have all."
    ))
}

/// A line of heads over a map's columns: each begins above its own, and those without room are left out.
fn heads(acrosses: &Stops, columns: &[usize], wide: usize) -> String {
    let words: Vec<String> = columns
        .iter()
        .map(|&k| dials::setting(acrosses, &acrosses.at(k)))
        .collect();
    let longest = words.iter().map(|w| w.chars().count()).max().unwrap_or(0);
    let every = (longest + 2).div_ceil(wide).max(1);
    let room = every * wide;
    let shown = words.iter().step_by(every);
    let line: Vec<String> = shown.map(|w| format!("{w:<room$}")).collect();
    line.concat().trim_end().to_owned()
}

/// Each region's keys beyond those that bind everywhere, in the order of first sight.
fn sets(found: &Sweep, legend: &Legend) -> Vec<Vec<String>> {
    let mut sets: Vec<Vec<String>> = Vec::new();
    for row in found.rows.iter().filter(|row| row.has_recipe()) {
        let set = legend.set(row);
        if !sets.contains(&set) {
            sets.push(set);
        }
    }
    sets
}

fn regions(found: &Sweep, legend: &Legend) -> String {
    let [(_, downs), (_, acrosses)] = found.plan.varied() else {
        return String::new();
    };
    let problem = found.plan.problem();
    let sets = sets(found, legend);
    let sign = |row: &Row| {
        match row.status {
            Status::NoRecipe => return NONE,
            Status::Undecided => return OPEN,
            Status::Optimal | Status::Feasible => {}
        }
        let here = legend.set(row);
        let place = sets.iter().position(|s| *s == here);
        place
            .and_then(|place| LETTERS.chars().nth(place))
            .unwrap_or('+')
    };
    let columns = thinned(acrosses.len(), WIDE);
    let wide = if columns.len() <= ROOMY { 2 } else { 1 };
    let heads = heads(acrosses, &columns, wide);
    let mut table = Table::new(&[("", Align::Right), (heads.as_str(), Align::Left)]);
    let lines = thinned(downs.len(), WIDE);
    for &first in &lines {
        let signs: Vec<String> = columns
            .iter()
            .filter_map(|&second| row(found, first, second))
            .map(|row| format!("{:<wide$}", sign(row)))
            .collect();
        let signs = signs.concat();
        let place = dials::setting(downs, &downs.at(first));
        table.row(vec![place, signs.trim_end().to_owned()]);
    }
    let mut out = format!(
        "Regions by what binds: down and across as above, each head over its column\n{}{}",
        table.render(),
        left_out(lines.len(), downs.len(), columns.len(), acrosses.len())
    );
    for (letter, set) in LETTERS.chars().zip(&sets) {
        let words = if set.is_empty() {
            "nothing beyond that".to_owned()
        } else {
            set.join(", ")
        };
        out.extend(["  ", &letter.to_string(), "  ", &words, "\n"]);
    }
    if sets.len() > LETTERS.len() {
        out.push_str("  +  other sets\n");
    }
    for (status, sign, words) in [
        (Status::NoRecipe, NONE, "no recipe"),
        (Status::Undecided, OPEN, "undecided"),
    ] {
        if found.rows.iter().any(|row| row.status == status) {
            out.extend(["  ", &sign.to_string(), "  ", words, "\n"]);
        }
    }
    let always: Vec<String> = legend.always.iter().map(|e| e.words(problem)).collect();
    if !always.is_empty() {
        let these = words::list(&always);
        out.push_str(&table::note(&format!("Binding everywhere: {these}.")));
    }
    out
}

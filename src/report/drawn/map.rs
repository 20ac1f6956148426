//! A sweep of two numbers as a map's data.

use crate::declare::dial::Dial;
use crate::declare::stops::Stops;
use crate::report::drawn::axes;
use crate::report::drawn::said;
use crate::report::picture::data::Cell;
use crate::report::picture::data::MapPicture;
use crate::report::text::standing::Legend;
use crate::report::words;
use crate::solve::answer::Status;
use crate::study::sweep::kept::Sweep;
use crate::study::sweep::row::Row;

/// The most reasons for no recipe that are told, the most frequent first.
const REASONS: usize = 3;

/// What a region is called in which nothing binds beyond what binds everywhere.
const NOTHING_MORE: &str = "nothing beyond that";

/// The map: the first that is varied goes up, the second to the right.
#[must_use]
pub fn map(found: &Sweep, down: &(Dial, Stops), across: &(Dial, Stops)) -> MapPicture {
    let problem = found.plan.problem();
    let legend = Legend::of(&found.rows);
    let rows = axes::order(&down.1, down.1.len());
    let columns = axes::order(&across.1, across.1.len());
    let (mut regions, mut keys): (Vec<String>, Vec<String>) = (Vec::new(), Vec::new());
    let mut cells = Vec::new();
    for &first in &rows {
        for &second in &columns {
            let row = found.rows.get(first * across.1.len() + second);
            let Some(row) = row.filter(|row| row.has_recipe()) else {
                cells.push(Cell {
                    goal: None,
                    region: 0,
                });
                continue;
            };
            let name = region(&legend, row);
            let region = regions.iter().position(|r| *r == name);
            let region = region.unwrap_or_else(|| {
                regions.push(name);
                keys.push(key(&legend, row));
                regions.len() - 1
            });
            cells.push(Cell {
                goal: row.goal,
                region,
            });
        }
    }
    MapPicture {
        title: problem.title.clone(),
        x: axes::axis(found, &across.0),
        along_x: axes::along(&across.1, &columns),
        y: axes::axis(found, &down.0),
        along_y: axes::along(&down.1, &rows),
        goal: axes::goal(found),
        cells,
        regions,
        keys,
        notes: everywhere(found, &legend)
            .into_iter()
            .chain(barren(found))
            .collect(),
    }
}

fn region(legend: &Legend, row: &Row) -> String {
    let beyond: Vec<String> = legend.beyond(row).into_iter().map(said::short).collect();
    if beyond.is_empty() {
        NOTHING_MORE.into()
    } else {
        beyond.join(", ")
    }
}

fn key(legend: &Legend, row: &Row) -> String {
    let beyond = legend.set(row);
    if beyond.is_empty() {
        NOTHING_MORE.into()
    } else {
        beyond.join(", ")
    }
}

fn everywhere(found: &Sweep, legend: &Legend) -> Option<String> {
    let problem = found.plan.problem();
    // All of these are in the legend: whether they move is known.
    let always: Vec<String> = legend
        .always
        .iter()
        .map(|entry| said::mark(problem, legend, entry.party(), false))
        .collect();
    (!always.is_empty()).then(|| format!("Binding everywhere: {}.", words::list(&always)))
}

/// Where there is no recipe, how often, and why.
fn barren(found: &Sweep) -> Vec<String> {
    let all = found.rows.len();
    let mut reasons: Vec<(usize, String)> = Vec::new();
    for row in found.rows.iter().filter(|row| !row.has_recipe()) {
        let why = if row.status == Status::Undecided {
            said::OPEN.into()
        } else {
            said::because(found, &row.conflict)
        };
        match reasons.iter_mut().find(|(_, known)| *known == why) {
            Some((count, _)) => *count += 1,
            None => reasons.push((1, why)),
        }
    }
    reasons.sort_by_key(|(count, _)| std::cmp::Reverse(*count));
    let rest: usize = reasons.iter().skip(REASONS).map(|(count, _)| count).sum();
    let told = reasons.iter().take(REASONS).map(|(count, why)| {
        let at = format!("No recipe at {count} of {all} points");
        if why.is_empty() {
            format!("{at}.")
        } else {
            format!("{at}: {why}.")
        }
    });
    let others = (rest > 0).then(|| format!("No recipe at {rest} more, for other reasons."));
    told.chain(others).collect()
}

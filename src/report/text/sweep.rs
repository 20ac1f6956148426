//! A sweep as a page: the cost and the main treat rates along it, what binds, where it changes, and where
//! there is no recipe.

use crate::declare::dial::Aim;
use crate::declare::dial::Dial;
use crate::declare::dial::Setting;
use crate::declare::problem::Problem;
use crate::declare::requirement::Requirement;
use crate::declare::stops::Stops;
use crate::report::dials;
use crate::report::number;
use crate::report::table;
use crate::report::table::Align;
use crate::report::table::Table;
use crate::report::text::answer;
use crate::report::text::conflict;
use crate::report::text::headline;
use crate::report::text::map;
use crate::report::text::notes;
use crate::report::text::standing;
use crate::report::text::standing::Legend;
use crate::report::words;
use crate::solve::answer::Party;
use crate::solve::answer::Status;
use crate::solve::conflict::party;
use crate::study::sweep::breaks::Turn;
use crate::study::sweep::kept::Barren;
use crate::study::sweep::kept::Sweep;
use crate::study::sweep::row::Row;

/// Most rows of a table that are all shown.
const ROWS: usize = 60;

/// Rows of a table so short that nothing is left out of it.
const SHORT: usize = 12;

/// Most components with a column of their own.
const COLUMNS: usize = 6;

/// A component whose treat rate never reaches this many mass % has no column of its own.
const MINOR: f64 = 0.5;

/// The page.
#[must_use]
pub fn sweep(found: &Sweep) -> String {
    let problem = found.plan.problem();
    let legend = Legend::of(&found.rows);
    let body = if found.plan.varied().len() == 2 {
        map::section(found, &legend)
    } else {
        [table(found, &legend), legend_lines(problem, &legend)].concat()
    };
    answer::page(&[
        head(found),
        body,
        changes(found, &legend),
        barren(found),
        safety(problem, &found.rows),
    ])
}

fn head(found: &Sweep) -> String {
    let problem = found.plan.problem();
    let mut lines: Vec<String> = found
        .plan
        .varied()
        .iter()
        .map(|(dial, stops)| {
            let label = words::sentence(&dials::label(problem, dial));
            let label = label.trim_end_matches('.');
            let last = stops.len().saturating_sub(1);
            let unit = dial.unit(problem);
            let with_unit = |k| {
                let text = dials::setting(stops, &stops.at(k));
                words::with_unit(&text, &unit)
            };
            let settings = if stops.is_range() {
                // A batch may go from grams to tonnes: each end with its unit.
                let first = match dial.aim {
                    Aim::Batch => with_unit(0),
                    _ => dials::setting(stops, &stops.at(0)),
                };
                format!(
                    "from {first} to {} in {} points",
                    with_unit(last),
                    stops.len()
                )
            } else {
                let all: Vec<String> = (0..stops.len()).map(with_unit).collect();
                words::list(&all)
            };
            if dial.path.eq_ignore_ascii_case(label) {
                format!("{label}: {settings}.")
            } else {
                format!("{label}: {settings} ({}).", dial.path)
            }
        })
        .collect();
    lines.push(outcomes(found));
    lines.push(ends(found));
    lines.push(headline::title(problem));
    lines
        .iter()
        .filter(|line| !line.is_empty())
        .map(|line| table::paragraph(line))
        .collect()
}

/// How many points came out how, and how sure that is.
fn outcomes(found: &Sweep) -> String {
    let count = |status| found.rows.iter().filter(|r| r.status == status).count();
    let (best, local) = (count(Status::Optimal), count(Status::Feasible));
    let (none, open) = (count(Status::NoRecipe), count(Status::Undecided));
    let gap = found.rows.iter().filter_map(|r| r.gap).fold(0.0, f64::max);
    let mut told = Vec::new();
    if best > 0 {
        let within = if gap > 0.0 {
            format!(
                " to within {} %",
                number::up_to_one_digit(gap.max(1e-8) * 100.0)
            )
        } else {
            String::new()
        };
        told.push(format!("{best} with the best recipe, proved{within}"));
    }
    if local > 0 {
        told.push(format!("{local} with a recipe that nothing nearby betters"));
    }
    if none > 0 {
        told.push(format!("{none} without any, proved"));
    }
    if open > 0 {
        told.push(format!("{open} undecided"));
    }
    let solved = found.rows.len();
    let points = found.plan.points();
    let of = if found.is_whole() {
        format!("{points} points")
    } else {
        format!("Ended early: {solved} of {points} points")
    };
    if told.is_empty() {
        format!("{of}.")
    } else {
        format!("{of}: {}.", words::list(&told))
    }
}

/// The lowest and the highest value of the goal, and where.
fn ends(found: &Sweep) -> String {
    let problem = found.plan.problem();
    let goal = &problem.goal.property;
    let valued: Vec<(&Row, f64)> = found
        .rows
        .iter()
        .filter_map(|row| Some((row, row.goal?)))
        .collect();
    let printed = |value: f64| number::value(goal, value);
    // Of several that read the same, the first.
    let first = |end: Option<f64>| {
        let end = printed(end?);
        valued.iter().find(|(_, value)| printed(*value) == end)
    };
    let least = valued.iter().map(|v| v.1).min_by(f64::total_cmp);
    let most = valued.iter().map(|v| v.1).max_by(f64::total_cmp);
    let (Some(least), Some(most)) = (first(least), first(most)) else {
        return String::new();
    };
    let told = |(row, value): &(&Row, f64)| (printed(*value), place(found, row));
    let ((low, low_at), (high, high_at)) = (told(least), told(most));
    let named = words::sentence(&words::property(goal));
    let named = named.trim_end_matches('.');
    let high = words::with_unit(&high, &problem.unit(goal));
    if low_at == high_at {
        return format!("{named}: {high}.");
    }
    format!("{named}: from {low} at {low_at} to {high} at {high_at}.")
}

/// Where a row stands: `600`, `600 and 7.5`; a batch with its unit.
fn place(found: &Sweep, row: &Row) -> String {
    let at: Vec<String> = found
        .plan
        .varied()
        .iter()
        .zip(&row.at)
        .map(|((dial, stops), setting)| {
            let at = dials::setting(stops, setting);
            match dial.aim {
                Aim::Batch => words::with_unit(&at, &dial.unit(found.plan.problem())),
                _ => at,
            }
        })
        .collect();
    at.join(" and ")
}

/// The components that get a column: those that are varied, and those with the largest treat rates
/// anywhere, in the shelf's order.
fn main_components(found: &Sweep) -> Vec<usize> {
    let (problem, rows) = (found.plan.problem(), &found.rows);
    let moved = |j: &usize| {
        let of = |(dial, _): &(Dial, Stops)| dial.aim.component() == Some(*j);
        found.plan.varied().iter().any(of)
    };
    let largest = |j: usize| {
        let shares = rows.iter().filter_map(|row| row.shares.get(j));
        shares.copied().fold(0.0, f64::max) * 100.0
    };
    let mut all: Vec<usize> = (0..problem.components.len())
        .filter(|&j| largest(j) >= MINOR)
        .collect();
    all.sort_by(|&a, &b| largest(b).total_cmp(&largest(a)));
    let dialled: Vec<usize> = (0..problem.components.len()).filter(moved).collect();
    all.retain(|j| !moved(j));
    all.truncate(COLUMNS.saturating_sub(dialled.len()));
    all.extend(dialled);
    all.sort_unstable();
    all
}

fn table(found: &Sweep, legend: &Legend) -> String {
    let problem = found.plan.problem();
    let goal = &problem.goal.property;
    let main = main_components(found);
    let mut heads: Vec<(String, Align)> = found
        .plan
        .varied()
        .iter()
        .map(|(dial, _)| (dials::column(problem, dial), Align::Right))
        .collect();
    heads.push((words::property_in(goal, &problem.unit(goal)), Align::Right));
    let ids = main.iter().map(|&j| problem.components[j].id.clone());
    heads.extend(ids.map(|id| (id, Align::Right)));
    heads.push(("others".into(), Align::Right));
    heads.push(("binds".into(), Align::Left));
    let heads: Vec<(&str, Align)> = heads.iter().map(|(h, a)| (h.as_str(), *a)).collect();
    let lines: Vec<Vec<String>> = found
        .rows
        .iter()
        .map(|row| line(problem, legend, &main, row))
        .collect();
    let mut table = Table::new(&heads);
    let shown = shown(&found.rows, &lines);
    for &k in &shown {
        let row = &found.rows[k];
        let settings = found.plan.varied().iter().zip(&row.at);
        let mut cells: Vec<String> = settings
            .map(|((_, stops), setting)| dials::setting(stops, setting))
            .collect();
        cells.extend(lines[k].iter().cloned());
        table.row(cells);
    }
    let note = match (found.rows.len() - shown.len(), found.rows.len()) {
        (0, _) => String::new(),
        (left, all) => table::note(&format!(
            "Not shown: {left} of {all} points, {}; `--format csv` tells all.",
            if unequal(&lines).len() == shown.len() {
                "each between two lines equal to it"
            } else {
                "which change little"
            }
        )),
    };
    format!("Along the way, mass %\n{}{note}", table.render())
}

/// The goal's value at a point, or why there is none.
pub(super) fn cell(problem: &Problem, row: &Row) -> String {
    match (row.status, row.goal) {
        (Status::NoRecipe, _) => "no recipe".into(),
        (Status::Undecided, _) | (_, None) => "undecided".into(),
        (_, Some(value)) => number::value(&problem.goal.property, value),
    }
}

/// The cells of a row after its settings.
fn line(problem: &Problem, legend: &Legend, main: &[usize], row: &Row) -> Vec<String> {
    let mut cells = vec![cell(problem, row)];
    if row.has_recipe() {
        let rate = |share: f64| number::fixed(share * 100.0, 2);
        let told: f64 = main.iter().map(|&j| row.shares[j]).sum();
        cells.extend(main.iter().map(|&j| rate(row.shares[j])));
        cells.push(rate((1.0 - told).max(0.0)));
        cells.push(legend.letters(row));
    }
    cells
}

/// The rows that a table shows: of equal lines in a row the first and the last; of a long table every so
/// many, and those at which something else binds.
fn shown(rows: &[Row], lines: &[Vec<String>]) -> Vec<usize> {
    let unequal = unequal(lines);
    if unequal.len() <= ROWS {
        return unequal;
    }
    let last = rows.len().saturating_sub(1);
    let inside = |k: usize| k > 0 && k < last;
    let binds = |k: usize| lines[k].last();
    let turns = |k: &usize| !inside(*k) || binds(*k) != binds(*k - 1) || binds(*k) != binds(*k + 1);
    let changes = unequal.iter().filter(|k| turns(k)).count();
    let every = rows.len().div_ceil(ROWS);
    unequal
        .into_iter()
        .filter(|k| k % every == 0 || !inside(*k) || changes <= ROWS && turns(k))
        .collect()
}

/// All lines of a short table; of a longer one those that are not equal to both their neighbours.
fn unequal(lines: &[Vec<String>]) -> Vec<usize> {
    let last = lines.len().saturating_sub(1);
    (0..lines.len())
        .filter(|&k| {
            let inside = k > 0 && k < last && lines.len() > SHORT;
            !(inside && lines[k] == lines[k - 1] && lines[k] == lines[k + 1])
        })
        .collect()
}

fn legend_lines(problem: &Problem, legend: &Legend) -> String {
    let mut out = String::new();
    for (letter, words) in legend.lines(problem) {
        out.extend(["  ", &letter.to_string(), "  ", &words, "\n"]);
    }
    let always: Vec<String> = legend.always.iter().map(|e| e.words(problem)).collect();
    if !always.is_empty() {
        let these = words::list(&always);
        out.push_str(&table::note(&format!("Binding all along: {these}.")));
    }
    out
}

fn changes(found: &Sweep, legend: &Legend) -> String {
    let Some((_, stops)) = found.plan.line().filter(|_| found.searched) else {
        return String::new();
    };
    if found.breaks.is_empty() && !found.rows.iter().any(Row::has_recipe) {
        return String::new();
    }
    if found.breaks.is_empty() {
        return table::paragraph(
            "Nothing comes in, drops out, binds or ceases to bind anywhere between.",
        );
    }
    let problem = found.plan.problem();
    let lines: String = found
        .breaks
        .iter()
        .map(|b| {
            // A stock that a batch makes scarce binds there and not in the problem as stated.
            let there = found.plan.problem_at(&[Setting::Number(b.at)]);
            let told = |r| party(problem, r).or_else(|| party(&there, r));
            let turns: Vec<String> = b
                .turns
                .iter()
                .map(|t| turn(problem, legend, &told, t))
                .collect();
            table::item(&format!(
                "{}: {}",
                dials::place(stops, b.at),
                turns.join("; ")
            ))
        })
        .collect();
    let down = stops.number(0) > stops.number(stops.len() - 1);
    let way = if down { "falls" } else { "rises" };
    format!("Where it changes, as the number {way}\n{lines}")
}

fn turn(
    problem: &Problem,
    legend: &Legend,
    told: &dyn Fn(Requirement) -> Option<Party>,
    turn: &Turn,
) -> String {
    let component = |j: usize| conflict::named(problem, &problem.components[j].id);
    let limit = |r| {
        told(r).map_or_else(
            || "another limit".into(),
            |p| {
                let letter = legend
                    .letter(&p)
                    .map_or(String::new(), |l| format!(" ({l})"));
                format!("{}{letter}", standing::bare(problem, &p))
            },
        )
    };
    match *turn {
        Turn::Recipe => "a recipe from here".into(),
        Turn::NoRecipe => "no recipe from here".into(),
        Turn::Unknown => "undecided from here".into(),
        Turn::Jump => "quite another recipe takes over".into(),
        Turn::Enters(j) => format!("{} comes in", component(j)),
        Turn::Leaves(j) => format!("{} drops out", component(j)),
        Turn::Binds(r) => format!("{} begins to bind", limit(r)),
        Turn::Frees(r) => format!("{} no longer binds", limit(r)),
    }
}

fn barren(found: &Sweep) -> String {
    if !found.searched {
        return reasons_of_points(found);
    }
    let Some((dial, stops)) = found.plan.line() else {
        return String::new();
    };
    let problem = found.plan.problem();
    let unit = dial.unit(problem);
    let told = |b: &Barren| {
        let to = words::with_unit(&dials::place(stops, b.to), &unit);
        let head = format!("From {} to {to}", dials::place(stops, b.from));
        if !b.proved {
            return table::item(&format!("{head}: undecided."));
        }
        let reasons: Vec<String> = b
            .reasons
            .iter()
            .map(|reason| {
                let because = conflict::sentence(problem, &reason.parties, reason.settled);
                if b.reasons.len() > 1 {
                    format!("At {}: {because}", dials::place(stops, reason.at))
                } else {
                    because
                }
            })
            .collect();
        table::item(&format!("{head}. {}", reasons.join(" ")))
    };
    let items: Vec<String> = found.barren.iter().map(told).collect();
    listed(&items)
}

fn listed(items: &[String]) -> String {
    if items.is_empty() {
        String::new()
    } else {
        format!("No recipe\n{}", items.concat())
    }
}

/// The reasons of single points without a recipe, each told once.
fn reasons_of_points(found: &Sweep) -> String {
    let problem = found.plan.problem();
    let mut told: Vec<(String, Vec<String>)> = Vec::new();
    for row in found
        .rows
        .iter()
        .filter(|row| row.status == Status::NoRecipe)
    {
        let because = conflict::sentence(problem, &row.conflict, row.settled);
        let at = place(found, row);
        match told.iter_mut().find(|(reason, _)| *reason == because) {
            Some((_, places)) => places.push(at),
            None => told.push((because, vec![at])),
        }
    }
    let more = told.len().saturating_sub(REASONS);
    let mut items: Vec<String> = told
        .iter()
        .take(REASONS)
        .map(|(because, places)| {
            let places = match places.as_slice() {
                [one] => one.clone(),
                [first, second] => format!("{first} and at {second}"),
                [first, .., last] => format!("{} points, from {first} to {last}", places.len()),
                [] => String::new(),
            };
            table::item(&format!("At {places}. {because}"))
        })
        .collect();
    if more > 0 {
        items.push(table::item(&format!(
            "{more} further reasons: `--format csv` tells all."
        )));
    }
    listed(&items)
}

/// Most reasons of single points that are told.
const REASONS: usize = 6;

/// What to mind of whatever any of the recipes uses.
fn safety(problem: &Problem, rows: &[Row]) -> String {
    let poured = |j: &usize| {
        let mut shares = rows.iter().filter_map(|row| row.shares.get(*j));
        shares.any(|share| *share > 0.0)
    };
    let used: Vec<usize> = (0..problem.components.len()).filter(poured).collect();
    notes::safety(problem, &used)
}

//! How often one laboratory's single test passes, limit by limit.

use crate::declare::problem::Limit;
use crate::declare::problem::Problem;
use crate::predict::chance::Chances;
use crate::report::bound::Bound;
use crate::report::number;
use crate::report::table;
use crate::report::table::Align;
use crate::report::table::Table;
use crate::report::words;

/// A limit that passes more often than this is told with the rest in one line.
pub const SAFE: f64 = 0.9995;

/// Chances are told to a tenth of a percent: the draws know no more.
const PLACES: i32 = 1;

/// What is told instead of chances where nothing is uncertain.
const CERTAIN: &str = "How sure: nothing that bears on the limits is uncertain here. Figures count as \
                       exact where no `sd` is stated, and no test's scatter is known of what is limited.";

/// Whether nothing that bears on a limit is uncertain; then a paragraph says so.
#[must_use]
pub fn certain(chances: &Chances) -> Option<String> {
    let drawn = chances.limits.iter().any(|l| l.drawn);
    (!drawn).then(|| table::paragraph(CERTAIN))
}

/// The section beside a prediction.
#[must_use]
pub fn section(problem: &Problem, chances: &Chances, asked: Option<f64>) -> String {
    if let Some(certain) = certain(chances) {
        return certain;
    }
    let told = worth_telling(chances, asked);
    let mut table = Table::new(&[
        ("limit", Align::Left),
        ("passes", Align::Right),
        ("", Align::Left),
        ("of the failures", Align::Right),
        ("alone", Align::Right),
    ]);
    for &l in &told {
        let chance = &chances.limits[l];
        let part = chance.pass.map_or(0.0, |p| p.part);
        table.row(vec![
            limit(problem, &problem.limits[l]),
            percent(part),
            if asked.is_some_and(|asked| !chance.reaches(asked)) {
                "TOO SELDOM".into()
            } else {
                String::new()
            },
            whole(chance.blamed),
            whole(chance.alone),
        ]);
    }
    format!(
        "How sure, at one laboratory's single test of each property\n{}{}",
        table.render(),
        table::note(&together(problem, chances, told.len()))
    )
}

/// How often all tests pass: `12 times in 100`; `None` where nothing is uncertain.
#[must_use]
pub fn times(chances: &Chances) -> Option<String> {
    if !chances.limits.iter().any(|l| l.drawn) {
        return None;
    }
    let part = chances.together.part;
    let hundred = (100.0 * part).round();
    Some(if hundred < 1.0 {
        "less than once in 100 times".into()
    } else if hundred > 99.0 {
        "more than 99 times in 100".into()
    } else if hundred < 2.0 {
        "once in 100 times".into()
    } else {
        format!("{hundred:.0} times in 100")
    })
}

/// Whether each limit passes as often as asked, in a sentence.
#[must_use]
pub fn verdict(problem: &Problem, chances: &Chances, asked: f64) -> String {
    let seldom = problem.limits.iter().zip(&chances.limits);
    let mut names: Vec<String> = seldom
        .filter(|(_, c)| !c.reaches(asked))
        .map(|(limit, _)| words::property(&limit.property))
        .collect();
    names.dedup();
    let asked = number::as_written(asked * 100.0);
    table::paragraph(&if names.is_empty() {
        format!("Each limit passes in at least {asked} % of one laboratory's tests.")
    } else {
        format!(
            "The recipe is not as sure as asked: {} {} in less than {asked} % of one laboratory's tests.",
            words::list(&names),
            if names.len() == 1 { "passes" } else { "pass" }
        )
    })
}

/// The limits with a row of their own.
#[must_use]
pub fn worth_telling(chances: &Chances, asked: Option<f64>) -> Vec<usize> {
    let below = asked.unwrap_or(0.0).max(SAFE);
    let often = |l: &usize| {
        let limit = &chances.limits[*l];
        limit.pass.is_some_and(|p| p.part < below)
    };
    (0..chances.limits.len()).filter(often).collect()
}

/// What is said below the table: all together, the rest, the draws.
#[must_use]
pub fn together(problem: &Problem, chances: &Chances, told: usize) -> String {
    let tested = chances.limits.iter().filter(|l| l.pass.is_some()).count();
    let mut said = vec![format!(
        "All that a laboratory tests passes together in {}.",
        percent(chances.together.part)
    )];
    match (tested - told, told) {
        (0, _) => {}
        (1, _) => said.push(format!("The other limit passes in more than {}.", safe())),
        (rest, 0) => said.push(format!(
            "Each of the {rest} limits passes in more than {}.",
            safe()
        )),
        (rest, _) => said.push(format!(
            "The other {rest} limits pass in more than {}.",
            safe()
        )),
    }
    if told > 0 {
        said.push(
            "Of the failures: how often a limit fails when any does; alone: when it alone does."
                .into(),
        );
    }
    said.push(format!(
        "From {} draws of every stated uncertainty at once, good to ±{} %.",
        chances.draws,
        number::up_to_one_digit(100.0 * error(chances).max(1e-4))
    ));
    if problem.balance.is_none() {
        said.push("The pours count as exact: state `balance` to count them.".into());
    }
    said.join(" ")
}

/// Two standard errors of the least sure of the chances.
fn error(chances: &Chances) -> f64 {
    let limits = chances.limits.iter().filter_map(|l| l.pass);
    let errors = limits.chain([chances.together]).map(|e| e.error);
    2.0 * errors.fold(0.0, f64::max)
}

fn safe() -> String {
    // 99.95 %, as it is.
    format!("{} %", number::as_written(SAFE * 100.0))
}

/// A limit in a phrase: `KV100 < 26.1 mm²/s (SAE J300 10W-60)`.
#[must_use]
pub fn limit(problem: &Problem, limit: &Limit) -> String {
    Bound::limit(problem, limit).signed()
}

/// A chance in percent; what rounds to none or all is told as less or more.
#[must_use]
pub fn percent(part: f64) -> String {
    let text = number::fixed(part * 100.0, PLACES);
    match text.as_str() {
        "100.0" if part < 1.0 => ">99.9 %".into(),
        "0.0" if part > 0.0 => "<0.1 %".into(),
        _ => format!("{text} %"),
    }
}

fn whole(part: f64) -> String {
    format!("{:.0} %", part * 100.0)
}

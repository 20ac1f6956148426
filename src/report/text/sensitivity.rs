//! What small moves do to the goal, as a table: the greatest effect first.

use crate::declare::problem::Limit;
use crate::declare::problem::Problem;
use crate::declare::property::Property;
use crate::declare::requirement::Requirement;
use crate::predict::value::Source;
use crate::quantity::Share;
use crate::quantity::Unit;
use crate::report::number;
use crate::report::rules;
use crate::report::table;
use crate::report::table::Align;
use crate::report::table::Table;
use crate::report::text::answer;
use crate::report::text::conflict;
use crate::report::text::headline;
use crate::report::text::many;
use crate::report::words;
use crate::study::sensitivity::Effect;
use crate::study::sensitivity::Move;
use crate::study::sensitivity::Row;
use crate::study::sensitivity::Sensitivity;
use crate::study::sensitivity::What;

/// Significant digits of a step.
const DIGITS: i32 = 3;

/// Most treat rates told beside an effect, and the least change that is, mass %.
const NAMED: usize = 3;
const STILL: f64 = 0.005;

/// The page.
#[must_use]
pub fn sensitivity(all: &[Sensitivity]) -> String {
    let Some(first) = all.first() else {
        return String::new();
    };
    let problem = &first.base.problem;
    let Some((recipe, judgement)) = first.base.recipe() else {
        return answer::solve(problem, &first.base.answer);
    };
    let mut sections = vec![head(first)];
    for study in all {
        sections.extend(table(study));
    }
    sections.extend(many::closing(problem, &[recipe], &[judgement]));
    answer::page(&sections)
}

fn head(study: &Sensitivity) -> String {
    let problem = &study.base.problem;
    let goal = &problem.goal.property;
    let value = study.base.value().map_or_else(String::new, |v| {
        words::with_unit(&number::value(goal, v), &problem.unit(goal))
    });
    let tested = study
        .base
        .recipe()
        .map_or_else(String::new, |(_, j)| headline::to_test(j));
    let mut text = table::paragraph(&format!(
        "As it stands: {} {value}{tested}. One number is moved at a time, and the best recipe found \
         anew.",
        words::property(goal)
    ));
    text += &table::paragraph(&headline::proof(problem, &study.base.answer));
    let title = headline::title(problem);
    if !title.is_empty() {
        text += &table::paragraph(&title);
    }
    text
}

/// Whether a study moved prices.
#[must_use]
pub fn of_prices(study: &Sensitivity) -> bool {
    let mut all = study.rows.iter().chain(&study.still);
    all.any(|r| matches!(r.what, What::Price(_)))
}

fn table(study: &Sensitivity) -> Vec<String> {
    let problem = &study.base.problem;
    let prices = of_prices(study);
    let goal = &problem.goal.property;
    let (title, ways) = if prices {
        ("price of", ["cheaper", "dearer"])
    } else {
        ("limit", ["tighter", "looser"])
    };
    let mut rows = Table::new(&[
        (title, Align::Left),
        ("at", Align::Right),
        ("by", Align::Right),
        ("", Align::Left),
        (ways[0], Align::Right),
        (ways[1], Align::Right),
        ("the recipe then, mass %", Align::Left),
    ]);
    for one in &study.rows {
        rows.row(cells(study, one));
    }
    let head = format!(
        "What a moved {} does to {}, the most first",
        if prices { "price" } else { "limit" },
        words::property_in(goal, &problem.unit(goal))
    );
    let body = if study.rows.is_empty() {
        table::note("Nothing: no single move changes it.")
    } else {
        rows.render()
    };
    vec![
        format!("{head}\n{body}{}", notes(study, prices)),
        reasons(study),
        still(study, prices),
    ]
}

fn notes(study: &Sensitivity, prices: bool) -> String {
    if prices {
        return table::note(
            "The recipe then: with the price dearer where the component is bought, cheaper where it is \
             not.",
        );
    }
    let any = |tested: bool| {
        let mut all = study.rows.iter().chain(&study.still);
        all.any(|r| (step_is(&r.what) == "reproducibility") == tested)
    };
    let mut text = String::new();
    if any(true) {
        text += "R: the reproducibility of the test at the limit, what two laboratories may differ by. ";
    }
    if any(false) {
        text += "step: 0.1 % for treat rates and shares, 1 °C for temperatures, 1 % of any other bound \
                 without a known R, one for a count. ";
    }
    if study.rows.iter().any(|r| r.tighter().is_none()) {
        text += "An exact number is moved down and up, in that order. ";
    }
    text += "The recipe then: with the limit tighter, or looser where only that changes it.";
    table::note(&text)
}

/// The two moves in the order of the columns.
#[must_use]
pub fn ordered(one: &Row) -> [&Move; 2] {
    let [lowered, raised] = &one.moves;
    match (&one.what, one.tighter()) {
        (What::Price(_), _) | (_, Some(0) | None) => [lowered, raised],
        (_, Some(_)) => [raised, lowered],
    }
}

fn cells(study: &Sensitivity, one: &Row) -> Vec<String> {
    let problem = &study.base.problem;
    let by = number::as_written(digits(one.step));
    let kind = match step_is(&one.what) {
        "reproducibility" => "R",
        "step" => "step",
        _ => "",
    };
    let [first, second] = ordered(one).map(|m| effect(study, &m.effect));
    vec![
        name(problem, &one.what),
        at(problem, one),
        by,
        kind.into(),
        first,
        second,
        then(study, one),
    ]
}

fn digits(value: f64) -> f64 {
    number::digits(value, DIGITS).parse().unwrap_or(value)
}

/// A number as its file says it.
#[must_use]
pub fn stated(what: &What, value: f64) -> String {
    match what {
        What::Bound { property, .. } => number::bound(property, value),
        What::Count(_) | What::Price(_) => number::as_written(value),
    }
}

fn effect(study: &Sensitivity, effect: &Effect) -> String {
    match effect {
        Effect::Nothing => "0".into(),
        Effect::Changes(by, _) => {
            let sign = if *by > 0.0 { "+" } else { "" };
            let goal = &study.base.problem.goal.property;
            let value = study.base.value().unwrap_or(0.0);
            format!("{sign}{}", number::change(goal, value, *by))
        }
        Effect::NoRecipe(_) => "no recipe".into(),
        Effect::Open => "not settled".into(),
        Effect::Fixed => "-".into(),
    }
}

/// What moves in the recipe with the first move that changes something.
fn then(study: &Sensitivity, one: &Row) -> String {
    let Some((before, _)) = study.base.recipe() else {
        return String::new();
    };
    let used = |j: usize| before.shares()[j] > Share::NONE;
    // A dearer price is told of what is bought, a cheaper one of what is not.
    let mut order = ordered(one);
    if matches!(one.what, What::Price(j) if used(j)) {
        order.reverse();
    }
    let found = order.into_iter().find_map(|m| match &m.effect {
        Effect::Changes(_, solved) => Some(solved.recipe()?.0),
        _ => None,
    });
    let Some(after) = found else {
        return String::new();
    };
    let mut moved: Vec<(usize, f64)> = (0..before.shares().len())
        .map(|j| {
            (
                j,
                after.shares()[j].percent() - before.shares()[j].percent(),
            )
        })
        .filter(|(_, change)| change.abs() >= STILL)
        .collect();
    moved.sort_by(|a, b| b.1.abs().total_cmp(&a.1.abs()));
    // What moves most for its own size comes first: of a booster a little is much.
    let part = |&(j, change): &(usize, f64)| {
        let [a, b] = [before, after].map(|r| r.shares()[j].percent());
        change.abs() / a.max(b)
    };
    let own = |&(j, _): &(usize, f64)| matches!(one.what, What::Price(moved) if moved == j);
    let first = moved.iter().position(own).or_else(|| {
        (0..moved.len()).max_by(|&a, &b| {
            let parts = part(&moved[a]).total_cmp(&part(&moved[b]));
            parts.then(b.cmp(&a))
        })
    });
    let Some(first) = first else {
        return "the same".into();
    };
    moved[..=first].rotate_right(1);
    let said: Vec<String> = moved
        .iter()
        .take(NAMED)
        .map(|(j, change)| {
            let sign = if *change > 0.0 { "+" } else { "" };
            let id = &study.base.problem.components[*j].id;
            format!("{id} {sign}{}", number::fixed(*change, 2))
        })
        .collect();
    said.join(", ")
}

/// Why there is no recipe where there is none.
fn reasons(study: &Sensitivity) -> String {
    let problem = &study.base.problem;
    let mut items = String::new();
    for one in &study.rows {
        for moved in &one.moves {
            let Effect::NoRecipe(solved) = &moved.effect else {
                continue;
            };
            let why = conflict::section(&solved.problem, &solved.answer.conflict);
            let to = words::with_unit(&stated(&one.what, moved.to), &unit(problem, &one.what));
            items += &table::item(&format!(
                "{}: {}",
                name_at(problem, &one.what, &to, true),
                why.trim()
            ));
        }
    }
    if items.is_empty() {
        return items;
    }
    format!("Where there is no recipe, and why\n{items}")
}

fn still(study: &Sensitivity, prices: bool) -> String {
    let problem = &study.base.problem;
    let Some((recipe, _)) = study.base.recipe() else {
        return String::new();
    };
    let named = |one: &Row| match &one.what {
        What::Price(_) | What::Count(_) => name(problem, &one.what),
        What::Bound { .. } => {
            let to = words::with_unit(&at(problem, one), &unit(problem, &one.what));
            format!("{} {to} ({})", name(problem, &one.what), source(&one.what))
        }
    };
    let unused =
        |one: &&Row| matches!(one.what, What::Price(j) if recipe.shares()[j] <= Share::NONE);
    let (out, rest): (Vec<&Row>, Vec<&Row>) = study.still.iter().partition(unused);
    let mut text = String::new();
    if prices && !out.is_empty() {
        let all: Vec<String> = out.into_iter().map(named).collect();
        text += &table::paragraph(&format!(
            "Not used, and not worth using when so much cheaper: {}.",
            words::list(&all)
        ));
    }
    if !rest.is_empty() {
        let all: Vec<String> = rest.into_iter().map(named).collect();
        text += &table::paragraph(&format!("No effect: {}.", all.join(", ")));
    }
    text
}

/// `phosphorus >= 825 ppm`; `at-most 5`. A number that was moved is no standard's any more, and obeyed as
/// it stands.
#[must_use]
pub fn name_at(problem: &Problem, what: &What, to: &str, moved: bool) -> String {
    match what {
        What::Bound {
            property,
            side: Some(side),
            ..
        } if moved => {
            let sign = words::sign(*side, false);
            format!("{} {sign} {to}", words::property(property))
        }
        What::Bound { .. } | What::Price(_) => format!("{} {to}", name(problem, what)),
        What::Count(rule) => format!("{} {to}", problem.rules[*rule].key()),
    }
}

/// `phosphorus >=`; a component's id for a price.
fn name(problem: &Problem, what: &What) -> String {
    match what {
        What::Bound { property, side, .. } => {
            let sign = side.map_or("=", |s| words::sign(s, strict(problem, what).is_some()));
            format!("{} {sign}", words::property(property))
        }
        What::Count(rule) => rules::says(problem, &problem.rules[*rule]),
        What::Price(j) => problem.components[*j].id.clone(),
    }
}

/// The number of a row as its standard prints it: of KV100 below 16.3 mm²/s what is obeyed is 16.29.
#[must_use]
pub fn at(problem: &Problem, row: &Row) -> String {
    let printed = strict(problem, &row.what).map_or(row.from, |limit| limit.stated);
    stated(&row.what, printed)
}

/// The limit that is obeyed, where its standard states it as *below*.
fn strict<'p>(problem: &'p Problem, what: &What) -> Option<&'p Limit> {
    let What::Bound {
        side: Some(_),
        requirements,
        source: Source::Limit(source),
        ..
    } = what
    else {
        return None;
    };
    let limits = requirements.iter().filter_map(|r| match r {
        Requirement::Limit(l) => Some(&problem.limits[*l]),
        _ => None,
    });
    limits.into_iter().find(|l| l.strict && l.source == *source)
}

/// The key of what is moved: a property's, `at-most`, or a component's id.
#[must_use]
pub fn key(problem: &Problem, what: &What) -> String {
    match what {
        What::Bound { property, .. } => property.key(),
        What::Count(rule) => problem.rules[*rule].key().into(),
        What::Price(j) => problem.components[*j].id.clone(),
    }
}

/// Who set it.
#[must_use]
pub fn source(what: &What) -> String {
    match what {
        What::Bound { source, .. } => words::source(source),
        What::Count(_) => "problem".into(),
        What::Price(_) => "shelf".into(),
    }
}

/// What its step is: `reproducibility`, `step` or, for a price, `part`.
#[must_use]
pub fn step_is(what: &What) -> &'static str {
    match what {
        What::Bound { tested: true, .. } => "reproducibility",
        What::Bound { tested: false, .. } | What::Count(_) => "step",
        What::Price(_) => "part",
    }
}

/// The unit of its numbers.
#[must_use]
pub fn unit(problem: &Problem, what: &What) -> Unit {
    match what {
        What::Bound { property, .. } => problem.unit(property),
        What::Count(_) => Unit::NONE,
        What::Price(_) => problem.unit(&Property::Cost),
    }
}

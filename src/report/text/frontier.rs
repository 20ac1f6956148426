//! What one property costs in another, as a page.

use crate::declare::problem::Limit;
use crate::declare::problem::Problem;
use crate::declare::problem::Sense;
use crate::predict::value::Judgement;
use crate::report::bound::Bound;
use crate::report::number;
use crate::report::step;
use crate::report::table;
use crate::report::table::Align;
use crate::report::table::Table;
use crate::report::text::answer::page;
use crate::report::text::columns;
use crate::report::text::conflict;
use crate::report::text::headline;
use crate::report::text::many;
use crate::report::text::reach;
use crate::report::text::recipe;
use crate::report::words;
use crate::study::apart;
use crate::study::frontier::Curve;
use crate::study::frontier::Frontier;
use crate::study::frontier::Outcome;
use crate::study::frontier::Point;
use crate::study::frontier::aim::Aim;
use crate::study::frontier::aim::Unable;
use crate::study::solved::Solved;

/// Significant digits of an exchange rate.
const DIGITS: i32 = 2;

/// Most components whose treat rates are shown.
const SHOWN: usize = 5;

/// A treat rate that moves by less than this along the whole curve, mass fraction, is not shown.
const STILL: f64 = 5e-4;

/// A gap is told as no less than this part, a thousandth of a percent: nobody weighs out more.
const LEAST_GAP: f64 = 1e-5;

/// Why two properties cannot be traded, as a phrase.
#[must_use]
pub fn unable(unable: &Unable) -> String {
    match unable {
        Unable::Same(property) => format!(
            "`{property}` is named twice: a frontier lies between two properties, such as \
             `--between cost,noack`"
        ),
        Unable::NoWay(property, both) => {
            let why = if *both {
                format!("the problem limits `{property}` from both sides")
            } else {
                format!("the problem sets no limit on `{property}`")
            };
            format!("{why}: say which way is better, `{property}:low` or `{property}:high`")
        }
        Unable::Unpredicted(property, why) => reach::unable(property, why),
    }
}

/// The answer of `frontier`.
#[must_use]
pub fn frontier(found: &Frontier) -> String {
    let mut sections = match &found.outcome {
        Outcome::None(refused) => return none(refused),
        Outcome::One(point) => one(found, point),
        Outcome::Curve(curve) => self::curve(found, curve),
    };
    let judged: Vec<&Judgement> = found.points().iter().map(|p| &p.judgement).collect();
    let recipes: Vec<_> = found.points().iter().map(|p| &p.recipe).collect();
    sections.extend(many::closing(&found.problem, &recipes, &judged));
    page(&sections)
}

fn none(refused: &Solved) -> String {
    let (problem, answer) = (&refused.problem, &refused.answer);
    if !refused.none() {
        return page(&[
            table::paragraph("Undecided: no recipe was found, and none was ruled out."),
            table::paragraph(&words::sentence(&answer.proof.words)),
        ]);
    }
    page(&[
        table::paragraph("No recipe: what is asked for cannot all hold at once."),
        conflict::section(problem, &answer.conflict),
        table::paragraph(&headline::proof(problem, answer)),
    ])
}

/// `the lowest cost`.
#[must_use]
pub fn best(aim: &Aim) -> String {
    let way = match aim.sense {
        Sense::Minimise => "lowest",
        Sense::Maximise => "highest",
    };
    format!("the {way} {}", words::property(&aim.property))
}

fn one(found: &Frontier, point: &Point) -> Vec<String> {
    let [a, b] = &found.aims;
    let problem = &found.problem;
    let value = |k: usize| {
        let property = &found.aims[k].property;
        let value = number::value(property, point.at[k]);
        words::with_unit(&value, &problem.unit(property))
    };
    let proof = if point.gap.is_some() {
        ""
    } else {
        " This is not proved."
    };
    let words = format!(
        "Nothing to trade: one recipe has both {} ({}) and {} ({}).{proof}",
        best(a),
        value(0),
        best(b),
        value(1)
    );
    let head = table::paragraph(&words) + &title(problem);
    vec![head, recipe::section(problem, &point.recipe)]
}

fn title(problem: &Problem) -> String {
    match headline::title(problem).as_str() {
        "" => String::new(),
        title => table::paragraph(title),
    }
}

fn curve(found: &Frontier, curve: &Curve) -> Vec<String> {
    vec![
        head(found, curve),
        exchange(found, curve),
        jumps(found, curve),
        treat_rates(&found.problem, curve),
        binding(curve),
    ]
}

fn head(found: &Frontier, curve: &Curve) -> String {
    let [a, b] = &found.aims;
    let names = [&a.property, &b.property].map(words::property);
    let tested = curve
        .points
        .last()
        .map_or_else(String::new, |p| headline::to_test(&p.judgement));
    let mut text = table::paragraph(&format!(
        "Between {} and {}: {} recipes, each with {} that its {} allows{tested}.",
        names[0],
        names[1],
        curve.points.len(),
        best(b),
        names[0]
    ));
    let open = curve.points.iter().filter(|p| p.gap.is_none()).count();
    let proof = if found.is_proved() {
        let gap = curve.points.iter().filter_map(|p| p.gap);
        let gap = number::up_to_one_digit(gap.fold(LEAST_GAP, f64::max) * 100.0);
        format!(
            "No recipe on this shelf betters one of them in both by more than {gap} %, on these \
             property models."
        )
    } else if open > 0 {
        format!(
            "Not proved for those marked ?, {open} of {}: a recipe may better them in both.",
            curve.points.len()
        )
    } else {
        "Each was proved; that nothing else lies in the jumps was not.".into()
    };
    text += &table::paragraph(&proof);
    text += &title(&found.problem);
    text
}

/// Decimals of a property's values that tell neighbours apart.
fn places(found: &Frontier, curve: &Curve, k: usize) -> i32 {
    let property = &found.aims[k].property;
    let all: Vec<f64> = curve.points.iter().map(|p| p.at[k]).collect();
    let usual = all.iter().map(|v| number::places(property, *v)).max();
    let way = all[0] - all[all.len() - 1];
    #[expect(clippy::cast_precision_loss, reason = "a few hundred recipes at most")]
    let step = way.abs() / all.len() as f64;
    usual
        .unwrap_or(0)
        .max(number::places_to_tell(property, all[0], step))
}

fn exchange(found: &Frontier, curve: &Curve) -> String {
    let problem = &found.problem;
    let [a, b] = [0, 1].map(|k| &found.aims[k].property);
    let units = [problem.unit(a), problem.unit(b)];
    let heads = [
        words::property_in(a, &units[0]),
        words::property_in(b, &units[1]),
    ];
    let values: Vec<f64> = curve.points.iter().map(|p| p.at[0]).collect();
    let way = (values[0] - values[values.len() - 1]).abs();
    let step = step::within(a, values[0], way);
    let sides = ["less", "more"].map(|side| format!("{} {side}", number::as_written(step)));
    let mut table = Table::new(&[
        ("", Align::Right),
        (&heads[0], Align::Right),
        (&heads[1], Align::Right),
        (&sides[0], Align::Right),
        (&sides[1], Align::Right),
        ("", Align::Left),
    ]);
    let places = [0, 1].map(|k| places(found, curve, k));
    for (k, point) in curve.points.iter().enumerate() {
        let (less, more) = match found.aims[0].sense {
            Sense::Minimise => (point.rates.better, point.rates.worse),
            Sense::Maximise => (point.rates.worse, point.rates.better),
        };
        table.row(vec![
            format!("{}{}", k + 1, if point.gap.is_some() { "" } else { "?" }),
            number::fixed(point.at[0], places[0]),
            number::fixed(point.at[1], places[1]),
            less.map_or_else(String::new, |r| signed(-r * step)),
            more.map_or_else(String::new, |r| signed(r * step)),
            remark(found, curve, k),
        ]);
        if curve.jumps.contains(&k) {
            table.row(vec!["jump".into()]);
        }
    }
    let with_step = words::with_unit(&number::as_written(step), &units[0]);
    let note = format!(
        "{} and {}: the change of {} with {with_step} less or more of {}, each recipe the best for it. \
         Exact where the recipe stands; the two differ on a kink.",
        sides[0],
        sides[1],
        words::property_in(b, &units[1]),
        words::property(a),
    );
    format!("The trade\n{}{}", table.render(), table::note(&note))
}

fn signed(change: f64) -> String {
    let sign = if change > 0.0 { "+" } else { "" };
    format!("{sign}{}", number::digits(change, DIGITS))
}

/// What a point is: an end, and the limit that stops the curve there.
fn remark(found: &Frontier, curve: &Curve, k: usize) -> String {
    let end = match k {
        0 => 0,
        k if k + 1 == curve.points.len() => 1,
        _ => return String::new(),
    };
    let stop = curve.stops[end].as_ref().map_or_else(String::new, |l| {
        format!("; on {}", limit(&found.problem, l))
    });
    format!("{}{stop}", best(&found.aims[end]))
}

fn limit(problem: &Problem, limit: &Limit) -> String {
    format!("the limit {}", Bound::limit(problem, limit).signed())
}

fn jumps(found: &Frontier, curve: &Curve) -> String {
    let at = |k: usize| {
        let value = |i: usize| {
            let property = &found.aims[i].property;
            let places = number::places_to_tell(
                property,
                curve.points[k].at[i],
                1e-3 * (curve.points[0].at[i] - curve.points[curve.points.len() - 1].at[i]),
            );
            let value = number::fixed(curve.points[k].at[i], places);
            words::with_unit(&value, &found.problem.unit(property))
        };
        format!("{} at {}", value(0), value(1))
    };
    curve
        .jumps
        .iter()
        .map(|&k| {
            table::paragraph(&format!(
                "A jump after {}, from {} to {}: every recipe between is bettered in both, or \
                 equalled in one and bettered in the other, by one of these two.",
                k + 1,
                at(k),
                at(k + 1)
            ))
        })
        .collect()
}

fn treat_rates(problem: &Problem, curve: &Curve) -> String {
    let span = |j: usize| {
        let all = curve.points.iter().map(|p| p.recipe.shares()[j].fraction());
        all.clone().fold(f64::NEG_INFINITY, f64::max) - all.fold(f64::INFINITY, f64::min)
    };
    let mut moving: Vec<usize> = (0..problem.components.len())
        .filter(|&j| span(j) >= STILL)
        .collect();
    moving.sort_by(|&a, &b| span(b).total_cmp(&span(a)));
    let more = moving.len().saturating_sub(SHOWN);
    moving.truncate(SHOWN);
    let mut heads = vec![("", Align::Right)];
    heads.extend(
        moving
            .iter()
            .map(|&j| (problem.components[j].id.as_str(), Align::Right)),
    );
    let mut table = Table::new(&heads);
    for (k, point) in curve.points.iter().enumerate() {
        let rates = moving.iter().map(|&j| {
            let percent = point.recipe.shares()[j].percent();
            if percent > 0.0 {
                number::fixed(percent, number::TREAT)
            } else {
                "-".into()
            }
        });
        table.row([(k + 1).to_string()].into_iter().chain(rates).collect());
    }
    let rest = match more {
        0 => String::new(),
        _ => format!(" {more} more move less."),
    };
    let note = format!("Every treat rate: `--format csv`.{rest}");
    format!(
        "Treat rates that move most, mass %\n{}{}",
        table.render(),
        table::note(note.trim())
    )
}

/// What holds the recipes: everywhere, and from one point to another.
fn binding(curve: &Curve) -> String {
    let all: Vec<Vec<String>> = curve
        .points
        .iter()
        .map(|p| {
            let binding = apart::binding(&p.judgement);
            binding.into_iter().map(columns::bound).collect()
        })
        .collect();
    let mut named: Vec<&String> = Vec::new();
    for one in all.iter().flatten() {
        if !named.contains(&one) {
            named.push(one);
        }
    }
    let mut items: Vec<(bool, String)> = named
        .into_iter()
        .map(|name| {
            let at: Vec<usize> = (0..all.len()).filter(|&k| all[k].contains(name)).collect();
            let everywhere = at.len() == all.len();
            (everywhere, format!("{name}: {}", stretches(&at, all.len())))
        })
        .collect();
    items.sort_by_key(|(everywhere, _)| !everywhere);
    if items.is_empty() {
        return String::new();
    }
    let lines: String = items.iter().map(|(_, i)| table::item(i)).collect();
    format!("What binds, and at which of them\n{lines}")
}

/// `1 to 4 and 7`; `all`.
fn stretches(at: &[usize], of: usize) -> String {
    if at.len() == of {
        return "all".into();
    }
    let mut runs: Vec<(usize, usize)> = Vec::new();
    for &k in at {
        match runs.last_mut() {
            Some(run) if run.1 + 1 == k => run.1 = k,
            _ => runs.push((k, k)),
        }
    }
    let said: Vec<String> = runs
        .into_iter()
        .map(|(from, to)| {
            if from == to {
                (from + 1).to_string()
            } else {
                format!("{} to {}", from + 1, to + 1)
            }
        })
        .collect();
    words::list(&said)
}

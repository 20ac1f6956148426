//! The answer of `solve` with a confidence that no recipe reaches: why, and how near one comes.

use crate::declare::problem::Limit;
use crate::declare::problem::Problem;
use crate::declare::problem::Side;
use crate::declare::property::Property;
use crate::predict::cause::Unknown;
use crate::quantity::Unit;
use crate::report::number;
use crate::report::table;
use crate::report::text::chances;
use crate::report::text::confidence;
use crate::report::text::conflict;
use crate::report::words;
use crate::solve::answer::Party;
use crate::standard::normal;
use crate::study::confidence::Confident;
use crate::study::confidence::Outcome;
use crate::study::guard;
use crate::study::held::Held;
use crate::study::sure::Highest;
use crate::study::sure::Refused;

/// The chance of a value that stands on its limit.
const EVEN: f64 = 0.5;

/// Why no recipe is sure enough, how sure one can be, and what would help.
#[must_use]
pub fn refusal(problem: &Problem, confident: &Confident) -> Vec<String> {
    let Outcome::NotReached {
        refused,
        highest,
        off_grid,
    } = &confident.outcome
    else {
        return vec![conflict::section(problem, &confident.plain.conflict)];
    };
    vec![
        refused.as_ref().map_or_else(String::new, |r| {
            because(problem, confident, r, &highest.held)
        }),
        nearest(problem, confident, highest, *off_grid),
        confidence::worth(problem, confident),
    ]
}

fn because(problem: &Problem, confident: &Confident, refused: &Refused, highest: &Held) -> String {
    let clauses: Vec<String> = refused
        .answer
        .conflict
        .iter()
        .filter(|p| **p != Party::Whole)
        .map(|party| clause(problem, confident, (&refused.guards, highest), party))
        .collect();
    if clauses.is_empty() {
        return String::new();
    }
    let whose = if refused.by_every {
        "Every recipe needs them: the tests and the models alone scatter so much"
    } else if confident.wish.together {
        "They are those of the surest recipe that was found, each widened alike"
    } else {
        "They are those that the surest recipe that was found would need"
    };
    table::paragraph(&format!(
        "Because {}, no recipe exists with these guards. {whose}.",
        words::list(&clauses)
    ))
}

/// A requirement of a guarded problem as a clause: the limit as stated and its guard.
fn clause(
    problem: &Problem,
    confident: &Confident,
    (guards, nearest): (&[f64], &Held),
    party: &Party,
) -> String {
    let guarded = guard::guarded(problem, guards);
    let Party::Limit {
        property,
        side,
        stated,
        source,
        ..
    } = party
    else {
        return conflict::clause(problem, party);
    };
    let found = guarded.limits.iter().position(|l| {
        l.property == *property
            && l.side == *side
            && l.source == *source
            && l.stated.total_cmp(stated).is_eq()
    });
    let Some(l) = found.filter(|l| guards[*l] > 0.0) else {
        return conflict::clause(problem, party);
    };
    let (limit, guard, aim) = (&problem.limits[l], guards[l], guarded.limits[l].bound);
    let stated = conflict::clause(problem, &Party::limit(problem, l));
    let asked = confident.wish.confidence;
    let rest = spoilt(problem, (nearest, asked), limit, guard, aim)
        .unwrap_or_else(|| kept(problem, limit, guard, aim));
    format!("{stated}, {rest}")
}

/// A limit whose guard leaves nothing that could be asked for: less than none of it. Where one pour is off
/// by so much that no more is needed for it, that is what is told.
fn spoilt(
    problem: &Problem,
    (nearest, asked): (&Held, f64),
    limit: &Limit,
    guard: f64,
    aim: f64,
) -> Option<String> {
    let property = &limit.property;
    let degrees = problem.unit(property) == Unit::CELSIUS;
    let own = matches!(property, Property::User(_));
    if limit.side == Side::Min || aim >= 0.0 || limit.stated < 0.0 || degrees || own {
        return None;
    }
    let unit = problem.unit(property);
    let causes = &nearest.causes;
    let place = causes.place(property)?;
    let pours = causes.causes.iter().filter(|c| c.of == Unknown::Pours);
    let poured = pours
        .map(|c| causes.moved(place, c).powi(2))
        .sum::<f64>()
        .sqrt();
    let alone = normal::quantile(asked.max(EVEN)) * poured >= limit.stated;
    Some(match problem.balance.filter(|_| alone) {
        Some(balance) => format!(
            "which the balance alone spoils: pours that are off by {} scatter it by ±{}",
            mass(balance),
            words::with_unit(&number::spread(property, limit.stated, poured), &unit),
        ),
        None => format!(
            "for which its guard of {} leaves no room",
            words::with_unit(&number::beside(property, limit.stated, guard), &unit),
        ),
    })
}

/// `1 kg`; `0.1 g`.
fn mass(kilograms: f64) -> String {
    if kilograms < 1.0 {
        format!("{} g", number::as_written(1000.0 * kilograms))
    } else {
        format!("{} kg", number::as_written(kilograms))
    }
}

fn kept(problem: &Problem, limit: &Limit, guard: f64, aim: f64) -> String {
    let unit = problem.unit(&limit.property);
    let property = &limit.property;
    // Two guards that leave nothing between them may meet within the value's digits.
    let finer = number::places(property, aim) + 1;
    format!(
        "with a guard of {} {} {}",
        words::with_unit(&number::beside(property, aim, guard), &unit),
        match limit.side {
            Side::Min => "at least",
            Side::Max => "at most",
        },
        words::with_unit(&number::fixed(aim, finer), &unit),
    )
}

/// How sure one can be.
fn nearest(
    problem: &Problem,
    confident: &Confident,
    highest: &Highest,
    off_grid: Option<f64>,
) -> String {
    let together = confident.wish.together;
    let of = if together {
        "for all limits together"
    } else {
        "for each limit"
    };
    let value = highest.held.value().unwrap_or(0.0);
    let all = if together {
        String::new()
    } else {
        let all = highest.held.sample.chances.together.part;
        format!(" ({} together)", chances::percent(all))
    };
    // Nothing is no confidence to ask for.
    let ask = if highest.is_had && highest.confidence > 0.0 {
        format!(
            " For the recipe, ask the same with `--confidence {}`.",
            number::as_written(highest.confidence)
        )
    } else {
        String::new()
    };
    let finer = off_grid.map_or_else(String::new, |value| {
        format!(
            " Off the balance's grid {} % is had, at {}; on it no recipe was found that is as sure.",
            number::as_written(confident.wish.confidence * 100.0),
            confidence::money(problem, value)
        )
    });
    table::paragraph(&format!(
        "The highest confidence that was found is {} % {of}, at {}{all}.{ask}{finer}",
        number::as_written(highest.confidence * 100.0),
        confidence::money(problem, value),
    ))
}

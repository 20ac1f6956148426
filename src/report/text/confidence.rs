//! The answer of `solve` with a confidence: what it asks of each limit, what it costs, and what is worth
//! measuring first.

use crate::declare::problem::Limit;
use crate::declare::problem::Problem;
use crate::declare::problem::Side;
use crate::declare::property::Property;
use crate::predict::cause::Unknown;
use crate::predict::chance;
use crate::predict::value::Judgement;
use crate::quantity::Unit;
use crate::report::beside::Beside;
use crate::report::number;
use crate::report::table;
use crate::report::table::Align;
use crate::report::table::Table;
use crate::report::text::chances;
use crate::report::text::conflict;
use crate::report::text::headline;
use crate::report::unknown;
use crate::report::words;
use crate::solve::answer::Answer;
use crate::solve::answer::Party;
use crate::solve::answer::Status;
use crate::standard::normal;
use crate::study::confidence::Confident;
use crate::study::confidence::Outcome;
use crate::study::guard;
use crate::study::guard::Held;
use crate::study::worth::Worth;

/// Most unknowns that are told.
const TOLD: usize = 5;

/// The chance of a value that stands on its limit.
const EVEN: f64 = 0.5;

/// A gain in the chance of all together below this is not told.
const GAIN: f64 = 0.001;

/// A saving below this part of the goal is within the proofs' gap.
const SAVING: f64 = 2e-4;

/// The result in words.
#[must_use]
pub fn headline(problem: &Problem, answer: &Answer, confident: &Confident) -> String {
    let lines = match &confident.outcome {
        Outcome::Reached(held) => reached(problem, answer, confident, held),
        // The guards are one way of sharing the failures: others were looked at nearby only.
        Outcome::NotReached { .. } if confident.wish.together => vec![format!(
            "No recipe was found that {}, and none is ruled out: the guards that the surest one found would \
             need leave none.",
            passes(confident)
        )],
        Outcome::NotReached { .. } => vec![format!(
            "No recipe {}: the guards that this asks for leave none.",
            passes(confident)
        )],
        Outcome::NoRecipe => return headline::solve(problem, &confident.plain),
        Outcome::Undecided => vec![
            "Undecided: no recipe was found whose draws agree with the guards that it was sought \
             with, and none was ruled out."
                .into(),
        ],
    };
    lines
        .into_iter()
        .chain([headline::title(problem)])
        .filter(|line| !line.is_empty())
        .map(|line| table::paragraph(&line))
        .collect()
}

fn passes(confident: &Confident) -> String {
    let confidence = asked(confident);
    if confident.wish.together {
        format!("passes all its tests at one laboratory in {confidence} of cases")
    } else {
        format!("passes each of its limits in {confidence} of one laboratory's tests")
    }
}

/// `95 %`.
fn asked(confident: &Confident) -> String {
    format!(
        "{} %",
        number::as_written(confident.wish.confidence * 100.0)
    )
}

fn reached(problem: &Problem, answer: &Answer, confident: &Confident, held: &Held) -> Vec<String> {
    let together = confident.wish.together;
    let value = held.value().unwrap_or(0.0);
    let tested = answer
        .judgement
        .as_ref()
        .map(headline::to_test)
        .unwrap_or_default();
    let wide = if held.wide {
        " Some guards are wider than this recipe needs, because recipes with narrower ones need wider \
         ones: a cheaper recipe may pass as often."
    } else {
        ""
    };
    let within = if answer.outcome() == Status::Optimal {
        " That is within the guards below, which belong to this recipe: one with smaller \
         guards may be better."
    } else {
        ""
    };
    let shared = if together {
        " The failures are shared among the limits by what room costs: where it is dear, a limit fails \
         more often."
    } else {
        ""
    };
    vec![
        format!(
            "A recipe that {}: {}{tested}.",
            passes(confident),
            headline::valued(problem, answer, value)
        ),
        format!("{}{within}{shared}{wide}", headline::proof(problem, answer)),
        price(problem, confident),
    ]
}

fn money(problem: &Problem, value: f64) -> String {
    let goal = &problem.goal.property;
    words::with_unit(&number::value(goal, value), &problem.unit(goal))
}

/// What being sure costs.
fn price(problem: &Problem, confident: &Confident) -> String {
    let (Some(plain), Some(dearer)) = (confident.plain.objective, confident.dearer()) else {
        return String::new();
    };
    let goal = &problem.goal.property;
    if dearer <= SAVING * plain.abs() {
        return format!(
            "Without this it would be {} too: being sure costs nothing here.",
            money(problem, plain)
        );
    }
    let part = number::fixed(100.0 * dearer / plain.abs().max(f64::MIN_POSITIVE), 1);
    let apart = words::with_unit(&number::beside(goal, plain, dearer), &problem.unit(goal));
    format!(
        "Without this it would be {}: being sure costs {apart} ({part} %){}.",
        money(problem, plain),
        of_batch(problem, dearer).map_or_else(String::new, |b| format!(", {b} for the batch"))
    )
}

/// An amount per kg as one of the batch.
fn of_batch(problem: &Problem, per_kg: f64) -> Option<String> {
    let batch = problem.batch?;
    (problem.goal.property == Property::Cost).then(|| {
        let amount = number::fixed(per_kg * batch, 2);
        format!("{amount} {}", problem.currency).trim().to_owned()
    })
}

/// What stands below the limits.
#[must_use]
pub fn sections(problem: &Problem, judgement: &Judgement, beside: Beside) -> String {
    match (beside.confident, beside.chances) {
        (Some(confident), _) => confident
            .held()
            .map_or_else(String::new, |held| guards(problem, judgement, held)),
        (None, Some((drawn, asked))) => chances::section(problem, drawn, asked),
        (None, None) => String::new(),
    }
}

/// The guards and what they reach.
fn guards(problem: &Problem, judgement: &Judgement, held: &Held) -> String {
    let drawn = &held.sample.chances;
    if let Some(certain) = chances::certain(drawn) {
        return certain;
    }
    let guarded = guard::guarded(problem, &held.guards);
    let told = chances::worth_telling(drawn, Some(held.each));
    let mut table = Table::new(&[
        ("limit", Align::Left),
        ("guard", Align::Right),
        ("aim", Align::Right),
        ("value", Align::Right),
        ("passes", Align::Right),
        ("of the failures", Align::Right),
        ("alone", Align::Right),
    ]);
    for &l in &told {
        let limit = &problem.limits[l];
        let chance = &drawn.limits[l];
        let aim = guarded.limits[l].bound;
        let guard = held.guards[l];
        let property = &limit.property;
        table.row(vec![
            chances::limit(problem, limit),
            if guard > 0.0 {
                number::beside(property, aim, guard)
            } else {
                String::new()
            },
            number::value(property, aim),
            judgement
                .of(property)
                .map_or_else(String::new, |p| number::value(property, p.value)),
            chances::percent(chance.pass.map_or(0.0, |p| p.part)),
            format!("{:.0} %", chance.blamed * 100.0),
            format!("{:.0} %", chance.alone * 100.0),
        ]);
    }
    format!(
        "How sure, at one laboratory's single test of each property\n{}{}",
        table.render(),
        table::note(&format!(
            "Guard: how far inside its limit a value is kept; aim: the limit less the guard. {}",
            chances::together(problem, drawn, told.len())
        ))
    )
}

/// Why no recipe is sure enough, how sure one can be, and what would help.
#[must_use]
pub fn refusal(problem: &Problem, confident: &Confident) -> Vec<String> {
    let Outcome::NotReached {
        guards,
        answer,
        highest,
    } = &confident.outcome
    else {
        return vec![conflict::section(problem, &confident.plain.conflict)];
    };
    let clauses: Vec<String> = answer
        .conflict
        .iter()
        .filter(|p| **p != Party::Whole)
        .map(|party| clause(problem, confident, (guards, highest), party))
        .collect();
    let because = if clauses.is_empty() {
        String::new()
    } else {
        table::paragraph(&format!(
            "Because {}, no recipe exists with these guards, which are those of the recipe that comes \
             nearest{}.",
            words::list(&clauses),
            if confident.wish.together {
                ", each widened alike"
            } else {
                ""
            }
        ))
    };
    vec![
        because,
        nearest(problem, confident, highest),
        worth(problem, confident),
    ]
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
    match found.map(|l| (&problem.limits[l], guards[l], guarded.limits[l].bound)) {
        Some((limit, guard, aim)) if guard > 0.0 => {
            let asked = confident.wish.confidence;
            spoilt(problem, (nearest, asked), limit, guard, aim)
                .unwrap_or_else(|| kept(problem, limit, guard, aim))
        }
        _ => conflict::clause(problem, party),
    }
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
    let stated = conflict::clause(problem, &stated(problem, limit));
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
            "{stated}, which the balance alone spoils: pours that are off by {} scatter it by ±{}",
            mass(balance),
            words::with_unit(&number::spread(property, limit.stated, poured), &unit),
        ),
        None => format!(
            "{stated}, for which its guard of {} leaves no room",
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

/// A limit as what it asks for.
fn stated(problem: &Problem, limit: &Limit) -> Party {
    Party::Limit {
        property: limit.property.clone(),
        side: limit.side,
        strict: limit.strict,
        stated: limit.stated,
        unit: problem.unit(&limit.property),
        source: limit.source.clone(),
    }
}

fn kept(problem: &Problem, limit: &Limit, guard: f64, aim: f64) -> String {
    let unit = problem.unit(&limit.property);
    let property = &limit.property;
    format!(
        "{}, with a guard of {} {} {}",
        conflict::clause(problem, &stated(problem, limit)),
        words::with_unit(&number::beside(property, aim, guard), &unit),
        match limit.side {
            Side::Min => "at least",
            Side::Max => "at most",
        },
        words::with_unit(&number::value(property, aim), &unit),
    )
}

/// How sure one can be.
fn nearest(problem: &Problem, confident: &Confident, highest: &Held) -> String {
    let reached = confident.wish.reached(highest);
    // Rounded down: what is told can be had.
    let floor = ((reached - chance::short(reached)) * 1000.0)
        .floor()
        .max(0.0)
        / 1000.0;
    let of = if confident.wish.together {
        "for all limits together"
    } else {
        "for each limit"
    };
    let together = if confident.wish.together {
        " --together"
    } else {
        ""
    };
    let value = highest.value().unwrap_or(0.0);
    let all = if confident.wish.together {
        String::new()
    } else {
        let all = highest.sample.chances.together.part;
        format!(" ({} together)", chances::percent(all))
    };
    // Nothing is no confidence to ask for.
    let ask = if floor > 0.0 {
        format!(" For the recipe, ask with `--confidence {floor}{together}`.")
    } else {
        String::new()
    };
    table::paragraph(&format!(
        "The highest confidence that was found is {} % {of}, at {}{all}.{ask}",
        number::as_written(floor * 100.0),
        money(problem, value),
    ))
}

/// What is worth measuring first.
#[must_use]
pub fn worth(problem: &Problem, confident: &Confident) -> String {
    let value = confident.held().and_then(Held::value).unwrap_or(0.0);
    let reached = matches!(confident.outcome, Outcome::Reached(_));
    let least = SAVING * value.abs();
    let told: Vec<&Worth> = confident
        .worth
        .iter()
        .filter(|w| {
            let pays = match w.saves {
                Some(saves) => saves > least,
                None => w.value.is_some(),
            };
            pays || w.together > GAIN
        })
        .take(TOLD)
        .collect();
    if told.is_empty() {
        return String::new();
    }
    let goal = &problem.goal.property;
    let unit = words::property_in(goal, &problem.unit(goal));
    let mut table = Table::new(&[
        ("known exactly", Align::Left),
        (unit.as_str(), Align::Right),
        ("saves", Align::Right),
        ("for the batch", Align::Right),
        ("all pass", Align::Right),
    ]);
    for w in &told {
        let saves = w.saves.filter(|s| *s > least);
        table.row(vec![
            unknown::words(problem, &w.unknown),
            match (w.value, reached) {
                (Some(v), _) => number::value(goal, v),
                (None, true) => String::new(),
                (None, false) => "still none".into(),
            },
            saves.map_or_else(String::new, |s| number::beside(goal, value, s)),
            saves.and_then(|s| of_batch(problem, s)).unwrap_or_default(),
            gain(w.together),
        ]);
    }
    format!(
        "Worth measuring first\n{}{}",
        table.render(),
        table::note(
            "Each row was solved for anew at the same confidence with one thing known exactly; all pass: \
             by how much that alone raises the chance that every test of the recipe here passes."
        )
    )
}

fn gain(together: f64) -> String {
    if together > GAIN {
        format!("+{} %", number::fixed(together * 100.0, 1))
    } else {
        String::new()
    }
}

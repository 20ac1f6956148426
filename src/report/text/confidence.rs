//! The answer of `solve` with a confidence: what it asks of each limit, what it costs, and what is worth
//! measuring first.

use crate::declare::problem::Problem;
use crate::declare::problem::Sense;
use crate::declare::property::Property;
use crate::predict::value::Judgement;
use crate::report::beside::Beside;
use crate::report::number;
use crate::report::table;
use crate::report::table::Align;
use crate::report::table::Table;
use crate::report::text::chances;
use crate::report::text::headline;
use crate::report::unknown;
use crate::report::words;
use crate::solve::answer::Answer;
use crate::solve::answer::Status;
use crate::study::confidence::Confident;
use crate::study::confidence::Outcome;
use crate::study::guard;
use crate::study::held::Held;
use crate::study::wish::Wish;
use crate::study::worth::Worth;

/// Most unknowns that are told.
const TOLD: usize = 5;

/// A gain in the chance of all together below this is not told.
const GAIN: f64 = 0.001;

/// A saving below this part of the goal is within the proofs' gap.
const SAVING: f64 = 2e-4;

/// The result in words.
#[must_use]
pub fn headline(problem: &Problem, answer: &Answer, confident: &Confident) -> String {
    let lines = match &confident.outcome {
        Outcome::Reached(held) => reached(problem, answer, confident, held),
        Outcome::NotReached {
            refused: Some(refused),
            ..
        } if refused.by_every => vec![format!(
            "No recipe {}: the guards that every recipe needs for it, to first order in the errors of the \
             figures, leave none.",
            passes(confident)
        )],
        Outcome::NotReached { .. } => vec![format!(
            "No recipe was found that {}, and none is ruled out{}.",
            passes(confident),
            if confident.hurried {
                ": time ran out"
            } else {
                ""
            }
        )],
        Outcome::NoRecipe => return headline::solve(problem, &confident.plain),
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
    let value = held.value().unwrap_or(0.0);
    let tested = answer
        .judgement
        .as_ref()
        .map(headline::to_test)
        .unwrap_or_default();
    let passes = passes(confident);
    let value = headline::valued(problem, answer, value);
    let shared = if confident.wish.together {
        " The failures are shared among the limits by what room costs: where it is dear, a limit fails \
         more often."
    } else {
        ""
    };
    vec![
        format!("A recipe that {passes}: {value}{tested}."),
        format!("{}{shared}", proof(problem, answer, confident)),
        price(problem, confident),
    ]
}

/// How good the recipe is.
fn proof(problem: &Problem, answer: &Answer, confident: &Confident) -> String {
    if answer.outcome() == Status::Optimal {
        return headline::proof(problem, answer);
    }
    let goal = &problem.goal.property;
    let time = if confident.hurried {
        " before time ran out"
    } else {
        ""
    };
    let best = match (goal.is_money(), problem.goal.sense) {
        (true, Sense::Minimise) => format!("It is the cheapest that was found{time}."),
        (_, Sense::Minimise) => format!(
            "None with a lower {} was found{time}.",
            words::property(goal)
        ),
        (_, Sense::Maximise) => format!(
            "None with a higher {} was found{time}.",
            words::property(goal)
        ),
    };
    let Some(bound) = answer.proof.bound else {
        return format!("{best} That none is better is not proved.");
    };
    let bound = words::with_unit(&number::value(goal, bound), &problem.unit(goal));
    let beyond = match problem.goal.sense {
        Sense::Minimise => "below",
        Sense::Maximise => "above",
    };
    if !confident.wish.is_even() {
        return format!(
            "{best} None that is predicted to meet every limit can lie {beyond} {bound}; others were not looked \
             at, and may pass as often where less than half is asked."
        );
    }
    format!(
        "{best} None that passes as often can lie {beyond} {bound} on these property models, to first order in \
         the errors of the figures: the tests and the models alone take that much room."
    )
}

/// A value of the goal with its unit.
#[must_use]
pub fn money(problem: &Problem, value: f64) -> String {
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
        (Some(confident), _) => confident.held().map_or_else(String::new, |held| {
            guards(problem, judgement, held, confident.wish)
        }),
        (None, Some((drawn, asked))) => chances::section(problem, drawn, asked),
        (None, None) => String::new(),
    }
}

/// The guards and what they reach.
fn guards(problem: &Problem, judgement: &Judgement, held: &Held, wish: Wish) -> String {
    let drawn = &held.sample.chances;
    if let Some(certain) = chances::certain(drawn) {
        return certain;
    }
    let own = guard::own(problem, wish, held);
    let guarded = guard::guarded(problem, &own);
    let told = chances::worth_telling(drawn, Some(wish.confidence));
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
        let guard = own[l];
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
        table::note(&format!(
            "Each row was solved for anew at the same confidence with one thing known exactly{}; all pass: \
             by how much that alone raises the chance that every test of the recipe here passes.",
            match (confident.gridded, reached) {
                (true, true) =>
                    ", off the balance's grid: what it saves there is taken from the cost here",
                (true, false) => ", off the balance's grid",
                (false, _) => "",
            }
        ))
    )
}

fn gain(together: f64) -> String {
    if together > GAIN {
        format!("+{} %", number::fixed(together * 100.0, 1))
    } else {
        String::new()
    }
}

//! How much of a component a limit takes, as a page.

use crate::declare::problem::Problem;
use crate::declare::property::Property;
use crate::predict::value::Judged;
use crate::predict::value::Warning;
use crate::report::bound::Bound;
use crate::report::number;
use crate::report::rules;
use crate::report::table;
use crate::report::text::answer::page;
use crate::report::text::columns;
use crate::report::text::columns::Column;
use crate::report::text::conflict;
use crate::report::text::headline;
use crate::report::text::notes;
use crate::report::warnings;
use crate::report::words;
use crate::solve::answer::Status;
use crate::standard::element::Element;
use crate::study::apart;
use crate::study::reach::Farthest;
use crate::study::reach::Outcome;
use crate::study::reach::Reach;
use crate::study::reach::Unable;
use crate::study::solved::Solved;

/// Treat rates closer than this print alike.
const ALIKE: f64 = 5e-6;

/// The answer of `reach`.
#[must_use]
pub fn reach(answer: &Reach, told: &[Warning]) -> String {
    let problem = &answer.before.problem;
    let mut sections = match answer.outcome() {
        Outcome::Reached => reached(answer),
        Outcome::NotReached => not_reached(answer),
        Outcome::Undecided => vec![undecided(answer)],
    };
    sections.extend(closing(problem, shown(answer), told));
    page(&sections)
}

/// Why there is no answer, as a phrase.
#[must_use]
pub fn unable(property: &Property, unable: &Unable) -> String {
    match unable {
        Unable::NoModel => format!(
            "`{property}` cannot be predicted: only a laboratory can tell what it takes to reach it"
        ),
        Unable::NoFigures(lacking) => format!(
            "`{property}` cannot be predicted of this shelf: {} {} too little for it; state the \
             figure, or leave {} out with `{{ max = 0 }}` in `[treat]`",
            words::list(
                &lacking
                    .iter()
                    .map(|id| format!("`{id}`"))
                    .collect::<Vec<_>>()
            ),
            if lacking.len() == 1 {
                "states"
            } else {
                "state"
            },
            if lacking.len() == 1 { "it" } else { "them" },
        ),
        Unable::NoTarget => format!(
            "the problem sets no limit on `{property}`: say which to reach, `--at-least 10` or \
             `--at-most 10`"
        ),
    }
}

/// The recipe that the page ends with: its cautions are told.
fn shown(answer: &Reach) -> Option<&Solved> {
    let there = answer.farthest.as_ref().map(|f| &f.recipe);
    [answer.best.as_ref(), answer.at_least.as_ref(), there]
        .into_iter()
        .flatten()
        .find(|s| s.recipe().is_some())
}

fn closing(problem: &Problem, last: Option<&Solved>, told: &[Warning]) -> Vec<String> {
    let Some((recipe, judgement)) = last.and_then(Solved::recipe) else {
        return vec![notes::warnings(told)];
    };
    let all = warnings::together(told, Some(judgement));
    vec![
        notes::estimated(problem, judgement),
        notes::warnings(&all),
        notes::cautions(problem, recipe, &all),
    ]
}

/// `Mo:P by mass at least 1`, with the moles beside the masses.
fn goal(problem: &Problem, answer: &Reach) -> String {
    let target = &answer.target;
    let mole = if target.property == Property::Ratio(Element::Mo, Element::P) {
        let mole = target.stated * columns::mole_per_mass();
        format!(" ({} by mole)", number::fixed(mole, 3))
    } else {
        String::new()
    };
    format!("{}{mole}", Bound::limit(problem, target).worded())
}

fn named(problem: &Problem, component: usize) -> String {
    let c = &problem.components[component];
    format!("{} ({})", c.name, c.id)
}

fn reached(answer: &Reach) -> Vec<String> {
    let problem = &answer.before.problem;
    let mut head = table::paragraph(&first_line(answer));
    let proof = headline::proof(&answer.least.problem, &answer.least.answer);
    // None at all is the least there is, proved or not.
    let none = answer.least_treat().is_some_and(|t| t.fraction() < ALIKE);
    let proved = answer.least.answer.outcome() == Status::Optimal;
    if answer.least.recipe().is_some() && (proved || !none) {
        head += &table::paragraph(&proof);
    }
    head += &table::paragraph(&cost(answer));
    head += &unproved("before", Some(&answer.before));
    head += &unproved("after", answer.best.as_ref());
    if !problem.title.is_empty() {
        head += &table::paragraph(&format!("For: {}", problem.title));
    }
    let mut sections = vec![head];
    let best = answer.best.as_ref();
    let at_least = answer.at_least.as_ref().filter(|_| differ(answer));
    sections.push(side_by_side(
        problem,
        "Recipes: the best without this limit, and the best with it",
        &[
            column("before", Some(&answer.before)),
            column("after", best),
            column("with the least", at_least),
        ],
    ));
    let after = best
        .and_then(Solved::recipe)
        .or_else(|| answer.at_least.as_ref().and_then(Solved::recipe));
    if let (Some((_, before)), Some((_, after))) = (answer.before.recipe(), after) {
        sections.push(columns::moves(
            before,
            after,
            ("before", "after"),
            "What moves with it",
        ));
    }
    sections.push(top_up(answer));
    sections
}

/// A word of a recipe that was not proved the best.
fn unproved(head: &str, solved: Option<&Solved>) -> String {
    match solved {
        Some(s) if s.answer.outcome() == Status::Feasible => {
            let proof = headline::proof(&s.problem, &s.answer);
            table::paragraph(&format!(
                "The recipe {head} is not proved the best. {proof}"
            ))
        }
        _ => String::new(),
    }
}

fn column<'s>(head: &'s str, solved: Option<&'s Solved>) -> Column<'s> {
    Column { head, solved }
}

fn side_by_side(problem: &Problem, title: &str, all: &[Column<'_>]) -> String {
    let table = columns::recipes(problem, all);
    if table.is_empty() {
        return String::new();
    }
    format!("{title}\n{table}")
}

/// Whether the best recipe holds another treat rate than the least, as printed.
fn differ(answer: &Reach) -> bool {
    let of = |s: Option<&Solved>| s.and_then(Solved::recipe).map(|r| r.0.shares().to_vec());
    match (of(answer.best.as_ref()), of(answer.at_least.as_ref())) {
        (Some(a), Some(b)) => a
            .iter()
            .zip(&b)
            .any(|(a, b)| (a.fraction() - b.fraction()).abs() > ALIKE),
        (None, _) => true,
        (_, None) => false,
    }
}

fn rate(fraction: f64) -> String {
    format!("{} %", number::fixed(fraction * 100.0, number::TREAT))
}

fn first_line(answer: &Reach) -> String {
    let problem = &answer.before.problem;
    let goal = goal(problem, answer);
    let named = named(problem, answer.component);
    let Some(least) = answer.least_treat() else {
        return format!(
            "Reached: {goal}. How little of {named} that takes was not found in the time given."
        );
    };
    let tested = shown(answer)
        .and_then(Solved::recipe)
        .map_or_else(String::new, |(_, judgement)| headline::to_test(judgement));
    let rate = rate(least.fraction());
    if least.fraction() < ALIKE {
        format!("Reached: {goal} takes no {named} at all{tested}.")
    } else if answer.least.answer.outcome() == Status::Optimal {
        format!("Reached: {goal} takes {rate} of {named} at the least{tested}.")
    } else {
        format!("Reached: {goal} with {rate} of {named}; perhaps with less{tested}.")
    }
}

/// What the goal says of before and after, and what pays.
fn cost(answer: &Reach) -> String {
    let problem = &answer.before.problem;
    let property = &problem.goal.property;
    let unit = problem.unit(property);
    let best = answer.best.as_ref();
    let (Some(before), Some(after)) = (answer.before.value(), best.and_then(Solved::value)) else {
        return String::new();
    };
    let money = property.is_money();
    let said = |v: f64| words::with_unit(&number::value(property, v), &unit);
    let change = columns::risen(after - before, number::places(property, before));
    let words = match (change.is_empty(), money) {
        (true, true) => format!("It costs nothing: {} as before.", said(before)),
        (true, false) => format!("{} stays at {}.", capital(property), said(before)),
        (false, true) => format!(
            "It costs {} more: {} instead of {}.",
            words::with_unit(change.trim_start_matches('+'), &unit),
            said(after),
            said(before)
        ),
        (false, false) => format!(
            "{} goes from {} to {}.",
            capital(property),
            said(before),
            said(after)
        ),
    };
    if let (Some((recipe, _)), Some(least)) = (best.and_then(Solved::recipe), answer.least_treat())
        && (recipe.shares()[answer.component].fraction() - least.fraction()).abs() > ALIKE
    {
        let holds = rate(recipe.shares()[answer.component].fraction());
        let dear = answer
            .at_least
            .as_ref()
            .and_then(Solved::value)
            .map_or_else(String::new, |v| {
                format!("; with the least, it is {}", said(v))
            });
        return format!("{words} The best recipe holds {holds} of it{dear}.");
    }
    words
}

fn capital(property: &Property) -> String {
    let sentence = words::sentence(&words::property(property));
    sentence.trim_end_matches('.').into()
}

fn top_up(answer: &Reach) -> String {
    let problem = &answer.before.problem;
    let id = &problem.components[answer.component].id;
    if answer.before.recipe().is_none() {
        return String::new();
    }
    let title = format!("Only adding {id} to the recipe before, nothing else changed");
    let Some(top_up) = &answer.top_up else {
        let goal = goal(problem, answer);
        let words = format!("However much is added, {goal} is not reached that way.");
        return format!("{title}\n{}", table::note(&words));
    };
    if top_up.added.fraction() <= 0.0 {
        return format!(
            "{title}\n{}",
            table::note("Nothing need be added: the recipe before is there already.")
        );
    }
    let grams = number::fixed(top_up.grams_per_kilogram(), 2);
    let whole = rate(top_up.recipe.shares()[answer.component].fraction());
    let property = &problem.goal.property;
    let value = top_up.judgement.of(property).map_or_else(String::new, |v| {
        let value = words::with_unit(&number::value(property, v.value), &v.unit);
        format!(" {}: {value}.", capital(property))
    });
    let broken = top_up.judgement.rules.iter().filter(|r| !r.holds);
    let failed: Vec<String> = top_up
        .fails()
        .into_iter()
        .map(failure)
        .chain(broken.map(|r| format!("the rule \"{}\"", rules::says(problem, &r.rule))))
        .collect();
    let tested = headline::to_test(&top_up.judgement);
    let verdict = match (failed.is_empty(), tested.is_empty()) {
        (true, true) => "It meets every limit.".into(),
        (true, false) => format!("It meets every limit that can be calculated{tested}."),
        (false, _) => "It would fail:".to_owned(),
    };
    let words = format!(
        "Takes {grams} g for each kg of that oil, which then holds {whole} of {id}.{value} {verdict}"
    );
    let items: String = failed.iter().map(|f| table::item(f)).collect();
    format!("{title}\n{}{items}", table::note(&words))
}

/// `phosphorus 744, limit >= 750 ppm (problem)`.
fn failure(r: &Judged) -> String {
    let value = r.value.map_or_else(String::new, |v| {
        format!(" {},", apart_from(&r.property, v, r.bound))
    });
    format!(
        "{}{value} limit {} {} ({})",
        words::property(&r.property),
        words::sign(r.side, r.strict),
        Bound::judged(r).number(),
        words::source(&r.source)
    )
}

fn not_reached(answer: &Reach) -> Vec<String> {
    let problem = &answer.before.problem;
    let goal = goal(problem, answer);
    let property = &answer.target.property;
    let mut head = match &answer.farthest {
        None => "Not reached: there is no recipe even without this limit.".to_owned(),
        Some(there) => match there.extreme.value() {
            Some(value) => format!(
                "Not reached: {goal}. With every other limit kept it stops at {}.",
                words::with_unit(
                    &apart_from(property, value, answer.target.bound),
                    &problem.unit(property)
                )
            ),
            None => format!("Not reached: {goal} cannot hold with the other limits."),
        },
    };
    head = table::paragraph(&head);
    if !problem.title.is_empty() {
        head += &table::paragraph(&format!("For: {}", problem.title));
    }
    let refused = answer.refused();
    let proof = words::sentence(&refused.answer.proof.words);
    let mut sections = vec![
        head,
        conflict::section(&refused.problem, &refused.answer.conflict),
        table::paragraph(&proof),
    ];
    if let Some(there) = &answer.farthest {
        sections.extend(how_far(answer, there));
    }
    sections
}

/// A value as its test reports it, or with as many digits as tell it from a bound.
fn apart_from(property: &Property, value: f64, bound: f64) -> String {
    let usual = number::places(property, value);
    let places = if number::fixed(value, usual) == number::fixed(bound, usual) {
        number::places_to_tell(property, value, value - bound)
    } else {
        usual
    };
    number::fixed(value, places)
}

fn how_far(answer: &Reach, there: &Farthest) -> Vec<String> {
    let problem = &answer.before.problem;
    let proof = headline::proof(&there.extreme.problem, &there.extreme.answer);
    let mut sections = vec![
        if there.extreme.value().is_some() {
            table::paragraph(&proof)
        } else {
            String::new()
        },
        side_by_side(
            problem,
            "Recipes: the best without this limit, and the best that goes as far as it can",
            &[
                column("before", Some(&answer.before)),
                column("farthest", Some(&there.recipe)),
            ],
        ),
    ];
    if let Some((_, far)) = there.recipe.recipe() {
        let stops = apart::binding(far);
        if !stops.is_empty() {
            let lines: String = stops
                .iter()
                .map(|r| table::item(&columns::bound(r)))
                .collect();
            sections.push(format!("What it stands on there\n{lines}"));
        }
        if let Some((_, before)) = answer.before.recipe() {
            sections.push(columns::moves(
                before,
                far,
                ("before", "farthest"),
                "What moves on the way",
            ));
        }
    }
    sections.push(top_up(answer));
    sections
}

fn undecided(answer: &Reach) -> String {
    let goal = goal(&answer.before.problem, answer);
    table::paragraph(&format!(
        "Undecided: no recipe with {goal} was found, and none was ruled out."
    ))
}

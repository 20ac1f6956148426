//! How much of a component a limit takes, against hand balances and against certified solves.

#![allow(
    clippy::unwrap_used,
    reason = "a test that cannot read its files has failed"
)]

mod support;

use std::collections::BTreeMap;
use std::path::Path;
use support::{limit, properties};
use treatrate::declare::problem::{Problem, Side};
use treatrate::declare::property::Property;
use treatrate::declare::read;
use treatrate::predict::judge;
use treatrate::quantity::Share;
use treatrate::solve::answer::{Party, Status};
use treatrate::solve::search::{Budget, cheapest};
use treatrate::standard::element::Element;
use treatrate::study::reach::{Outcome, Reach, Unable, reach, target};
use treatrate::study::solved::Solved;

const MO_P: Property = Property::Ratio(Element::Mo, Element::P);

/// Agreement with a hand balance, as a part of the treat rate.
const AGREE: f64 = 1e-6;

fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

fn hill_climb() -> Problem {
    let path = root().join("problems/hill-climb-5w-50.toml");
    read::problem(&path).unwrap().0
}

fn ask(p: &Problem, property: &Property, with: &str, asked: Option<(Side, f64)>) -> Reach {
    let component = p.component(with).unwrap();
    let target = target(p, property, component, asked).unwrap();
    reach(p, target, component, &Budget::default())
}

/// An element of each component in ppm, read off the shelf file by this test: a plain number, a number
/// with a unit, or the `value` of a table; what is not said is none.
fn on_shelf(element: &str) -> BTreeMap<String, f64> {
    let text = std::fs::read_to_string(root().join("problems/shelves/club-bench.toml")).unwrap();
    let shelf: toml::Table = text.parse().unwrap();
    let number = |v: &toml::Value| match v {
        toml::Value::Integer(n) => f64::from(u32::try_from(*n).unwrap()),
        toml::Value::Float(x) => *x,
        toml::Value::String(s) => s.strip_suffix('%').unwrap().trim().parse::<f64>().unwrap() * 1e4,
        other => panic!("{other}"),
    };
    let ppm = |v: &toml::Value| match v {
        toml::Value::Table(t) => number(&t["value"]),
        plain => number(plain),
    };
    shelf["component"]
        .as_array()
        .unwrap()
        .iter()
        .map(|c| {
            let id = c["id"].as_str().unwrap().to_owned();
            (id, c.get(element).map_or(0.0, ppm))
        })
        .collect()
}

/// An element of an oil, ppm, by the plain balance.
fn balance(p: &Problem, shares: &[Share], ppm: &BTreeMap<String, f64>) -> f64 {
    p.components
        .iter()
        .zip(shares)
        .map(|(c, x)| x.fraction() * ppm[&c.id])
        .sum()
}

#[test]
fn parity_is_the_balance_of_two_elements() {
    let p = hill_climb();
    let (mo, phosphorus) = (on_shelf("mo"), on_shelf("p"));
    for r in [0.4, 0.8, 1.0, 1.5] {
        let found = ask(&p, &MO_P, "moly-booster", Some((Side::Min, r)));
        assert_eq!(found.outcome(), Outcome::Reached);
        // At least 750 ppm of phosphorus, and only the booster brings molybdenum: r · 750 ppm of it.
        let least = found.least_treat().unwrap().fraction();
        let by_hand = r * 750.0 / mo["moly-booster"];
        assert!(
            (least - by_hand).abs() <= AGREE * by_hand,
            "{least} {by_hand}"
        );
        // The plain top-up: t = (r P - Mo) / ((m - r p) + (r P - Mo)).
        let (oil, _) = found.before.recipe().unwrap();
        let short = r * balance(&p, oil.shares(), &phosphorus) - balance(&p, oil.shares(), &mo);
        let gain = mo["moly-booster"] - r * phosphorus["moly-booster"];
        let by_hand = short / (gain + short);
        let t = found.top_up.as_ref().unwrap();
        assert!((t.added.fraction() - by_hand).abs() <= AGREE * by_hand);
        let topped = t.recipe.shares();
        let ratio = balance(&p, topped, &mo) / balance(&p, topped, &phosphorus);
        assert!((ratio - r).abs() <= AGREE * r);
        // Everything else in proportion.
        for (after, before) in topped.iter().zip(oil.shares()) {
            let moved = after.fraction() / (1.0 - by_hand) - before.fraction();
            assert!(moved.abs() < 1e-9 || before.fraction() <= 0.0);
        }
    }
}

#[test]
fn the_recipe_after_is_that_of_the_equivalent_problem() {
    let p = hill_climb();
    let found = ask(&p, &MO_P, "moly-booster", None);
    let direct = cheapest(&p, &Budget::default());
    let (a, b) = (found.best.as_ref().unwrap().value(), direct.objective);
    assert!((a.unwrap() - b.unwrap()).abs() < 1e-6);
    let mut free = p.clone();
    free.limits.retain(|l| l.property != MO_P);
    let direct = cheapest(&free, &Budget::default()).objective.unwrap();
    assert!((found.before.value().unwrap() - direct).abs() < 1e-6);
    least_is_least(&p, &found);
    let at_least = found.at_least.as_ref().unwrap();
    assert!(at_least.value().unwrap() >= a.unwrap() - 1e-6);
}

/// Where there is no recipe even without the target, the reason is what collides without it.
#[test]
fn what_has_no_recipe_anyway_is_not_blamed_on_the_target() {
    let mut p = hill_climb();
    p.limits.push(limit(Property::Noack, Side::Max, 0.1));
    // More zinc than any component holds: alone a reason, but not why there is no recipe without it.
    let zinc = Property::Element(Element::Zn);
    let found = ask(&p, &zinc, "zddp-booster", Some((Side::Min, 500_000.0)));
    assert_eq!(found.outcome(), Outcome::NotReached);
    let reason = &found.refused().answer.conflict;
    assert!(!reason.is_empty());
    let of = |party: &Party, wanted: &Property| matches!(party, Party::Limit { property, .. } if property == wanted);
    assert!(
        reason.iter().any(|party| of(party, &Property::Noack)),
        "{reason:?}"
    );
    assert!(!reason.iter().any(|party| of(party, &zinc)), "{reason:?}");
}

/// A hair less of the component leaves no recipe; as much leaves one.
fn least_is_least(p: &Problem, found: &Reach) {
    let mut with = p.clone();
    with.limits
        .retain(|l| l.property != found.target.property || l.side != found.target.side);
    with.limits.push(found.target.clone());
    let least = found.least_treat().unwrap().fraction();
    let treat = Property::Treat(p.components[found.component].id.clone());
    let capped = |percent: f64| {
        let mut capped = with.clone();
        capped.limits.push(limit(treat.clone(), Side::Max, percent));
        cheapest(&capped, &Budget::default()).outcome()
    };
    assert_eq!(capped(least * 100.0 + 1e-4), Status::Optimal);
    if least > 1e-5 {
        assert_eq!(capped(least * 100.0 - 1e-3), Status::NoRecipe);
    }
}

#[test]
fn what_cannot_be_reached_stops_where_the_balance_says() {
    let p = hill_climb();
    let found = ask(&p, &MO_P, "moly-booster", Some((Side::Min, 3.0)));
    assert_eq!(found.outcome(), Outcome::NotReached);
    // 1.5 % of the booster at most over 750 ppm of phosphorus at least.
    let by_hand = 0.015 * on_shelf("mo")["moly-booster"] / 750.0;
    let there = found.farthest.as_ref().unwrap();
    let value = there.extreme.value().unwrap();
    assert!((value - by_hand).abs() < 1e-3, "{value} {by_hand}");
    assert!(!found.least.answer.conflict.is_empty());
    assert!(there.recipe.recipe().is_some());
    // Just short of there it is reached, beyond it is not.
    let near = ask(&p, &MO_P, "moly-booster", Some((Side::Min, value * 0.999)));
    assert_eq!(near.outcome(), Outcome::Reached);
    let beyond = ask(&p, &MO_P, "moly-booster", Some((Side::Min, value * 1.001)));
    assert_eq!(beyond.outcome(), Outcome::NotReached);
}

#[test]
fn curved_targets_are_reached_by_polymer() {
    let mut p = hill_climb();
    // One polymer, so that it has to do the work.
    for id in ["vm-pma", "vm-star"] {
        let j = p.component(id).unwrap();
        p.bands[j].max.share = Share::NONE;
    }
    p.limits
        .retain(|l| ![Property::Kv100, Property::Kv100Sheared].contains(&l.property));
    for (property, bound) in [(Property::Hths, 4.6), (Property::Vi, 175.0)] {
        p.limits.retain(|l| l.property != property);
        let found = ask(&p, &property, "vm-ocp", Some((Side::Min, bound)));
        assert_eq!(found.outcome(), Outcome::Reached, "{property}");
        least_is_least(&p, &found);
        let t = found.top_up.as_ref().unwrap();
        let value = t.judgement.of(&property).unwrap().value;
        let (oil, before) = found.before.recipe().unwrap();
        let before = before.of(&property).unwrap().value;
        assert!(before < bound, "{property}: {before}");
        assert!((value - bound).abs() < 1e-6 * bound, "{property}: {value}");
        // A hair less added falls short.
        let less = t.added.fraction() * (1.0 - 1e-4);
        let shares: Vec<Share> = (0..oil.shares().len())
            .map(|j| {
                let own = if j == found.component { less } else { 0.0 };
                Share::from_fraction(oil.shares()[j].fraction() * (1.0 - less) + own)
            })
            .collect();
        let recipe = treatrate::declare::recipe::Recipe::new(&p, &shares).unwrap();
        assert!(judge::judge(&p, &recipe).of(&property).unwrap().value < bound);
    }
}

#[test]
fn the_problem_s_own_limit_is_the_target_and_nothing_else_is_guessed() {
    let mut p = hill_climb();
    let own = target(&p, &Property::Hths, 0, None).unwrap();
    // The tighter of the problem's 4.7 and the grade's 3.7.
    assert!((own.bound - 4.7).abs() < 1e-12 && own.side == Side::Min);
    assert_eq!(
        target(&p, &Property::Noack, 0, None).unwrap().side,
        Side::Max
    );
    assert_eq!(target(&p, &Property::Flash, 0, None), Err(Unable::NoTarget));
    p.limits.retain(|l| l.property != MO_P);
    assert!((target(&p, &MO_P, 0, None).unwrap().bound - 1.0).abs() < 1e-12);
    let cold = Property::Brookfield(treatrate::quantity::Celsius::whole(-40));
    assert_eq!(
        target(&p, &cold, 0, Some((Side::Max, 1e5))),
        Err(Unable::NoModel)
    );
    let j = p.component("pao-4").unwrap();
    p.components[j]
        .figures
        .remove(&treatrate::declare::property::Datum::Flash);
    assert_eq!(
        target(&p, &Property::Flash, 0, Some((Side::Min, 200.0))),
        Err(Unable::NoFigures(vec!["pao-4".into()]))
    );
    // One that the problem rules out need not state anything, unless it is the one asked about.
    p.bands[j].max.share = Share::NONE;
    assert!(target(&p, &Property::Flash, j + 1, Some((Side::Min, 200.0))).is_ok());
    assert!(target(&p, &Property::Flash, j, Some((Side::Min, 200.0))).is_err());
}

#[test]
fn an_ended_budget_is_told_as_such() {
    let p = hill_climb();
    let budget = Budget {
        time: Some(std::time::Duration::ZERO),
        ..Budget::default()
    };
    let target = target(&p, &Property::Vi, 0, Some((Side::Min, 215.0))).unwrap();
    let found = reach(&p, target, 0, &budget);
    assert_ne!(found.outcome(), Outcome::NotReached);
}

#[test]
fn random_targets_agree_with_certified_solves() {
    let (mut reached, mut not) = (0, 0);
    for seed in 0..60 {
        let p = support::problem(seed, 9, usize::from(seed % 3 == 0), false);
        let all = properties();
        let property = &all[usize::try_from(seed).unwrap() % all.len()];
        let free = cheapest(&p, &Budget::default());
        let Some(judgement) = free.judgement.filter(|_| free.status == Status::Optimal) else {
            continue;
        };
        let Some(value) = judgement.of(property).map(|v| v.value) else {
            continue;
        };
        let side = if seed % 2 == 0 { Side::Min } else { Side::Max };
        let step = if side == Side::Min { 0.05 } else { -0.05 };
        let bound = value + step * value.abs().max(0.1);
        let last = p.components.len() - 1;
        let Ok(target) = target(&p, property, last, Some((side, bound))) else {
            continue;
        };
        let found = reach(&p, target, last, &Budget::default());
        let mut with = p.clone();
        with.limits
            .retain(|l| l.property != *property || l.side != side);
        with.limits.push(limit(property.clone(), side, bound));
        let direct = cheapest(&with, &Budget::default());
        match found.outcome() {
            Outcome::Reached => {
                reached += 1;
                let best = found.best.as_ref().unwrap().value().unwrap();
                let gap = 2e-4 * best.abs();
                assert!((best - direct.objective.unwrap()).abs() <= gap, "{seed}");
                assert!(found.before.value().unwrap() <= best + gap);
                if let Some(dear) = found.at_least.as_ref().and_then(Solved::value) {
                    assert!(dear >= best - gap, "{seed}");
                }
                least_is_least(&p, &found);
            }
            Outcome::NotReached => {
                not += 1;
                assert_eq!(direct.outcome(), Status::NoRecipe, "{seed}");
                if let Some(there) = found.farthest.as_ref().and_then(|f| f.extreme.value()) {
                    assert!(if side == Side::Min {
                        there < bound
                    } else {
                        there > bound
                    });
                }
            }
            Outcome::Undecided => {}
        }
    }
    assert!(reached > 15 && not > 3, "{reached} {not}");
}

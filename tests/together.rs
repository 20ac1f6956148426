//! All limits together: failures shared among them, beside optima found by closed forms and plain scans.

mod support;

use std::time::Duration;
use support::{Random, limit, normal, problem, shipped, two_elements};
use treatrate::declare::component::Entry;
use treatrate::declare::problem::{Problem, Side};
use treatrate::declare::property::{Datum, Property};
use treatrate::solve::answer::Status;
use treatrate::solve::search::Budget;
use treatrate::standard::element::Element;
use treatrate::study::confidence::{Confident, Outcome, confident};
use treatrate::study::held::Held;
use treatrate::study::wish::Wish;

/// Half of the usual: these answers are only compared with each other, drawn alike, and with closed forms.
const DRAWS: usize = 32_768;

/// One standard deviation of an element's test, part of the value: reproducibility 10 % over 2.77, as the
/// crate's own table says.
const SCATTER: f64 = 0.10 / 2.77;

fn asked(problem: &Problem, confidence: f64, together: bool) -> Confident {
    drawn(problem, confidence, together, DRAWS)
}

fn drawn(problem: &Problem, confidence: f64, together: bool, draws: usize) -> Confident {
    let wish = Wish {
        confidence,
        together,
        draws,
        worth: false,
    };
    confident(problem, wish, &quick())
}

/// Without proofs over the shelf: what is asked here is what is found.
fn quick() -> Budget {
    Budget {
        proof: None,
        ..Budget::default()
    }
}

fn reached(found: &Confident) -> &Held {
    match &found.outcome {
        Outcome::Reached(held) => held,
        other => panic!("not reached: {other:?}"),
    }
}

/// The prediction whose test passes a minimum with z standard deviations to spare.
fn inside(minimum: f64, z: f64) -> f64 {
    minimum / (1.0 - SCATTER * z)
}

/// The z that a chance has, by halving.
fn z_of(chance: f64) -> f64 {
    let (mut low, mut high) = (-8.0, 8.0);
    for _ in 0..60 {
        let middle = f64::midpoint(low, high);
        if normal(middle) < chance {
            low = middle;
        } else {
            high = middle;
        }
    }
    high
}

/// Two independent tests of two elements: the recipe that shares the failures best is found by a scan over
/// how sure the first one is.
#[test]
fn independent_failures_are_shared_as_a_scan_shares_them() {
    for (prices, confidence) in [
        ([1.0, 1.5, 6.0, 2.0], 0.90_f64),
        ([1.0, 1.5, 6.0, 2.0], 0.60),
        ([1.0, 1.5, 2.0, 30.0], 0.95),
        ([1.0, 1.5, 9.0, 9.0], 0.99),
    ] {
        let mut p = two_elements(prices);
        let [phosphorus, calcium] = [Element::P, Element::Ca].map(Property::Element);
        p.limits = vec![
            limit(phosphorus, Side::Min, 800.0),
            limit(calcium, Side::Min, 1200.0),
        ];
        let cost = |first: f64, second: f64| {
            let [p, ca] = [inside(800.0, first) / 1e4, inside(1200.0, second) / 2e4];
            prices[0] * (1.0 - p - ca) + prices[2] * p + prices[3] * ca
        };
        let even = z_of(confidence.sqrt());
        let even = cost(even, even);
        let scan = |confidence: f64| {
            (0..4000)
                .map(|k| confidence + (1.0 - confidence) * (f64::from(k) + 0.5) / 4000.0)
                .map(|first| cost(z_of(first).max(0.0), z_of(confidence / first).max(0.0)))
                .fold(f64::INFINITY, f64::min)
        };
        let best = scan(confidence);
        let found = asked(&p, confidence, true);
        let held = reached(&found);
        let value = held.value().expect("a cost");
        // A chance may fall short by 0.05 %, and the draws err by as much.
        assert!(value >= scan(confidence - 1e-3), "{value} {best}");
        assert!(value <= best + 1e-4, "{value} {best}");
        assert!(even - value > 0.5 * (even - best), "{value} {best} {even}");
        let x = held.recipe.shares();
        let z = |value: f64, minimum: f64| (value - minimum) / (SCATTER * value);
        let exact =
            normal(z(1e4 * x[2].fraction(), 800.0)) * normal(z(2e4 * x[3].fraction(), 1200.0));
        assert!((exact - confidence).abs() < 2e-3, "{exact} {confidence}");
    }
}

/// A window too narrow for its test: the surest recipe lies where a scan over the content finds it.
#[test]
fn the_surest_is_what_a_scan_finds() {
    let mut p = two_elements([1.0, 1.5, 6.0, 2.0]);
    let phosphorus = Property::Element(Element::P);
    p.limits = vec![
        limit(phosphorus.clone(), Side::Min, 800.0),
        limit(phosphorus, Side::Max, 900.0),
    ];
    let chance = |v: f64| normal((900.0 - v) / (SCATTER * v)) - normal((800.0 - v) / (SCATTER * v));
    let best = (0..=10_000)
        .map(|k| chance(800.0 + 0.01 * f64::from(k)))
        .fold(0.0, f64::max);
    let found = asked(&p, 0.99, true);
    let Outcome::NotReached {
        highest,
        refused: Some(refused),
        ..
    } = &found.outcome
    else {
        panic!("{:?}", found.outcome);
    };
    // The window is narrower than two guards for the test alone.
    assert!(refused.by_every);
    assert_eq!(found.status(), Status::NoRecipe);
    assert!(refused.answer.conflict.len() >= 2);
    let told = highest.held.sample.chances.together.part;
    assert!((told - best).abs() < 1e-3, "{told} {best}");
    // A little less is had.
    let less = asked(&p, told - 0.01, true);
    assert!(reached(&less).value() <= highest.held.value());
}

/// A recipe each of whose limits passes as often as the others' is one way of sharing the failures: the best
/// costs no more.
#[test]
fn sharing_costs_no_more_than_an_even_share() {
    for (name, level) in [("logic-demo", 0.90), ("hill-climb-5w-50", 0.70)] {
        let p = shipped(name);
        let even = drawn(&p, level, false, 8192);
        let even = reached(&even);
        let together = even.sample.chances.together.part;
        let found = drawn(&p, together, true, 8192);
        let value = reached(&found).value().expect("a cost");
        let had = even.value().expect("a cost");
        assert!(
            value <= had * (1.0 + 2e-4),
            "{name} {together}: {value} {had}"
        );
    }
}

/// A search that was cut short rules nothing out: hill-climb passes together in half of all cases.
#[test]
fn what_there_was_no_time_for_is_not_refused() {
    let wish = Wish {
        confidence: 0.5,
        together: true,
        draws: 8192,
        worth: true,
    };
    let hurried = Budget {
        time: Some(Duration::ZERO),
        ..Budget::default()
    };
    let found = confident(&shipped("hill-climb-5w-50"), wish, &hurried);
    assert_eq!(found.status(), Status::Undecided);
    assert!(found.hurried);
    // What was come to is told all the same.
    assert!(found.held().is_some());
    assert!(found.worth.is_empty());
}

/// The same of random shelves with uncertain figures, searched nearby.
#[test]
fn sharing_costs_no_more_on_random_shelves() {
    let (mut compared, mut saved) = (0, 0);
    for seed in 0..5 {
        let mut p = problem(seed, 12, 1 + usize::from(seed % 2 == 0), false);
        let mut r = Random::new(2000 + seed);
        for c in &mut p.components {
            for (datum, entry) in &mut c.figures {
                if let Entry::Stated(f) = entry
                    && *datum != Datum::Price
                {
                    f.sd = Some(f.value.abs() * r.between(0.0, 0.04));
                }
            }
        }
        let ask = |confidence, together| {
            let wish = Wish {
                confidence,
                together,
                draws: 8192,
                worth: false,
            };
            confident(&p, wish, &quick())
        };
        let even = ask(r.between(0.6, 0.95), false);
        let Outcome::Reached(even) = &even.outcome else {
            continue;
        };
        let together = even.sample.chances.together.part;
        if !(0.05..0.998).contains(&together) {
            continue;
        }
        let found = ask(together, true);
        let Outcome::Reached(held) = &found.outcome else {
            panic!("{seed} {together}: {:?}", found.outcome);
        };
        let (value, had) = (held.value().expect("a cost"), even.value().expect("a cost"));
        assert!(
            value <= had + 1e-3 * had.abs(),
            "{seed} {together}: {value} {had}"
        );
        compared += 1;
        saved += u32::from(value < had - 1e-3 * had.abs());
    }
    assert!(compared >= 2 && saved >= 1, "{compared} {saved}");
}

//! What a moved problem changes, against independent solves of each change.

#![allow(
    clippy::unwrap_used,
    reason = "a test whose problem cannot be read has failed"
)]

mod support;

use std::path::Path;
use support::{Random, limit, nowhere, reordered, shuffled};
use treatrate::declare::component::{Edge, EdgeSource, Kind};
use treatrate::declare::problem::{Problem, Rule, Side};
use treatrate::declare::property::{Datum, Property};
use treatrate::declare::read;
use treatrate::quantity::Share;
use treatrate::solve::answer::{Answer, Status};
use treatrate::solve::search::{Budget, cheapest};
use treatrate::study::align::align;
use treatrate::study::change::{Change, with};
use treatrate::study::compare::{Comparison, Deed, Told, compare};
use treatrate::study::differences::differences;

/// Two certified values of one problem agree to twice the gap of a proof.
const AGREE: f64 = 2e-4;

fn solved(p: &Problem) -> Answer {
    cheapest(p, &Budget::default())
}

fn compared(old: &Problem, new: &Problem) -> Comparison {
    compare(old, new, &Budget::default())
}

/// What a direct search says of a problem, as a comparison would.
fn direct(p: &Problem) -> Told {
    let answer = solved(p);
    match answer.outcome() {
        Status::NoRecipe => Told::NoRecipe,
        Status::Undecided => Told::Undecided,
        Status::Feasible => Told::Found(answer.objective.unwrap()),
        Status::Optimal => Told::Value(answer.objective.unwrap()),
    }
}

fn agree(a: Told, b: Told, what: &str) {
    match (a, b) {
        (Told::Value(a), Told::Value(b)) => {
            assert!(
                (a - b).abs() <= AGREE * a.abs().max(1e-3),
                "{what}: {a} {b}"
            );
        }
        (Told::Undecided | Told::Found(_), _) | (_, Told::Undecided | Told::Found(_)) => {}
        _ => assert_eq!(a, b, "{what}"),
    }
}

/// A change made to a problem by hand, and the change that a comparison must name.
struct Made {
    make: Box<dyn Fn(&mut Problem)>,
    is: Box<dyn Fn(&Change) -> bool>,
}

fn price(j: usize, factor: f64) -> Made {
    Made {
        make: Box::new(move |p| {
            let was = p.components[j].figure(&Datum::Price).unwrap().value;
            support::state(&mut p.components[j], Datum::Price, was * factor);
        }),
        is: Box::new(move |c| matches!(c, Change::Price { component, .. } if *component == j)),
    }
}

fn figure(j: usize, datum: Datum, factor: f64) -> Made {
    let named = datum.clone();
    Made {
        make: Box::new(move |p| {
            let was = p.components[j].figure(&datum).unwrap().value;
            support::state(&mut p.components[j], datum.clone(), was * factor);
        }),
        is: Box::new(move |c| match c {
            Change::Figures { component, items } => {
                *component == j && items.iter().any(|i| i.datum == named)
            }
            _ => false,
        }),
    }
}

fn bound(l: usize, by: f64, of: &Problem) -> Made {
    let (property, side) = (of.limits[l].property.clone(), of.limits[l].side);
    Made {
        make: Box::new(move |p| {
            let limit = &mut p.limits[l];
            limit.bound += by * limit.bound.abs().max(0.1);
            limit.stated = limit.bound;
        }),
        is: Box::new(move |c| match c {
            Change::Limit {
                from: Some(from),
                to: Some(_),
            } => from.property == property && from.side == side,
            _ => false,
        }),
    }
}

fn capped(j: usize, percent: f64) -> Made {
    Made {
        make: Box::new(move |p| {
            p.bands[j].max = Edge {
                share: Share::from_percent(percent),
                source: EdgeSource::Problem,
                place: None,
            };
        }),
        is: Box::new(move |c| matches!(c, Change::Band { component, .. } if *component == j)),
    }
}

fn fewer(most: usize) -> Made {
    Made {
        make: Box::new(move |p| p.rules.push(Rule::AtMost(most, nowhere()))),
        is: Box::new(|c| matches!(c, Change::Rule { from: None, .. })),
    }
}

fn new_limit(property: Property, side: Side, at: f64) -> Made {
    let named = property.clone();
    Made {
        make: Box::new(move |p| p.limits.push(limit(property.clone(), side, at))),
        is: Box::new(move |c| match c {
            Change::Limit {
                from: None,
                to: Some(to),
            } => to.property == named,
            _ => false,
        }),
    }
}

/// Some changes of a random problem, each of another kind or place.
fn some(r: &mut Random, p: &Problem) -> Vec<Made> {
    let n = p.components.len();
    let mut all = vec![
        price(r.below(n), 2.0),
        figure(r.below(n), Datum::Noack, r.between(0.6, 1.5)),
        fewer(n - 2),
        new_limit(Property::Density, Side::Max, r.between(0.84, 0.9)),
    ];
    if !p.limits.is_empty() {
        let l = r.below(p.limits.len());
        all.push(bound(l, r.between(-0.05, 0.05), p));
    }
    let additive = (0..n).find(|&j| p.components[j].kind == Kind::AdditivePackage);
    all.extend(additive.map(|j| capped(j, r.between(0.5, 12.0))));
    all.retain(|_| r.chance(0.8));
    all
}

#[test]
fn each_effect_is_that_of_an_independent_solve() {
    let (mut changes, mut broke) = (0, 0);
    for seed in 0..40 {
        let mut r = Random::new(seed + 1000);
        let old = support::problem(seed, 8, usize::from(seed % 4 == 0), false);
        let made = some(&mut r, &old);
        let mut new = old.clone();
        for m in &made {
            (m.make)(&mut new);
        }
        let found = compared(&old, &new);
        assert_eq!(found.effects.len(), made.len(), "{seed}");
        assert!(found.comparable);
        for (k, m) in made.iter().enumerate() {
            let effect = found.effects.iter().find(|e| (m.is)(&e.change));
            let effect = effect.unwrap_or_else(|| panic!("{seed}: {:?}", found.effects));
            let mut alone = old.clone();
            (m.make)(&mut alone);
            agree(effect.alone, direct(&alone), &format!("{seed}, alone {k}"));
            let mut without = old.clone();
            for (i, other) in made.iter().enumerate() {
                if i != k {
                    (other.make)(&mut without);
                }
            }
            agree(
                effect.without,
                direct(&without),
                &format!("{seed}, without {k}"),
            );
            changes += 1;
        }
        broke += usize::from(blame_holds(&found));
    }
    assert!(changes > 100 && broke >= 3, "{changes} {broke}");
}

/// The changes blamed do it, and none of those shown to be needed can be left out.
fn blame_holds(found: &Comparison) -> bool {
    let Some(blame) = &found.blame else {
        assert!(found.old.none() == found.new.none() || found.new.recipe().is_none());
        return false;
    };
    let does = |leave_out: Option<usize>| {
        let set = blame.changes.iter().map(|n| n.index);
        let set = set.filter(|k| Some(*k) != leave_out);
        let problem = with(&found.old.problem, set.map(|k| &found.effects[k].change));
        let none = solved(&problem).outcome() == Status::NoRecipe;
        none == (blame.deed == Deed::Broke)
    };
    assert!(!blame.changes.is_empty());
    assert!(does(None));
    for needed in blame.changes.iter().filter(|n| n.shown) {
        assert!(!does(Some(needed.index)));
    }
    true
}

#[test]
fn what_broke_one_way_is_mended_the_other() {
    let mut both = 0;
    for seed in 0..30 {
        let mut r = Random::new(seed);
        let old = support::problem(seed + 200, 8, 0, false);
        let hard = support::problem(seed + 200, 8, 0, true);
        if hard.limits.len() == old.limits.len() {
            continue;
        }
        let mut new = hard;
        (price(r.below(8), 1.5).make)(&mut new);
        let found = compared(&old, &new);
        let back = compared(&new, &old);
        if found.old.recipe().is_none() || !found.new.none() {
            continue;
        }
        both += 1;
        assert_eq!(found.blame.as_ref().unwrap().deed, Deed::Broke);
        assert!(blame_holds(&found));
        assert_eq!(back.blame.as_ref().unwrap().deed, Deed::Restored);
        assert!(blame_holds(&back));
        let limits = |c: &Comparison| {
            let blamed = c.blame.as_ref().unwrap().changes.iter();
            blamed
                .map(|n| matches!(c.effects[n.index].change, Change::Limit { .. }))
                .collect::<Vec<bool>>()
        };
        // A price breaks nothing.
        assert!(limits(&found).iter().all(|l| *l) && limits(&back).iter().all(|l| *l));
    }
    assert!(both >= 5, "{both}");
}

#[test]
fn the_order_of_a_shelf_is_no_change_and_all_changes_make_the_new() {
    for seed in 0..30 {
        let mut r = Random::new(seed);
        let old = support::problem(seed, 9, 1, false);
        let order = shuffled(&mut r, old.components.len());
        let found = compared(&old, &reordered(&old, &order));
        assert!(found.effects.is_empty(), "{:?}", found.effects);
        // One component gone, another come, in another order.
        let gone = support::without(&old, 0);
        let mut new = support::with_twin(&gone, 1);
        let n = new.components.len();
        support::state(&mut new.components[n - 1], Datum::Price, 0.5);
        new = reordered(&new, &shuffled(&mut r, n));
        let aligned = align(&old, &new);
        let changes = differences(&aligned);
        assert_eq!(changes.len(), 2, "{changes:?}");
        agree(
            direct(&with(&aligned.old, &changes)),
            direct(&new),
            "all changes",
        );
        agree(direct(&aligned.old), direct(&old), "the old, aligned");
        agree(direct(&aligned.new), direct(&new), "the new, aligned");
    }
}

/// The garage's diesel oil, with other words in its text.
fn oil(change: impl Fn(String) -> String) -> Problem {
    let text = r#"
        shelf = ["shelves/club-bench.toml"]
        batch = "20 kg"
        grade = "5W-40"
        [limits]
        base-number = { min = 7 }
        p = { min = 700, max = 850 }
        noack = { max = 10 }
    "#;
    let base = Path::new(env!("CARGO_MANIFEST_DIR")).join("problems");
    read::problem_from_text("oil", &change(text.into()), &base)
        .unwrap()
        .0
}

#[test]
fn nothing_changed() {
    let p = oil(|t| t);
    let found = compared(&p, &p);
    assert!(found.effects.is_empty() && found.blame.is_none());
    assert_eq!(found.old.value(), found.new.value());
}

#[test]
fn a_price_doubles() {
    let old = oil(|t| t);
    let mut new = old.clone();
    let before = solved(&old);
    let shares = before.recipe.as_ref().unwrap().shares().to_vec();
    // What the recipe holds most of.
    let j = (0..shares.len())
        .max_by(|&a, &b| shares[a].fraction().total_cmp(&shares[b].fraction()))
        .unwrap();
    (price(j, 2.0).make)(&mut new);
    let found = compared(&old, &new);
    let [effect] = found.effects.as_slice() else {
        panic!("{:?}", found.effects);
    };
    agree(effect.alone, direct(&new), "alone");
    agree(effect.without, direct(&old), "without");
    // It costs no more than buying as before at the new price.
    let was = old.components[j].figure(&Datum::Price).unwrap().value;
    let most = before.objective.unwrap() + shares[j].fraction() * was;
    assert!(found.new.value().unwrap() <= most + 1e-6);
}

#[test]
fn a_stock_runs_out_in_a_larger_batch() {
    // 40 kg of PAO 4 are all of it in 40 kg, and a fiftieth of two tonnes.
    let old = oil(|t| t);
    let new = oil(|t| t.replace("20 kg", "2 t"));
    let found = compared(&old, &new);
    let [effect] = found.effects.as_slice() else {
        panic!("{:?}", found.effects);
    };
    assert!(matches!(&effect.change, Change::Batch { edges, .. } if !edges.is_empty()));
    agree(effect.alone, direct(&new), "alone");
    assert!(found.new.value().unwrap() >= found.old.value().unwrap() - 1e-6);
    // The stock itself gone, in the same batch.
    let mut empty = old.clone();
    let j = empty.component("group-iii-4").unwrap();
    support::state(&mut empty.components[j], Datum::Stock, 0.0);
    empty.bands[j].max = Edge {
        share: Share::NONE,
        source: EdgeSource::Stock,
        place: None,
    };
    let found = compared(&old, &empty);
    let [effect] = found.effects.as_slice() else {
        panic!("{:?}", found.effects);
    };
    assert!(matches!(
        &effect.change,
        Change::Stock { edge: Some(_), .. }
    ));
    agree(effect.alone, direct(&empty), "alone");
}

#[test]
fn a_grade_moves_only_the_windows_that_differ() {
    let old = oil(|t| t);
    let new = oil(|t| t.replace("5W-40", "5W-30"));
    let found = compared(&old, &new);
    // SAE J300: the cold tests are the same, KV100 and high shear are not.
    for effect in &found.effects {
        let Change::Limit { from, to } = &effect.change else {
            panic!("{:?}", effect.change);
        };
        let property = &to.as_ref().or(from.as_ref()).unwrap().property;
        assert!(matches!(property, Property::Kv100 | Property::Hths));
    }
    assert_eq!(found.effects.len(), 3);
}

#[test]
fn a_limit_on_figures_that_are_not_there_cannot_stand_alone() {
    let mut old = oil(|t| t);
    for c in &mut old.components {
        c.figures.remove(&Datum::Flash);
    }
    let new = oil(|t| t + "\nflash = { min = 200 }\n");
    let found = compared(&old, &new);
    let limit = found
        .effects
        .iter()
        .find(|e| matches!(e.change, Change::Limit { .. }))
        .unwrap();
    assert_eq!(limit.alone, Told::Unasked);
    agree(limit.without, direct(&oil(|t| t)), "without");
}

#[test]
fn two_goals_are_not_compared() {
    let old = oil(|t| t);
    let new = oil(|t| t.replace("batch =", "maximise = \"vi\"\n        batch ="));
    let found = compared(&old, &new);
    assert!(!found.comparable);
    assert!(found.old.recipe().is_some() && found.new.recipe().is_some());
}

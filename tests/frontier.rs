//! What one property costs in another, against closed forms worked out by hand, against random recipes
//! judged by sums of their own, and against certified solves on both sides of points and jumps.

mod support;

use std::path::Path;
use support::{Random, component, limit, nowhere, rules, state};
use treatrate::declare::component::{Edge, EdgeSource, Kind};
use treatrate::declare::problem::{Problem, Sense, Side, UserProperty, UserRule};
use treatrate::declare::property::{Datum, Property};
use treatrate::declare::read;
use treatrate::declare::read::named;
use treatrate::predict::book::Book;
use treatrate::quantity::{Share, Unit};
use treatrate::solve::answer::Status;
use treatrate::solve::search::{Budget, cheapest};
use treatrate::study::frontier::aim::{Aim, Unable, aims};
use treatrate::study::frontier::chain::Scale;
use treatrate::study::frontier::place::OFF;
use treatrate::study::frontier::rate;
use treatrate::study::frontier::trade::Trade;
use treatrate::study::frontier::{Curve, Frontier, Outcome, frontier};

/// Parts of the way between the ends to which what is linear is exact: proofs and rooms leave less.
const EXACT: f64 = 1e-5;

fn q() -> Property {
    Property::User("q".into())
}

/// Components of a price and a property `q`, which mixes by a rule; no limits.
fn shelf(rule: UserRule, figures: &[(f64, f64)]) -> Problem {
    let mut problem = support::bare(&mut Random::new(1), 4, 0);
    problem.components = figures
        .iter()
        .enumerate()
        .map(|(k, (price, q))| {
            let mut c = component(format!("c{k}"), Kind::Other);
            state(&mut c, Datum::Price, *price);
            state(&mut c, Datum::User("q".into()), *q);
            c
        })
        .collect();
    problem.bands = problem.components.iter().map(|c| c.treat.clone()).collect();
    problem.properties = vec![UserProperty {
        name: "q".into(),
        unit: Unit::NONE,
        rule,
        missing: None,
        place: nowhere(),
    }];
    problem
}

fn cost_and(property: Property, sense: Sense) -> [Aim; 2] {
    let cost = Aim {
        property: Property::Cost,
        sense: Sense::Minimise,
    };
    [cost, Aim { property, sense }]
}

fn low_q() -> [Aim; 2] {
    cost_and(q(), Sense::Minimise)
}

fn curve(found: &Frontier) -> &Curve {
    match &found.outcome {
        Outcome::Curve(curve) => curve,
        other => panic!("no curve: {other:?}"),
    }
}

fn traded(problem: &Problem, aims: [Aim; 2], points: usize) -> Frontier {
    frontier(problem, aims, points, &Budget::default())
}

fn shipped(name: &str) -> Problem {
    let path = format!("{}/problems/{name}.toml", env!("CARGO_MANIFEST_DIR"));
    read::problem(Path::new(&path))
        .expect("a problem of this repository")
        .0
}

fn near(a: f64, b: f64, by: f64) {
    assert!((a - b).abs() <= by, "{a} and {b} differ by more than {by}");
}

/// Neighbours of each piece are as far apart as said, by half the sum of both ways in parts of the way
/// between the ends, to the tolerance on either point.
fn evenly(curve: &Curve, aims: &[Aim; 2]) {
    let (first, last) = (&curve.points[0], &curve.points[curve.points.len() - 1]);
    let way = |k: usize| aims[k].sign() * (last.at[k] - first.at[k]);
    let mut along = 0.0;
    for pair in curve.points.windows(2) {
        let parts = [0, 1].map(|k| aims[k].sign() * (pair[1].at[k] - pair[0].at[k]) / way(k));
        let step = 0.5 * (parts[0] + parts[1]);
        // Worse in the first and better in the second: neither betters the other.
        assert!(parts[0] > 0.0 && parts[1] > 0.0, "{pair:?}");
        along += step;
        near(pair[1].along, along, 1e-9);
        if pair[0].piece == pair[1].piece {
            let said = curve.spacing[pair[0].piece];
            near(step, said, 2.0 * OFF * said + EXACT);
        }
    }
    near(along, 1.0, 1e-9);
}

#[test]
fn two_components_trade_along_a_line() {
    // By hand: 2 and 5 a kilogram, 10 and 4 of q: each unit of money takes off 6/3 of q.
    let problem = shelf(UserRule::MassLinear, &[(2.0, 10.0), (5.0, 4.0)]);
    let found = traded(&problem, low_q(), 7);
    let curve = curve(&found);
    assert_eq!(curve.points.len(), 7);
    assert!(curve.jumps.is_empty() && found.is_proved());
    for (k, point) in curve.points.iter().enumerate() {
        near(point.at[1], 10.0 - 2.0 * (point.at[0] - 2.0), 6.0 * EXACT);
        let step = 3.0 / 6.0 * f64::from(u32::try_from(k).expect("a small number"));
        near(point.at[0], 2.0 + step, 3.0 * OFF / 6.0);
        assert_eq!(point.rates.better.is_some(), k > 0);
        assert_eq!(point.rates.worse.is_some(), k < 6);
        for rate in [point.rates.better, point.rates.worse]
            .into_iter()
            .flatten()
        {
            near(rate, -2.0, 1e-6);
        }
    }
    evenly(curve, &found.aims);
}

#[test]
fn three_components_turn_at_a_corner_and_the_rate_with_them() {
    // By hand: the lower hull of (1, 10), (2, 4), (4, 1) is its two sides, of −6 and −1.5.
    let problem = shelf(UserRule::MassLinear, &[(1.0, 10.0), (2.0, 4.0), (4.0, 1.0)]);
    let on = |cost: f64| {
        if cost < 2.0 {
            10.0 - 6.0 * (cost - 1.0)
        } else {
            4.0 - 1.5 * (cost - 2.0)
        }
    };
    let found = traded(&problem, low_q(), 10);
    let curve = curve(&found);
    for point in &curve.points {
        near(point.at[1], on(point.at[0]), 9.0 * EXACT);
        let slope = if point.at[0] < 2.0 { -6.0 } else { -1.5 };
        for rate in [point.rates.better, point.rates.worse]
            .into_iter()
            .flatten()
        {
            near(rate, slope, 1e-5);
        }
    }
    evenly(curve, &found.aims);
    let trade = Trade::new(&problem, low_q(), &Budget::default());
    let corner = trade.within(0, 2.0).expect("a recipe");
    let rates = rate::rates(&trade, &corner, true, true);
    near(rates.better.expect("a rate"), -6.0, 1e-4);
    near(rates.worse.expect("a rate"), -1.5, 1e-4);
    assert!(rates.one().is_none());
}

#[test]
fn a_curved_property_trades_along_its_own_curve() {
    // By hand: 1/q mixes on mass, so q = 1 / (x/10 + (1 − x)/2) with cost 5 − 3x, x of the first:
    // 1/q = 0.5 − 0.4 (5 − c)/3, dq/dc = −q² · 0.4/3.
    let problem = shelf(UserRule::ReciprocalMass, &[(2.0, 10.0), (5.0, 2.0)]);
    let found = traded(&problem, low_q(), 12);
    let curve = curve(&found);
    for point in &curve.points {
        let q = 1.0 / (0.5 - 0.4 * (5.0 - point.at[0]) / 3.0);
        near(point.at[1], q, 8.0 * EXACT);
        for rate in [point.rates.better, point.rates.worse]
            .into_iter()
            .flatten()
        {
            let exact = -q * q * 0.4 / 3.0;
            near(rate, exact, 1e-4 * exact.abs());
        }
    }
    assert!(curve.jumps.is_empty());
    evenly(curve, &found.aims);
    // A higher q that costs less is nothing to trade.
    let found = traded(&problem, cost_and(q(), Sense::Maximise), 12);
    match &found.outcome {
        Outcome::One(point) => near(point.recipe.shares()[0].fraction(), 1.0, 1e-6),
        other => panic!("{other:?}"),
    }
}

/// A cheap stock, and one that goes in at 40 % at least or not at all.
fn jumping() -> Problem {
    let mut problem = shelf(UserRule::MassLinear, &[(1.0, 10.0), (3.0, 2.0)]);
    problem.bands[1].if_used = Some(rules::edge(40.0));
    problem
}

#[test]
fn what_goes_in_whole_or_not_at_all_makes_a_jump() {
    // By hand: none of it is (1, 10); from 40 % on it is the line from (1.8, 6.8) to (3, 2).
    let found = traded(&jumping(), low_q(), 6);
    let curve = curve(&found);
    assert_eq!(curve.jumps, [0]);
    near(curve.points[0].at[0], 1.0, 1e-6);
    near(curve.points[0].at[1], 10.0, 1e-6);
    near(curve.points[1].at[0], 1.8, 1e-5);
    near(curve.points[1].at[1], 6.8, 1e-4);
    assert!(curve.points[0].rates.better.is_none() && curve.points[0].rates.worse.is_none());
    assert!(curve.points[1].rates.better.is_none());
    for point in &curve.points[1..] {
        near(point.at[1], 10.0 - 4.0 * (point.at[0] - 1.0), 8.0 * EXACT);
    }
    assert_eq!(curve.points.len(), 6);
    assert!(found.is_proved());
    evenly(curve, &found.aims);
}

#[test]
fn jumps_hold_from_both_sides() {
    let mut jumps = 0;
    for seed in 0..40 {
        let mut r = Random::new(seed);
        let mut problem = support::problem(seed, 6, 0, false);
        problem.limits.truncate(3);
        rules::add(&mut r, &mut problem);
        let aims = cost_and(Property::Noack, Sense::Minimise);
        let found = traded(&problem, aims.clone(), 5);
        let Outcome::Curve(curve) = &found.outcome else {
            continue;
        };
        evenly(curve, &aims);
        let trade = Trade::new(&problem, aims, &Budget::default());
        let whole =
            |k: usize| (curve.points[0].at[k] - curve.points[curve.points.len() - 1].at[k]).abs();
        for &at in &curve.jumps {
            jumps += 1;
            let (a, b) = (curve.points[at].at, curve.points[at + 1].at);
            // Inside, the best is the one edge or the other, whichever property is bounded.
            // A jump may be level in one property: between equal edges there is no inside.
            let wide = |k: usize| (a[k] - b[k]).abs() > 1e-4 * whole(k);
            for part in [0.01, 0.5, 0.99] {
                if wide(0) {
                    let best = trade.within(0, a[0] + part * (b[0] - a[0]));
                    near(best.expect("a recipe").at[1], a[1], 1e-4 * whole(1));
                }
                if wide(1) {
                    let best = trade.within(1, b[1] + part * (a[1] - b[1]));
                    near(best.expect("a recipe").at[0], b[0], 1e-4 * whole(0));
                }
            }
        }
    }
    assert!(jumps >= 5, "{jumps}");
}

/// Σ x p of a figure.
fn by_mass(problem: &Problem, x: &[f64], datum: &Datum) -> f64 {
    let of =
        |c: &treatrate::declare::component::Component| c.figure(datum).map_or(0.0, |f| f.value);
    problem
        .components
        .iter()
        .zip(x)
        .map(|(c, x)| x * of(c))
        .sum()
}

/// A problem whose every limit is a mean by mass, so that a test can judge it by plain sums.
fn plain(seed: u64) -> Problem {
    let mut r = Random::new(seed);
    let mut problem = support::bare(&mut r, 7, 0);
    let x = r.shares(7);
    let noack = by_mass(&problem, &x, &Datum::Noack);
    let base = by_mass(&problem, &x, &Datum::BaseNumber);
    problem.limits = vec![
        limit(Property::Noack, Side::Max, noack * 1.2),
        limit(Property::BaseNumber, Side::Min, base * 0.8),
    ];
    problem
}

fn random_recipe(r: &mut Random, problem: &Problem) -> Vec<f64> {
    let mut x: Vec<f64> = r.shares(problem.components.len());
    // Towards one corner or another: near the edges of what is possible.
    let k = r.below(x.len());
    let part = r.unit();
    for (j, x) in x.iter_mut().enumerate() {
        *x = *x * part + if j == k { 1.0 - part } else { 0.0 };
    }
    x
}

#[test]
fn no_random_recipe_betters_a_point_in_both() {
    for seed in 0..6 {
        let problem = plain(seed);
        let found = traded(&problem, cost_and(Property::Noack, Sense::Minimise), 9);
        let points: Vec<[f64; 2]> = found.points().iter().map(|p| p.at).collect();
        let mut r = Random::new(1000 + seed);
        let mut fits = 0;
        for _ in 0..10_000 {
            let x = random_recipe(&mut r, &problem);
            let inside = problem
                .bands
                .iter()
                .zip(&x)
                .all(|(b, x)| *x <= b.max.share.fraction());
            let noack = by_mass(&problem, &x, &Datum::Noack);
            let base = by_mass(&problem, &x, &Datum::BaseNumber);
            if !inside || noack > problem.limits[0].bound || base < problem.limits[1].bound {
                continue;
            }
            fits += 1;
            let cost = by_mass(&problem, &x, &Datum::Price);
            for at in &points {
                let better = cost < at[0] * (1.0 - 1e-4) && noack < at[1] * (1.0 - 1e-4);
                assert!(!better, "{seed}: {at:?} by {cost} and {noack}");
            }
        }
        assert!(fits > 100 || points.is_empty(), "{seed}: {fits}");
    }
}

/// Random recipes of a real problem: mixtures of recipes that are best for something, kept where the
/// property models say that they meet every limit.
#[test]
fn no_mixture_betters_a_point_of_a_real_problem() {
    let problem = shipped("hill-climb-5w-50");
    let found = traded(&problem, cost_and(Property::Noack, Sense::Minimise), 9);
    let points: Vec<[f64; 2]> = found.points().iter().map(|p| p.at).collect();
    let mut wanted: Vec<Property> = problem.limits.iter().map(|l| l.property.clone()).collect();
    wanted.extend([Property::Cost, Property::Noack]);
    let book = Book::new(&problem, problem.mixing, &wanted);
    let value = |p: &Property, x: &[f64]| book.entry(p).and_then(|e| book.value(e, x));
    let mut corners: Vec<Vec<f64>> = found
        .points()
        .iter()
        .map(|p| p.recipe.shares().iter().map(|s| s.fraction()).collect())
        .collect();
    for (property, sense) in [
        (Property::Hths, Sense::Maximise),
        (Property::Kv100, Sense::Minimise),
        (Property::Density, Sense::Minimise),
        (Property::Treat("pao-8".into()), Sense::Maximise),
    ] {
        let mut other = problem.clone();
        other.goal.property = property;
        other.goal.sense = sense;
        let local = Budget {
            proof: None,
            ..Budget::default()
        };
        let recipe = cheapest(&other, &local).recipe.expect("a recipe");
        corners.push(recipe.shares().iter().map(|s| s.fraction()).collect());
    }
    let mut r = Random::new(7);
    let mut fits = 0;
    for _ in 0..10_000 {
        let weights = r.shares(corners.len());
        let x: Vec<f64> = (0..problem.components.len())
            .map(|j| corners.iter().zip(&weights).map(|(c, w)| w * c[j]).sum())
            .collect();
        let met = problem.limits.iter().all(|l| {
            // What has no model here is left to the laboratory.
            value(&l.property, &x).is_none_or(|v| match l.side {
                Side::Min => v >= l.bound,
                Side::Max => v <= l.bound,
            })
        });
        if !met {
            continue;
        }
        fits += 1;
        let (cost, noack) = (
            value(&Property::Cost, &x).expect("a cost"),
            value(&Property::Noack, &x).expect("a loss"),
        );
        for at in &points {
            let better = cost < at[0] * (1.0 - 1e-4) && noack < at[1] * (1.0 - 1e-4);
            assert!(!better, "{at:?} by {cost} and {noack}");
        }
    }
    assert!(fits > 100, "{fits}");
}

#[test]
fn ends_are_the_single_optima_and_rates_are_differences_of_certified_solves() {
    let mut rates = 0;
    for (name, property) in [
        ("hill-climb-5w-50", Property::Noack),
        ("commuter-0w-16", Property::Treat("gtl-4".into())),
        ("dyno-10w-60", Property::Noack),
    ] {
        let problem = shipped(name);
        let aims = cost_and(property, Sense::Minimise);
        let found = traded(&problem, aims.clone(), 6);
        let curve = curve(&found);
        evenly(curve, &aims);
        let (first, last) = (&curve.points[0], &curve.points[curve.points.len() - 1]);
        for (aim, point, k) in [(&aims[0], first, 0), (&aims[1], last, 1)] {
            let mut alone = problem.clone();
            alone.goal = aim.goal(&problem);
            let best = cheapest(&alone, &Budget::default());
            assert_eq!(best.status, Status::Optimal);
            let value = best.objective.expect("a value");
            near(point.at[k], value, 1e-4 * value.abs() + 1e-6);
        }
        let trade = Trade::new(&problem, aims.clone(), &Budget::default());
        let way = last.at[0] - first.at[0];
        for point in &curve.points[1..curve.points.len() - 1] {
            let Some(rate) = point.rates.one() else {
                continue;
            };
            // Within one stretch between two turns the difference is the rate.
            let h = 1e-4 * way;
            let at = |cost: f64| trade.within(0, cost).expect("a recipe").at[1];
            let (low, high) = (at(point.at[0] - h), at(point.at[0] + h));
            let told = (high - low) / (2.0 * h);
            near(rate, told, 0.02 * told.abs());
            rates += 1;
        }
    }
    assert!(rates >= 8, "{rates}");
}

#[test]
fn limits_of_the_problem_stay_in_force_and_end_the_curve() {
    let mut problem = shelf(UserRule::MassLinear, &[(2.0, 10.0), (5.0, 4.0)]);
    problem.limits = vec![
        limit(q(), Side::Max, 8.0),
        limit(Property::Cost, Side::Max, 4.0),
    ];
    let found = traded(&problem, low_q(), 5);
    let curve = curve(&found);
    near(curve.points[0].at[0], 3.0, 1e-5);
    near(curve.points[0].at[1], 8.0, 1e-5);
    near(curve.points[4].at[0], 4.0, 1e-5);
    near(curve.points[4].at[1], 6.0, 1e-5);
    let stops: Vec<f64> = curve.stops.iter().flatten().map(|l| l.bound).collect();
    assert_eq!(stops.len(), 2);
    near(stops[0], 8.0, 1e-12);
    near(stops[1], 4.0, 1e-12);
}

#[test]
fn equal_prices_leave_the_better_of_equal_costs() {
    // Two stocks cost the same; the end must be the one with less q, and no dominated one is shown.
    let problem = shelf(UserRule::MassLinear, &[(2.0, 10.0), (2.0, 8.0), (5.0, 4.0)]);
    let found = traded(&problem, low_q(), 5);
    let curve = curve(&found);
    near(curve.points[0].at[1], 8.0, 1e-5);
    for point in &curve.points {
        near(
            point.at[1],
            8.0 - 4.0 / 3.0 * (point.at[0] - 2.0),
            6.0 * EXACT,
        );
    }
}

#[test]
fn which_way_is_better_is_told_or_asked() {
    let problem = shipped("hill-climb-5w-50");
    let way = |key: &str| {
        let named = named::aim(&problem, key).expect("a property");
        let cost = (Property::CostPerLitre, None);
        aims(&problem, [named, cost]).map(|[aim, _]| aim.sense)
    };
    assert_eq!(way("noack"), Ok(Sense::Minimise));
    assert_eq!(way("hths"), Ok(Sense::Maximise));
    assert_eq!(way("hths:low"), Ok(Sense::Minimise));
    assert_eq!(way("treat:pao-6"), Ok(Sense::Minimise));
    assert_eq!(way("treat:pao-6:high"), Ok(Sense::Maximise));
    assert_eq!(way("p"), Err(Unable::NoWay("p".parse_key(), true)));
    assert_eq!(way("density"), Err(Unable::NoWay(Property::Density, false)));
    assert_eq!(
        way("cost-per-litre"),
        Err(Unable::Same(Property::CostPerLitre))
    );
    assert!(named::aim(&problem, "noak:low").is_err_and(|s| s.contains("`noack`")));
    assert!(matches!(
        aims(
            &problem,
            [
                (Property::Brookfield(support::COLD), Some(Sense::Minimise)),
                (Property::Cost, None)
            ]
        ),
        Err(Unable::Unpredicted(..))
    ));
}

trait ParseKey {
    fn parse_key(&self) -> Property;
}

impl ParseKey for str {
    fn parse_key(&self) -> Property {
        Property::of_key(self).expect("a key")
    }
}

#[test]
fn a_problem_without_a_recipe_says_why() {
    let problem = shipped("impossible-0w-20");
    let found = traded(&problem, cost_and(Property::Noack, Sense::Minimise), 5);
    match &found.outcome {
        Outcome::None(refused) => assert!(refused.none() && !refused.answer.conflict.is_empty()),
        other => panic!("{other:?}"),
    }
}

#[test]
fn the_answer_is_the_same_on_one_thread_and_on_two() {
    let problem = jumping();
    let on = |threads: usize| {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build();
        pool.expect("a pool")
            .install(|| traded(&problem, low_q(), 8))
    };
    assert_eq!(on(1), on(2));
    let problem = support::problem(3, 8, 1, false);
    let aims = cost_and(Property::Noack, Sense::Minimise);
    let on = |threads: usize| {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build();
        pool.expect("a pool")
            .install(|| traded(&problem, aims.clone(), 8))
    };
    assert_eq!(on(1), on(2));
}

#[test]
fn a_narrow_band_is_no_division_by_nothing() {
    let mut problem = shelf(UserRule::MassLinear, &[(2.0, 10.0), (5.0, 4.0)]);
    problem.bands[0].min = Edge {
        share: Share::from_percent(50.0),
        source: EdgeSource::Problem,
        place: None,
    };
    problem.bands[0].max = problem.bands[0].min.clone();
    let found = traded(&problem, low_q(), 5);
    assert!(matches!(found.outcome, Outcome::One(_)));
    let trade = Trade::new(&problem, low_q(), &Budget::default());
    let one = trade.within(0, 3.5).expect("a recipe");
    assert!(Scale::between(&one, &one).is_none());
}

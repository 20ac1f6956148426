//! Prices against solves: what each limit that holds a recipe costs, against certified solves with the
//! limit moved; the ends of its range, from both sides; what the shelf's prices decide, in the same way;
//! and the published multipliers of blending programs that have only one set of them.

mod support;

use std::path::Path;
use treatrate::declare::problem::{Problem, Side};
use treatrate::declare::property::{Datum, Property};
use treatrate::declare::read;
use treatrate::explain::knob::Knob;
use treatrate::explain::price::{Move, Price};
use treatrate::explain::turn::{Bar, End, Turn};
use treatrate::explain::why;
use treatrate::explain::why::Why;
use treatrate::report::text::prices;
use treatrate::solve::answer::{Answer, Status};
use treatrate::solve::search::{Budget, cheapest};

/// Every problem of this repository that has a recipe.
const SHIPPED: [&str; 8] = [
    "alloy-blend",
    "commuter-0w-16",
    "dyno-10w-60",
    "hill-climb-5w-50",
    "ice-race-0w-30",
    "logic-demo",
    "low-ash-5w-30",
    "tow-truck-15w-40",
];

/// Random problems of 6 to 14 components, every other one with a polymer.
const RANDOM: u64 = 200;

/// Part by which a price may differ from the difference of certified optima.
const SAME_PRICE: f64 = 0.01;

/// Half-width of the difference, in spans of the limit; at most this part of the way to a range's end.
const STEP: f64 = 1e-4;
const PART: f64 = 0.25;

/// Relative digits in which two certified optima of neighbouring problems agree.
const NOISE: f64 = 2e-9;

/// How far beside the end of a range the recipe is looked at: a part of the range, and of a span.
const BESIDE: (f64, f64) = (3e-3, 1e-5);

/// Ends, in a hundred, beyond or before which the recipe may be another than said: a rival that is
/// better by less than a millionth of the cost is not told apart, nor is one that becomes better so
/// slowly that the certified search itself stays with the old recipe for a while.
const ENDS_IN_A_HUNDRED: usize = 2;

/// A treat rate, mass fraction, up to which a component counts as not used; with recipe logic, just above
/// the 0.001 % that it pours at least.
const NONE_OF_IT: f64 = 1e-8;
const NONE_BY_LOGIC: f64 = 1.0001e-5;

fn certified(problem: &Problem) -> Option<Answer> {
    let budget = Budget {
        proof: Some(1e-7),
        nodes: 4_000,
        ..Budget::default()
    };
    let answer = cheapest(problem, &budget);
    (answer.status == Status::Optimal).then_some(answer)
}

fn shipped(name: &str) -> Problem {
    let path = format!("{}/problems/{name}.toml", env!("CARGO_MANIFEST_DIR"));
    read::problem(Path::new(&path))
        .expect("a problem of this repository")
        .0
}

fn random(seed: u64) -> Problem {
    let size = 6 + usize::try_from(seed % 9).expect("a small number");
    let polymers = usize::try_from(seed % 2).expect("a small number");
    support::problem(seed, size, polymers, false)
}

/// What was looked at, and what was found wrong.
#[derive(Debug, Default)]
struct Count {
    prices: usize,
    one_sided: usize,
    no_recipe: usize,
    unknown: usize,
    unexplained: usize,
    ends: usize,
    wrong_prices: Vec<String>,
    wrong_ends: Vec<String>,
}

/// One price of one problem.
struct Asked<'a> {
    problem: &'a Problem,
    answer: &'a Answer,
    price: &'a Price,
    label: String,
}

impl Asked<'_> {
    fn value(&self, at: f64) -> Option<f64> {
        certified(&self.price.knob.at(self.problem, at))?.objective
    }

    fn span(&self) -> f64 {
        self.price.knob.span(self.problem)
    }

    fn room(&self, side: &Move) -> f64 {
        match side.end().and_then(|end| end.at) {
            Some(at) => (at - self.price.bound).abs(),
            None => f64::INFINITY,
        }
    }

    /// The price on one side against the difference of certified optima.
    fn check_price(&self, side: &Move, back: &Move, sign: f64, told: f64, count: &mut Count) {
        let step = (STEP * self.span()).min(PART * self.room(side));
        let here = self.answer.objective.expect("a recipe");
        let bound = self.price.bound;
        let difference = if self.price.per_unit().is_some() {
            let step = step.min(PART * self.room(back));
            let (ahead, behind) = (
                self.value(bound + sign * step),
                self.value(bound - sign * step),
            );
            ahead
                .zip(behind)
                .map(|(a, b)| (a - b) / (2.0 * sign * step))
        } else {
            // A kink: the difference is taken on its own side.
            count.one_sided += 1;
            self.value(bound + sign * step)
                .map(|a| (a - here) / (sign * step))
        };
        let Some(difference) = difference else { return };
        let noise = NOISE * here.abs().max(1e-3) / step;
        if (told - difference).abs() > SAME_PRICE * difference.abs() + noise {
            count.wrong_prices.push(format!(
                "{}: told {told}, found {difference} with a step of {step}",
                self.label
            ));
        }
    }

    /// The recipe just before and just beyond the end of a range.
    fn check_end(&self, side: &Move, sign: f64, count: &mut Count) {
        let Some(End {
            at: Some(at),
            sure: true,
            turn,
            last,
        }) = side.end().copied()
        else {
            return;
        };
        let by = (BESIDE.0 * (at - self.price.bound).abs()).max(BESIDE.1 * self.span());
        if (at - self.price.bound).abs() <= 2.0 * by {
            return;
        }
        count.ends += 1;
        let label = format!("{}, end at {at} ({turn:?})", self.label);
        let within = certified(&self.price.knob.at(self.problem, at - sign * by));
        let beyond = certified(&self.price.knob.at(self.problem, at + sign * by));
        let Some(within) = within else { return };
        let same = |a: &Answer, b: &Answer| signature(a) == signature(b);
        if self.price.per_unit().is_some() && !same(&within, self.answer) {
            count.wrong_ends.push(format!("{label}: another within"));
        }
        match beyond {
            Some(_) if last => count.wrong_ends.push(format!("{label}: a recipe beyond")),
            Some(beyond) if same(&beyond, &within) => {
                count.wrong_ends.push(format!("{label}: the same beyond"));
            }
            _ => {}
        }
    }

    fn check(&self, count: &mut Count) {
        count.prices += 1;
        let (up, down) = (&self.price.raised, &self.price.lowered);
        for (side, back, sign) in [(up, down, 1.0), (down, up, -1.0)] {
            match side {
                Move::Priced { per_unit, .. } => {
                    self.check_price(side, back, sign, *per_unit, count);
                    self.check_end(side, sign, count);
                }
                Move::NoRecipe => {
                    count.no_recipe += 1;
                    if self
                        .value(self.price.bound + sign * 1e-3 * self.span())
                        .is_some()
                    {
                        count
                            .wrong_ends
                            .push(format!("{}: a recipe beyond", self.label));
                    }
                }
                Move::Unknown => count.unknown += 1,
            }
        }
    }
}

/// The components used, and the requirements that bind.
fn signature(answer: &Answer) -> (Vec<bool>, Vec<bool>) {
    let judged = answer.judgement.as_ref().expect("a judgement");
    let least = if judged.rules.is_empty() {
        NONE_OF_IT
    } else {
        NONE_BY_LOGIC
    };
    let shares = answer.recipe.as_ref().expect("a recipe").shares();
    let used = shares.iter().map(|s| s.fraction() > least).collect();
    (
        used,
        judged.requirements.iter().map(|r| r.binding).collect(),
    )
}

fn reasons(problem: &Problem, market: bool) -> Option<(Answer, Option<Why>)> {
    let answer = certified(problem)?;
    let why = why::of(problem, &answer, market);
    Some((answer, why))
}

fn check(problem: &Problem, name: &str, count: &mut Count) {
    let Some((answer, why)) = reasons(problem, false) else {
        return;
    };
    let Some(why) = why else {
        count.unexplained += 1;
        return;
    };
    let judgement = answer.judgement.as_ref().expect("a judgement");
    for price in &why.prices {
        let judged = &judgement.requirements[price.requirement];
        let label = format!("{name}: {} {}", judged.property, judged.side.key());
        let asked = Asked {
            problem,
            answer: &answer,
            price,
            label,
        };
        asked.check(count);
    }
}

#[test]
fn every_price_of_the_shipped_problems_is_a_difference_of_certified_solves() {
    let mut count = Count::default();
    for name in SHIPPED {
        check(&shipped(name), name, &mut count);
    }
    assert!(count.wrong_prices.is_empty(), "{:#?}", count.wrong_prices);
    assert!(count.wrong_ends.is_empty(), "{:#?}", count.wrong_ends);
    assert_eq!((count.unknown, count.unexplained), (0, 0));
    assert!(count.prices >= 50 && count.ends >= 60, "{count:?}");
}

#[test]
fn every_price_of_random_problems_is_a_difference_of_certified_solves() {
    let mut count = Count::default();
    for seed in 0..RANDOM {
        check(&random(seed), &format!("seed {seed}"), &mut count);
    }
    assert!(count.wrong_prices.is_empty(), "{:#?}", count.wrong_prices);
    assert!(
        100 * count.wrong_ends.len() <= ENDS_IN_A_HUNDRED * count.ends,
        "{:#?}",
        count.wrong_ends
    );
    assert_eq!((count.unknown, count.unexplained), (0, 0));
    assert!(count.prices >= 600 && count.ends >= 900, "{count:?}");
}

/// Just below the price at which a component comes in, a certified recipe uses it; just above, none
/// does. A used one's recipe keeps its components up to the end of its price's range, and not beyond.
#[test]
fn the_shelf_decides_by_prices_as_told() {
    const APART: f64 = 2e-3;
    let (mut entries, mut ranges) = (0, 0);
    for name in [
        "alloy-blend",
        "hill-climb-5w-50",
        "ice-race-0w-30",
        "logic-demo",
        "low-ash-5w-30",
    ] {
        let problem = shipped(name);
        let (answer, why) = reasons(&problem, true).expect("a certified problem");
        let market = why.and_then(|w| w.market).expect("a recipe off any grid");
        let used = |answer: &Answer| signature(answer).0;
        let at = |j: usize, price: f64| certified(&Knob::Price(j).at(&problem, price));
        for left in market.left_out.iter().filter(|l| l.sure) {
            let id = &problem.components[left.component].id;
            let Some(enters) = left.enters_at else {
                continue;
            };
            let below = at(left.component, enters * (1.0 - APART)).expect("still certified");
            assert!(used(&below)[left.component], "{name}: {id} below {enters}");
            let above = at(left.component, enters * (1.0 + APART)).expect("still certified");
            assert!(!used(&above)[left.component], "{name}: {id} above {enters}");
            entries += 1;
        }
        for bought in &market.purchases {
            let id = &problem.components[bought.component].id;
            for (end, sign) in [(bought.cheaper, -1.0), (bought.dearer, 1.0)] {
                let (Some(to), true) = (end.at, end.sure) else {
                    continue;
                };
                let by = sign * APART * to;
                let within = at(bought.component, to - by).expect("still certified");
                assert_eq!(used(&within), used(&answer), "{name}: {id} within {to}");
                let beyond = at(bought.component, to + by).expect("still certified");
                assert!(
                    used(&beyond) != used(&answer),
                    "{name}: {id} beyond {to} {end:?}"
                );
                ranges += 1;
            }
        }
    }
    assert!(entries >= 20 && ranges >= 20, "{entries} {ranges}");
}

/// A number of a kind that no difference can give: where the best recipe stands on a kink.
#[test]
fn a_kink_is_told_from_both_sides() {
    let mut problem = random(3);
    let answer = certified(&problem).expect("a certified problem");
    let judgement = answer.judgement.as_ref().expect("a judgement");
    let held = judgement.requirements.iter().find(|r| r.binding);
    let held = held.expect("a limit that binds").clone();
    // The same limit twice: raising one of them alone tightens, lowering it alone changes nothing.
    let twin = problem
        .limits
        .iter()
        .find(|l| l.property == held.property && l.side == held.side)
        .expect("the limit")
        .clone();
    problem.limits.push(twin);
    let why = why::of(&problem, &certified(&problem).expect("as before"), false);
    let why = why.expect("a recipe off any grid");
    let price = why.prices.first().expect("a price");
    let worth = |side: &Move| side.per_unit().expect("a price on either side").abs();
    assert!(price.per_unit().is_none(), "{price:?}");
    assert!(worth(price.tightened()) > 1e-9, "{price:?}");
    assert!(worth(price.loosened()) < 1e-9, "{price:?}");
}

/// A limit of nothing: more of the element has a price, and less of it there cannot be. What is told is
/// the price of a step, not of the sliver that a tolerance leaves.
#[test]
fn a_limit_of_nothing_costs_upwards_only() {
    let path = format!(
        "{}/tests/corners/nothing-of-an-element.toml",
        env!("CARGO_MANIFEST_DIR")
    );
    let (problem, _) = read::problem(Path::new(&path)).expect("a file of this repository");
    let (answer, why) = reasons(&problem, false).expect("a certified problem");
    let why = why.expect("a recipe off any grid");
    let [price] = why.prices.as_slice() else {
        panic!("{:?}", why.prices)
    };
    assert_eq!(price.lowered, Move::NoRecipe);
    let told = price.raised.per_unit().expect("a price");
    let ten = certified(&price.knob.at(&problem, 10.0)).and_then(|a| a.objective);
    let difference = (ten.expect("a recipe") - answer.objective.expect("a recipe")) / 10.0;
    assert!(told < 0.0 && (told - difference).abs() <= SAME_PRICE * told.abs());
    let judgement = answer.judgement.as_ref().expect("a judgement");
    let text = prices::section(&problem, judgement, 3.0, &why.prices);
    assert!(text.contains("10 ppm more saves"), "{text}");
}

/// A minimum cannot be raised above its component's own maximum; at its end the price is still one.
#[test]
fn a_minimum_ends_at_its_own_maximum() {
    let problem = shipped("hill-climb-5w-50");
    let (answer, why) = reasons(&problem, false).expect("a certified problem");
    let judgement = answer.judgement.expect("a judgement");
    let j = problem.component("pour-depressant").expect("on the shelf");
    let most = problem.bands[j].max.share.percent();
    let own = |p: &&Price| {
        judgement.requirements[p.requirement].property.key() == "treat:pour-depressant"
    };
    let why = why.expect("a recipe off any grid");
    let price = why.prices.iter().find(own).expect("it binds");
    let end = price.raised.end().expect("a price");
    assert!(end.at.is_some_and(|at| (at - most).abs() < 1e-4), "{end:?}");
    assert!(
        end.last && end.turn == Some(Turn::Binds(Bar::Most(j))),
        "{end:?}"
    );
    // Where a limit's window closes at the end of its range, the price there is no less a price.
    let problem = shipped("commuter-0w-16");
    let (answer, why) = reasons(&problem, false).expect("a certified problem");
    let judgement = answer.judgement.expect("a judgement");
    let hths = |p: &&Price| judgement.requirements[p.requirement].property == Property::Hths;
    let why = why.expect("a recipe off any grid");
    let price = why.prices.iter().find(hths).expect("it binds");
    let Move::Priced {
        per_unit, at_end, ..
    } = &price.raised
    else {
        panic!("{price:?}")
    };
    assert!((at_end / per_unit - 1.0).abs() < 0.2, "{per_unit} {at_end}");
}

/// An exact treat rate may not be moved beyond what its supplier allows: no price is told there.
#[test]
fn an_exact_treat_rate_ends_where_its_supplier_s_band_does() {
    let mut problem = shipped("hill-climb-5w-50");
    let j = problem.component("pour-depressant").expect("on the shelf");
    let most = problem.components[j].treat.max.share.percent();
    problem.bands[j].max = problem.bands[j].min.clone();
    let (answer, why) = reasons(&problem, false).expect("a certified problem");
    let judgement = answer.judgement.expect("a judgement");
    let why = why.expect("a recipe off any grid");
    let own = |p: &&Price| {
        judgement.requirements[p.requirement].property.key() == "treat:pour-depressant"
    };
    let price = why.prices.iter().find(own).expect("it binds");
    assert!(price.exact);
    let end = price.raised.end().expect("a price");
    assert!(
        end.at.is_none_or(|at| at <= most * (1.0 + 1e-9)),
        "{end:?} {most}"
    );
}

/// At 100 the viscosity index changes its formula (ASTM D2270), and its price with it: both are told.
#[test]
fn an_index_of_100_has_two_prices() {
    let mut told = 0;
    for seed in 0..60 {
        let mut problem = random(seed);
        let Some(l) = problem
            .limits
            .iter()
            .position(|l| l.property == Property::Vi)
        else {
            continue;
        };
        let only = problem.limits[l].property.clone();
        problem.limits.retain(|l| l.property != only);
        problem
            .limits
            .push(support::limit(Property::Vi, Side::Min, 100.0));
        let Some((answer, Some(why))) = reasons(&problem, false) else {
            continue;
        };
        let judgement = answer.judgement.as_ref().expect("a judgement");
        let held = |p: &&Price| judgement.requirements[p.requirement].property == Property::Vi;
        let Some(price) = why.prices.iter().find(held) else {
            continue;
        };
        let label = format!("seed {seed}: an index of 100");
        let mut count = Count::default();
        let asked = Asked {
            problem: &problem,
            answer: &answer,
            price,
            label,
        };
        asked.check(&mut count);
        assert!(count.wrong_prices.is_empty(), "{:#?}", count.wrong_prices);
        told += usize::from(price.per_unit().is_none());
    }
    assert!(told >= 1, "no index stands at 100");
}

/// Published or re-verified multipliers, of programs without ties: source in each file's header; the
/// re-verification was done with an open linear-programming library (`HiGHS` 1.16).
#[test]
fn published_multipliers_are_the_prices() {
    const DIGITS: f64 = 1e-6;
    let published: [(&str, &[(&str, f64)]); 7] = [
        (
            "cattle-feed-lp",
            &[("protein", 0.285_476_72), ("fats", 0.675_317_48)],
        ),
        (
            "mpsx-aluminium",
            &[
                ("iron", -2.568_231_05),
                ("manganese", -0.544_404_33),
                ("aluminium", 0.251_985_56),
                ("silicon", 0.485_198_56),
            ],
        ),
        ("petfood-2", &[("salt", -1.666_666_67)]),
        ("petfood-6", &[("fat", 0.07)]),
        ("kallrath-ore", &[("grade-margin-low", -21.052_631_58)]),
        // The two oils' limits add up to the whole: as published they are not one-sided, here they
        // hold when lowered, per 1 % of the whole.
        (
            "williams-single",
            &[
                ("hardness-margin-high", 3.703_703_7),
                ("vegetable-oils", 0.296_296_296),
                ("other-oils", 0.466_666_667),
            ],
        ),
        (
            "steel-500t",
            &[("copper", -0.803_914_72), ("manganese", 41.733_659_56)],
        ),
    ];
    for (file, expected) in published {
        let path = format!("{}/tests/blends/{file}.toml", env!("CARGO_MANIFEST_DIR"));
        let (problem, _) = read::problem(Path::new(&path)).expect("a file of this repository");
        let (answer, why) = reasons(&problem, false).expect("a published optimum");
        let judgement = answer.judgement.expect("a judgement");
        let why = why.expect("a recipe off any grid");
        for (key, multiplier) in expected {
            let price = why
                .prices
                .iter()
                .find(|p| judgement.requirements[p.requirement].property.key() == *key)
                .unwrap_or_else(|| panic!("{file}: {key} has no price"));
            let told = price.per_unit().or(price.lowered.per_unit());
            let told = told.expect("a price");
            assert!(
                (told - multiplier).abs() <= DIGITS * multiplier.abs(),
                "{file}: {key} {told}, published {multiplier}"
            );
        }
        assert!(
            problem
                .components
                .iter()
                .all(|c| c.figure(&Datum::Price).is_some())
        );
    }
}

/// Another recipe is a turn like any other: the range ends there.
#[test]
fn a_rival_ends_a_range() {
    let problem = shipped("logic-demo");
    let (_, why) = reasons(&problem, true).expect("a certified problem");
    let market = why.and_then(|w| w.market).expect("a recipe off any grid");
    let rivals = market
        .purchases
        .iter()
        .flat_map(|p| [p.cheaper, p.dearer])
        .filter(|end| end.turn == Some(Turn::Other));
    assert!(rivals.count() >= 3);
}

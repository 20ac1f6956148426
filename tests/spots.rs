//! Answers along a trail equal answers found afresh: nothing that one problem leaves for the next may
//! change what is said of the next.
//!
//! The yardstick is the whole search from nothing (`search::cheapest`), itself held to independent judges
//! in `never_wrong.rs` and `certify.rs`.

mod support;

use std::path::Path;
use support::problem;
use treatrate::declare::problem::Problem;
use treatrate::declare::read;
use treatrate::declare::requirement::{self, Requirement};
use treatrate::solve::answer::Status;
use treatrate::solve::conflict::Conflict;
use treatrate::solve::filter::Probe;
use treatrate::solve::logic::Demand;
use treatrate::solve::possible::{self, Purse};
use treatrate::solve::search::{Budget, GAP, cheapest};
use treatrate::solve::spot::{Spot, Trail, spot};

/// Both sides are proved within [`GAP`] of the best, so they differ by no more than that, and the last
/// digits.
const AGREE: f64 = GAP * 1.001;

/// Regions of one proof: what is not decided by then decides nothing here either.
const NODES: usize = 1_500;

/// Part of the points that must be decided on both sides.
const DECIDED: f64 = 0.9;

/// Steps along each trail, and how far the limit moves in all, as a part of its size.
const STEPS: u32 = 9;
const FAR: f64 = 0.3;

fn budget() -> Budget {
    Budget {
        nodes: NODES,
        ..Budget::default()
    }
}

/// The limit's value at each step of a trail, up or down.
fn values(bound: f64, up: bool) -> Vec<f64> {
    let sign = if up { 1.0 } else { -1.0 };
    (0..STEPS)
        .map(|k| bound * (1.0 + sign * FAR * f64::from(k) / f64::from(STEPS - 1)))
        .collect()
}

/// How many points were compared, and how many were decided on both sides.
#[derive(Default)]
struct Tally {
    all: u32,
    decided: u32,
    without: u32,
}

impl Tally {
    fn compare(&mut self, name: &str, q: &Problem, told: &Spot) {
        let fresh = cheapest(q, &budget());
        self.all += 1;
        match (told.status, fresh.outcome()) {
            (Status::Optimal, Status::Optimal) => {
                self.decided += 1;
                let (a, b) = (told.goal.expect("a goal"), fresh.objective.expect("a goal"));
                assert!(
                    (a - b).abs() <= AGREE * b.abs() + 1e-9,
                    "{name}: {a} along the trail, {b} afresh"
                );
                let gap = told.gap.expect("an optimum has a gap");
                assert!(gap <= GAP * 1.001, "{name}: a gap of {gap}");
            }
            (Status::NoRecipe, Status::NoRecipe) => {
                self.decided += 1;
                self.without += 1;
            }
            (Status::NoRecipe, _) => assert!(
                fresh.outcome() == Status::Undecided,
                "{name}: no recipe along the trail, {:?} afresh",
                fresh.outcome()
            ),
            (_, Status::NoRecipe) => assert!(
                told.status == Status::Undecided,
                "{name}: {:?} along the trail, no recipe afresh",
                told.status
            ),
            _ => {}
        }
    }
}

#[test]
fn random_trails_tell_what_fresh_searches_tell() {
    let mut tally = Tally::default();
    for seed in 0..24_u64 {
        let components = 6 + usize::try_from(seed % 10).expect("small");
        let polymers = usize::try_from(seed % 3).expect("small").min(2);
        let p = problem(900 + seed, components, polymers, seed % 4 == 0);
        let l = usize::try_from(seed).expect("small") % p.limits.len();
        let bound = p.limits[l].bound;
        let mut trail = Trail::new(false);
        for v in values(bound, seed % 2 == 0) {
            let q = requirement::changed(&p, &[(Requirement::Limit(l), Some(v))]);
            let told = spot(&q, &mut trail, &budget());
            tally.compare(&format!("seed {seed}, limit {l} at {v}"), &q, &told);
        }
    }
    assert!(
        f64::from(tally.decided) >= DECIDED * f64::from(tally.all),
        "{} of {} decided",
        tally.decided,
        tally.all
    );
    assert!(
        tally.without > 10,
        "the study saw problems without a recipe"
    );
}

#[test]
fn shipped_trails_tell_what_fresh_searches_tell() {
    let mut tally = Tally::default();
    for name in [
        "alloy-blend",
        "commuter-0w-16",
        "ice-race-0w-30",
        "low-ash-5w-30",
        "logic-demo",
    ] {
        let p = shipped(name);
        for l in (0..p.limits.len()).step_by(3) {
            let mut trail = Trail::new(false);
            for v in values(p.limits[l].bound, l % 2 == 0) {
                let q = requirement::changed(&p, &[(Requirement::Limit(l), Some(v))]);
                let told = spot(&q, &mut trail, &budget());
                tally.compare(&format!("{name}, limit {l} at {v}"), &q, &told);
            }
        }
    }
    assert!(f64::from(tally.decided) >= DECIDED * f64::from(tally.all));
}

#[test]
fn every_reason_along_a_trail_is_one() {
    let p = shipped("commuter-0w-16");
    let mut told = 0;
    // One trail for all: the reason of one limit comes to problems of which it is none.
    let mut trail = Trail::new(true);
    for l in 0..p.limits.len() {
        for up in [true, false] {
            for v in values(p.limits[l].bound, up) {
                let q = requirement::changed(&p, &[(Requirement::Limit(l), Some(v))]);
                let spot = spot(&q, &mut trail, &budget());
                if spot.status != Status::NoRecipe {
                    continue;
                }
                assert!(!spot.conflict.is_empty(), "limit {l} at {v} has a reason");
                let mut answer = cheapest(&q, &budget());
                answer.needed = vec![true; spot.conflict.len()];
                answer.conflict = spot.conflict;
                let named = Conflict::of_answer(&q, &answer).requirements();
                assert_eq!(named.len(), answer.conflict.len());
                let alone = requirement::keeping(&q, &named);
                let mut purse = Purse::new(2_000, 2_000, None);
                let probe = possible::possible(&alone, &Demand::default(), &mut purse);
                assert_eq!(probe, Probe::Impossible, "limit {l} at {v}");
                told += 1;
            }
        }
    }
    assert!(told > 10, "{told} problems without a recipe were seen");
}

#[test]
fn a_local_trail_keeps_every_limit() {
    // What is only local may be dearer than the best, never cheaper, and meets every limit.
    let p = shipped("hill-climb-5w-50");
    let local = Budget {
        proof: None,
        ..Budget::default()
    };
    for l in (0..p.limits.len()).step_by(4) {
        let mut trail = Trail::new(false);
        for v in values(p.limits[l].bound, false) {
            let q = requirement::changed(&p, &[(Requirement::Limit(l), Some(v))]);
            let told = spot(&q, &mut trail, &local);
            if !told.has_recipe() {
                continue;
            }
            assert_eq!(told.status, Status::Feasible);
            assert!(told.gap.is_none());
            let whole: f64 = told.shares.iter().sum();
            assert!((whole - 1.0).abs() < 1e-9);
            let fresh = cheapest(&q, &budget());
            let (a, b) = (
                told.goal.expect("a goal"),
                fresh.proof.bound.expect("a bound"),
            );
            assert!(a >= b - 1e-9, "limit {l} at {v}: {a} below the proved {b}");
        }
    }
}

fn shipped(name: &str) -> Problem {
    let path = Path::new("problems").join(format!("{name}.toml"));
    read::problem(&path).expect("a shipped problem is sound").0
}

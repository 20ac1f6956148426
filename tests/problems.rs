//! Every file in `problems/` answers as its header comment says.
//!
//! `# expect: certified`, `feasible` or `no-recipe` is the outcome of the ordinary search;
//! `# objective: 3.23 EUR/kg` is the value of the goal. The value of the alloy blend is published (see
//! its header); those of the oils, whose figures are invented, were found by this program at a gap of
//! [`TIGHT`] and guard against change; `tests/oracle.rs` and `tests/certify.rs` check the method.

use std::error::Error;
use std::fs;
use std::path::{Path, PathBuf};
use treatrate::declare::problem::Problem;
use treatrate::declare::read;
use treatrate::solve::answer::{Answer, ProofKind, Status};
use treatrate::solve::refine;
use treatrate::solve::refine::Point;
use treatrate::solve::search::{Budget, GAP, cheapest};
use treatrate::solve::start;
use treatrate::solve::start::Sequence;
use treatrate::solve::task::Task;

/// Relative agreement of a value with its header.
const AGREE: f64 = 1e-6;

/// Gap at which the headers' values were found.
const TIGHT: f64 = 1e-7;

/// Random starts of each problem.
const STARTS: usize = 100;

fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("problems")
}

/// The problem files, by name.
fn files() -> Result<Vec<PathBuf>, Box<dyn Error>> {
    let mut all: Vec<PathBuf> = fs::read_dir(folder())?
        .map(|entry| entry.map(|e| e.path()))
        .collect::<Result<_, _>>()?;
    all.retain(|path| path.extension().is_some_and(|e| e == "toml"));
    all.sort();
    assert!(all.len() >= 9, "{all:?}");
    Ok(all)
}

fn problem(path: &Path) -> Problem {
    match read::problem(path) {
        Ok((problem, _)) => problem,
        Err(faults) => panic!("{}: {faults:?}", path.display()),
    }
}

/// What follows `# key:` in a file's header.
fn header(path: &Path, key: &str) -> Option<String> {
    let text = fs::read_to_string(path).expect("a file of this repository");
    let mark = format!("# {key}:");
    text.lines()
        .find_map(|line| line.strip_prefix(&mark))
        .map(|rest| rest.trim().to_owned())
}

/// The value and the unit of the header's `objective`.
fn objective(path: &Path) -> Option<(f64, String)> {
    let text = header(path, "objective")?;
    let (value, unit) = text.split_once(' ')?;
    Some((value.parse().expect("a number"), unit.trim().to_owned()))
}

fn name(path: &Path) -> String {
    path.file_stem()
        .map(|stem| stem.to_string_lossy().into_owned())
        .unwrap_or_default()
}

fn outcome(answer: &Answer) -> &'static str {
    match (answer.outcome(), answer.proof.kind) {
        (Status::Optimal, ProofKind::Certified) => "certified",
        (Status::Optimal | Status::Feasible, _) => "feasible",
        (Status::NoRecipe, _) => "no-recipe",
        (Status::Undecided, _) => "undecided",
    }
}

fn solved(p: &Problem, gap: f64) -> Answer {
    let budget = Budget {
        proof: Some(gap),
        ..Budget::default()
    };
    cheapest(p, &budget)
}

fn near(found: f64, expected: f64, part: f64) -> bool {
    (found - expected).abs() <= part * expected.abs()
}

#[test]
fn every_problem_answers_as_its_header_says() -> Result<(), Box<dyn Error>> {
    for path in files()? {
        let (p, name) = (problem(&path), name(&path));
        let answer = cheapest(&p, &Budget::default());
        let expected = header(&path, "expect").ok_or(format!("{name}: no `# expect:`"))?;
        assert_eq!(outcome(&answer), expected, "{name}: {}", answer.proof.words);
        let Some(found) = answer.objective else {
            assert!(!answer.conflict.is_empty(), "{name}: no reason given");
            continue;
        };
        let (value, unit) = objective(&path).ok_or(format!("{name}: no `# objective:`"))?;
        assert_eq!(unit, p.unit(&p.goal.property).to_string(), "{name}");
        assert!(near(found, value, GAP), "{name}: {found}, not {value}");
        let bound = answer.proof.bound.ok_or("certified without a bound")?;
        assert!(bound <= value * (1.0 + AGREE), "{name}: {bound}");
        let tight = solved(&p, TIGHT);
        let found = tight.objective.ok_or("certified without a value")?;
        assert!(near(found, value, AGREE), "{name}: {found}, not {value}");
    }
    Ok(())
}

/// How many of the problems with a recipe must be certified at [`AGREE`]: all of them, at present.
const CERTIFIED_TIGHTLY: usize = 8;

#[test]
fn every_problem_is_decided_at_the_usual_gap_and_most_at_a_tight_one() -> Result<(), Box<dyn Error>>
{
    let mut tight = 0;
    for path in files()? {
        let p = problem(&path);
        let usual = outcome(&solved(&p, GAP));
        assert!(matches!(usual, "certified" | "no-recipe"), "{usual}");
        tight += usize::from(outcome(&solved(&p, AGREE)) == "certified");
    }
    assert!(tight >= CERTIFIED_TIGHTLY, "{tight} at a gap of {AGREE}");
    Ok(())
}

/// From how many of [`STARTS`] random starts one descent reaches the optimum, at least.
///
/// The 15W-40's optimum stands where two curved limits cross, the highest KV100 and the lowest HTHS,
/// with two polymers to trade between. All but one of the descents that stop short stop on that same
/// crossing: they slide along it in small steps and run out of them. The same descent begun again from
/// where it stopped goes on (see [`AGAIN`]), so these are not optima of their own; the proof above
/// stands in for them.
const REACHED: [(&str, usize); 7] = [
    ("alloy-blend", 100),
    ("commuter-0w-16", 100),
    ("dyno-10w-60", 100),
    ("hill-climb-5w-50", 100),
    ("ice-race-0w-30", 100),
    ("low-ash-5w-30", 100),
    ("tow-truck-15w-40", 70),
];

/// How often a descent that stopped short is begun again, and how many of [`STARTS`] may then still be
/// short of the optimum: one meets a linear program that no method confirms.
const AGAIN: usize = 40;
const STILL_SHORT: usize = 2;

/// Left out: the first has no recipe, and the second's rules are decided by the proof's tree; a descent
/// knows none of them, and goes below what they allow.
const NO_DESCENT: [&str; 2] = ["impossible-0w-20", "logic-demo"];

/// The goals reached from random starts, in one descent and with as many as [`AGAIN`] more.
fn descents(p: &Problem, optimum: f64) -> (usize, usize) {
    let task = Task::new(p);
    let (mut sequence, mut programs) = (Sequence::new(100), 0);
    let (mut at_once, mut at_last) = (0, 0);
    let there = |point: &Point| point.missed <= refine::MET && near(point.goal, optimum, AGREE);
    for _ in 0..STARTS {
        let mut point = start::random(&task, &mut sequence, &mut programs)
            .and_then(|from| refine::descend(&task, &from, &mut programs));
        at_once += usize::from(point.as_ref().is_some_and(there));
        for _ in 0..AGAIN {
            match point.as_ref() {
                Some(stopped) if !there(stopped) => {
                    assert!(
                        stopped.missed > refine::MET || stopped.goal > optimum * (1.0 - AGREE),
                        "{} is below the certified optimum",
                        stopped.goal
                    );
                    point = refine::descend(&task, &stopped.x, &mut programs);
                }
                _ => break,
            }
        }
        at_last += usize::from(point.as_ref().is_some_and(there));
    }
    (at_once, at_last)
}

#[test]
fn random_starts_reach_one_optimum() -> Result<(), Box<dyn Error>> {
    let mut seen = Vec::new();
    for path in files()? {
        let (p, name) = (problem(&path), name(&path));
        if NO_DESCENT.contains(&name.as_str()) {
            continue;
        }
        let expected = REACHED.iter().find(|(of, _)| *of == name);
        let (_, least) = expected.ok_or(format!("{name}: not in the table"))?;
        let (value, _) = objective(&path).ok_or(format!("{name}: no `# objective:`"))?;
        let (at_once, at_last) = descents(&p, value);
        seen.push(format!("{name}: {at_once} at once, {at_last} at last"));
        assert!(at_once >= *least, "{seen:?}");
        assert!(at_last + STILL_SHORT >= STARTS, "{seen:?}");
    }
    assert_eq!(seen.len(), REACHED.len(), "{seen:?}");
    Ok(())
}

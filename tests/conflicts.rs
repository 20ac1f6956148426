//! Why there is no recipe, and what would have to give: each claim asked again of a search that knows
//! nothing of it.
//!
//! Sources: published irreducible sets (`tests/blends/iis`, `tests/blends/programs`, each file names
//! its source), hand-made problems (`tests/conflicts`), and random ones.

mod support;

use serde_json::Value;
use std::collections::BTreeSet;
use std::error::Error;
use std::fs;
use std::path::{Path, PathBuf};
use treatrate::declare::problem::Problem;
use treatrate::declare::read;
use treatrate::declare::requirement::{self, Requirement};
use treatrate::explain::conflict::{Asked, Refusal, explain};
use treatrate::explain::lever::Change;
use treatrate::explain::remedy::{self, Remedy};
use treatrate::solve::answer::Status;
use treatrate::solve::conflict::Conflict;
use treatrate::solve::filter::{self, Kept, Oracle, Probe};
use treatrate::solve::linear::{self, Found};
use treatrate::solve::program::{Program, Row};
use treatrate::solve::search::{Budget, cheapest};

/// Random problems without a recipe whose first reason is checked.
const RANDOM: usize = 500;

/// Every so-manieth of them is explained in full, and its remedies checked.
const EXPLAINED: usize = 6;

/// Random problems whose outcome is not settled within this many regions are passed over.
const REGIONS: usize = 5_000;

/// Width of the box of programs whose variables have no bounds; `tests/programs.rs` shows that it plays
/// no part.
const BOX: f64 = 1e4;

type Tested = Result<(), Box<dyn Error>>;

fn file(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join(name)
}

fn files(folder: &str) -> Result<Vec<PathBuf>, Box<dyn Error>> {
    let mut all: Vec<PathBuf> = fs::read_dir(file(folder))?
        .map(|entry| entry.map(|e| e.path()))
        .collect::<Result<_, _>>()?;
    all.retain(|path| path.extension().is_some_and(|e| e == "toml"));
    all.sort();
    assert!(!all.is_empty(), "{folder}");
    Ok(all)
}

fn problem(path: &Path) -> Problem {
    match read::problem(path) {
        Ok((problem, _)) => problem,
        Err(faults) => panic!("{}: {faults:?}", path.display()),
    }
}

/// Whether a problem has a recipe, by the whole search.
fn has_recipe(p: &Problem) -> Option<bool> {
    match cheapest(p, &Budget::default()).outcome() {
        Status::Optimal | Status::Feasible => Some(true),
        Status::NoRecipe => Some(false),
        Status::Undecided => None,
    }
}

/// A reason leaves no recipe on its own, and one without any member that is called needed. Returns how
/// many members were checked.
fn holds(place: &str, p: &Problem, reason: &Conflict) -> usize {
    let named = reason.requirements();
    let alone = requirement::keeping(p, &named);
    assert_eq!(
        has_recipe(&alone),
        Some(false),
        "{place}: {:?} alone",
        reason.parties()
    );
    let mut checked = 0;
    for member in &reason.members {
        if !member.needed || member.requirement == Requirement::Whole {
            continue;
        }
        let rest: Vec<Requirement> = named
            .iter()
            .filter(|r| **r != member.requirement)
            .copied()
            .collect();
        let rest = requirement::keeping(p, &rest);
        assert_eq!(
            has_recipe(&rest),
            Some(true),
            "{place}: {:?} could be spared",
            member.party
        );
        checked += 1;
    }
    checked
}

/// A remedy brings a recipe; a hundredth less, where it is called least, does not.
fn heals(place: &str, p: &Problem, remedy: &Remedy) {
    let told: Vec<String> = remedy
        .changes
        .iter()
        .map(|c| format!("{:?} {:?} to {:?}", c.lever.bounds, c.lever.from, c.to))
        .collect();
    let healed = remedy::with(p, remedy, 1.0);
    let answer = cheapest(&healed, &Budget::default());
    assert_eq!(answer.outcome(), Status::Optimal, "{place}: {told:?}");
    let (found, said) = (answer.objective, remedy.answer.objective);
    let apart = found
        .zip(said)
        .map(|(a, b)| (a - b).abs() / a.abs().max(1e-9));
    assert!(
        apart.is_some_and(|d| d <= 3e-4),
        "{place}: {told:?}: {found:?}, said {said:?}"
    );
    if remedy.least {
        let shorter = remedy::shortened(p, remedy);
        assert_eq!(has_recipe(&shorter), Some(false), "{place}: {told:?}");
    }
}

fn refusal(place: &str, p: &Problem) -> Refusal {
    let explained = explain(p, &Asked::default());
    assert_eq!(explained.answer.outcome(), Status::NoRecipe, "{place}");
    explained.refusal.expect("a refusal has its reasons")
}

/// Checks all that is said of a problem.
fn sound(place: &str, p: &Problem) -> Refusal {
    let told = refusal(place, p);
    assert!(!told.sets.is_empty(), "{place}");
    for set in &told.sets {
        holds(place, p, set);
    }
    for remedy in told.remedies.iter().chain(&told.everywhere) {
        heals(place, p, remedy);
    }
    for wanted in &told.wanted {
        assert_eq!(has_recipe(&wanted.problem), Some(true), "{place}");
        assert!(!wanted.figures.is_empty() && wanted.part <= 0.5, "{place}");
    }
    told
}

/// How many of a refusal's remedies were proved least.
fn least(told: &Refusal) -> usize {
    told.remedies.iter().filter(|r| r.least).count()
}

#[test]
fn what_files_without_a_recipe_are_told_holds() -> Tested {
    let mut all = files("tests/conflicts")?;
    all.extend(files("tests/blends/iis")?);
    all.push(file("tests/blends/regions/box-sum-over-one.toml"));
    all.push(file("problems/impossible-0w-20.toml"));
    for path in all {
        let place = path.display().to_string();
        let p = problem(&path);
        let told = sound(&place, &p);
        assert!(told.complete, "{place}");
        assert!(told.sets.iter().all(Conflict::irreducible), "{place}");
        assert!(!told.remedies.is_empty(), "{place}");
        assert_eq!(least(&told), told.remedies.len(), "{place}");
    }
    Ok(())
}

#[test]
fn the_first_reason_of_random_problems_holds() {
    let (mut found, mut members, mut irreducible) = (0, 0, 0);
    let mut seed = 0;
    while found < RANDOM {
        seed += 1;
        assert!(seed < 40 * u64::try_from(RANDOM).unwrap_or(1));
        let polymers = usize::from(seed % 4 == 0);
        let components = 5 + usize::try_from(seed % 5).unwrap_or(0);
        let mut p = support::problem(seed, components, polymers, true);
        if seed % 7 == 0 {
            support::rules::add(&mut support::Random::new(seed), &mut p);
        }
        let budget = Budget {
            nodes: REGIONS,
            ..Budget::default()
        };
        let answer = cheapest(&p, &budget);
        if answer.outcome() != Status::NoRecipe {
            continue;
        }
        found += 1;
        let reason = Conflict::of_answer(&p, &answer);
        assert_eq!(reason.members.len(), answer.conflict.len());
        members += holds(&format!("seed {seed}"), &p, &reason);
        irreducible += usize::from(reason.irreducible());
        if found % EXPLAINED == 0 {
            sound(&format!("seed {seed}"), &p);
        }
    }
    assert!(members >= RANDOM, "{members} members");
    assert!(irreducible * 100 >= found * 98, "{irreducible} of {found}");
}

#[test]
fn rules_and_stock_give_in_their_own_measure() {
    let p = problem(&file("tests/conflicts/few-and-few-left.toml"));
    let told = refusal("few-and-few-left", &p);
    assert!(told.sets.len() > 1);
    for (k, set) in told.sets.iter().enumerate() {
        let others = told.sets.iter().skip(k + 1);
        assert!(
            others
                .into_iter()
                .all(|o| o.requirements() != set.requirements())
        );
    }
    let changes: Vec<&Change> = told.remedies.iter().flat_map(|r| &r.changes).collect();
    // Base stock, package, molybdenum, pour depressant, and the stock that must go in.
    let count = changes.iter().find(|c| c.lever.bounds.is_none());
    let count = count.and_then(|c| c.to).expect("the rule may give");
    assert!((count - 5.0).abs() < 1e-9, "{count}");
    // 60 kg are there: so many more kg make the treat rate of an 800 kg batch.
    let stock = changes.iter().find(|c| c.more_kg.is_some());
    let stock = stock.expect("the stock may give");
    let (kg, to) = stock.more_kg.zip(stock.to).expect("a stock has a number");
    assert!((kg - (8.0 * to - 60.0)).abs() < 1e-6, "{kg} kg for {to} %");
}

#[test]
fn less_than_a_test_can_see_is_told_as_little() {
    let p = problem(&file("problems/impossible-0w-20.toml"));
    let told = refusal("impossible-0w-20", &p);
    assert_eq!(told.sets.len(), 1);
    let all = told.everywhere.as_ref().expect("both may give a little");
    let steps: Vec<f64> = all.changes.iter().filter_map(|c| c.steps).collect();
    assert_eq!(steps.len(), 2);
    assert!(steps.iter().all(|s| *s < 1.0), "{steps:?}");
    let single = told
        .remedies
        .iter()
        .filter_map(|r| r.steps)
        .fold(f64::INFINITY, f64::min);
    assert!(
        steps.iter().all(|s| *s < single),
        "{steps:?}, alone {single}"
    );
    assert_eq!(told.wanted.len(), 3);
}

/// A published program over the constraints kept.
struct Published {
    names: Vec<String>,
    constraints: Vec<Row>,
}

impl Published {
    fn read(json: &Value) -> Self {
        let vars: Vec<&str> = list(&json["vars"])
            .iter()
            .filter_map(Value::as_str)
            .collect();
        let row = |c: &Value| {
            let rhs = c["rhs"].as_f64().expect("a number");
            let of = |name: &&str| c["coef"][*name].as_f64().unwrap_or(0.0);
            let (lower, upper) = match c["sense"].as_str() {
                Some("<=") => (f64::NEG_INFINITY, rhs),
                Some(">=") => (rhs, f64::INFINITY),
                _ => (rhs, rhs),
            };
            Row {
                coefficients: vars.iter().map(of).collect(),
                lower,
                upper,
            }
        };
        let constraints = list(&json["constraints"]);
        Published {
            names: constraints
                .iter()
                .filter_map(|c| c["name"].as_str().map(str::to_owned))
                .collect(),
            constraints: constraints.iter().map(row).collect(),
        }
    }
}

impl Oracle<usize> for Published {
    fn probe(&mut self, kept: &[usize]) -> Probe {
        let width = self.constraints[0].coefficients.len();
        let program = Program {
            cost: vec![0.0; width],
            lower: vec![-BOX; width],
            upper: vec![BOX; width],
            rows: kept.iter().map(|k| self.constraints[*k].clone()).collect(),
        };
        match linear::solve(&program) {
            Found::Best { .. } => Probe::Possible,
            Found::Empty(_) => Probe::Impossible,
            Found::Unknown => Probe::Unknown,
        }
    }
}

fn list(json: &Value) -> &[Value] {
    json.as_array().map_or(&[], Vec::as_slice)
}

#[test]
fn every_irreducible_set_of_published_programs_is_found() -> Tested {
    let all = [
        "highs-row2.json",
        "sas-two-caps.json",
        "ampl-relax.json",
        "highs-light.json",
        "sas-lpsole04.json",
    ];
    for name in all {
        let text = fs::read_to_string(file("tests/blends/programs").join(name))?;
        let json: Value = serde_json::from_str(&text)?;
        let mut published = Published::read(&json);
        let items: Vec<usize> = (0..published.names.len()).collect();
        let first: Vec<Kept<usize>> = published.reduce(items.clone());
        let found = filter::several(&items, vec![first], 20, 500, &mut published);
        assert!(found.complete, "{name}");
        assert!(
            found.sets.iter().flatten().all(|kept| kept.needed),
            "{name}"
        );
        let named = |set: &Vec<Kept<usize>>| -> BTreeSet<String> {
            set.iter()
                .map(|k| published.names[k.item].clone())
                .collect()
        };
        let found: BTreeSet<BTreeSet<String>> = found.sets.iter().map(named).collect();
        let stated: BTreeSet<BTreeSet<String>> = list(&json["irreducible"])
            .iter()
            .map(|set| {
                let names = list(set).iter().filter_map(Value::as_str);
                names.map(str::to_owned).collect()
            })
            .collect();
        assert_eq!(found, stated, "{name}");
    }
    Ok(())
}

//! Published blending problems, written as problem files, against their published answers.
//!
//! Each file of `tests/blends` names its source and its optimum; `regions` are constrained mixture
//! regions whose vertices are known, so that for any prices the cheapest recipe is the cheapest
//! vertex; `iis` are problems without a recipe. `tests/programs.rs` tries what no problem file can say.

mod support;

use std::error::Error;
use std::fs;
use std::path::{Path, PathBuf};
use support::{Random, state};
use treatrate::declare::component::{Edge, EdgeSource};
use treatrate::declare::problem::{Problem, Side};
use treatrate::declare::property::Datum;
use treatrate::declare::read;
use treatrate::quantity::Share;
use treatrate::solve::answer::{Answer, Party, Status};
use treatrate::solve::search::{Budget, cheapest};

/// Relative agreement of an optimum with the published one.
const AGREE: f64 = 1e-6;

/// The same for a region's vertices, printed to ten digits.
const VERTEX_AGREE: f64 = 1e-9;

/// A proof asked to this gap, so that the value found is the optimum itself.
const GAP: f64 = 1e-9;

/// Random prices tried on each region.
const PRICES: usize = 120;

type Tested = Result<(), Box<dyn Error>>;

fn files(under: &str) -> Result<Vec<PathBuf>, Box<dyn Error>> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("tests/blends")
        .join(under);
    let mut all: Vec<PathBuf> = fs::read_dir(folder)?
        .map(|entry| entry.map(|e| e.path()))
        .collect::<Result<_, _>>()?;
    all.retain(|path| path.extension().is_some_and(|e| e == "toml"));
    all.sort();
    assert!(!all.is_empty(), "{under}");
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

fn answer(p: &Problem) -> Answer {
    let budget = Budget {
        proof: Some(GAP),
        ..Budget::default()
    };
    cheapest(p, &budget)
}

/// The file's answer, held to its header: how it ends, and the optimum.
fn as_stated(path: &Path) -> Tested {
    let place = path.display();
    assert!(header(path, "source").is_some(), "{place}: no source");
    let p = problem(path);
    let answer = answer(&p);
    match header(path, "expect").as_deref() {
        Some("feasible") => {
            assert_eq!(answer.outcome(), Status::Optimal, "{place}");
            let stated = header(path, "objective").ok_or(format!("{place}: no objective"))?;
            let stated: f64 = stated.parse()?;
            let found = answer.objective.ok_or("an optimum without a value")?;
            assert!(
                (found - stated).abs() <= AGREE * stated.abs(),
                "{place}: {found}, not {stated}"
            );
        }
        Some("no-recipe") => {
            assert_eq!(answer.outcome(), Status::NoRecipe, "{place}");
            assert!(!answer.conflict.is_empty(), "{place}: no reason given");
        }
        other => return Err(format!("{place}: `# expect: {other:?}`").into()),
    }
    Ok(())
}

#[test]
fn published_optima_are_found() -> Tested {
    let all = files("")?;
    assert!(all.len() >= 11, "{all:?}");
    all.iter().try_for_each(|path| as_stated(path))
}

/// At most four of six, each by at least a dose, and two that need a third: the published logic.
#[test]
fn recipe_logic_is_solved_exactly() -> Tested {
    const PUBLISHED: f64 = 32.2;
    const EXACTLY: f64 = 1e-9;
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/blends");
    let mut p = problem(&folder.join("williams-single-logic.toml"));
    let answer = cheapest(&p, &Budget::default());
    assert_eq!(answer.outcome(), Status::Optimal);
    let found = answer.objective.ok_or("an optimum without a value")?;
    assert!((found - PUBLISHED).abs() <= EXACTLY, "{found}");
    let judgement = answer.judgement.ok_or("an optimum without a judgement")?;
    assert_eq!(judgement.rules.len(), 3);
    assert!(judgement.rules.iter().all(|rule| rule.holds));
    // The rules cost something, or this would test nothing.
    p.rules.clear();
    p.bands.iter_mut().for_each(|band| band.if_used = None);
    let free = cheapest(&p, &Budget::default()).objective;
    let free = free.ok_or("an optimum without a value")?;
    assert!(free > PUBLISHED * 1.001, "{free}");
    Ok(())
}

#[test]
fn regions_answer_as_their_headers_say() -> Tested {
    files("regions")?
        .iter()
        .try_for_each(|path| as_stated(path))
}

/// The components of a region, and its vertices in their mass fractions.
type Region = (Vec<String>, Vec<Vec<f64>>);

/// Reads a region's vertices; their columns are headed by the components' ids.
fn vertices(path: &Path) -> Result<Region, Box<dyn Error>> {
    let text = fs::read_to_string(path)?;
    let mut lines = text.lines().filter(|l| !l.starts_with('#'));
    let ids = lines.next().ok_or("no head")?.split(',').map(str::to_owned);
    let ids = ids.collect();
    let mut all = Vec::new();
    for line in lines {
        let cells: Result<Vec<f64>, _> = line.split(',').map(str::parse).collect();
        all.push(cells?);
    }
    Ok((ids, all))
}

#[test]
fn for_any_prices_the_cheapest_recipe_is_the_cheapest_vertex() -> Tested {
    let mut tried = 0;
    for (k, path) in files("regions")?.iter().enumerate() {
        let Some(name) = header(path, "vertices") else {
            continue;
        };
        let (ids, all) = vertices(&path.with_file_name(name))?;
        let mut p = problem(path);
        let mut random = Random::new(500 + u64::try_from(k)?);
        for _ in 0..PRICES {
            let prices: Vec<f64> = ids.iter().map(|_| random.between(0.5, 2.0)).collect();
            for (id, price) in ids.iter().zip(&prices) {
                let j = p.component(id).ok_or("a column without a component")?;
                state(&mut p.components[j], Datum::Price, *price);
            }
            let cost = |v: &Vec<f64>| v.iter().zip(&prices).map(|(x, c)| x * c).sum::<f64>();
            let least = all.iter().map(cost).fold(f64::INFINITY, f64::min);
            let answer = answer(&p);
            assert_eq!(answer.outcome(), Status::Optimal, "{}", path.display());
            let found = answer.objective.ok_or("an optimum without a value")?;
            assert!(
                (found - least).abs() <= VERTEX_AGREE * least,
                "{}: {found}, not {least} at {prices:?}",
                path.display()
            );
        }
        tried += 1;
    }
    assert!(tried >= 6, "{tried} regions with vertices");
    Ok(())
}

/// Takes a requirement out of a problem.
fn drop_party(p: &mut Problem, party: &Party) {
    let natural = |share| Edge {
        share,
        source: EdgeSource::Natural,
        place: None,
    };
    match party {
        Party::Limit { property, side, .. } => p
            .limits
            .retain(|l| l.property != *property || l.side != *side),
        Party::Band {
            component, side, ..
        } => {
            let j = p.component(component).expect("a component of the problem");
            match side {
                Side::Min => p.bands[j].min = natural(Share::NONE),
                Side::Max => p.bands[j].max = natural(Share::WHOLE),
            }
        }
        // No problem can be asked without it.
        Party::Whole | Party::Rule(_) | Party::IfUsed { .. } => {}
    }
}

/// Every requirement of a problem, as the party that a conflict would name it.
fn requirements(p: &Problem) -> Vec<Party> {
    let limits = p.limits.iter().map(|l| Party::Limit {
        property: l.property.clone(),
        side: l.side,
        strict: l.strict,
        stated: l.stated,
        unit: p.unit(&l.property),
        source: l.source.clone(),
    });
    let edges = p.components.iter().zip(&p.bands).flat_map(|(c, band)| {
        [(Side::Min, &band.min), (Side::Max, &band.max)].map(|(side, edge)| Party::Band {
            component: c.id.clone(),
            side,
            percent: edge.share.percent(),
            source: edge.source,
        })
    });
    limits.chain(edges).collect()
}

/// Whether two parties are the same requirement, whatever the words.
fn same(a: &Party, b: &Party) -> bool {
    match (a, b) {
        (
            Party::Limit { property, side, .. },
            Party::Limit {
                property: other,
                side: other_side,
                ..
            },
        ) => property == other && side == other_side,
        (
            Party::Band {
                component, side, ..
            },
            Party::Band {
                component: other,
                side: other_side,
                ..
            },
        ) => component == other && side == other_side,
        (Party::Whole, Party::Whole) => true,
        _ => false,
    }
}

#[test]
fn a_conflict_names_nothing_that_could_be_spared() -> Tested {
    let empty = Path::new(env!("CARGO_MANIFEST_DIR"));
    let mut all = files("iis")?;
    all.push(empty.join("tests/blends/regions/box-sum-over-one.toml"));
    all.push(empty.join("problems/impossible-0w-20.toml"));
    for path in all {
        let place = path.display();
        let p = problem(&path);
        let whole = answer(&p);
        assert_eq!(whole.outcome(), Status::NoRecipe, "{place}");
        let parties = whole.conflict;
        assert!(!parties.is_empty(), "{place}: no reason given");

        let mut alone = p.clone();
        for other in requirements(&p) {
            if !parties.iter().any(|party| same(party, &other)) {
                drop_party(&mut alone, &other);
            }
        }
        assert_eq!(
            answer(&alone).outcome(),
            Status::NoRecipe,
            "{place}: {parties:?} alone leave a recipe"
        );
        for party in parties.iter().filter(|party| **party != Party::Whole) {
            let mut without = alone.clone();
            drop_party(&mut without, party);
            assert_eq!(
                answer(&without).outcome(),
                Status::Optimal,
                "{place}: {party:?} could be spared"
            );
        }
    }
    Ok(())
}

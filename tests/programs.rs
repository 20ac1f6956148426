//! Published linear programs that no problem file can say, solved by `solve::linear` alone. Each file of
//! `tests/blends/programs` names its source.

use serde_json::Value;
use std::error::Error;
use std::fs;
use std::path::Path;
use treatrate::solve::linear;
use treatrate::solve::linear::{Found, Growing};
use treatrate::solve::program::{Program, Row};
use treatrate::solve::simplex;
use treatrate::solve::simplex::Solved;

/// Relative agreement with the published optimum.
const AGREE: f64 = 1e-6;

/// Row violation, over the row's scale, of a point that is called a solution.
const MET: f64 = 1e-9;

/// Every variable of the programs without a point lies within this of 0, far beyond what their
/// numbers, below 250, ask for; [`FARTHER`] shows that it plays no part in the proof.
const BOX: f64 = 1e4;

/// A proof of emptiness must still hold in a box this many times as wide.
const FARTHER: f64 = 1e3;

type Tested = Result<(), Box<dyn Error>>;

fn file(name: &str) -> Result<Value, Box<dyn Error>> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/blends/programs");
    let json: Value = serde_json::from_str(&fs::read_to_string(folder.join(name))?)?;
    let source = json["source"].as_str().unwrap_or_default();
    assert!(!source.is_empty(), "{name}: no source");
    Ok(json)
}

fn list(json: &Value) -> &[Value] {
    json.as_array().map_or(&[], Vec::as_slice)
}

fn coefficients(row: &Value, names: &[&str]) -> Vec<f64> {
    names
        .iter()
        .map(|name| row["coef"][name].as_f64().unwrap_or(0.0))
        .collect()
}

/// A six-month plan of buying, storing and blending five oils (Williams, section 12.1).
///
/// What is bought and used has no upper bound in the source. The rows bound it: at most 250 t of all
/// oils of a kind are used in a month, and what is bought is used or goes into a store of 1000 t.
const MOST_BOUGHT: f64 = 250.0 + 1000.0;

fn six_months(json: &Value) -> Program {
    let vars = list(&json["vars"]);
    let names: Vec<&str> = vars.iter().filter_map(|v| v["name"].as_str()).collect();
    assert_eq!(names.len(), vars.len());
    let of = |v: &Value, key: &str, or: f64| v[key].as_f64().unwrap_or(or);
    Program {
        // The source maximises.
        cost: vars.iter().map(|v| -of(v, "cost", 0.0)).collect(),
        lower: vars.iter().map(|v| of(v, "lo", 0.0)).collect(),
        upper: vars.iter().map(|v| of(v, "hi", MOST_BOUGHT)).collect(),
        rows: list(&json["rows"])
            .iter()
            .map(|row| Row {
                coefficients: coefficients(row, &names),
                lower: of(row, "lo", f64::NEG_INFINITY),
                upper: of(row, "hi", f64::INFINITY),
            })
            .collect(),
    }
}

/// A found optimum, held against the published one.
fn is_stated(json: &Value, program: &Program, found: &Found) -> Tested {
    let stated = json["objective"].as_f64().ok_or("no objective")?;
    let Found::Best { x, bound, .. } = found else {
        return Err("not solved".into());
    };
    assert!(program.violation(x) <= MET, "{}", program.violation(x));
    let found = -program.goal(x);
    assert!((found - stated).abs() <= AGREE * stated, "{found}");
    assert!(
        -bound >= found && -bound <= stated * (1.0 + AGREE),
        "{bound}"
    );
    Ok(())
}

#[test]
fn six_months_of_food_manufacture() -> Tested {
    let json = file("williams-food-1.json")?;
    let program = six_months(&json);
    is_stated(&json, &program, &linear::solve(&program))
}

/// Rows that come after a program was solved change its answer as if they had been there: by the method that
/// goes on from the last answer alone, and with its checks.
#[test]
fn rows_that_come_later_count_as_much() -> Tested {
    let json = file("williams-food-1.json")?;
    let whole = six_months(&json);
    for first in [0, 1, whole.rows.len() / 2] {
        let mut program = whole.clone();
        let rest = program.rows.split_off(first);
        let (mut growing, _) = Growing::begin(program.clone());
        is_stated(&json, &whole, &growing.and(rest.clone()))?;

        let (mut series, mut solved) = simplex::Series::begin(&program);
        for row in &rest {
            assert!(matches!(solved, Solved::Best(..)), "{solved:?}");
            solved = series.and(row);
        }
        let Solved::Best(x, _) = solved else {
            return Err("not solved".into());
        };
        assert!(whole.violation(&x) <= MET, "{}", whole.violation(&x));
        let stated = json["objective"].as_f64().ok_or("no objective")?;
        let found = -whole.goal(&x);
        assert!((found - stated).abs() <= AGREE * stated, "{found}");
    }
    Ok(())
}

/// The rows of the constraints with these names, over free variables in a box.
fn boxed(json: &Value, kept: &[&str]) -> Program {
    let names: Vec<&str> = list(&json["vars"])
        .iter()
        .filter_map(Value::as_str)
        .collect();
    let rows = list(&json["constraints"])
        .iter()
        .filter(|c| c["name"].as_str().is_some_and(|n| kept.contains(&n)))
        .map(|c| {
            let rhs = c["rhs"].as_f64().expect("a number");
            let (lower, upper) = match c["sense"].as_str() {
                Some("<=") => (f64::NEG_INFINITY, rhs),
                Some(">=") => (rhs, f64::INFINITY),
                other => panic!("{other:?}"),
            };
            Row {
                coefficients: coefficients(c, &names),
                lower,
                upper,
            }
        })
        .collect();
    Program {
        cost: vec![0.0; names.len()],
        lower: vec![-BOX; names.len()],
        upper: vec![BOX; names.len()],
        rows,
    }
}

/// Whether multipliers show by plain arithmetic that no point of a box this wide meets the rows: their
/// sum asks for more than the box can give.
fn proves(program: &Program, y: &[f64], width: f64) -> bool {
    let mut sum = vec![0.0; program.width()];
    let mut asked = 0.0;
    for (row, y) in program.rows.iter().zip(y) {
        let side = if *y > 0.0 { row.lower } else { row.upper };
        if y.abs() > 0.0 {
            asked += y * side;
        }
        for (s, a) in sum.iter_mut().zip(&row.coefficients) {
            *s += y * a;
        }
    }
    let most: f64 = sum.iter().map(|s| s.abs() * width).sum();
    asked.is_finite() && asked > most
}

fn empty(name: &str, json: &Value, kept: &[&str]) {
    let program = boxed(json, kept);
    assert!(linear::is_empty(&program), "{name}: {kept:?}");
    let Found::Empty(y) = linear::solve(&program) else {
        panic!("{name}: {kept:?}: no multipliers");
    };
    for width in [BOX, BOX * FARTHER] {
        assert!(proves(&program, &y, width), "{name}: {kept:?}: {y:?}");
    }
}

#[test]
fn programs_without_a_point_are_proved_so() -> Tested {
    for name in [
        "highs-row2.json",
        "sas-two-caps.json",
        "ampl-relax.json",
        "highs-light.json",
        "sas-lpsole04.json",
    ] {
        let json = file(name)?;
        let names = |set: &Value| -> Vec<String> {
            let all = list(set).iter().filter_map(Value::as_str);
            all.map(str::to_owned).collect()
        };
        let every: Vec<&str> = list(&json["constraints"])
            .iter()
            .filter_map(|c| c["name"].as_str())
            .collect();
        empty(name, &json, &every);
        let sets = list(&json["irreducible"]);
        assert!(!sets.is_empty(), "{name}");
        for set in sets {
            let set = names(set);
            let set: Vec<&str> = set.iter().map(String::as_str).collect();
            empty(name, &json, &set);
            for dropped in &set {
                let rest: Vec<&str> = set.iter().filter(|c| *c != dropped).copied().collect();
                let program = boxed(&json, &rest);
                let Found::Best { x, .. } = linear::solve(&program) else {
                    panic!("{name}: without {dropped} a point is left, and none was found");
                };
                assert!(program.violation(&x) <= MET, "{name}: {x:?}");
            }
        }
    }
    Ok(())
}

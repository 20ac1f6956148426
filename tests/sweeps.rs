//! Sweeps against independent solves of edited files, breakpoints from both sides and by hand.

mod support;

use std::cell::Cell;
use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};
use std::sync::atomic::AtomicBool;
use support::Random;
use toml::{Table, Value};
use treatrate::declare::dial::Setting;
use treatrate::declare::problem::{Problem, Side};
use treatrate::declare::property::Property;
use treatrate::declare::read;
use treatrate::declare::read::varied;
use treatrate::fault::{Code, Fault};
use treatrate::report::drawn;
use treatrate::report::keys;
use treatrate::report::picture::data::{Along, Picture, Stretch};
use treatrate::report::text;
use treatrate::solve::answer::{Answer, Party, Status};
use treatrate::solve::conflict;
use treatrate::solve::search::{Budget, cheapest};
use treatrate::standard::element::Element;
use treatrate::study::sweep::breaks::{Break, Signature, Turn};
use treatrate::study::sweep::kept::{Sweep, sweep};
use treatrate::study::sweep::plan::{CHUNK, Plan};
use treatrate::study::sweep::row::Row;
use treatrate::study::sweep::run::{AHEAD, Orders, run};

/// Gap of both proofs of a value, relative; two proved values differ by twice as much at most.
const GAP: f64 = 1e-5;

/// Nobody asks any of these sweeps to end.
static NEVER: AtomicBool = AtomicBool::new(false);

fn orders(threads: usize) -> Orders<'static> {
    Orders {
        budget: Budget {
            proof: Some(GAP),
            ..Budget::default()
        },
        reasons: true,
        threads,
        cancel: &NEVER,
        deadline: None,
    }
}

fn problems() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("problems")
}

fn shipped(name: &str) -> Problem {
    let path = problems().join(name).with_extension("toml");
    read::problem(&path).expect("a shipped problem").0
}

fn plan(problem: &Problem, vary: &[&str], points: usize) -> Plan {
    let dials: Vec<_> = vary
        .iter()
        .map(|text| varied::vary(problem, text, points).expect("a path and a range"))
        .collect();
    Plan::new(
        varied::prepared(problem, &dials).expect("sound values"),
        dials,
    )
}

fn swept(problem: &Problem, vary: &[&str], points: usize) -> Sweep {
    sweep(plan(problem, vary, points), &orders(2), true, &mut |_| ())
}

/// One number in a file: the keys that lead to it in the problem, or below a component of a shelf.
enum Place {
    Problem(&'static [&'static str]),
    Shelf(&'static str, &'static [&'static str]),
}

/// Puts a value where keys lead.
fn put(table: &mut Table, keys: &[&str], value: Value) {
    match keys {
        [] => {}
        [last] => {
            table.insert((*last).into(), value);
        }
        [first, rest @ ..] => {
            let inner = table
                .entry((*first).to_owned())
                .or_insert_with(|| Value::Table(Table::new()));
            put(inner.as_table_mut().expect("a table"), rest, value);
        }
    }
}

fn parsed(path: &Path) -> Table {
    let text = fs::read_to_string(path).expect("a shipped file");
    text.parse().expect("TOML")
}

/// The problem that the files would be read as with another value in them: what dials never see. None
/// where the files would be refused because a minimum lies above its maximum.
fn edited(name: &str, places: &[Place], value: &Value) -> Option<Problem> {
    let folder = tempfile::tempdir().expect("a folder");
    let mut problem = parsed(&problems().join(name).with_extension("toml"));
    let mut shelves: Vec<(String, Table)> = problem["shelf"]
        .as_array()
        .expect("a list")
        .iter()
        .map(|shelf| {
            let shelf = shelf.as_str().expect("a path");
            (shelf.replace('/', "-"), parsed(&problems().join(shelf)))
        })
        .collect();
    let names = shelves.iter().map(|(name, _)| Value::from(name.as_str()));
    problem.insert("shelf".into(), Value::Array(names.collect()));
    for place in places {
        match place {
            Place::Problem(keys) => put(&mut problem, keys, value.clone()),
            Place::Shelf(id, keys) => {
                let components = shelves
                    .iter_mut()
                    .flat_map(|(_, shelf)| shelf["component"].as_array_mut().expect("a list"));
                for component in components {
                    let component = component.as_table_mut().expect("a table");
                    if component["id"].as_str() == Some(id) {
                        put(component, keys, value.clone());
                    }
                }
            }
        }
    }
    for (name, shelf) in &shelves {
        fs::write(folder.path().join(name), shelf.to_string()).expect("written");
    }
    let path = folder.path().join("problem.toml");
    fs::write(&path, problem.to_string()).expect("written");
    match read::problem(&path) {
        Ok((problem, _)) => Some(problem),
        Err(told) => {
            let empty = |fault: &Fault| fault.code == Code::EmptyBand;
            assert!(told.faults.iter().all(empty), "{:?}", told.faults);
            None
        }
    }
}

fn value(setting: &Setting, mass: bool) -> Value {
    match setting {
        Setting::Number(number) if mass => Value::String(format!("{number} kg")),
        Setting::Number(number) if number.fract().abs() <= 0.0 => {
            // A count must be whole; anything else may be.
            #[expect(clippy::cast_possible_truncation, reason = "whole and small")]
            let whole = *number as i64;
            Value::Integer(whole)
        }
        Setting::Number(number) => Value::Float(*number),
        Setting::Word(word) => Value::String(word.clone()),
    }
}

fn certified(problem: &Problem) -> Answer {
    let budget = Budget {
        proof: Some(GAP),
        ..Budget::default()
    };
    cheapest(problem, &budget)
}

/// A shipped problem, what is varied, its points, and the same place in the files.
type Case = (&'static str, &'static str, usize, Place);

#[allow(clippy::too_many_lines, reason = "a table of cases")]
fn cases() -> Vec<Case> {
    use Place::{Problem, Shelf};
    vec![
        (
            "hill-climb-5w-50",
            "limits.p.max=700..900",
            17,
            Problem(&["limits", "p", "max"]),
        ),
        (
            "hill-climb-5w-50",
            "limits.hths.min=4.2..5.4",
            17,
            Problem(&["limits", "hths", "min"]),
        ),
        (
            "hill-climb-5w-50",
            "limits.mo/p.min=0..1.4",
            13,
            Problem(&["limits", "mo/p", "min"]),
        ),
        // Not limited by the problem; the grade's window of 6600 stays beside it.
        (
            "low-ash-5w-30",
            "limits.ccs@-30.max=3500..7500",
            13,
            Problem(&["limits", "ccs@-30", "max"]),
        ),
        (
            "low-ash-5w-30",
            "limits.noack.max=\"6..12 step 0.5\"",
            13,
            Problem(&["limits", "noack", "max"]),
        ),
        (
            "hill-climb-5w-50",
            "treat.package-full.min=7..11",
            13,
            Problem(&["treat", "package-full", "min"]),
        ),
        (
            "tow-truck-15w-40",
            "treat.package-diesel.max=12..14",
            11,
            Problem(&["treat", "package-diesel", "max"]),
        ),
        (
            "low-ash-5w-30",
            "shelf.pao-4.price=1.5..4",
            17,
            Shelf("pao-4", &["price"]),
        ),
        (
            "hill-climb-5w-50",
            "shelf.vm-pma.hths-loss=10 %..50 %",
            13,
            Shelf("vm-pma", &["polymer", "hths-loss"]),
        ),
        (
            "hill-climb-5w-50",
            "shelf.pao-4.kv100=3.8..4.4",
            13,
            Shelf("pao-4", &["kv100"]),
        ),
        (
            "ice-race-0w-30",
            "shelf.pao-4.ccs@-35=1000..2200",
            13,
            Shelf("pao-4", &["ccs", "-35"]),
        ),
        (
            "low-ash-5w-30",
            "shelf.package-low.p=0.6 %..0.9 %",
            13,
            Shelf("package-low", &["p"]),
        ),
        // Below the problem's own batch the stocks allow more than they do in the file.
        (
            "hill-climb-5w-50",
            "batch=5,10,20,60,100,150,200,400",
            8,
            Problem(&["batch"]),
        ),
        (
            "hill-climb-5w-50",
            "shelf.pao-6.stock=0..10",
            13,
            Shelf("pao-6", &["stock"]),
        ),
        (
            "low-ash-5w-30",
            "grade=5W-30,0W-30,0W-40,5W-40,10W-40",
            5,
            Problem(&["grade"]),
        ),
        (
            "low-ash-5w-30",
            "class=ACEA C3,ACEA C2,API SP,ACEA A3/B4",
            4,
            Problem(&["class"]),
        ),
        (
            "logic-demo",
            "rules.at-most=5..9",
            5,
            Problem(&["rules", "at-most"]),
        ),
        (
            "alloy-blend",
            "limits.tin.exactly=38..42",
            9,
            Problem(&["limits", "tin", "exactly"]),
        ),
    ]
}

#[test]
fn every_point_is_what_a_certified_solve_of_the_edited_files_says() {
    let (mut points, mut barren) = (0, 0);
    for (name, vary, count, place) in cases() {
        let vary = vary.replace('"', "");
        let problem = shipped(name);
        let found = sweep(
            plan(&problem, &[&vary], count),
            &orders(2),
            false,
            &mut |_| (),
        );
        assert_eq!(found.rows.len(), count, "{vary}");
        let places = [place];
        for row in &found.rows {
            let value = value(&row.at[0], vary.starts_with("batch"));
            let by_hand = edited_or_twice(name, &places, &value);
            let what = format!("{name}, {vary}, at {value}");
            let answer = by_hand.as_ref().map(certified);
            let status = answer.as_ref().map_or(Status::NoRecipe, Answer::outcome);
            assert_eq!(row.status, status, "{what}");
            points += 1;
            let objective = answer.and_then(|answer| answer.objective);
            let (Some(a), Some(b)) = (row.goal, objective) else {
                barren += 1;
                assert!(!row.conflict.is_empty(), "{what}: no reason");
                continue;
            };
            assert!((a - b).abs() <= 2.0 * GAP * b.abs(), "{what}: {a} and {b}");
        }
    }
    assert!(points >= 200, "{points} points");
    assert!(barren >= 10, "{barren} of them without a recipe");
}

/// `exactly` beside the file's own `min` and `max` would be a fault there: both are edited instead.
fn edited_or_twice(name: &str, places: &[Place], value: &Value) -> Option<Problem> {
    match places {
        [Place::Problem(["limits", "tin", "exactly"])] => edited(
            name,
            &[
                Place::Problem(&["limits", "tin", "min"]),
                Place::Problem(&["limits", "tin", "max"]),
            ],
            value,
        ),
        _ => edited(name, places, value),
    }
}

/// Whether there is a recipe, what it uses, which limits it stands on.
type Told = (bool, BTreeSet<String>, BTreeSet<String>);

fn none() -> Told {
    (false, BTreeSet::new(), BTreeSet::new())
}

/// What an answer uses and stands on, as keys.
fn told(problem: &Problem, answer: &Answer) -> Told {
    let recipe = answer
        .recipe
        .as_ref()
        .filter(|_| answer.outcome() != Status::NoRecipe);
    let Some((recipe, judgement)) = recipe.zip(answer.judgement.as_ref()) else {
        return none();
    };
    let used = recipe
        .shares()
        .iter()
        .zip(&problem.components)
        .filter(|(share, _)| share.fraction() > 1e-9)
        .map(|(_, component)| component.id.clone())
        .collect();
    let limits = judgement.requirements.iter().take(problem.limits.len());
    let held = limits
        .filter(|r| r.binding)
        .map(|r| format!("{} {} {}", r.property, r.side.key(), r.source_key()))
        .collect();
    (true, used, held)
}

trait SourceKey {
    fn source_key(&self) -> String;
}

impl SourceKey for treatrate::predict::value::Judged {
    /// Who set it, the dial and the file alike.
    fn source_key(&self) -> String {
        let source = format!("{:?}", self.source);
        source.replace("Asked", "Problem")
    }
}

/// A signature in the same keys.
fn signed(problem: &Problem, signature: &Signature) -> Told {
    use treatrate::declare::requirement::Requirement;
    use treatrate::predict::value::Source;
    let used = signature
        .used
        .iter()
        .map(|&j| problem.components[j].id.clone())
        .collect();
    let held = signature
        .held
        .iter()
        .filter_map(|r| match r {
            Requirement::Limit(l) => {
                let limit = &problem.limits[*l];
                let source = format!("{:?}", Source::Limit(limit.source.clone()));
                let source = source.replace("Asked", "Problem");
                Some(format!("{} {} {source}", limit.property, limit.side.key()))
            }
            _ => None,
        })
        .collect();
    (signature.recipe == Some(true), used, held)
}

#[test]
fn what_changes_is_so_on_both_sides_by_independent_solves() {
    let mut changes = 0;
    for (name, vary, _, place) in cases() {
        let vary = vary.replace('"', "");
        let problem = shipped(name);
        let one = plan(&problem, &[&vary], 9);
        let Some((_, stops)) = one.line() else {
            continue;
        };
        let ends = (stops.number(0), stops.number(stops.len() - 1));
        let (Some(first), Some(last)) = ends else {
            continue;
        };
        let range = last - first;
        let found = sweep(one.clone(), &orders(2), true, &mut |_| ());
        let places = [place];
        let mut edges = vec![first];
        edges.extend(found.breaks.iter().map(|b| b.at));
        edges.push(last);
        for (k, b) in found.breaks.iter().enumerate() {
            changes += 1;
            let room = (edges[k + 1] - edges[k]).min(edges[k + 2] - edges[k + 1]);
            let aside = (2e-4 * range).min(0.4 * room);
            // At the very end of the range there is no other side.
            if room.abs() < 1e-5 * range.abs() {
                continue;
            }
            for (at, signature) in [(b.at - aside, &b.before), (b.at + aside, &b.after)] {
                let by_hand = edited_or_twice(name, &places, &Value::Float(at));
                let told =
                    by_hand.map_or_else(none, |problem| told(&problem, &certified(&problem)));
                assert_eq!(
                    signed(found.plan.problem(), signature),
                    told,
                    "{name}, {vary}: {at}, beside {}",
                    b.at
                );
            }
        }
    }
    assert!(changes >= 30, "{changes} changes");
}

/// Three stocks with a figure q that mixes on mass: 0, 10 and 20 at prices 1, 3 and 6.
const BY_HAND: &str = r#"
    shelf = "shelf.toml"
    [property.q]
    unit = "%"
    rule = "mass-linear"
    [property.r]
    unit = "%"
    rule = "mass-linear"
    [limits]
    q = { min = 5 }
    r = { max = 100 }
"#;

fn by_hand(folder: &Path, problem: &str) -> Problem {
    let shelf = [("a", 1, 0, 0), ("b", 3, 10, 80), ("c", 6, 20, 0)]
        .map(|(id, price, q, r)| {
            format!("[[component]]\nid = \"{id}\"\nkind = \"other\"\nprice = {price}\nq = {q}\nr = {r}\n")
        })
        .concat();
    fs::write(
        folder.join("shelf.toml"),
        format!("properties = [\"q\", \"r\"]\n{shelf}"),
    )
    .expect("written");
    read::problem_from_text("by hand", problem, folder)
        .expect("no faults")
        .0
}

fn near(found: f64, by_hand: f64, range: f64) -> bool {
    (found - by_hand).abs() <= 2e-6 * range
}

/// The cheapest way to q = t is along the lower hull of (0, 1), (10, 3), (20, 6): a corner at 10, an end
/// at 20; b is on that hull while its price is below (1 + 6) / 2. Worked by hand.
#[test]
fn changes_by_hand_are_found_however_few_the_points() {
    let folder = tempfile::tempdir().expect("a folder");
    let problem = by_hand(folder.path(), BY_HAND);
    for points in [2, 3, 7, 40] {
        let found = swept(&problem, &["limits.q.min=1..25"], points);
        let at: Vec<f64> = found.breaks.iter().map(|b| b.at).collect();
        assert_eq!(at.len(), 2, "{at:?}");
        assert!(near(at[0], 10.0, 24.0) && near(at[1], 20.0, 24.0), "{at:?}");
        assert_eq!(found.breaks[0].turns, [Turn::Enters(2), Turn::Leaves(0)]);
        assert_eq!(found.breaks[1].turns, [Turn::NoRecipe]);
        let [barren] = found.barren.as_slice() else {
            panic!("one stretch without a recipe: {:?}", found.barren);
        };
        assert!(barren.proved && near(barren.from, 20.0, 24.0) && near(barren.to, 25.0, 24.0));
        assert!(!barren.reasons.is_empty());
        let told = text::sweep::sweep(&found);
        for words in [
            "c comes in; a drops out",
            "no recipe from here",
            "q must be at least",
        ] {
            let words = words
                .replace("c comes", "c (c) comes")
                .replace("; a drops", "; a (a) drops");
            let flat = told.split_whitespace().collect::<Vec<_>>().join(" ");
            assert!(flat.contains(&words), "{words}:\n{told}");
        }
    }
    let found = swept(&problem, &["shelf.b.price=2..5"], 4);
    let at: Vec<f64> = found.breaks.iter().map(|b| b.at).collect();
    assert!(at.len() == 1 && near(at[0], 3.5, 3.0), "{at:?}");
    assert!(found.breaks[0].turns.contains(&Turn::Jump));
    // And downwards, with the turns the other way about.
    let found = swept(&problem, &["limits.q.min=25..1"], 5);
    assert_eq!(found.breaks[0].turns, [Turn::Recipe]);
    assert!(near(found.breaks[1].at, 10.0, 24.0));
}

/// With r at most 60 %, b may be three quarters of the oil at most: all three are used for q from 7.5 to
/// 12.5. Two points on either side see nothing of it. Worked by hand: r = 80 b.
#[test]
fn a_change_that_is_undone_before_the_next_point_is_found() {
    let folder = tempfile::tempdir().expect("a folder");
    let problem = by_hand(folder.path(), &BY_HAND.replace("max = 100", "max = 60"));
    let found = swept(&problem, &["limits.q.exactly=4..14"], 2);
    let at: Vec<f64> = found.breaks.iter().map(|b| b.at).collect();
    assert_eq!(at.len(), 2, "{at:?}");
    assert!(near(at[0], 7.5, 10.0) && near(at[1], 12.5, 10.0), "{at:?}");
}

/// Few points and many find the same changes: on problems that no hand made.
#[test]
fn few_points_find_what_many_find() {
    let mut compared = 0;
    for (name, vary) in [
        ("hill-climb-5w-50", "limits.hths.min=4.2..5.4"),
        ("low-ash-5w-30", "shelf.pao-4.price=1.5..4"),
        ("hill-climb-5w-50", "limits.noack.max=6..12"),
    ] {
        let problem = shipped(name);
        let (few, many) = (swept(&problem, &[vary], 5), swept(&problem, &[vary], 65));
        let at = |found: &Sweep| -> Vec<f64> { found.breaks.iter().map(|b| b.at).collect() };
        let (few, many) = (at(&few), at(&many));
        assert_eq!(few.len(), many.len(), "{vary}: {few:?} and {many:?}");
        for (a, b) in few.iter().zip(&many) {
            compared += 1;
            assert!((a - b).abs() <= 1e-4, "{vary}: {few:?} and {many:?}");
        }
    }
    assert!(compared >= 5, "{compared}");
}

#[test]
fn rows_do_not_depend_on_threads_or_parts_and_few_are_held() {
    let problem = shipped("hill-climb-5w-50");
    let vary = ["limits.hths.min=4.2..5.2", "limits.p.max=700..900"];
    let plan = plan(&problem, &vary, 11);
    let all = |threads: usize, chunks: std::ops::Range<usize>| -> Vec<Row> {
        let mut rows = Vec::new();
        let done = run(&plan, chunks, &orders(threads), |rows| rows, &mut |chunk| {
            rows.extend(chunk);
            Ok::<(), ()>(())
        });
        assert!(done.is_ok());
        rows
    };
    let one = all(1, 0..plan.chunks());
    assert_eq!(one.len(), 121);
    assert_eq!(one, all(2, 0..plan.chunks()));
    assert_eq!(one, all(5, 0..plan.chunks()));
    for of in [1, 2, 3, 7, 20] {
        let parts: Vec<Row> = (0..of).flat_map(|k| all(2, plan.part(k, of))).collect();
        assert_eq!(one, parts, "{of} parts");
    }
    // A slow reader holds the others up: no more rows wait than the window allows.
    let begun = Cell::new(0_usize);
    let slow = run(
        &plan,
        0..plan.chunks(),
        &orders(2),
        |rows| rows,
        &mut |chunk: Vec<Row>| {
            assert!(chunk.len() <= CHUNK);
            std::thread::sleep(std::time::Duration::from_millis(5));
            begun.set(begun.get() + 1);
            if begun.get() == 3 {
                Err("enough")
            } else {
                Ok(())
            }
        },
    );
    assert_eq!((slow, begun.get()), (Err("enough"), 3));
    const { assert!(AHEAD <= 8, "a window of few chunks a thread") };
}

/// The shelves' polymers and limits of a grade without a winter number ask for fewer scalars than those of
/// one with: what the first point leaves for the second must not name what the second does not have.
#[test]
fn a_grade_without_cold_limits_may_follow_one_that_has_them() {
    for (name, grades) in [
        ("tow-truck-15w-40", "grade=15W-40,40,15W-40"),
        ("hill-climb-5w-50", "grade=5W-50,50,5W-50"),
    ] {
        let problem = shipped(name);
        let found = swept(&problem, &[grades], 3);
        assert_eq!(found.rows.len(), 3, "{name}");
        for row in &found.rows {
            let alone = cheapest(&found.plan.problem_at(&row.at), &Budget::default());
            let (Some(along), Some(fresh)) = (row.goal, alone.objective) else {
                panic!("{name}: {row:?}");
            };
            assert!((along - fresh).abs() <= 2.1e-4 * fresh, "{along} {fresh}");
        }
    }
}

/// A unit behind the far end of a range is meant of the near end and of the step.
#[test]
fn a_unit_at_the_end_is_meant_of_the_whole_range() {
    let problem = shipped("hill-climb-5w-50");
    for text in [
        "limits.p.max=0.06..0.09 %",
        "limits.p.max=0.06 %..0.09 %",
        "limits.p.max=600..900",
        "limits.p.max=600 ppm..900 ppm",
    ] {
        let (_, stops) = varied::vary(&problem, text, 4).expect(text);
        assert!(
            near(stops.number(0).unwrap_or_default(), 600.0, 1.0),
            "{text}"
        );
        assert!(
            near(stops.number(3).unwrap_or_default(), 900.0, 1.0),
            "{text}"
        );
    }
    let (_, stops) = varied::vary(&problem, "batch=500 g..2 t", 3).expect("two units");
    assert!(near(stops.number(0).unwrap_or_default(), 0.5, 1.0));
    let (_, stops) =
        varied::vary(&problem, "limits.p.max=0.06..0.09 % step 0.01", 3).expect("a step");
    assert_eq!(stops.len(), 4);
}

/// Only two whole numbers that could be one are asked about.
#[test]
fn a_list_is_asked_about_where_it_may_be_a_decimal_comma() {
    let problem = shipped("hill-climb-5w-50");
    for (text, asks) in [
        ("limits.hths.min=4,2", true),
        ("limits.hths.min= 4,25", true),
        ("limits.p.max=600,900", false),
        ("limits.hths.min=4,2,3", false),
        ("limits.hths.min=4.2,4.5", false),
        ("limits.hths.min=4..5", false),
        ("rules.at-most=4,6", false),
        ("grade=5W-30,5W-40", false),
    ] {
        let (dial, _) = varied::vary(&problem, text, 41).expect("read");
        assert_eq!(varied::comma(&dial, text).is_some(), asks, "{text}");
    }
}

#[test]
fn words_of_paths_and_values_that_cannot_be_read() {
    let problem = shipped("hill-climb-5w-50");
    for (text, says) in [
        ("limits.p.max", "has no `=`"),
        ("limit.p.max=1..2", "did you mean `limits.p.max`?"),
        ("p.max=600..900", "did you mean `limits.p.max`?"),
        ("pao-4.price=1..2", "did you mean `shelf.pao-4.price`?"),
        ("nothing=1..2", "a path is `limits.p.max`"),
        ("limits.p=600..900", "does not say which way"),
        (
            "limits.p.most=600..900",
            "known here: `min`, `max`, `exactly`",
        ),
        ("limits.noac.max=1..2", "did you mean `noack`?"),
        ("treat.pao4.max=1..2", "did you mean `pao-4`?"),
        ("treat.pao-4.most=1..2", "names no edge"),
        ("shelf.pao-4.prise=1..2", "did you mean `price`?"),
        ("shelf.pao-4.ccs=1..2", "`shelf.pao-4.ccs@-35`"),
        ("shelf.pao-4.ssi=1..2", "has no polymer"),
        ("shelf.pao-4.treat.max=1..2", "write `treat.pao-4.max`"),
        ("limits.p.max=600", ""),
        ("limits.p.max=", "is given no values"),
        ("limits.p.max=600..600", "two different ends"),
        ("limits.p.max=600..x", "no number with a decimal point"),
        ("limits.p.max=0,06..900", "has a decimal comma"),
        ("limits.p.max=600..900 step 0", "above 0"),
        ("limits.p.max=600..900 step 400", "is wider than"),
        (
            "limits.p.max=600..900 step 0.0000001",
            "more than 100000000 points",
        ),
        ("limits.p.max=600 kg..900", "is no unit of"),
        ("limits.p.max=0.06..0.08", "if mass percent was meant"),
        ("limits.p.max=0.06 %..0.08 %", ""),
        ("limits.noack.max=8..120", "it lies between 0 and 100 %"),
        ("limits.p.max=-5..100", "without the sign"),
        ("shelf.pao-4.density=820..830", "densities are in kg/L"),
        ("shelf.pao-4.kv40=3..20", "no thicker at 40 °C"),
        ("shelf.pao-4.ccs@-35=500..2000", "would not fall"),
        ("shelf.vm-star.hths-loss=10..30", "this is a fraction"),
        ("shelf.vm-star.ssi=0.1..0.4", "stabler than any polymer"),
        (
            "shelf.package-full.p=0.5..0.9",
            "next to nothing for an additive",
        ),
        ("treat.vm-star.max=10..25", "above the supplier's 18 %"),
        ("treat.package-low.max=0..14", ""),
        ("limits.n.max=100..200", "states no `n`"),
        ("rules.at-most=4.5..6", "counts components"),
        ("rules.at-most=4..9", ""),
        ("batch=10..20", ""),
        ("batch=500 g..2 t", ""),
        ("batch=0..20", "it lies between"),
        ("grade=5W-31", "no standard here knows the grade"),
        ("grade=5W-20..5W-50", "listed one by one"),
        ("class=ACEA C9", "there is no class here"),
        ("limits.kv100.max=nan..5", "must be a finite number"),
    ] {
        let read = varied::vary(&problem, text, 41).and_then(|one| {
            let prepared = varied::prepared(&problem, &[one]);
            prepared.map(|_| ()).map_err(|unfit| unfit.to_string())
        });
        match (read, says) {
            (Ok(()), "") => {}
            (Err(words), says) if !says.is_empty() && words.contains(says) => {
                // One sentence, with nothing of Rust in it.
                assert!(!words.contains("Some(") && !words.contains('\n'), "{words}");
            }
            (read, _) => panic!("{text}: {read:?}, where `{says}` was to be said"),
        }
    }
}

/// A minimum above a maximum at some points is no recipe there, and no fault.
#[test]
fn a_band_that_is_empty_at_some_points_is_an_answer() {
    let problem = shipped("hill-climb-5w-50");
    for vary in ["limits.p.max=700..800", "treat.package-full.max=8..9"] {
        let found = swept(&problem, &[vary], 5);
        assert_eq!(found.rows[0].status, Status::NoRecipe, "{vary}");
        assert!(found.rows[4].has_recipe(), "{vary}");
        let [barren] = found.barren.as_slice() else {
            panic!("{vary}: one stretch");
        };
        assert_eq!(barren.reasons[0].parties.len(), 2, "{vary}");
    }
}

/// A stretch without a recipe tells the reason of each of its ends: too little of the package for the
/// base number at the one, too much for phosphorus at the other, by the shelf's own figures.
#[test]
fn each_end_of_a_stretch_without_a_recipe_has_its_own_reason() {
    let mut problem = shipped("tow-truck-15w-40");
    let phosphorus = Property::Element(Element::P);
    // 8100 ppm and 78 mg KOH/g in the package: 12.3 % of it brings 1000 ppm, and 10 mg KOH/g take 12.8 %.
    for limit in &mut problem.limits {
        if limit.property == phosphorus && limit.side == Side::Max {
            (limit.stated, limit.bound) = (1005.0, 1005.0);
        }
    }
    let found = swept(&problem, &["treat.package-diesel.exactly=12.1..13.9"], 7);
    let [barren] = found.barren.as_slice() else {
        panic!("one stretch: {:?}", found.barren);
    };
    assert!(barren.proved);
    let [left, right] = barren.reasons.as_slice() else {
        panic!("two reasons: {:?}", barren.reasons);
    };
    let (low, few, high, much) = (&left.at, &left.parties, &right.at, &right.parties);
    assert!(near(*low, 12.1, 1.0) && near(*high, 13.9, 1.0));
    let names = |reason: &[Party], of: &Property, which: Side| {
        let mut parties = reason.iter();
        parties.any(|p| matches!(p, Party::Limit { property, side, .. } if property == of && *side == which))
    };
    assert!(names(few, &Property::BaseNumber, Side::Min), "{few:?}");
    assert!(names(much, &phosphorus, Side::Max), "{much:?}");
}

/// The gap told of a point is one: no recipe is better by more, says a finer proof of the same problem.
#[test]
fn a_gap_is_no_smaller_than_what_a_finer_proof_finds() {
    let problem = shipped("logic-demo");
    let wide = Orders {
        budget: Budget {
            proof: Some(1e-4),
            ..Budget::default()
        },
        ..orders(2)
    };
    let plan = plan(&problem, &["treat.package-full.if-used=7..12"], 8);
    let found = sweep(plan, &wide, false, &mut |_| ());
    let mut open = 0;
    for row in &found.rows {
        let fine = certified(&found.plan.problem_at(&row.at));
        let best = fine.objective.expect("a recipe");
        let (goal, gap) = (row.goal.expect("a recipe"), row.gap.expect("a proof"));
        assert!(gap <= 1e-4 * (1.0 + 1e-9), "{:?}", row.at);
        let room = 1e-9 * best;
        assert!(
            goal * (1.0 - gap) <= best + room,
            "{:?}: {goal} {gap} {best}",
            row.at
        );
        open += u32::from(goal > best * (1.0 + 1e-6));
    }
    assert!(open > 0, "every point was the best: nothing was shown");
}

/// A map does not say of a point that is undecided that there is no recipe.
#[test]
fn a_map_tells_what_is_open_from_what_cannot_be() {
    let vary = ["limits.p.max=700..900", "limits.noack.max=7..9"];
    let mut found = swept(&shipped("hill-climb-5w-50"), &vary, 3);
    let words = text::sweep::sweep(&found);
    assert!(words.contains("  -  no recipe\n") && !words.contains("  ?  undecided\n"));
    for row in found.rows.iter_mut().filter(|row| !row.has_recipe()) {
        row.status = Status::Undecided;
        row.conflict.clear();
    }
    let words = text::sweep::sweep(&found);
    assert!(!words.contains("  -  no recipe\n") && words.contains("  ?  undecided\n"));
}

/// A dial set to and fro leaves the problem as setting it once does, and what it was set to before leaves
/// no trace.
#[test]
fn a_dial_leaves_no_trace_of_its_earlier_settings() {
    let mut random = Random::new(7);
    for (name, vary, count, _) in cases() {
        let vary = vary.replace('"', "");
        let plan = plan(&shipped(name), &[&vary], count);
        let mut problem = plan.problem().clone();
        for _ in 0..20 {
            let at = plan.at(random.below(plan.points()));
            plan.set(&mut problem, &at);
            assert_eq!(problem, plan.problem_at(&at), "{name}, {vary}");
        }
    }
}

/// Keys name what binds as paths do, and every key of a row is one that can be varied.
#[test]
fn keys_of_what_binds_are_paths() {
    let problem = shipped("hill-climb-5w-50");
    let found = swept(&problem, &["limits.hths.min=4.2..5.4"], 3);
    let row = &found.rows[1];
    for key in keys::of(row) {
        let path = if key.starts_with("treat.") {
            key
        } else {
            format!("limits.{key}")
        };
        assert!(read::dial::dial(&problem, &path).is_ok(), "{path}");
    }
    let breaks: Vec<&Break> = found.breaks.iter().collect();
    for turn in breaks.iter().flat_map(|b| &b.turns) {
        if let Turn::Binds(r) | Turn::Frees(r) = turn {
            assert!(conflict::party(found.plan.problem(), *r).is_some());
        }
    }
}

/// The picture's data of the blend by hand: b is in it up to 10 and beyond, a below, c above; q binds
/// wherever there is a recipe, and there is none above 20.
#[test]
fn the_picture_shows_what_was_found() {
    let folder = tempfile::tempdir().expect("a folder");
    let problem = by_hand(folder.path(), BY_HAND);
    for vary in ["limits.q.min=1..25", "limits.q.min=25..1"] {
        let found = swept(&problem, &[vary], 13);
        let Some(Picture::Sweep(picture)) = drawn::sweep::sweep(&found) else {
            panic!("a sweep");
        };
        let Along::Numbers(x) = &picture.along else {
            panic!("numbers");
        };
        // Both sides of each of two changes beside the points asked for.
        assert!(x.is_sorted() && x.len() == 17 && picture.asked.len() == 17);
        assert!(near(x[0], 1.0, 24.0) && near(x[16], 25.0, 24.0));
        let names: Vec<&str> = picture.components.iter().map(|c| c.name.as_str()).collect();
        assert_eq!(names.len(), 3);
        for (k, x) in x.iter().enumerate() {
            let total: f64 = picture.components.iter().map(|c| c.rates[k]).sum();
            // Of the two sides of the end only the left one has a recipe, whichever way it was swept.
            let has = if picture.asked[k] {
                *x <= 20.0
            } else {
                !near(*x, 20.0, 24.0) || picture.asked[k - 1]
            };
            assert_eq!(picture.goal_values[k].is_some(), has, "at {x}");
            assert!((total - if has { 100.0 } else { 0.0 }).abs() < 1e-6);
        }
        assert_eq!(picture.asked.iter().filter(|asked| **asked).count(), 13);
        let [mark] = picture.marks.as_slice() else {
            panic!("one limit binds: {:?}", picture.marks);
        };
        assert_eq!(mark.label, "q at least as varied");
        let [Stretch { from, to }] = mark.stretches[..] else {
            panic!("all along: {:?}", mark.stretches);
        };
        assert!(near(from, 1.0, 24.0) && near(to, 20.0, 24.0));
        assert!(picture.breaks.len() == 2 && picture.breaks.is_sorted());
        assert_eq!(picture.gaps.len(), 1);
        assert_eq!(
            picture.gaps[0].reason,
            "q must be at least what the axis says, which no blend of this shelf reaches"
        );
    }
    let found = swept(&problem, &["limits.q.min=5,15,22", "shelf.b.price=2,4"], 2);
    let Some(Picture::Map(map)) = drawn::sweep::sweep(&found) else {
        panic!("a map");
    };
    assert_eq!(
        (map.along_x.len(), map.along_y.len(), map.cells.len()),
        (2, 3, 6)
    );
    let goals: Vec<Option<i64>> = map
        .cells
        .iter()
        .map(|cell| {
            let thousandths = cell.goal? * 1000.0;
            #[expect(clippy::cast_possible_truncation, reason = "a few thousand")]
            Some(thousandths.round() as i64)
        })
        .collect();
    // At q = 5: half a, half b at 2; three quarters a, one c with b at 4. At 15: (2 + 6) / 2; 0.25 a + 0.75 c.
    let by_hand = [Some(1500), Some(2250), Some(4000), Some(4750), None, None];
    assert_eq!(goals, by_hand);
}

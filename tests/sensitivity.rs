//! What small moves do to the goal, against certified solves of problem and shelf files with the one
//! number edited in their text, and against laws that hold whatever the numbers.

mod support;

use std::fs;
use std::path::{Path, PathBuf};
use support::{Random, rules};
use treatrate::declare::problem::{LimitSource, Problem, Rule, Side};
use treatrate::declare::property::Property;
use treatrate::declare::read;
use treatrate::declare::requirement;
use treatrate::declare::requirement::Requirement;
use treatrate::predict::value::Source;
use treatrate::solve::answer::{Answer, Status};
use treatrate::solve::search::{Budget, cheapest};
use treatrate::standard::precision::{Method, reproducibility};
use treatrate::study::sensitivity::{Effect, Row, Sensitivity, What, limits, prices};

/// Two certified values of one problem differ by less than this part.
const SAME: f64 = 1e-5;

fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("problems")
}

fn text(name: &str) -> String {
    fs::read_to_string(folder().join(name)).expect("a file of this repository")
}

fn read_text(text: &str, folder: &Path) -> Problem {
    read::problem_from_text("edited.toml", text, folder)
        .expect("a problem that differs in a number")
        .0
}

fn certified(problem: &Problem) -> Answer {
    let budget = Budget {
        proof: Some(1e-6),
        ..Budget::default()
    };
    cheapest(problem, &budget)
}

/// The text with a number of a `[limits]` line replaced: the one behind `side =` in the line of a key.
fn edited(text: &str, key: &str, side: &str, to: f64) -> Option<String> {
    let mut found = false;
    let lines: Vec<String> = text
        .lines()
        .map(|line| {
            let named = line
                .split('=')
                .next()
                .unwrap_or("")
                .trim()
                .trim_matches('"');
            let Some((head, rest)) = line.split_once(&format!("{side} = ")) else {
                return line.to_owned();
            };
            if named != key || found {
                return line.to_owned();
            }
            found = true;
            let end = rest.find([' ', ',', '}']).unwrap_or(rest.len());
            format!("{head}{side} = {to}{}", &rest[end..])
        })
        .collect();
    found.then(|| lines.join("\n"))
}

/// A row's effect against an answer of the same question.
fn agrees(study: &Sensitivity, effect: &Effect, answer: &Answer, label: &str) {
    let base = study.base.value().expect("a recipe as it stands");
    match (effect, answer.status) {
        (Effect::NoRecipe(_), status) => assert_eq!(status, Status::NoRecipe, "{label}"),
        (Effect::Changes(by, _), Status::Optimal) => {
            let told = answer.objective.expect("a value") - base;
            assert!((by - told).abs() <= SAME * base, "{label}: {by} and {told}");
        }
        (Effect::Nothing, Status::Optimal) => {
            let told = answer.objective.expect("a value") - base;
            assert!(told.abs() <= SAME * base, "{label}: none and {told}");
        }
        other => panic!("{label}: {other:?}"),
    }
}

fn all(study: &Sensitivity) -> impl Iterator<Item = &Row> {
    study.rows.iter().chain(&study.still)
}

#[test]
fn each_limit_is_as_if_the_file_were_edited() {
    let mut checked = 0;
    for name in ["hill-climb-5w-50.toml", "tow-truck-15w-40.toml"] {
        let text = text(name);
        let study = limits(&read_text(&text, &folder()), &Budget::default());
        for row in all(&study) {
            let What::Bound {
                property,
                side: Some(side),
                source: Source::Limit(LimitSource::Problem),
                ..
            } = &row.what
            else {
                continue;
            };
            for moved in &row.moves {
                let key = property.key();
                let Some(text) = edited(&text, &key, side.key(), moved.to) else {
                    panic!("{name}: no line of {key}");
                };
                let label = format!("{name}: {key} {} {}", side.key(), moved.to);
                agrees(
                    &study,
                    &moved.effect,
                    &certified(&read_text(&text, &folder())),
                    &label,
                );
                checked += 1;
            }
        }
    }
    assert!(checked >= 40, "{checked}");
}

#[test]
fn each_price_is_as_if_the_shelf_were_edited() {
    let problem = text("hill-climb-5w-50.toml");
    let shelf = text("shelves/club-bench.toml");
    let study = prices(&read_text(&problem, &folder()), 0.1, &Budget::default());
    let mut checked = 0;
    for row in all(&study) {
        let What::Price(j) = &row.what else {
            panic!("a price was asked for")
        };
        let id = &study.base.problem.components[*j].id;
        let dry = tempfile::tempdir().expect("a folder");
        fs::create_dir(dry.path().join("shelves")).expect("a folder");
        for moved in &row.moves {
            // The price in the component's own block.
            let (head, block) = shelf
                .split_once(&format!("id = \"{id}\"\n"))
                .expect("its block");
            let (before, after) = block.split_once("price = ").expect("its price");
            let end = after.find(['\n', ' ']).expect("the end of a number");
            let edited = format!(
                "{head}id = \"{id}\"\n{before}price = {}{}",
                moved.to,
                &after[end..]
            );
            fs::write(dry.path().join("shelves/club-bench.toml"), edited).expect("a file");
            let answer = certified(&read_text(&problem, dry.path()));
            agrees(
                &study,
                &moved.effect,
                &answer,
                &format!("{id} at {}", moved.to),
            );
            checked += 1;
        }
    }
    assert_eq!(
        checked,
        2 * study
            .base
            .problem
            .components
            .iter()
            .zip(&study.base.problem.bands)
            .filter(|(_, band)| band.max.share.fraction() > 0.0)
            .count()
    );
}

/// Where money is sought, what is not bought comes in once it is dear enough: worked by hand.
#[test]
fn dearer_counts_where_the_most_is_sought() {
    let dry = tempfile::tempdir().expect("a folder");
    let shelf = [("a", 3.0), ("b", 2.0)].map(|(id, price)| {
        format!(
            "[[component]]\nid = \"{id}\"\nname = \"{id}\"\nkind = \"other\"\nprice = {price}\n"
        )
    });
    let shelf = format!("title = \"two\"\ncurrency = \"EUR\"\n{}", shelf.concat());
    fs::write(dry.path().join("two.toml"), shelf).expect("a file");
    let problem = "title = \"dear\"\nshelf = [\"two.toml\"]\nmaximise = \"cost\"\n";
    let study = prices(&read_text(problem, dry.path()), 0.6, &Budget::default());
    let told = |j: usize| {
        let row = all(&study).find(|row| row.what == What::Price(j));
        let row = row.expect("a price");
        [0, 1].map(|k| change(row, k).expect("settled"))
    };
    // The dearer of 3 and 2; of 1.2 and 2; of 4.8 and 2; of 3 and 0.8; of 3 and 3.2.
    for (told, by_hand) in [(told(0), [-1.0, 1.8]), (told(1), [0.0, 0.2])] {
        for (told, by_hand) in told.iter().zip(by_hand) {
            assert!((told - by_hand).abs() < 1e-4, "{told} {by_hand}");
        }
    }
}

/// What a move that lowers and one that raises change; `None` where there is no recipe, or it is open.
fn change(row: &Row, k: usize) -> Option<f64> {
    match &row.moves[k].effect {
        Effect::Changes(by, _) => Some(*by),
        Effect::Nothing | Effect::Fixed => Some(0.0),
        Effect::NoRecipe(_) | Effect::Open => None,
    }
}

#[test]
fn tighter_never_pays_and_looser_never_costs() {
    let mut effects = 0;
    for seed in 0..30 {
        let mut problem = support::problem(seed, 8, 0, false);
        if seed % 3 == 0 {
            rules::add(&mut Random::new(seed), &mut problem);
        }
        let study = limits(&problem, &Budget::default());
        let Some(base) = study.base.value() else {
            assert!(study.rows.is_empty() && study.still.is_empty());
            continue;
        };
        for row in &study.rows {
            let Some(tighter) = row.tighter() else {
                continue;
            };
            if let Some(by) = change(row, tighter) {
                assert!(by >= 0.0, "{seed}: {row:?}");
            }
            let looser = &row.moves[1 - tighter].effect;
            assert!(!matches!(looser, Effect::NoRecipe(_)), "{seed}: {row:?}");
            if let Some(by) = change(row, 1 - tighter) {
                assert!(by <= 0.0, "{seed}: {row:?}");
                effects += usize::from(by < -SAME * base);
            }
        }
        let sizes: Vec<f64> = study.rows.iter().map(Row::size).collect();
        assert!(sizes.is_sorted_by(|a, b| a >= b), "{seed}: {sizes:?}");
        // Nothing that can be moved is left out: each stands in one row, an exact number in one for both.
        for asked in requirement::every(&problem) {
            let told = all(&study).any(|row| match &row.what {
                What::Bound { requirements, .. } => requirements.contains(&asked),
                What::Count(r) => asked == Requirement::Rule(*r),
                What::Price(_) => false,
            });
            let counted = match asked {
                Requirement::Rule(r) => matches!(problem.rules[r], Rule::AtMost(..)),
                _ => true,
            };
            assert_eq!(told, counted, "{seed}: {asked:?}");
        }
    }
    assert!(effects >= 20, "{effects}");
}

#[test]
fn the_best_cost_bends_down_in_each_price() {
    // The least cost is the least of functions that are linear in a price: it is concave, so a move up
    // costs at most what the present recipe would pay, and a move down saves at least that.
    let mut used = 0;
    for seed in 0..20 {
        let mut problem = support::problem(seed, 9, usize::from(seed % 4 == 0), false);
        // Where money is limited as well, a price moves what is possible.
        problem.limits.retain(|l| !l.property.is_money());
        let study = prices(&problem, 0.2, &Budget::default());
        let Some((recipe, _)) = study.base.recipe() else {
            continue;
        };
        let base = study.base.value().expect("a value");
        for row in all(&study) {
            let What::Price(j) = &row.what else {
                panic!("a price was asked for")
            };
            let pays = recipe.shares()[*j].fraction() * row.step;
            let (Some(down), Some(up)) = (change(row, 0), change(row, 1)) else {
                panic!("{seed}: a price leaves every recipe: {row:?}")
            };
            assert!(up <= pays + SAME * base && up >= 0.0, "{seed}: {up} {pays}");
            assert!(down <= -pays + SAME * base, "{seed}: {down} {pays}");
            used += usize::from(pays > SAME * base);
        }
    }
    assert!(used >= 20, "{used}");
}

#[test]
fn steps_are_the_reproducibility_of_the_tests() {
    let problem = read_text(&text("hill-climb-5w-50.toml"), &folder());
    let study = limits(&problem, &Budget::default());
    let step = |wanted: &Property, on: Side| {
        all(&study)
            .find_map(|row| match &row.what {
                What::Bound {
                    property,
                    side,
                    tested,
                    ..
                } if property == wanted && *side == Some(on) => Some((row.step, *tested)),
                _ => None,
            })
            .expect("a row")
    };
    let known = |method: Method, at: f64| reproducibility(method, at).expect("in range");
    let near = |a: f64, b: f64| assert!((a - b).abs() < 1e-12 * b, "{a} {b}");
    near(
        step(&Property::Noack, Side::Max).0,
        known(Method::Noack, 8.0),
    );
    near(step(&Property::Hths, Side::Min).0, known(Method::Hths, 4.7));
    near(step(&Property::Ash, Side::Max).0, known(Method::Ash, 1.0));
    // No test method: a tenth of a percent of the oil, one degree.
    let share = Property::Group("synthetic-share".into());
    assert_eq!(step(&share, Side::Min), (0.1, false));
    near(step(&Property::AnilinePoint, Side::Max).0, 1.0);
}

#[test]
fn an_exact_number_moves_as_one() {
    // A class of its own: lead, zinc and tin are each a minimum and a maximum in one.
    let problem = read_text(&text("alloy-blend.toml"), &folder());
    let study = limits(&problem, &Budget::default());
    assert_eq!(all(&study).count(), 3);
    for row in all(&study) {
        assert!(row.tighter().is_none());
        // The three add up to 100 %: one alone cannot move.
        for moved in &row.moves {
            assert!(matches!(moved.effect, Effect::NoRecipe(_)), "{row:?}");
        }
    }
}

#[test]
fn the_answer_is_the_same_on_one_thread_and_on_two() {
    let problem = read_text(&text("logic-demo.toml"), &folder());
    let on = |threads: usize| {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build();
        pool.expect("a pool").install(|| {
            (
                limits(&problem, &Budget::default()),
                prices(&problem, 0.1, &Budget::default()),
            )
        })
    };
    assert_eq!(on(1), on(2));
}

//! Pictures of real answers: the shipped problems are asked by the binary, and what is drawn is read back by
//! the numbers beside its axes and held against the answer as JSON, which is another way out of the program.

#[path = "drawn/files.rs"]
mod files;
#[path = "drawn/sheet.rs"]
mod sheet;

mod support;

use serde_json::Value;
use sheet::{Axis, Place, Sheet, Thing};
use std::collections::BTreeMap;
use std::fs;
use std::path::Path;
use std::process::{Command, Output, Stdio};
use support::read_problem;

const HILL: &str = "problems/hill-climb-5w-50.toml";
const BLUE: &str = "#0072B2";
const SKY: &str = "#56B4E9";
const VERMILLION: &str = "#D55E00";
const BINDS: &str = "#4D4D4D";
const NOTHING: &str = "#ECECEC";
const INK: &str = "#222222";

/// Runs the program at the root of the repository.
fn run(arguments: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_treatrate"))
        .current_dir(env!("CARGO_MANIFEST_DIR"))
        .stdin(Stdio::null())
        .args(arguments)
        .output()
        .expect("the binary runs")
}

/// The answer as JSON, and its picture.
fn asked(arguments: &[&str]) -> (Value, Sheet) {
    let folder = tempfile::tempdir().expect("a folder");
    let file = folder.path().join("drawn.svg");
    let path = file.to_str().expect("a path in UTF-8");
    let more = ["--format", "json", "--picture", path];
    let output = run(&[arguments, &more].concat());
    let told = String::from_utf8_lossy(&output.stderr);
    let json = serde_json::from_slice(&output.stdout).unwrap_or_else(|e| panic!("{e}: {told}"));
    let svg = fs::read_to_string(&file).unwrap_or_else(|e| panic!("{e}: {told}"));
    (json, Sheet::of(&svg))
}

fn list<'a>(value: &'a Value, key: &str) -> &'a Vec<Value> {
    value[key]
        .as_array()
        .unwrap_or_else(|| panic!("{key} in {value}"))
}

fn number(value: &Value) -> f64 {
    value
        .as_f64()
        .unwrap_or_else(|| panic!("{value} is no number"))
}

/// The names of a shelf's components by their ids.
fn names() -> BTreeMap<String, String> {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("problems/shelves/club-bench.toml");
    let shelf: toml::Table = fs::read_to_string(path)
        .expect("a shelf")
        .parse()
        .expect("TOML");
    let text = |c: &toml::Value, key: &str| c[key].as_str().expect("text").to_owned();
    let all = shelf["component"].as_array().expect("components");
    all.iter()
        .map(|c| (text(c, "id"), text(c, "name")))
        .collect()
}

/// The two upright axes of a sweep and the one along it.
fn axes(sheet: &Sheet) -> (Axis, Axis, Axis) {
    let stack = sheet.place("treat rate, mass %").1;
    let strip = sheet.place("limits, where they bind").1;
    (
        sheet.axis(true, |p| p.1 < stack),
        sheet.axis(true, |p| p.1 > stack && p.1 < strip),
        sheet.axis(false, |p| p.1 > strip),
    )
}

/// Each band of the stack by its name: the colour beside the name is its own.
fn bands(sheet: &Sheet) -> BTreeMap<String, Vec<Place>> {
    let mut bands = BTreeMap::new();
    for band in sheet.things.iter().filter(|t| t.tag == "polygon") {
        let key = sheet.things.windows(2).find(|pair| {
            let small = pair[0].tag == "rect" && pair[0].places[1].0 - pair[0].places[0].0 < 150.0;
            small && pair[0].colour == band.colour && pair[1].tag == "text"
        });
        let name = &key.unwrap_or_else(|| panic!("no name for {}", band.colour))[1].words;
        assert!(
            bands.insert(name.clone(), band.places.clone()).is_none(),
            "{name} twice"
        );
    }
    bands
}

/// The thicknesses of a band at a place along the axis, from the left.
fn thick(band: &[Place], x: f64, y: &Axis) -> Vec<f64> {
    let half = band.len() / 2;
    let at = |i: usize| (band[i], band[band.len() - 1 - i]);
    let here = (0..half)
        .map(at)
        .filter(|(low, _)| (low.0 - x).abs() <= 2.0);
    here.map(|(low, high)| {
        assert!((low.0 - high.0).abs() < 0.5, "edges of one band");
        y.value(high.1) - y.value(low.1)
    })
    .collect()
}

/// The bars of a limit, as numbers along the axis.
fn bars(sheet: &Sheet, label: &str, x: &Axis) -> Vec<(f64, f64)> {
    let at = sheet.place(label).1;
    let bars = sheet.all("rect", BINDS);
    let ours = bars
        .iter()
        .filter(|b| b.places[0].1 < at && at < b.places[1].1 + 60.0);
    ours.map(|b| (x.value(b.places[0].0), x.value(b.places[1].0)))
        .collect()
}

fn close(a: f64, b: f64, within: f64, what: &str) {
    assert!((a - b).abs() <= within, "{what}: {a} and {b}");
}

/// Where along a sweep something of a kind happens to something.
fn events(json: &Value, what: &str, of: Option<&str>) -> Vec<f64> {
    let turns = |b: &&Value| {
        let mut turns = list(b, "turns").iter();
        turns.any(|t| t["what"] == what && t["of"].as_str() == of)
    };
    let breaks = list(json, "breakpoints").iter();
    breaks.filter(turns).map(|b| number(&b["at"])).collect()
}

#[test]
fn a_sweep_is_drawn_as_it_was_answered() {
    let question = [
        "sweep",
        HILL,
        "--vary",
        "limits.noack.max=4..6",
        "--points",
        "9",
    ];
    let (json, sheet) = asked(&question);
    for words in [
        "cost, EUR/kg",
        "treat rate, mass %",
        "Noack loss, at most, %",
        "no recipe",
    ] {
        assert!(sheet.says(words), "{words}: {}", sheet.told());
    }
    let (cost, rate, x) = axes(&sheet);
    let points: Vec<&Value> = list(&json, "points")
        .iter()
        .filter(|p| !p["goal"].is_null())
        .collect();
    let dots = sheet.all("circle", BLUE);
    assert_eq!(dots.len(), points.len());
    assert!(points.len() > 4);
    let bands = bands(&sheet);
    let names = names();
    for (point, dot) in points.iter().zip(dots) {
        let at = number(&point["at"][0]);
        x.holds(dot.places[0].0, at, "a point along the axis");
        cost.holds(dot.places[0].1, number(&point["goal"]), "its cost");
        let mut others = 0.0;
        for part in list(point, "recipe") {
            let mass = number(&part["mass_percent"]);
            match bands.get(&names[part["component"].as_str().expect("an id")]) {
                Some(band) => {
                    let drawn = thick(band, dot.places[0].0, &rate);
                    close(drawn[0], mass, 0.15, "a treat rate");
                }
                None => others += mass,
            }
        }
        let small = bands.iter().find(|(name, _)| name.ends_with(" others"));
        let drawn = small.map_or(0.0, |(_, band)| thick(band, dot.places[0].0, &rate)[0]);
        close(drawn, others, 0.15, "the others");
    }
    let breaks = list(&json, "breakpoints");
    let curve = sheet.all("polyline", BLUE);
    assert_eq!(curve.len(), 1);
    for change in breaks {
        let at = number(&change["at"]);
        let kinks = curve[0].places.iter().filter(|p| x.is(p.0, at));
        assert!(kinks.count() > 0, "the curve has a kink at {at}");
    }
    // The curve begins where the gap ends.
    let gap = number(&json["no_recipe"][0]["to"]);
    x.holds(curve[0].places[0].0, gap, "the first recipe");
    for shade in sheet.all("rect", NOTHING).iter().take(3) {
        x.holds(shade.places[0].0, 4.0, "where the gap begins");
        x.holds(shade.places[1].0, gap, "where it ends");
    }
    let told = sheet.told();
    assert!(told.contains("No recipe from 4 to 4.639 %: "), "{told}");
    assert!(
        told.contains("Noack loss must be at most what the axis says"),
        "{told}"
    );
    assert!(
        told.contains("A predicted grade is not a licence or an approval."),
        "{told}"
    );
}

#[test]
fn limits_are_marked_where_they_bind() {
    let question = [
        "sweep",
        HILL,
        "--vary",
        "limits.noack.max=4..6",
        "--points",
        "5",
    ];
    let (json, sheet) = asked(&question);
    let (_, _, x) = axes(&sheet);
    let pixel = 0.01;
    let first = events(&json, "recipe", None);
    // Phosphorus ceases to bind, binds again and ceases again.
    let frees = events(&json, "frees", Some("p.max"));
    let binds = events(&json, "binds", Some("p.max"));
    let bars = |label: &str| bars(&sheet, label, &x);
    let drawn = bars("phosphorus at most 850 ppm");
    assert_eq!((drawn.len(), frees.len(), binds.len()), (2, 2, 1));
    for (drawn, (from, to)) in drawn
        .iter()
        .zip([(first[0], frees[0]), (binds[0], frees[1])])
    {
        close(drawn.0, from, pixel, "binds from");
        close(drawn.1, to, pixel, "binds to");
    }
    let begins = events(&json, "binds", Some("mo/p.min"));
    let drawn = bars("Mo:P by mass at least 1");
    assert_eq!(drawn.len(), 1);
    close(drawn[0].0, begins[0], pixel, "binds from");
    close(drawn[0].1, 6.0, pixel, "binds to the end");
    assert_eq!(bars("Noack loss at most as varied").len(), 1);
    assert_eq!(
        bars("CCS at -30 °C at most 6600 mPa·s (SAE J300 5W-50)").len(),
        1
    );
    // What binds between the points alone is told with its number too.
    assert_eq!(
        bars("treat of moly-booster at most 1.5 % (shelf band)").len(),
        1
    );
}

#[test]
fn a_recipe_that_jumps_is_not_drawn_sliding() {
    let question = [
        "sweep",
        HILL,
        "--vary",
        "shelf.pao-4.price=2..4",
        "--points",
        "5",
    ];
    let (json, sheet) = asked(&question);
    let (_, rate, x) = axes(&sheet);
    let jumps = events(&json, "other-recipe", None);
    assert!(!jumps.is_empty());
    let bands = bands(&sheet);
    for at in &jumps {
        let kinks = sheet.all("polyline", BLUE)[0].places.clone();
        let here = kinks.iter().find(|p| x.is(p.0, *at)).expect("a kink");
        let moves = bands.values().map(|band| {
            let sides = thick(band, here.0, &rate);
            (sides[sides.len() - 1] - sides[0]).abs()
        });
        let most = moves.fold(0.0, f64::max);
        assert!(most > 1.0, "at {at} a treat rate jumps: {most}");
    }
    // Price moves no recipe between two changes: at the left end it is as at the first jump's left side.
    let band = &bands["group III 6"];
    let left = thick(band, band[0].0, &rate)[0];
    let first = jumps[0];
    let edge = band[..band.len() / 2]
        .iter()
        .find(|p| x.is(p.0, first))
        .expect("an edge");
    close(
        thick(band, edge.0, &rate)[0],
        left,
        0.15,
        "the recipe until it jumps",
    );
}

#[test]
fn grades_without_a_recipe_each_say_why() {
    let question = ["sweep", HILL, "--vary", "grade=5W-60,5W-30,5W-50"];
    let (json, sheet) = asked(&question);
    assert_eq!(sheet.all("circle", BLUE).len(), 1);
    let at = |grade: &str| sheet.place(grade).0;
    assert!(at("5W-60") < at("5W-30") && at("5W-30") < at("5W-50"));
    close(
        sheet.all("circle", BLUE)[0].places[0].0,
        at("5W-50"),
        2.0,
        "its dot",
    );
    let cost = sheet.axis(true, |p| p.1 < sheet.place("treat rate, mass %").1);
    cost.holds(
        sheet.all("circle", BLUE)[0].places[0].1,
        number(&json["points"][2]["goal"]),
        "its cost",
    );
    let told = sheet.told();
    assert!(
        told.contains("No recipe at 5W-60: KV100 must be at least 21.9"),
        "{told}"
    );
    assert!(
        told.contains("No recipe at 5W-30: KV100 after shear must be at least 16.3"),
        "{told}"
    );
    // SAE J300: grade 30 is below 12.5 mm²/s.
    assert!(
        told.contains("KV100 must be below 12.5 mm²/s (SAE J300 5W-30)"),
        "{told}"
    );
}

/// The requirements that bind at a point.
fn binding(point: &Value) -> Vec<String> {
    let keys = list(point, "binds").iter();
    keys.map(|k| k.as_str().expect("a key").to_owned())
        .collect()
}

#[test]
fn a_map_has_its_cells_in_their_places() {
    let question = [
        "sweep",
        HILL,
        "--vary",
        "limits.hths.min=4.3,4.7,5.1,5.5",
        "--vary",
        "limits.noack.max=4,5,6,7,8",
    ];
    let (json, sheet) = asked(&question);
    // The first number goes up, the second to the right.
    let bottom = sheet.place("Noack loss, at most, %");
    assert!(sheet.place("HTHS at 150 °C, at least, mPa·s").1 < 1000.0);
    let right = sheet.place("cost, EUR/kg").0;
    let x = sheet.axis(false, |p| p.0 < right && p.1 < bottom.1);
    let y = sheet.axis(true, |p| p.0 < right && p.1 < bottom.1);
    let cell = |value: (f64, f64)| -> (&Thing, Place) {
        let place =
            |axis: &Axis, v: f64| (v - axis.value(0.0)) / (axis.value(1.0) - axis.value(0.0));
        let at = (place(&x, value.0), place(&y, value.1));
        let over = |t: &&Thing| {
            let corners = (t.places[0], t.places[t.places.len() - 1]);
            t.tag == "rect"
                && corners.0.0 <= at.0
                && at.0 <= corners.1.0
                && corners.0.1 <= at.1
                && at.1 <= corners.1.1
        };
        (sheet.things.iter().rfind(over).expect("a cell"), at)
    };
    let light = |colour: &str| -> f64 {
        let part = |i: usize| f64::from(u8::from_str_radix(&colour[i..i + 2], 16).expect("hex"));
        0.2126 * part(1) + 0.7152 * part(3) + 0.0722 * part(5)
    };
    let mut goals: Vec<(f64, f64)> = Vec::new();
    for point in list(&json, "points") {
        let (thing, _) = cell((number(&point["at"][1]), number(&point["at"][0])));
        match point["goal"].as_f64() {
            Some(goal) => goals.push((goal, light(&thing.colour))),
            None => assert_eq!(thing.colour, NOTHING),
        }
    }
    assert!(goals.len() < 20 && goals.len() > 10);
    goals.sort_by(|a, b| a.0.total_cmp(&b.0));
    assert!(
        goals.windows(2).all(|w| w[0].1 >= w[1].1 - 0.5),
        "dearer is darker: {goals:?}"
    );
    let told = sheet.told();
    assert!(
        told.contains("No recipe at ") && told.contains("of 20 points: "),
        "{told}"
    );
    assert!(told.contains("what the axis says"), "{told}");
    // One name, one set of what binds.
    let mut sets: BTreeMap<String, Vec<String>> = BTreeMap::new();
    for point in list(&json, "points")
        .iter()
        .filter(|p| !p["goal"].is_null())
    {
        let (_, at) = cell((number(&point["at"][1]), number(&point["at"][0])));
        let near = |t: &&&Thing| {
            (t.places[0].0 - at.0).abs() < 30.0 && (t.places[0].1 - at.1).abs() < 80.0
        };
        let texts = sheet.words();
        if let Some(name) = texts.iter().find(near).filter(|t| t.words.len() == 1) {
            let known = sets
                .entry(name.words.clone())
                .or_insert_with(|| binding(point));
            assert_eq!(*known, binding(point), "{}", name.words);
        }
    }
    assert!(sets.len() > 1, "{sets:?}");
    let own: std::collections::BTreeSet<&Vec<String>> = sets.values().collect();
    assert_eq!(own.len(), sets.len());
    assert!(!sheet.all("polyline", INK).is_empty(), "borders");
}

#[test]
fn a_frontier_is_drawn_as_it_was_answered() {
    let (json, sheet) = asked(&["frontier", HILL, "--between", "cost,noack", "--points", "9"]);
    assert!(sheet.says("cost, EUR/kg") && sheet.says("Noack loss, %"));
    assert!(
        sheet.place("cost, EUR/kg").1 < sheet.place("Noack loss, %").1,
        "money goes upwards"
    );
    let floor = sheet.place("Noack loss, %").1;
    let x = sheet.axis(false, |p| p.1 < floor);
    let y = sheet.axis(true, |p| p.1 < floor);
    let points = list(&json, "points");
    let curve = sheet.all("polyline", BLUE);
    assert_eq!(curve.len(), 1);
    assert_eq!(curve[0].places.len(), points.len());
    for (place, point) in curve[0].places.iter().zip(points) {
        x.holds(place.0, number(&point["values"][1]), "Noack loss");
        y.holds(place.1, number(&point["values"][0]), "cost");
    }
    // Which end is which.
    let ends = sheet.all("circle", VERMILLION);
    assert_eq!(ends.len(), 2);
    let (cheap, tight) = (
        sheet.place("the lowest cost"),
        sheet.place("the lowest Noack loss"),
    );
    assert!(cheap.1 > tight.1 && cheap.0 > tight.0);
    // Money a per cent of loss: the inverse of what the answer says the other way round.
    let rates: Vec<f64> = sheet
        .words()
        .iter()
        .filter_map(|t| t.words.strip_suffix(" EUR/kg per 1 % more"))
        .map(|n| n.replace('−', "-").parse().expect("a rate"))
        .collect();
    assert!(rates.len() >= 3, "{}", sheet.told());
    for rate in rates {
        let known = points
            .iter()
            .filter_map(|p| p["exchange_rate"]["per_unit"].as_f64());
        let mut known = known.map(f64::recip);
        assert!(
            rate < 0.0 && known.any(|k| (k - rate).abs() < 0.06 * k.abs()),
            "{rate}"
        );
    }
}

/// The effect of a move, lowered or raised; none where no recipe is left.
fn effect(row: &Value, moved: &str) -> Option<f64> {
    match row[moved]["status"].as_str() {
        Some("no-recipe") => None,
        _ => Some(row[moved]["change"].as_f64().unwrap_or(0.0)),
    }
}

/// Holds each bar of a tornado against the answer; `first` is the way drawn in vermillion of a row.
fn tornado(
    json: &Value,
    sheet: &Sheet,
    name: impl Fn(&Value) -> String,
    first: impl Fn(&Value) -> &'static str,
) {
    let rows: Vec<&Value> = list(json, "rows")
        .iter()
        .filter(|r| {
            ["lowered", "raised"]
                .iter()
                .any(|m| effect(r, m).is_none_or(|e| e.abs() > 0.0))
        })
        .collect();
    assert!(rows.len() > 5);
    let floor = sheet.place(&sheet.words().last().expect("an axis").words).1;
    let x = sheet.axis(false, |p| p.1 < floor);
    let (mut before, mut greatest) = (0.0, f64::INFINITY);
    for row in rows {
        let at = sheet.place(&name(row)).1;
        assert!(at > before, "{}: the rows in their order", name(row));
        before = at;
        let second = if first(row) == "lowered" {
            "raised"
        } else {
            "lowered"
        };
        let mut most = 0.0_f64;
        for (moved, colour) in [(first(row), VERMILLION), (second, SKY)] {
            let Some(effect) = effect(row, moved) else {
                most = f64::INFINITY;
                continue;
            };
            most = most.max(effect.abs());
            let bars = sheet.all("rect", colour);
            let bar = bars
                .iter()
                .find(|b| b.places[0].1 < at && at < b.places[1].1 + 10.0)
                .expect("a bar");
            let ends = (bar.places[0].0, bar.places[1].0);
            let (zero, end) = if effect < 0.0 { (ends.1, ends.0) } else { ends };
            x.holds(zero, 0.0, "where a bar begins");
            x.holds(end, effect, &format!("{} {moved}", name(row)));
        }
        assert!(most <= greatest, "the greatest first");
        greatest = most;
    }
}

#[test]
fn tornados_are_drawn_as_they_were_answered() {
    let (json, sheet) = asked(&["sweep", "problems/low-ash-5w-30.toml", "--every-limit"]);
    for words in [
        "tighter",
        "looser",
        "change of cost from 2.815, EUR/kg",
        "no recipe at 0.68",
    ] {
        assert!(sheet.says(words), "{words}: {}", sheet.told());
    }
    let labels: BTreeMap<&str, &str> = BTreeMap::from([
        ("ash", "sulfated ash ≤ 0.8 %"),
        ("hths", "HTHS at 150 °C ≥ 3.5 mPa·s"),
        ("noack", "Noack loss ≤ 10 %"),
        ("aniline-point", "aniline point ≤ 113 °C"),
        ("kv100", "KV100 ≤ 12.2 mm²/s"),
        ("base-number", "base number ≥ 6.6 mg KOH/g"),
        ("p", "phosphorus ≥ 700 ppm"),
        ("treat.pour-depressant", "treat of pour-depressant ≥ 0.2 %"),
        ("synthetic-share", "synthetic-share ≥ 25 %"),
        ("treat.package-low", "treat of package-low ≥ 10 %"),
    ]);
    let name = |row: &Value| {
        let key = row["moved"].as_str().expect("a key");
        let label = labels
            .iter()
            .find(|(k, _)| **k == key || key.replace(':', ".") == **k);
        (*label.unwrap_or_else(|| panic!("{key}")).1).to_owned()
    };
    // A maximum is tighter lowered, a minimum raised.
    tornado(&json, &sheet, name, |row| {
        if row["side"] == "max" {
            "lowered"
        } else {
            "raised"
        }
    });

    let (json, sheet) = asked(&["sweep", HILL, "--every-price"]);
    for words in [
        "cheaper",
        "dearer",
        "5W-50 for the hill-climb cars: each price ± 10 %",
    ] {
        assert!(sheet.says(words), "{words}: {}", sheet.told());
    }
    let hill = read_problem(HILL);
    let name = |row: &Value| {
        let component = hill.components.iter().find(|c| row["moved"] == c.id[..]);
        format!(
            "{} at {} EUR/kg",
            component.expect("a component").name,
            number(&row["from"])
        )
    };
    // What costs is the darker of the two, here too.
    tornado(&json, &sheet, name, |_| "raised");
}

/// The area of a closed line (the shoelace formula).
fn area(places: &[Place]) -> f64 {
    let next = places.iter().cycle().skip(1);
    let twice: f64 = places
        .iter()
        .zip(next)
        .map(|(a, b)| a.0 * b.1 - b.0 * a.1)
        .sum();
    twice.abs() / 2.0
}

#[test]
fn chances_show_the_part_beyond_each_limit() {
    let recipe = "tests/verbs/predict-confidence/recipe.toml";
    let (json, sheet) = asked(&[
        "predict",
        "problems/logic-demo.toml",
        recipe,
        "--confidence=0.95",
    ]);
    let told = &json["confidence"];
    let lines: Vec<&Thing> = sheet
        .all("polyline", INK)
        .into_iter()
        .filter(|l| (l.places[0].0 - l.places[1].0).abs() < 0.5)
        .collect();
    let mut seen = 0;
    for panel in list(told, "distributions") {
        let property = panel["property"].as_str().expect("a key");
        let limits: Vec<&Value> = list(told, "limits")
            .iter()
            .filter(|l| l["property"] == property)
            .collect();
        // One-sided ones: their panel is the hump in which what fails is the rest.
        let [limit] = limits[..] else { continue };
        let head = match property {
            "phosphorus" | "p" => "phosphorus, ppm",
            "noack" => "Noack loss, %",
            "base-number" => "base number, mg KOH/g",
            "hths" => "HTHS at 150 °C, mPa·s",
            "aniline-point" => "aniline point, °C",
            _ => continue,
        };
        let corner = sheet.place(head);
        let ours = |p: Place| {
            p.0 >= corner.0 - 1.0
                && p.0 < corner.0 + 2905.0
                && p.1 > corner.1
                && p.1 < corner.1 + 1700.0
        };
        let x = sheet.axis(false, ours);
        let stated = number(&limit["stated"]);
        let line = lines.iter().find(|l| ours(l.places[0])).expect("a line");
        x.holds(line.places[0].0, stated, head);
        let side = limit["side"].as_str().expect("a side");
        let way = if side == "min" { "at least" } else { "at most" };
        let named = sheet
            .words()
            .iter()
            .any(|t| ours(t.places[0]) && t.words == format!("{way} {stated}"));
        assert!(named, "{head}");
        let part = |colour: &str| -> f64 {
            let parts = sheet.all("polygon", colour);
            parts
                .iter()
                .filter(|p| ours(p.places[1]))
                .map(|p| area(&p.places))
                .sum()
        };
        let failed = part(VERMILLION) / (part(VERMILLION) + part(SKY));
        let pass = number(&limit["pass"]["probability"]);
        // To the width of a bin.
        close(failed, 1.0 - pass, 0.02, head);
        for p in sheet
            .all("polygon", VERMILLION)
            .iter()
            .filter(|p| ours(p.places[1]))
        {
            let beyond = p.places.iter().all(|q| {
                if side == "min" {
                    q.0 <= line.places[0].0 + 1.0
                } else {
                    q.0 >= line.places[0].0 - 1.0
                }
            });
            assert!(beyond, "{head}: the failing side");
        }
        seen += 1;
    }
    assert!(seen >= 3, "{seen} panels");
    // SAE J300 states the kinematic viscosity of grade 40 as at least 12.5 and *below* 16.3 mm²/s.
    for words in ["at least 12.5", "below 16.3"] {
        assert!(sheet.words().iter().any(|t| t.words == words), "{words}");
    }
    let together = 100.0 * number(&told["together"]["probability"]);
    assert!(
        sheet
            .told()
            .contains(&format!("All limits together pass in {together:.1} %")),
        "{}",
        sheet.told()
    );
}

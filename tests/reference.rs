//! Numbers from outside: standards, handbook tables, worked examples, an open library.
//!
//! Each file of `tests/reference/` holds rows of property, inputs, expected, tolerance and source. A
//! row without a source fails, and so does a row that nothing here computes.

mod support;

use std::collections::BTreeMap;
use std::collections::BTreeSet;
use support::{COLD, Random, bare, limit, state};
use treatrate::declare::component::Band;
use treatrate::declare::problem::{Mixing, Problem, Side, ThickeningLaw, ViscosityRule};
use treatrate::declare::property::{Datum, Property};
use treatrate::predict::book::Book;
use treatrate::predict::figures;
use treatrate::predict::figures::Cold;
use treatrate::predict::formula::Formula;
use treatrate::predict::link::Link;
use treatrate::quantity::{Celsius, Share};
use treatrate::solve::answer::Status;
use treatrate::solve::search::{Budget, cheapest};
use treatrate::standard::ash;
use treatrate::standard::blending_number::{nu_of_vbn, vbn};
use treatrate::standard::element::Element;
use treatrate::standard::flash::{thiele_flash, thiele_index};
use treatrate::standard::grade::{Grade, Quantity, Window};
use treatrate::standard::temperature::Line;
use treatrate::standard::viscosity_index::{kv40_for, viscosity_index};

/// The table and the standard's quadratics agree within this much viscosity index: both come from
/// one fit, and the quadratics' seams jump by up to 0.4.
const QUADRATICS: f64 = 0.3;

type Row = BTreeMap<String, String>;

/// The rows of a file by column name; lines that begin with `#` are comments.
fn rows(file: &str) -> Vec<Row> {
    let path = format!("{}/tests/reference/{file}", env!("CARGO_MANIFEST_DIR"));
    let text = std::fs::read_to_string(&path).expect("a file of this repository");
    let mut lines = text.lines().filter(|line| !line.starts_with('#'));
    let header = cells(lines.next().expect("a header"));
    lines
        .map(|line| {
            let cells = cells(line);
            assert_eq!(cells.len(), header.len(), "{file}: {line}");
            header.iter().cloned().zip(cells).collect()
        })
        .collect()
}

/// One line of comma-separated values; a comma inside quotes does not separate.
fn cells(line: &str) -> Vec<String> {
    let mut cells = vec![String::new()];
    let mut quoted = false;
    for c in line.chars() {
        match c {
            '"' => quoted = !quoted,
            ',' if !quoted => cells.push(String::new()),
            _ => cells.last_mut().expect("never empty").push(c),
        }
    }
    cells
}

/// Every number in a text, in order; `18.4@40;4.1@100` has four.
fn numbers(text: &str) -> Vec<f64> {
    text.split(|c: char| !(c.is_ascii_digit() || c == '.' || c == '-'))
        .filter_map(|word| word.parse().ok())
        .collect()
}

/// Asserts one computed value against its row: `1e-5`, `1e-4 rel` or `exact`.
fn check(row: &Row, found: f64) {
    let name = format!("{} of {}", row["property"], row["inputs"]);
    assert!(!row["source"].trim().is_empty(), "{name}: no source");
    let expected: f64 = row["expected"].parse().expect("a number");
    let room = match row["tolerance"].split_once(' ') {
        Some((share, "rel")) => share.parse::<f64>().expect("a number") * expected.abs(),
        _ if row["tolerance"] == "exact" => 0.0,
        _ => row["tolerance"].parse().expect("a number"),
    };
    assert!(
        (found - expected).abs() <= room,
        "{name}: {found}, not {expected}"
    );
}

/// Viscosities at 40 °C and 100 °C from `18.4@40;4.1@100`.
fn line(inputs: &str) -> Line {
    let n = numbers(inputs);
    Line::through(n[0], n[2]).expect("a line")
}

/// Viscosity index of `KV40 73.3 KV100 8.86`, whose labels end in numbers of their own.
fn labelled_vi(inputs: &str) -> f64 {
    let n: Vec<f64> = inputs.split(' ').filter_map(|w| w.parse().ok()).collect();
    viscosity_index(n[0], n[1]).expect("inside the domain")
}

/// Sulfated ash, mass %, of metals in mass %, with zinc by the trade's factor.
fn sulfated_ash(metals: &[(Element, f64)], zinc: f64) -> f64 {
    let others: f64 = metals
        .iter()
        .map(|(metal, percent)| ash::factor(*metal).expect("leaves ash") * percent)
        .sum();
    others + ash::ZINC_TRADE * zinc
}

/// The value of one row of `checks.csv`, by its id; `None` where this file leaves it to others.
fn value(id: &str, inputs: &str) -> Option<f64> {
    let hot = Celsius::whole(150);
    Some(match id {
        "341-1" | "341-4" | "341-5" => line(inputs).at(hot),
        "341-2" => line(inputs).a,
        "341-3" => line(inputs).b,
        "VBN-1" => vbn(numbers(inputs)[0]),
        "VBN-2" => nu_of_vbn(numbers(inputs)[0]),
        "VI-1" | "VI-2" | "VI-3" => labelled_vi(inputs).round(),
        "VI-4" | "VI-5" | "VI-6" | "VI-7" | "VI-8" => labelled_vi(inputs),
        "ASH-1" => 0.085 * sulfated_ash(&[(Element::Ca, 0.47), (Element::Mg, 1.15)], 1.66),
        "ASH-2" => sulfated_ash(&[(Element::Ca, 0.06), (Element::Mg, 0.07)], 0.15),
        "ASH-3" => sulfated_ash(&[(Element::Ca, 0.22)], 0.095),
        "FL-1" => thiele_flash(0.7 * thiele_index(220.0) + 0.3 * thiele_index(270.0)),
        // Neutral zinc dialkyldithiophosphate holds two phosphorus atoms per zinc.
        "PZN-1" => 2.0 * Element::P.atomic_weight() / Element::Zn.atomic_weight(),
        _ => predicted(id)?,
    })
}

/// The rows that are a property of a blend.
fn predicted(id: &str) -> Option<f64> {
    let property = |id: &str| {
        if id.ends_with("-40") {
            Property::Kv40
        } else {
            Property::Kv100
        }
    };
    Some(match id {
        "BL-W-40" | "BL-W-100" => two_stocks(ViscosityRule::WaltherVolume, &property(id)),
        "BL-V-40" | "BL-V-100" => two_stocks(ViscosityRule::DoubleLogMass, &property(id)),
        "BL-WR-40" | "BL-WR-100" => two_stocks(ViscosityRule::WrightVolume, &property(id)),
        "BL-A-40" | "BL-A-100" => two_stocks(ViscosityRule::LogMass, &property(id)),
        "DEN-1" => {
            let p = stocks(3, &[(Datum::Density, &[0.820, 0.846, 0.950])]);
            of_blend(&p, &Property::Density, &[0.7, 0.2, 0.1])
        }
        "CCS-1" => {
            let p = stocks(2, &[(Datum::Ccs(COLD), &[1450.0, 4800.0])]);
            of_blend(&p, &Property::Ccs(COLD), &[0.7, 0.3])
        }
        "CCS-2" => {
            let at = Celsius::from_degrees(-32.5)?;
            let measured = [
                (Datum::Ccs(Celsius::whole(-30)), &[3350.0][..]),
                (Datum::Ccs(Celsius::whole(-35)), &[6100.0]),
            ];
            let p = stocks(1, &measured);
            figures::cold(&p.components[0], Cold::Cranking, at)?.value
        }
        "VM-1" => thickened(1.0, ThickeningLaw::Huggins, 0.7463, 0.7463, 0.45),
        "VM-2" => thickened(1.0, ThickeningLaw::Martin, 0.7463, 0.7463, 0.45),
        // Temporary shear leaves 1 − 0.3 of the thickening 1.9460 − 1 on a base of 2.2499 mPa·s.
        "VM-3" => thickened(2.2499, ThickeningLaw::Huggins, 0.7 * 0.9460, 0.9460, 0.0),
        // The injector test leaves 1 − 25/100 of what the polymer adds to 6.5 mm²/s.
        "SS-1" => {
            let s = 14.0 / 6.5 - 1.0;
            thickened(6.5, ThickeningLaw::Martin, 0.75 * s, s, 0.0)
        }
        "MO-1" => least_booster(),
        _ => return None,
    })
}

/// A shelf of fluids of which only the given figures are stated.
fn stocks(count: usize, stated: &[(Datum, &[f64])]) -> Problem {
    let mut p = bare(&mut Random::new(1), count + 1, 0);
    p.components.truncate(count);
    p.bands.truncate(count);
    p.mixing = Mixing::default();
    for (j, c) in p.components.iter_mut().enumerate() {
        c.figures.clear();
        for (datum, values) in stated {
            state(c, datum.clone(), values[j]);
        }
    }
    p
}

fn of_blend(p: &Problem, property: &Property, shares: &[f64]) -> f64 {
    let book = Book::new(p, p.mixing, [property]);
    let entry = book.entry(property).expect("a model");
    book.value(entry, shares).expect("every figure is stated")
}

/// 80/20 by mass of 18.4/4.1 mm²/s, 0.820 kg/L, and 1000/100 mm²/s, 0.846 kg/L.
fn two_stocks(viscosity: ViscosityRule, property: &Property) -> f64 {
    let mut p = stocks(
        2,
        &[
            (Datum::Kv40, &[18.4, 1000.0]),
            (Datum::Kv100, &[4.1, 100.0]),
            (Datum::Density, &[0.820, 0.846]),
        ],
    );
    p.mixing.viscosity = viscosity;
    of_blend(&p, property, &[0.8, 0.2])
}

/// A base fluid thickened by reduced concentration `s` of which a test sees `kept`, at the
/// temperature and density (15 °C, 1 g/mL) where totals and concentrations are one number.
fn thickened(base: f64, law: ThickeningLaw, kept: f64, s: f64, k: f64) -> f64 {
    let formula = Formula::Thickened {
        link: Link::Log,
        law,
        at: Celsius::whole(15),
    };
    formula
        .value(&[base.ln(), 1.0, 1.0, kept, k * s])
        .expect("defined")
}

/// Least treat of a booster of 10 % molybdenum that puts as much molybdenum as the 800 ppm of
/// phosphorus of a fixed package into the oil.
fn least_booster() -> f64 {
    let ppm = [
        (Datum::Element(Element::P), &[0.0, 8000.0, 0.0][..]),
        (Datum::Element(Element::Mo), &[0.0, 0.0, 100_000.0]),
    ];
    let mut p = stocks(3, &ppm);
    p.bands[1] = Band::natural();
    p.bands[2] = Band::natural();
    p.bands[1].min.share = Share::from_percent(10.0);
    p.bands[1].max.share = Share::from_percent(10.0);
    let parity = Property::Ratio(Element::Mo, Element::P);
    p.limits = vec![limit(parity, Side::Min, 1.0)];
    p.goal.property = Property::Treat(p.components[2].id.clone());
    let answer = cheapest(&p, &Budget::default());
    assert_eq!(answer.status, Status::Optimal, "{}", answer.proof.words);
    answer.recipe.expect("optimal").shares()[2].fraction()
}

#[test]
fn single_numbers() {
    let mut seen = BTreeSet::new();
    for row in rows("checks.csv") {
        let found = value(&row["id"], &row["inputs"]);
        check(
            &row,
            found.unwrap_or_else(|| panic!("nothing computes {}", row["id"])),
        );
        assert!(seen.insert(row["id"].clone()), "{} twice", row["id"]);
    }
}

#[test]
fn viscosity_indices() {
    for row in rows("viscosity-index.csv") {
        let n = numbers(&row["inputs"]);
        let found: Option<f64> = viscosity_index(n[0], n[1]);
        match (row["property"].as_str(), found) {
            ("vi", None) => assert_eq!(row["expected"], "none", "{}", row["inputs"]),
            ("vi", Some(vi)) => check(&row, vi),
            ("vi-rounded", Some(vi)) => check(&row, vi.round()),
            (other, _) => panic!("nothing computes {other} of {}", row["inputs"]),
        }
    }
}

/// The bounds of one window as the file names them.
fn bounds(window: &Window) -> Vec<(String, f64)> {
    let quantity = match window.quantity {
        Quantity::Kv40 => "kv40".into(),
        Quantity::Kv100 => "kv100".into(),
        Quantity::Hths => "hths".into(),
        Quantity::Ccs(t) => format!("ccs@{t}"),
        Quantity::Mrv(t) => format!("mrv@{t}"),
        Quantity::Brookfield(t) => format!("brookfield@{t}"),
        Quantity::Kv100Krl => "kv100-krl".into(),
    };
    let max = if window.strict { "below" } else { "max" };
    let named = |side: &str, bound| (format!("{quantity} {side}"), bound);
    let least = window.min.map(|bound| named("min", bound));
    least
        .into_iter()
        .chain(window.max.map(|bound| named(max, bound)))
        .collect()
}

/// The bounds of a grade; of a 40 grade with a winter half only its own row's.
fn own_bounds(grade: &str) -> BTreeMap<String, f64> {
    let windows = Grade::parse(grade).expect("a grade").windows();
    let own = |w: &&Window| !grade.ends_with("W-40") || w.row == "40";
    windows.iter().filter(own).flat_map(bounds).collect()
}

#[test]
fn grade_windows_row_by_row_and_no_more() {
    let mut listed: BTreeMap<String, usize> = BTreeMap::new();
    for row in rows("grade-windows.csv") {
        let found = own_bounds(&row["inputs"]);
        let bound = found.get(&row["property"]);
        check(
            &row,
            *bound.unwrap_or_else(|| panic!("{} lacks {}", row["inputs"], row["property"])),
        );
        *listed.entry(row["inputs"].clone()).or_default() += 1;
    }
    for (grade, count) in listed {
        assert_eq!(
            own_bounds(&grade).len(),
            count,
            "{grade} has windows that no row lists"
        );
    }
}

/// Viscosity index from stated L and H (ASTM D2270, both procedures).
fn index(u: f64, y: f64, l: f64, h: f64) -> f64 {
    if u >= h {
        100.0 * (l - u) / (l - h)
    } else {
        100.0 + (10.0_f64.powf((h / u).log10() / y.log10()) - 1.0) / 0.00715
    }
}

#[test]
fn table_agrees_with_the_quadratics() {
    for row in rows("d2270-quadratics.csv") {
        let number = |key: &str| row[key].parse::<f64>().expect("a number");
        let (from, to) = (number("kv100_from"), number("kv100_to").min(200.0));
        for step in 0..100 {
            let y = from + (to - from) * f64::from(step) / 100.0;
            let l = (number("a") * y + number("b")) * y + number("c");
            let h = (number("d") * y + number("e")) * y + number("f");
            for wanted in [0.0, 50.0, 99.0, 120.0, 180.0] {
                let u = kv40_for(wanted, y);
                let found = index(u.expect("inside the domain"), y, l, h);
                assert!(
                    (found - wanted).abs() < QUADRATICS,
                    "{found} for {wanted} at {y}"
                );
            }
        }
    }
}

//! Laws of the property models that hold whatever the numbers; `optima.rs` has those of the search.

mod support;

use support::{
    COLD, Random, bare, every_property, problem, reordered, rich, shuffled, with_twin, without,
};
use treatrate::declare::component::Component;
use treatrate::declare::problem::{
    Mixing, Problem, Side, ThickeningLaw, UserRule, ViscosityRule, ZincAsh,
};
use treatrate::declare::property::{Datum, Property};
use treatrate::declare::recipe::Recipe;
use treatrate::predict::book::{Book, Entry};
use treatrate::predict::exact::{Form, form};
use treatrate::predict::judge::judge;
use treatrate::predict::total::WIDTH;
use treatrate::quantity::Share;
use treatrate::standard::element::Element;
use treatrate::standard::viscosity_index::viscosity_index;

/// Step of a central difference, in mass fraction: its own error, about step² times the third
/// derivative, and rounding over the step are then both near 1e-9 of the value.
const STEP: f64 = 1e-5;

/// Agreement of an exact slope with a central difference, in parts of the property's size: a hundred
/// times what the difference itself may err.
const SLOPE: f64 = 1e-6;

/// The same for curvatures against differences of slopes, in parts of the property's size per
/// relative change of two totals.
const CURVATURE: f64 = 1e-5;

/// Rounding of a sum of forty terms carried through two exponentials.
const ROUNDING: f64 = 1e-10;

/// A limit's row and its formula may disagree only this near to the bound, in parts of its size.
const ON_BOUND: f64 = 1e-9;

/// Random blends tried for each combination of rules.
const BLENDS: u64 = 12;

fn all_mixings() -> Vec<Mixing> {
    let mut all = Vec::new();
    for viscosity in ViscosityRule::ALL {
        for thickening in ThickeningLaw::ALL {
            all.push(Mixing {
                viscosity,
                thickening,
                zinc_ash: ZincAsh::ALL[all.len() % ZincAsh::ALL.len()],
            });
        }
    }
    all
}

/// A rich shelf, its models, and mass fractions of a blend of everything on it.
fn blend(seed: u64, mixing: Mixing, polymers: usize) -> (Problem, Book, Vec<f64>) {
    let mut r = Random::new(seed);
    let p = rich(&mut r, 9, polymers, mixing);
    let book = Book::new(&p, mixing, &every_property(&p));
    let x = r.shares(p.components.len());
    (p, book, x)
}

/// Runs a check on random blends of every rule and law, with and without polymers.
fn on_blends(mut check: impl FnMut(&Problem, &Book, &[f64])) {
    for (k, mixing) in (0..).zip(all_mixings()) {
        for seed in 0..BLENDS {
            let (p, book, x) = blend(1000 * k + seed, mixing, [0, 2][usize::from(seed % 3 != 0)]);
            check(&p, &book, &x);
        }
    }
}

/// Whether a property has kinks: a table's rows, the lower of two. Where two steps disagree there,
/// a difference says nothing.
fn kinked(property: &Property) -> bool {
    matches!(property, Property::Vi | Property::Flash)
}

#[test]
fn slopes_are_central_differences() {
    let mut checked = 0;
    on_blends(|p, book, x| {
        for entry in book.entries() {
            let Some(slope) = book.slope(entry, x) else {
                continue;
            };
            let value = book.value(entry, x).expect("a slope has a value");
            let size = slope.iter().fold(value.abs(), |m, s| m.max(s.abs()));
            for (j, s) in slope.iter().enumerate() {
                let at = |step: f64| {
                    let mut moved = x.to_vec();
                    moved[j] += step;
                    book.value(entry, &moved)
                };
                let difference = |step: f64| Some((at(step)? - at(-step)?) / (2.0 * step));
                let (Some(coarse), Some(fine)) = (difference(STEP), difference(STEP / 2.0)) else {
                    continue;
                };
                if kinked(&entry.property) && (coarse - fine).abs() > SLOPE * size.max(1.0) {
                    continue;
                }
                checked += 1;
                // Two steps, extrapolated: a ratio over traces of an element bends sharply.
                let found = (4.0 * fine - coarse) / 3.0;
                assert!(
                    (found - s).abs() <= SLOPE * size.max(1.0),
                    "{} by `{}` with {:?}: {s}, difference {found}",
                    entry.property,
                    p.components[j].id,
                    p.mixing
                );
            }
        }
    });
    assert!(checked > 30_000, "only {checked} slopes were checked");
}

#[test]
fn every_property_and_rule_is_covered_by_these_laws() {
    let (p, book, _) = blend(5, Mixing::default(), 2);
    for property in every_property(&p) {
        assert!(book.entry(&property).is_some(), "{property} has no model");
    }
    assert_eq!(p.properties.len(), UserRule::ALL.len());
}

#[test]
fn curvatures_are_differences_of_slopes() {
    on_blends(|_, book, x| {
        for entry in book.entries() {
            let n = entry.totals.len();
            let z = book.at(entry, x);
            let (Some(curvature), Some((value, slope))) = (
                entry.formula.curvature(&z[..n]),
                entry.formula.slope(&z[..n]),
            ) else {
                continue;
            };
            // Totals differ in size by ten thousand: each is moved by a part of itself.
            let unit = |i: usize| z[i].abs().max(1e-2);
            let mut size = value.abs().max(1e-6);
            for i in 0..n {
                size = size.max((slope[i] * unit(i)).abs());
                for j in 0..n {
                    size = size.max((curvature[(i, j)] * unit(i) * unit(j)).abs());
                }
            }
            for i in 0..n {
                let at = |step: f64| -> Option<[f64; WIDTH]> {
                    let mut moved = z;
                    moved[i] += step * unit(i);
                    Some(entry.formula.slope(&moved[..n])?.1)
                };
                let (Some(up), Some(down)) = (at(STEP), at(-STEP)) else {
                    continue;
                };
                for j in 0..n {
                    let (left, middle, right) = (down[j], slope[j], up[j]);
                    // A table's kink makes the slope jump.
                    if (left - 2.0 * middle + right).abs() * unit(j) > 1e-6 * size {
                        continue;
                    }
                    let found = (right - left) / (2.0 * STEP) * unit(j);
                    let exact = curvature[(i, j)] * unit(i) * unit(j);
                    assert!(
                        (found - exact).abs() <= CURVATURE * size,
                        "{} by totals {i} and {j}: {exact}, difference {found}",
                        entry.property
                    );
                }
            }
        }
    });
}

/// What a component states of a property that blends to it.
fn stated(p: &Problem, c: &Component, property: &Property) -> Option<f64> {
    let datum = match property {
        Property::Kv40 => Datum::Kv40,
        Property::Kv100 => Datum::Kv100,
        Property::Density => Datum::Density,
        Property::Ccs(t) => Datum::Ccs(*t),
        Property::Mrv(t) => Datum::Mrv(*t),
        Property::Noack => Datum::Noack,
        Property::BaseNumber => Datum::BaseNumber,
        Property::AcidNumber => Datum::AcidNumber,
        Property::AnilinePoint => Datum::AnilinePoint,
        Property::IrBaseline => Datum::IrBaseline,
        Property::Flash => Datum::Flash,
        Property::Cost => Datum::Price,
        Property::Element(e) => Datum::Element(*e),
        Property::User(name) => Datum::User(name.clone()),
        Property::Vi => {
            let kv = |d| c.figure(&d).map(|f| f.value);
            return viscosity_index(kv(Datum::Kv40)?, kv(Datum::Kv100)?);
        }
        Property::Ratio(a, b) => {
            let ppm = |e: &Element| c.figure(&Datum::Element(*e)).map(|f| f.value);
            return Some(ppm(a)? / ppm(b)?).filter(|q| q.is_finite());
        }
        Property::CostPerLitre => {
            let price = c.figure(&Datum::Price)?.value;
            return Some(price * c.figure(&Datum::Density)?.value);
        }
        Property::PolarShare => return Some(if c.polar { 100.0 } else { 0.0 }),
        Property::Treat(id) => return Some(if *id == c.id { 100.0 } else { 0.0 }),
        Property::Group(name) => {
            let at = p.component(&c.id)?;
            let holds = p.group(name)?.members.contains(&at);
            return Some(if holds { 100.0 } else { 0.0 });
        }
        _ => return None,
    };
    c.figure(&datum).map(|f| f.value)
}

#[test]
fn a_blend_of_one_is_that_one() {
    let mut seen = std::collections::BTreeSet::new();
    on_blends(|p, book, _| {
        for (j, c) in p.components.iter().enumerate() {
            if c.polymer.is_some() {
                continue;
            }
            let mut x = vec![0.0; p.components.len()];
            x[j] = 1.0;
            for entry in book.entries() {
                let Some(expected) = stated(p, c, &entry.property) else {
                    continue;
                };
                let found = book.value(entry, &x);
                seen.insert(entry.property.clone());
                assert!(
                    found.is_some_and(|f| (f - expected).abs() <= 1e-9 * expected.abs().max(1.0)),
                    "{} of `{}` alone with {:?}: {found:?}, not {expected}",
                    entry.property,
                    c.id,
                    p.mixing
                );
            }
        }
    });
    for property in [
        Property::Kv40,
        Property::Vi,
        Property::Ccs(COLD),
        Property::Flash,
    ] {
        assert!(seen.contains(&property), "{property} was not looked at");
    }
}

/// The same values of every property, by its key, in two problems.
fn same_values(a: (&Problem, &[f64]), b: (&Problem, &[f64])) {
    let properties: Vec<Property> = every_property(a.0);
    let books = [a, b].map(|(p, _)| Book::new(p, p.mixing, &properties));
    for property in &properties {
        let value = |k: usize, x: &[f64]| {
            books[k]
                .entry(property)
                .and_then(|entry: &Entry| books[k].value(entry, x))
        };
        match (value(0, a.1), value(1, b.1)) {
            (Some(u), Some(v)) => assert!(
                (u - v).abs() <= ROUNDING * u.abs().max(1.0),
                "{property}: {u} and {v}"
            ),
            (u, v) => assert_eq!(u.is_some(), v.is_some(), "{property}"),
        }
    }
}

#[test]
fn predictions_do_not_see_order_twins_or_what_is_unused() {
    on_blends(|p, _, x| {
        let mut r = Random::new(9);
        let order = shuffled(&mut r, x.len());
        let moved: Vec<f64> = order.iter().map(|&j| x[j]).collect();
        same_values((p, x), (&reordered(p, &order), &moved));

        // The treat rate of the first component is limited by name: a twin would halve it.
        let j = 1 + r.below(x.len() - 1);
        let mut parts = x.to_vec();
        parts.push(0.3 * parts[j]);
        parts[j] *= 0.7;
        same_values((p, x), (&with_twin(p, j), &parts));

        let unused = (1..x.len()).find(|j| x[*j] <= 0.0);
        if let Some(j) = unused {
            let mut rest = x.to_vec();
            rest.remove(j);
            same_values((p, x), (&without(p, j), &rest));
        }
    });
}

#[test]
fn exact_rows_say_what_the_value_says() {
    let mut counts = [0_usize; 2];
    on_blends(|p, book, x| {
        let mut r = Random::new(77);
        for entry in book.entries() {
            let n = entry.totals.len();
            let z = book.at(entry, x);
            let Some(value) = entry.formula.value(&z[..n]) else {
                continue;
            };
            for side in [Side::Min, Side::Max] {
                let bound = value + value.abs().max(0.1) * r.between(-0.5, 0.5);
                let holds = match form(entry.formula, side, bound) {
                    Form::Curved => continue,
                    Form::Always => true,
                    Form::Never => false,
                    Form::Rows(rows) => rows.iter().all(|row| {
                        let sum: f64 = row.weights.iter().zip(&z).map(|(w, z)| w * z).sum();
                        match row.side {
                            Side::Min => sum >= row.rhs,
                            Side::Max => sum <= row.rhs,
                        }
                    }),
                };
                if (value - bound).abs() <= ON_BOUND * value.abs().max(1.0) {
                    continue;
                }
                let within = match side {
                    Side::Min => value >= bound,
                    Side::Max => value <= bound,
                };
                counts[usize::from(holds)] += 1;
                assert_eq!(
                    holds,
                    within,
                    "{} {} {bound} at {value} with {:?}",
                    entry.property,
                    side.key(),
                    p.mixing
                );
            }
        }
    });
    assert!(counts.iter().all(|c| *c > 1000), "{counts:?}");
}

#[test]
fn judging_does_not_see_the_order_of_the_shelf() {
    for seed in 0..10 {
        let p = problem(seed, 8, 1, false);
        let mut r = Random::new(seed);
        let x = r.shares(p.components.len());
        let order = shuffled(&mut r, x.len());
        let q = reordered(&p, &order);
        let recipe = |p: &Problem, x: Vec<f64>| {
            let shares: Vec<Share> = x.into_iter().map(Share::from_fraction).collect();
            judge(p, &Recipe::new(p, &shares).expect("sound shares"))
        };
        let (a, b) = (
            recipe(&p, x.clone()),
            recipe(&q, order.iter().map(|&j| x[j]).collect()),
        );
        assert_eq!(a.passes(), b.passes());
        for (u, v) in a.properties.iter().zip(&b.properties) {
            assert_eq!(u.property, v.property);
            let rounding = ROUNDING * u.value.abs().max(1.0);
            assert!((u.value - v.value).abs() <= rounding);
            assert!((u.spread.total() - v.spread.total()).abs() <= rounding);
        }
    }
}

#[test]
fn a_shelf_without_a_polymer_is_one_with_an_empty_polymer() {
    let mut r = Random::new(3);
    let mut p = bare(&mut r, 6, 0);
    let x = r.shares(p.components.len());
    let properties = [
        Property::Kv40,
        Property::Kv100,
        Property::Vi,
        Property::Hths,
    ];
    let values = |p: &Problem, x: &[f64]| {
        let book = Book::new(p, p.mixing, &properties);
        properties
            .clone()
            .map(|q| book.value(book.entry(&q).expect("a model"), x))
    };
    let before = values(&p, &x);
    let donor = bare(&mut r, 6, 1).components.pop().expect("a polymer");
    p.components.push(donor);
    p.bands.push(p.bands[0].clone());
    let after = values(&p, &[x.as_slice(), &[0.0]].concat());
    for (a, b) in before.into_iter().zip(after) {
        let (a, b) = (a.expect("defined"), b.expect("defined"));
        assert!((a - b).abs() <= ROUNDING * a.abs(), "{a} and {b}");
    }
}

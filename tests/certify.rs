//! Every returned recipe judged again by code that shares nothing with the search or the property
//! models: the equations are written out here a second time, plainly, from their sources.
//!
//! Shared on purpose: the viscosity index's table and the ash factors, which have their own checks.

mod support;

use support::{COLD, Random, problem_mixed};
use treatrate::declare::component::{Component, EdgeSource, Kind, Polymer};
use treatrate::declare::problem::{Limit, Mixing, Problem, Side};
use treatrate::declare::property::{Datum, Property};
use treatrate::declare::recipe::Recipe;
use treatrate::predict::judge::judge;
use treatrate::predict::value::{Judgement, Source, Verdict};
use treatrate::quantity::Share;
use treatrate::solve::answer::Status;
use treatrate::solve::search::{Budget, cheapest};
use treatrate::standard::ash;
use treatrate::standard::element::Element;
use treatrate::standard::viscosity_index::viscosity_index;

/// A limit is met when it is missed by no more than this part of its span.
const MET: f64 = 1e-6;

/// The two ways of computing one equation differ by rounding alone.
const ROUNDING: f64 = 1e-9;

/// Treat rates add up to the whole within this: a sum of forty numbers below one.
const SUM: f64 = 1e-12;

/// A band may be missed by this mass fraction, a milligram in a hundred kilograms.
const BAND: f64 = 1e-8;

/// Random problems solved.
const PROBLEMS: u64 = 200;

fn stated(c: &Component, datum: &Datum) -> Option<f64> {
    c.figure(datum).map(|f| f.value)
}

/// Parts of the recipe that are used, each with its mass fraction.
type Used<'a> = Vec<(&'a Component, f64)>;

fn used<'a>(p: &'a Problem, x: &[f64]) -> Used<'a> {
    let all = p.components.iter().zip(x.iter().copied());
    all.filter(|(_, x)| *x > 0.0).collect()
}

/// Σ x p.
fn by_mass(used: &Used, datum: &Datum) -> Option<f64> {
    used.iter()
        .map(|(c, x)| Some(x * stated(c, datum)?))
        .sum::<Option<f64>>()
}

/// Litres per kilogram at 15 °C: Σ x/ρ.
fn litres(used: &Used) -> Option<f64> {
    used.iter()
        .map(|(c, x)| Some(x / stated(c, &Datum::Density)?))
        .sum::<Option<f64>>()
}

fn density(used: &Used, celsius: f64) -> Option<f64> {
    Some(1.0 / litres(used)? - 0.00065 * (celsius - 15.0))
}

/// Walther's Z of ASTM D341.
fn z(nu: f64) -> f64 {
    nu + 0.7 + (-1.47 - 1.84 * nu - 0.51 * nu * nu).exp()
}

/// Viscosity of a fluid at a temperature from 40 °C and 100 °C, by ASTM D341; the inverse of Z by
/// halving.
fn by_d341(kv40: f64, kv100: f64, celsius: f64) -> f64 {
    let w = |nu: f64| z(nu).log10().log10();
    let (t40, t100, t) = (
        313.15_f64.log10(),
        373.15_f64.log10(),
        (celsius + 273.15).log10(),
    );
    let at = w(kv40) + (w(kv100) - w(kv40)) * (t - t40) / (t100 - t40);
    let target = 10.0_f64.powf(10.0_f64.powf(at));
    let (mut lo, mut hi) = (0.01, 1e5);
    for _ in 0..200 {
        let middle = 0.5 * (lo + hi);
        if z(middle) < target {
            lo = middle;
        } else {
            hi = middle;
        }
    }
    0.5 * (lo + hi)
}

fn kinematic(c: &Component, celsius: i32) -> Option<f64> {
    let (kv40, kv100) = (stated(c, &Datum::Kv40)?, stated(c, &Datum::Kv100)?);
    Some(match celsius {
        40 => kv40,
        100 => kv100,
        other => by_d341(kv40, kv100, f64::from(other)),
    })
}

fn solids(c: &Component) -> f64 {
    c.polymer.as_ref().map_or(0.0, |p| p.solids.value)
}

/// Viscosity of the polymer-free part: exp exp Σ x ln ln(ν + 0.8) − 0.8 on its own mass.
fn base(used: &Used, celsius: i32) -> Option<f64> {
    let (mut sum, mut mass) = (0.0, 0.0);
    for (c, x) in used {
        let part = x * (1.0 - solids(c));
        sum += part * (kinematic(c, celsius)? + 0.8).ln().ln();
        mass += part;
    }
    Some((sum / mass).exp().exp() - 0.8)
}

/// Viscosity over the base fluid's: `1 + Σ kept s_k · exp(K s)`, `s_k = [η]_k c_k`, `K s = Σ K_k s_k`
/// (Martin).
fn ratio(used: &Used, celsius: i32, kept: fn(&Polymer) -> f64) -> Option<f64> {
    let rho = density(used, f64::from(celsius))?;
    let (mut seen, mut crowding) = (0.0, 0.0);
    for (c, x) in used {
        let Some(p) = &c.polymer else { continue };
        let grams_per_decilitre = 100.0 * p.solids.value * x * rho;
        let iv = match celsius {
            40 => p.iv40.value,
            100 => p.iv100.value,
            _ => p.iv150.value,
        };
        let s = iv * grams_per_decilitre;
        seen += kept(p) * s;
        crowding += p.k.value * s;
    }
    Some(1.0 + seen * crowding.exp())
}

fn all_of_it(_: &Polymer) -> f64 {
    1.0
}

fn after_injector(p: &Polymer) -> f64 {
    1.0 - p.ssi.value / 100.0
}

fn at_high_shear(p: &Polymer) -> f64 {
    1.0 - p.hths_loss.value
}

fn thickened(used: &Used, celsius: i32, kept: fn(&Polymer) -> f64) -> Option<f64> {
    Some(base(used, celsius)? * ratio(used, celsius, kept)?)
}

fn cranking(used: &Used) -> Option<f64> {
    let rho = density(used, COLD.degrees())?;
    let (mut sum, mut mass, mut rise) = (0.0, 0.0, 1.0);
    for (c, x) in used {
        let part = x * (1.0 - solids(c));
        sum += part * stated(c, &Datum::Ccs(COLD))?.ln();
        mass += part;
        if let Some(p) = &c.polymer {
            rise += p.ccs_thickening.value * 100.0 * p.solids.value * x * rho;
        }
    }
    Some((sum / mass).exp() * rise)
}

/// ppm; a component that states none holds none.
fn element(used: &Used, e: Element) -> f64 {
    used.iter()
        .map(|(c, x)| x * stated(c, &Datum::Element(e)).unwrap_or(0.0))
        .sum()
}

/// Measured ash, or metals times factors with zinc by the trade's; none in a plain stock that states
/// neither, unknown in a package that states neither.
fn sulfated_ash(used: &Used) -> Option<f64> {
    let of = |c: &Component| {
        if let Some(measured) = stated(c, &Datum::Ash) {
            return Some(measured);
        }
        let plain = matches!(
            c.kind,
            Kind::BaseStock | Kind::ViscosityModifier | Kind::PourDepressant
        );
        let mut sum = plain.then_some(0.0);
        for e in Element::ALL {
            let factor = if e == Element::Zn {
                Some(1.50)
            } else {
                ash::factor(e)
            };
            if let (Some(factor), Some(ppm)) = (factor, stated(c, &Datum::Element(e))) {
                *sum.get_or_insert(0.0) += factor * ppm / 10_000.0;
            }
        }
        sum
    };
    used.iter().map(|(c, x)| Some(x * of(c)?)).sum()
}

/// A property of a recipe by this file's equations; `None` where a figure is missing.
fn value(p: &Problem, x: &[f64], property: &Property) -> Option<f64> {
    let used = used(p, x);
    match property {
        Property::Kv40 => thickened(&used, 40, all_of_it),
        Property::Kv100 => thickened(&used, 100, all_of_it),
        Property::Kv100Sheared => thickened(&used, 100, after_injector),
        Property::Vi => viscosity_index(
            thickened(&used, 40, all_of_it)?,
            thickened(&used, 100, all_of_it)?,
        ),
        Property::Hths => {
            Some(base(&used, 150)? * density(&used, 150.0)? * ratio(&used, 150, at_high_shear)?)
        }
        Property::Ccs(t) if *t == COLD => cranking(&used),
        Property::Noack => by_mass(&used, &Datum::Noack),
        Property::Ash => sulfated_ash(&used),
        Property::BaseNumber => by_mass(&used, &Datum::BaseNumber),
        Property::Element(e) => Some(element(&used, *e)),
        Property::Ratio(a, b) => {
            let below = element(&used, *b);
            (below > 0.0).then(|| element(&used, *a) / below)
        }
        Property::AnilinePoint => {
            let sum: Option<f64> = used
                .iter()
                .map(|(c, x)| {
                    Some(x / stated(c, &Datum::Density)? * stated(c, &Datum::AnilinePoint)?)
                })
                .sum();
            Some(sum? / litres(&used)?)
        }
        Property::PolarShare => Some(
            used.iter()
                .filter(|(c, _)| c.polar)
                .map(|(_, x)| 100.0 * x)
                .sum(),
        ),
        Property::Cost => by_mass(&used, &Datum::Price),
        Property::CostPerLitre => Some(by_mass(&used, &Datum::Price)? / litres(&used)?),
        other => panic!("no equation here for {other}"),
    }
}

/// Width of a property's window, else the size of the bound, at least 1.
fn span(p: &Problem, limit: &Limit) -> f64 {
    let (mut low, mut high) = (f64::NEG_INFINITY, f64::INFINITY);
    for l in p.limits.iter().filter(|l| l.property == limit.property) {
        match l.side {
            Side::Min => low = low.max(l.bound),
            Side::Max => high = high.min(l.bound),
        }
    }
    if low < high && low.is_finite() && high.is_finite() {
        high - low
    } else {
        limit.bound.abs().max(1.0)
    }
}

/// Distance inside a limit in parts of its span; `None` where the property is unknown.
fn margin(p: &Problem, x: &[f64], limit: &Limit) -> Option<f64> {
    let value = value(p, x, &limit.property)?;
    let inside = match limit.side {
        Side::Min => value - limit.bound,
        Side::Max => limit.bound - value,
    };
    Some(inside / span(p, limit))
}

/// What is wrong with a recipe: sum, bands, limits.
fn faults(p: &Problem, x: &[f64]) -> Vec<String> {
    let mut found = Vec::new();
    let sum: f64 = x.iter().sum();
    if (sum - 1.0).abs() > SUM || x.iter().any(|x| x.is_nan() || *x < 0.0) {
        found.push(format!("the parts add up to {sum}"));
    }
    for ((c, band), x) in p.components.iter().zip(&p.bands).zip(x) {
        let (min, max) = (band.min.share.fraction(), band.max.share.fraction());
        if *x < min - BAND || *x > max + BAND {
            found.push(format!("{}: {x} outside {min} to {max}", c.id));
        }
    }
    for limit in &p.limits {
        if let Some(margin) = margin(p, x, limit)
            && margin < -MET
        {
            let (property, side) = (&limit.property, limit.side.key());
            found.push(format!("{property} {side} {}: {margin}", limit.bound));
        }
    }
    found
}

fn fractions(recipe: &Recipe) -> Vec<f64> {
    recipe.shares().iter().map(|s| s.fraction()).collect()
}

fn asked(seed: u64) -> Problem {
    let components = 4 + usize::try_from(seed % 11).expect("small");
    let polymers = usize::try_from(seed % 3).expect("small");
    problem_mixed(
        90_000 + seed,
        components,
        polymers,
        seed.is_multiple_of(5),
        Some(Mixing::default()),
    )
}

/// Solved problems with their recipes.
fn solved(count: u64) -> Vec<(u64, Problem, Vec<f64>, f64)> {
    let budget = Budget {
        nodes: 300,
        ..Budget::default()
    };
    (0..count)
        .filter_map(|seed| {
            let p = asked(seed);
            let answer = cheapest(&p, &budget);
            if !matches!(answer.status, Status::Optimal | Status::Feasible) {
                return None;
            }
            let recipe = answer.recipe.as_ref().expect("a status with a recipe");
            let objective = answer.objective.expect("a status with a recipe");
            Some((seed, p, fractions(recipe), objective))
        })
        .collect()
}

fn judged(p: &Problem, x: &[f64]) -> Judgement {
    let shares: Vec<Share> = x.iter().copied().map(Share::from_fraction).collect();
    judge(p, &Recipe::new(p, &shares).expect("sound shares"))
}

/// Asserts that the library's judge says what this file's says, of every limit.
fn agree(seed: u64, p: &Problem, x: &[f64]) -> usize {
    let judgement = judged(p, x);
    let mut failed = 0;
    for (limit, requirement) in p.limits.iter().zip(&judgement.requirements) {
        assert_eq!(limit.property, requirement.property);
        assert!(matches!(requirement.source, Source::Limit(_)));
        let name = format!("seed {seed}: {} of {x:?}", limit.property);
        let own = value(p, x, &limit.property);
        if let (Some(a), Some(b)) = (own, requirement.value) {
            assert!(
                (a - b).abs() <= ROUNDING * a.abs().max(1.0),
                "{name}: {a}, {b}"
            );
        }
        match margin(p, x, limit) {
            Some(m) if (m + MET).abs() < ROUNDING => {}
            Some(m) => {
                let expected = if m >= -MET {
                    Verdict::Meets
                } else {
                    Verdict::Fails
                };
                failed += usize::from(m < -MET);
                assert_eq!(requirement.verdict, expected, "{name}: margin {m}");
            }
            None => assert!(requirement.value.is_none(), "{name}"),
        }
    }
    let over = p.bands.iter().zip(x).filter(|(band, x)| {
        band.max.source != EdgeSource::Natural && **x > band.max.share.fraction() + BAND
            || band.min.source != EdgeSource::Natural && **x < band.min.share.fraction() - BAND
    });
    let failed = failed + over.count();
    assert_eq!(judgement.passes(), failed == 0, "seed {seed}: {x:?}");
    failed
}

#[test]
fn every_recipe_stands_before_a_second_judge() {
    let all = solved(PROBLEMS);
    assert!(all.len() > 120, "only {} recipes", all.len());
    for (seed, p, x, objective) in &all {
        let found = faults(p, x);
        assert!(found.is_empty(), "seed {seed}: {found:?}");
        let cost = value(p, x, &p.goal.property).expect("priced");
        assert!(
            (cost - objective).abs() <= ROUNDING * cost.abs(),
            "seed {seed}"
        );
        assert_eq!(agree(*seed, p, x), 0, "seed {seed}");
    }
}

/// The recipe with a part of it moved from one component to another.
fn moved(x: &[f64], from: usize, to: usize, by: f64) -> Vec<f64> {
    let mut y = x.to_vec();
    let by = by.min(y[from]);
    y[from] -= by;
    y[to] += by;
    y
}

#[test]
fn planted_violations_are_caught() {
    let mut planted = 0;
    for (seed, p, x, _) in solved(60) {
        let mut r = Random::new(seed);
        let parts: Vec<usize> = (0..x.len()).filter(|j| x[*j] > 0.0).collect();
        for _ in 0..20 {
            let (from, to) = (parts[r.below(parts.len())], r.below(x.len()));
            let by = r.around(1e-4, 0.3);
            if from != to {
                planted += usize::from(agree(seed, &p, &moved(&x, from, to, by)) > 0);
            }
        }
    }
    assert!(planted > 300, "only {planted} perturbed recipes failed");
}

#[test]
fn a_limit_missed_by_a_little_is_missed() {
    let mut tried = 0;
    for (seed, p, x, _) in solved(40) {
        for k in 0..p.limits.len() {
            let Some(at) = value(&p, &x, &p.limits[k].property) else {
                continue;
            };
            // Move the limit to just beyond the recipe, ten tolerances and then a tenth of one.
            for (parts, verdict) in [(10.0, Verdict::Fails), (0.1, Verdict::Meets)] {
                let mut q = p.clone();
                let property = q.limits[k].property.clone();
                let mut own = q.limits.swap_remove(k);
                q.limits.retain(|l| l.property != property);
                let away = parts * MET * at.abs().max(1.0);
                own.bound = match own.side {
                    Side::Min => at + away,
                    Side::Max => at - away,
                };
                q.limits.insert(0, own);
                let found = judged(&q, &x).requirements[0].verdict;
                tried += 1;
                assert_eq!(found, verdict, "seed {seed}: {property} by {parts}");
            }
        }
    }
    assert!(tried > 200, "only {tried} limits were moved");
}

#[test]
fn band_edges_are_judged() {
    let mut tried = 0;
    for (seed, p, x, _) in solved(40) {
        for (j, band) in p.bands.iter().enumerate() {
            let most = band.max.share.fraction();
            if band.max.source == EdgeSource::Natural || most > 0.9 {
                continue;
            }
            let mut y: Vec<f64> = x.clone();
            y[j] = 0.0;
            let rest: f64 = y.iter().sum();
            if rest <= 0.0 {
                continue;
            }
            let wanted = most + 1e-6;
            for y in &mut y {
                *y *= (1.0 - wanted) / rest;
            }
            y[j] = wanted;
            tried += 1;
            let treat = Property::Treat(p.components[j].id.clone());
            let fails = judged(&p, &y)
                .requirements
                .iter()
                .any(|r| r.property == treat && r.verdict == Verdict::Fails);
            assert!(fails, "seed {seed}: {treat}");
            let own = faults(&p, &y);
            assert!(
                own.iter().any(|f| f.contains(&p.components[j].id)),
                "{own:?}"
            );
        }
    }
    assert!(tried > 20, "only {tried} bands were overstepped");
}

//! Random but physically coherent problems, from a seed. Every figure is invented.

#![allow(
    dead_code,
    unreachable_pub,
    reason = "each test file uses its own part of this module"
)]

pub mod rules;

use std::collections::BTreeMap;
use std::path::Path;
use treatrate::declare::component::{
    Band, Component, Edge, EdgeSource, Entry, Figure, Group, Kind, Polymer,
};
use treatrate::declare::problem::{
    Goal, Limit, LimitSource, Mixing, Problem, Sense, Side, ThickeningLaw, TreatGroup,
    UserProperty, UserRule, ViscosityRule,
};
use treatrate::declare::property::{Datum, Property};
use treatrate::declare::read;
use treatrate::fault::Place;
use treatrate::predict::book::Book;
use treatrate::quantity::{Celsius, Share, Unit};
use treatrate::solve::start::Sequence;
use treatrate::standard::element::Element;

pub fn nowhere() -> Place {
    Place {
        file: 0,
        span: 0..0,
    }
}

pub fn figure(value: f64) -> Figure {
    Figure {
        value,
        sd: None,
        from: None,
        found_at: None,
        place: nowhere(),
    }
}

pub struct Random(Sequence);

impl Random {
    pub fn new(seed: u64) -> Self {
        Random(Sequence::new(seed))
    }
    pub fn unit(&mut self) -> f64 {
        self.0.number()
    }
    pub fn between(&mut self, lo: f64, hi: f64) -> f64 {
        lo + (hi - lo) * self.unit()
    }
    /// Uniform in the logarithm.
    pub fn around(&mut self, lo: f64, hi: f64) -> f64 {
        self.between(lo.ln(), hi.ln()).exp()
    }
    #[allow(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        clippy::cast_precision_loss,
        reason = "small counts"
    )]
    pub fn below(&mut self, n: usize) -> usize {
        ((self.unit() * n as f64) as usize).min(n - 1)
    }
    pub fn chance(&mut self, p: f64) -> bool {
        self.unit() < p
    }
    /// Mass fractions over `n` components, some of them zero.
    pub fn shares(&mut self, n: usize) -> Vec<f64> {
        let mut x: Vec<f64> = (0..n)
            .map(|_| {
                if self.chance(0.3) {
                    0.0
                } else {
                    -self.unit().max(1e-12).ln()
                }
            })
            .collect();
        if x.iter().sum::<f64>() <= 0.0 {
            x[0] = 1.0;
        }
        let sum: f64 = x.iter().sum();
        x.iter().map(|x| x / sum).collect()
    }
}

pub const COLD: Celsius = Celsius::whole(-30);

pub fn component(id: String, kind: Kind) -> Component {
    Component {
        name: id.clone(),
        id,
        kind,
        group: (kind == Kind::BaseStock).then_some(Group::IV),
        polar: false,
        figures: BTreeMap::new(),
        polymer: None,
        treat: Band::natural(),
        place: nowhere(),
    }
}

pub fn state(c: &mut Component, datum: Datum, value: f64) {
    c.figures.insert(datum, Entry::Stated(figure(value)));
}

fn base(r: &mut Random, k: usize) -> Component {
    let mut c = component(format!("stock-{k}"), Kind::BaseStock);
    let kv100 = if r.chance(0.2) {
        r.around(15.0, 120.0)
    } else {
        r.around(2.2, 12.0)
    };
    // KV40 of a stock with a viscosity index near 100–160: a power law through known stocks.
    let kv40 = kv100.powf(r.between(1.44, 1.58)) * r.between(2.0, 2.6);
    state(&mut c, Datum::Kv100, kv100);
    state(&mut c, Datum::Kv40, kv40.max(kv100 * 2.0));
    state(&mut c, Datum::Density, r.between(0.815, 0.96));
    state(
        &mut c,
        Datum::Ccs(COLD),
        20.0 * kv100.powf(r.between(2.3, 2.7)) + 50.0,
    );
    state(
        &mut c,
        Datum::Noack,
        (60.0 / kv100 * r.between(0.7, 1.2)).min(60.0),
    );
    state(&mut c, Datum::AnilinePoint, r.between(20.0, 150.0));
    state(&mut c, Datum::BaseNumber, 0.0);
    state(&mut c, Datum::Price, r.between(1.0, 9.0));
    c.polar = r.chance(0.15);
    c
}

fn additive(r: &mut Random, k: usize) -> Component {
    let mut c = component(format!("additive-{k}"), Kind::AdditivePackage);
    state(&mut c, Datum::Kv100, r.around(10.0, 150.0));
    let kv100 = c.figure(&Datum::Kv100).map_or(0.0, |f| f.value);
    state(&mut c, Datum::Kv40, kv100 * r.between(8.0, 14.0));
    state(&mut c, Datum::Density, r.between(0.93, 1.12));
    state(&mut c, Datum::Ccs(COLD), r.around(8_000.0, 200_000.0));
    state(&mut c, Datum::Noack, r.between(2.0, 12.0));
    state(&mut c, Datum::AnilinePoint, r.between(20.0, 80.0));
    state(&mut c, Datum::BaseNumber, r.between(0.0, 110.0));
    state(&mut c, Datum::Price, r.between(3.0, 14.0));
    for e in Element::ALL {
        let most = if e == Element::S { 40_000.0 } else { 12_000.0 };
        let ppm = if r.chance(0.5) {
            0.0
        } else {
            r.between(0.0, most)
        };
        state(&mut c, Datum::Element(e), ppm);
    }
    c.treat = Band::natural();
    c.treat.max.share = Share::from_percent(25.0);
    c
}

fn thickener(r: &mut Random, k: usize) -> Component {
    let mut c = base(r, 1000 + k);
    c.id = format!("polymer-{k}");
    c.kind = Kind::ViscosityModifier;
    c.polar = false;
    let iv100 = r.between(0.3, 1.6);
    c.polymer = Some(Polymer {
        solids: figure(r.between(0.05, 0.35)),
        iv40: figure(iv100 * r.between(0.75, 1.1)),
        iv100: figure(iv100),
        iv150: figure(iv100 * r.between(0.9, 1.15)),
        k: figure(r.between(0.1, 0.6)),
        hths_loss: figure(r.between(0.1, 0.55)),
        ssi: figure(r.between(2.0, 45.0)),
        ssi_krl: Some(figure(r.between(10.0, 80.0))),
        ccs_thickening: figure(r.between(0.0, 0.2)),
        mrv_thickening: None,
        fitted: [None; 3],
    });
    c.treat.max.share = Share::from_percent(15.0);
    c
}

/// A shelf and a problem without limits, minimising cost.
pub fn bare(r: &mut Random, components: usize, polymers: usize) -> Problem {
    let mut shelf: Vec<Component> = Vec::new();
    let additives = (components / 4).max(1);
    for k in 0..components.saturating_sub(polymers + additives).max(1) {
        shelf.push(base(r, k));
    }
    for k in 0..additives {
        shelf.push(additive(r, k));
    }
    for k in 0..polymers {
        shelf.push(thickener(r, k));
    }
    let rule = ViscosityRule::ALL[r.below(ViscosityRule::ALL.len())];
    let viscosity = if r.chance(0.6) {
        ViscosityRule::DoubleLogMass
    } else {
        rule
    };
    let thickening = if r.chance(0.8) {
        ThickeningLaw::Martin
    } else {
        ThickeningLaw::Huggins
    };
    let bands = shelf.iter().map(|c| c.treat.clone()).collect();
    Problem {
        title: "random".into(),
        currency: "EUR".into(),
        components: shelf,
        bands,
        mixing: Mixing {
            viscosity,
            thickening,
            ..Mixing::default()
        },
        goal: Goal {
            sense: Sense::Minimise,
            property: Property::Cost,
            place: nowhere(),
        },
        batch: None,
        balance: None,
        grade: None,
        classes: Vec::new(),
        limits: Vec::new(),
        rules: Vec::new(),
        properties: Vec::new(),
        groups: Vec::new(),
        known: None,
    }
}

pub fn limit(property: Property, side: Side, bound: f64) -> Limit {
    Limit {
        property,
        side,
        bound,
        stated: bound,
        strict: false,
        source: LimitSource::Problem,
        place: nowhere(),
    }
}

/// A shelf on which every component states every figure, and a problem that declares a property of
/// each user rule and one group.
pub fn rich(r: &mut Random, components: usize, polymers: usize, mixing: Mixing) -> Problem {
    let mut p = bare(r, components, polymers);
    p.mixing = mixing;
    p.properties = UserRule::ALL
        .into_iter()
        .map(|rule| UserProperty {
            name: format!("by-{}", rule.key()),
            unit: Unit::NONE,
            rule,
            missing: None,
            place: nowhere(),
        })
        .collect();
    p.groups = vec![TreatGroup {
        name: "evens".into(),
        members: (0..p.components.len()).step_by(2).collect(),
        place: nowhere(),
    }];
    let declared: Vec<String> = p.properties.iter().map(|u| u.name.clone()).collect();
    for c in &mut p.components {
        let density = c.figure(&Datum::Density).map_or(0.9, |f| f.value);
        if c.kind != Kind::AdditivePackage {
            state(c, Datum::Ash, r.between(0.0, 0.01));
            // Enough that a ratio over them is no pole within a difference's step.
            state(c, Datum::Element(Element::P), r.between(200.0, 600.0));
            state(c, Datum::Element(Element::Mg), r.between(200.0, 600.0));
        }
        state(c, Datum::Flash, 90.0 + 150.0 * density * r.unit());
        state(c, Datum::AcidNumber, r.between(0.0, 3.0));
        state(c, Datum::IrBaseline, r.between(0.0, 40.0));
        state(c, Datum::Mrv(COLD), r.around(1_000.0, 200_000.0));
        for name in &declared {
            state(c, Datum::User(name.clone()), r.around(1.0, 60.0));
        }
    }
    p
}

/// Every property that a problem of [`rich`] can predict.
pub fn every_property(p: &Problem) -> Vec<Property> {
    let fixed = [
        Property::Ccs(COLD),
        Property::Mrv(COLD),
        Property::Ratio(Element::Mo, Element::P),
        Property::Ratio(Element::Ca, Element::Mg),
        Property::Treat(p.components[0].id.clone()),
    ];
    Property::PLAIN
        .into_iter()
        .chain(fixed)
        .chain(Element::ALL.map(Property::Element))
        .chain(p.properties.iter().map(|u| Property::User(u.name.clone())))
        .chain(p.groups.iter().map(|g| Property::Group(g.name.clone())))
        .collect()
}

/// What random problems limit.
pub fn properties() -> Vec<Property> {
    vec![
        Property::Kv100,
        Property::Kv40,
        Property::Vi,
        Property::Hths,
        Property::Kv100Sheared,
        Property::Ccs(COLD),
        Property::Noack,
        Property::Ash,
        Property::BaseNumber,
        Property::Element(Element::P),
        Property::Element(Element::Zn),
        Property::Ratio(Element::Mo, Element::P),
        Property::AnilinePoint,
        Property::PolarShare,
        Property::CostPerLitre,
    ]
}

/// A random problem: limits are set around what one random recipe of the shelf measures, so most
/// have a recipe; with `impossible`, some limit is moved to where it likely collides with another.
pub fn problem(seed: u64, components: usize, polymers: usize, impossible: bool) -> Problem {
    problem_mixed(seed, components, polymers, impossible, None)
}

/// The same with the mixing choices given, where they are.
pub fn problem_mixed(
    seed: u64,
    components: usize,
    polymers: usize,
    impossible: bool,
    mixing: Option<Mixing>,
) -> Problem {
    let mut r = Random::new(seed);
    let mut p = bare(&mut r, components, polymers);
    p.mixing = mixing.unwrap_or(p.mixing);
    let all = properties();
    let book = Book::new(&p, p.mixing, &all);
    let mut x = r.shares(p.components.len());
    for (x, c) in x.iter_mut().zip(&p.components) {
        *x = match c.kind {
            Kind::BaseStock => *x,
            _ => x.min(0.12),
        };
    }
    let sum: f64 = x.iter().sum();
    for x in &mut x {
        *x /= sum;
    }
    for (band, x) in p.bands.iter_mut().zip(&x) {
        if band.max.share.fraction() < *x {
            band.max = Edge {
                share: Share::from_fraction((x * 1.2).min(1.0)),
                source: EdgeSource::Shelf,
                place: None,
            };
        } else if band.max.share < Share::WHOLE {
            band.max.source = EdgeSource::Shelf;
        }
    }
    for property in &all {
        if !r.chance(0.55) {
            continue;
        }
        let Some(value) = book.entry(property).and_then(|e| book.value(e, &x)) else {
            continue;
        };
        let room = r.between(0.0, 0.15) * value.abs().max(0.05);
        match r.below(3) {
            0 => p
                .limits
                .push(limit(property.clone(), Side::Min, value - room)),
            1 => p
                .limits
                .push(limit(property.clone(), Side::Max, value + room)),
            _ => {
                p.limits
                    .push(limit(property.clone(), Side::Min, value - room));
                p.limits
                    .push(limit(property.clone(), Side::Max, value + room));
            }
        }
    }
    if impossible {
        let property = [
            Property::Kv100,
            Property::Vi,
            Property::Hths,
            Property::Ccs(COLD),
            Property::Noack,
        ][r.below(5)]
        .clone();
        if let Some(value) = book.entry(&property).and_then(|e| book.value(e, &x)) {
            let far = r.between(0.1, 0.8);
            match property {
                Property::Ccs(_) | Property::Noack => {
                    p.limits
                        .push(limit(property, Side::Max, value * (1.0 - far)));
                }
                _ => p
                    .limits
                    .push(limit(property, Side::Min, value * (1.0 + far))),
            }
        }
    }
    p
}

/// The problem with its shelf in another order: component k of the new is `order[k]` of the old.
pub fn reordered(p: &Problem, order: &[usize]) -> Problem {
    let mut q = p.clone();
    q.components = order.iter().map(|&j| p.components[j].clone()).collect();
    q.bands = order.iter().map(|&j| p.bands[j].clone()).collect();
    for group in &mut q.groups {
        group.members = (0..order.len())
            .filter(|k| group.members.contains(&order[*k]))
            .collect();
    }
    q
}

pub fn shuffled(r: &mut Random, n: usize) -> Vec<usize> {
    let mut order: Vec<usize> = (0..n).collect();
    for k in (1..n).rev() {
        order.swap(k, r.below(k + 1));
    }
    order
}

/// The problem with a second component exactly like one of it, last on the shelf.
pub fn with_twin(p: &Problem, j: usize) -> Problem {
    let mut q = p.clone();
    let mut twin = q.components[j].clone();
    twin.id.push_str("-twin");
    q.components.push(twin);
    q.bands.push(q.bands[j].clone());
    let at = q.components.len() - 1;
    for group in &mut q.groups {
        if group.members.contains(&j) {
            group.members.push(at);
        }
    }
    q
}

pub fn without(p: &Problem, j: usize) -> Problem {
    let rest: Vec<usize> = (0..p.components.len()).filter(|k| *k != j).collect();
    reordered(p, &rest)
}

/// The standard normal distribution by its series Φ(z) = ½ + φ(z) Σ z^(2k+1)/(1·3·…·(2k+1)), after
/// G. Marsaglia, *Evaluating the Normal Distribution* (2004).
pub fn normal(z: f64) -> f64 {
    let (mut sum, mut term, mut k) = (z, z, 1.0);
    while term.abs() > 1e-17 {
        k += 2.0;
        term *= z * z / k;
        sum += term;
    }
    0.5 + sum * (-0.5 * z * z).exp() / (2.0 * std::f64::consts::PI).sqrt()
}

/// Two stocks and two additives, the third component of phosphorus alone, 1 %, and the fourth of calcium alone,
/// 2 %; prices of a kilogram.
pub fn two_elements(prices: [f64; 4]) -> Problem {
    let mut p = bare(&mut Random::new(5), 4, 0);
    for (c, price) in p.components.iter_mut().zip(prices) {
        for e in Element::ALL {
            state(c, Datum::Element(e), 0.0);
        }
        state(c, Datum::Price, price);
    }
    state(&mut p.components[2], Datum::Element(Element::P), 10_000.0);
    state(&mut p.components[3], Datum::Element(Element::Ca), 20_000.0);
    p
}

/// A problem of this repository, by its path in it.
pub fn read_problem(path: &str) -> Problem {
    match read::problem(&Path::new(env!("CARGO_MANIFEST_DIR")).join(path)) {
        Ok((problem, _)) => problem,
        Err(faults) => panic!("{path}: {faults:?}"),
    }
}

/// A shipped problem.
pub fn shipped(name: &str) -> Problem {
    read_problem(&format!("problems/{name}.toml"))
}

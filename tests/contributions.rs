//! Laws of contributions: parts add up, index shares make the whole, a change without a component is
//! what another prediction says.

mod support;

use support::{Random, every_property, limit, rich, shuffled, without};
use treatrate::declare::component::Kind;
use treatrate::declare::problem::{Mixing, Problem, Side, ThickeningLaw, ViscosityRule};
use treatrate::declare::property::{Datum, Property};
use treatrate::declare::recipe::Recipe;
use treatrate::explain::contribution::{self, Contribution, Contributions, Origins};
use treatrate::predict::judge::judge;
use treatrate::quantity::Share;
use treatrate::standard::element::Element;

/// The index of a figure under a rule.
type Index = fn(f64) -> f64;

/// Rounding of a sum of a dozen terms carried through two exponentials, in parts of its size.
const ROUNDING: f64 = 1e-9;

/// Random recipes tried.
const RECIPES: u64 = 60;

fn near(a: f64, b: f64, size: f64) -> bool {
    (a - b).abs() <= ROUNDING * size.abs().max(1.0)
}

/// A rich shelf under some mixing rule, and a recipe that uses most of it.
fn recipe(seed: u64) -> (Problem, Recipe) {
    let mut r = Random::new(seed);
    let mixing = Mixing {
        viscosity: ViscosityRule::ALL[r.below(ViscosityRule::ALL.len())],
        thickening: ThickeningLaw::ALL[r.below(ThickeningLaw::ALL.len())],
        ..Mixing::default()
    };
    let polymers = r.below(3);
    let p = rich(&mut r, 7, polymers, mixing);
    let mut x = r.shares(p.components.len());
    for (x, c) in x.iter_mut().zip(&p.components) {
        let unused = c.kind == Kind::BaseStock && r.chance(0.3);
        *x = if unused { 0.0 } else { *x + 1e-3 };
    }
    let shares: Vec<Share> = x.into_iter().map(Share::from_fraction).collect();
    let recipe = Recipe::new(&p, &shares).expect("shares");
    (p, recipe)
}

fn origins(p: &Problem, recipe: &Recipe) -> Origins {
    contribution::of(p, recipe, &every_property(p))
}

fn on_recipes(mut check: impl FnMut(&Problem, &Recipe, &Contributions)) {
    for seed in 0..RECIPES {
        let (p, recipe) = recipe(seed);
        for told in &origins(&p, &recipe).told {
            check(&p, &recipe, told);
        }
    }
}

/// The sum of a measure over the components, where each has it.
fn sum(told: &Contributions, of: impl Fn(&Contribution) -> Option<f64>) -> Option<f64> {
    told.parts.iter().map(of).sum()
}

#[test]
fn values_are_those_of_a_judgement() {
    let mut seen = 0;
    for seed in 0..RECIPES {
        let (p, recipe) = recipe(seed);
        let judgement = judge(&p, &recipe);
        for told in &origins(&p, &recipe).told {
            let Some(predicted) = judgement.of(&told.property) else {
                continue;
            };
            seen += 1;
            assert!(
                near(told.value, predicted.value, told.value),
                "{}",
                told.property
            );
            assert_eq!(told.unit, predicted.unit);
        }
    }
    assert!(seen > 1000, "{seen}");
}

#[test]
fn parts_add_up_to_the_value() {
    let mut seen = Vec::new();
    on_recipes(|_, _, told| {
        let Some(parts) = sum(told, |p| p.part) else {
            return;
        };
        assert!(
            near(parts, told.value, told.value),
            "{}: {parts} of {}",
            told.property,
            told.value
        );
        seen.push(told.property.clone());
    });
    for property in [
        Property::Ash,
        Property::Noack,
        Property::Cost,
        Property::CostPerLitre,
        Property::AnilinePoint,
        Property::Density,
        Property::PolarShare,
        Property::Group("evens".into()),
        Property::User("by-mass-linear".into()),
        Property::User("by-volume-linear".into()),
        Property::Element(Element::P),
    ] {
        assert!(seen.contains(&property), "{property}");
    }
    for property in [
        Property::Kv100,
        Property::Vi,
        Property::Flash,
        Property::Ratio(Element::Mo, Element::P),
    ] {
        assert!(!seen.contains(&property), "{property}");
    }
}

#[test]
fn shares_of_an_index_or_a_ratio_make_the_whole() {
    let mut indices = Vec::new();
    let mut ratios = 0;
    on_recipes(|_, _, told| {
        if let Some(whole) = sum(told, |p| p.index_percent) {
            // Indices of both signs may cancel; the largest share says how far.
            let size = told
                .parts
                .iter()
                .filter_map(|p| p.index_percent)
                .fold(100.0, |m: f64, s| m.max(s.abs()));
            assert!(near(whole, 100.0, size), "{}: {whole}", told.property);
            indices.push(told.property.clone());
        }
        if let Property::Ratio(..) = told.property {
            let bottom = sum(told, |p| p.bottom_percent).expect("of a ratio");
            assert!(near(bottom, 100.0, 100.0), "{}: {bottom}", told.property);
            if told.value > 0.0 {
                let top = sum(told, |p| p.top_percent).expect("of a ratio");
                assert!(near(top, 100.0, 100.0), "{}: {top}", told.property);
            }
            ratios += 1;
        }
    });
    assert!(ratios > 50, "{ratios}");
    for property in [
        Property::Kv40,
        Property::Kv100,
        Property::Hths,
        Property::Ccs(support::COLD),
        Property::Mrv(support::COLD),
        Property::User("by-log-mass".into()),
        Property::User("by-reciprocal-mass".into()),
    ] {
        assert!(indices.contains(&property), "{property}");
    }
}

/// By hand: an index share is the treat rate times the index of the component's own viscosity, over the
/// sum of these.
#[test]
fn index_shares_are_those_of_the_rule() {
    let mut r = Random::new(11);
    let mixing = Mixing {
        viscosity: ViscosityRule::DoubleLogMass,
        ..Mixing::default()
    };
    let p = rich(&mut r, 6, 0, mixing);
    let shares: Vec<Share> = (0..p.components.len())
        .map(|_| Share::from_fraction(r.between(0.1, 1.0)))
        .collect();
    let recipe = Recipe::new(&p, &shares).expect("shares");
    let by_rule: [(Property, Datum, Index); 2] = [
        (Property::Kv100, Datum::Kv100, |v| (v + 0.8).ln().ln()),
        (
            Property::Ccs(support::COLD),
            Datum::Ccs(support::COLD),
            f64::ln,
        ),
    ];
    for (property, datum, index) in by_rule {
        let told = contribution::of(&p, &recipe, &[property]).told.remove(0);
        let weighed = |j: usize| {
            let figure = p.components[j].figure(&datum).expect("stated").value;
            recipe.shares()[j].fraction() * index(figure)
        };
        let whole: f64 = (0..p.components.len()).map(weighed).sum();
        for part in &told.parts {
            let expected = 100.0 * weighed(part.component) / whole;
            let found = part.index_percent.expect("an index");
            assert!(near(found, expected, 100.0), "{found}, not {expected}");
        }
    }
}

/// The polymers' thickenings and the fluid without them make the value; only polymers thicken.
#[test]
fn thickening_is_the_polymers() {
    let mut thickened = 0;
    on_recipes(|p, _, told| {
        let Some(base) = told.base else {
            assert!(told.parts.iter().all(|part| part.thickening.is_none()));
            return;
        };
        let added = sum(told, |part| part.thickening).expect("a thickening each");
        assert!(
            near(base + added, told.value, told.value),
            "{}",
            told.property
        );
        for part in &told.parts {
            let thickens = part.thickening.is_some_and(|t| t.abs() > 0.0);
            let polymer = p.components[part.component].polymer.is_some();
            assert!(polymer || !thickens, "{}", told.property);
        }
        thickened += usize::from(added > 0.0);
    });
    assert!(thickened > 100, "{thickened}");
}

/// A shear test takes from each polymer its own part of what it thickens (ASTM D6022).
#[test]
fn shear_takes_each_polymers_part_of_its_own_thickening() {
    let mut seen = 0;
    for seed in 0..RECIPES {
        let (p, recipe) = recipe(seed);
        let both = [Property::Kv100, Property::Kv100Sheared];
        let told = contribution::of(&p, &recipe, &both).told;
        let [fresh, sheared] = told.as_slice() else {
            panic!("both are predicted");
        };
        for (fresh, sheared) in fresh.parts.iter().zip(&sheared.parts) {
            let Some(polymer) = &p.components[fresh.component].polymer else {
                continue;
            };
            let kept = 1.0 - polymer.ssi.value / 100.0;
            let (before, after) = (
                fresh.thickening.expect("a polymer"),
                sheared.thickening.expect("a polymer"),
            );
            assert!(near(after, kept * before, before), "{after} of {before}");
            seen += 1;
        }
    }
    assert!(seen > 30, "{seen}");
}

/// What the change says, a judgement of the recipe without the component says, on the same shelf and on
/// one that never had it.
#[test]
fn a_change_is_another_prediction() {
    let mut seen = 0;
    for seed in 0..RECIPES / 4 {
        let (p, recipe) = recipe(seed);
        let told = origins(&p, &recipe).told;
        for j in 0..p.components.len() {
            let mut shares = recipe.shares().to_vec();
            if shares[j] <= Share::NONE {
                continue;
            }
            shares[j] = Share::NONE;
            let Some(rest) = Recipe::new(&p, &shares) else {
                continue;
            };
            let judgement = judge(&p, &rest);
            let smaller = without(&p, j);
            shares.remove(j);
            let elsewhere = Recipe::new(&smaller, &shares).expect("the rest");
            let elsewhere = judge(&smaller, &elsewhere);
            for c in &told {
                let part = c.parts.iter().find(|part| part.component == j);
                let change = part.expect("a used component").without;
                for other in [&judgement, &elsewhere] {
                    let Some(predicted) = other.of(&c.property) else {
                        continue;
                    };
                    let change = change.expect("there is a prediction");
                    seen += 1;
                    assert!(
                        near(c.value + change, predicted.value, c.value),
                        "{}: {} and {change}, not {}",
                        c.property,
                        c.value,
                        predicted.value
                    );
                }
            }
        }
    }
    assert!(seen > 1000, "{seen}");
}

#[test]
fn what_is_not_in_it_contributes_nothing() {
    on_recipes(|_, recipe, told| {
        let used = recipe.shares().iter().filter(|s| **s > Share::NONE);
        assert_eq!(told.parts.len(), used.count());
        assert!(told.parts.iter().all(|p| p.share > Share::NONE));
    });
    // A trace changes next to nothing.
    let (p, recipe) = recipe(3);
    let mut shares = recipe.shares().to_vec();
    let j = shares.iter().position(|s| *s > Share::NONE).expect("one");
    shares[j] = Share::from_fraction(1e-12);
    let recipe = Recipe::new(&p, &shares).expect("shares");
    let all = [Property::Kv100, Property::Hths, Property::Noack];
    for told in contribution::of(&p, &recipe, &all).told {
        let part = told.parts.iter().find(|part| part.component == j);
        let change = part.and_then(|part| part.without).expect("a change");
        assert!(change.abs() < 1e-6 * told.value, "{}", told.property);
    }
}

#[test]
fn a_blend_of_one_is_all_its_own() {
    for seed in 0..RECIPES / 4 {
        let (p, _) = recipe(seed);
        let mut shares = vec![Share::NONE; p.components.len()];
        shares[0] = Share::WHOLE;
        let recipe = Recipe::new(&p, &shares).expect("one");
        for told in origins(&p, &recipe).told {
            let [only] = told.parts.as_slice() else {
                panic!("{}: more than one", told.property);
            };
            assert_eq!(only.without, None);
            for share in [only.index_percent, only.bottom_percent]
                .into_iter()
                .flatten()
            {
                assert!(near(share, 100.0, 100.0), "{}: {share}", told.property);
            }
            if let Some(part) = only.part {
                assert!(near(part, told.value, told.value), "{}", told.property);
            }
        }
    }
}

#[test]
fn the_order_of_a_shelf_does_not_matter() {
    for seed in 0..RECIPES / 4 {
        let (p, recipe) = recipe(seed);
        let order = shuffled(&mut Random::new(seed), p.components.len());
        let q = support::reordered(&p, &order);
        let shares: Vec<Share> = order.iter().map(|&j| recipe.shares()[j]).collect();
        let there = Recipe::new(&q, &shares).expect("shares");
        let asked = every_property(&p);
        let here = contribution::of(&p, &recipe, &asked);
        let there = contribution::of(&q, &there, &asked);
        for (a, b) in here.told.iter().zip(&there.told) {
            assert_eq!(a.property, b.property);
            for part in &a.parts {
                let twin = b
                    .parts
                    .iter()
                    .find(|t| order[t.component] == part.component)
                    .expect("the same component");
                for (x, y) in [(part.part, twin.part), (part.without, twin.without)] {
                    assert_eq!(x.is_some(), y.is_some(), "{}", a.property);
                    let (x, y) = (x.unwrap_or(0.0), y.unwrap_or(0.0));
                    assert!(near(x, y, a.value.abs().max(x.abs())), "{}", a.property);
                }
            }
        }
    }
}

/// A figure that is missing is told by name, and only where the recipe uses the component.
#[test]
fn what_cannot_be_predicted_names_what_it_lacks() {
    let (mut p, recipe) = recipe(1);
    let used = recipe.shares().iter().position(|s| *s > Share::NONE);
    let used = used.expect("a component");
    p.components[used].figures.remove(&Datum::Noack);
    let asked = [Property::Noack, Property::Ash];
    let origins = contribution::of(&p, &recipe, &asked);
    assert_eq!(origins.told.len(), 1);
    assert_eq!(origins.untold[0].property, Property::Noack);
    assert_eq!(origins.untold[0].lacking, [used]);
}

#[test]
fn unless_asked_the_limited_properties_are_told() {
    let (mut p, _) = recipe(1);
    p.limits.clear();
    assert_eq!(contribution::usual(&p), [p.goal.property.clone()]);
    let treat = Property::Treat(p.components[0].id.clone());
    for (property, side) in [
        (Property::Noack, Side::Max),
        (treat, Side::Max),
        (Property::Brookfield(support::COLD), Side::Max),
        (Property::Kv100, Side::Min),
        (Property::Kv100, Side::Max),
    ] {
        p.limits.push(limit(property, side, 1.0));
    }
    assert_eq!(contribution::usual(&p), [Property::Noack, Property::Kv100]);
}

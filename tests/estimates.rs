//! What rests on an estimate says so, whichever figure was estimated.

use std::path::Path;
use treatrate::declare::component::{Figure, Origin, Polymer};
use treatrate::declare::problem::{Problem, UserProperty, UserRule};
use treatrate::declare::property::Property;
use treatrate::declare::read;
use treatrate::declare::recipe::Recipe;
use treatrate::fault::Place;
use treatrate::predict::judge;
use treatrate::quantity::Unit;

/// The modifier whose figures are called estimated.
const MODIFIER: &str = "vm-ocp";

/// A problem and a recipe with that modifier, nothing of it estimated.
fn bench() -> (Problem, Recipe) {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let (mut p, _) =
        read::problem(&root.join("problems/hill-climb-5w-50.toml")).expect("it is sound");
    let recipe = root.join("tests/verbs/predict-passes/recipe.toml");
    let recipe = read::recipe(&p, &recipe).expect("it is sound");
    let polymer = polymer(&mut p);
    if polymer.mrv_thickening.is_none() {
        polymer.mrv_thickening = Some(polymer.ccs_thickening.clone());
    }
    for figure in polymer.figures_mut() {
        figure.from = Some(Origin::Measured);
    }
    (p, recipe)
}

fn polymer(p: &mut Problem) -> &mut Polymer {
    let j = p.component(MODIFIER).expect("it is on the shelf");
    p.components[j].polymer.as_mut().expect("it is a modifier")
}

/// The properties that rest on estimates of a component.
fn resting_on(p: &Problem, recipe: &Recipe, id: &str) -> Vec<String> {
    let judgement = judge::judge(p, recipe);
    judgement
        .properties
        .iter()
        .filter(|x| x.estimated_from.iter().any(|from| from == id))
        .map(|x| x.property.key())
        .collect()
}

type Pick = fn(&mut Polymer) -> &mut Figure;

#[test]
fn an_estimated_figure_of_a_polymer_marks_what_rests_on_it() {
    let cases: [(Pick, &[&str], &[&str]); 8] = [
        (
            |p| &mut p.solids,
            &["kv40", "kv100", "vi", "hths", "ccs@-30", "mrv@-35"],
            &["noack"],
        ),
        (|p| &mut p.iv40, &["kv40", "vi"], &["kv100", "hths"]),
        (
            |p| &mut p.iv100,
            &["kv100", "kv100-sheared", "vi"],
            &["kv40"],
        ),
        (|p| &mut p.iv150, &["hths"], &["kv100"]),
        (|p| &mut p.k, &["kv40", "kv100", "hths"], &["ccs@-30"]),
        (|p| &mut p.hths_loss, &["hths"], &["kv100"]),
        (|p| &mut p.ssi, &["kv100-sheared"], &["kv100"]),
        (|p| &mut p.ccs_thickening, &["ccs@-30"], &["mrv@-35"]),
    ];
    let (sure, recipe) = bench();
    assert!(resting_on(&sure, &recipe, MODIFIER).is_empty());
    for (k, (pick, marked, free)) in cases.into_iter().enumerate() {
        let mut p = sure.clone();
        pick(polymer(&mut p)).from = Some(Origin::Estimated);
        let found = resting_on(&p, &recipe, MODIFIER);
        for key in marked {
            assert!(found.iter().any(|f| f == key), "{k}: {key} in {found:?}");
        }
        for key in free {
            assert!(!found.iter().any(|f| f == key), "{k}: {key} in {found:?}");
        }
    }
}

#[test]
fn a_pumping_rise_borrowed_from_cranking_is_an_estimate() {
    let (mut p, recipe) = bench();
    polymer(&mut p).mrv_thickening = None;
    assert_eq!(resting_on(&p, &recipe, MODIFIER), ["mrv@-35"]);
}

#[test]
fn a_value_given_to_components_that_state_none_is_an_estimate() {
    let (mut p, recipe) = bench();
    let place = Place {
        file: 0,
        span: 0..0,
    };
    p.properties.push(UserProperty {
        name: "seal-swell".into(),
        unit: Unit::PERCENT,
        rule: UserRule::MassLinear,
        missing: Some(1.0),
        place,
    });
    let key = Property::User("seal-swell".into()).key();
    assert!(resting_on(&p, &recipe, "pao-6").contains(&key));
}

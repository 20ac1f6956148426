//! What the limits and the goal need and a component does not state.

use crate::declare::component::Component;
use crate::declare::needs::{Need, needs};
use crate::declare::problem::{LimitSource, Problem};
use crate::declare::property::{Datum, Property};
use crate::fault::{Code, Fault, Place};
use crate::quantity::Share;
use std::collections::BTreeMap;

/// Who needs something: the words of the second mark and its place.
type Asker = (String, Place);

/// One fault for each component and each thing it lacks, whoever needs it first.
pub(super) fn absences(problem: &Problem, faults: &mut Vec<Fault>) {
    let mut wanted: BTreeMap<Need, Asker> = BTreeMap::new();
    let mut want = |property: &Property, asker: Asker| {
        for need in needs(property, problem) {
            wanted.entry(need).or_insert_with(|| asker.clone());
        }
    };
    for limit in &problem.limits {
        let words = match &limit.source {
            LimitSource::Problem | LimitSource::Asked => {
                format!("the limit on `{}` needs it", limit.property)
            }
            LimitSource::Grade(name) | LimitSource::Class(name, _) => {
                format!("{name} limits `{}`, which needs it", limit.property)
            }
        };
        want(&limit.property, (words, limit.place.clone()));
    }
    let goal = &problem.goal;
    want(
        &goal.property,
        (
            format!("the goal `{}` needs it", goal.property),
            goal.place.clone(),
        ),
    );
    for (component, band) in problem.components.iter().zip(&problem.bands) {
        if band.max.share <= Share::NONE {
            continue;
        }
        for (need, asker) in &wanted {
            if !need.met_by(component) {
                faults.push(lacks(component, need, asker));
            }
        }
    }
}

fn lacks(component: &Component, need: &Need, (words, place): &Asker) -> Fault {
    let id = &component.id;
    let key = need.key();
    let at = |label: &str| {
        let title = format!("`{id}` states no {}", spoken(need, &key));
        Fault::at(Code::MissingValue, title, component.place.clone(), label)
    };
    // What no file says has no place of its own.
    let fault = if place.span.is_empty() {
        at(&format!("this component; {words}"))
    } else {
        at("this component").and(place.clone(), words.clone())
    };
    fault.help(format!(
        "{}; or leave it out: `{id} = {{ max = 0 }}` in the problem's `[treat]`",
        edit(need, &key)
    ))
}

fn spoken(need: &Need, key: &str) -> String {
    match need {
        Need::Ccs(t) => format!("cold-cranking viscosity at {t} °C, nor one on each side of it"),
        Need::Ash => "`ash` and none of the metals that make it".into(),
        Need::SsiKrl => "`ssi-krl`, the shear index of the roller-bearing test".into(),
        Need::Figure(_) => format!("`{key}`"),
    }
}

fn edit(need: &Need, key: &str) -> String {
    match need {
        Need::Ccs(t) => format!(
            "add `ccs = {{ \"{t}\" = … }}` (mPa·s), or `\"{t}\" = \"estimated\"` to have it guessed and marked"
        ),
        Need::Ash => "add `ash = …` (mass %), or its metals such as `ca = \"2.1 %\"`".into(),
        Need::SsiKrl => "add `ssi-krl = …` (%) to its `polymer`".into(),
        Need::Figure(datum) => match datum {
            Datum::Element(element) => format!(
                "add `{key} = …` (ppm, or `\"… %\"`); if it holds no {}, write `{key} = 0`",
                element.name()
            ),
            Datum::User(_) => format!(
                "add `{key} = …`, or give `[property.{key}]` a `missing = …` for all that state none"
            ),
            Datum::BaseNumber | Datum::AcidNumber => {
                format!("add `{key} = …` (mg KOH/g); if it has none, write `{key} = 0`")
            }
            other => format!("add `{key} = …` ({})", unit_words(other)),
        },
    }
}

fn unit_words(datum: &Datum) -> &'static str {
    match datum {
        Datum::Price => "per kg",
        Datum::Stock => "kg",
        Datum::Density => "kg/L at 15 °C",
        Datum::Kv40 => "mm²/s at 40 °C",
        Datum::Kv100 => "mm²/s at 100 °C",
        Datum::Ccs(_) | Datum::Mrv(_) => "mPa·s",
        Datum::Noack | Datum::Ash => "mass %",
        Datum::Element(_) => "ppm",
        Datum::BaseNumber | Datum::AcidNumber => "mg KOH/g",
        Datum::AnilinePoint | Datum::Flash => "°C",
        Datum::IrBaseline => "A/cm",
        Datum::User(_) => "in its own unit",
    }
}

//! A small bench with invented figures, and answers written by hand: what is tested is the wording.

use std::collections::BTreeMap;
use treatrate::declare::component::{
    Band, Component, Edge, EdgeSource, Entry, Figure, Group, Kind,
};
use treatrate::declare::problem::{Goal, Limit, LimitSource, Mixing, Problem, Sense, Side};
use treatrate::declare::property::{Datum, Property};
use treatrate::declare::recipe::Recipe;
use treatrate::fault::Place;
use treatrate::predict::value::{Judged, Judgement, Predicted, Source, Spread, Verdict, Warning};
use treatrate::quantity::{Celsius, Share, Unit};
use treatrate::solve::answer::{Answer, Effort, Party, Proof, ProofKind, Status};
use treatrate::standard::element::Element;

fn nowhere() -> Place {
    Place {
        file: 0,
        span: 0..0,
    }
}

fn component(id: &str, name: &str, kind: Kind, figures: &[(Datum, f64)]) -> Component {
    let figures: BTreeMap<Datum, Entry> = figures
        .iter()
        .map(|(datum, value)| {
            let figure = Figure {
                value: *value,
                sd: None,
                from: None,
                found_at: None,
                place: nowhere(),
            };
            (datum.clone(), Entry::Stated(figure))
        })
        .collect();
    Component {
        id: id.into(),
        name: name.into(),
        kind,
        group: (kind == Kind::BaseStock).then_some(Group::IV),
        polar: false,
        figures,
        polymer: None,
        treat: Band::natural(),
        place: nowhere(),
    }
}

/// Four components: two base stocks, a polymer, a package.
pub(crate) fn problem() -> Problem {
    use Datum::{Flash, Kv100, Price};
    let components = vec![
        component(
            "pao-4",
            "PAO 4",
            Kind::BaseStock,
            &[(Price, 3.1), (Kv100, 4.1), (Flash, 218.0)],
        ),
        component(
            "pao-8",
            "PAO 8",
            Kind::BaseStock,
            &[(Price, 3.55), (Kv100, 7.9), (Flash, 255.0)],
        ),
        component(
            "vm-star",
            "Star polymer",
            Kind::ViscosityModifier,
            &[(Price, 5.2)],
        ),
        component(
            "package-a",
            "Package A",
            Kind::AdditivePackage,
            &[(Price, 6.4), (Flash, 180.0)],
        ),
        component("pao-40", "PAO 40", Kind::BaseStock, &[(Price, 4.9)]),
    ];
    let mut bands = vec![Band::natural(); components.len()];
    bands[3].max = Edge {
        share: Share::from_percent(11.5),
        source: EdgeSource::Shelf,
        place: None,
    };
    Problem {
        title: "5W-40 for the ice-racing sprint".into(),
        currency: "EUR".into(),
        components,
        bands,
        mixing: Mixing::default(),
        goal: Goal {
            sense: Sense::Minimise,
            property: Property::Cost,
            place: nowhere(),
        },
        batch: Some(20.0),
        balance: None,
        grade: Some("5W-40".into()),
        classes: Vec::new(),
        limits: vec![Limit {
            property: Property::Mrv(Celsius::whole(-35)),
            side: Side::Max,
            bound: 60_000.0,
            stated: 60_000.0,
            strict: false,
            source: LimitSource::Grade("SAE J300 5W-40".into()),
            place: nowhere(),
        }],
        rules: Vec::new(),
        properties: Vec::new(),
        groups: Vec::new(),
        known: None,
    }
}

/// A recipe of four of them, in thirds and sevenths so that rounding has work to do.
pub(crate) fn recipe(problem: &Problem) -> Recipe {
    let shares = [1.0 / 3.0, 1.0 / 3.0, 1.0 / 3.0 - 0.115, 0.115, 0.0];
    Recipe::new(problem, &shares.map(Share::from_fraction)).expect("five sound shares")
}

fn predicted(property: Property, value: f64, sd: f64) -> Predicted {
    let unit = property.unit("EUR", None);
    Predicted {
        property,
        value,
        unit,
        spread: Spread {
            components: sd,
            model: 0.0,
            test: 0.0,
        },
        estimated_from: Vec::new(),
    }
}

fn judged(property: Property, side: Side, bound: f64, value: f64, source: LimitSource) -> Judged {
    let margin = match side {
        Side::Min => value - bound,
        Side::Max => bound - value,
    };
    Judged {
        unit: property.unit("EUR", None),
        property,
        side,
        bound,
        stated: bound,
        strict: false,
        source: Source::Limit(source),
        value: Some(value),
        margin: Some(margin),
        binding: margin.abs() < 1e-6,
        verdict: if margin < -1e-6 {
            Verdict::Fails
        } else {
            Verdict::Meets
        },
        pass_probability: Some(0.5 + 0.5 * margin.clamp(-1.0, 1.0)),
    }
}

/// A judgement that passes: one strict maximum, one binding limit, one limit left to the laboratory.
pub(crate) fn passing() -> Judgement {
    let grade = || LimitSource::Grade("SAE J300 5W-40".into());
    let strict = Judged {
        stated: 16.3,
        strict: true,
        ..judged(Property::Kv100, Side::Max, 16.29, 14.2134, grade())
    };
    let pumping = Judged {
        value: None,
        margin: None,
        binding: false,
        verdict: Verdict::NotAssured,
        pass_probability: None,
        ..judged(
            Property::Mrv(Celsius::whole(-35)),
            Side::Max,
            60_000.0,
            0.0,
            grade(),
        )
    };
    let edge = |id: &str, value: f64| Judged {
        source: Source::Band(EdgeSource::Shelf),
        pass_probability: None,
        ..judged(
            Property::Treat(id.into()),
            Side::Max,
            11.5,
            value,
            LimitSource::Problem,
        )
    };
    let noack = Predicted {
        estimated_from: vec!["vm-star".into()],
        ..predicted(Property::Noack, 9.4321, 0.31)
    };
    Judgement {
        rules: Vec::new(),
        properties: vec![
            predicted(Property::Cost, 4.0, 0.0),
            predicted(Property::Kv100, 14.2134, 0.18),
            predicted(Property::Ccs(Celsius::whole(-30)), 6187.0, 312.0),
            predicted(Property::Element(Element::P), 800.0, 12.0),
            noack,
            predicted(Property::Density, 0.853_26, 0.0004),
            predicted(Property::Element(Element::Mo), 820.0, 15.0),
            predicted(Property::Element(Element::Na), 0.0, 0.0),
        ],
        requirements: vec![
            judged(Property::Kv100, Side::Min, 12.5, 14.2134, grade()),
            judged(
                Property::Element(Element::P),
                Side::Max,
                800.0,
                800.0,
                LimitSource::Class("ACEA C3".into(), "from memory".into()),
            ),
            strict,
            judged(
                Property::Ccs(Celsius::whole(-30)),
                Side::Max,
                6600.0,
                6187.0,
                grade(),
            ),
            pumping,
            edge("package-a", 11.5),
            edge("vm-star", 3.0),
            // Stands on its lower edge, and nobody needs to be told.
            Judged {
                side: Side::Min,
                bound: 0.0,
                stated: 0.0,
                margin: Some(0.0),
                binding: true,
                ..edge("pao-40", 0.0)
            },
        ],
        warnings: vec![
            Warning {
                code: "estimated-value",
                words: "`noack` rests on estimated figures of vm-star".into(),
            },
            Warning {
                code: "doubtful-package",
                words: "`package-a`: P/Zn is 1.20 by mass: check both figures".into(),
            },
        ],
    }
}

/// A judgement that fails base number.
pub(crate) fn failing() -> Judgement {
    let mut judgement = passing();
    judgement
        .properties
        .push(predicted(Property::BaseNumber, 6.9996, 0.3));
    judgement.requirements.push(judged(
        Property::BaseNumber,
        Side::Min,
        7.0,
        6.9996,
        LimitSource::Problem,
    ));
    judgement
}

/// An answer without its recipe.
fn bare(status: Status, kind: ProofKind, words: &str) -> Answer {
    Answer {
        alternatives: Vec::new(),
        status,
        proof: Proof {
            kind,
            bound: None,
            gap: None,
            words: words.into(),
        },
        recipe: None,
        objective: None,
        judgement: None,
        conflict: Vec::new(),
        needed: Vec::new(),
        warnings: Vec::new(),
        effort: Effort::default(),
    }
}

/// A recipe that meets every limit.
pub(crate) fn found(problem: &Problem) -> Answer {
    Answer {
        recipe: Some(recipe(problem)),
        objective: Some(4.0878),
        judgement: Some(passing()),
        ..bare(
            Status::Feasible,
            ProofKind::Local,
            "nothing cheaper was found nearby; that none exists is not proved",
        )
    }
}

/// The same, proved to lie close to the best.
pub(crate) fn proved(problem: &Problem) -> Answer {
    let near = found(problem);
    Answer {
        status: Status::Optimal,
        proof: Proof {
            kind: ProofKind::Certified,
            bound: Some(4.087_61),
            gap: Some(0.000_046_5),
            words: "proved for the whole shelf".into(),
        },
        ..near
    }
}

/// A proof that there is none.
pub(crate) fn none() -> Answer {
    Answer {
        conflict: vec![
            Party::Limit {
                property: Property::Element(Element::P),
                side: Side::Min,
                strict: false,
                stated: 900.0,
                unit: Unit::PPM,
                source: LimitSource::Problem,
            },
            Party::Limit {
                property: Property::Ash,
                side: Side::Max,
                strict: false,
                stated: 0.8,
                unit: Unit::PERCENT,
                source: LimitSource::Class("ACEA C3".into(), "from memory".into()),
            },
            Party::Band {
                component: "package-a".into(),
                side: Side::Max,
                percent: 100.0 / 9.0,
                source: EdgeSource::Stock,
            },
            Party::Whole,
        ],
        needed: vec![true; 4],
        ..bare(
            Status::NoRecipe,
            ProofKind::Certified,
            "these alone leave no recipe",
        )
    }
}

/// Neither a recipe nor a proof, with a best attempt.
pub(crate) fn undecided(problem: &Problem) -> Answer {
    Answer {
        recipe: Some(recipe(problem)),
        objective: Some(4.0878),
        judgement: Some(failing()),
        ..bare(Status::Undecided, ProofKind::None, "time ran out")
    }
}

//! What a formulator must be told beside the numbers: what was seen, what it may mean, what to do.

use crate::declare::component::Kind;
use crate::declare::component::Origin;
use crate::declare::problem::LimitSource;
use crate::declare::problem::Problem;
use crate::declare::property::Datum;
use crate::declare::property::Property;
use crate::declare::recipe::Recipe;
use crate::declare::recipe::WRITTEN_TO_PERCENT;
use crate::predict::value::Judgement;
use crate::predict::value::Verdict;
use crate::predict::value::Warning;
use crate::standard::element::Element;

/// An effective value is trusted between half and twice the treat rate it was found at.
const TRUSTED_FACTOR: f64 = 2.0;

/// P/Zn by mass of a zinc dialkyl dithiophosphate: 0.9475 when neutral (2 P per Zn); outside this
/// band a package's figures are doubtful.
const P_OVER_ZN: std::ops::RangeInclusive<f64> = 0.70..=1.0;

/// The warnings of a judged recipe.
#[must_use]
pub fn of(problem: &Problem, shares: &[f64], judgement: &Judgement) -> Vec<Warning> {
    [
        estimated(judgement),
        effective_values(problem, shares),
        doubtful_packages(problem, shares),
        typical_values(problem, shares),
        not_assured(judgement),
        cold(problem),
        classes(problem),
    ]
    .concat()
}

/// A written recipe whose treat rates did not add up to 100 %.
#[must_use]
pub fn rescaled(recipe: &Recipe) -> Option<Warning> {
    let sum = recipe.written().percent();
    ((sum - 100.0).abs() > WRITTEN_TO_PERCENT / 2.0).then(|| Warning {
        code: "rescaled",
        words: format!(
            "the recipe adds up to {sum:.3} %: every treat rate was scaled so that they make 100 %"
        ),
    })
}

fn estimated(judgement: &Judgement) -> Vec<Warning> {
    judgement
        .properties
        .iter()
        .filter(|p| !p.estimated_from.is_empty())
        .map(|p| Warning {
            code: "estimated-value",
            words: format!(
                "`{}` rests on estimated figures of {}: measure them, or keep the margin wide",
                p.property,
                p.estimated_from.join(", ")
            ),
        })
        .collect()
}

fn effective_values(problem: &Problem, shares: &[f64]) -> Vec<Warning> {
    let mut all = Vec::new();
    for (component, &share) in problem.components.iter().zip(shares) {
        for datum in component.figures.keys() {
            let Some(found) = component.figure(datum).and_then(|f| f.found_at) else {
                continue;
            };
            let ratio = share / found.fraction();
            if share > 0.0 && !(TRUSTED_FACTOR.recip()..=TRUSTED_FACTOR).contains(&ratio) {
                all.push(Warning {
                    code: "effective-value-far",
                    words: format!(
                        "`{}`: its effective {} was found at {:.2} %, the recipe uses {:.2} %: \
                         confirm with a blend near this treat rate",
                        component.id,
                        datum.key(),
                        found.percent(),
                        share * 100.0
                    ),
                });
            }
        }
    }
    all
}

fn doubtful_packages(problem: &Problem, shares: &[f64]) -> Vec<Warning> {
    let mut all = Vec::new();
    for (component, &share) in problem.components.iter().zip(shares) {
        let ppm = |e| {
            component
                .figure(&Datum::Element(e))
                .map_or(0.0, |f| f.value)
        };
        let (p, zn) = (ppm(Element::P), ppm(Element::Zn));
        if share > 0.0
            && component.kind == Kind::AdditivePackage
            && zn > 0.0
            && !P_OVER_ZN.contains(&(p / zn))
        {
            all.push(Warning {
                code: "doubtful-package",
                words: format!(
                    "`{}`: P/Zn is {:.2} by mass; zinc dithiophosphates lie near 0.95: check both \
                     figures against its certificate",
                    component.id,
                    p / zn
                ),
            });
        }
    }
    all
}

fn typical_values(problem: &Problem, shares: &[f64]) -> Vec<Warning> {
    let loose: Vec<&str> = problem
        .components
        .iter()
        .zip(shares)
        .filter(|(c, x)| {
            **x > 0.0
                && c.figures
                    .values()
                    .filter_map(|e| e.figure())
                    .any(|f| f.from == Some(Origin::Typical) && f.sd.is_none())
        })
        .map(|(c, _)| c.id.as_str())
        .collect();
    if loose.is_empty() {
        return Vec::new();
    }
    vec![Warning {
        code: "typical-without-sd",
        words: format!(
            "{}: typical figures without an `sd`, so the uncertainty shown is too small",
            loose.join(", ")
        ),
    }]
}

fn not_assured(judgement: &Judgement) -> Vec<Warning> {
    judgement
        .requirements
        .iter()
        .filter(|r| r.verdict == Verdict::NotAssured)
        .map(|r| Warning {
            code: "not-assured",
            words: format!(
                "`{}` cannot be predicted from this shelf: test it",
                r.property
            ),
        })
        .collect()
}

fn cold(problem: &Problem) -> Vec<Warning> {
    let pumped = problem
        .limits
        .iter()
        .any(|l| matches!(l.property, Property::Mrv(_)));
    if !pumped {
        return Vec::new();
    }
    vec![Warning {
        code: "yield-stress",
        words: "cold pumping is screened by calculation only, and its yield stress and the pour \
                point cannot be calculated: test both on the finished oil"
            .into(),
    }]
}

fn classes(problem: &Problem) -> Vec<Warning> {
    let mut named: Vec<&str> = problem
        .limits
        .iter()
        .filter_map(|l| match &l.source {
            LimitSource::Class(name, _) => Some(name.as_str()),
            _ => None,
        })
        .collect();
    named.dedup();
    named
        .into_iter()
        .map(|name| Warning {
            code: "no-conformity",
            words: format!(
                "meeting the published numbers of {name} is not conformity to it: the class is \
                 decided by engine tests"
            ),
        })
        .collect()
}

//! What is not known, in words: what would be measured to know it.

use crate::declare::problem::Problem;
use crate::predict::cause::Modelled;
use crate::predict::cause::Unknown;
use crate::predict::nudge::Part;
use crate::report::words;

/// Something that is not known, as what would be measured.
#[must_use]
pub fn words(problem: &Problem, of: &Unknown) -> String {
    let id = |j: &usize| problem.components[*j].id.clone();
    match of {
        Unknown::Figure(j, Part::Datum(datum)) => format!("{} of {}", datum.key(), id(j)),
        Unknown::Figure(j, Part::Polymer(key)) => format!("{key} of {}", id(j)),
        Unknown::Estimate(j) => format!("the estimated figures of {}", id(j)),
        Unknown::Viscosity => "how the stocks mix: KV100 of one blend".into(),
        Unknown::Model(model) => format!("the model's error: {} of one blend", modelled(*model)),
        Unknown::Blend => "all models' errors: every test of one blend".into(),
        Unknown::Pours => "what the balance pours".into(),
        Unknown::Test(property) => format!("the test of {}", words::property(property)),
    }
}

fn modelled(model: Modelled) -> &'static str {
    match model {
        Modelled::Hths => "HTHS",
        Modelled::Vi => "viscosity index",
        Modelled::Cranking => "CCS",
        Modelled::Pumping => "MRV",
        Modelled::Noack => "Noack",
        Modelled::Ash => "sulfated ash",
        Modelled::Aniline => "aniline point",
        Modelled::Flash => "flash point",
    }
}

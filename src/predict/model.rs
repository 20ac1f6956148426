//! Which formula, over which totals, is each property's model.

use crate::declare::problem::Mixing;
use crate::declare::problem::Problem;
use crate::declare::property::Datum;
use crate::declare::property::Property;
use crate::predict::figures::Cold;
use crate::predict::formula::Formula;
use crate::predict::link::Link;
use crate::predict::total;
use crate::predict::total::Kept;
use crate::predict::total::Total;
use crate::quantity::Celsius;

/// Temperature of the high-temperature high-shear test.
const HTHS_AT: Celsius = Celsius::whole(150);
const FORTY: Celsius = Celsius::whole(40);
const HUNDRED: Celsius = Celsius::whole(100);

/// The model of a property: `None` where there is none (gear-oil cold viscosity), or where the
/// problem does not declare what the property names.
#[must_use]
pub fn model(
    problem: &Problem,
    mixing: Mixing,
    property: &Property,
) -> Option<(Formula, Vec<Total>)> {
    let plain = |datum| Some((Formula::Sum, vec![Total::Plain(datum)]));
    match property {
        Property::Kv40 => Some(kinematic(problem, mixing, FORTY, Kept::Fresh)),
        Property::Kv100 => Some(kinematic(problem, mixing, HUNDRED, Kept::Fresh)),
        Property::Kv100Sheared => Some(kinematic(problem, mixing, HUNDRED, Kept::Injector)),
        Property::Kv100Krl => Some(kinematic(problem, mixing, HUNDRED, Kept::RollerBearing)),
        Property::Vi => Some(viscosity_index(problem, mixing)),
        Property::Hths => Some(high_shear(problem, mixing)),
        Property::Ccs(at) => Some(cold(problem, Cold::Cranking, *at)),
        Property::Mrv(at) => Some(cold(problem, Cold::Pumping, *at)),
        // Gear-oil cold viscosity has no model; change is no sum of the components' figures (`judge`).
        Property::Brookfield(_) | Property::Change => None,
        Property::Density => Some((
            Formula::Quotient(Link::Identity),
            vec![Total::Mass, Total::Volume],
        )),
        Property::Noack => plain(Datum::Noack),
        Property::Element(e) => plain(Datum::Element(*e)),
        Property::Ratio(a, b) => Some((
            Formula::Quotient(Link::Identity),
            vec![
                Total::Plain(Datum::Element(*a)),
                Total::Plain(Datum::Element(*b)),
            ],
        )),
        Property::Ash => Some((Formula::Sum, vec![Total::Ash])),
        Property::BaseNumber => plain(Datum::BaseNumber),
        Property::AcidNumber => plain(Datum::AcidNumber),
        Property::PolarShare => Some((Formula::Sum, vec![Total::Polar])),
        Property::AnilinePoint => Some((
            Formula::Quotient(Link::Identity),
            vec![Total::PerVolume(Datum::AnilinePoint), Total::Volume],
        )),
        Property::IrBaseline => plain(Datum::IrBaseline),
        Property::Flash => Some((
            Formula::LowerFlash,
            vec![
                Total::FlashIndex(Link::Thiele),
                Total::FlashIndex(Link::FlashIndex),
                Total::Volume,
            ],
        )),
        Property::Cost => plain(Datum::Price),
        Property::CostPerLitre => Some((
            Formula::Quotient(Link::Identity),
            vec![Total::Plain(Datum::Price), Total::Volume],
        )),
        Property::Treat(id) => Some((Formula::Sum, vec![Total::Treat(problem.component(id)?)])),
        Property::Group(name) => {
            problem.group(name)?;
            Some((Formula::Sum, vec![Total::Group(name.clone())]))
        }
        Property::User(name) => {
            let (link, basis) = total::user_link(problem.user(name)?.rule);
            let index = Total::UserIndex(name.clone());
            Some(match (link, &basis) {
                (Link::Identity, Total::Mass) => (Formula::Sum, vec![index]),
                _ => (Formula::Quotient(link), vec![index, basis]),
            })
        }
    }
}

fn kinematic(problem: &Problem, mixing: Mixing, at: Celsius, kept: Kept) -> (Formula, Vec<Total>) {
    let link = total::viscosity_link(mixing.viscosity);
    let fluid = vec![Total::FluidIndex(at), Total::FluidWeight];
    if !problem.has_polymer() {
        return (Formula::Quotient(link), fluid);
    }
    let polymer = [
        Total::Volume,
        Total::Thickening(at, kept),
        Total::Crowding(at),
    ];
    let law = mixing.thickening;
    (
        Formula::Thickened { link, law, at },
        [fluid, polymer.to_vec()].concat(),
    )
}

fn high_shear(problem: &Problem, mixing: Mixing) -> (Formula, Vec<Total>) {
    let (link, law, at) = (
        total::viscosity_link(mixing.viscosity),
        mixing.thickening,
        HTHS_AT,
    );
    let fluid = vec![Total::FluidIndex(at), Total::FluidWeight, Total::Volume];
    if !problem.has_polymer() {
        return (Formula::Dynamic { link, at }, fluid);
    }
    let polymer = [Total::Thickening(at, Kept::HighShear), Total::Crowding(at)];
    (
        Formula::Sheared { link, law, at },
        [fluid, polymer.to_vec()].concat(),
    )
}

fn viscosity_index(problem: &Problem, mixing: Mixing) -> (Formula, Vec<Total>) {
    let link = total::viscosity_link(mixing.viscosity);
    let fluid = vec![
        Total::FluidIndex(FORTY),
        Total::FluidIndex(HUNDRED),
        Total::FluidWeight,
    ];
    if !problem.has_polymer() {
        return (Formula::Vi { link }, fluid);
    }
    let polymer = [
        Total::Volume,
        Total::Thickening(FORTY, Kept::Fresh),
        Total::Crowding(FORTY),
        Total::Thickening(HUNDRED, Kept::Fresh),
        Total::Crowding(HUNDRED),
    ];
    let law = mixing.thickening;
    (
        Formula::ViThickened { link, law },
        [fluid, polymer.to_vec()].concat(),
    )
}

fn cold(problem: &Problem, test: Cold, at: Celsius) -> (Formula, Vec<Total>) {
    let fluid = vec![Total::ColdIndex(test, at), Total::FluidMass];
    if !problem.has_polymer() {
        return (Formula::Quotient(Link::Log), fluid);
    }
    let polymer = [Total::Volume, Total::ColdThickening(test)];
    (
        Formula::ColdThickened { at },
        [fluid, polymer.to_vec()].concat(),
    )
}

//! What a component must state for a property to be predicted, and what may be left out.
//!
//! This is the one place for both: `read` refuses by it, `predict` fills in by it.

use crate::declare::component::{Component, Group, Kind};
use crate::declare::problem::{Problem, UserRule, ViscosityRule};
use crate::declare::property::{Datum, Property};
use crate::quantity::Celsius;
use crate::standard::element::Element;

/// The metals whose sulfates (zinc: see the mixing choice) make up calculated ash.
pub const ASH_METALS: [Element; 7] = [
    Element::Zn,
    Element::Ca,
    Element::Mg,
    Element::Ba,
    Element::Na,
    Element::K,
    Element::Li,
];

/// One thing that each component in use must have.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub enum Need {
    /// A figure, unless an omitted one is zero ([`omitted_is_zero`]).
    Figure(Datum),
    /// A cold-cranking viscosity at this temperature, or at one below and one above it.
    Ccs(Celsius),
    /// Measured ash, or at least one ash metal; base stocks may omit all.
    Ash,
    /// The roller-bearing shear index of the polymer, where there is a polymer.
    SsiKrl,
}

/// What every component in use needs for a property; nothing for those that are never refused.
#[must_use]
pub fn needs(property: &Property, problem: &Problem) -> Vec<Need> {
    let figure = |datum| Need::Figure(datum);
    match property {
        Property::Kv40 | Property::Kv100 | Property::Vi | Property::Kv100Sheared => {
            kinematic(problem)
        }
        Property::Kv100Krl => {
            let mut needs = kinematic(problem);
            needs.push(Need::SsiKrl);
            needs
        }
        Property::Hths => vec![
            figure(Datum::Kv40),
            figure(Datum::Kv100),
            figure(Datum::Density),
        ],
        Property::Ccs(t) => {
            let mut needs = vec![Need::Ccs(*t)];
            // The polymer's concentration is per volume.
            if problem.has_polymer() {
                needs.push(figure(Datum::Density));
            }
            needs
        }
        Property::Density => vec![figure(Datum::Density)],
        Property::Noack => vec![figure(Datum::Noack)],
        Property::Element(e) => vec![figure(Datum::Element(*e))],
        Property::Ratio(a, b) => vec![figure(Datum::Element(*a)), figure(Datum::Element(*b))],
        Property::Ash => vec![Need::Ash],
        Property::BaseNumber => vec![figure(Datum::BaseNumber)],
        Property::AcidNumber => vec![figure(Datum::AcidNumber)],
        Property::AnilinePoint => vec![figure(Datum::AnilinePoint), figure(Datum::Density)],
        Property::IrBaseline => vec![figure(Datum::IrBaseline)],
        Property::Flash => vec![figure(Datum::Flash), figure(Datum::Density)],
        Property::Cost => vec![figure(Datum::Price)],
        Property::CostPerLitre => vec![figure(Datum::Price), figure(Datum::Density)],
        Property::User(name) => user(name, problem),
        Property::Mrv(_)
        | Property::Brookfield(_)
        | Property::PolarShare
        | Property::Change
        | Property::Treat(_)
        | Property::Group(_) => Vec::new(),
    }
}

fn kinematic(problem: &Problem) -> Vec<Need> {
    let mut needs = vec![Need::Figure(Datum::Kv40), Need::Figure(Datum::Kv100)];
    let on_volume = matches!(
        problem.mixing.viscosity,
        ViscosityRule::WaltherVolume | ViscosityRule::WrightVolume
    );
    if on_volume || problem.has_polymer() {
        needs.push(Need::Figure(Datum::Density));
    }
    needs
}

fn user(name: &str, problem: &Problem) -> Vec<Need> {
    let Some(declared) = problem.user(name) else {
        return Vec::new();
    };
    let mut needs = Vec::new();
    if declared.missing.is_none() {
        needs.push(Need::Figure(Datum::User(name.into())));
    }
    if matches!(
        declared.rule,
        UserRule::VolumeLinear | UserRule::LogVolume | UserRule::DoubleLogVolume
    ) {
        needs.push(Need::Figure(Datum::Density));
    }
    needs
}

impl Need {
    /// Whether a component has it.
    #[must_use]
    pub fn met_by(&self, component: &Component) -> bool {
        let states = |datum: &Datum| component.figures.contains_key(datum);
        match self {
            Need::Figure(datum) => states(datum) || omitted_is_zero(component, datum),
            Need::Ccs(t) => {
                let measured = component.figures.keys().filter_map(|datum| match datum {
                    Datum::Ccs(at) => Some(*at),
                    _ => None,
                });
                let (mut below, mut above) = (false, false);
                for at in measured {
                    below |= at <= *t;
                    above |= at >= *t;
                }
                below && above
            }
            Need::Ash => {
                plain_stock(component)
                    || states(&Datum::Ash)
                    || ASH_METALS
                        .into_iter()
                        .any(|metal| states(&Datum::Element(metal)))
            }
            Need::SsiKrl => component
                .polymer
                .as_ref()
                .is_none_or(|polymer| polymer.ssi_krl.is_some()),
        }
    }

    /// The figure at issue, as a shelf names it.
    #[must_use]
    pub fn key(&self) -> String {
        match self {
            Need::Figure(datum) => datum.key(),
            Need::Ccs(t) => Datum::Ccs(*t).key(),
            Need::Ash => "ash".into(),
            Need::SsiKrl => "ssi-krl".into(),
        }
    }
}

/// Whether a figure that a component does not state is plainly nothing.
///
/// Elements, base and acid number: zero in base stocks, in viscosity modifiers and in pour
/// depressants, save that sulfur and nitrogen are zero only in base stocks of groups III, IV and V.
/// Whatever a package or a booster does not state is unknown, not zero. Common practice, no source.
#[must_use]
pub fn omitted_is_zero(component: &Component, datum: &Datum) -> bool {
    match datum {
        Datum::Element(Element::S | Element::N) => {
            component.kind == Kind::BaseStock
                && matches!(component.group, Some(Group::III | Group::IV | Group::V))
        }
        Datum::Element(_) | Datum::BaseNumber | Datum::AcidNumber => plain_stock(component),
        _ => false,
    }
}

/// A component of hydrocarbons or esters and, at most, a polymer.
fn plain_stock(component: &Component) -> bool {
    matches!(
        component.kind,
        Kind::BaseStock | Kind::ViscosityModifier | Kind::PourDepressant
    )
}

/// Whether `"estimated"` may stand for a figure: whether a stated rule derives it.
#[must_use]
pub fn estimable(datum: &Datum) -> bool {
    matches!(datum, Datum::Ccs(_) | Datum::Mrv(_))
}

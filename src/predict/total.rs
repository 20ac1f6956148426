//! Blend totals: sums that are exactly linear in the mass fractions.
//!
//! Every property of this crate is a closed formula of at most [`WIDTH`] of them. That is what makes
//! slopes cheap, most limits exactly linear, and a proof possible: the number of curved directions
//! does not grow with the shelf.

use crate::declare::component::Component;
use crate::declare::component::Figure;
use crate::declare::component::Origin;
use crate::declare::component::Polymer;
use crate::declare::problem::Mixing;
use crate::declare::problem::Problem;
use crate::declare::problem::UserRule;
use crate::declare::problem::ViscosityRule;
use crate::declare::property::Datum;
use crate::predict::figures;
use crate::predict::figures::Cold;
use crate::predict::figures::Reading;
use crate::predict::link::Link;
use crate::quantity::Celsius;
use crate::standard::temperature::Line;

/// The most totals that one property needs.
pub const WIDTH: usize = 8;

/// Grams per decilitre of a solution of density 1 g/mL that is all polymer.
const G_PER_DL: f64 = 100.0;

/// Which part of a polymer's thickening a test sees.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Kept {
    /// All of it: a low-shear test of the fresh oil.
    Fresh,
    /// What temporary shear at 1e6 1/s leaves.
    HighShear,
    /// What the diesel-injector test leaves for good (ASTM D6278, D6022).
    Injector,
    /// What 20 h of the tapered-roller-bearing test leaves for good.
    RollerBearing,
}

/// A sum over the components, `Σ x c`.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub enum Total {
    /// Σ x: the whole.
    Mass,
    /// Σ x/ρ15: specific volume, L/kg.
    Volume,
    /// Σ (1 − solids) x: the polymer-free mass.
    FluidMass,
    /// Denominator of the mean viscosity index of the polymer-free fluid.
    FluidWeight,
    /// Numerator of that mean at a temperature.
    FluidIndex(Celsius),
    /// Σ 100·solids·`[η]`(T)·kept·x: times ρ(T) it is the reduced concentration s that a test sees.
    Thickening(Celsius, Kept),
    /// Σ 100·solids·`[η]`(T)·K·x: times ρ(T) it is K s.
    Crowding(Celsius),
    /// Σ (1 − solids) x ln η at a cold test temperature.
    ColdIndex(Cold, Celsius),
    /// Σ 100·solids·thickening·x of a cold test.
    ColdThickening(Cold),
    /// Σ x p of a figure that mixes on mass.
    Plain(Datum),
    /// Σ x p/ρ of a figure that mixes on volume.
    PerVolume(Datum),
    /// Σ x·ash.
    Ash,
    /// Σ x/ρ·index of the flash point, by one of the two flash links.
    FlashIndex(Link),
    /// Σ x over polar base stocks, in %.
    Polar,
    /// Σ x over a declared group, in %.
    Group(String),
    /// One component's treat rate, in %.
    Treat(usize),
    /// Numerator of a declared property.
    UserIndex(String),
}

impl Total {
    /// What one component contributes per unit of its mass fraction; `None` where a figure is missing.
    ///
    /// `c` stands in for the problem's component `index`: that component itself, or one with a figure
    /// moved.
    #[must_use]
    pub fn coefficient(
        &self,
        problem: &Problem,
        mixing: Mixing,
        index: usize,
        c: &Component,
    ) -> Option<Reading> {
        let sure = |value| Some(Reading::sure(value));
        match self {
            Total::Mass => sure(1.0),
            Total::Volume => scaled(figures::plain(c, &Datum::Density)?, f64::recip),
            Total::FluidMass => Some(fluid_share(c)),
            Total::FluidWeight => fluid_weight(c, mixing.viscosity),
            Total::FluidIndex(at) => fluid_index(c, mixing.viscosity, *at),
            Total::Thickening(at, kept) => polymer_sum(c, *at, |p| kept_fraction(p, *kept)),
            Total::Crowding(at) => polymer_sum(c, *at, |p| Some(read(&p.k))),
            Total::ColdIndex(test, at) => {
                let share = fluid_share(c);
                let cold = scaled(figures::cold(c, *test, *at)?, |eta| share.value * eta.ln())?;
                Some(resting_on(cold, share))
            }
            Total::ColdThickening(test) => Some(cold_thickening(c, *test)),
            Total::Plain(datum) => figures::plain(c, datum),
            Total::PerVolume(datum) => {
                let density = figures::plain(c, &Datum::Density)?;
                let reading = scaled(figures::plain(c, datum)?, |p| p / density.value)?;
                Some(resting_on(reading, density))
            }
            Total::Ash => figures::sulfated_ash(c, mixing.zinc_ash),
            Total::FlashIndex(link) => {
                let density = figures::plain(c, &Datum::Density)?;
                let flash = figures::plain(c, &Datum::Flash)?;
                let value = link.index(flash.value)? / density.value;
                Some(resting_on(Reading { value, ..flash }, density))
            }
            Total::Polar => sure(if c.polar { 100.0 } else { 0.0 }),
            Total::Group(name) => {
                let holds = problem.group(name)?.members.binary_search(&index).is_ok();
                sure(if holds { 100.0 } else { 0.0 })
            }
            Total::Treat(which) => sure(if *which == index { 100.0 } else { 0.0 }),
            Total::UserIndex(name) => user_index(problem, c, name),
        }
    }
}

/// A reading mapped through a smooth function, its rule's uncertainty carried by the chord.
fn scaled(reading: Reading, map: impl Fn(f64) -> f64) -> Option<Reading> {
    let value = map(reading.value);
    let rule_sd = if reading.rule_sd > 0.0 {
        (map(reading.value + reading.rule_sd) - value).abs()
    } else {
        0.0
    };
    value.is_finite().then_some(Reading {
        value,
        rule_sd,
        ..reading
    })
}

/// A reading that a second one went into: estimated where either is.
fn resting_on(reading: Reading, other: Reading) -> Reading {
    Reading {
        estimated: reading.estimated || other.estimated,
        ..reading
    }
}

/// A stated figure of a polymer.
fn read(figure: &Figure) -> Reading {
    Reading {
        value: figure.value,
        estimated: figure.from == Some(Origin::Estimated),
        rule_sd: 0.0,
    }
}

/// The polymer-free mass fraction of a component.
fn fluid_share(c: &Component) -> Reading {
    c.polymer.as_ref().map_or(Reading::sure(1.0), |p| {
        let solids = read(&p.solids);
        Reading {
            value: 1.0 - solids.value,
            ..solids
        }
    })
}

/// Weight of a component in the mean index: its polymer-free mass, or volume.
fn basis(c: &Component, rule: ViscosityRule) -> Option<Reading> {
    let share = fluid_share(c);
    match rule {
        ViscosityRule::DoubleLogMass | ViscosityRule::WrightMass | ViscosityRule::LogMass => {
            Some(share)
        }
        ViscosityRule::WaltherVolume | ViscosityRule::WrightVolume => {
            let density = figures::plain(c, &Datum::Density)?;
            let value = share.value / density.value;
            Some(resting_on(Reading { value, ..share }, density))
        }
    }
}

/// A component's viscosity–temperature line, for Wright's procedure, and whether it rests on an
/// estimate.
fn line(c: &Component) -> Option<(Line, bool)> {
    let kv40 = figures::plain(c, &Datum::Kv40)?;
    let kv100 = figures::plain(c, &Datum::Kv100)?;
    let line = Line::through(kv40.value, kv100.value)?;
    Some((line, kv40.estimated || kv100.estimated))
}

fn fluid_weight(c: &Component, rule: ViscosityRule) -> Option<Reading> {
    let weight = basis(c, rule)?;
    match rule {
        // Wright writes the line as log10 T = a + b W with b < 0; D341's B is −1/b.
        ViscosityRule::WrightMass | ViscosityRule::WrightVolume => {
            let (line, estimated) = line(c)?;
            Some(Reading {
                value: weight.value / line.b,
                estimated: weight.estimated || estimated,
                ..weight
            })
        }
        _ => Some(weight),
    }
}

fn fluid_index(c: &Component, rule: ViscosityRule, at: Celsius) -> Option<Reading> {
    let weight = basis(c, rule)?;
    let nu = figures::kinematic(c, at)?;
    let index = match rule {
        ViscosityRule::DoubleLogMass => Link::DoubleLog.index(nu.value)?,
        ViscosityRule::WaltherVolume => Link::Walther.index(nu.value)?,
        ViscosityRule::LogMass => Link::Log.index(nu.value)?,
        // Σ w (a − log10 T), with a = A/B of D341's W = A − B log10 T.
        ViscosityRule::WrightMass | ViscosityRule::WrightVolume => {
            let (line, _) = line(c)?;
            line.a / line.b - at.kelvin().log10()
        }
    };
    let value = weight.value * index;
    Some(resting_on(Reading { value, ..nu }, weight))
}

/// What a polymer adds to a cold test. A modifier that states no rise of cold pumping is given that of
/// cold cranking, as an estimate.
fn cold_thickening(c: &Component, test: Cold) -> Reading {
    let Some(p) = &c.polymer else {
        return Reading::sure(0.0);
    };
    let rise = match (test, &p.mrv_thickening) {
        (Cold::Cranking, _) => read(&p.ccs_thickening),
        (Cold::Pumping, Some(stated)) => read(stated),
        (Cold::Pumping, None) => Reading {
            estimated: true,
            ..read(&p.ccs_thickening)
        },
    };
    let solids = read(&p.solids);
    let value = G_PER_DL * solids.value * rise.value;
    resting_on(Reading { value, ..rise }, solids)
}

/// The link of the polymer-free fluid's viscosity under a rule.
#[must_use]
pub fn viscosity_link(rule: ViscosityRule) -> Link {
    match rule {
        ViscosityRule::DoubleLogMass => Link::DoubleLog,
        ViscosityRule::LogMass => Link::Log,
        ViscosityRule::WaltherVolume | ViscosityRule::WrightMass | ViscosityRule::WrightVolume => {
            Link::Walther
        }
    }
}

fn kept_fraction(p: &Polymer, kept: Kept) -> Option<Reading> {
    let (lost, whole) = match kept {
        Kept::Fresh => return Some(Reading::sure(1.0)),
        Kept::HighShear => (read(&p.hths_loss), 1.0),
        Kept::Injector => (read(&p.ssi), 100.0),
        Kept::RollerBearing => (read(p.ssi_krl.as_ref()?), 100.0),
    };
    Some(Reading {
        value: 1.0 - lost.value / whole,
        ..lost
    })
}

fn polymer_sum(
    c: &Component,
    at: Celsius,
    factor: impl Fn(&Polymer) -> Option<Reading>,
) -> Option<Reading> {
    let Some(p) = &c.polymer else {
        return Some(Reading::sure(0.0));
    };
    let iv = if at == Celsius::whole(40) {
        read(&p.iv40)
    } else if at == Celsius::whole(100) {
        read(&p.iv100)
    } else {
        read(&p.iv150)
    };
    let (solids, factor) = (read(&p.solids), factor(p)?);
    let value = G_PER_DL * solids.value * iv.value * factor.value;
    let reading = resting_on(Reading { value, ..iv }, solids);
    Some(resting_on(reading, factor))
}

/// The link and the basis of a declared property.
#[must_use]
pub fn user_link(rule: UserRule) -> (Link, Total) {
    match rule {
        UserRule::MassLinear => (Link::Identity, Total::Mass),
        UserRule::VolumeLinear => (Link::Identity, Total::Volume),
        UserRule::LogMass => (Link::Log, Total::Mass),
        UserRule::LogVolume => (Link::Log, Total::Volume),
        UserRule::DoubleLogMass => (Link::DoubleLog, Total::Mass),
        UserRule::DoubleLogVolume => (Link::DoubleLog, Total::Volume),
        UserRule::ReciprocalMass => (Link::Reciprocal, Total::Mass),
    }
}

fn user_index(problem: &Problem, c: &Component, name: &str) -> Option<Reading> {
    let declared = problem.user(name)?;
    let stated = figures::plain(c, &Datum::User(name.into()));
    // What the problem says of components that state nothing is its author's estimate.
    let reading = stated.or(declared.missing.map(|value| Reading {
        value,
        estimated: true,
        rule_sd: 0.0,
    }))?;
    let (link, basis) = user_link(declared.rule);
    let index = link.index(reading.value)?;
    if basis != Total::Volume {
        return Some(Reading {
            value: index,
            ..reading
        });
    }
    let density = figures::plain(c, &Datum::Density)?;
    let value = index / density.value;
    Some(resting_on(Reading { value, ..reading }, density))
}

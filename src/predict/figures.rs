//! What a component contributes: its stated figures, and the stated rules for those it lacks.
//!
//! | figure | when the shelf does not state it |
//! |---|---|
//! | viscosity at 150 °C | extrapolated by ASTM D341 from 40 and 100 °C (polymer-free fluid) |
//! | cold viscosity between two measured temperatures | ln η linear in 1/T |
//! | cold viscosity marked `"estimated"` | along the nearest two measured points, or by ASTM D341; wide band |
//! | sulfated ash | sum of the metals times their factors |
//! | an element | zero where the component plainly holds none (`declare::needs`), else refused |

use crate::declare::component::Component;
use crate::declare::component::Entry;
use crate::declare::component::Origin;
use crate::declare::needs;
use crate::declare::problem::ZincAsh;
use crate::declare::property::Datum;
use crate::quantity::Celsius;
use crate::quantity::PPM_PER_PERCENT;
use crate::standard::ash;
use crate::standard::element::Element;
use crate::standard::temperature::Line;

/// Relative standard deviation of a cold viscosity extrapolated along two measured temperatures
/// (from memory: about a tenth per 5 °C).
pub const COLD_EXTRAPOLATED_RELATIVE_SD: f64 = 0.15;

/// Relative standard deviation of a cold viscosity carried down from 40 and 100 °C by ASTM D341:
/// light polyalphaolefin comes out at about twice its real value.
pub const COLD_FROM_HOT_RELATIVE_SD: f64 = 0.5;

/// A figure as used, and whether it was estimated.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Reading {
    /// The value, in its datum's unit.
    pub value: f64,
    /// Whether it was derived by an estimating rule, or the shelf calls it estimated.
    pub estimated: bool,
    /// Standard deviation of the estimating rule itself, in the same unit; 0 for stated figures.
    pub rule_sd: f64,
}

impl Reading {
    /// A figure that needs no estimate.
    #[must_use]
    pub fn sure(value: f64) -> Self {
        Reading {
            value,
            estimated: false,
            rule_sd: 0.0,
        }
    }
}

/// The stated figure, or zero where omission plainly means none; `None` where it is missing.
#[must_use]
pub fn plain(component: &Component, datum: &Datum) -> Option<Reading> {
    match component.figures.get(datum) {
        Some(Entry::Stated(figure)) => Some(Reading {
            value: figure.value,
            estimated: figure.from == Some(Origin::Estimated),
            rule_sd: 0.0,
        }),
        Some(Entry::Estimate(_)) => None,
        None => needs::omitted_is_zero(component, datum).then_some(Reading::sure(0.0)),
    }
}

/// Sulfated ash, mass %: measured, or the sum of the metals.
#[must_use]
pub fn sulfated_ash(component: &Component, zinc: ZincAsh) -> Option<Reading> {
    if let Some(measured) = plain(component, &Datum::Ash) {
        return Some(measured);
    }
    let zinc_factor = match zinc {
        ZincAsh::Trade => ash::ZINC_TRADE,
        ZincAsh::Oxide => ash::ZINC_AS_OXIDE,
        ZincAsh::Sulfate => ash::ZINC_AS_SULFATE,
    };
    if !needs::Need::Ash.met_by(component) {
        return None;
    }
    let mut sum = Reading::sure(0.0);
    for element in needs::ASH_METALS {
        let factor = match element {
            Element::Zn => Some(zinc_factor),
            other => ash::factor(other),
        };
        let (Some(factor), Some(ppm)) = (factor, component.figure(&Datum::Element(element))) else {
            continue;
        };
        sum.value += ppm.value / PPM_PER_PERCENT * factor;
        sum.estimated |= ppm.from == Some(Origin::Estimated);
    }
    Some(sum)
}

/// Kinematic viscosity at a temperature, mm²/s: stated at 40 and 100 °C, else by ASTM D341.
#[must_use]
pub fn kinematic(component: &Component, at: Celsius) -> Option<Reading> {
    let kv40 = plain(component, &Datum::Kv40)?;
    let kv100 = plain(component, &Datum::Kv100)?;
    let value = if at == Celsius::whole(40) {
        kv40.value
    } else if at == Celsius::whole(100) {
        kv100.value
    } else {
        Line::through(kv40.value, kv100.value)?.at(at)
    };
    Some(Reading {
        value,
        estimated: kv40.estimated || kv100.estimated,
        rule_sd: 0.0,
    })
}

/// Which cold test.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Cold {
    /// Cranking (ASTM D5293).
    Cranking,
    /// Pumping (ASTM D4684).
    Pumping,
}

impl Cold {
    /// The datum of this test at a temperature.
    #[must_use]
    pub fn datum(self, at: Celsius) -> Datum {
        match self {
            Cold::Cranking => Datum::Ccs(at),
            Cold::Pumping => Datum::Mrv(at),
        }
    }

    fn of(self, datum: &Datum) -> Option<Celsius> {
        match (self, datum) {
            (Cold::Cranking, Datum::Ccs(t)) | (Cold::Pumping, Datum::Mrv(t)) => Some(*t),
            _ => None,
        }
    }
}

/// Cold viscosity at a test temperature, mPa·s: stated there, interpolated between two measured
/// temperatures, or estimated where the shelf asks for it.
#[must_use]
pub fn cold(component: &Component, test: Cold, at: Celsius) -> Option<Reading> {
    if let Some(stated) = plain(component, &test.datum(at)) {
        return Some(stated);
    }
    let measured: Vec<(Celsius, Reading)> = component
        .figures
        .keys()
        .filter_map(|datum| Some((test.of(datum)?, plain(component, datum)?)))
        .collect();
    let below = measured.iter().rev().find(|(t, _)| *t < at);
    let above = measured.iter().find(|(t, _)| *t > at);
    if let (Some(a), Some(b)) = (below, above) {
        return Some(Reading {
            value: along(a, b, at),
            estimated: a.1.estimated || b.1.estimated,
            rule_sd: 0.0,
        });
    }
    let asked = matches!(
        component.figures.get(&test.datum(at)),
        Some(Entry::Estimate(_))
    );
    if !asked {
        return None;
    }
    let (value, relative) = match (measured.as_slice(), below.is_some()) {
        ([.., a, b], true) | ([a, b, ..], false) => {
            (along(a, b, at), COLD_EXTRAPOLATED_RELATIVE_SD)
        }
        _ => (carried_down(component, at)?, COLD_FROM_HOT_RELATIVE_SD),
    };
    Some(Reading {
        value,
        estimated: true,
        rule_sd: relative * value,
    })
}

/// ln η linear in 1/T through two points.
fn along(a: &(Celsius, Reading), b: &(Celsius, Reading), at: Celsius) -> f64 {
    let (ta, tb, t) = (
        a.0.kelvin().recip(),
        b.0.kelvin().recip(),
        at.kelvin().recip(),
    );
    let (la, lb) = (a.1.value.ln(), b.1.value.ln());
    (la + (lb - la) * (t - ta) / (tb - ta)).exp()
}

/// Dynamic viscosity by ASTM D341 from 40 and 100 °C: known to be high for polyalphaolefin.
fn carried_down(component: &Component, at: Celsius) -> Option<f64> {
    let density = plain(component, &Datum::Density)?.value;
    let nu = kinematic(component, at)?.value;
    let value = nu * crate::predict::formula::density_at(density, at);
    value.is_finite().then_some(value)
}

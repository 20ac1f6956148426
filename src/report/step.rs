//! The natural step of a property: what a formulator would move a limit by to see what it costs.

use crate::declare::property::Property;

/// A step that is worth talking of at the bench, in the property's unit (common practice, no source):
/// about what its test can tell from nothing, or a round number near it.
#[must_use]
pub fn natural(property: &Property, bound: f64) -> f64 {
    match property {
        Property::Kv40
        | Property::Vi
        | Property::AnilinePoint
        | Property::Flash
        | Property::PolarShare
        | Property::Group(_)
        | Property::Change => 1.0,
        Property::Kv100
        | Property::Kv100Sheared
        | Property::Kv100Krl
        | Property::Hths
        | Property::Noack
        | Property::BaseNumber
        | Property::AcidNumber
        | Property::Ratio(..)
        | Property::Treat(_) => 0.1,
        Property::Ash | Property::IrBaseline | Property::Cost | Property::CostPerLitre => 0.01,
        Property::Density => 0.001,
        Property::Ccs(_) => 100.0,
        Property::Mrv(_) | Property::Brookfield(_) => 1000.0,
        Property::Element(_) if bound >= 2000.0 => 100.0,
        Property::Element(_) => 10.0,
        Property::User(_) => round(0.01 * bound.abs()),
    }
}

/// A power of ten at or below a size; 0.01 for nothing.
fn round(size: f64) -> f64 {
    if size > 0.0 {
        10_f64.powf(size.log10().floor())
    } else {
        0.01
    }
}

/// The natural step, or the largest tenth, hundredth and so on of it that stays within a way.
#[must_use]
pub fn within(property: &Property, bound: f64, way: f64) -> f64 {
    let mut step = natural(property, bound);
    for _ in 0..4 {
        if step <= way {
            break;
        }
        step /= 10.0;
    }
    step
}

#[cfg(test)]
mod tests {
    use super::{natural, within};
    use crate::declare::property::Property;

    #[test]
    fn steps_are_round_and_stay_within_the_way() {
        let own = Property::User("swell".into());
        assert!((natural(&own, 345.0) - 1.0).abs() < 1e-12);
        assert!((natural(&own, 0.0) - 0.01).abs() < 1e-12);
        assert!((within(&Property::Hths, 3.5, 0.02) - 0.01).abs() < 1e-12);
        assert!((within(&Property::Hths, 3.5, f64::INFINITY) - 0.1).abs() < 1e-12);
    }
}

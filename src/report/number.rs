//! How many digits a number deserves: what its test method can see, and no more.

use crate::declare::property::Property;

/// Decimals of kinematic viscosity below 100 mm²/s (ASTM D445 reports four significant digits).
pub const KINEMATIC: i32 = 2;
/// Decimals of kinematic viscosity from 100 mm²/s.
pub const KINEMATIC_THICK: i32 = 1;
/// Viscosity index is a whole number (ASTM D2270).
pub const VISCOSITY_INDEX: i32 = 0;
/// Decimals of HTHS viscosity in mPa·s (ASTM D4683).
pub const HTHS: i32 = 2;
/// Cold cranking is reported to 10 mPa·s (ASTM D5293; from memory).
pub const CRANKING: i32 = -1;
/// Cold pumping is reported to 100 mPa·s (ASTM D4684; from memory).
pub const PUMPING: i32 = -2;
/// Low-temperature rotational viscosity, to 10 mPa·s (common practice, no source).
pub const ROTATIONAL: i32 = -1;
/// Decimals of evaporation loss in % (ASTM D5800).
pub const EVAPORATION: i32 = 1;
/// Elements are whole ppm (common practice, no source).
pub const ELEMENT: i32 = 0;
/// Decimals of a ratio of two elements (common practice, no source).
pub const RATIO: i32 = 2;
/// Decimals of sulfated ash in % (ASTM D874; from memory).
pub const ASH: i32 = 2;
/// Decimals of base and acid number in mg KOH/g (ASTM D2896, ASTM D664; from memory).
pub const TITRATION: i32 = 1;
/// Decimals of density in kg/L (ASTM D4052).
pub const DENSITY: i32 = 4;
/// Decimals of an aniline point in °C (ASTM D611; from memory).
pub const ANILINE: i32 = 1;
/// Decimals of infrared absorbance in A/cm (common practice, no source).
pub const ABSORBANCE: i32 = 2;
/// Flash point is a whole °C (ASTM D92).
pub const FLASH: i32 = 0;
/// Decimals of a sum of treat rates in mass %.
pub const TREAT_SUM: i32 = 2;
/// Decimals of one treat rate in mass %: 0.001 % is 10 mg in a kilogram.
pub const TREAT: i32 = 3;
/// Decimals of cost from 1 unit of money.
pub const COST: i32 = 3;
/// Decimals of cost below 1 unit of money.
pub const COST_SMALL: i32 = 4;
/// Significant digits of a property that the problem declares.
const DECLARED_DIGITS: i32 = 4;
/// Digits after the point beyond which a double holds nothing that a file could have said.
const MOST_DECIMALS: i32 = 9;

/// Decimals of a property's value; negative rounds before the point (-1: to tens).
#[must_use]
pub fn places(property: &Property, value: f64) -> i32 {
    match property {
        Property::Kv40 | Property::Kv100 | Property::Kv100Sheared | Property::Kv100Krl => {
            if value.abs() < 100.0 {
                KINEMATIC
            } else {
                KINEMATIC_THICK
            }
        }
        Property::Vi => VISCOSITY_INDEX,
        Property::Density => DENSITY,
        Property::Hths => HTHS,
        Property::Ccs(_) => CRANKING,
        Property::Mrv(_) => PUMPING,
        Property::Brookfield(_) => ROTATIONAL,
        Property::Noack => EVAPORATION,
        Property::Element(_) => ELEMENT,
        Property::Ratio(..) => RATIO,
        Property::Ash => ASH,
        Property::BaseNumber | Property::AcidNumber => TITRATION,
        Property::AnilinePoint => ANILINE,
        Property::IrBaseline => ABSORBANCE,
        Property::Flash => FLASH,
        Property::Cost | Property::CostPerLitre => cost_places(value),
        Property::Treat(_) => TREAT,
        Property::PolarShare | Property::Group(_) | Property::Change => TREAT_SUM,
        Property::User(_) => significant(value, DECLARED_DIGITS),
    }
}

/// Decimals of an amount of money.
#[must_use]
pub fn cost_places(value: f64) -> i32 {
    if value.abs() < 1.0 { COST_SMALL } else { COST }
}

/// A value as its test method would report it.
#[must_use]
pub fn value(property: &Property, value: f64) -> String {
    fixed(value, places(property, value))
}

/// A distance beside a value: with the value's digits, or with one digit of
/// its own where those would show nothing of it.
#[must_use]
pub fn beside(property: &Property, value: f64, distance: f64) -> String {
    let places = places(property, value);
    let finest = significant(distance, 1);
    if distance.abs() > 0.0 && is_nothing(distance, places) {
        fixed(distance, finest)
    } else {
        fixed(distance, places)
    }
}

/// Significant digits of a standard deviation: nobody knows one better (common practice; JCGM 100:2008,
/// 7.2.6, from memory).
const SPREAD_DIGITS: i32 = 2;

/// A standard deviation beside a value: with no more decimals than the value and no more than two
/// significant digits; less than the value's last digit is told as that.
#[must_use]
pub fn spread(property: &Property, value: f64, sd: f64) -> String {
    let places = places(property, value);
    if is_nothing(sd, places) {
        return format!("<{}", fixed(10_f64.powi(-places), places));
    }
    // 0.996 is 1.0 with two digits, not 1.00; but it is rounded once.
    let rounded = digits(sd, SPREAD_DIGITS).parse().unwrap_or(sd);
    fixed(sd, places.min(significant_before(rounded, SPREAD_DIGITS)))
}

/// A change of a value: three significant digits at most, and no more than one decimal beyond the value's
/// own; one digit where those would show nothing of it.
#[must_use]
pub fn change(property: &Property, value: f64, by: f64) -> String {
    let places = (places(property, value) + 1).min(significant_before(by, 3));
    if is_nothing(by, places) {
        digits(by, 1)
    } else {
        fixed(by, places)
    }
}

/// Decimals of a value that still tell it from another at a distance: the value's own, or as many as
/// show the distance's first digit.
#[must_use]
pub fn places_to_tell(property: &Property, value: f64, distance: f64) -> i32 {
    places(property, value).max(significant(distance, 1))
}

/// A number with this many significant digits, at most nine decimals.
#[must_use]
pub fn digits(value: f64, digits: i32) -> String {
    fixed(value, significant_before(value, digits))
}

/// Decimals that leave this many significant digits, before the point too: 1234 with two digits is 1200.
fn significant_before(value: f64, digits: i32) -> i32 {
    let size = value.abs();
    if size < 10.0 || !size.is_finite() {
        return significant(value, digits);
    }
    let mut whole = size;
    let mut before = 0;
    while whole >= 10.0 {
        whole /= 10.0;
        before += 1;
    }
    digits - 1 - before
}

/// A share of something, at least nothing, rounded up to one significant digit.
#[must_use]
pub fn up_to_one_digit(part: f64) -> String {
    let places = significant(part, 1);
    let unit = 10_f64.powi(places);
    // The dust of arithmetic on a round number is not to raise it.
    as_written((part * unit * (1.0 - DUST)).ceil() / unit)
}

/// Relative rounding of a few operations.
const DUST: f64 = 1e-9;

/// A number to a count of decimals; a negative count rounds before the point.
#[must_use]
pub fn fixed(value: f64, places: i32) -> String {
    let text = if places < 0 {
        let step = 10_f64.powi(-places);
        format!("{:.0}", (value / step).round() * step)
    } else {
        format!("{value:.*}", usize::try_from(places).unwrap_or(0))
    };
    let nothing = text.chars().all(|c| matches!(c, '-' | '0' | '.'));
    match text.strip_prefix('-') {
        Some(rest) if nothing => rest.into(),
        _ => text,
    }
}

/// A number as a file or a standard would write it: no trailing noughts, no dust of arithmetic.
#[must_use]
pub fn as_written(value: f64) -> String {
    let text = fixed(value, significant(value, MOST_DECIMALS).max(0));
    if text.contains('.') {
        text.trim_end_matches('0').trim_end_matches('.').into()
    } else {
        text
    }
}

/// A bound as stated; a treat rate without the dust of dividing a stock by a batch.
#[must_use]
pub fn bound(property: &Property, stated: f64) -> String {
    match property {
        Property::Treat(_) => {
            let per_unit = 10_f64.powi(TREAT);
            as_written((stated * per_unit).round() / per_unit)
        }
        _ => as_written(stated),
    }
}

/// Decimals that leave this many significant digits, at least none and at most nine.
fn significant(value: f64, digits: i32) -> i32 {
    let mut places = digits - 1;
    let mut size = value.abs();
    while size >= 10.0 && places > 0 {
        size /= 10.0;
        places -= 1;
    }
    while size < 1.0 && size > 0.0 && places < MOST_DECIMALS {
        size *= 10.0;
        places += 1;
    }
    places
}

/// Whether it would be printed as nothing: a half is rounded to even.
fn is_nothing(value: f64, places: i32) -> bool {
    value.abs() * 10_f64.powi(places) <= 0.5
}

#[cfg(test)]
mod tests {
    use super::{
        as_written, beside, change, fixed, places_to_tell, spread, up_to_one_digit, value,
    };
    use crate::declare::property::Property;
    use crate::quantity::Celsius;
    use crate::standard::element::Element;

    #[test]
    fn values_are_printed_as_their_test_reports_them() {
        assert_eq!(value(&Property::Kv100, 17.8649), "17.86");
        assert_eq!(value(&Property::Kv40, 121.26), "121.3");
        assert_eq!(value(&Property::Vi, 167.6), "168");
        assert_eq!(value(&Property::Ccs(Celsius::whole(-30)), 6187.0), "6190");
        assert_eq!(
            value(&Property::Mrv(Celsius::whole(-35)), 23_449.0),
            "23400"
        );
        assert_eq!(value(&Property::Density, 0.853_26), "0.8533");
        assert_eq!(value(&Property::Cost, 0.028_44), "0.0284");
        assert_eq!(value(&Property::User("swell".into()), 1234.56), "1235");
        assert_eq!(value(&Property::User("swell".into()), 0.012_345), "0.01235");
    }

    #[test]
    fn a_small_distance_is_not_rounded_to_nothing() {
        assert_eq!(beside(&Property::Vi, 168.0, 2.6), "3");
        assert_eq!(beside(&Property::Vi, 168.0, -0.04), "-0.04");
        assert_eq!(beside(&Property::Noack, 11.0, 0.0), "0.0");
        // A half is no nothing, though it rounds to one.
        let p = Property::Element(Element::P);
        assert_eq!(beside(&p, 799.5, -0.5), "-0.5");
        assert_eq!(spread(&Property::Vi, 168.0, 0.5), "<1");
    }

    /// By hand, from the rule alone: two significant digits at most, and none that the value does not have.
    #[test]
    fn a_spread_is_never_finer_than_its_value() {
        for (property, of, sd, told) in [
            (Property::Density, 0.853_26, 0.000_009, "<0.0001"),
            (Property::Density, 0.853_26, 0.000_06, "0.0001"),
            (Property::Density, 0.853_26, 0.001_24, "0.0012"),
            (Property::Vi, 168.0, 0.3, "<1"),
            (Property::Vi, 168.0, 2.6, "3"),
            (Property::Kv100, 17.86, 0.894, "0.89"),
            (Property::Kv100, 17.86, 12.345, "12"),
            (Property::Kv40, 113.1, 5.82, "5.8"),
            (Property::Ccs(Celsius::whole(-30)), 4750.0, 3.0, "<10"),
            (Property::Ccs(Celsius::whole(-30)), 4750.0, 364.0, "360"),
            (
                Property::Mrv(Celsius::whole(-35)),
                13_700.0,
                12_345.0,
                "12000",
            ),
            (Property::Noack, 8.0, 0.996, "1.0"),
            (Property::BaseNumber, 7.2, 0.254, "0.3"),
            (Property::AcidNumber, 1.6, 0.249, "0.2"),
            (Property::Kv100, 17.86, 0.996, "1.0"),
            (Property::Element(Element::P), 750.0, 99.6, "100"),
        ] {
            assert_eq!(spread(&property, of, sd), told, "{property} {sd}");
        }
    }

    #[test]
    fn a_change_is_little_finer_than_its_value() {
        for (by, told) in [
            (0.107_42, "0.107"),
            (-0.025_31, "-0.0253"),
            (0.001_39, "0.0014"),
            (-0.000_114, "-0.0001"),
            (0.000_021, "0.00002"),
            (12.345, "12.3"),
        ] {
            assert_eq!(change(&Property::Cost, 1.952, by), told);
        }
    }

    #[test]
    fn a_gap_is_rounded_up() {
        assert_eq!(up_to_one_digit(0.01), "0.01");
        assert_eq!(up_to_one_digit(0.008_34), "0.009");
        assert_eq!(up_to_one_digit(0.000_97), "0.001");
        assert_eq!(up_to_one_digit(2.4), "3");
        assert_eq!(places_to_tell(&Property::Cost, 3.2287, 3e-4), 4);
        assert_eq!(places_to_tell(&Property::Cost, 3.2287, 0.2), 3);
    }

    #[test]
    fn nothing_has_no_sign_and_no_dust() {
        assert_eq!(fixed(-0.001, 2), "0.00");
        assert_eq!(as_written(0.1 + 0.2), "0.3");
        assert_eq!(as_written(800.0), "800");
        assert_eq!(as_written(100.0 / 3.0), "33.3333333");
        assert_eq!(as_written(0.0), "0");
    }
}

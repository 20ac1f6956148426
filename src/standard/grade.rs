//! A viscosity grade as a formulator writes it, and the windows that its standard sets.
//!
//! `5W-50`, `5W50`, `SAE 5W-50`, `0W` and `30` are SAE J300; `75W-90`, `80W` and `90` are SAE J306;
//! `ISO VG 46` is ISO 3448. No name belongs to two standards.
//!
//! Source, Domain, Confidence: those of [`crate::standard::sae_j300`], [`crate::standard::sae_j306`]
//! and [`crate::standard::iso_vg`], row by row. Meeting the windows is no licence to use a label.
//!
//! ```
//! use treatrate::standard::grade::Grade;
//!
//! let grade = Grade::parse("5W50").expect("a grade");
//! assert_eq!(grade.to_string(), "SAE 5W-50");
//! assert_eq!(grade.windows().len(), 4);
//! ```

use crate::quantity::Celsius;
use crate::standard::iso_vg;
use crate::standard::sae_j300;
use crate::standard::sae_j306;
use std::fmt;

/// Decimals that ASTM D445 reports for a kinematic viscosity of an oil.
pub const KV_DECIMALS: i32 = 2;

/// What a window limits.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Quantity {
    /// Kinematic viscosity at 40 °C, mm²/s.
    Kv40,
    /// Kinematic viscosity at 100 °C, mm²/s.
    Kv100,
    /// High-shear viscosity at 150 °C, mPa·s.
    Hths,
    /// Cold-cranking viscosity, mPa·s.
    Ccs(Celsius),
    /// Cold-pumping viscosity, mPa·s; the standard also asks for no yield stress.
    Mrv(Celsius),
    /// Low-temperature rotational viscosity, mPa·s.
    Brookfield(Celsius),
    /// Kinematic viscosity at 100 °C after 20 h in the tapered-roller-bearing shear test, mm²/s.
    Kv100Krl,
}

/// One quantity between two bounds, as one row of a standard sets them.
#[derive(Debug, Clone, PartialEq)]
pub struct Window {
    /// What is limited.
    pub quantity: Quantity,
    /// At least.
    pub min: Option<f64>,
    /// At most, or strictly below where `strict`.
    pub max: Option<f64>,
    /// Whether the standard says "strictly below" of the maximum.
    pub strict: bool,
    /// The standard: `SAE J300`.
    pub standard: &'static str,
    /// The row of its table: `5W` or `50`.
    pub row: String,
    /// How sure that row is.
    pub confidence: &'static str,
}

/// A viscosity grade.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Grade {
    /// Engine oil, SAE J300: a winter grade, a grade without W, or both.
    Engine(
        Option<&'static sae_j300::Winter>,
        Option<&'static sae_j300::Hot>,
    ),
    /// Axle or gearbox oil, SAE J306: a winter grade, a grade without W, or both.
    Gear(
        Option<&'static sae_j306::Winter>,
        Option<&'static sae_j306::Hot>,
    ),
    /// Industrial oil, ISO 3448.
    Industrial(&'static iso_vg::Class),
}

impl Grade {
    /// The grade of a text; `None` where no standard has it, or its halves belong to two standards.
    #[must_use]
    pub fn parse(text: &str) -> Option<Self> {
        let text = text.trim().to_ascii_uppercase().replace('–', "-");
        if let Some(number) = iso_number(&text) {
            return iso_vg::class(number).map(Grade::Industrial);
        }
        let text = text.strip_prefix("SAE").map_or(text.as_str(), str::trim);
        let (winter, hot) = match text.split_once('W') {
            None => (None, Some(text)),
            Some((number, rest)) => {
                let rest = rest.trim();
                let hot = rest.strip_prefix(['-', '/']).map_or(rest, str::trim);
                // A separator with nothing behind it is half a grade.
                if hot.is_empty() && !rest.is_empty() {
                    return None;
                }
                (
                    Some(format!("{}W", number.trim())),
                    (!hot.is_empty()).then_some(hot),
                )
            }
        };
        let winter = winter.as_deref();
        both(winter, hot, sae_j300::winter, sae_j300::hot)
            .map(|(w, h)| Grade::Engine(w, h))
            .or_else(|| {
                both(winter, hot, sae_j306::winter, sae_j306::hot).map(|(w, h)| Grade::Gear(w, h))
            })
    }

    /// The standard that defines it.
    #[must_use]
    pub fn standard(&self) -> &'static str {
        match self {
            Grade::Engine(..) => sae_j300::NAME,
            Grade::Gear(..) => sae_j306::NAME,
            Grade::Industrial(_) => iso_vg::NAME,
        }
    }

    /// The name of its winter half, such as `5W`.
    #[must_use]
    pub fn winter(&self) -> Option<&'static str> {
        match self {
            Grade::Engine(winter, _) => winter.map(|w| w.name),
            Grade::Gear(winter, _) => winter.map(|w| w.name),
            Grade::Industrial(_) => None,
        }
    }

    /// What its standard asks of the oil; of two minima for one quantity only the tighter.
    #[must_use]
    pub fn windows(&self) -> Vec<Window> {
        let mut windows = Windows {
            standard: self.standard(),
            found: Vec::new(),
        };
        match *self {
            Grade::Engine(winter, hot) => windows.engine(winter, hot),
            Grade::Gear(winter, hot) => windows.gear(winter, hot),
            Grade::Industrial(class) => windows.add(
                Quantity::Kv40,
                (Some(class.min()), Some(class.max()), false),
                (class.name, "high"),
            ),
        }
        windows.found
    }

    /// The winter grades below this one, coldest first, each alone.
    ///
    /// An oil is labelled with the lowest winter grade that it passes: a recipe that meets the
    /// windows of one of these is mislabelled, and the first that it meets is the right label.
    #[must_use]
    pub fn lower_w_grades(&self) -> Vec<Grade> {
        match self {
            Grade::Engine(Some(own), _) => const { &sae_j300::WINTER }
                .iter()
                .take_while(|w| w.name != own.name)
                .map(|w| Grade::Engine(Some(w), None))
                .collect(),
            Grade::Gear(Some(own), _) => const { &sae_j306::WINTER }
                .iter()
                .take_while(|w| w.name != own.name)
                .map(|w| Grade::Gear(Some(w), None))
                .collect(),
            _ => Vec::new(),
        }
    }
}

impl fmt::Display for Grade {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let hot = match self {
            Grade::Engine(_, hot) => hot.map(|h| h.name),
            Grade::Gear(_, hot) => hot.map(|h| h.name),
            Grade::Industrial(class) => return write!(f, "ISO VG {}", class.name),
        };
        let halves: Vec<&str> = self.winter().into_iter().chain(hot).collect();
        write!(f, "SAE {}", halves.join("-"))
    }
}

/// The bound that a search obeys where the standard says "strictly below": the next lower number
/// that the test can report.
///
/// ```
/// use treatrate::standard::grade::{KV_DECIMALS, obeyed};
///
/// assert!((obeyed(12.5, KV_DECIMALS) - 12.49).abs() < 1e-12);
/// ```
#[must_use]
pub fn obeyed(below: f64, decimals: i32) -> f64 {
    let scale = 10.0_f64.powi(decimals);
    ((below * scale).round() - 1.0) / scale
}

/// Every half grade and every ISO grade, for suggestions.
#[must_use]
pub fn names() -> Vec<String> {
    let engine = sae_j300::WINTER.iter().map(|w| w.name);
    let engine = engine.chain(sae_j300::HOT.iter().map(|h| h.name));
    let gear = sae_j306::WINTER.iter().map(|w| w.name);
    let gear = gear.chain(sae_j306::HOT.iter().map(|h| h.name));
    let iso = iso_vg::CLASSES.iter().map(|c| format!("ISO VG {}", c.name));
    engine.chain(gear).map(str::to_owned).chain(iso).collect()
}

/// The number of `ISO VG 46`, `ISO-VG 46` or `VG46`.
fn iso_number(text: &str) -> Option<&str> {
    let rest = text.strip_prefix("ISO").unwrap_or(text);
    let rest = rest.trim_start_matches([' ', '-']).strip_prefix("VG")?;
    Some(rest.trim_start_matches([' ', '-']))
}

/// Both halves looked up in one standard; `None` where a half is written and not found.
fn both<W, H>(
    winter: Option<&str>,
    hot: Option<&str>,
    winter_row: impl Fn(&str) -> Option<&'static W>,
    hot_row: impl Fn(&str) -> Option<&'static H>,
) -> Option<(Option<&'static W>, Option<&'static H>)> {
    let find_winter = winter.map(winter_row);
    let find_hot = hot.map(hot_row);
    match (find_winter, find_hot) {
        (Some(None), _) | (_, Some(None)) | (None, None) => None,
        (winter, hot) => Some((winter.flatten(), hot.flatten())),
    }
}

/// Windows of one grade, collected.
struct Windows {
    standard: &'static str,
    found: Vec<Window>,
}

impl Windows {
    /// Adds a window: minimum, maximum, whether strictly below; row and confidence.
    ///
    /// A quantity that already has a minimum keeps the tighter one, with its row.
    fn add(
        &mut self,
        quantity: Quantity,
        (min, max, strict): (Option<f64>, Option<f64>, bool),
        (row, confidence): (&str, &'static str),
    ) {
        let looser = |w: &Window| w.quantity == quantity && w.max.is_none() && w.min <= min;
        self.found.retain(|w| !looser(w));
        let tighter = self
            .found
            .iter()
            .any(|w| w.quantity == quantity && w.min > min);
        let min = if tighter { None } else { min };
        if min.is_some() || max.is_some() {
            self.found.push(Window {
                quantity,
                min,
                max,
                strict,
                standard: self.standard,
                row: row.to_owned(),
                confidence,
            });
        }
    }

    fn engine(&mut self, winter: Option<&sae_j300::Winter>, hot: Option<&sae_j300::Hot>) {
        if let Some(w) = winter {
            let row = (w.name, w.confidence);
            self.add(Quantity::Ccs(w.ccs_at), (None, Some(w.ccs_max), false), row);
            self.add(Quantity::Mrv(w.mrv_at), (None, Some(w.mrv_max), false), row);
            self.add(Quantity::Kv100, (Some(w.kv100_min), None, false), row);
        }
        if let Some(h) = hot {
            let row = (h.name, h.confidence);
            let window = (Some(h.kv100_min), Some(h.kv100_below), true);
            self.add(Quantity::Kv100, window, row);
            let least = sae_j300::hths_min(h, winter);
            self.add(Quantity::Hths, (Some(least), None, false), row);
        }
    }

    fn gear(&mut self, winter: Option<&sae_j306::Winter>, hot: Option<&sae_j306::Hot>) {
        if let Some(w) = winter {
            let row = (w.name, w.confidence);
            let cold = (None, Some(sae_j306::BROOKFIELD_MAX), false);
            self.add(Quantity::Brookfield(w.brookfield_at), cold, row);
            self.add(Quantity::Kv100Krl, (Some(w.sheared_min), None, false), row);
        }
        if let Some(h) = hot {
            let row = (h.name, h.confidence);
            let strict = h.kv100_below.is_some();
            let window = (Some(h.kv100_min), h.kv100_below, strict);
            self.add(Quantity::Kv100, window, row);
            self.add(Quantity::Kv100Krl, (Some(h.kv100_min), None, false), row);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::{Grade, Quantity, names, obeyed};

    fn grade(text: &str) -> Grade {
        Grade::parse(text).expect("a grade")
    }

    /// The one minimum of a quantity, with its row.
    fn min(text: &str, quantity: Quantity) -> Option<(f64, String)> {
        let windows = grade(text).windows();
        let mut found = windows
            .into_iter()
            .filter(|w| w.quantity == quantity)
            .filter_map(|w| Some((w.min?, w.row)));
        let first = found.next();
        assert_eq!(found.next(), None, "one minimum only");
        first
    }

    #[test]
    fn spellings() {
        for (text, label) in [
            ("5W-50", "SAE 5W-50"),
            ("5w50", "SAE 5W-50"),
            ("sae 5W – 50", "SAE 5W-50"),
            ("5W/50", "SAE 5W-50"),
            ("0W", "SAE 0W"),
            ("SAE 30", "SAE 30"),
            ("75W-90", "SAE 75W-90"),
            ("90", "SAE 90"),
            ("80W", "SAE 80W"),
            ("ISO VG 46", "ISO VG 46"),
            ("iso-vg-46", "ISO VG 46"),
            ("VG46", "ISO VG 46"),
        ] {
            assert_eq!(grade(text).to_string(), label);
        }
        for text in [
            "", "W", "5W-", "5W-90", "75W-50", "35", "ISO 46", "VG", "SAE", "5W-50-60",
        ] {
            assert_eq!(Grade::parse(text), None, "{text}");
        }
    }

    #[test]
    fn every_name_parses_to_its_own_standard() {
        for name in names() {
            assert!(grade(&name).to_string().ends_with(&name), "{name}");
        }
    }

    #[test]
    fn only_the_tighter_minimum_remains() {
        let at = |text| min(text, Quantity::Kv100);
        assert_eq!(at("5W-50"), Some((16.3, "50".into())));
        assert_eq!(at("25W-8"), Some((9.3, "25W".into())));
        assert_eq!(at("10W"), Some((4.1, "10W".into())));
        let krl = |text| min(text, Quantity::Kv100Krl);
        assert_eq!(krl("75W-90"), Some((13.5, "90".into())));
        assert_eq!(krl("85W-65"), Some((11.0, "85W".into())));
        assert_eq!(krl("75W"), Some((3.8, "75W".into())));
        // The other row's maximum survives.
        assert!(grade("25W-8").windows().iter().any(|w| w.max == Some(6.1)));
    }

    #[test]
    fn forty_depends_on_its_winter_half() {
        for (text, least) in [
            ("0W-40", 3.5),
            ("10W-40", 3.5),
            ("15W-40", 3.7),
            ("40", 3.7),
        ] {
            assert_eq!(min(text, Quantity::Hths), Some((least, "40".into())));
        }
    }

    #[test]
    fn lower_winter_grades_come_coldest_first() {
        let lower = |text: &str| -> Vec<String> {
            let grades = grade(text).lower_w_grades();
            grades.iter().map(ToString::to_string).collect()
        };
        assert_eq!(lower("10W-40"), ["SAE 0W", "SAE 5W"]);
        assert_eq!(lower("80W-90"), ["SAE 70W", "SAE 75W"]);
        assert!(lower("0W-20").is_empty() && lower("30").is_empty());
    }

    #[test]
    fn strictly_below_is_the_last_reportable_number() {
        assert!((obeyed(16.3, 2) - 16.29).abs() < 1e-12);
        assert!((obeyed(2.9, 2) - 2.89).abs() < 1e-12);
    }
}

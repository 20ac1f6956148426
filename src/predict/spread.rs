//! How sure a predicted value is: the components' figures, the model, the laboratory.

use crate::declare::component::Component;
use crate::declare::problem::Mixing;
use crate::declare::problem::Problem;
use crate::declare::problem::ViscosityRule;
use crate::declare::property::Property;
use crate::predict::book::Book;
use crate::predict::book::Entry;
use crate::predict::book::Tangent;
use crate::predict::nudge;
use crate::predict::nudge::Nudge;
use crate::predict::value::Spread;
use crate::standard::precision;
use crate::standard::precision::Method;

/// Mean absolute error of a distribution to its standard deviation, for a normal one: √(π/2).
const MEAN_ERROR_TO_SD: f64 = 1.2533;

/// Relative error of the double-log rule: mean absolute error 2.4 % on those of the 54 open measured
/// points of hydrocarbon pairs (`tests/reference/hydrocarbon-pairs.csv`) whose viscosities differ
/// threefold or more, as `tests/mixing.rs` measures it.
const VISCOSITY_MEAN_ERROR: f64 = 0.024;

/// Relative model errors without a published figure, standard deviations, all from memory of the
/// trade: what a careful bench finds between a calculated and a measured blend.
const HTHS_ERROR: f64 = 0.03;
const CRANKING_ERROR: f64 = 0.07;
const PUMPING_ERROR: f64 = 0.20;
const NOACK_ERROR: f64 = 0.05;
const ASH_ERROR: f64 = 0.03;

/// Absolute model errors, from memory: viscosity index, aniline point °C, flash point °C.
const VI_ERROR: f64 = 2.0;
const ANILINE_ERROR: f64 = 2.0;
const FLASH_ERROR: f64 = 5.0;

/// Half the range of a uniform distribution over its standard deviation.
pub const UNIFORM: f64 = 1.732_050_807_568_877_2;

/// The uncertain figures of a problem, ready to be propagated.
#[derive(Debug, Clone)]
pub struct Uncertain {
    nudges: Vec<Nudge>,
    rules: Vec<Book>,
}

impl Uncertain {
    /// The uncertain figures, each moved.
    #[must_use]
    pub fn nudges(&self) -> &[Nudge] {
        &self.nudges
    }

    /// Prepares the used components' uncertain figures and the rival mixing rules.
    #[must_use]
    pub fn new(problem: &Problem, properties: &[Property], shares: &[f64]) -> Self {
        let nudges = nudge::nudges(problem, shares);
        let viscous: Vec<&Property> = properties.iter().filter(|p| by_rule(p)).collect();
        let rules = ViscosityRule::ALL
            .into_iter()
            .map(|viscosity| Mixing {
                viscosity,
                ..problem.mixing
            })
            .map(|mixing| Book::new(problem, mixing, viscous.iter().copied()))
            .collect();
        Uncertain { nudges, rules }
    }

    /// The spread of one property at a recipe.
    #[must_use]
    pub fn spread(
        &self,
        problem: &Problem,
        book: &Book,
        entry: &Entry,
        shares: &[f64],
        value: f64,
    ) -> Spread {
        Spread {
            components: self.by_components(problem, book, entry, shares),
            model: self.by_model(&entry.property, shares, value),
            test: test_sd(&entry.property, value),
        }
    }

    /// First order: the slope by each total, times what one figure moves it.
    fn by_components(&self, problem: &Problem, book: &Book, entry: &Entry, shares: &[f64]) -> f64 {
        let Some(tangent) = book.tangent(entry, shares) else {
            return 0.0;
        };
        let mut variance = 0.0;
        for Nudge {
            component: j,
            up,
            down,
            ..
        } in &self.nudges
        {
            let at = |t: usize, c: &Component| {
                book.totals()[t]
                    .coefficient(problem, problem.mixing, *j, c)
                    .map(|r| r.value)
            };
            let moved: f64 = entry
                .totals
                .iter()
                .zip(&tangent.by_total)
                .filter_map(|(&t, g)| Some(g * shares[*j] * (at(t, up)? - at(t, down)?) / 2.0))
                .sum();
            variance += moved * moved;
        }
        for (&t, g) in entry.totals.iter().zip(&tangent.by_total) {
            for (reading, x) in book.row(t).iter().zip(shares) {
                let moved = reading.map_or(0.0, |r| r.rule_sd) * g * x;
                variance += moved * moved;
            }
        }
        (variance + by_pours(problem, book, entry, &tangent, shares)).sqrt()
    }

    /// The rules' disagreement and the model's own error.
    fn by_model(&self, property: &Property, shares: &[f64], value: f64) -> f64 {
        let own = own_error(property, value);
        if !by_rule(property) {
            return own;
        }
        own.hypot(self.half_band(property, shares, value) / UNIFORM)
    }

    /// Half the distance between the lowest and the highest value that the rival mixing rules give.
    #[must_use]
    pub fn half_band(&self, property: &Property, shares: &[f64], value: f64) -> f64 {
        let values = self.by_rules(property, shares);
        let values = values.iter().flatten().copied();
        let low = values.clone().fold(value, f64::min);
        let high = values.fold(value, f64::max);
        (high - low) / 2.0
    }

    /// A property by each of the rival mixing rules; `None` where a rule gives it no value.
    #[must_use]
    pub fn by_rules(&self, property: &Property, shares: &[f64]) -> Vec<Option<f64>> {
        self.rules
            .iter()
            .map(|book| book.value(book.entry(property)?, shares))
            .collect()
    }
}

/// The variance from pours: one that is off by δ of the batch makes every share a part of 1 + δ, so total
/// t moves by δ (its coefficient there − its mean). Nothing where no balance is stated.
fn by_pours(
    problem: &Problem,
    book: &Book,
    entry: &Entry,
    tangent: &Tangent,
    shares: &[f64],
) -> f64 {
    let Some(off) = problem.balance.zip(problem.batch).map(|(g, kg)| g / kg) else {
        return 0.0;
    };
    let used = shares.iter().enumerate().filter(|(_, x)| **x > 0.0);
    let moved = used.map(|(j, _)| -> f64 {
        let totals = entry.totals.iter().zip(&tangent.by_total);
        totals
            .map(|(&t, g)| g * off * (book.coefficient(t, j) - book.sum(t, shares)))
            .sum()
    });
    moved.map(|m| m * m).sum()
}

/// Whether a property depends on the choice of the viscosity mixing rule.
#[must_use]
pub fn by_rule(property: &Property) -> bool {
    matches!(
        property,
        Property::Kv40
            | Property::Kv100
            | Property::Kv100Sheared
            | Property::Kv100Krl
            | Property::Vi
            | Property::Hths
    )
}

/// Viscosity index as tested: the two viscosities' errors leave ±3 to 4 (from memory), read as two
/// standard deviations.
const VI_TEST_SD: f64 = 1.75;

/// Scatter of one laboratory's result, one standard deviation in the property's unit; 0 where no
/// reproducibility is known. Times [`precision::R_PER_SIGMA`] it is the test's reproducibility.
#[must_use]
pub fn test_sd(property: &Property, value: f64) -> f64 {
    let method = match property {
        Property::Kv40 => Method::Kv40,
        Property::Kv100 | Property::Kv100Sheared | Property::Kv100Krl => Method::Kv100,
        Property::Hths => Method::Hths,
        Property::Ccs(_) => Method::Ccs,
        Property::Mrv(_) => Method::Mrv,
        Property::Noack => Method::Noack,
        Property::Ash => Method::Ash,
        Property::BaseNumber => Method::BaseNumber,
        Property::Element(_) => Method::Element,
        // Two independent results: relative variances add.
        Property::Ratio(..) => {
            return precision::standard_deviation(Method::Element, value)
                .map_or(0.0, |sd| sd * std::f64::consts::SQRT_2);
        }
        Property::Vi => return VI_TEST_SD,
        _ => return 0.0,
    };
    precision::standard_deviation(method, value).unwrap_or(0.0)
}

/// The model's own error, one standard deviation in the property's unit.
#[must_use]
pub fn own_error(property: &Property, value: f64) -> f64 {
    let relative = match property {
        Property::Kv40 | Property::Kv100 | Property::Kv100Sheared | Property::Kv100Krl => {
            VISCOSITY_MEAN_ERROR * MEAN_ERROR_TO_SD
        }
        Property::Hths => HTHS_ERROR,
        Property::Ccs(_) => CRANKING_ERROR,
        Property::Mrv(_) => PUMPING_ERROR,
        Property::Noack => NOACK_ERROR,
        Property::Ash => ASH_ERROR,
        Property::Vi => return VI_ERROR,
        Property::AnilinePoint => return ANILINE_ERROR,
        Property::Flash => return FLASH_ERROR,
        _ => 0.0,
    };
    relative * value.abs()
}

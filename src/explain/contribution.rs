//! Where each property of a recipe comes from, component by component.
//!
//! Three measures, each with one meaning:
//!
//! | measure | of what | what it says |
//! |---|---|---|
//! | [`Contribution::part`] | sums and volume means: elements, ash, base number, Noack, cost, groups, aniline point, density | the exact part; the parts add up to the value |
//! | [`Contribution::index_percent`] | values that mix by an index: KV, HTHS, CCS, MRV, declared rules | the part of the index sum of the polymer-free fluid; adds up to 100 % |
//! | [`Contribution::without`] | everything | how the value changes when the component is left out and the rest is made up to 100 % |
//!
//! An index share says how much of the mixing rule's sum a component is, not how it moves the value: a
//! thin stock and a thick one may hold the same share and pull in opposite directions. The change
//! without it says that. What polymers thicken is told apart, since it multiplies the fluid's value:
//! see [`Contributions::base`] and [`Contribution::thickening`]. Changes do not add up to anything.

use crate::declare::problem::Problem;
use crate::declare::property::Property;
use crate::declare::recipe::Recipe;
use crate::predict::book::Book;
use crate::predict::book::Entry;
use crate::predict::formula::Formula;
use crate::predict::judge;
use crate::predict::link::Link;
use crate::predict::model;
use crate::quantity::Share;
use crate::quantity::Unit;

/// One component's contribution to one property.
#[derive(Debug, Clone, PartialEq)]
pub struct Contribution {
    /// The component, as an index into the problem's.
    pub component: usize,
    /// Its treat rate.
    pub share: Share,
    /// Its exact part of the value, in the property's unit, where the value is the sum of such parts.
    ///
    /// Of a sum `Σ x c` it is `x c`; of a mean by volume, `Σ x p / Σ x/ρ`, it is `x p / Σ x/ρ` (with
    /// density that is its mass in a litre of the oil). `None` for ratios of two elements, and where the
    /// value is no such sum.
    pub part: Option<f64>,
    /// Its part of the index sum of the polymer-free fluid, `100 · x I w / Σ x I w` in %, where the value
    /// mixes by an index. May be negative, or above 100, where indices have both signs.
    pub index_percent: Option<f64>,
    /// What its polymer adds to the polymer-free fluid, in the property's unit: its part of the reduced
    /// concentration times what all polymers add. `None` where the property knows no thickening.
    pub thickening: Option<f64>,
    /// Of a ratio of two elements: its part of the element above the line, %.
    pub top_percent: Option<f64>,
    /// Of a ratio of two elements: its part of the element below the line, %.
    pub bottom_percent: Option<f64>,
    /// The value without the component, the rest scaled to 100 %, less the value with it, in the
    /// property's unit. `None` where nothing is left, or the property is undefined then.
    pub without: Option<f64>,
}

/// Where one property of a recipe comes from.
#[derive(Debug, Clone, PartialEq)]
pub struct Contributions {
    /// The property.
    pub property: Property,
    /// Its value, as a judgement tells it.
    pub value: f64,
    /// The unit of the value, parts and changes.
    pub unit: Unit,
    /// The value of the same fluid with no polymer in it (each modifier's diluent oil stays), where the
    /// property knows thickening; `value − base` is the sum of the polymers' thickenings.
    pub base: Option<f64>,
    /// The components in the recipe, in the problem's order.
    pub parts: Vec<Contribution>,
}

/// A property that cannot be predicted of a recipe.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Untold {
    /// The property.
    pub property: Property,
    /// The components in the recipe that lack a figure for it, as indices; empty where it is undefined
    /// for the recipe or has no model.
    pub lacking: Vec<usize>,
}

/// Where the properties asked for come from.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Origins {
    /// Those that can be predicted, in the order asked.
    pub told: Vec<Contributions>,
    /// The others.
    pub untold: Vec<Untold>,
}

/// The properties worth telling unless others are asked for: all that the problem limits, treat rates
/// excepted; the goal where it limits none.
#[must_use]
pub fn usual(problem: &Problem) -> Vec<Property> {
    let mut all: Vec<Property> = Vec::new();
    for limit in &problem.limits {
        let trivial = matches!(limit.property, Property::Treat(_));
        if !trivial && predictable(problem, &limit.property) && !all.contains(&limit.property) {
            all.push(limit.property.clone());
        }
    }
    let goal = &problem.goal.property;
    if all.is_empty() && predictable(problem, goal) {
        all.push(goal.clone());
    }
    all
}

/// Whether a property has a model of which contributions can be told.
#[must_use]
pub fn predictable(problem: &Problem, property: &Property) -> bool {
    model::model(problem, problem.mixing, property).is_some()
}

/// Where each of some properties of a recipe comes from.
#[must_use]
pub fn of(problem: &Problem, recipe: &Recipe, properties: &[Property]) -> Origins {
    let book = Book::new(problem, problem.mixing, properties);
    let shares: Vec<f64> = recipe.shares().iter().map(|s| s.fraction()).collect();
    let mut origins = Origins::default();
    for property in properties {
        let entry = book.entry(property);
        match entry.and_then(|entry| contributions(problem, &book, entry, &shares)) {
            Some(told) => origins.told.push(told),
            None => origins.untold.push(Untold {
                property: property.clone(),
                lacking: entry.map_or_else(Vec::new, |e| lacking(&book, e, &shares)),
            }),
        }
    }
    origins
}

/// The used components without a figure that an entry needs.
fn lacking(book: &Book, entry: &Entry, shares: &[f64]) -> Vec<usize> {
    (0..shares.len())
        .filter(|&j| shares[j] > 0.0)
        .filter(|&j| entry.totals.iter().any(|&t| book.row(t)[j].is_none()))
        .collect()
}

fn contributions(
    problem: &Problem,
    book: &Book,
    entry: &Entry,
    shares: &[f64],
) -> Option<Contributions> {
    let value = judge::value(book, entry, shares)?;
    let measures = Measures::new(book, entry, shares, value);
    let parts = (0..shares.len())
        .filter(|&j| shares[j] > 0.0)
        .map(|j| Contribution {
            component: j,
            share: Share::from_fraction(shares[j]),
            part: measures.part(j),
            index_percent: measures.index_percent(j),
            thickening: measures.thickening(j),
            top_percent: measures.of_ratio(j, 0),
            bottom_percent: measures.of_ratio(j, 1),
            without: left_out(shares, j)
                .and_then(|rest| judge::value(book, entry, &rest))
                .map(|then| then - value),
        })
        .collect();
    Some(Contributions {
        property: entry.property.clone(),
        value,
        unit: problem.unit(&entry.property),
        base: measures.base,
        parts,
    })
}

/// A recipe without one component, scaled to the whole; `None` where nothing is left.
fn left_out(shares: &[f64], j: usize) -> Option<Vec<f64>> {
    let mut rest = shares.to_vec();
    rest[j] = 0.0;
    let sum: f64 = rest.iter().sum();
    if sum <= 0.0 {
        return None;
    }
    Some(rest.into_iter().map(|x| x / sum).collect())
}

/// One entry's totals at a recipe, and what of them can be split.
struct Measures<'b> {
    book: &'b Book,
    entry: &'b Entry,
    shares: &'b [f64],
    z: Vec<f64>,
    value: f64,
    base: Option<f64>,
}

impl<'b> Measures<'b> {
    fn new(book: &'b Book, entry: &'b Entry, shares: &'b [f64], value: f64) -> Self {
        let z = book.at(entry, shares)[..entry.totals.len()].to_vec();
        let base = thickening_from(entry.formula).and_then(|first| {
            let mut free = z.clone();
            free[first..].fill(0.0);
            entry.formula.value(&free)
        });
        Measures {
            book,
            entry,
            shares,
            z,
            value,
            base,
        }
    }

    /// What component j adds to the formula's total at a place.
    fn adds(&self, j: usize, place: usize) -> f64 {
        self.shares[j] * self.book.coefficient(self.entry.totals[place], j)
    }

    /// The same in % of that total; `None` where the total is nothing.
    fn percent(&self, j: usize, place: usize) -> Option<f64> {
        let percent = 100.0 * self.adds(j, place) / self.z[place];
        percent.is_finite().then_some(percent)
    }

    fn is_ratio(&self) -> bool {
        matches!(self.entry.property, Property::Ratio(..))
    }

    fn part(&self, j: usize) -> Option<f64> {
        match self.entry.formula {
            Formula::Sum => Some(self.adds(j, 0)),
            Formula::Quotient(Link::Identity) if !self.is_ratio() => {
                Some(self.adds(j, 0) / self.z[1])
            }
            _ => None,
        }
    }

    fn index_percent(&self, j: usize) -> Option<f64> {
        match self.entry.formula {
            Formula::Quotient(Link::Identity)
            | Formula::Sum
            | Formula::Vi { .. }
            | Formula::ViThickened { .. }
            | Formula::LowerFlash => None,
            Formula::Quotient(_)
            | Formula::Thickened { .. }
            | Formula::Sheared { .. }
            | Formula::Dynamic { .. }
            | Formula::ColdThickened { .. } => self.percent(j, 0),
        }
    }

    fn thickening(&self, j: usize) -> Option<f64> {
        let first = thickening_from(self.entry.formula)?;
        let added = self.value - self.base?;
        // Where no polymer is about, none of nothing.
        Some(self.percent(j, first).map_or(0.0, |p| added * p / 100.0))
    }

    fn of_ratio(&self, j: usize, place: usize) -> Option<f64> {
        self.is_ratio().then(|| self.percent(j, place)).flatten()
    }
}

/// The place of the first total that only polymers add to, in formulas of one thickened value; all
/// totals from there on are of that sort.
fn thickening_from(formula: Formula) -> Option<usize> {
    match formula {
        Formula::Thickened { .. } | Formula::Sheared { .. } | Formula::ColdThickened { .. } => {
            Some(3)
        }
        _ => None,
    }
}

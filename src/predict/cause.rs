//! Why a laboratory's result is not the predicted value: every cause, and what each one moves.
//!
//! Causes are independent of each other; what two properties share is a cause that moves both.
//!
//! | cause | moves | shared by |
//! |---|---|---|
//! | an uncertain figure of a component (`sd`) | the blend totals that it feeds | every property of those totals |
//! | a component's estimating rule | the totals of its estimated figures | the same |
//! | a pour | every total: more of one component, less of the others | every property |
//! | which viscosity mixing rule is right | KV40, KV100 fresh and sheared, VI, HTHS, each by half the distance between the rival rules | all of them, by one uniform number |
//! | the error of the rule in use | KV40, KV100 fresh and sheared | all of them |
//! | a model's own error | HTHS, VI, CCS, MRV, Noack, ash, aniline or flash point | each kind of test, at all temperatures |
//! | the test of an element | that element's total | both sides of a window, and its ratios |
//! | any other test | that property | both sides of a window |
//!
//! To first order these are the standard deviations of [`crate::predict::spread`]. The errors of models
//! and tests are those at the predicted value; they are normal, and that of the mixing rules is uniform.
//! Kept beyond the first order is how the formulas curve in the totals.

use crate::declare::problem::Problem;
use crate::declare::property::Datum;
use crate::declare::property::Property;
use crate::declare::recipe::Recipe;
use crate::predict::book::Book;
use crate::predict::book::Entry;
use crate::predict::judge;
use crate::predict::nudge::Nudge;
use crate::predict::nudge::Part;
use crate::predict::spread;
use crate::predict::spread::Uncertain;
use crate::predict::total::Total;
use crate::standard::element::Element;

/// What is not known.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub enum Unknown {
    /// A figure of a component, by its index in the problem.
    Figure(usize, Part),
    /// How far the rule that estimates figures of a component is off.
    Estimate(usize),
    /// Which viscosity mixing rule is right, and how far it is off.
    Viscosity,
    /// How far the model of a kind of test is off.
    Model(Modelled),
    /// All that one blend with every test of it would pin: [`Unknown::Viscosity`] and every
    /// [`Unknown::Model`].
    Blend,
    /// What the balance poured.
    Pours,
    /// What the laboratory will read.
    Test(Property),
}

impl Unknown {
    /// Whether knowing this is knowing that.
    #[must_use]
    pub fn covers(&self, other: &Unknown) -> bool {
        let modelled = matches!(other, Unknown::Viscosity | Unknown::Model(_));
        self == other || *self == Unknown::Blend && modelled
    }
}

/// A kind of test whose model has an error of its own.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Modelled {
    /// High-temperature high-shear viscosity.
    Hths,
    /// Viscosity index.
    Vi,
    /// Cold cranking.
    Cranking,
    /// Cold pumping.
    Pumping,
    /// Evaporation loss.
    Noack,
    /// Sulfated ash.
    Ash,
    /// Aniline point.
    Aniline,
    /// Flash point.
    Flash,
}

/// How the number behind a cause is distributed; its standard deviation is 1 and its mean 0.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Law {
    /// Normal.
    Normal,
    /// Uniform.
    Uniform,
}

/// One cause.
#[derive(Debug, Clone, PartialEq)]
pub struct Cause {
    /// What is not known.
    pub of: Unknown,
    /// How it is distributed.
    pub law: Law,
    /// What one standard deviation of it moves each total by; empty where it moves none.
    pub on_totals: Vec<f64>,
    /// What it moves each tested property by beside that, in the property's unit; empty likewise.
    pub on_values: Vec<f64>,
}

/// A property that a laboratory will test.
#[derive(Debug, Clone, PartialEq)]
pub struct Tested {
    /// Its model.
    pub entry: Entry,
    /// The predicted value.
    pub value: f64,
    /// Its slope by each total of its formula.
    slope: Vec<f64>,
}

/// What the causes of one problem's recipes have in common.
#[derive(Debug, Clone)]
pub struct Sources<'a> {
    problem: &'a Problem,
    /// The models of the tested properties.
    book: Book,
    uncertain: Uncertain,
    /// What one standard deviation of an uncertain figure moves each total by, per unit of its component's mass
    /// fraction.
    figures: Vec<(usize, Part, Vec<f64>)>,
}

/// Every cause at one recipe.
#[derive(Debug, Clone, PartialEq)]
pub struct Causes {
    /// The limited properties that a laboratory tests and that have a predicted value.
    pub tested: Vec<Tested>,
    /// The totals of the recipe as predicted.
    pub totals: Vec<f64>,
    /// The causes.
    pub causes: Vec<Cause>,
}

impl<'a> Sources<'a> {
    /// Of a problem.
    #[must_use]
    pub fn of(problem: &'a Problem) -> Self {
        let mut listed: Vec<Property> = Vec::new();
        for limit in &problem.limits {
            if limit.property.is_tested() && !listed.contains(&limit.property) {
                listed.push(limit.property.clone());
            }
        }
        let book = Book::new(problem, problem.mixing, &listed);
        // The reference by which the rules' bands of two properties have one sign or opposite ones.
        listed.push(Property::Kv100);
        let whatever = vec![1.0; problem.components.len()];
        let uncertain = Uncertain::new(problem, &listed, &whatever);
        Sources {
            figures: figures(problem, &book, &uncertain),
            problem,
            book,
            uncertain,
        }
    }

    /// The causes at a recipe.
    #[must_use]
    pub fn at(&self, recipe: &Recipe) -> Causes {
        let book = &self.book;
        let shares: Vec<f64> = recipe.shares().iter().map(|s| s.fraction()).collect();
        let tested: Vec<Tested> = book
            .entries()
            .iter()
            .filter_map(|entry| tested(book, entry, &shares))
            .collect();
        let mut causes: Vec<Cause> = self.of_figures(&shares).collect();
        causes.extend(of_estimates(book, &shares));
        causes.extend(of_pours(self.problem, book, &shares));
        causes.extend(of_rules(&self.uncertain, &tested, &shares));
        causes.extend(of_models(&tested));
        causes.extend(of_tests(book, &tested, &shares));
        causes.retain(|c| c.on_totals.iter().chain(&c.on_values).any(|m| *m != 0.0));
        Causes {
            totals: (0..book.totals().len())
                .map(|t| book.sum(t, &shares))
                .collect(),
            tested,
            causes,
        }
    }

    fn of_figures(&self, shares: &[f64]) -> impl Iterator<Item = Cause> {
        self.figures.iter().map(|(j, part, by_share)| {
            let moved = by_share.iter().map(|m| shares[*j] * m);
            on_totals(Unknown::Figure(*j, part.clone()), moved.collect())
        })
    }
}

impl Causes {
    /// The causes at a recipe.
    #[must_use]
    pub fn of(problem: &Problem, recipe: &Recipe) -> Self {
        Sources::of(problem).at(recipe)
    }

    /// The causes that are left when one thing is known exactly.
    #[must_use]
    pub fn without(&self, known: &Unknown) -> Self {
        let mut left = self.clone();
        left.causes.retain(|c| !known.covers(&c.of));
        left
    }

    /// Each unknown once.
    #[must_use]
    pub fn unknowns(&self) -> Vec<Unknown> {
        let mut all: Vec<Unknown> = Vec::new();
        for cause in &self.causes {
            if !all.contains(&cause.of) {
                all.push(cause.of.clone());
            }
        }
        all
    }

    /// The place of a property among the tested.
    #[must_use]
    pub fn place(&self, property: &Property) -> Option<usize> {
        self.tested
            .iter()
            .position(|t| t.entry.property == *property)
    }

    /// What one standard deviation of a cause moves a tested property by, to first order.
    #[must_use]
    pub fn moved(&self, tested: usize, cause: &Cause) -> f64 {
        let of = &self.tested[tested];
        let by_totals: f64 = of
            .entry
            .totals
            .iter()
            .zip(&of.slope)
            .map(|(&t, slope)| slope * cause.on_totals.get(t).copied().unwrap_or(0.0))
            .sum();
        by_totals + cause.on_values.get(tested).copied().unwrap_or(0.0)
    }

    /// The standard deviation of a tested property, to first order.
    #[must_use]
    pub fn sd(&self, tested: usize) -> f64 {
        let moved = self.causes.iter().map(|c| self.moved(tested, c));
        moved.map(|m| m * m).sum::<f64>().sqrt()
    }
}

fn tested(book: &Book, entry: &Entry, shares: &[f64]) -> Option<Tested> {
    let value = judge::value(book, entry, shares)?;
    let tangent = book.tangent(entry, shares)?;
    Some(Tested {
        entry: entry.clone(),
        value,
        slope: tangent.by_total[..entry.totals.len()].to_vec(),
    })
}

fn on_totals(of: Unknown, on_totals: Vec<f64>) -> Cause {
    Cause {
        of,
        law: Law::Normal,
        on_totals,
        on_values: Vec::new(),
    }
}

fn on_values(of: Unknown, law: Law, on_values: Vec<f64>) -> Cause {
    Cause {
        of,
        law,
        on_totals: Vec::new(),
        on_values,
    }
}

/// See [`Sources::figures`].
fn figures(problem: &Problem, book: &Book, uncertain: &Uncertain) -> Vec<(usize, Part, Vec<f64>)> {
    let one = |nudge: &Nudge| {
        let j = nudge.component;
        let at = |total: &Total, c| {
            total
                .coefficient(problem, problem.mixing, j, c)
                .map(|r| r.value)
        };
        let moved = book.totals().iter().map(|total| {
            at(total, &nudge.up)
                .zip(at(total, &nudge.down))
                .map_or(0.0, |(up, down)| (up - down) / 2.0)
        });
        (j, nudge.part.clone(), moved.collect())
    };
    uncertain.nudges().iter().map(one).collect()
}

/// The rules that estimate a component's figures err together: they carry one curve too far down.
fn of_estimates(book: &Book, shares: &[f64]) -> Vec<Cause> {
    let one = |(j, share): (usize, &f64)| {
        let moved = (0..book.totals().len())
            .map(|t| book.row(t)[j].map_or(0.0, |r| r.rule_sd) * share)
            .collect();
        on_totals(Unknown::Estimate(j), moved)
    };
    shares.iter().enumerate().map(one).collect()
}

/// A pour that is off by δ of the batch makes every share a part of 1 + δ: total t moves by
/// δ (its coefficient there − its mean).
fn of_pours(problem: &Problem, book: &Book, shares: &[f64]) -> Vec<Cause> {
    let Some(off) = problem.balance.zip(problem.batch).map(|(g, kg)| g / kg) else {
        return Vec::new();
    };
    let poured = shares.iter().enumerate().filter(|(_, x)| **x > 0.0);
    poured
        .map(|(j, _)| {
            let moved = (0..book.totals().len())
                .map(|t| off * (book.coefficient(t, j) - book.sum(t, shares)))
                .collect();
            on_totals(Unknown::Pours, moved)
        })
        .collect()
}

/// One uniform number says where between the rival mixing rules the truth lies; properties that the
/// rules move together have one sign.
fn of_rules(uncertain: &Uncertain, tested: &[Tested], shares: &[f64]) -> Vec<Cause> {
    let reference = uncertain.by_rules(&Property::Kv100, shares);
    let moved = tested.iter().map(|t| {
        let property = &t.entry.property;
        if !spread::by_rule(property) {
            return 0.0;
        }
        let values = uncertain.by_rules(property, shares);
        let half = uncertain.half_band(property, shares, t.value);
        half / spread::UNIFORM * sign_together(&values, &reference)
    });
    vec![on_values(Unknown::Viscosity, Law::Uniform, moved.collect())]
}

/// −1 where two lists fall against each other, else 1.
fn sign_together(a: &[Option<f64>], b: &[Option<f64>]) -> f64 {
    let pairs: Vec<(f64, f64)> = a.iter().zip(b).filter_map(|(a, b)| a.zip(*b)).collect();
    let count = f64::from(u32::try_from(pairs.len()).unwrap_or(u32::MAX)).max(1.0);
    let (ma, mb) = pairs
        .iter()
        .fold((0.0, 0.0), |(x, y), (a, b)| (x + a / count, y + b / count));
    let together: f64 = pairs.iter().map(|(a, b)| (a - ma) * (b - mb)).sum();
    if together < 0.0 { -1.0 } else { 1.0 }
}

/// Whose error a property's model has.
fn modelled(property: &Property) -> Option<Unknown> {
    Some(match property {
        Property::Kv40 | Property::Kv100 | Property::Kv100Sheared | Property::Kv100Krl => {
            Unknown::Viscosity
        }
        Property::Hths => Unknown::Model(Modelled::Hths),
        Property::Vi => Unknown::Model(Modelled::Vi),
        Property::Ccs(_) => Unknown::Model(Modelled::Cranking),
        Property::Mrv(_) => Unknown::Model(Modelled::Pumping),
        Property::Noack => Unknown::Model(Modelled::Noack),
        Property::Ash => Unknown::Model(Modelled::Ash),
        Property::AnilinePoint => Unknown::Model(Modelled::Aniline),
        Property::Flash => Unknown::Model(Modelled::Flash),
        _ => return None,
    })
}

fn of_models(tested: &[Tested]) -> Vec<Cause> {
    let mut all: Vec<Unknown> = Vec::new();
    for of in tested.iter().filter_map(|t| modelled(&t.entry.property)) {
        if !all.contains(&of) {
            all.push(of);
        }
    }
    all.into_iter()
        .map(|of| {
            let moved = tested.iter().map(|t| {
                let property = &t.entry.property;
                if modelled(property).as_ref() == Some(&of) {
                    spread::own_error(property, t.value)
                } else {
                    0.0
                }
            });
            let moved = moved.collect();
            on_values(of, Law::Normal, moved)
        })
        .collect()
}

fn of_tests(book: &Book, tested: &[Tested], shares: &[f64]) -> Vec<Cause> {
    let mut all = Vec::new();
    let plain = |e: Element| Total::Plain(Datum::Element(e));
    for (t, total) in book.totals().iter().enumerate() {
        let Some(element) = Element::ALL.into_iter().find(|e| plain(*e) == *total) else {
            continue;
        };
        let property = Property::Element(element);
        let mut moved = vec![0.0; book.totals().len()];
        moved[t] = spread::test_sd(&property, book.sum(t, shares));
        all.push(on_totals(Unknown::Test(property), moved));
    }
    for (k, t) in tested.iter().enumerate() {
        let property = &t.entry.property;
        // What a laboratory divides, or reads as an element, is above.
        if matches!(property, Property::Element(_) | Property::Ratio(..)) {
            continue;
        }
        let mut moved = vec![0.0; tested.len()];
        moved[k] = spread::test_sd(property, t.value);
        all.push(on_values(
            Unknown::Test(property.clone()),
            Law::Normal,
            moved,
        ));
    }
    all
}

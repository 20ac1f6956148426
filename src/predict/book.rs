//! The property models of one problem, ready to evaluate: totals as dense rows, formulas over them.

use crate::declare::problem::Mixing;
use crate::declare::problem::Problem;
use crate::declare::property::Property;
use crate::predict::figures::Reading;
use crate::predict::formula::Formula;
use crate::predict::model;
use crate::predict::total::Total;
use crate::predict::total::WIDTH;

/// One property's model in a [`Book`].
#[derive(Debug, Clone, PartialEq)]
pub struct Entry {
    /// The property.
    pub property: Property,
    /// Its formula.
    pub formula: Formula,
    /// Which of the book's totals the formula takes, in its order.
    pub totals: Vec<usize>,
}

/// A value with its exact slope by each total of its formula.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Tangent {
    /// The value.
    pub value: f64,
    /// Partial derivatives, in the order of [`Entry::totals`]; zero beyond its length.
    pub by_total: [f64; WIDTH],
}

/// The models of a set of properties over one problem's components.
#[derive(Debug, Clone)]
pub struct Book {
    totals: Vec<Total>,
    /// `coefficients[t][j]`: what component j adds to total t; `None` where a figure is missing.
    coefficients: Vec<Vec<Option<Reading>>>,
    entries: Vec<Entry>,
}

impl Book {
    /// Compiles the models of `properties`; those without a model are left out.
    #[must_use]
    pub fn new<'a>(
        problem: &Problem,
        mixing: Mixing,
        properties: impl IntoIterator<Item = &'a Property>,
    ) -> Self {
        let mut book = Book {
            totals: Vec::new(),
            coefficients: Vec::new(),
            entries: Vec::new(),
        };
        for property in properties {
            if book.entry(property).is_some() {
                continue;
            }
            let Some((formula, totals)) = model::model(problem, mixing, property) else {
                continue;
            };
            let totals = totals
                .into_iter()
                .map(|t| book.place(problem, mixing, t))
                .collect();
            book.entries.push(Entry {
                property: property.clone(),
                formula,
                totals,
            });
        }
        book
    }

    /// The row of a total, computed when it is new.
    fn place(&mut self, problem: &Problem, mixing: Mixing, total: Total) -> usize {
        if let Some(at) = self.totals.iter().position(|t| *t == total) {
            return at;
        }
        let row = problem
            .components
            .iter()
            .enumerate()
            .map(|(j, c)| total.coefficient(problem, mixing, j, c))
            .collect();
        self.totals.push(total);
        self.coefficients.push(row);
        self.totals.len() - 1
    }

    /// The totals, in row order.
    #[must_use]
    pub fn totals(&self) -> &[Total] {
        &self.totals
    }

    /// What each component adds to a total, per unit of its mass fraction.
    #[must_use]
    pub fn row(&self, total: usize) -> &[Option<Reading>] {
        &self.coefficients[total]
    }

    /// What one component adds to a total; 0 where a figure is missing (`complete` tells).
    #[must_use]
    pub fn coefficient(&self, total: usize, component: usize) -> f64 {
        self.coefficients[total][component].map_or(0.0, |r| r.value)
    }

    /// Every model.
    #[must_use]
    pub fn entries(&self) -> &[Entry] {
        &self.entries
    }

    /// The model of a property.
    #[must_use]
    pub fn entry(&self, property: &Property) -> Option<&Entry> {
        self.entries.iter().find(|e| &e.property == property)
    }

    /// Whether every component that `shares` uses has the figures of an entry.
    #[must_use]
    pub fn complete(&self, entry: &Entry, shares: &[f64]) -> bool {
        entry.totals.iter().all(|&t| {
            self.coefficients[t]
                .iter()
                .zip(shares)
                .all(|(c, &x)| x <= 0.0 || c.is_some())
        })
    }

    /// The totals of an entry at a recipe's mass fractions, in the formula's order.
    #[must_use]
    pub fn at(&self, entry: &Entry, shares: &[f64]) -> [f64; WIDTH] {
        let mut z = [0.0; WIDTH];
        for (slot, &total) in z.iter_mut().zip(&entry.totals) {
            *slot = self.sum(total, shares);
        }
        z
    }

    /// One total at a recipe's mass fractions.
    #[must_use]
    pub fn sum(&self, total: usize, shares: &[f64]) -> f64 {
        self.coefficients[total]
            .iter()
            .zip(shares)
            .map(|(c, x)| c.map_or(0.0, |r| r.value) * x)
            .sum()
    }

    /// A property's value; `None` where it is undefined or a used component lacks a figure.
    #[must_use]
    pub fn value(&self, entry: &Entry, shares: &[f64]) -> Option<f64> {
        if !self.complete(entry, shares) {
            return None;
        }
        entry
            .formula
            .value(&self.at(entry, shares)[..entry.totals.len()])
    }

    /// A property's value and slope by its totals.
    #[must_use]
    pub fn tangent(&self, entry: &Entry, shares: &[f64]) -> Option<Tangent> {
        if !self.complete(entry, shares) {
            return None;
        }
        let z = self.at(entry, shares);
        let (value, by_total) = entry.formula.slope(&z[..entry.totals.len()])?;
        Some(Tangent { value, by_total })
    }

    /// A property's exact slope by each component's mass fraction, in its unit per unit fraction
    /// (fractions taken as independent).
    #[must_use]
    pub fn slope(&self, entry: &Entry, shares: &[f64]) -> Option<Vec<f64>> {
        let tangent = self.tangent(entry, shares)?;
        Some(self.spread_over(entry, &tangent.by_total))
    }

    /// Slopes by totals carried to slopes by component.
    #[must_use]
    pub fn spread_over(&self, entry: &Entry, by_total: &[f64; WIDTH]) -> Vec<f64> {
        let n = self.coefficients.first().map_or(0, Vec::len);
        let mut slope = vec![0.0; n];
        for (&total, &g) in entry.totals.iter().zip(by_total) {
            for (s, c) in slope.iter_mut().zip(&self.coefficients[total]) {
                *s += g * c.map_or(0.0, |r| r.value);
            }
        }
        slope
    }
}

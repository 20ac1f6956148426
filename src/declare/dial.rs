//! One number or word of a problem or its shelf, named by a path, that can be set again and again.
//!
//! A dial changes the problem in place, as the files would have read with the other value in them.

use crate::declare::component::Edge;
use crate::declare::component::EdgeSource;
use crate::declare::component::Entry;
use crate::declare::component::Figure;
use crate::declare::component::Polymer;
use crate::declare::problem::Limit;
use crate::declare::problem::LimitSource;
use crate::declare::problem::Problem;
use crate::declare::problem::Rule;
use crate::declare::problem::Side;
use crate::declare::property::Datum;
use crate::declare::property::Property;
use crate::declare::thickening;
use crate::declare::windows;
use crate::fault::Place;
use crate::quantity::Share;
use crate::quantity::Unit;

/// No file says it.
const NOWHERE: Place = Place {
    file: 0,
    span: 0..0,
};

/// What a dial is set to.
#[derive(Debug, Clone, PartialEq)]
pub enum Setting {
    /// A finite number, in the dial's unit.
    Number(f64),
    /// A word: a grade or a class.
    Word(String),
}

/// A figure of a polymer.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum PolymerPart {
    /// `solids`.
    Solids,
    /// `iv40`.
    Iv40,
    /// `iv100`.
    Iv100,
    /// `iv150`.
    Iv150,
    /// `k`.
    K,
    /// `hths-loss`.
    HthsLoss,
    /// `ssi`.
    Ssi,
    /// `ssi-krl`.
    SsiKrl,
    /// `ccs-thickening`.
    CcsThickening,
    /// `mrv-thickening`.
    MrvThickening,
}

impl PolymerPart {
    /// Every part.
    pub const ALL: [PolymerPart; 10] = [
        PolymerPart::Solids,
        PolymerPart::Iv40,
        PolymerPart::Iv100,
        PolymerPart::Iv150,
        PolymerPart::K,
        PolymerPart::HthsLoss,
        PolymerPart::Ssi,
        PolymerPart::SsiKrl,
        PolymerPart::CcsThickening,
        PolymerPart::MrvThickening,
    ];

    /// The key on a shelf.
    #[must_use]
    pub fn key(self) -> &'static str {
        match self {
            PolymerPart::Solids => "solids",
            PolymerPart::Iv40 => "iv40",
            PolymerPart::Iv100 => "iv100",
            PolymerPart::Iv150 => "iv150",
            PolymerPart::K => "k",
            PolymerPart::HthsLoss => "hths-loss",
            PolymerPart::Ssi => "ssi",
            PolymerPart::SsiKrl => "ssi-krl",
            PolymerPart::CcsThickening => "ccs-thickening",
            PolymerPart::MrvThickening => "mrv-thickening",
        }
    }

    /// Its unit.
    #[must_use]
    pub fn unit(self) -> Unit {
        match self {
            PolymerPart::Iv40 | PolymerPart::Iv100 | PolymerPart::Iv150 => Unit::named("dL/g"),
            PolymerPart::Ssi | PolymerPart::SsiKrl => Unit::PERCENT,
            PolymerPart::CcsThickening | PolymerPart::MrvThickening => Unit::named("per g/dL"),
            PolymerPart::Solids | PolymerPart::K | PolymerPart::HthsLoss => Unit::NONE,
        }
    }

    fn of(self, polymer: &mut Polymer) -> &mut Figure {
        match self {
            PolymerPart::Solids => &mut polymer.solids,
            PolymerPart::Iv40 => &mut polymer.iv40,
            PolymerPart::Iv100 => &mut polymer.iv100,
            PolymerPart::Iv150 => &mut polymer.iv150,
            PolymerPart::K => &mut polymer.k,
            PolymerPart::HthsLoss => &mut polymer.hths_loss,
            PolymerPart::Ssi => &mut polymer.ssi,
            PolymerPart::SsiKrl => polymer.ssi_krl.get_or_insert_with(|| plain(0.0)),
            PolymerPart::CcsThickening => &mut polymer.ccs_thickening,
            PolymerPart::MrvThickening => polymer.mrv_thickening.get_or_insert_with(|| plain(0.0)),
        }
    }
}

/// What a dial sets.
#[derive(Debug, Clone, PartialEq)]
pub enum Aim {
    /// The problem's own limit, from these sides; grade and class windows stay in force beside it.
    Limit(Property, Vec<Side>),
    /// Edges of a component's treat band, mass %; stock stays in force beside its maximum.
    Treat(usize, Vec<Side>),
    /// The treat rate that a component must reach where it is used, mass %.
    IfUsed(usize),
    /// A figure of a component.
    Figure(usize, Datum),
    /// A figure of a component's polymer.
    Polymer(usize, PolymerPart),
    /// The batch, kg.
    Batch,
    /// The most components that may be used.
    AtMost,
    /// The grade.
    Grade,
    /// The class.
    Class,
}

impl Aim {
    /// The component whose figure or treat rate is set; `None` for what is the whole oil's.
    #[must_use]
    pub fn component(&self) -> Option<usize> {
        match self {
            Aim::Treat(j, _) | Aim::IfUsed(j) | Aim::Figure(j, _) | Aim::Polymer(j, _) => Some(*j),
            Aim::Limit(..) | Aim::Batch | Aim::AtMost | Aim::Grade | Aim::Class => None,
        }
    }
}

/// A dial.
#[derive(Debug, Clone, PartialEq)]
pub struct Dial {
    /// The path that names it: `limits.p.max`.
    pub path: String,
    /// What it sets.
    pub aim: Aim,
}

impl Dial {
    /// Whether it is set to words.
    #[must_use]
    pub fn takes_words(&self) -> bool {
        matches!(self.aim, Aim::Grade | Aim::Class)
    }

    /// Whether it is set to whole numbers.
    #[must_use]
    pub fn takes_whole_numbers(&self) -> bool {
        self.aim == Aim::AtMost
    }

    /// The unit of its numbers.
    #[must_use]
    pub fn unit(&self, problem: &Problem) -> Unit {
        match &self.aim {
            Aim::Limit(property, _) => problem.unit(property),
            Aim::Treat(..) | Aim::IfUsed(_) => Unit::PERCENT,
            Aim::Figure(_, datum) => problem.figure_unit(datum),
            Aim::Polymer(_, part) => part.unit(),
            Aim::Batch => Unit::named("kg"),
            Aim::AtMost | Aim::Grade | Aim::Class => Unit::NONE,
        }
    }

    /// Sets it. A number for a dial of words, or a word for one of numbers, changes nothing.
    pub fn set(&self, problem: &mut Problem, to: &Setting) {
        match (to, &self.aim) {
            (Setting::Word(word), Aim::Grade) => {
                problem.grade = Some(word.clone());
                published(problem);
            }
            (Setting::Word(word), Aim::Class) => {
                problem.classes = vec![word.clone()];
                published(problem);
            }
            (Setting::Number(value), aim) => number(problem, aim, *value),
            (Setting::Word(_), _) => {}
        }
    }
}

fn number(problem: &mut Problem, aim: &Aim, value: f64) {
    match aim {
        Aim::Limit(property, sides) => {
            for side in sides {
                limit(problem, property, *side, value);
            }
        }
        Aim::Treat(component, sides) => {
            for side in sides {
                edge(problem, *component, *side, Share::from_percent(value));
            }
        }
        Aim::IfUsed(component) => {
            problem.bands[*component].if_used = Some(asked(Share::from_percent(value)));
        }
        Aim::Figure(component, datum) => {
            let figures = &mut problem.components[*component].figures;
            match figures.get_mut(datum) {
                Some(Entry::Stated(figure)) => figure.value = value,
                _ => {
                    figures.insert(datum.clone(), Entry::Stated(plain(value)));
                }
            }
            if *datum == Datum::Stock {
                restock(problem, *component);
            }
        }
        Aim::Polymer(component, part) => {
            let law = problem.mixing.thickening;
            let Some(polymer) = &mut problem.components[*component].polymer else {
                return;
            };
            part.of(polymer).value = value;
            match part {
                PolymerPart::Iv40 => polymer.fitted[0] = None,
                PolymerPart::Iv100 => polymer.fitted[1] = None,
                PolymerPart::Iv150 => polymer.fitted[2] = None,
                PolymerPart::K => {
                    let fits = polymer.fitted;
                    let figures = [&mut polymer.iv40, &mut polymer.iv100, &mut polymer.iv150];
                    for (figure, fit) in figures.into_iter().zip(fits) {
                        if let Some(fit) = fit {
                            figure.value = thickening::intrinsic(law, fit, value);
                        }
                    }
                }
                _ => {}
            }
        }
        Aim::Batch => problem.take_batch(value),
        Aim::AtMost => at_most(problem, value),
        Aim::Grade | Aim::Class => {}
    }
}

/// The problem's own limit on one side: moved, or added after the problem's others.
fn limit(problem: &mut Problem, property: &Property, side: Side, value: f64) {
    let own = |l: &Limit| matches!(l.source, LimitSource::Problem | LimitSource::Asked);
    let found = problem
        .limits
        .iter()
        .position(|l| own(l) && l.side == side && l.property == *property);
    let at = found.unwrap_or_else(|| {
        let at = problem.limits.iter().take_while(|l| own(l)).count();
        let fresh = Limit {
            property: property.clone(),
            side,
            bound: value,
            stated: value,
            strict: false,
            source: LimitSource::Asked,
            place: NOWHERE,
        };
        problem.limits.insert(at, fresh);
        at
    });
    let limit = &mut problem.limits[at];
    limit.bound = value;
    limit.stated = value;
    limit.source = LimitSource::Asked;
}

/// An edge of a treat band; a maximum is held to the stock again.
fn edge(problem: &mut Problem, component: usize, side: Side, share: Share) {
    let band = &mut problem.bands[component];
    match side {
        Side::Min => band.min = asked(share),
        Side::Max => {
            band.max = asked(share);
            band.without_stock = None;
            restock(problem, component);
        }
    }
}

fn restock(problem: &mut Problem, component: usize) {
    let stock = problem.components[component].figure(&Datum::Stock);
    if let (Some(stock), Some(batch)) = (stock, problem.batch) {
        problem.bands[component].hold(stock, batch);
    }
}

fn at_most(problem: &mut Problem, value: f64) {
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "checked to be a whole number from 1 to 1000"
    )]
    let count = value.max(0.0) as usize;
    let rules = &mut problem.rules;
    match rules.iter_mut().find(|r| matches!(r, Rule::AtMost(..))) {
        Some(Rule::AtMost(most, _)) => *most = count,
        _ => rules.insert(0, Rule::AtMost(count, NOWHERE)),
    }
}

/// The limits that the problem's grade and classes set, made anew after the problem's own.
fn published(problem: &mut Problem) {
    problem
        .limits
        .retain(|l| matches!(l.source, LimitSource::Problem | LimitSource::Asked));
    let grade = problem.grade.as_deref();
    let by_grade = grade.and_then(|g| windows::limits_of_grade(g, &NOWHERE));
    let by_class = problem
        .classes
        .iter()
        .filter_map(|class| windows::limits_of_class(class, grade, &NOWHERE));
    let all: Vec<Limit> = by_grade.into_iter().chain(by_class).flatten().collect();
    problem.limits.extend(all);
}

fn asked(share: Share) -> Edge {
    Edge {
        share,
        source: EdgeSource::Problem,
        place: None,
    }
}

fn plain(value: f64) -> Figure {
    Figure {
        value,
        sd: None,
        from: None,
        found_at: None,
        place: NOWHERE,
    }
}

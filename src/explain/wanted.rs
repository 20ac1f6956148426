//! What a missing component would have to be: one on the shelf with a few of its figures moved to
//! where they help, by the least common part that brings a recipe.

use crate::declare::component::Band;
use crate::declare::component::Component;
use crate::declare::component::Entry;
use crate::declare::component::Figure;
use crate::declare::component::Kind;
use crate::declare::problem::Problem;
use crate::declare::problem::Side;
use crate::declare::property::Datum;
use crate::declare::property::Property;
use crate::declare::requirement::Requirement;
use crate::explain::lever;
use crate::explain::remedy;
use crate::predict::figures;
use crate::predict::figures::Cold;
use crate::quantity::Share;
use crate::quantity::Unit;
use crate::solve::answer::Answer;
use crate::solve::filter::Probe;
use crate::solve::logic::Demand;
use crate::solve::possible;
use crate::solve::possible::Purse;

/// A figure is moved by at most this part: lowered to a half, raised to the double. Beyond that it is
/// no longer a stock like the one on the shelf.
const FARTHEST: f64 = 0.5;

/// The least part is sought to this fineness.
const FINE: f64 = 0.01;

/// A figure is told rounded toward the helpful side, by at most this part of its move.
const TIDY: f64 = 0.05;

/// Most components of the shelf tried as templates, and most answers.
const TEMPLATES: usize = 16;
const ANSWERS: usize = 3;

/// A figure of the missing component.
#[derive(Debug, Clone, PartialEq)]
pub struct Figured {
    /// Which figure.
    pub datum: Datum,
    /// `Max`: at most this; `Min`: at least this.
    pub side: Side,
    /// What it would have to be.
    pub value: f64,
    /// The template's own.
    pub own: f64,
    /// The unit of both.
    pub unit: Unit,
}

/// A component that would do.
#[derive(Debug, Clone, PartialEq)]
pub struct Wanted {
    /// The component on the shelf that it is like, by index.
    pub like: usize,
    /// Its figures that differ.
    pub figures: Vec<Figured>,
    /// By which part they differ at most.
    pub part: f64,
    /// The recipe that it brings, at the template's price.
    pub answer: Answer,
    /// Its treat rate there.
    pub treat: Share,
    /// The components of that recipe's problem: the shelf, with this one last.
    pub problem: Problem,
}

/// The components that would bring a recipe, the nearest to one on the shelf first.
#[must_use]
pub fn wanted(problem: &Problem, limits: &[Requirement], purse: &mut Purse) -> Vec<Wanted> {
    let limited: Vec<(Property, Side)> = limits
        .iter()
        .filter_map(|r| match r {
            Requirement::Limit(l) => {
                let limit = &problem.limits[*l];
                Some((limit.property.clone(), limit.side))
            }
            _ => None,
        })
        .collect();
    let mut found: Vec<(f64, usize, Vec<Figured>)> = Vec::new();
    let templates = (0..problem.components.len())
        .filter(|&j| matters(problem, j, &limited))
        .take(TEMPLATES);
    for j in templates {
        let aims = aims(&problem.components[j], problem, &limited);
        if aims.is_empty() {
            continue;
        }
        // Only what is nearer than the answers so far is worth a closer look.
        let most = if found.len() < ANSWERS {
            FARTHEST
        } else {
            found[ANSWERS - 1].0
        };
        if let Some((part, figured)) = least(problem, j, &aims, most, purse) {
            found.push((part, j, figured));
            found.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
        }
    }
    found.truncate(ANSWERS);
    found
        .into_iter()
        .filter_map(|(part, like, figures)| {
            let problem = with(problem, like, &figures);
            let answer = remedy::solved(&problem, 1e-4, purse)?;
            if !answer.outcome().has_recipe() {
                return None;
            }
            let treat = *answer.recipe.as_ref()?.shares().last()?;
            Some(Wanted {
                like,
                figures,
                part,
                answer,
                treat,
                problem,
            })
        })
        .collect()
}

/// Whether a component could be a template: base stocks, and whatever carries an additive's figure
/// that is limited.
fn matters(problem: &Problem, j: usize, limited: &[(Property, Side)]) -> bool {
    let component = &problem.components[j];
    if component.polymer.is_some() || problem.bands[j].max.share <= Share::NONE {
        return false;
    }
    let carried = limited.iter().any(|(p, _)| {
        matches!(
            p,
            Property::Element(_)
                | Property::Ratio(..)
                | Property::Ash
                | Property::BaseNumber
                | Property::AcidNumber
        )
    });
    match component.kind {
        Kind::BaseStock => !carried || limited.iter().any(|(p, _)| is_fluid(p)),
        _ => {
            carried
                && aims(component, problem, limited)
                    .iter()
                    .any(|a| a.own > 0.0)
        }
    }
}

/// Whether a property is made by the base stocks above all.
fn is_fluid(property: &Property) -> bool {
    !matches!(
        property,
        Property::Element(_)
            | Property::Ratio(..)
            | Property::Ash
            | Property::BaseNumber
            | Property::AcidNumber
            | Property::Cost
            | Property::CostPerLitre
            | Property::Treat(_)
            | Property::Group(_)
            | Property::PolarShare
            | Property::Change
    )
}

/// A figure with the side to which moving it helps.
#[derive(Debug, Clone, PartialEq)]
struct Aim {
    datum: Datum,
    side: Side,
    own: f64,
}

/// The figures of a component on which the limits rest, each once, with the side that helps.
fn aims(component: &Component, problem: &Problem, limited: &[(Property, Side)]) -> Vec<Aim> {
    let mut aims: Vec<Aim> = Vec::new();
    // A limit on a viscosity says more of the two viscosities than one on their index.
    let (index, rest): (Vec<_>, Vec<_>) = limited.iter().partition(|(p, _)| *p == Property::Vi);
    for (property, side) in rest.into_iter().chain(index) {
        let known = aims
            .iter()
            .any(|a| matches!(a.datum, Datum::Kv40 | Datum::Kv100));
        if *property == Property::Vi && known {
            continue;
        }
        for (datum, side) in rests_on(component, property, *side) {
            let own = match &datum {
                Datum::Ccs(t) => figures::cold(component, Cold::Cranking, *t),
                Datum::Mrv(t) => figures::cold(component, Cold::Pumping, *t),
                Datum::Ash => figures::sulfated_ash(component, problem.mixing.zinc_ash),
                other => figures::plain(component, other),
            };
            let Some(own) = own.map(|r| r.value) else {
                continue;
            };
            // A nothing can only be raised, and then it is another kind of component.
            let moves = own.abs() > 0.0;
            if moves && !aims.iter().any(|a| a.datum == datum) {
                aims.push(Aim { datum, side, own });
            }
        }
    }
    aims
}

fn rests_on(component: &Component, property: &Property, side: Side) -> Vec<(Datum, Side)> {
    let other = match side {
        Side::Min => Side::Max,
        Side::Max => Side::Min,
    };
    match property {
        Property::Kv40 => vec![(Datum::Kv40, side)],
        Property::Kv100 | Property::Kv100Sheared | Property::Kv100Krl | Property::Hths => {
            vec![(Datum::Kv100, side), (Datum::Kv40, side)]
        }
        Property::Vi => vec![(Datum::Kv40, other)],
        Property::Density => vec![(Datum::Density, side)],
        Property::Ccs(t) => vec![(Datum::Ccs(*t), side)],
        Property::Mrv(t) => vec![(Datum::Mrv(*t), side)],
        Property::Noack => vec![(Datum::Noack, side)],
        Property::Element(e) => vec![(Datum::Element(*e), side)],
        Property::Ratio(a, b) => vec![(Datum::Element(*a), side), (Datum::Element(*b), other)],
        Property::Ash if component.kind != Kind::BaseStock => vec![(Datum::Ash, side)],
        Property::BaseNumber => vec![(Datum::BaseNumber, side)],
        Property::AcidNumber => vec![(Datum::AcidNumber, side)],
        Property::AnilinePoint => vec![(Datum::AnilinePoint, side)],
        Property::IrBaseline => vec![(Datum::IrBaseline, side)],
        Property::Flash => vec![(Datum::Flash, side)],
        Property::User(name) => vec![(Datum::User(name.clone()), side)],
        Property::Ash
        | Property::Brookfield(_)
        | Property::Cost
        | Property::CostPerLitre
        | Property::PolarShare
        | Property::Change
        | Property::Treat(_)
        | Property::Group(_) => Vec::new(),
    }
}

/// The figures moved by a part.
fn moved(problem: &Problem, aims: &[Aim], part: f64) -> Vec<Figured> {
    aims.iter()
        .map(|aim| {
            // A negative figure (a cold flash or aniline point) moves by its size like any other.
            let way = match aim.side {
                Side::Max => -part * aim.own.abs(),
                Side::Min => (part / (1.0 - part)) * aim.own.abs(),
            };
            Figured {
                datum: aim.datum.clone(),
                side: aim.side,
                value: aim.own + way,
                own: aim.own,
                unit: problem.figure_unit(&aim.datum),
            }
        })
        .collect()
}

/// The problem with one more component on the shelf.
fn with(problem: &Problem, like: usize, figures: &[Figured]) -> Problem {
    let mut new = problem.clone();
    let template = &problem.components[like];
    let mut component = template.clone();
    component.id.push_str("-wanted");
    component.figures.remove(&Datum::Stock);
    for figured in figures {
        let figure = Figure {
            value: figured.value,
            sd: None,
            from: None,
            found_at: None,
            place: template.place.clone(),
        };
        let entry = Entry::Stated(figure);
        component.figures.insert(figured.datum.clone(), entry);
    }
    let natural = Band::natural();
    new.bands.push(Band {
        min: natural.min,
        max: template.treat.max.clone(),
        if_used: None,
        without_stock: None,
    });
    for group in &mut new.groups {
        if group.members.contains(&like) {
            group.members.push(problem.components.len());
        }
    }
    if let Some(known) = &mut new.known {
        known.push(Share::NONE);
    }
    new.components.push(component);
    new
}

/// The least common part by which the figures must move, and the figures, tidy, without those that
/// need not move; `None` where no part up to `most` does.
fn least(
    problem: &Problem,
    like: usize,
    aims: &[Aim],
    most: f64,
    purse: &mut Purse,
) -> Option<(f64, Vec<Figured>)> {
    let demand = Demand::default();
    let mut does = |figures: &[Figured]| {
        sound(problem, like, figures)
            && possible::possible(&with(problem, like, figures), &demand, purse) == Probe::Possible
    };
    let (mut low, mut high) = (0.0, most);
    // More of the same is a matter of stock or of a band, not of another component.
    if does(&[]) || !does(&moved(problem, aims, high)) {
        return None;
    }
    while high - low > FINE * high {
        let middle = f64::midpoint(low, high);
        if does(&moved(problem, aims, middle)) {
            high = middle;
        } else {
            low = middle;
        }
    }
    let mut aims = aims.to_vec();
    let mut k = 0;
    while k < aims.len() && aims.len() > 1 {
        let mut fewer = aims.clone();
        fewer.remove(k);
        if does(&moved(problem, &fewer, high)) {
            aims = fewer;
        } else {
            k += 1;
        }
    }
    let exact = moved(problem, &aims, high);
    let mut tidy = exact.clone();
    for figured in &mut tidy {
        let slack = TIDY * (figured.value - figured.own).abs();
        figured.value = lever::tidied(figured.value, slack, figured.side == Side::Min);
    }
    let figures = if does(&tidy) { tidy } else { exact };
    Some((high, figures))
}

/// Whether moved figures still make a fluid: thicker in the cold.
fn sound(problem: &Problem, like: usize, figures: &[Figured]) -> bool {
    let value = |datum: &Datum| {
        let moved = figures.iter().find(|f| f.datum == *datum).map(|f| f.value);
        moved.or_else(|| problem.components[like].figure(datum).map(|f| f.value))
    };
    match (value(&Datum::Kv40), value(&Datum::Kv100)) {
        (Some(cold), Some(hot)) => cold > LEAST_FALL * hot,
        _ => true,
    }
}

/// No known base oil thins by less from 40 to 100 °C (common practice, no source).
const LEAST_FALL: f64 = 2.2;

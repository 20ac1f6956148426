//! What is traded against what, and which way is better.

use crate::declare::problem::Goal;
use crate::declare::problem::Problem;
use crate::declare::problem::Sense;
use crate::declare::problem::Side;
use crate::declare::property::Property;
use crate::study::reach;

/// A property and which way is better.
#[derive(Debug, Clone, PartialEq)]
pub struct Aim {
    /// The property.
    pub property: Property,
    /// Which way is better.
    pub sense: Sense,
}

/// Why two properties cannot be traded.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Unable {
    /// Both are the same.
    Same(Property),
    /// Nothing says which way is better: the problem limits it from both sides (`true`) or not at all.
    NoWay(Property, bool),
    /// It cannot be predicted of this shelf.
    Unpredicted(Property, reach::Unable),
}

impl Aim {
    /// 1 where lower is better, −1 where higher is.
    #[must_use]
    pub fn sign(&self) -> f64 {
        match self.sense {
            Sense::Minimise => 1.0,
            Sense::Maximise => -1.0,
        }
    }

    /// The side of a limit that keeps it from getting worse.
    #[must_use]
    pub fn worst_side(&self) -> Side {
        match self.sense {
            Sense::Minimise => Side::Max,
            Sense::Maximise => Side::Min,
        }
    }

    /// The same as a goal of a problem.
    #[must_use]
    pub fn goal(&self, problem: &Problem) -> Goal {
        Goal {
            sense: self.sense,
            property: self.property.clone(),
            place: problem.goal.place.clone(),
        }
    }
}

/// Two properties that can be traded, each with the way that is asked for, else the way that its nature,
/// the problem's goal, or the only side of the problem's limits tells.
///
/// # Errors
/// Where they are one property, a way is not known, or one cannot be predicted.
pub fn aims(problem: &Problem, asked: [(Property, Option<Sense>); 2]) -> Result<[Aim; 2], Unable> {
    if asked[0].0 == asked[1].0 {
        return Err(Unable::Same(asked[0].0.clone()));
    }
    let [first, second] = asked;
    Ok([aim(problem, first)?, aim(problem, second)?])
}

fn aim(problem: &Problem, asked: (Property, Option<Sense>)) -> Result<Aim, Unable> {
    let (property, sense) = asked;
    reach::predictable(problem, &property, None)
        .map_err(|unable| Unable::Unpredicted(property.clone(), unable))?;
    let sense = match sense.or_else(|| natural(problem, &property)) {
        Some(sense) => sense,
        None => by_limits(problem, &property)?,
    };
    Ok(Aim { property, sense })
}

/// Money and treat rates are better saved; the goal says itself which way it pulls.
fn natural(problem: &Problem, property: &Property) -> Option<Sense> {
    if problem.goal.property == *property {
        return Some(problem.goal.sense);
    }
    (property.is_money() || matches!(property, Property::Treat(_))).then_some(Sense::Minimise)
}

/// A maximum says that lower is better, a minimum that higher is.
fn by_limits(problem: &Problem, property: &Property) -> Result<Sense, Unable> {
    let has = |side: Side| {
        let mut limits = problem.limits.iter();
        limits.any(|l| l.property == *property && l.side == side)
    };
    match (has(Side::Min), has(Side::Max)) {
        (true, false) => Ok(Sense::Maximise),
        (false, true) => Ok(Sense::Minimise),
        (both, _) => Err(Unable::NoWay(property.clone(), both)),
    }
}

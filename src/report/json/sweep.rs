//! The answer of `sweep`, whole: shape and content.

use crate::declare::dial::Setting;
use crate::report::json::answer;
use crate::report::json::shape;
use crate::report::keys;
use crate::report::text::conflict as reasons;
use crate::solve::answer::Party;
use crate::solve::conflict;
use crate::study::sweep::breaks::Turn;
use crate::study::sweep::kept;
use crate::study::sweep::row::Row;
use serde::Serialize;
use serde::Serializer;

/// The answer.
#[derive(Debug, Serialize)]
pub struct Sweep {
    /// The number of this shape.
    pub schema: u32,
    /// Whether every point was solved.
    pub complete: bool,
    /// What was moved, in order.
    pub varied: Vec<Varied>,
    /// What was minimised or maximised: its name and unit.
    pub goal: Goal,
    /// Each point, the first path slowest.
    pub points: Vec<Point>,
    /// Where something changes along the range; `null` where that was not sought.
    pub breakpoints: Option<Vec<Breakpoint>>,
    /// Where there is no recipe along the range; `null` where that was not sought.
    pub no_recipe: Option<Vec<Stretch>>,
    /// What to be told beside the numbers.
    pub warnings: Vec<shape::Warning>,
}

/// What was moved.
#[derive(Debug, Serialize)]
pub struct Varied {
    /// Its path.
    pub path: String,
    /// Its unit.
    pub unit: String,
    /// How many settings.
    pub settings: usize,
}

/// The goal.
#[derive(Debug, Serialize)]
pub struct Goal {
    /// The property's key.
    pub name: String,
    /// Its unit.
    pub unit: String,
}

/// A number or a word.
#[derive(Debug)]
pub struct At(Setting);

impl Serialize for At {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        match &self.0 {
            Setting::Number(number) => serializer.serialize_f64(*number),
            Setting::Word(word) => serializer.serialize_str(word),
        }
    }
}

/// One point.
#[derive(Debug, Serialize)]
pub struct Point {
    /// The settings, in the order of `varied`.
    pub at: Vec<At>,
    /// `optimal`, `feasible`, `no-recipe` or `undecided`.
    pub status: &'static str,
    /// Relative distance to what no recipe betters, where proved.
    pub gap: Option<f64>,
    /// The goal's value.
    pub goal: Option<f64>,
    /// The components used, in the shelf's order; `null` without a recipe.
    pub recipe: Option<Vec<Rate>>,
    /// Keys of what binds.
    pub binds: Vec<String>,
    /// Why there is no recipe, where that is known.
    pub reason: Option<String>,
}

/// A component of a recipe.
#[derive(Debug, Serialize)]
pub struct Rate {
    /// Its id.
    pub component: String,
    /// Its treat rate, mass %.
    pub mass_percent: f64,
}

/// A change along the range.
#[derive(Debug, Serialize)]
pub struct Breakpoint {
    /// Where.
    pub at: f64,
    /// What happens, in the direction of the sweep.
    pub turns: Vec<Event>,
}

/// One thing that changes.
#[derive(Debug, Serialize)]
pub struct Event {
    /// `enters`, `leaves`, `binds`, `frees`, `other-recipe`, `recipe`, `no-recipe` or `undecided`.
    pub what: &'static str,
    /// The component's id or the limit's key; `null` where neither is meant.
    pub of: Option<String>,
}

/// A stretch without a recipe.
#[derive(Debug, Serialize)]
pub struct Stretch {
    /// Where it begins, in the direction of the sweep.
    pub from: f64,
    /// Where it ends.
    pub to: f64,
    /// Whether it was proved that there is none.
    pub proved: bool,
    /// Why, each with the value at which that was asked.
    pub reasons: Vec<Reason>,
}

/// Why there is no recipe.
#[derive(Debug, Serialize)]
pub struct Reason {
    /// Where it was asked.
    pub at: f64,
    /// The requirements, in clauses.
    pub words: String,
}

/// The whole answer as text.
///
/// # Errors
/// Where a number is not finite: a bug.
pub fn sweep(found: &kept::Sweep) -> serde_json::Result<String> {
    let problem = found.plan.problem();
    let goal = &problem.goal.property;
    let varied = found.plan.varied().iter();
    let sought = |yes: bool| yes.then_some(());
    answer::text(&Sweep {
        schema: shape::SCHEMA,
        complete: found.is_whole(),
        varied: varied
            .map(|(dial, stops)| Varied {
                path: dial.path.clone(),
                unit: dial.unit(problem).as_str().into(),
                settings: stops.len(),
            })
            .collect(),
        goal: Goal {
            name: goal.key(),
            unit: problem.unit(goal).as_str().into(),
        },
        points: found.rows.iter().map(|row| point(found, row)).collect(),
        breakpoints: sought(found.searched).map(|()| breakpoints(found)),
        no_recipe: sought(found.searched).map(|()| stretches(found)),
        warnings: vec![shape::Warning {
            code: "no-licence",
            words: "a predicted grade is not a licence or an approval: blend a small batch and \
                    measure it before you trust any of these recipes"
                .into(),
        }],
    })
}

fn point(found: &kept::Sweep, row: &Row) -> Point {
    let problem = found.plan.problem();
    let rates = problem
        .components
        .iter()
        .zip(&row.shares)
        .filter(|(_, share)| **share > 0.0)
        .map(|(component, share)| Rate {
            component: component.id.clone(),
            mass_percent: share * 100.0,
        })
        .collect();
    Point {
        at: row.at.iter().cloned().map(At).collect(),
        status: answer::status(row.status),
        gap: row.gap,
        goal: row.goal,
        recipe: (!row.shares.is_empty()).then_some(rates),
        binds: keys::of(row),
        reason: reasons::clauses(problem, &row.conflict, row.settled),
    }
}

fn breakpoints(found: &kept::Sweep) -> Vec<Breakpoint> {
    let problem = found.plan.problem();
    let component = |j: usize| Some(problem.components[j].id.clone());
    let key = |r| conflict::party(problem, r).map(|p: Party| keys::key(&p));
    let event = |turn: &Turn| {
        let (what, of) = match *turn {
            Turn::Recipe => ("recipe", None),
            Turn::NoRecipe => ("no-recipe", None),
            Turn::Unknown => ("undecided", None),
            Turn::Jump => ("other-recipe", None),
            Turn::Enters(j) => ("enters", component(j)),
            Turn::Leaves(j) => ("leaves", component(j)),
            Turn::Binds(r) => ("binds", key(r)),
            Turn::Frees(r) => ("frees", key(r)),
        };
        Event { what, of }
    };
    let each = found.breaks.iter();
    each.map(|b| Breakpoint {
        at: b.at,
        turns: b.turns.iter().map(event).collect(),
    })
    .collect()
}

fn stretches(found: &kept::Sweep) -> Vec<Stretch> {
    let problem = found.plan.problem();
    let reason = |reason: &kept::Reason| {
        let words = reasons::clauses(problem, &reason.parties, reason.settled)?;
        Some(Reason {
            at: reason.at,
            words,
        })
    };
    let each = found.barren.iter();
    each.map(|b| Stretch {
        from: b.from,
        to: b.to,
        proved: b.proved,
        reasons: b.reasons.iter().filter_map(reason).collect(),
    })
    .collect()
}

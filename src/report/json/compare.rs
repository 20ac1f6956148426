//! The answer of `compare`: shape and content.

use crate::predict::value::Warning;
use crate::report::json::answer;
use crate::report::json::part;
use crate::report::json::shape;
use crate::report::json::solved;
use crate::report::text::changes;
use crate::report::warnings;
use crate::study::change::Change;
use crate::study::compare as study;
use crate::study::compare::Comparison;
use crate::study::compare::Deed;
use crate::study::compare::Told;
use serde::Serialize;

/// The answer of `compare`.
#[derive(Debug, Serialize)]
pub struct Compare {
    /// [`shape::SCHEMA`].
    pub schema: u32,
    /// How the new problem is answered: `optimal`, `feasible`, `no-recipe` or `undecided`.
    pub status: &'static str,
    /// Whether the two values of the goal can be compared.
    pub comparable: bool,
    /// The new problem's goal.
    pub objective: Objective,
    /// The old problem's answer.
    pub before: solved::Solved,
    /// The new problem's answer.
    pub now: solved::Solved,
    /// What differs between the two recipes; `null` where one has none.
    pub apart: Option<solved::Apart>,
    /// Each change, the one with the largest effect first.
    pub changes: Vec<Changed>,
    /// Where one of the two has no recipe: which changes did it.
    pub blame: Option<Blamed>,
    /// Where the old problem has no recipe: requirements of it that cannot all hold.
    pub conflict_before: Option<Vec<shape::Party>>,
    /// Where the new problem has no recipe: requirements of it that cannot all hold.
    pub conflict_now: Option<Vec<shape::Party>>,
    /// What to be told beside the numbers.
    pub warnings: Vec<shape::Warning>,
}

/// The goal.
#[derive(Debug, Serialize)]
pub struct Objective {
    /// The property's key.
    pub name: String,
    /// Its unit.
    pub unit: String,
    /// The old goal's value, in the old goal's own unit.
    pub before: Option<f64>,
    /// The new goal's value.
    pub now: Option<f64>,
    /// The new value less the old; `null` where they cannot be compared.
    pub change: Option<f64>,
}

/// A change.
#[derive(Debug, Serialize)]
pub struct Changed {
    /// `limit`, `treat`, `stock`, `batch`, `price`, `figure`, `polymer`, `kind`, `component-added`,
    /// `component-removed`, `rule`, `goal`, `currency`, `mixing`, `property` or `group`.
    pub what: &'static str,
    /// The component that it is of; `null` where it is of none.
    pub component: Option<String>,
    /// For a limit the property's key, for figures theirs; else `null`.
    pub keys: Option<Vec<String>>,
    /// The same in words.
    pub words: String,
    /// The old problem with this change alone.
    pub alone: Effect,
    /// The new problem without it.
    pub without: Effect,
}

/// What a search says of a problem with some changes made.
#[derive(Debug, Serialize)]
pub struct Effect {
    /// `recipe`, `recipe-unproved` (none better was ruled out), `no-recipe`, `undecided`, or `unasked` where the values cannot be compared or a limit
    /// would rest on figures that are not there.
    pub status: &'static str,
    /// The goal's value.
    pub value: Option<f64>,
    /// What the change does: the value less the old problem's, or the new problem's less the value.
    pub change: Option<f64>,
}

/// The changes that did it.
#[derive(Debug, Serialize)]
pub struct Blamed {
    /// `broke` or `restored`.
    pub deed: &'static str,
    /// They.
    pub changes: Vec<Needed>,
    /// For `broke`: requirements that cannot all hold once these changes are made.
    pub conflict: Option<Vec<shape::Party>>,
}

/// One of them.
#[derive(Debug, Serialize)]
pub struct Needed {
    /// Its place in `changes`, counted from 0.
    pub change: usize,
    /// Whether it was shown to be needed; else it may be.
    pub shown: bool,
}

/// The answer of `compare`, ending in a line break.
///
/// # Errors
/// Where the writer of JSON fails; it has no reason to on these shapes.
pub fn compare(found: &Comparison, told: &[Warning]) -> serde_json::Result<String> {
    let (old, new) = (&found.old, &found.new);
    let goal = &new.problem.goal.property;
    let judged = new.recipe().map(|(_, judgement)| judgement);
    let conflict =
        |s: &crate::study::solved::Solved| s.none().then(|| part::collision(&s.problem, &s.answer));
    let values = new.value().zip(old.value());
    answer::text(&Compare {
        schema: shape::SCHEMA,
        status: answer::status(new.answer.outcome()),
        comparable: found.comparable,
        objective: Objective {
            name: goal.key(),
            unit: new.problem.unit(goal).to_string(),
            before: old.value(),
            now: new.value(),
            change: values.filter(|_| found.comparable).map(|(b, a)| b - a),
        },
        before: solved::solved(old),
        now: solved::solved(new),
        apart: solved::apart(old, new),
        changes: found.effects.iter().map(|e| changed(found, e)).collect(),
        blame: found.blame.as_ref().map(blamed),
        conflict_before: conflict(old),
        conflict_now: conflict(new),
        warnings: part::warnings(&warnings::together(told, judged)),
    })
}

fn blamed(blame: &study::Blame) -> Blamed {
    let broke = blame.deed == Deed::Broke;
    let with = &blame.with_them;
    Blamed {
        deed: if broke { "broke" } else { "restored" },
        changes: blame
            .changes
            .iter()
            .map(|n| Needed {
                change: n.index,
                shown: n.shown,
            })
            .collect(),
        conflict: broke.then(|| part::collision(&with.problem, &with.answer)),
    }
}

fn changed(found: &Comparison, effect: &study::Effect) -> Changed {
    let problem = &found.new.problem;
    let (what, component, keys) = named(&effect.change);
    let rise = |to: Option<f64>, from: Option<f64>| to.zip(from).map(|(b, a)| b - a);
    let alone = rise(effect.alone.value(), found.old.value());
    let last = rise(found.new.value(), effect.without.value());
    Changed {
        what,
        component: component.map(|j| problem.components[j].id.clone()),
        keys,
        words: changes::says(problem, &effect.change),
        alone: told(effect.alone, alone),
        without: told(effect.without, last),
    }
}

fn told(told: Told, change: Option<f64>) -> Effect {
    Effect {
        status: match told {
            Told::Value(_) => "recipe",
            Told::Found(_) => "recipe-unproved",
            Told::NoRecipe => "no-recipe",
            Told::Undecided => "undecided",
            Told::Unasked => "unasked",
        },
        value: told.value(),
        change,
    }
}

fn named(change: &Change) -> (&'static str, Option<usize>, Option<Vec<String>>) {
    match change {
        Change::Limit { from, to } => {
            let limit = to.as_ref().or(from.as_ref());
            ("limit", None, limit.map(|l| vec![l.property.key()]))
        }
        Change::Band { component, .. } => ("treat", Some(*component), None),
        Change::Stock { component, .. } => ("stock", Some(*component), None),
        Change::Batch { .. } => ("batch", None, None),
        Change::Price { component, .. } => ("price", Some(*component), None),
        Change::Figures { component, items } => {
            let keys = items.iter().map(|i| i.datum.key()).collect();
            ("figure", Some(*component), Some(keys))
        }
        Change::Polymer { component, .. } => ("polymer", Some(*component), None),
        Change::Nature { component, .. } => ("kind", Some(*component), None),
        Change::Added { component, .. } => ("component-added", Some(*component), None),
        Change::Removed { component } => ("component-removed", Some(*component), None),
        Change::Rule { .. } => ("rule", None, None),
        Change::Goal { .. } => ("goal", None, None),
        Change::Currency { .. } => ("currency", None, None),
        Change::Mixing { .. } => ("mixing", None, None),
        Change::Property { .. } => ("property", None, None),
        Change::Group { .. } => ("group", None, None),
    }
}

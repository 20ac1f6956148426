//! What moved between two problems, what it did to the recipe, and which change did it.

use crate::declare::needs;
use crate::declare::problem::Problem;
use crate::declare::property::Property;
use crate::quantity::Share;
use crate::solve::answer::Status;
use crate::solve::search;
use crate::solve::search::Budget;
use crate::study::align;
use crate::study::change;
use crate::study::change::Change;
use crate::study::clock::Clock;
use crate::study::differences;
use crate::study::needed;
use crate::study::needed::Needed;
use crate::study::solved::Solved;

/// What a search says of a problem with some of the changes made.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Told {
    /// The goal's best value.
    Value(f64),
    /// The goal's value for the best recipe found; that none is better was not proved.
    Found(f64),
    /// There is no recipe.
    NoRecipe,
    /// Neither was found in the time given.
    Undecided,
    /// It cannot be asked: a limit then rests on figures that are not there.
    Unasked,
}

impl Told {
    /// The value, where there is one.
    #[must_use]
    pub fn value(self) -> Option<f64> {
        match self {
            Told::Value(value) | Told::Found(value) => Some(value),
            _ => None,
        }
    }
}

/// What one change does.
#[derive(Debug, Clone, PartialEq)]
pub struct Effect {
    /// The change.
    pub change: Change,
    /// The old problem with this change alone.
    pub alone: Told,
    /// The new problem without it.
    pub without: Told,
}

/// What a set of changes did together.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Deed {
    /// They left no recipe.
    Broke,
    /// They made one possible.
    Restored,
}

/// The changes that did it, none of which can be left out.
#[derive(Debug, Clone, PartialEq)]
pub struct Blame {
    /// What they did.
    pub deed: Deed,
    /// They, as indices into [`Comparison::effects`].
    pub changes: Vec<Needed>,
    /// The old problem with only these changes made: its conflict says what they collide with.
    pub with_them: Solved,
}

/// Two problems compared.
#[derive(Debug, Clone, PartialEq)]
pub struct Comparison {
    /// As it was, over the components of both shelves.
    pub old: Solved,
    /// As it is now, likewise.
    pub new: Solved,
    /// Whether the two values of the goal can be compared: the same goal in the same money.
    pub comparable: bool,
    /// Each change, the one with the largest effect first.
    pub effects: Vec<Effect>,
    /// Where one of the two has no recipe: the changes that did it.
    pub blame: Option<Blame>,
}

/// Relative gap to which the values are proved that are told from each other.
const APART: f64 = 1e-5;

/// Most cases of the proof of one such value: a change whose effect is hard to prove is not to hold up
/// the others.
const CASES: usize = 10_000;

/// Relative gap where only the being of a recipe is asked.
const ANY: f64 = 0.9;

/// Compares a problem as it was with itself as it is now.
#[must_use]
pub fn compare(old: &Problem, new: &Problem, budget: &Budget) -> Comparison {
    let clock = Clock::start(budget);
    let aligned = align::align(old, new);
    let changes = differences::differences(&aligned);
    let before = Solved::of(aligned.old.clone(), &clock.left_to(APART));
    let after = if changes.is_empty() {
        before.clone()
    } else {
        Solved::of(aligned.new.clone(), &clock.left_to(APART))
    };
    let comparable = !changes.iter().any(Change::moves_the_goal);
    let mut effects: Vec<Effect> = changes
        .iter()
        .map(|change| Effect {
            change: change.clone(),
            alone: Told::Unasked,
            without: Told::Unasked,
        })
        .collect();
    if comparable {
        for (k, effect) in effects.iter_mut().enumerate() {
            effect.alone = told(&change::with(&aligned.old, [&changes[k]]), &clock);
            let others = changes.iter().enumerate().filter(|(i, _)| *i != k);
            let others = others.map(|(_, change)| change);
            effect.without = told(&change::with(&aligned.old, others), &clock);
        }
        sort(&mut effects, &before, &after);
    }
    let blame = blame(&before, &after, &effects, &clock);
    Comparison {
        old: before,
        new: after,
        comparable,
        effects,
        blame,
    }
}

fn told(problem: &Problem, clock: &Clock) -> Told {
    if !sound(problem) {
        return Told::Unasked;
    }
    let answer = search::cheapest(problem, &probe(clock, APART));
    match (answer.outcome(), answer.objective) {
        (Status::NoRecipe, _) => Told::NoRecipe,
        (Status::Optimal, Some(value)) => Told::Value(value),
        (Status::Feasible, Some(value)) => Told::Found(value),
        _ => Told::Undecided,
    }
}

fn probe(clock: &Clock, gap: f64) -> Budget {
    let left = clock.left_to(gap);
    Budget {
        nodes: left.nodes.min(CASES),
        ..left
    }
}

/// Whether every limit and the goal rest on figures that are there and names that are declared: what
/// reading a problem checks, and a part of the changes may break.
fn sound(problem: &Problem) -> bool {
    let declared = |property: &Property| match property {
        Property::Group(name) => problem.group(name).is_some(),
        Property::User(name) => problem.user(name).is_some(),
        _ => true,
    };
    let limited = problem.limits.iter().map(|l| &l.property);
    limited.chain([&problem.goal.property]).all(|property| {
        let needs = needs::needs(property, problem);
        declared(property)
            && problem
                .components
                .iter()
                .zip(&problem.bands)
                .filter(|(_, band)| band.max.share > Share::NONE)
                .all(|(c, _)| needs.iter().all(|need| need.met_by(c)))
    })
}

/// The largest effect first: what changes whether there is a recipe, then by the goal's change, alone
/// or at the end; what cannot be told last.
fn sort(effects: &mut [Effect], old: &Solved, new: &Solved) {
    let size = |told: Told, beside: &Solved| match (told, beside.value()) {
        (Told::Value(a) | Told::Found(a), Some(b)) => (a - b).abs(),
        (Told::Value(_) | Told::Found(_), None) if beside.none() => f64::INFINITY,
        (Told::NoRecipe, Some(_)) => f64::INFINITY,
        (Told::NoRecipe, None) => 0.0,
        _ => -1.0,
    };
    effects.sort_by(|a, b| {
        let of = |e: &Effect| (size(e.alone, old), size(e.without, new));
        let ((a1, a2), (b1, b2)) = (of(a), of(b));
        b1.max(b2)
            .total_cmp(&a1.max(a2))
            .then(b1.total_cmp(&a1))
            .then(b2.total_cmp(&a2))
    });
}

fn blame(old: &Solved, new: &Solved, effects: &[Effect], clock: &Clock) -> Option<Blame> {
    let deed = if new.none() && old.recipe().is_some() {
        Deed::Broke
    } else if old.none() && new.recipe().is_some() {
        Deed::Restored
    } else {
        return None;
    };
    let made = |set: &[usize]| change::with(&old.problem, set.iter().map(|&k| &effects[k].change));
    let changes = needed::least(effects.len(), |set| {
        let problem = made(set);
        if !sound(&problem) {
            return None;
        }
        let status = search::cheapest(&problem, &probe(clock, ANY)).outcome();
        match (status, deed) {
            (Status::NoRecipe, Deed::Broke)
            | (Status::Optimal | Status::Feasible, Deed::Restored) => Some(true),
            (Status::Undecided, _) => None,
            _ => Some(false),
        }
    });
    let set: Vec<usize> = changes.iter().map(|n| n.index).collect();
    let with_them = Solved::of(made(&set), &clock.left_to(APART));
    Some(Blame {
        deed,
        changes,
        with_them,
    })
}

//! Why a problem has no recipe, and the least that would have to give.

use crate::declare::problem::Problem;
use crate::declare::requirement::Requirement;
use crate::explain::lever;
use crate::explain::lever::Lever;
use crate::explain::remedy;
use crate::explain::remedy::Remedy;
use crate::explain::wanted;
use crate::explain::wanted::Wanted;
use crate::solve::answer::Answer;
use crate::solve::answer::Party;
use crate::solve::answer::Status;
use crate::solve::conflict;
use crate::solve::conflict::Conflict;
use crate::solve::conflict::Conflicts;
use crate::solve::conflict::Member;
use crate::solve::possible::Purse;
use crate::solve::search;
use crate::solve::search::Budget;
use std::time::Duration;
use std::time::Instant;

/// What is asked of an explanation.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Asked {
    /// Most reasons.
    pub sets: usize,
    /// Wall time for the whole.
    pub time: Option<Duration>,
}

impl Default for Asked {
    fn default() -> Self {
        Asked {
            sets: SETS,
            time: None,
        }
    }
}

/// Most reasons told unless asked otherwise.
pub const SETS: usize = 6;

/// Most remedies of more than one change.
const COMBINATIONS: usize = 4;

/// Most changes of one remedy.
const MOST_CHANGES: usize = 3;

/// Most regions of all proofs for further reasons, for the remedies, and for missing components.
const REASON_NODES: usize = 20_000;
const REMEDY_NODES: usize = 60_000;
const WANTED_NODES: usize = 20_000;

/// Why there is no recipe.
#[derive(Debug, Clone, PartialEq)]
pub struct Refusal {
    /// The reasons: each alone leaves no recipe.
    pub sets: Vec<Conflict>,
    /// Whether these are all the reasons.
    pub complete: bool,
    /// What would have to give, least first; then changes of rules, then what leaves a supplier's band.
    pub remedies: Vec<Remedy>,
    /// Every limit and band edge of every reason moved by as many steps.
    pub everywhere: Option<Remedy>,
    /// Members of the first reason whose giving way alone does not suffice.
    pub not_alone: Vec<Party>,
    /// Members of the first reason of which that is not known.
    pub unsettled: Vec<Party>,
    /// Components that would do, the nearest to one on the shelf first.
    pub wanted: Vec<Wanted>,
}

/// What was found.
#[derive(Debug, Clone, PartialEq)]
pub struct Explained {
    /// The search itself.
    pub answer: Answer,
    /// Why there is no recipe; `None` where there is one, or neither was settled.
    pub refusal: Option<Refusal>,
}

/// Explains a problem: that it has a recipe, or why it has none.
#[must_use]
pub fn explain(problem: &Problem, asked: &Asked) -> Explained {
    let end = asked.time.map(|t| Instant::now() + t);
    let budget = Budget {
        time: asked.time,
        ..Budget::default()
    };
    let answer = search::cheapest(problem, &budget);
    if answer.outcome() != Status::NoRecipe {
        return Explained {
            answer,
            refusal: None,
        };
    }
    let refusal = refused(problem, &answer, asked.sets, end);
    Explained {
        answer,
        refusal: Some(refusal),
    }
}

fn refused(problem: &Problem, answer: &Answer, sets: usize, end: Option<Instant>) -> Refusal {
    let mut purse = Purse::new(conflict::PROBE_NODES, REASON_NODES, end);
    let first = Conflict::of_answer(problem, answer);
    let found = conflict::several(problem, &first, sets, &mut purse);
    let mut purse = Purse::new(conflict::PROBE_NODES, REMEDY_NODES, end);
    let remedies = remedies(problem, &found, &mut purse);
    let everywhere = remedy::everywhere(problem, &named(&found), &mut purse);
    let (not_alone, unsettled) = not_alone(problem, &found, &remedies);
    let mut purse = Purse::new(conflict::PROBE_NODES, WANTED_NODES, end);
    let wanted = wanted::wanted(problem, &decisive(&found), &mut purse);
    Refusal {
        sets: found.sets,
        complete: found.complete,
        remedies,
        everywhere,
        not_alone,
        unsettled,
        wanted,
    }
}

/// Every requirement of every reason, each once.
fn named(found: &Conflicts) -> Vec<Requirement> {
    let mut all: Vec<Requirement> = Vec::new();
    for requirement in found.sets.iter().flat_map(Conflict::requirements) {
        if requirement != Requirement::Whole && !all.contains(&requirement) {
            all.push(requirement);
        }
    }
    all
}

/// What a further component would have to help: the requirements that are part of every reason, where
/// there are any limits among them, else all.
fn decisive(found: &Conflicts) -> Vec<Requirement> {
    let all = named(found);
    let in_each = |r: &&Requirement| {
        matches!(r, Requirement::Limit(_))
            && found.sets.iter().all(|s| s.requirements().contains(r))
    };
    let common: Vec<Requirement> = all.iter().filter(in_each).copied().collect();
    if common.is_empty() { all } else { common }
}

/// The remedies of the cures: single changes first, then what takes several.
fn remedies(problem: &Problem, found: &Conflicts, purse: &mut Purse) -> Vec<Remedy> {
    let mut groups: Vec<Vec<Lever>> = found
        .cures
        .iter()
        .map(|cure| lever::levers(problem, cure))
        .filter(|levers| levers.len() <= MOST_CHANGES)
        .collect();
    // What the formulator wrote gives more easily than a supplier's band.
    let supplied = |levers: &Vec<Lever>| levers.iter().filter(|l| l.is_supplied(problem)).count();
    groups.sort_by_key(|levers| (levers.len().min(2), supplied(levers), levers.len()));
    let mut remedies: Vec<Remedy> = Vec::new();
    let mut combinations = 0;
    for levers in groups {
        let several = levers.len() > 1;
        if several && combinations == COMBINATIONS {
            break;
        }
        if let Some(remedy) = remedy::together(problem, &levers, purse) {
            combinations += usize::from(several);
            remedies.push(remedy);
        }
    }
    let beyond = |r: &Remedy| r.changes.iter().any(|c| c.beyond_supplier);
    let rank = |r: &Remedy| r.steps.unwrap_or(f64::INFINITY);
    remedies.sort_by(|a, b| {
        let steps = rank(a).total_cmp(&rank(b));
        beyond(a).cmp(&beyond(b)).then(steps)
    });
    remedies
}

/// The members of the first reason whose giving way alone does not suffice, and those of which that
/// is not known.
fn not_alone(
    problem: &Problem,
    found: &Conflicts,
    remedies: &[Remedy],
) -> (Vec<Party>, Vec<Party>) {
    let single = |m: &&Member| {
        remedies
            .iter()
            .filter(|r| r.changes.len() == 1)
            .any(|r| r.changes[0].lever.requirements.contains(&m.requirement))
    };
    let others = found.sets.first().into_iter().flat_map(|set| {
        set.members
            .iter()
            .filter(|m| m.requirement != Requirement::Whole && !single(m))
    });
    // What another reason does without cannot do alone: that reason stays.
    let stays = |m: &&Member| {
        let grouped = |r: &Requirement| lever::levers(problem, &[m.requirement, *r]).len() == 1;
        found
            .sets
            .iter()
            .any(|set| !set.members.iter().any(|o| grouped(&o.requirement)))
    };
    let (no, unknown): (Vec<&Member>, Vec<&Member>) = others.partition(stays);
    let parties = |all: Vec<&Member>| all.into_iter().map(|m| m.party.clone()).collect();
    (parties(no), parties(unknown))
}

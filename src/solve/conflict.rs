//! Which requirements cannot all hold: an irreducible set, found by leaving out what is not needed.
//!
//! A requirement is dropped for good when the rest is *proved* impossible without it, so what remains
//! is proved impossible; it is irreducible where every member was shown to be needed, and the answer
//! says where a probe ran out before that was known.

use crate::declare::component::Band;
use crate::declare::component::EdgeSource;
use crate::declare::problem::Problem;
use crate::declare::problem::Side;
use crate::solve::answer::Effort;
use crate::solve::answer::Party;
use crate::solve::linear;
use crate::solve::linear::Found;
use crate::solve::logic::Demand;
use crate::solve::program::Program;
use crate::solve::prove::tree;
use crate::solve::prove::tree::Limits;
use crate::solve::refine;
use crate::solve::task;
use crate::solve::task::Owner;
use crate::solve::task::Task;

/// One requirement that may be left out.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Item {
    /// A limit, with all its rows.
    Limit(usize),
    /// The treat rates add up to the whole.
    Whole,
    /// A band edge that a file or stock set, by component.
    Edge(usize, Side),
    /// An `if-used` minimum, by component.
    IfUsed(usize),
    /// A rule, by index.
    Rule(usize),
}

/// Requirements that leave no recipe together.
#[derive(Debug, Clone, PartialEq)]
pub struct Conflict {
    /// They.
    pub parties: Vec<Party>,
    /// Whether each was shown to be needed.
    pub irreducible: bool,
}

/// What a probe says of a set of requirements.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Probe {
    Impossible,
    Possible,
    Unknown,
}

/// A conflict of the exactly linear part, each step proved by multipliers; `None` where that part was
/// not proved empty.
#[must_use]
pub fn of_exact(problem: &Problem, task: &Task, effort: &mut Effort) -> Option<Conflict> {
    effort.programs += 1;
    let Found::Empty(y) = linear::solve(&task.exact) else {
        return None;
    };
    let all = exact_items(problem, task);
    let mut probe = |kept: &[Item]| {
        effort.programs += 1;
        match linear::solve(&only(task, kept)) {
            Found::Empty(_) => Probe::Impossible,
            Found::Best { .. } => Probe::Possible,
            Found::Unknown => Probe::Unknown,
        }
    };
    let leant: Vec<Item> = support(task, &all, &y);
    let start = if probe(&leant) == Probe::Impossible {
        leant
    } else {
        all
    };
    Some(reduced(problem, start, probe))
}

/// Most regions of one probe of a curved conflict: a hundredth of a proof's usual budget; a probe that
/// runs out is told as unsettled.
const PROBE_NODES: usize = 2_000;

/// Most regions of all probes together.
const ALL_PROBES_NODES: usize = 20_000;

/// A conflict of a problem that was proved impossible as a whole.
#[must_use]
pub fn of_whole(
    problem: &Problem,
    demand: &Demand,
    limits: &Limits,
    effort: &mut Effort,
) -> Conflict {
    let limits = Limits {
        nodes: limits.nodes.min(PROBE_NODES),
        first: true,
        ..limits.clone()
    };
    let begun = effort.nodes;
    let probe = |kept: &[Item]| {
        if effort.nodes - begun > ALL_PROBES_NODES {
            return Probe::Unknown;
        }
        let task = Task::with(&without(problem, kept), demand);
        let known = quick(&task, effort);
        if known.is_some() {
            return Probe::Possible;
        }
        let outcome = tree::prove(&task, None, &limits);
        effort.programs += outcome.programs;
        effort.nodes += outcome.nodes;
        match (&outcome.best, outcome.complete) {
            (Some(_), _) => Probe::Possible,
            (None, true) => Probe::Impossible,
            (None, false) => Probe::Unknown,
        }
    };
    reduced(problem, every_item(problem), probe)
}

/// A recipe found without much effort.
fn quick(task: &Task, effort: &mut Effort) -> Option<refine::Point> {
    effort.programs += 1;
    let Found::Best { x, .. } = linear::solve(&task.exact) else {
        return None;
    };
    refine::descend(task, &x, &mut effort.programs)
        .filter(|p| p.missed <= refine::MET && task.logic.keeps(&p.x))
}

/// Leaves out what is not needed, in halves, quarters and so on down to single requirements.
fn reduced(
    problem: &Problem,
    mut kept: Vec<Item>,
    mut probe: impl FnMut(&[Item]) -> Probe,
) -> Conflict {
    let mut irreducible = true;
    let mut size = kept.len().div_ceil(2).max(1);
    loop {
        let mut at = 0;
        while at < kept.len() {
            let end = (at + size).min(kept.len());
            let fewer: Vec<Item> = [&kept[..at], &kept[end..]].concat();
            match probe(&fewer) {
                Probe::Impossible => kept = fewer,
                Probe::Possible => at = end,
                Probe::Unknown => {
                    irreducible &= size > 1;
                    at = end;
                }
            }
        }
        if size == 1 {
            break;
        }
        size = size.div_ceil(2);
    }
    let parties = kept
        .iter()
        .filter_map(|item| party(problem, *item))
        .collect();
    Conflict {
        parties,
        irreducible,
    }
}

fn party(problem: &Problem, item: Item) -> Option<Party> {
    match item {
        Item::Limit(index) => Some(task::limit_party(problem, index)),
        Item::Whole => Some(Party::Whole),
        Item::Edge(j, side) => task::band_party(problem, j, side),
        Item::IfUsed(j) => problem.bands[j].if_used.as_ref().map(|edge| Party::IfUsed {
            component: problem.components[j].id.clone(),
            percent: edge.share.percent(),
        }),
        Item::Rule(index) => Some(Party::Rule(problem.rules[index].clone())),
    }
}

/// Every requirement of a problem that may be left out; the whole may not: a blend is a blend.
fn every_item(problem: &Problem) -> Vec<Item> {
    let limits = (0..problem.limits.len()).map(Item::Limit);
    let rules = (0..problem.rules.len()).map(Item::Rule);
    let bands = problem.bands.iter().enumerate().flat_map(|(j, band)| {
        let set = |source| source != EdgeSource::Natural;
        [
            set(band.min.source).then_some(Item::Edge(j, Side::Min)),
            set(band.max.source).then_some(Item::Edge(j, Side::Max)),
            band.if_used.is_some().then_some(Item::IfUsed(j)),
        ]
        .into_iter()
        .flatten()
    });
    bands.chain(rules).chain(limits).collect()
}

/// The problem with only these requirements.
fn without(problem: &Problem, kept: &[Item]) -> Problem {
    let mut fewer = problem.clone();
    let mut index = 0..;
    fewer
        .limits
        .retain(|_| index.next().is_some_and(|i| kept.contains(&Item::Limit(i))));
    let mut index = 0..;
    fewer
        .rules
        .retain(|_| index.next().is_some_and(|i| kept.contains(&Item::Rule(i))));
    let natural = Band::natural();
    for (j, band) in fewer.bands.iter_mut().enumerate() {
        if !kept.contains(&Item::Edge(j, Side::Min)) {
            band.min = natural.min.clone();
        }
        // A component that may not be used at all need not have the figures that use would need.
        if !kept.contains(&Item::Edge(j, Side::Max)) && band.max.share.fraction() > 0.0 {
            band.max = natural.max.clone();
        }
        if !kept.contains(&Item::IfUsed(j)) {
            band.if_used = None;
        }
    }
    fewer
}

/// The exact part with only these requirements.
fn only(task: &Task, kept: &[Item]) -> Program {
    let mut program = task.exact.clone();
    for (column, &j) in task.columns.iter().enumerate() {
        if !kept.contains(&Item::Edge(j, Side::Min)) {
            program.lower[column] = 0.0;
        }
        if !kept.contains(&Item::Edge(j, Side::Max)) {
            program.upper[column] = 1.0;
        }
    }
    let mut owners = task.owners.iter();
    program.rows.retain(|_| match owners.next() {
        Some(Owner::Limit(l)) => kept.contains(&Item::Limit(*l)),
        Some(Owner::Whole) => kept.contains(&Item::Whole),
        _ => true,
    });
    program
}

/// Every requirement of the exact part.
fn exact_items(problem: &Problem, task: &Task) -> Vec<Item> {
    let mut items: Vec<Item> = Vec::new();
    for owner in &task.owners {
        if let Owner::Limit(l) = owner
            && !items.contains(&Item::Limit(*l))
        {
            items.push(Item::Limit(*l));
        }
    }
    for &j in &task.columns {
        for side in [Side::Min, Side::Max] {
            if task::band_party(problem, j, side).is_some() {
                items.push(Item::Edge(j, side));
            }
        }
    }
    items.push(Item::Whole);
    items
}

/// The requirements on which a proof of emptiness leans.
fn support(task: &Task, all: &[Item], y: &[f64]) -> Vec<Item> {
    let mut reduced = vec![0.0; task.exact.width()];
    for (row, y) in task.exact.rows.iter().zip(y) {
        for (d, a) in reduced.iter_mut().zip(&row.coefficients) {
            *d -= y * a;
        }
    }
    let of = |j: usize| {
        task.columns
            .iter()
            .position(|c| *c == j)
            .map_or(0.0, |c| reduced[c])
    };
    let leans = |item: &&Item| match item {
        Item::Limit(l) => task
            .owners
            .iter()
            .zip(y)
            .any(|(owner, y)| *owner == Owner::Limit(*l) && *y != 0.0),
        Item::Edge(j, Side::Min) => of(*j) > 0.0,
        Item::Edge(j, Side::Max) => of(*j) < 0.0,
        Item::Whole | Item::IfUsed(_) | Item::Rule(_) => true,
    };
    all.iter().filter(leans).copied().collect()
}

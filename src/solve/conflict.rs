//! Which requirements of a problem cannot all hold: irreducible sets, found by leaving out what is not
//! needed (`filter`), each probe proved.

use crate::declare::problem::Problem;
use crate::declare::problem::Side;
use crate::declare::property::Property;
use crate::declare::requirement;
use crate::declare::requirement::Requirement;
use crate::solve::answer::Answer;
use crate::solve::answer::Effort;
use crate::solve::answer::Party;
use crate::solve::filter;
use crate::solve::filter::Kept;
use crate::solve::filter::Oracle;
use crate::solve::filter::Probe;
use crate::solve::filter::Several;
use crate::solve::linear;
use crate::solve::linear::Found;
use crate::solve::logic::Demand;
use crate::solve::possible;
use crate::solve::possible::Purse;
use crate::solve::program::Program;
use crate::solve::prove::tree::Limits;
use crate::solve::task;
use crate::solve::task::Owner;
use crate::solve::task::Task;

/// A requirement of a conflict.
#[derive(Debug, Clone, PartialEq)]
pub struct Member {
    /// Which requirement of the problem.
    pub requirement: Requirement,
    /// The same, to be told.
    pub party: Party,
    /// Whether it was shown to be needed: without it, the others leave a recipe.
    pub needed: bool,
}

/// Requirements that were proved to leave no recipe together.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Conflict {
    /// They.
    pub members: Vec<Member>,
    /// Whether the proof is one of exactly linear limits alone.
    pub exact: bool,
}

impl Conflict {
    fn of(problem: &Problem, kept: Vec<Kept<Requirement>>, exact: bool) -> Self {
        let member = |kept: Kept<Requirement>| {
            Some(Member {
                requirement: kept.item,
                party: party(problem, kept.item)?,
                needed: kept.needed,
            })
        };
        Conflict {
            members: kept.into_iter().filter_map(member).collect(),
            exact,
        }
    }

    /// The conflict that an answer names.
    #[must_use]
    pub fn of_answer(problem: &Problem, answer: &Answer) -> Self {
        let mut all = requirement::every(problem);
        // A stock of nothing may be named though it may not be left out.
        let edges = (0..problem.bands.len()).map(|j| Requirement::Edge(j, Side::Max));
        all.extend(edges.chain([Requirement::Whole]));
        let mut members: Vec<Member> = Vec::new();
        for (told, needed) in answer.conflict.iter().zip(&answer.needed) {
            let fresh = |r: &&Requirement| members.iter().all(|m| m.requirement != **r);
            let found = all
                .iter()
                .filter(fresh)
                .find(|r| party(problem, **r).as_ref() == Some(told));
            if let Some(requirement) = found.copied() {
                members.push(Member {
                    requirement,
                    party: told.clone(),
                    needed: *needed,
                });
            }
        }
        Conflict {
            members,
            exact: false,
        }
    }

    /// Whether each member was shown to be needed.
    #[must_use]
    pub fn irreducible(&self) -> bool {
        self.members.iter().all(|m| m.needed)
    }

    /// The members, to be told.
    #[must_use]
    pub fn parties(&self) -> Vec<Party> {
        self.members.iter().map(|m| m.party.clone()).collect()
    }

    /// Whether each was shown to be needed.
    #[must_use]
    pub fn needed(&self) -> Vec<bool> {
        self.members.iter().map(|m| m.needed).collect()
    }

    /// The requirements of the problem that it names.
    #[must_use]
    pub fn requirements(&self) -> Vec<Requirement> {
        self.members.iter().map(|m| m.requirement).collect()
    }
}

/// A conflict of the exactly linear part, each step proved by multipliers; `None` where that part was
/// not proved empty.
#[must_use]
pub fn of_exact(problem: &Problem, task: &Task, effort: &mut Effort) -> Option<Conflict> {
    let all = exact_items(problem, task);
    let kept = exact_among(problem, task, &all, effort)?;
    Some(Conflict::of(problem, kept, true))
}

/// The same among some of the requirements. A blend stays a blend throughout; that the treat rates add
/// up is named where the others could hold without it.
fn exact_among(
    problem: &Problem,
    task: &Task,
    among: &[Requirement],
    effort: &mut Effort,
) -> Option<Vec<Kept<Requirement>>> {
    effort.programs += 1;
    let blend = |kept: &[Requirement]| [kept, &[Requirement::Whole]].concat();
    let whole = only(problem, task, &blend(among));
    let Found::Empty(y) = linear::solve(&whole) else {
        return None;
    };
    let mut probe = |kept: &[Requirement]| {
        effort.programs += 1;
        match linear::solve(&only(problem, task, kept)) {
            Found::Empty(_) => Probe::Impossible,
            Found::Best { .. } => Probe::Possible,
            Found::Unknown => Probe::Unknown,
        }
    };
    let leant = support(problem, task, among, &whole, &y);
    let start = if probe(&blend(&leant)) == Probe::Impossible {
        leant
    } else {
        among.to_vec()
    };
    let mut kept = filter::reduced(start, |kept| probe(&blend(kept)));
    let bare: Vec<Requirement> = kept.iter().map(|k| k.item).collect();
    let without = probe(&bare);
    if without != Probe::Impossible {
        kept.push(Kept {
            item: Requirement::Whole,
            needed: without == Probe::Possible,
        });
    }
    Some(kept)
}

/// A conflict among requirements that plain arithmetic shows to collide.
#[must_use]
pub fn of_collision(problem: &Problem, start: Vec<Requirement>, effort: &mut Effort) -> Conflict {
    let mut purse = Purse::new(PROBE_NODES, ALL_PROBES_NODES, None);
    let count = start.len();
    let kept = collided(problem, start, &mut purse);
    effort.programs += purse.effort.programs;
    effort.nodes += purse.effort.nodes;
    let exact = kept.len() == count;
    Conflict::of(problem, kept, exact)
}

/// Leaves out what a collision does not need. A stock of nothing of a component that lacks figures
/// cannot be asked about: both edges of its band are needed by arithmetic alone.
fn collided(
    problem: &Problem,
    start: Vec<Requirement>,
    purse: &mut Purse,
) -> Vec<Kept<Requirement>> {
    let all = requirement::every(problem);
    if start.iter().any(|r| !all.contains(r)) {
        let needed = |item| Kept { item, needed: true };
        return start.into_iter().map(needed).collect();
    }
    let demand = Demand::default();
    filter::reduced(start, |kept| {
        possible::possible(&requirement::keeping(problem, kept), &demand, purse)
    })
}

/// Most regions of one probe of a curved conflict: a hundredth of a proof's usual budget; a probe that
/// runs out is told as unsettled.
pub const PROBE_NODES: usize = 2_000;

/// Most regions of all probes together.
pub const ALL_PROBES_NODES: usize = 20_000;

/// A conflict of a problem that was proved impossible as a whole.
#[must_use]
pub fn of_whole(
    problem: &Problem,
    demand: &Demand,
    limits: &Limits,
    effort: &mut Effort,
) -> Conflict {
    let end = limits.time.map(|t| std::time::Instant::now() + t);
    let mut purse = Purse::new(limits.nodes.min(PROBE_NODES), ALL_PROBES_NODES, end);
    let kept = filter::reduced(requirement::every(problem), |kept| {
        possible::possible(&requirement::keeping(problem, kept), demand, &mut purse)
    });
    effort.programs += purse.effort.programs;
    effort.nodes += purse.effort.nodes;
    Conflict::of(problem, kept, false)
}

/// Different conflicts of one problem, and what would have to go to be rid of all.
#[derive(Debug, Clone, PartialEq)]
pub struct Conflicts {
    /// The conflicts, in the order found.
    pub sets: Vec<Conflict>,
    /// Whether no further one exists.
    pub complete: bool,
    /// Smallest sets of requirements without which a recipe exists, the shortest first.
    pub cures: Vec<Vec<Requirement>>,
}

/// Most questions asked in search of further conflicts.
const QUESTIONS: usize = 150;

/// Further conflicts beside a first one, `most` together at most.
#[must_use]
pub fn several(problem: &Problem, first: &Conflict, most: usize, purse: &mut Purse) -> Conflicts {
    let task = Task::new(problem);
    let mut asker = Asker {
        problem,
        exact: !requirement::wished(problem),
        task: &task,
        purse,
    };
    let known = first.members.iter().map(|m| Kept {
        item: m.requirement,
        needed: m.needed,
    });
    let Several {
        sets,
        complete,
        cures,
    } = filter::several(
        &requirement::every(problem),
        vec![known.collect()],
        most.max(1),
        QUESTIONS,
        &mut asker,
    );
    let mut sets: Vec<Conflict> = sets
        .into_iter()
        .map(|kept| Conflict::of(problem, kept, false))
        .collect();
    sets[0].exact = first.exact;
    Conflicts {
        sets,
        complete,
        cures,
    }
}

/// Asks of a problem's requirements.
struct Asker<'a> {
    problem: &'a Problem,
    task: &'a Task,
    /// Whether the exact part holds every component that could be used.
    exact: bool,
    purse: &'a mut Purse,
}

impl Oracle<Requirement> for Asker<'_> {
    fn probe(&mut self, kept: &[Requirement]) -> Probe {
        let problem = requirement::keeping(self.problem, kept);
        possible::possible(&problem, &Demand::default(), self.purse)
    }

    fn reduce(&mut self, start: Vec<Requirement>) -> Vec<Kept<Requirement>> {
        let problem = requirement::keeping(self.problem, &start);
        let plain = possible::collision(self.problem, self.task)
            .filter(|plain| plain.iter().all(|r| start.contains(r)));
        if let Some(plain) = plain {
            return collided(self.problem, plain, self.purse);
        }
        if self.exact
            && possible::collision(&problem, &Task::new(&problem)).is_none()
            && let Some(kept) = exact_among(self.problem, self.task, &start, &mut self.purse.effort)
        {
            return kept;
        }
        filter::reduced(start, |kept| self.probe(kept))
    }
}

/// A requirement of a problem, to be told; `None` for one that says nothing.
#[must_use]
pub fn party(problem: &Problem, item: Requirement) -> Option<Party> {
    match item {
        Requirement::Limit(index) => Some(Party::limit(problem, index)),
        Requirement::Whole => Some(Party::Whole),
        Requirement::Edge(j, side) => task::band_party(problem, j, side),
        Requirement::IfUsed(j) => problem.bands[j].if_used.as_ref().map(|edge| Party::IfUsed {
            component: problem.components[j].id.clone(),
            percent: edge.share.percent(),
        }),
        Requirement::Rule(index) => Some(Party::Rule(problem.rules[index].clone())),
    }
}

/// Whether a requirement limits the viscosity index.
fn is_index(problem: &Problem, item: &Requirement) -> bool {
    matches!(item, Requirement::Limit(l) if problem.limits[*l].property == Property::Vi)
}

/// The exact part with only these requirements.
fn only(problem: &Problem, task: &Task, kept: &[Requirement]) -> Program {
    let mut program = task.exact.clone();
    for (column, &j) in task.columns.iter().enumerate() {
        if !kept.contains(&Requirement::Edge(j, Side::Min)) {
            program.lower[column] = 0.0;
        }
        if !kept.contains(&Requirement::Edge(j, Side::Max)) {
            program.upper[column] = 1.0;
        }
    }
    let mut owners = task.owners.iter();
    program.rows.retain(|_| {
        owners
            .next()
            .is_none_or(|owner| keeps(problem, owner, kept))
    });
    program
}

/// Whether a row of the exact part stays where these requirements do.
fn keeps(problem: &Problem, owner: &Owner, kept: &[Requirement]) -> bool {
    match owner {
        Owner::Limit(l) => kept.contains(&Requirement::Limit(*l)),
        Owner::Index => kept.iter().any(|item| is_index(problem, item)),
        Owner::Whole => kept.contains(&Requirement::Whole),
        Owner::Defined => true,
    }
}

/// Every requirement of the exact part.
fn exact_items(problem: &Problem, task: &Task) -> Vec<Requirement> {
    let mut items: Vec<Requirement> = Vec::new();
    for owner in &task.owners {
        if let Owner::Limit(l) = owner
            && !items.contains(&Requirement::Limit(*l))
        {
            items.push(Requirement::Limit(*l));
        }
    }
    if task.owners.contains(&Owner::Index) {
        let limits = (0..problem.limits.len()).map(Requirement::Limit);
        items.extend(limits.filter(|item| is_index(problem, item)));
    }
    let edge = |r: &Requirement| matches!(r, Requirement::Edge(j, _) if task.columns.contains(j));
    items.extend(requirement::every(problem).into_iter().filter(edge));
    items
}

/// The requirements on which a proof of emptiness leans, with its multipliers by row of the program
/// that [`only`] makes of these.
fn support(
    problem: &Problem,
    task: &Task,
    all: &[Requirement],
    whole: &Program,
    y: &[f64],
) -> Vec<Requirement> {
    let mut reduced = vec![0.0; whole.width()];
    for (row, y) in whole.rows.iter().zip(y) {
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
    let owners: Vec<Owner> = task
        .owners
        .iter()
        .filter(|owner| **owner == Owner::Whole || keeps(problem, owner, all))
        .copied()
        .collect();
    let carries = |of: Owner| {
        let mut pairs = owners.iter().zip(y);
        pairs.any(|(owner, y)| *owner == of && *y != 0.0)
    };
    let leans = |item: &&Requirement| match item {
        Requirement::Limit(l) => {
            carries(Owner::Limit(*l)) || is_index(problem, item) && carries(Owner::Index)
        }
        Requirement::Edge(j, Side::Min) => of(*j) > 0.0,
        Requirement::Edge(j, Side::Max) => of(*j) < 0.0,
        Requirement::Whole | Requirement::IfUsed(_) | Requirement::Rule(_) => true,
    };
    all.iter().filter(leans).copied().collect()
}

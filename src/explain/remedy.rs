//! What would have to give, and least: each remedy was applied, and the problem solved with it.

use crate::declare::problem::Goal;
use crate::declare::problem::Problem;
use crate::declare::problem::Rule;
use crate::declare::problem::Sense;
use crate::declare::problem::Side;
use crate::declare::requirement;
use crate::declare::requirement::Requirement;
use crate::explain::lever;
use crate::explain::lever::Change;
use crate::explain::lever::Lever;
use crate::solve::answer::Answer;
use crate::solve::answer::Status;
use crate::solve::filter::Probe;
use crate::solve::logic::Demand;
use crate::solve::possible;
use crate::solve::possible::Purse;
use crate::solve::search;
use crate::solve::search::Budget;

/// A least number is told rounded outward, by at most this part of the way.
const TIDY: f64 = 0.004;

/// A bisection stops when the least number is known to this part of the way.
const FINE: f64 = 0.002;

/// Part of a way that no longer suffices, for a remedy that is called least.
pub const SHORTER: f64 = 0.99;

/// Steps tried first in search of a number that suffices, and doublings of it.
const FIRST_STEPS: f64 = 0.25;
const DOUBLINGS: u32 = 14;

/// Most regions of the proof of one recipe.
pub const SOLVE_NODES: usize = 20_000;

/// Relative gap of a first search for the least number, and the least one asked for.
const FIRST_GAP: f64 = 1e-4;
const LEAST_GAP: f64 = 1e-9;

/// Changes that together bring a recipe.
#[derive(Debug, Clone, PartialEq)]
pub struct Remedy {
    /// The changes.
    pub changes: Vec<Change>,
    /// All steps together; `None` where a rule is changed.
    pub steps: Option<f64>,
    /// Whether it was proved that a hundredth less does not suffice.
    pub least: bool,
    /// The recipe that it brings.
    pub answer: Answer,
}

/// The least remedy that moves these levers: each number by as many steps at most, less where less
/// does, and each rule lifted. `None` where none was found.
#[must_use]
pub fn together(problem: &Problem, levers: &[Lever], purse: &mut Purse) -> Option<Remedy> {
    if let [lever] = levers {
        return alone(problem, lever, purse);
    }
    alike(problem, levers, true, purse)
}

fn alone(problem: &Problem, lever: &Lever, purse: &mut Purse) -> Option<Remedy> {
    if lever.bounds.is_none() {
        let to = match lever.requirements[..] {
            [Requirement::Rule(r)] => more(problem, r, &[], purse),
            _ => None,
        };
        return verified(problem, &[(lever.clone(), to)], purse);
    }
    let Some(needed) = extreme(problem, lever, purse) else {
        return alike(problem, std::slice::from_ref(lever), false, purse);
    };
    let tidy = lever.tidy(needed, TIDY);
    verified(problem, &[(lever.clone(), Some(tidy))], purse)
        .or_else(|| alike(problem, std::slice::from_ref(lever), false, purse))
}

/// The least larger number of components that an `at-most` rule would have to allow while the other
/// moves hold.
fn more(
    problem: &Problem,
    rule: usize,
    moves: &[(Lever, Option<f64>)],
    purse: &mut Purse,
) -> Option<f64> {
    let Rule::AtMost(most, _) = problem.rules[rule] else {
        return None;
    };
    let count = |n: usize| u32::try_from(n).ok().map(f64::from);
    (most + 1..problem.components.len()).find_map(|n| {
        let to = count(n)?;
        let own = [(Requirement::Rule(rule), Some(to))];
        let others = moves
            .iter()
            .flat_map(|(lever, to)| lever.changes(problem, *to));
        let all: Vec<(Requirement, Option<f64>)> = others
            .filter(|(r, _)| *r != Requirement::Rule(rule))
            .chain(own)
            .collect();
        let moved = requirement::changed(problem, &all);
        let probe = possible::possible(&moved, &Demand::default(), purse);
        (probe == Probe::Possible).then_some(to)
    })
}

/// How near its bound a property comes where the bound is left out: a certified least or largest
/// value, sure to a small part of the way.
fn extreme(problem: &Problem, lever: &Lever, purse: &mut Purse) -> Option<f64> {
    let (property, side) = lever.bounds.clone()?;
    let from = lever.from?;
    let mut asked = requirement::changed(problem, &lever.changes(problem, None));
    asked.goal = Goal {
        sense: match side {
            Side::Min => Sense::Maximise,
            Side::Max => Sense::Minimise,
        },
        property,
        place: problem.goal.place.clone(),
    };
    let mut gap = FIRST_GAP;
    loop {
        let answer = solved(&asked, gap, purse)?;
        if answer.outcome() != Status::Optimal {
            return None;
        }
        let value = answer.objective?;
        let way = (value - from).abs();
        let enough = FINE / 2.0 * way / value.abs().max(f64::MIN_POSITIVE);
        if answer.proof.gap.is_some_and(|g| g <= enough) {
            return Some(value);
        }
        if gap <= LEAST_GAP || enough >= gap {
            return None;
        }
        gap = enough.max(LEAST_GAP);
    }
}

/// A certified search within the purse.
#[must_use]
pub fn solved(problem: &Problem, gap: f64, purse: &mut Purse) -> Option<Answer> {
    if purse.is_empty() {
        return None;
    }
    let budget = Budget {
        proof: Some(gap),
        nodes: SOLVE_NODES.min(purse.left),
        time: purse.time(),
        ..Budget::default()
    };
    let answer = search::cheapest(problem, &budget);
    purse.pay(answer.effort.nodes, answer.effort.programs);
    Some(answer)
}

type Moves = Vec<(Lever, Option<f64>)>;

/// The problem with levers moved.
#[must_use]
pub fn applied(problem: &Problem, moves: &[(Lever, Option<f64>)]) -> Problem {
    let changes: Vec<(Requirement, Option<f64>)> = moves
        .iter()
        .flat_map(|(lever, to)| lever.changes(problem, *to))
        .collect();
    requirement::changed(problem, &changes)
}

/// The problem with a remedy applied, only to a part of the way where `part` is below 1.
#[must_use]
pub fn with(problem: &Problem, remedy: &Remedy, part: f64) -> Problem {
    let moves: Moves = remedy
        .changes
        .iter()
        .map(|change| {
            let way = |(from, to): (f64, f64)| from + part * (to - from);
            let to = match change.lever.bounds {
                Some(_) => change.lever.from.zip(change.to).map(way),
                None => change.to,
            };
            (change.lever.clone(), to)
        })
        .collect();
    applied(problem, &moves)
}

fn moved(levers: &[Lever], steps: f64) -> Moves {
    let to = |lever: &Lever| (lever.clone(), lever.after(steps));
    levers.iter().map(to).collect()
}

/// Levers moved by so many steps, each in turn taken back as far as the others allow.
fn pulled_back(problem: &Problem, levers: &[Lever], steps: f64, purse: &mut Purse) -> Moves {
    let demand = Demand::default();
    let mut moves = moved(levers, steps);
    for k in 0..moves.len() {
        if let [Requirement::Rule(rule)] = levers[k].requirements[..] {
            moves[k].1 = more(problem, rule, &moves, purse);
            continue;
        }
        let mut does = |part: f64| {
            let mut tried = moves.clone();
            let lever = &tried[k].0;
            tried[k].1 = lever.after(steps * part);
            let does = possible::possible(&applied(problem, &tried), &demand, purse);
            (does == Probe::Possible).then_some(tried)
        };
        if levers.len() < 2 || levers[k].bounds.is_none() || does(SHORTER).is_none() {
            continue;
        }
        let (mut low, mut high) = (0.0, SHORTER);
        let mut best = does(SHORTER);
        while high - low > FINE * high.max(FINE) {
            let middle = f64::midpoint(low, high);
            match does(middle) {
                Some(tried) => (high, best) = (middle, Some(tried)),
                None => low = middle,
            }
        }
        if let Some(tried) = best {
            moves = tried;
        }
    }
    moves
}

/// The least number of steps by which every lever must give, by halving; with `back`, what need not
/// give as much is then taken back.
fn alike(problem: &Problem, levers: &[Lever], back: bool, purse: &mut Purse) -> Option<Remedy> {
    let demand = Demand::default();
    let mut ask = |steps: f64| {
        let problem = applied(problem, &moved(levers, steps));
        possible::possible(&problem, &demand, purse)
    };
    let (mut low, mut high) = (0.0, None);
    let mut steps = FIRST_STEPS;
    let numbers = levers.iter().any(|l| l.bounds.is_some());
    for _ in 0..DOUBLINGS {
        if !numbers {
            high = (ask(0.0) == Probe::Possible).then_some(0.0);
            break;
        }
        match ask(steps) {
            Probe::Possible => {
                high = Some(steps);
                break;
            }
            Probe::Impossible => low = steps,
            Probe::Unknown => {}
        }
        steps *= 2.0;
    }
    let mut high = high?;
    // Nothing is so little that it need not be told: this ends the halving.
    let mut rounds = 0;
    while high - low > FINE * high && rounds < 40 {
        rounds += 1;
        let middle = f64::midpoint(low, high);
        match ask(middle) {
            Probe::Possible => high = middle,
            Probe::Impossible => low = middle,
            Probe::Unknown => break,
        }
    }
    let exact = if back {
        pulled_back(problem, levers, high, purse)
    } else {
        moved(levers, high)
    };
    let tidy: Moves = exact
        .iter()
        .map(|(lever, to)| (lever.clone(), to.map(|to| lever.tidy(to, TIDY))))
        .collect();
    verified(problem, &tidy, purse).or_else(|| verified(problem, &exact, purse))
}

/// A remedy, solved, where it brings a recipe.
fn verified(
    problem: &Problem,
    moves: &[(Lever, Option<f64>)],
    purse: &mut Purse,
) -> Option<Remedy> {
    let answer = solved(&applied(problem, moves), FIRST_GAP, purse)?;
    if !answer.outcome().has_recipe() {
        return None;
    }
    let changes: Vec<Change> = moves
        .iter()
        .map(|(lever, to)| Change::new(problem, lever, *to))
        .collect();
    let mut remedy = Remedy {
        steps: changes.iter().map(|c| c.steps).sum(),
        changes,
        least: false,
        answer,
    };
    let shorter = shortened(problem, &remedy);
    remedy.least = possible::possible(&shorter, &Demand::default(), purse) == Probe::Impossible;
    Some(remedy)
}

/// The problem with a remedy applied to a hundredth less; a count by one less, a lifted rule not at
/// all where nothing else is changed.
#[must_use]
pub fn shortened(problem: &Problem, remedy: &Remedy) -> Problem {
    if remedy.changes.iter().any(|c| c.lever.bounds.is_some()) {
        return with(problem, remedy, SHORTER);
    }
    let moves: Moves = remedy
        .changes
        .iter()
        .filter_map(|c| Some((c.lever.clone(), Some(c.to? - 1.0))))
        .collect();
    applied(problem, &moves)
}

/// The remedy that moves every one of these by as many steps; stock is left aside, for more of it is
/// not a matter of giving way, and so are rules. `None` where fewer than two are left.
#[must_use]
pub fn everywhere(problem: &Problem, all: &[Requirement], purse: &mut Purse) -> Option<Remedy> {
    let mut levers = lever::levers(problem, all);
    levers.retain(|l| l.bounds.is_some() && !l.is_stock(problem));
    if levers.len() < 2 {
        return None;
    }
    alike(problem, &levers, false, purse)
}

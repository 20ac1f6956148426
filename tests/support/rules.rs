//! Random recipe logic, and the rules of a problem in words of its own: nothing here calls the
//! solver's logic.

use super::{Random, nowhere};
use treatrate::declare::component::{Edge, EdgeSource};
use treatrate::declare::problem::{Problem, Rule};
use treatrate::declare::property::Property;
use treatrate::quantity::Share;
use treatrate::solve::linear::{self, Found};
use treatrate::solve::program::Program;
use treatrate::solve::task::Task;

/// The least treat rate that is use: 0.001 %, as the user's guide says.
pub const TRACE: f64 = 1e-5;

/// Rounding of a treat rate.
pub const NOTHING: f64 = 1e-9;

/// Some components of a shelf, at least `least` of them, in shelf order.
fn some(r: &mut Random, n: usize, least: usize) -> Vec<usize> {
    loop {
        let chosen: Vec<usize> = (0..n).filter(|_| r.chance(0.4)).collect();
        if chosen.len() >= least.min(n) {
            return chosen;
        }
    }
}

pub fn edge(percent: f64) -> Edge {
    Edge {
        share: Share::from_percent(percent),
        source: EdgeSource::Problem,
        place: None,
    }
}

/// Adds a random mixture of rules and `if-used` minima, at least one of them.
pub fn add(r: &mut Random, p: &mut Problem) {
    let n = p.components.len();
    let mut asked = 0;
    while asked == 0 {
        if r.chance(0.5) {
            p.rules.push(Rule::AtMost(1 + r.below(n), nowhere()));
            asked += 1;
        }
        for _ in 0..2 {
            if r.chance(0.3) {
                p.rules.push(Rule::NotTogether(some(r, n, 2), nowhere()));
                asked += 1;
            }
            if r.chance(0.3) {
                let (a, b) = (r.below(n), r.below(n));
                if a != b {
                    p.rules.push(Rule::Needs(a, b, nowhere()));
                    asked += 1;
                }
            }
        }
        if r.chance(0.4) {
            p.rules.push(Rule::OneOf(some(r, n, 1), nowhere()));
            asked += 1;
        }
        for j in 0..n {
            if r.chance(0.35) {
                let most = p.bands[j].max.share.percent();
                p.bands[j].if_used = Some(edge(r.around(0.01, 40.0).min(most)));
                asked += 1;
            }
        }
    }
}

/// The least treat rate of a component that is used, as a mass fraction.
pub fn least(p: &Problem, j: usize) -> f64 {
    let band = &p.bands[j];
    let if_used = band.if_used.as_ref().map_or(0.0, |e| e.share.fraction());
    if_used.max(TRACE).max(band.min.share.fraction())
}

/// Whether the rules allow exactly these components.
pub fn allow(p: &Problem, used: &[bool]) -> bool {
    let count = |set: &[usize]| set.iter().filter(|j| used[**j]).count();
    p.rules.iter().all(|rule| match rule {
        Rule::AtMost(most, _) => used.iter().filter(|u| **u).count() <= *most,
        Rule::NotTogether(set, _) => count(set) <= 1,
        Rule::OneOf(set, _) => count(set) == 1,
        Rule::Needs(a, b, _) => !used[*a] || used[*b],
    })
}

/// Which components a recipe uses.
pub fn used(shares: &[Share]) -> Vec<bool> {
    shares
        .iter()
        .map(|s| s.fraction() >= TRACE - NOTHING)
        .collect()
}

/// What a recipe breaks of a problem's rules, `if-used` minima included.
pub fn broken(p: &Problem, shares: &[Share]) -> Option<String> {
    for (j, share) in shares.iter().enumerate() {
        let x = share.fraction();
        if x > NOTHING && x < least(p, j) - NOTHING {
            return Some(format!("component {j} at {x} is under {}", least(p, j)));
        }
    }
    let used = used(shares);
    (!allow(p, &used)).then(|| format!("{used:?} breaks {:?}", p.rules))
}

/// Every set of components.
pub fn sets(n: usize) -> impl Iterator<Item = Vec<bool>> {
    (0..1_u32 << n).map(move |bits| (0..n).map(|j| bits >> j & 1 == 1).collect())
}

/// The treat rates that a component may have where it is used or is not; `None` where it may not.
pub fn range(p: &Problem, j: usize, used: bool) -> Option<(f64, f64)> {
    let band = &p.bands[j];
    let (lower, upper) = if used {
        (least(p, j), band.max.share.fraction().min(1.0))
    } else {
        (band.min.share.fraction(), 0.0)
    };
    (lower <= upper).then_some((lower, upper))
}

/// The problem with exactly these components used and no rules left.
pub fn only(p: &Problem, used: &[bool]) -> Option<Problem> {
    let mut q = p.clone();
    q.rules.clear();
    for (j, band) in q.bands.iter_mut().enumerate() {
        let (lower, upper) = range(p, j, used[j])?;
        band.min = Edge {
            share: Share::from_fraction(lower),
            source: EdgeSource::Problem,
            place: None,
        };
        band.max.share = Share::from_fraction(upper);
        band.max.source = EdgeSource::Problem;
        band.if_used = None;
    }
    Some(q)
}

/// Leaves the limits that are exactly linear, and asks for the lowest cost.
pub fn keep_linear(p: &mut Problem) {
    p.goal.property = Property::Cost;
    let all = std::mem::take(&mut p.limits);
    for limit in all {
        p.limits = vec![limit.clone()]
            .into_iter()
            .chain(std::mem::take(&mut p.limits))
            .collect();
        let alone = Problem {
            limits: vec![limit],
            ..p.clone()
        };
        if !Task::new(&alone).is_linear() {
            p.limits.remove(0);
        }
    }
}

/// A linear program's answer over one set of components.
pub enum Best {
    At(f64, Vec<f64>),
    Nothing,
    Unknown,
}

/// The linear program of a task with these ranges.
pub fn program_over(task: &Task, cost: &[f64], ranges: &[(f64, f64)]) -> Best {
    let program = Program {
        cost: cost.to_vec(),
        lower: ranges.iter().map(|r| r.0).collect(),
        upper: ranges.iter().map(|r| r.1).collect(),
        rows: task.exact.rows.clone(),
    };
    match linear::solve(&program) {
        Found::Best { x, .. } => Best::At(program.goal(&x), x),
        Found::Empty(_) => Best::Nothing,
        Found::Unknown => Best::Unknown,
    }
}

/// The lowest goal of an exactly linear problem over every set of components that its rules allow
/// and that holds none of the `avoided` sets whole.
pub fn best_by_sets(p: &Problem, avoided: &[Vec<bool>]) -> Best {
    let task = Task::new(p);
    assert!(task.is_linear(), "a curved limit was left");
    assert!(task.never.is_empty(), "an impossible limit was left");
    let treatrate::solve::task::Goal::Linear(cost) = &task.goal else {
        return Best::Unknown;
    };
    let mut best = Best::Nothing;
    for used in sets(p.components.len()) {
        let holds = |set: &Vec<bool>| set.iter().zip(&used).all(|(a, u)| !a || *u);
        if !allow(p, &used) || avoided.iter().any(holds) {
            continue;
        }
        let ranges: Option<Vec<(f64, f64)>> =
            (0..used.len()).map(|j| range(p, j, used[j])).collect();
        // A component without room has no column.
        let Some(ranges) =
            ranges.map(|all| task.columns.iter().map(|&j| all[j]).collect::<Vec<_>>())
        else {
            continue;
        };
        let (low, high): (f64, f64) = ranges
            .iter()
            .fold((0.0, 0.0), |(l, h), r| (l + r.0, h + r.1));
        if low > 1.0 + NOTHING || high < 1.0 - NOTHING {
            continue;
        }
        match program_over(&task, cost, &ranges) {
            Best::At(goal, x) => {
                if !matches!(&best, Best::At(g, _) if *g <= goal) {
                    best = Best::At(goal, x);
                }
            }
            Best::Nothing => {}
            Best::Unknown => return Best::Unknown,
        }
    }
    best
}

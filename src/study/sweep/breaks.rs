//! Where, along a range, the set of used components or of what binds changes.
//!
//! Between two neighbouring points the best recipe is followed with what holds it (`solve::follow`), which
//! foretells where something else takes over, also where it is gone again at the next point. Nothing of
//! that is believed: the problem is solved on both sides of each change, and where those solves say
//! otherwise the change is sought by halving.

use crate::declare::dial::Setting;
use crate::declare::requirement::Requirement;
use crate::parallel;
use crate::solve::answer::Status;
use crate::solve::follow::local;
use crate::solve::follow::path::Course;
use crate::solve::follow::path::follow;
use crate::solve::search::Budget;
use crate::solve::spot;
use crate::solve::spot::Spot;
use crate::solve::spot::Trail;
use crate::solve::task::Task;
use crate::study::sweep::plan::CHUNK;
use crate::study::sweep::plan::Plan;
use crate::study::sweep::row::Row;
use crate::study::sweep::run::Orders;

/// A change is found to this part of the range.
pub const PRECISE: f64 = 1e-6;

/// Two changes nearer to each other than this part of the range are told as one. A limit counts as
/// binding within a millionth of its window, so what gives way to another seems to bind beside it for
/// about as long.
const TOGETHER: f64 = 2e-5;

/// Relative gap of the proofs on both sides of a change, where proofs are asked for: where one recipe
/// takes over from another, the two cost nearly the same, and a wider gap would let either stand.
const GAP: f64 = 1e-6;

/// A treat rate that moves by more than this mass fraction within [`TOGETHER`] jumps.
const JUMP: f64 = 1e-3;

/// Most changes between two neighbouring points: where there are more, the recipe is not unique, and the
/// searches choose now one, now another.
const MOST: usize = 24;

/// What tells one stretch of a sweep from the next.
#[derive(Debug, Clone, PartialEq)]
pub struct Signature {
    /// Whether there is a recipe; `None` where that is not known.
    pub recipe: Option<bool>,
    /// The components in the oil.
    pub used: Vec<usize>,
    /// What it stands on.
    pub held: Vec<Requirement>,
}

impl Signature {
    fn new(status: Status, shares: &[f64], held: &[Requirement]) -> Self {
        Signature {
            recipe: match status {
                Status::Optimal | Status::Feasible => Some(true),
                Status::NoRecipe => Some(false),
                Status::Undecided => None,
            },
            used: (0..shares.len()).filter(|&j| shares[j] > USED).collect(),
            held: held.to_vec(),
        }
    }

    /// Of a row.
    #[must_use]
    pub fn of(row: &Row) -> Self {
        Signature::new(row.status, &row.shares, &row.held)
    }
}

/// A component below this mass fraction is the dust of arithmetic.
const USED: f64 = 1e-9;

/// One thing that changes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Turn {
    /// From here on there is a recipe.
    Recipe,
    /// From here on there is none.
    NoRecipe,
    /// From here on it is not known whether there is one.
    Unknown,
    /// Quite another recipe takes over.
    Jump,
    /// A component comes in.
    Enters(usize),
    /// A component drops out.
    Leaves(usize),
    /// This begins to bind.
    Binds(Requirement),
    /// This ceases to.
    Frees(Requirement),
}

/// A change along the range.
#[derive(Debug, Clone, PartialEq)]
pub struct Break {
    /// Where: to [`PRECISE`] of the range, or, of changes that lie within a fifty-thousandth of it, in their
    /// middle.
    pub at: f64,
    /// Just before it, in the direction of the sweep.
    pub before: Signature,
    /// Just after it.
    pub after: Signature,
    /// What changes.
    pub turns: Vec<Turn>,
    /// The best recipe just before it and just after it.
    pub sides: [Edge; 2],
}

/// The best recipe beside a change.
#[derive(Debug, Clone, PartialEq)]
pub struct Edge {
    /// The goal's value, in its unit; none without a recipe.
    pub goal: Option<f64>,
    /// Mass fraction of each component; empty without a recipe.
    pub shares: Vec<f64>,
}

/// Every change along the range of a plan, in its order, from its rows.
#[must_use]
pub fn breaks(plan: &Plan, rows: &[Row], orders: &Orders) -> Vec<Break> {
    let Some((_, stops)) = plan.line() else {
        return Vec::new();
    };
    let at = |row: &Row| stops.number(row.point).unwrap_or_default();
    let (Some(first), Some(last)) = (rows.first(), rows.last()) else {
        return Vec::new();
    };
    let line = Line {
        plan,
        orders,
        budget: Budget {
            proof: orders.budget.proof.map(|gap| gap.min(GAP)),
            ..orders.each()
        },
        range: (at(last) - at(first)).abs(),
    };
    let values: Vec<f64> = rows.iter().map(at).collect();
    // Neighbouring stretches share their end.
    let stretches: Vec<&[f64]> = (0..values.len().saturating_sub(1))
        .step_by(CHUNK)
        .map(|from| &values[from..(from + CHUNK + 1).min(values.len())])
        .collect();
    let cuts = parallel::within(parallel::threads(orders.threads), || {
        parallel::each(&stretches, |stretch| line.stretch(stretch))
    });
    line.told(cuts.into_iter().flatten().collect())
}

/// A place between two values at which the signatures differ.
#[derive(Debug, Clone)]
struct Cut {
    low: f64,
    before: Side,
    high: f64,
    after: Side,
}

/// What stands on one side of a cut.
#[derive(Debug, Clone)]
struct Side {
    signature: Signature,
    goal: Option<f64>,
    shares: Vec<f64>,
}

impl Side {
    fn of(spot: &Spot) -> Self {
        Side {
            signature: Signature::new(spot.status, &spot.shares, &spot.binding),
            goal: spot.goal,
            shares: spot.shares.clone(),
        }
    }

    fn edge(self) -> (Signature, Edge) {
        let edge = Edge {
            goal: self.goal,
            shares: self.shares,
        };
        (self.signature, edge)
    }
}

/// A point of the sweep, solved to the gap of changes.
struct Post {
    at: f64,
    side: Side,
    trail: Trail,
}

struct Line<'a> {
    plan: &'a Plan,
    orders: &'a Orders<'a>,
    budget: Budget,
    range: f64,
}

impl Line<'_> {
    fn solve(&self, at: f64, trail: &mut Trail) -> Side {
        let problem = self.plan.problem_at(&[Setting::Number(at)]);
        Side::of(&spot::spot(&problem, trail, &self.budget))
    }

    fn post(&self, at: f64, mut trail: Trail) -> Post {
        let side = self.solve(at, &mut trail);
        Post { at, side, trail }
    }

    /// The changes along a few neighbouring points, each begun where the one before it ended; the ends
    /// stand alone, so that two stretches see the same where they meet.
    fn stretch(&self, values: &[f64]) -> Vec<Cut> {
        let mut cuts = Vec::new();
        let Some((first, rest)) = values.split_first() else {
            return cuts;
        };
        let mut left = self.post(*first, Trail::new(false));
        for (k, at) in rest.iter().enumerate() {
            let last = k + 1 == rest.len();
            let trail = if last {
                Trail::new(false)
            } else {
                left.trail.clone()
            };
            let right = self.post(*at, trail);
            cuts.extend(self.cell(&left, &right));
            left = right;
        }
        cuts
    }

    /// The changes between two neighbouring points.
    fn cell(&self, left: &Post, right: &Post) -> Vec<Cut> {
        let (mut here, end) = (left.side.clone(), &right.side);
        let (low, high) = (left.at, right.at);
        let towards = (high - low).signum();
        let (mut from, mut cuts) = (low, Vec::new());
        let mut trail = left.trail.clone();
        while here.signature.recipe == Some(true) && cuts.len() < MOST && !self.orders.ended() {
            // Beyond the end of what was followed, at a place that no tolerance blurs.
            let step = 0.25 * TOGETHER * self.range * towards;
            let Some(turn) = self.foretold(&trail, from, high) else {
                break;
            };
            let beyond = turn + step;
            if (high - beyond) * towards <= 0.0 {
                break;
            }
            let mut ahead = trail.clone();
            let next = self.solve(beyond, &mut ahead);
            if next.signature != here.signature {
                self.halve((from, &here), (beyond, &next), &mut trail, &mut cuts);
            }
            (from, here, trail) = (beyond, next, ahead);
        }
        if here.signature != end.signature {
            self.halve((from, &here), (high, end), &mut trail, &mut cuts);
        }
        cuts
    }

    /// Where the recipe at which a trail stands ceases to be held as it is, before the end of the cell.
    fn foretold(&self, trail: &Trail, from: f64, high: f64) -> Option<f64> {
        let (stand, used) = trail.stand()?;
        let columns = Task::new(&self.plan.problem_at(&[Setting::Number(from)])).columns;
        let task = |value: f64| {
            let problem = self.plan.problem_at(&[Setting::Number(value)]);
            local::task(&problem, &columns, used)
        };
        let course = Course {
            task: &task,
            span: self.range,
            limit: high,
        };
        let track = follow(&course, stand, from)?;
        track.event.map(|_| track.to)
    }

    /// Halves until each change between two values lies within the precision.
    fn halve(&self, low: (f64, &Side), high: (f64, &Side), trail: &mut Trail, cuts: &mut Vec<Cut>) {
        let ((a, before), (b, after)) = (low, high);
        if before.signature == after.signature || cuts.len() >= MOST {
            return;
        }
        if (b - a).abs() <= 0.5 * PRECISE * self.range || self.orders.ended() {
            cuts.push(Cut {
                low: a,
                before: before.clone(),
                high: b,
                after: after.clone(),
            });
            return;
        }
        let middle = a + 0.5 * (b - a);
        let between = self.solve(middle, trail);
        self.halve(low, (middle, &between), trail, cuts);
        self.halve((middle, &between), high, trail, cuts);
    }

    /// Cuts as changes: those that lie together are one.
    fn told(&self, cuts: Vec<Cut>) -> Vec<Break> {
        let mut groups: Vec<Cut> = Vec::new();
        for cut in cuts {
            match groups.last_mut() {
                Some(last) if (cut.high - last.low).abs() <= TOGETHER * self.range => {
                    last.high = cut.high;
                    last.after = cut.after;
                }
                _ => groups.push(cut),
            }
        }
        groups
            .into_iter()
            .filter(|cut| cut.before.signature != cut.after.signature)
            .map(|cut| {
                let turns = turns(&cut.before, &cut.after);
                let (before, here) = cut.before.edge();
                let (after, there) = cut.after.edge();
                Break {
                    at: cut.low + 0.5 * (cut.high - cut.low),
                    before,
                    after,
                    turns,
                    sides: [here, there],
                }
            })
            .collect()
    }
}

/// What changes between two sides.
fn turns(before: &Side, after: &Side) -> Vec<Turn> {
    let (a, b) = (&before.signature, &after.signature);
    let mut turns = Vec::new();
    if a.recipe != b.recipe {
        turns.push(match b.recipe {
            Some(true) => Turn::Recipe,
            Some(false) => Turn::NoRecipe,
            None => Turn::Unknown,
        });
        return turns;
    }
    let apart = before.shares.iter().zip(&after.shares);
    if apart.into_iter().any(|(a, b)| (a - b).abs() > JUMP) {
        turns.push(Turn::Jump);
    }
    let fresh = |from: &[usize], to: &[usize]| -> Vec<usize> {
        to.iter().filter(|j| !from.contains(j)).copied().collect()
    };
    turns.extend(fresh(&a.used, &b.used).into_iter().map(Turn::Enters));
    turns.extend(fresh(&b.used, &a.used).into_iter().map(Turn::Leaves));
    let fresh = |from: &[Requirement], to: &[Requirement]| -> Vec<Requirement> {
        to.iter().filter(|r| !from.contains(r)).copied().collect()
    };
    turns.extend(fresh(&a.held, &b.held).into_iter().map(Turn::Binds));
    turns.extend(fresh(&b.held, &a.held).into_iter().map(Turn::Frees));
    turns
}

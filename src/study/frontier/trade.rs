//! One property bounded, the other made the best: the searches of which a frontier is made.

use crate::declare::problem::Limit;
use crate::declare::problem::Problem;
use crate::declare::problem::Side;
use crate::declare::recipe::Recipe;
use crate::predict::book::Book;
use crate::predict::judge;
use crate::solve::answer::Answer;
use crate::solve::follow::hold::Hold;
use crate::solve::follow::local;
use crate::solve::follow::stand::NO_WORTH;
use crate::solve::follow::stand::Stand;
use crate::solve::logic::Demand;
use crate::solve::search;
use crate::solve::search::Budget;
use crate::solve::search::GAP;
use crate::solve::task::Owner;
use crate::solve::task::Task;
use crate::study::clock::Clock;
use crate::study::frontier::aim::Aim;
use crate::study::reach;

/// Relative gap to which the ends are proved.
const ENDS: f64 = 1e-5;

/// Gap of all other proofs, as a part of the way between the ends; at most that of `solve`, and at least
/// that of a result which a bound's room blurs.
const OF_WAY: f64 = 1e-4;
const LEAST: f64 = 1e-6;

/// Most regions of one proof: beyond, regions halve the gap more and more slowly.
const NODES: usize = 6_000;

/// A recipe of which no more is proved than this part of a value is not called proved.
const PROVED: f64 = 1e-3;

/// Part of a value by which its bound is loosened, so that rounding leaves a recipe.
pub const ROOM: f64 = 1e-7;

/// Bounds nearer to each other than this part of their size are one: a window that leaves no room is an
/// equation, which a search can keep.
const ONE: f64 = 1e-6;

/// A problem and what is traded in it: `0` is bounded where nothing else is said, `1` follows.
#[derive(Debug, Clone)]
pub struct Trade<'p> {
    /// The problem, with limits of its own.
    pub problem: &'p Problem,
    /// What is traded.
    pub aims: [Aim; 2],
    clock: Clock,
    gaps: [f64; 2],
    ways: [f64; 2],
}

/// A recipe that no other betters in both.
#[derive(Debug, Clone)]
pub struct Found {
    /// Its values, in the properties' units.
    pub at: [f64; 2],
    /// The search's answer, with a recipe.
    pub answer: Answer,
    /// The part of a value by which a recipe may better it in both, as far as is proved; infinite where
    /// nothing is.
    pub gap: f64,
}

impl Found {
    /// Whether so much is proved that it may be called so.
    #[must_use]
    pub fn is_proved(&self) -> bool {
        self.gap <= PROVED
    }
}

impl<'p> Trade<'p> {
    /// Begins; the budget's time is shared by all searches.
    #[must_use]
    pub fn new(problem: &'p Problem, aims: [Aim; 2], budget: &Budget) -> Self {
        let nodes = budget.nodes.min(NODES);
        let clock = Clock::start(&Budget {
            nodes,
            ..budget.clone()
        });
        Trade {
            problem,
            aims,
            clock,
            gaps: [ENDS; 2],
            ways: [0.0; 2],
        }
    }

    /// The problem whose goal is one of the two, the other bounded; the place of that bound among the
    /// limits.
    #[must_use]
    pub fn bounded(&self, goal: usize, bound: Option<f64>) -> (Problem, Option<usize>) {
        let mut problem = self.problem.clone();
        problem.goal = self.aims[goal].goal(self.problem);
        let Some(bound) = bound else {
            return (problem, None);
        };
        let aim = &self.aims[1 - goal];
        let side = aim.worst_side();
        let same = |l: &Limit| l.property == aim.property;
        let own = problem.limits.iter().filter(|l| same(l) && l.side == side);
        let tighter = own
            .map(|l| l.bound)
            .filter(|b| aim.sign() * (b - bound) < 0.0)
            .min_by(|a, b| (aim.sign() * a).total_cmp(&(aim.sign() * b)));
        let mut bound = tighter.unwrap_or(bound);
        let other = problem.limits.iter().filter(|l| same(l) && l.side != side);
        let near = |b: &f64| (b - bound).abs() <= ONE * bound.abs().max(b.abs());
        if let Some(other) = other.map(|l| l.bound).find(near) {
            bound = other;
        }
        problem.limits.retain(|l| !(same(l) && l.side == side));
        problem
            .limits
            .push(reach::limit(&aim.property, side, bound));
        let last = problem.limits.len() - 1;
        (problem, Some(last))
    }

    /// The same, with proofs as fine as the way between the ends asks.
    #[must_use]
    pub fn along(self, best: [f64; 2], worst: [f64; 2]) -> Self {
        let fine = |k: usize| {
            let size = best[k].abs().max(worst[k].abs());
            let gap = OF_WAY * (worst[k] - best[k]).abs() / size.max(f64::MIN_POSITIVE);
            gap.clamp(LEAST, GAP)
        };
        Trade {
            gaps: [fine(0), fine(1)],
            ways: [0, 1].map(|k: usize| (worst[k] - best[k]).abs()),
            ..self
        }
    }

    /// How far a property moves between the ends; 0 before they are known.
    #[must_use]
    pub fn way(&self, property: usize) -> f64 {
        self.ways[property]
    }

    fn solved(&self, goal: usize, bound: Option<f64>) -> (Problem, Answer) {
        let (problem, _) = self.bounded(goal, bound);
        let answer = search::cheapest(&problem, &self.clock.left_to(self.gaps[goal]));
        (problem, answer)
    }

    /// The best of one property alone, whatever the other.
    #[must_use]
    pub fn alone(&self, goal: usize) -> Answer {
        self.solved(goal, None).1
    }

    /// The recipe that is best in one property and, of those, in the other; `best` is the answer for the
    /// first alone.
    #[must_use]
    pub fn end(&self, goal: usize, best: &Answer) -> Option<Found> {
        let found = self.found(best)?;
        Some(self.finished(goal, found))
    }

    /// The best of the other property where one may be no worse than a bound, and the first the best
    /// for that; `None` where none was found.
    #[must_use]
    pub fn within(&self, bounded: usize, bound: f64) -> Option<Found> {
        let goal = 1 - bounded;
        let (problem, answer) = self.solved(goal, Some(bound));
        let found = self.found(&answer)?;
        if is_worth(&problem, &found) {
            return Some(found);
        }
        Some(self.finished(goal, found))
    }

    /// Of the recipes that are as good in `goal`, the one that is best in the other.
    fn finished(&self, goal: usize, found: Found) -> Found {
        let value = found.at[goal];
        let bound = value + self.aims[goal].sign() * ROOM * value.abs();
        let (_, answer) = self.solved(1 - goal, Some(bound));
        let better = |next: &Found| {
            let sign = self.aims[1 - goal].sign();
            sign * (next.at[1 - goal] - found.at[1 - goal]) <= 0.0
        };
        match self.found(&answer).filter(better) {
            Some(next) => Found {
                gap: next.gap.max(found.gap),
                ..next
            },
            None => Found {
                gap: f64::INFINITY,
                ..found
            },
        }
    }

    /// A recipe that meets every limit, with its two values.
    fn found(&self, answer: &Answer) -> Option<Found> {
        let sound = answer.outcome().has_recipe();
        let recipe = answer.recipe.as_ref().filter(|_| sound)?;
        Some(Found {
            at: self.values(recipe)?,
            answer: answer.clone(),
            gap: answer.proof.gap.unwrap_or(f64::INFINITY),
        })
    }

    /// The two values of a recipe: an answer lists only what its problem limits.
    fn values(&self, recipe: &Recipe) -> Option<[f64; 2]> {
        let asked = [&self.aims[0].property, &self.aims[1].property];
        let book = Book::new(self.problem, self.problem.mixing, asked);
        let shares: Vec<f64> = recipe.shares().iter().map(|s| s.fraction()).collect();
        let of = |k: usize| judge::value(&book, book.entry(asked[k])?, &shares);
        Some([of(0)?, of(1)?])
    }
}

/// Whether tightening the bound would cost something: then no recipe is as good in the goal and
/// better in what is bounded.
fn is_worth(problem: &Problem, found: &Found) -> bool {
    let Some(recipe) = &found.answer.recipe else {
        return false;
    };
    let last = problem.limits.len() - 1;
    let task = Task::with(problem, &Demand::default());
    let x = local::point(&task, recipe);
    let here = local::decided(task.clone(), &local::used(&task, &x));
    let Some(stand) = Stand::at(&here, &x) else {
        return false;
    };
    let own = |hold: &Hold| match hold {
        Hold::Row(i, _) => task.owners[*i] == Owner::Limit(last),
        Hold::Curve(c) => task.curved[*c].limit == Some(last),
        Hold::Seam(..) | Hold::Edge(..) => false,
    };
    let worth = stand.holds.iter().zip(&stand.both).zip(&stand.worth);
    worth
        .filter(|((hold, _), _)| own(hold))
        .any(|((_, both), worth)| !both && *worth > SURE * NO_WORTH * stand.size)
}

/// A worth this many times the least that is told apart from none is one.
const SURE: f64 = 1e3;

/// The tightest of a problem's limits on which a value stands, on the side that keeps a property from
/// getting worse.
#[must_use]
pub fn own_limit(problem: &Problem, aim: &Aim, value: f64) -> Option<Limit> {
    let side: Side = aim.worst_side();
    let on = |l: &&Limit| {
        l.property == aim.property
            && l.side == side
            && (l.bound - value).abs() <= ONE * l.bound.abs().max(1.0)
    };
    problem.limits.iter().find(on).cloned()
}

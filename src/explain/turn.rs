//! Where something moves too far: what takes over, and whether that was checked over the whole shelf.

use crate::declare::problem::Problem;
use crate::declare::problem::Side;
use crate::explain::knob::Knob;
use crate::quantity::Share;
use crate::solve::follow::hold::Hold;
use crate::solve::follow::local;
use crate::solve::follow::path::Course;
use crate::solve::follow::path::Track;
use crate::solve::follow::path::follow;
use crate::solve::follow::stand::Event;
use crate::solve::follow::stand::Stand;
use crate::solve::linear;
use crate::solve::logic::Demand;
use crate::solve::prove::tree;
use crate::solve::prove::tree::Limits;
use crate::solve::refine::Point;
use crate::solve::task::Owner;
use crate::solve::task::Task;

/// Something that can hold a recipe.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Bar {
    /// A limit of the problem, by index.
    Limit(usize),
    /// The lower edge of a component's treat band, or its minimum when used.
    Least(usize),
    /// The upper edge of a component's treat band.
    Most(usize),
}

/// What happens at the end of a range.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Turn {
    /// This begins to hold the recipe.
    Binds(Bar),
    /// This ceases to hold it.
    Frees(Bar),
    /// A component falls out of the recipe.
    Leaves(usize),
    /// A component comes into it.
    Enters(usize),
    /// Another recipe becomes the better one.
    Other,
}

/// One end of a range.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct End {
    /// Where; `None` where nothing changes as far as was looked.
    pub at: Option<f64>,
    /// What happens there.
    pub turn: Option<Turn>,
    /// Beyond it there is no recipe at all.
    pub last: bool,
    /// Whether it was proved over the whole shelf that no other recipe takes over before.
    pub sure: bool,
}

/// Relative gap of the proofs that no other recipe takes over.
const GAP: f64 = 1e-6;

/// Most regions of one such proof.
const NODES: usize = 200;

/// Where a range is looked at once more: this far along it.
const INSIDE: f64 = 0.999;

/// Halvings that find where another recipe takes over: to a millionth of the range.
const HALVINGS: usize = 20;

/// Most rivals looked at, one after another.
const RIVALS: usize = 4;

/// Relative difference at which one recipe's goal is below another's, beyond what searches leave.
const CROSSED: f64 = 1e-10;

/// A component used at less than this mass fraction is not used.
pub const NONE_OF_IT: f64 = 1e-9;

/// How far beyond an end, in spans, the other side is looked at.
pub const BESIDE: f64 = 1e-5;

/// How far beyond an end, in spans, the way on is sought: close with the holds that are expected there,
/// farther by a search.
const CLOSE: [f64; 3] = [1e-8, 1e-7, 1e-6];
const FARTHER: [f64; 3] = [1e-5, 1e-4, 1e-3];

/// A recipe of a problem as the search sees it.
#[derive(Debug, Clone)]
pub struct Ground<'a> {
    /// The problem.
    pub problem: &'a Problem,
    /// The problem in the search's terms, recipe logic open.
    pub base: Task,
    /// Those that the recipe uses, by column.
    pub used: Vec<bool>,
    /// Where the recipe stands.
    pub stand: Stand,
}

impl Ground<'_> {
    /// The task with a number at a value, recipe logic decided as the recipe decides it.
    #[must_use]
    pub fn task(&self, knob: &Knob, value: f64) -> Option<Task> {
        local::task(
            &knob.at(self.problem, value),
            &self.base.columns,
            &self.used,
        )
    }

    /// The stand near the recipe with a number at a value, found by a search.
    #[must_use]
    pub fn stand_at(&self, knob: &Knob, value: f64) -> Option<Stand> {
        let task = self.task(knob, value)?;
        let point = local::best(&task, &self.stand.x)?;
        Stand::at(&task, &point.x)
    }

    /// Follows a stand while a number moves from one value towards another.
    #[must_use]
    pub fn track(&self, knob: &Knob, stand: &Stand, from: f64, towards: f64) -> Option<Track> {
        let task = |value: f64| self.task(knob, value);
        let course = Course {
            task: &task,
            span: knob.span(self.problem),
            limit: towards,
        };
        follow(&course, stand, from)
    }

    /// The end of a track, checked over the whole shelf.
    #[must_use]
    pub fn end(&self, knob: &Knob, from: f64, track: &Track) -> End {
        let turn = track.event.and_then(|event| self.turn(event));
        let mut end = match self.rival_inside(knob, from, track) {
            Rival::None => Self::ended(track, turn),
            Rival::Unknown => End {
                sure: false,
                ..Self::ended(track, turn)
            },
            Rival::Better(rival) => {
                return End {
                    at: Some(self.overtaken(knob, track, from, rival)),
                    turn: Some(Turn::Other),
                    last: false,
                    sure: true,
                };
            }
        };
        if let Some(at) = end.at {
            let beyond = at + (track.to - from).signum() * BESIDE * knob.span(self.problem);
            end.last = self.is_barren(knob, &track.last, beyond);
        }
        end
    }

    /// The end of a track as it was followed.
    #[must_use]
    pub fn ended(track: &Track, turn: Option<Turn>) -> End {
        End {
            at: track.event.map(|_| track.to),
            turn,
            last: false,
            sure: true,
        }
    }

    /// Where other limits hold beyond a track's end: a value a little further, and the stand there.
    #[must_use]
    pub fn onward(&self, knob: &Knob, track: &Track, towards: f64) -> Option<(f64, Stand)> {
        let event = track.event?;
        let sign = (towards - track.to).signum();
        let left = (towards - track.to).abs() / knob.span(self.problem);
        let at = |by: f64| track.to + sign * by * knob.span(self.problem);
        // The same holds but for the one that came or went: exact where it works.
        for by in CLOSE.into_iter().filter(|by| *by < left) {
            let next = track.last.after(event).and_then(|mut next| {
                let task = self.task(knob, at(by))?;
                next.settle(&task)?;
                next.is_sound(&task).then_some(next)
            });
            if let Some(next) = next {
                return Some((at(by), next));
            }
        }
        FARTHER.into_iter().filter(|by| *by < left).find_map(|by| {
            let task = self.task(knob, at(by))?;
            let point = local::best(&task, &track.last.x)?;
            Some((at(by), Stand::at(&task, &point.x)?))
        })
    }

    /// Whether there is no recipe with a number at a value.
    #[must_use]
    pub fn is_barren(&self, knob: &Knob, near: &Stand, value: f64) -> bool {
        let problem = knob.at(self.problem, value);
        let task = Task::with(&problem, &Demand::default());
        if task.columns != self.base.columns || !task.never.is_empty() {
            return !task.never.is_empty();
        }
        let closed = |(lo, hi): (&f64, &f64)| lo > hi;
        if task.exact.lower.iter().zip(&task.exact.upper).any(closed) {
            return true;
        }
        let start: Vec<f64> = local::clamped(&task, &near.x);
        if local::best(&local::decided(task.clone(), &self.used), &start).is_some() {
            return false;
        }
        if linear::is_empty(&task.exact) {
            return true;
        }
        let limits = Limits {
            gap: GAP,
            nodes: NODES,
            first: true,
            ..Limits::default()
        };
        let outcome = tree::prove(&task, None, &limits);
        outcome.complete && outcome.best.is_none()
    }

    /// Where along a track another recipe takes over, given one that is better near its end.
    ///
    /// Both recipes are carried along, each in its own neighbourhood, to where their goals cross; then
    /// the same is asked of the stretch before that.
    #[must_use]
    pub fn overtaken(&self, knob: &Knob, track: &Track, from: f64, rival: Point) -> f64 {
        let mut beyond = from + INSIDE * (track.to - from);
        let mut rival = rival;
        for _ in 0..RIVALS {
            let mut sound = from;
            for _ in 0..HALVINGS {
                let middle = 0.5 * (sound + beyond);
                match self.beaten(knob, &track.last, &rival, middle) {
                    Some(there) => (beyond, rival) = (middle, there),
                    None => sound = middle,
                }
            }
            let inside = from + INSIDE * (sound - from);
            match self.rival(knob, &track.last, inside) {
                Rival::Better(other) => (beyond, rival) = (inside, other),
                Rival::None | Rival::Unknown => return sound,
            }
        }
        beyond
    }

    /// The best point near a rival with a number at a value, where it is better than a stand.
    fn beaten(&self, knob: &Knob, stand: &Stand, rival: &Point, value: f64) -> Option<Point> {
        let task = Task::with(&knob.at(self.problem, value), &Demand::default());
        let mut stand = stand.clone();
        stand.settle(&local::decided(task.clone(), &self.used))?;
        let goal = task.goal(&stand.x)?;
        let there = local::decided(task.clone(), &local::used(&task, &rival.x));
        local::best(&there, &rival.x).filter(|p| p.goal < goal - CROSSED * goal.abs())
    }

    /// Whether another recipe is better near the end of a track.
    #[must_use]
    pub fn rival_inside(&self, knob: &Knob, from: f64, track: &Track) -> Rival {
        self.rival(knob, &track.last, from + INSIDE * (track.to - from))
    }

    /// Whether another recipe is better than a stand with a number at a value.
    fn rival(&self, knob: &Knob, stand: &Stand, value: f64) -> Rival {
        let problem = knob.at(self.problem, value);
        let task = Task::with(&problem, &Demand::default());
        let mut stand = stand.clone();
        let settled = task.columns == self.base.columns
            && stand
                .settle(&local::decided(task.clone(), &self.used))
                .is_some();
        let Some(goal) = task.goal(&stand.x).filter(|_| settled) else {
            return Rival::Unknown;
        };
        rival(&task, &stand.x, goal)
    }

    /// An event in the problem's terms.
    #[must_use]
    pub fn turn(&self, event: Event) -> Option<Turn> {
        let bar = |hold: Hold| self.bar(hold);
        match event {
            Event::Binds(Hold::Edge(k, Side::Min)) if self.is_lowest(k) => {
                Some(Turn::Leaves(self.base.columns[k]))
            }
            Event::Frees(Hold::Edge(k, Side::Min)) if self.is_lowest(k) => {
                Some(Turn::Enters(self.base.columns[k]))
            }
            Event::Binds(hold) => bar(hold).map(Turn::Binds),
            Event::Frees(hold) => bar(hold).map(Turn::Frees),
        }
    }

    /// Whether a column's lower edge is that it is not in the oil.
    fn is_lowest(&self, column: usize) -> bool {
        let band = &self.problem.bands[self.base.columns[column]];
        band.min.share <= Share::NONE && (band.if_used.is_none() || !self.used[column])
    }

    /// A hold in the problem's terms.
    #[must_use]
    pub fn bar(&self, hold: Hold) -> Option<Bar> {
        match hold {
            Hold::Row(i, _) => match self.base.owners.get(i)? {
                Owner::Limit(l) => Some(Bar::Limit(*l)),
                Owner::Whole | Owner::Index | Owner::Defined => None,
            },
            Hold::Curve(c) => self.base.curved.get(c)?.limit.map(Bar::Limit),
            Hold::Seam(..) => None,
            Hold::Edge(k, Side::Min) => self.base.columns.get(k).map(|&j| Bar::Least(j)),
            Hold::Edge(k, Side::Max) => self.base.columns.get(k).map(|&j| Bar::Most(j)),
        }
    }
}

/// What a proof says of a recipe's rivals.
#[derive(Debug, Clone, PartialEq)]
pub enum Rival {
    /// No other recipe is better.
    None,
    /// This one is.
    Better(Point),
    /// The proof ran out before that was known.
    Unknown,
}

fn rival(task: &Task, x: &[f64], goal: f64) -> Rival {
    let known = Point {
        x: x.to_vec(),
        goal,
        missed: 0.0,
    };
    let limits = Limits {
        gap: GAP,
        nodes: NODES,
        first: true,
        least: task.least_gain().max(tree::LEAST_GAIN),
        ..Limits::default()
    };
    let outcome = tree::prove(task, Some(known), &limits);
    let better = outcome
        .best
        .filter(|b| b.goal < goal - 0.5 * limits.gain(goal));
    match better {
        Some(better) => Rival::Better(better),
        None if outcome.complete => Rival::None,
        None => Rival::Unknown,
    }
}

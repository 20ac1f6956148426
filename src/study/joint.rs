//! The best recipe all of whose limits pass together as often as asked: which limit may fail more often
//! than another is chosen by what it costs.
//!
//! Step by step from a recipe, each step a linear program (`lean`), each recipe judged and drawn afresh.
//! Where no recipe near passes as often as asked, the steps lead to the surest one instead.

use crate::predict::chance;
use crate::predict::room::Rooms;
use crate::quantity::Share;
use crate::solve::answer::Answer;
use crate::solve::search;
use crate::solve::task::Task;
use crate::standard::normal;
use crate::study::confidence::Wish;
use crate::study::guard;
use crate::study::guard::Basis;
use crate::study::guard::Certify;
use crate::study::guard::Held;
use crate::study::guard::Settled;
use crate::study::lean;
use crate::study::lean::Aim;
use crate::study::lean::Ground;
use crate::study::lean::Stand;
use crate::study::lean::Step;

/// Steps at most.
const STEPS: usize = 60;

/// How far a treat rate may move in the first step, and in the last that is tried, mass fractions.
const FIRST_RADIUS: f64 = 0.25;
const LAST_RADIUS: f64 = 1e-4;

/// A gain of the goal or of the chance below this part of it is none.
const NO_GAIN: f64 = 2e-5;
const NO_SURER: f64 = 2e-5;

/// How much longer or shorter the next step may be.
const LONGER: f64 = 2.0;
const SHORTER: f64 = 0.25;

/// Of a standard deviation, what no draw tells.
const ROUNDING: f64 = 1e-7;

/// By how many standard deviations the chance is raised at once.
const STAGE: f64 = 1.0;

/// A step that falls further short than this, in logarithms, was too long: aiming higher is no help.
const FAR_SHORT: f64 = 0.05;

/// No step aims at more: a part of the draws left to fail.
const HIGHEST: f64 = 1.0 - 1e-6;

/// Parts of the way to a step's guards that are tried.
const PARTS: [f64; 4] = [1.0, 0.7, 0.4, 0.1];

/// A limit that fails no more often than this part of all failures has room enough.
const LITTLE: f64 = 0.02;

/// Among how many limits failures are shared evenly to begin with.
const EVENLY: [f64; 3] = [1.0, 3.0, 8.0];

/// More than any goal.
const ARRIVED: f64 = 1e12;

/// Halvings of the widening of guards.
const HALVINGS: usize = 30;

/// A chance that is missed costs this many times what it is worth.
const DEARER: f64 = 3.0;

/// What came of seeking.
#[derive(Debug, Clone)]
pub enum Sought {
    /// A recipe that passes as often as asked.
    Reached(Box<Held>),
    /// The surest that was found.
    Surest(Box<Held>),
}

/// Seeks from a recipe that meets the limits as stated, nearby.
#[must_use]
pub fn seek(basis: Basis, wish: Wish, start: &Held) -> Sought {
    // Without a guard no recipe is better.
    let plain = start.guards.iter().all(|g| *g <= 0.0) && basis.known.is_none();
    if plain && wish.is_reached(start) {
        return Sought::Reached(Box::new(start.clone()));
    }
    let mut found = walk(basis, wish, start);
    if basis.known.is_some() {
        // Begun at the best recipe without that knowledge.
        return found;
    }
    for other in other_uses(basis, wish, start) {
        if basis.clock.is_over() {
            return found;
        }
        found = better(basis, found, walk(basis, wish, &other));
    }
    for n in EVENLY {
        let Sought::Surest(surest) = &found else {
            break;
        };
        if basis.clock.is_over() {
            break;
        }
        if let Some(even) = evenly(basis, wish, surest, n) {
            found = better(basis, found, walk(basis, wish, &even));
        }
    }
    found
}

/// The best recipe nearby of which each limit fails no more often than one of so many may.
fn evenly(basis: Basis, wish: Wish, from: &Held, among: f64) -> Option<Held> {
    let each = 1.0 - (1.0 - wish.confidence) / among;
    let nearby = Basis {
        certify: Certify::Nothing,
        ..basis
    };
    let guards = from.sample.guards(basis.problem, each);
    match guard::settle(nearby, each, &guards) {
        Settled::Held(held) => Some(*held),
        Settled::None { .. } | Settled::Undecided => None,
    }
}

/// Steps keep to the components that a recipe uses where rules say which may be used: other sets of them to
/// begin with, each the best one within a part of the guards that would do without the rules.
fn other_uses(basis: Basis, wish: Wish, start: &Held) -> Vec<Held> {
    let mut free = basis.problem.clone();
    free.rules.clear();
    for band in &mut free.bands {
        band.if_used = None;
    }
    if free == *basis.problem {
        return Vec::new();
    }
    let free = Basis {
        problem: &free,
        ..basis
    };
    let unguarded = vec![0.0; basis.problem.limits.len()];
    let answer = guard::within(free, &unguarded);
    let Some(plain) = Held::of(free, &answer, &unguarded, wish.confidence) else {
        return Vec::new();
    };
    let (Sought::Reached(held) | Sought::Surest(held)) = walk(free, wish, &plain);
    let mut uses = vec![use_of(start)];
    let mut others = Vec::new();
    let shared = PARTS.map(|part| held.guards.iter().map(|g| part * g).collect());
    let left = 1.0 - wish.confidence;
    let even = EVENLY.map(|n| held.sample.guards(basis.problem, 1.0 - left / n));
    for guards in shared.into_iter().chain(even) {
        let guards: Vec<f64> = guards;
        let answer = guard::within(basis, &guards);
        let Some(other) = Held::of(basis, &answer, &guards, wish.confidence) else {
            continue;
        };
        if !uses.contains(&use_of(&other)) {
            uses.push(use_of(&other));
            others.push(other);
        }
    }
    others
}

/// Which components a recipe uses.
fn use_of(held: &Held) -> Vec<bool> {
    let shares = held.recipe.shares().iter();
    shares.map(|s| *s > Share::NONE).collect()
}

/// The better of two.
fn better(basis: Basis, a: Sought, b: Sought) -> Sought {
    match (&a, &b) {
        (Sought::Reached(x), Sought::Reached(y)) => {
            let sign = basis.sign();
            if y.worth(sign) < x.worth(sign) { b } else { a }
        }
        (Sought::Reached(_), Sought::Surest(_)) => a,
        (Sought::Surest(_), Sought::Reached(_)) => b,
        (Sought::Surest(x), Sought::Surest(y)) => {
            if lean::chance(y) > lean::chance(x) {
                b
            } else {
                a
            }
        }
    }
}

fn walk(basis: Basis, wish: Wish, start: &Held) -> Sought {
    let book = Task::book(basis.problem);
    let task = Task::by(basis.problem, &book, &basis.clock.left().demand);
    let mut walk = Walk {
        basis,
        ground: Ground {
            problem: basis.problem,
            task: &task,
            book: &book,
        },
        wish,
        at: Stand::at(basis.problem, start.clone(), basis.known),
        best: wish.is_reached(start).then(|| start.clone()),
        radius: FIRST_RADIUS,
        short: 0.0,
    };
    for _ in 0..STEPS {
        if walk.radius < LAST_RADIUS || basis.clock.is_over() || !walk.step() {
            break;
        }
    }
    match walk.best {
        Some(best) => Sought::Reached(Box::new(best)),
        None => Sought::Surest(Box::new(walk.at.held)),
    }
}

/// Where the steps are.
struct Walk<'a> {
    basis: Basis<'a>,
    ground: Ground<'a>,
    wish: Wish,
    at: Stand,
    /// The best recipe yet that passes as often as asked.
    best: Option<Held>,
    radius: f64,
    /// By how much steps have lately fallen short of the chance that they aimed at, logarithms: the next one
    /// aims so much higher.
    short: f64,
}

impl Walk<'_> {
    /// One step; `false` where none is to be had.
    fn step(&mut self) -> bool {
        let had = self.at.chance();
        // By stages, along the recipes that are the best for their chance.
        let further = normal::below(normal::quantile(had) + STAGE);
        let asked = further.min(self.wish.confidence);
        let lean = |aim| lean::step(self.ground, &self.at, aim, self.radius);
        let aim = (asked * self.short.exp()).min(HIGHEST);
        if let Some(step) = lean(Aim::Chance(aim)) {
            let sign = self.basis.sign();
            let least = NO_GAIN * self.at.held.worth(sign).abs();
            let enough = asked - chance::short(asked);
            if had >= enough && step.gain <= least {
                return false;
            }
            let best = self.best.as_ref().map(|best| best.worth(sign) - least);
            let own = self.take(&step, least, |held: &Held| {
                let short = (enough / lean::chance(held)).ln().max(0.0);
                // From below, a recipe that passes as often as asked is a gain if it is the best of those.
                let best = best.is_none_or(|best| held.worth(sign) < best);
                let arrives = if had < enough && short <= 0.0 && best {
                    ARRIVED
                } else {
                    0.0
                };
                arrives - held.worth(sign) - DEARER * step.price * short
            });
            let missed = own.map_or(0.0, |own| (asked / own).ln());
            self.short = if self.at.chance() >= enough || missed > FAR_SHORT {
                0.0
            } else {
                self.short + missed.max(0.0)
            };
            return true;
        }
        match lean(Aim::Surest).filter(|step| step.gain > NO_SURER) {
            Some(step) => {
                self.take(&step, NO_SURER, |held| lean::chance(held).ln());
                true
            }
            None => false,
        }
    }

    /// Takes a step where that raises the merit, and goes on in wider steps where it does so by more than
    /// the least that counts: to a step's own recipe, or to the best one within its guards. Gives the chance
    /// of the step's own recipe.
    fn take(&mut self, step: &Step, least: f64, merit: impl Fn(&Held) -> f64) -> Option<f64> {
        let had = merit(&self.at.held);
        let gain = |held: &Option<Held>| held.as_ref().map_or(0.0, |h| merit(h) - had);
        let mut next = self.own(step);
        let own = next.as_ref().map(lean::chance);
        for part in PARTS {
            if gain(&next) > least {
                break;
            }
            let other = self.within(step, part);
            if gain(&other) > gain(&next) {
                next = other;
            }
        }
        let gain = gain(&next);
        if let Some(next) = next {
            let sign = self.basis.sign();
            let better = |best: &Held| next.worth(sign) < best.worth(sign);
            if self.wish.is_reached(&next) && self.best.as_ref().is_none_or(better) {
                self.best = Some(next.clone());
            }
            if gain > 0.0 {
                self.at = Stand::at(self.basis.problem, next, self.basis.known);
            }
        }
        self.radius = if gain > least {
            (LONGER * self.radius).min(1.0)
        } else {
            SHORTER * self.radius
        };
        own
    }

    /// A step's own recipe, drawn; `None` where it fails a limit as stated, or is not on the balance's grid.
    fn own(&self, step: &Step) -> Option<Held> {
        if self.ground.task.logic.grid.is_some() {
            return None;
        }
        let effort = self.at.held.answer.effort;
        let problem = self.basis.problem;
        self.drawn(&search::local_answer(
            problem,
            self.ground.task,
            &step.x,
            effort,
        ))
    }

    /// The best recipe nearby within a part of the way to a step's guards, drawn.
    fn within(&self, step: &Step, part: f64) -> Option<Held> {
        let mut guards = step.guards.clone();
        for room in &self.at.rooms.all {
            let had = room.room.clamp(0.0, lean::FAR * room.sd);
            let guard = &mut guards[room.limit];
            *guard = had + part * (*guard - had);
        }
        self.drawn(&guard::within(self.basis, &guards))
    }

    fn drawn(&self, answer: &Answer) -> Option<Held> {
        let held = Held::of(self.basis, answer, &[], self.wish.confidence)?;
        Some(Held {
            guards: wanted(self.basis, self.wish, &held, 0.0),
            ..held
        })
    }
}

/// A recipe's own room inside each limit as its guards, each wider by so many standard deviations; no more
/// than counts for the chance.
fn wanted(basis: Basis, wish: Wish, held: &Held, more: f64) -> Vec<f64> {
    let ample = normal::quantile(1.0 - (1.0 - wish.confidence) * LITTLE).min(lean::FAR);
    let mut guards = vec![0.0; basis.problem.limits.len()];
    for room in Rooms::of(basis.problem, &held.sample, &held.causes).all {
        // A rounding less, so that the recipe itself is within them.
        let own = room.room.min(ample * room.sd) - ROUNDING * room.sd;
        guards[room.limit] = (own + more * room.sd).max(0.0);
    }
    guards
}

/// Guards with which a recipe would pass as often as asked: its own, each wider by as many standard
/// deviations.
#[must_use]
pub fn lacking(basis: Basis, wish: Wish, held: &Held) -> Vec<f64> {
    let rooms = Rooms::of(basis.problem, &held.sample, &held.causes);
    let (mut low, mut high) = (0.0, 2.0 * lean::FAR);
    for _ in 0..HALVINGS {
        let more = f64::midpoint(low, high);
        let inside: Vec<f64> = rooms.all.iter().map(|r| r.room + more * r.sd).collect();
        if rooms.passed(&inside) >= wish.confidence {
            high = more;
        } else {
            low = more;
        }
    }
    wanted(basis, wish, held, high)
}

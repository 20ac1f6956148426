//! Step by step from one recipe to the best nearby that passes as often as asked, or to the surest.
//!
//! Each step is a linear program (`lean`), each recipe judged and drawn afresh.

use crate::predict::chance;
use crate::solve::search;
use crate::solve::task::Task;
use crate::standard::normal;
use crate::study::guard;
use crate::study::held::Basis;
use crate::study::held::Held;
use crate::study::lean;
use crate::study::lean::Aim;
use crate::study::lean::Step;
use crate::study::stand::Ground;
use crate::study::stand::Stand;
use crate::study::wish::Wish;

/// Steps at most.
const STEPS: usize = 60;

/// How far a treat rate may move in the first step from a recipe that little is known of, and from one that a
/// walk with fewer draws has led to; and in the last that is tried, mass fractions.
const FIRST_RADIUS: f64 = 0.25;
const NEAR_RADIUS: f64 = 0.02;
const LAST_RADIUS: f64 = 1e-4;

/// How far it may move on the balance's grid in the first step, in steps of the grid.
const NEAR_STEPS: f64 = 12.0;

/// A gain of the goal below this part of it is none; nor is one of the chance that few thousand draws do not
/// tell.
const NO_GAIN: f64 = 2e-5;
const NO_SURER: f64 = 2e-4;

/// How much longer or shorter the next step may be.
const LONGER: f64 = 2.0;
const SHORTER: f64 = 0.25;
const SHORTER_ON_GRID: f64 = 0.6;

/// By how many standard deviations the chance is raised at once.
const STAGE: f64 = 1.0;

/// A step that falls further short than this, in logarithms, was too long: aiming higher is no help.
const FAR_SHORT: f64 = 0.05;

/// No step aims at more: a part of the draws left to fail.
const HIGHEST: f64 = 1.0 - 1e-6;

/// Parts of the way to a step's guards that are tried.
const PARTS: [f64; 4] = [1.0, 0.7, 0.4, 0.1];

/// More than any goal.
const ARRIVED: f64 = 1e12;

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

impl Sought {
    /// A recipe as what it is.
    #[must_use]
    pub fn of(wish: Wish, held: Held) -> Self {
        if wish.is_reached(&held) {
            Sought::Reached(Box::new(held))
        } else {
            Sought::Surest(Box::new(held))
        }
    }

    /// The recipe.
    #[must_use]
    pub fn held(&self) -> &Held {
        let (Sought::Reached(held) | Sought::Surest(held)) = self;
        held
    }
}

/// The best recipe nearby that passes as often as asked, else the surest; on the balance's grid where there is one.
#[must_use]
pub fn walk(basis: Basis, wish: Wish, start: &Held) -> Sought {
    go(basis, wish, start, FIRST_RADIUS)
}

/// The same from a recipe that a walk with fewer draws has led to.
#[must_use]
pub fn on(basis: Basis, wish: Wish, start: &Held) -> Sought {
    go(basis, wish, start, NEAR_RADIUS)
}

fn go(basis: Basis, wish: Wish, start: &Held, radius: f64) -> Sought {
    let book = Task::book(basis.problem);
    let task = Task::by(basis.problem, &book, &basis.clock.left().demand);
    let radius = task.logic.grid.map_or(radius, |step| NEAR_STEPS * step);
    let mut walk = Walk {
        basis,
        ground: Ground {
            problem: basis.problem,
            task: &task,
            book: &book,
            wish,
        },
        at: Stand::at(basis.problem, start.clone(), basis.known),
        best: wish.is_reached(start).then(|| start.clone()),
        highest: start.clone(),
        radius: 0.0,
        short: 0.0,
        surest: false,
    };
    walk.each(radius, Walk::step);
    // Steps towards a chance may fall short where surer recipes are.
    if walk.best.is_none() && !walk.surest {
        walk.each(radius, Walk::surer);
        if walk.best.is_some() {
            walk.each(radius, Walk::step);
        }
    }
    match walk.best {
        Some(best) => Sought::Reached(Box::new(best)),
        None => Sought::Surest(Box::new(walk.highest)),
    }
}

/// Where the steps are.
struct Walk<'a> {
    basis: Basis<'a>,
    ground: Ground<'a>,
    at: Stand,
    /// The best recipe yet that passes as often as asked.
    best: Option<Held>,
    /// The surest yet.
    highest: Held,
    radius: f64,
    /// By how much steps have lately fallen short of the chance that they aimed at, logarithms: the next one
    /// aims so much higher.
    short: f64,
    /// Whether the last step was sought for the chance alone.
    surest: bool,
}

impl Walk<'_> {
    /// Steps of a kind until none is to be had.
    fn each(&mut self, radius: f64, step: fn(&mut Self) -> bool) {
        (self.radius, self.short) = (radius, 0.0);
        for _ in 0..STEPS {
            if self.radius < self.last_radius() || self.basis.clock.is_over() || !step(self) {
                break;
            }
        }
    }

    /// A step of the grid, where there is one: less moves nothing.
    fn last_radius(&self) -> f64 {
        self.ground.task.logic.grid.unwrap_or(LAST_RADIUS)
    }

    fn shorter(&self) -> f64 {
        if self.ground.task.logic.grid.is_some() {
            SHORTER_ON_GRID
        } else {
            SHORTER
        }
    }

    fn lean(&self, aim: Aim) -> Option<Step> {
        lean::step(self.ground, &self.at, aim, self.radius)
    }

    /// One step towards the best recipe that passes as often as asked; `false` where none is to be had.
    fn step(&mut self) -> bool {
        let wish = self.ground.wish;
        let had = wish.chance(&self.at.held);
        let asked = if wish.together {
            // By stages, along the recipes that are the best for their chance.
            let further = normal::below(normal::quantile(had) + STAGE);
            further.min(wish.confidence)
        } else {
            wish.confidence
        };
        let aim = (asked * self.short.exp()).min(HIGHEST);
        let step = self.lean(Aim::Chance(aim)).or_else(|| {
            // From one that is sure enough, none that is as sure may be ruled out by what lies above that.
            let again = self.short > 0.0 && wish.is_reached(&self.at.held);
            self.short = if again { 0.0 } else { self.short };
            again.then(|| self.lean(Aim::Chance(asked)))?
        });
        let Some(step) = step else {
            return self.surer();
        };
        self.surest = false;
        let sign = self.basis.sign();
        let least = NO_GAIN * self.at.held.worth(sign).abs();
        let enough = asked - chance::short(asked);
        if had >= enough && step.gain <= least {
            return false;
        }
        let best = self.best.as_ref().map(|best| best.worth(sign) - least);
        let own = self.take(&step, least, |held: &Held| {
            let short = (enough / wish.chance(held)).ln().max(0.0);
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
        self.short = if wish.chance(&self.at.held) >= enough || missed > FAR_SHORT {
            0.0
        } else {
            self.short + missed.max(0.0)
        };
        true
    }

    /// One step towards the surest recipe, until one passes as often as asked.
    fn surer(&mut self) -> bool {
        let wish = self.ground.wish;
        if wish.is_reached(&self.at.held) {
            return false;
        }
        self.surest = true;
        let step = self.lean(Aim::Surest);
        let Some(step) = step.filter(|step| step.gain > NO_SURER) else {
            return false;
        };
        self.take(&step, NO_SURER, |held| wish.chance(held).ln());
        true
    }

    /// Takes a step where that raises the merit, and goes on in wider steps where it does so by more than
    /// the least that counts: to a step's own recipe, or to the best one within its guards. Gives the chance
    /// of the step's own recipe.
    fn take(&mut self, step: &Step, least: f64, merit: impl Fn(&Held) -> f64) -> Option<f64> {
        let had = merit(&self.at.held);
        let gain = |held: &Option<Held>| held.as_ref().map_or(0.0, |h| merit(h) - had);
        let mut next = self.own(step);
        let own = next.as_ref().map(|held| self.ground.wish.chance(held));
        if next.is_none() && self.ground.task.logic.grid.is_none() {
            for part in PARTS {
                if gain(&next) > least {
                    break;
                }
                let other = self.within(step, part);
                if gain(&other) > gain(&next) {
                    next = other;
                }
            }
        }
        let gain = gain(&next);
        if let Some(next) = next {
            let sign = self.basis.sign();
            let better = |best: &Held| next.worth(sign) < best.worth(sign);
            if self.ground.wish.is_reached(&next) && self.best.as_ref().is_none_or(better) {
                self.best = Some(next.clone());
            }
            if self.ground.wish.chance(&next) > self.ground.wish.chance(&self.highest) {
                self.highest = next.clone();
            }
            if gain > 0.0 {
                self.at = Stand::at(self.basis.problem, next, self.basis.known);
            }
        }
        self.radius = if gain > least {
            (LONGER * self.radius).min(1.0)
        } else {
            self.shorter() * self.radius
        };
        own
    }

    /// A step's own recipe, drawn; `None` where it fails a limit as stated.
    fn own(&self, step: &Step) -> Option<Held> {
        let effort = self.at.held.answer.effort;
        let problem = self.basis.problem;
        let answer = search::local_answer(problem, self.ground.task, &step.x, effort);
        Held::of(self.basis, &answer)
    }

    /// The best recipe nearby within a part of the way to a step's guards, drawn.
    fn within(&self, step: &Step, part: f64) -> Option<Held> {
        let mut guards = step.guards.clone();
        for room in &self.at.rooms.all {
            let had = room.room.clamp(0.0, lean::FAR * room.sd);
            let guard = &mut guards[room.limit];
            *guard = had + part * (*guard - had);
        }
        Held::of(self.basis, &guard::within(self.basis, &guards))
    }
}

//! How the chance that all limits pass together depends on how far inside each of them a recipe lies.
//!
//! A recipe's draws, moved as they are: what is drawn is how far a result misses its prediction, and that
//! hardly changes while the prediction moves a little.

use crate::declare::problem::Problem;
use crate::predict::cause::Causes;
use crate::predict::chance::Sample;
use crate::standard::normal;

/// Half the width, in standard deviations, of the window in which draws are counted for a density.
const WINDOW: f64 = 0.25;

/// With fewer draws than this in the window, they do not tell.
const FEWEST: f64 = 30.0;

/// One drawn limit.
#[derive(Debug, Clone)]
pub struct Room {
    /// The problem's limit.
    pub limit: usize,
    /// How far inside its stated number the prediction lies, in the property's unit.
    pub room: f64,
    /// One standard deviation of what is reported, to first order.
    pub sd: f64,
    /// How far each draw misses the prediction towards the limit.
    misses: Vec<f64>,
}

/// The drawn limits of a recipe.
#[derive(Debug, Clone)]
pub struct Rooms {
    /// One for each drawn limit.
    pub all: Vec<Room>,
    draws: usize,
}

impl Rooms {
    /// Of a recipe's draws, and the causes that they were drawn from.
    #[must_use]
    pub fn of(problem: &Problem, sample: &Sample, causes: &Causes) -> Self {
        let sd = |l: usize| {
            let place = causes.place(&problem.limits[l].property);
            place.map_or(0.0, |k| causes.sd(k))
        };
        let room = |l: usize| {
            Some(Room {
                limit: l,
                room: sample.room(problem, l)?,
                sd: sd(l),
                misses: sample.misses(problem, l)?,
            })
        };
        Rooms {
            all: (0..problem.limits.len()).filter_map(room).collect(),
            draws: sample.chances.draws,
        }
    }

    /// The part of the draws in which every limit passes, were the prediction of each so far inside it.
    #[must_use]
    #[expect(clippy::cast_precision_loss, reason = "a count of draws")]
    pub fn passed(&self, inside: &[f64]) -> f64 {
        let failed = self.failed(inside);
        let passed = failed.iter().filter(|f| **f == 0).count();
        passed as f64 / self.draws.max(1) as f64
    }

    /// How many limits fail, draw by draw.
    fn failed(&self, inside: &[f64]) -> Vec<u32> {
        let mut failed = vec![0; self.draws];
        for (room, inside) in self.all.iter().zip(inside) {
            for (failed, miss) in failed.iter_mut().zip(&room.misses) {
                *failed += u32::from(miss > inside);
            }
        }
        failed
    }

    /// For how much each limit's failures count where all is to pass: the slope of the logarithm of the
    /// chance by the limit's room, over what it would be were its misses normal and nobody else's. 1 for
    /// independent limits; close to 0 for one that only fails where another does. `None` where too few
    /// draws tell.
    #[must_use]
    #[expect(clippy::cast_precision_loss, reason = "counts of draws")]
    pub fn counts(&self) -> Vec<Option<f64>> {
        let inside: Vec<f64> = self.all.iter().map(|r| r.room).collect();
        let failed = self.failed(&inside);
        let passed = failed.iter().filter(|f| **f == 0).count() as f64;
        let count = |room: &Room| {
            let z = room.room / room.sd;
            let window = normal::below(z + WINDOW) - normal::below(z - WINDOW);
            let expected = passed * window / normal::below(z);
            if expected.is_nan() || expected < FEWEST {
                return None;
            }
            let decides = failed.iter().zip(&room.misses).filter(|(failed, miss)| {
                let others = *failed - u32::from(**miss > room.room);
                others == 0 && (**miss - room.room).abs() <= WINDOW * room.sd
            });
            Some(decides.count() as f64 / expected)
        };
        self.all.iter().map(count).collect()
    }
}

//! Which points a sweep has, in which order, and in which chunks they are solved.

use crate::declare::dial::Dial;
use crate::declare::dial::Setting;
use crate::declare::problem::Problem;
use crate::declare::property::Property;
use crate::declare::stops::Stops;
use std::ops::Range;

/// Points of a chunk. A chunk begins cold and is warm inside, so this number is part of the answer: it
/// must depend on nothing. Large enough that the cold start is little of the work, small enough that a
/// few dozen points keep several cores busy.
pub const CHUNK: usize = 16;

/// A sweep to be made.
#[derive(Debug, Clone)]
pub struct Plan {
    problem: Problem,
    varied: Vec<(Dial, Stops)>,
    limited: Vec<Property>,
}

impl Plan {
    /// Of a problem in which every dial has been set once, so that its limits have their places.
    #[must_use]
    pub fn new(problem: Problem, varied: Vec<(Dial, Stops)>) -> Self {
        let mut limited: Vec<Property> = Vec::new();
        let mut add = |problem: &Problem| {
            for limit in &problem.limits {
                if !limited.contains(&limit.property) {
                    limited.push(limit.property.clone());
                }
            }
        };
        let mut worded = problem.clone();
        add(&worded);
        // Another word brings other limits; two dials of words make every pair of them.
        let words: Vec<&(Dial, Stops)> = varied.iter().filter(|(d, _)| d.takes_words()).collect();
        for first in words.iter().flat_map(|(d, s)| settings(d, s)) {
            first.0.set(&mut worded, &first.1);
            for second in words.iter().flat_map(|(d, s)| settings(d, s)) {
                if second.0.path != first.0.path {
                    second.0.set(&mut worded, &second.1);
                }
                add(&worded);
            }
        }
        Plan {
            problem,
            varied,
            limited,
        }
    }

    /// The problem, every dial at its first setting.
    #[must_use]
    pub fn problem(&self) -> &Problem {
        &self.problem
    }

    /// The dials with their settings; the first moves slowest.
    #[must_use]
    pub fn varied(&self) -> &[(Dial, Stops)] {
        &self.varied
    }

    /// Every property that is limited at some point.
    #[must_use]
    pub fn limited(&self) -> &[Property] {
        &self.limited
    }

    /// How many points.
    #[must_use]
    pub fn points(&self) -> usize {
        let lengths = self.varied.iter().map(|(_, stops)| stops.len());
        lengths.fold(1, usize::saturating_mul)
    }

    /// How many chunks.
    #[must_use]
    pub fn chunks(&self) -> usize {
        self.points().div_ceil(CHUNK)
    }

    /// The points of a chunk.
    #[must_use]
    pub fn chunk(&self, chunk: usize) -> Range<usize> {
        let begin = (chunk * CHUNK).min(self.points());
        begin..(begin + CHUNK).min(self.points())
    }

    /// The chunks of one of several parts, which follow on each other; a part may be empty.
    #[must_use]
    pub fn part(&self, part: usize, of: usize) -> Range<usize> {
        let end = |part: usize| {
            let wide = self.chunks() as u128 * part as u128 / of.max(1) as u128;
            usize::try_from(wide).unwrap_or(usize::MAX)
        };
        end(part)..end(part + 1)
    }

    /// The settings at a point.
    #[must_use]
    pub fn at(&self, point: usize) -> Vec<Setting> {
        self.places(point)
            .into_iter()
            .zip(&self.varied)
            .map(|(place, (_, stops))| stops.at(place))
            .collect()
    }

    /// The place of a point along each path.
    #[must_use]
    pub fn places(&self, point: usize) -> Vec<usize> {
        let mut rest = point;
        let mut places: Vec<usize> = self
            .varied
            .iter()
            .rev()
            .map(|(_, stops)| {
                let place = rest % stops.len();
                rest /= stops.len();
                place
            })
            .collect();
        places.reverse();
        places
    }

    /// The one path, where it is a range of numbers: then what lies between the points is of interest.
    #[must_use]
    pub fn line(&self) -> Option<(&Dial, &Stops)> {
        match self.varied.as_slice() {
            [(dial, stops)] if stops.is_range() && !dial.takes_whole_numbers() => {
                Some((dial, stops))
            }
            _ => None,
        }
    }

    /// The problem with each dial at a setting.
    #[must_use]
    pub fn problem_at(&self, settings: &[Setting]) -> Problem {
        let mut problem = self.problem.clone();
        self.set(&mut problem, settings);
        problem
    }

    /// Sets each dial of a problem.
    pub fn set(&self, problem: &mut Problem, settings: &[Setting]) {
        for ((dial, _), setting) in self.varied.iter().zip(settings) {
            dial.set(problem, setting);
        }
    }
}

fn settings<'a>(dial: &'a Dial, stops: &'a Stops) -> impl Iterator<Item = (&'a Dial, Setting)> {
    (0..stops.len()).map(move |place| (dial, stops.at(place)))
}

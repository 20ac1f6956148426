//! From one value of a moving number to the value at which something else begins to hold.

use crate::solve::follow::stand::BROKEN;
use crate::solve::follow::stand::Event;
use crate::solve::follow::stand::Stand;
use crate::solve::task::Task;

/// First step, in spans of the number.
const FIRST: f64 = 1e-3;

/// Most steps of one path.
const STEPS: usize = 120;

/// The end of a path is found to this part of the number's span.
const PRECISE: f64 = 1e-9;

/// How a step grows where nothing is foreseen.
const GROWTH: f64 = 4.0;

/// A stand followed to its end.
#[derive(Debug, Clone, PartialEq)]
pub struct Track {
    /// The last value at which the same holds hold.
    pub to: f64,
    /// The stand there.
    pub last: Stand,
    /// What ends it; `None` where nothing does before the number's own end.
    pub event: Option<Event>,
    /// The stand after the first accepted step, with its value: the direction in which the recipe
    /// moves. `None` where the path has no length.
    pub early: Option<(f64, Stand)>,
}

/// A moving number: the task at each of its values, and how it moves.
pub struct Course<'a> {
    /// The task at a value; `None` where the problem has none.
    pub task: &'a dyn Fn(f64) -> Option<Task>,
    /// A natural size of the number.
    pub span: f64,
    /// Where the number itself ends, in the direction of the course.
    pub limit: f64,
}

/// A stand at a value, and its rooms.
struct Station {
    t: f64,
    stand: Stand,
    rooms: Vec<(Event, f64)>,
}

impl Station {
    fn reach(course: &Course, from: &Stand, t: f64) -> Option<Station> {
        let task = (course.task)(t)?;
        let mut stand = from.clone();
        stand.settle(&task)?;
        let rooms = stand.rooms(&task);
        Some(Station { t, stand, rooms })
    }

    fn worst(&self) -> Option<(Event, f64)> {
        self.rooms
            .iter()
            .copied()
            .min_by(|a, b| a.1.total_cmp(&b.1))
    }

    fn is_sound(&self) -> bool {
        self.worst().is_none_or(|(_, room)| room >= BROKEN)
    }
}

/// Follows a stand from a value to the end of its validity, towards the course's limit.
#[must_use]
pub fn follow(course: &Course, stand: &Stand, from: f64) -> Option<Track> {
    let mut here = Station::reach(course, stand, from)?;
    let mut early = None;
    if !here.is_sound() {
        let event = here.worst().map(|(event, _)| event);
        return Some(Track {
            to: from,
            last: here.stand,
            event,
            early,
        });
    }
    let towards = if course.limit >= from { 1.0 } else { -1.0 };
    let mut step = FIRST * course.span;
    // Beyond: a value at which the stand is known not to hold, with what broke where that is known.
    let mut beyond: Option<(f64, Option<Station>)> = None;
    for _ in 0..STEPS {
        let left = match &beyond {
            Some((t, _)) => (t - here.t).abs(),
            None => (course.limit - here.t).abs(),
        };
        if left <= PRECISE * course.span {
            break;
        }
        let ahead = match &beyond {
            Some((_, broken)) => between(&here, broken.as_ref(), left),
            None => step.min(left),
        };
        let t = if ahead >= left && beyond.is_none() {
            course.limit
        } else {
            here.t + towards * ahead
        };
        match Station::reach(course, &here.stand, t) {
            Some(next) if next.is_sound() => {
                step = foreseen(&here, &next).unwrap_or(GROWTH * step);
                early.get_or_insert_with(|| (next.t, next.stand.clone()));
                here = next;
            }
            broken => beyond = Some((t, broken)),
        }
    }
    let event = beyond.map(|(_, broken)| {
        broken
            .and_then(|b| b.worst())
            .or_else(|| here.worst())
            .map(|(event, _)| event)
    });
    Some(Track {
        to: here.t,
        last: here.stand,
        event: event.flatten(),
        early,
    })
}

/// How far on, by the last two stations, the first room would be used up.
fn foreseen(before: &Station, now: &Station) -> Option<f64> {
    let length = (now.t - before.t).abs();
    let mut first: Option<f64> = None;
    for (event, room) in &now.rooms {
        let Some((_, was)) = before.rooms.iter().find(|(e, _)| e == event) else {
            continue;
        };
        let used = (was - room) / length;
        if used > 0.0 && room.max(0.0) / used < first.unwrap_or(f64::INFINITY) {
            first = Some(room.max(0.0) / used);
        }
    }
    // A little beyond, so that what is foreseen exactly is also seen to break.
    first.map(|f| f * (1.0 + 1e-6) + 1e-3 * length)
}

/// A step between a sound station and a broken one: where the first room would be used up, kept off
/// both ends.
fn between(here: &Station, broken: Option<&Station>, left: f64) -> f64 {
    let Some(broken) = broken else {
        return 0.5 * left;
    };
    let mut part: f64 = 1.0;
    for (event, room) in &broken.rooms {
        if *room >= BROKEN {
            continue;
        }
        if let Some((_, was)) = here.rooms.iter().find(|(e, _)| e == event) {
            let was = was.max(0.0);
            part = part.min(was / (was - room));
        }
    }
    left * part.clamp(0.02, 0.98)
}

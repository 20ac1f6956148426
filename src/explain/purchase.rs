//! How far the price of each component used may move before other components are used.

use crate::explain::knob::Knob;
use crate::explain::turn::End;
use crate::explain::turn::Ground;
use crate::explain::turn::NONE_OF_IT;
use crate::explain::turn::Rival;
use crate::explain::turn::Turn;
use crate::solve::follow::path::Track;
use crate::solve::follow::stand::Stand;

/// The prices of one component for which the same components are used.
#[derive(Debug, Clone, PartialEq)]
pub struct Purchase {
    /// The component, by index.
    pub component: usize,
    /// Its price per kg.
    pub price: f64,
    /// Where the range ends below.
    pub cheaper: End,
    /// Where it ends above.
    pub dearer: End,
}

/// Most stretches with other limits but the same components.
const STRETCHES: usize = 12;

/// The price ranges of the components used, by column; empty where the goal is no cost.
#[must_use]
pub fn all(ground: &Ground) -> Vec<Purchase> {
    if !ground.problem.goal.property.is_money() {
        return Vec::new();
    }
    let mut found = Vec::new();
    for (k, &component) in ground.base.columns.iter().enumerate() {
        let knob = Knob::Price(component);
        let Some(price) = knob.value(ground.problem) else {
            continue;
        };
        if ground.stand.x[k] <= NONE_OF_IT {
            continue;
        }
        let (low, high) = knob.ends(ground.problem);
        let (Some(cheaper), Some(dearer)) = (
            range(ground, &knob, price, low),
            range(ground, &knob, price, high),
        ) else {
            continue;
        };
        found.push(Purchase {
            component,
            price,
            cheaper,
            dearer,
        });
    }
    found
}

/// A stretch of prices with one set of limits and components.
struct Stretch {
    from: f64,
    track: Track,
    turn: Option<Turn>,
}

/// The end of a price's range towards a value: stretch after stretch while the same components are
/// used.
fn range(ground: &Ground, knob: &Knob, price: f64, towards: f64) -> Option<End> {
    let mut stretches: Vec<Stretch> = Vec::new();
    let (mut from, mut stand, mut broken) = (price, ground.stand.clone(), false);
    while stretches.len() < STRETCHES {
        let track = ground.track(knob, &stand, from, towards)?;
        let mut turn = track.event.and_then(|event| ground.turn(event));
        let next = match turn {
            Some(Turn::Binds(_) | Turn::Frees(_)) => ground.onward(knob, &track, towards),
            _ => None,
        };
        // Other limits hold beyond; the components may be the same.
        let other = next.as_ref().and_then(|(_, next)| changed(ground, next));
        broken = next.is_none() && matches!(turn, Some(Turn::Binds(_) | Turn::Frees(_)));
        turn = other.or(turn);
        stretches.push(Stretch { from, track, turn });
        let Some((beyond, after)) = next.filter(|_| other.is_none()) else {
            break;
        };
        (from, stand) = (beyond, after);
    }
    let full = stretches.len() == STRETCHES;
    let mut end = checked(ground, knob, &stretches)?;
    // Where the way on was lost, the components may be the same still.
    end.sure &= !(broken || full);
    Some(end)
}

/// The end of the last stretch, or where another recipe takes over in one before it.
///
/// The cheapest cost is concave in a price, and the cost of one recipe linear: a recipe that is best at
/// both ends of a stretch is best in between.
fn checked(ground: &Ground, knob: &Knob, stretches: &[Stretch]) -> Option<End> {
    let last = stretches.last()?;
    let end = |s: &Stretch| Ground::ended(&s.track, s.turn);
    match ground.rival_inside(knob, last.from, &last.track) {
        Rival::None => {
            return Some(End {
                sure: true,
                ..end(last)
            });
        }
        Rival::Unknown => {
            return Some(End {
                sure: false,
                ..end(last)
            });
        }
        Rival::Better(_) => {}
    }
    stretches.iter().find_map(|s| {
        let Rival::Better(rival) = ground.rival_inside(knob, s.from, &s.track) else {
            return None;
        };
        Some(End {
            at: Some(ground.overtaken(knob, &s.track, s.from, rival)),
            turn: Some(Turn::Other),
            last: false,
            sure: true,
        })
    })
}

/// The first component that another stand uses and this does not, or the reverse.
fn changed(ground: &Ground, next: &Stand) -> Option<Turn> {
    let used = |x: f64| x > NONE_OF_IT;
    let at = |k: usize| (used(ground.stand.x[k]), used(next.x[k]));
    (0..ground.base.columns.len()).find_map(|k| match at(k) {
        (true, false) => Some(Turn::Leaves(ground.base.columns[k])),
        (false, true) => Some(Turn::Enters(ground.base.columns[k])),
        _ => None,
    })
}

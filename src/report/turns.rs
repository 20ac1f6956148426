//! Where a range ends, in words.

use crate::declare::problem::Problem;
use crate::explain::turn::Bar;
use crate::explain::turn::End;
use crate::explain::turn::Turn;
use crate::report::bound::Bound;
use crate::report::words;

/// What happens at the end of a range; `own` are the limits that were moved.
#[must_use]
pub fn clause(problem: &Problem, end: &End, own: &[usize]) -> String {
    let what = match end.turn {
        Some(turn) => turn_clause(problem, turn, own),
        None => "something else takes over".into(),
    };
    let last = if end.last {
        ", and beyond that there is no recipe"
    } else {
        ""
    };
    format!("{what}{last}")
}

fn turn_clause(problem: &Problem, turn: Turn, own: &[usize]) -> String {
    let id = |j: usize| problem.components[j].id.clone();
    match turn {
        Turn::Binds(Bar::Limit(l)) => format!("the limit on {} takes hold", limit(problem, l)),
        Turn::Frees(Bar::Limit(l)) if own.contains(&l) => "it holds nothing any more".into(),
        Turn::Frees(Bar::Limit(l)) => {
            format!("the limit on {} lets go", limit(problem, l))
        }
        Turn::Binds(Bar::Least(j)) => format!("{} falls to its lowest treat rate", id(j)),
        Turn::Binds(Bar::Most(j)) => format!("{} reaches its highest treat rate", id(j)),
        Turn::Frees(Bar::Least(j)) => format!("{} rises from its lowest treat rate", id(j)),
        Turn::Frees(Bar::Most(j)) => format!("{} falls from its highest treat rate", id(j)),
        Turn::Leaves(j) => format!("{} drops out", id(j)),
        Turn::Enters(j) => format!("{} comes in", id(j)),
        Turn::Other => "quite another recipe is better".into(),
    }
}

/// `KV100 (at least 16.3 mm²/s)`.
fn limit(problem: &Problem, index: usize) -> String {
    let limit = &problem.limits[index];
    let bound = Bound::limit(problem, limit);
    format!("{} ({})", words::property(&limit.property), bound.alone())
}

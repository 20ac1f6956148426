//! Shrinking a region by interval arithmetic alone, before any linear program.
//!
//! A limit `a(I) + b(q, κ, V) ≤ L` leaves no recipe with `a(I) > L − min b`, nor one whose polymer
//! alone makes `b > L − min a`. Both parts rise in what they depend on here, so an end of a scalar's
//! interval can be moved inward as long as everything beyond it misses the limit.

use crate::declare::problem::Side;
use crate::solve::prove::estimate;
use crate::solve::prove::estimate::From;
use crate::solve::prove::estimate::LogViscosity;
use crate::solve::prove::estimate::Shape;
use crate::solve::prove::index_edge;
use crate::solve::prove::interval::Interval;
use crate::solve::prove::relax::Bend;
use crate::solve::prove::relax::Model;
use crate::solve::prove::relax::Region;
use crate::solve::prove::thickening;
use crate::solve::task::Task;

/// Room left beyond a computed end, in parts of its size: the inverse of a link is computed in plain
/// double precision, with an error of a few units of 1e-16 amplified by its slope.
const ROOM: f64 = 1e-9;

/// Halvings in the search for a polymer's end.
const HALVINGS: i32 = 6;

/// Passes over all limits.
const PASSES: usize = 2;

/// Shrinks a region in place; false when it is shown to hold no recipe.
#[must_use]
pub fn shrink(model: &Model, task: &Task, region: &mut Region) -> bool {
    for _ in 0..PASSES {
        let before = region.clone();
        for (k, bend) in model.bends.iter().enumerate() {
            if region.kept[k] {
                continue;
            }
            let holds = match &bend.shape {
                Shape::Log(f) => by_log(model, task, region, f, (k, bend)),
                Shape::Index(f40, f100) => {
                    by_index(model, task, region, (f40, f100), bend.side, bend.bound)
                }
            };
            if !holds {
                return false;
            }
        }
        // Another pass would find the same.
        if *region == before {
            break;
        }
    }
    true
}

fn by_log(
    model: &Model,
    task: &Task,
    region: &mut Region,
    f: &LogViscosity,
    (place, bend): (usize, &Bend),
) -> bool {
    let (side, bound) = (bend.side, bend.bound);
    let Some(cell) = model.cell(task, region, f) else {
        return true;
    };
    let b = thickening::range(f, &cell.rest);
    let fluid = estimate::fluid(f, cell.index);
    let all = fluid + b;
    match side {
        Side::Max if all.lo > bound => return false,
        Side::Min if all.hi < bound => return false,
        Side::Max => region.kept[place] = all.hi <= bound,
        Side::Min => region.kept[place] = all.lo >= bound,
    }
    if region.kept[place] {
        return true;
    }
    let end = match side {
        Side::Max => bound - b.lo,
        Side::Min => bound - b.hi,
    };
    if !move_index(model, region, f, side, end) {
        return false;
    }
    // The far end of the index has just been moved; the near one, which decides here, has not.
    for &polymer in &model.polymers {
        move_polymer(model, task, region, f, (side, bound, fluid), polymer);
    }
    true
}

/// Moves the end of an index beyond which `ln link(I)` passes `end`.
fn move_index(model: &Model, region: &mut Region, f: &LogViscosity, side: Side, end: f64) -> bool {
    let Some(q) = model
        .quotients
        .iter()
        .position(|p| *p == (f.index, f.weight))
    else {
        return true;
    };
    let Some(at) = f.link.index(end.exp()) else {
        return true;
    };
    let room = ROOM * (1.0 + at.abs());
    let over = &mut region.quotients[q];
    match side {
        Side::Max => over.hi = over.hi.min(at + room),
        Side::Min => over.lo = over.lo.max(at - room),
    }
    over.lo <= over.hi
}

/// Moves the end of a polymer's treat rate beyond which the limit is missed whatever else the region
/// holds. `fluid` encloses what the index makes, which does not know of the polymer's treat rate.
fn move_polymer(
    model: &Model,
    task: &Task,
    region: &mut Region,
    f: &LogViscosity,
    (side, bound, fluid): (Side, f64, Interval),
    column: usize,
) {
    let totals = [f.kept, f.crowding, f.volume];
    let carried = |total: &Option<usize>| total.is_some_and(|t| task.totals[t][column] != 0.0);
    if !totals[..2].iter().any(carried) {
        return;
    }
    let others = totals.map(|t| t.map(|t| Model::by_columns_but(task, region, t, column)));
    let (lo, hi) = (region.lower[column], region.upper[column]);
    let misses = |lo: f64, hi: f64| {
        let rest: [Interval; 3] = std::array::from_fn(|k| match (totals[k], others[k]) {
            (Some(total), Some(others)) => {
                let own = Interval::new(lo, hi).times(task.totals[total][column]);
                let all = model.confined(region, total, others + own);
                if k < 2 { all.nonnegative() } else { all }
            }
            _ => Interval::point(if k < 2 { 0.0 } else { 1.0 }),
        });
        match side {
            Side::Max => {
                (Interval::point(fluid.lo) + Interval::point(thickening::end(f, &rest, false))).lo
                    > bound
            }
            Side::Min => {
                (Interval::point(fluid.hi) + Interval::point(thickening::end(f, &rest, true))).hi
                    < bound
            }
        }
    };
    let missed_by = |part: f64| {
        let part = part * (hi - lo);
        match side {
            Side::Max => misses(hi - part, hi),
            Side::Min => misses(lo, lo + part),
        }
    };
    // The largest part of the interval, from its far end, that misses the limit. Where the least part
    // does not, no larger one can.
    let mut keep = 0.0;
    if missed_by(0.5_f64.powi(HALVINGS)) {
        for k in 1..=HALVINGS {
            let step = 0.5_f64.powi(k);
            if missed_by(keep + step) {
                keep += step;
            }
        }
    }
    let part = keep * (hi - lo);
    (region.lower[column], region.upper[column]) = match side {
        Side::Max => (lo, hi - part),
        Side::Min => (lo + part, hi),
    };
}

/// VI ≥ v leaves no recipe with ln ν40 above the edge at the thickest ν100 of the region.
fn by_index(
    model: &Model,
    task: &Task,
    region: &mut Region,
    parts: (&LogViscosity, &LogViscosity),
    side: Side,
    vi: f64,
) -> bool {
    let (f40, f100) = parts;
    let (Some(c40), Some(c100)) = (
        model.cell(task, region, f40),
        model.cell(task, region, f100),
    ) else {
        return true;
    };
    let t = estimate::enclose(f100, &c100);
    let from = match side {
        Side::Min => From::Above,
        Side::Max => From::Below,
    };
    let Some(edge) = index_edge::extreme(vi, t, from) else {
        return true;
    };
    let b = thickening::range(f40, &c40.rest);
    match side {
        Side::Min => move_index(model, region, f40, Side::Max, edge - b.lo),
        Side::Max => move_index(model, region, f40, Side::Min, edge - b.hi),
    }
}

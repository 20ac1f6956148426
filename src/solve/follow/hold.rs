//! What can hold a point: a side of an exact row, a curved limit, an edge of a treat band.
//!
//! Each is a *room* that must not be negative, in parts of its own scale.

use crate::declare::problem::Side;
use crate::predict::formula::Formula;
use crate::quantity::Celsius;
use crate::solve::program::Row;
use crate::solve::task::Curve;
use crate::solve::task::Task;
use crate::standard::viscosity_index;
use nalgebra::DMatrix;

/// One thing that may hold a point.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Hold {
    /// A side of an exact row, by index.
    Row(usize, Side),
    /// A curved limit, by index.
    Curve(usize),
    /// A row of the viscosity index's table, by the index's curved limit and its place in the table: the
    /// index has a kink there, and a best recipe can stand in it.
    Seam(usize, usize),
    /// An edge of a column's treat band.
    Edge(usize, Side),
}

/// A row whose sides are equal is one hold, by its lower side.
#[must_use]
pub fn is_equality(row: &Row) -> bool {
    row.lower.total_cmp(&row.upper).is_eq()
}

/// Every row and curved limit of a task that can hold a point; the edges of columns are apart.
#[must_use]
pub fn limits(task: &Task) -> Vec<Hold> {
    let mut all = Vec::new();
    for (i, row) in task.exact.rows.iter().enumerate() {
        if row.lower.is_finite() {
            all.push(Hold::Row(i, Side::Min));
        }
        if row.upper.is_finite() && !is_equality(row) {
            all.push(Hold::Row(i, Side::Max));
        }
    }
    all.extend((0..task.curved.len()).map(Hold::Curve));
    all
}

/// Which way a side's room grows.
fn sign(side: Side) -> f64 {
    match side {
        Side::Min => 1.0,
        Side::Max => -1.0,
    }
}

/// The room of a hold at a point; negative where it is broken, `None` where it is undefined.
#[must_use]
pub fn room(task: &Task, hold: Hold, x: &[f64]) -> Option<f64> {
    let room = match hold {
        Hold::Row(i, side) => {
            let row = task.exact.rows.get(i)?;
            // The row may carry more columns than the point has components.
            let bound = match side {
                Side::Min => row.lower,
                Side::Max => row.upper,
            };
            sign(side) * (row.value(x) - bound) / row.scale()
        }
        Hold::Curve(c) => {
            let limit = task.curved.get(c)?;
            sign(limit.side) * (task.value(&limit.curve, x)? - limit.bound) / limit.scale
        }
        Hold::Seam(c, k) => {
            let kv100 = kv100(&task.curved.get(c)?.curve)?;
            task.value(&kv100, x)? - seam(k)?
        }
        Hold::Edge(j, Side::Min) => x.get(j)? - task.exact.lower.get(j)?,
        Hold::Edge(j, Side::Max) => task.exact.upper.get(j)? - x.get(j)?,
    };
    room.is_finite().then_some(room)
}

/// The scale in which a hold's room is told, on the hold's own.
#[must_use]
pub fn scale(task: &Task, hold: Hold) -> f64 {
    match hold {
        Hold::Row(i, _) => task.exact.rows.get(i).map_or(1.0, Row::scale),
        Hold::Curve(c) => task.curved.get(c).map_or(1.0, |limit| limit.scale),
        Hold::Seam(..) | Hold::Edge(..) => 1.0,
    }
}

/// The slope of a hold's room by column.
#[must_use]
pub fn slope(task: &Task, hold: Hold, x: &[f64]) -> Option<Vec<f64>> {
    match hold {
        Hold::Row(i, side) => {
            let row = task.exact.rows.get(i)?;
            let factor = sign(side) / row.scale();
            Some(row.coefficients.iter().map(|a| factor * a).collect())
        }
        Hold::Curve(c) => {
            let limit = task.curved.get(c)?;
            let factor = sign(limit.side) / limit.scale;
            let (_, slope) = task.tangent(&limit.curve, x)?;
            Some(slope.iter().map(|s| factor * s).collect())
        }
        Hold::Seam(c, _) => {
            let kv100 = kv100(&task.curved.get(c)?.curve)?;
            Some(task.tangent(&kv100, x)?.1)
        }
        Hold::Edge(j, side) => {
            let mut slope = vec![0.0; x.len()];
            *slope.get_mut(j)? = sign(side);
            Some(slope)
        }
    }
}

/// The second derivatives of a hold's room, where it is curved.
#[must_use]
pub fn curvature(task: &Task, hold: Hold, x: &[f64]) -> Option<DMatrix<f64>> {
    match hold {
        Hold::Curve(c) => {
            let limit = task.curved.get(c)?;
            Some(task.curvature(&limit.curve, x)? * (sign(limit.side) / limit.scale))
        }
        Hold::Seam(c, _) => task.curvature(&kv100(&task.curved.get(c)?.curve)?, x),
        Hold::Row(..) | Hold::Edge(..) => None,
    }
}

/// The seams of viscosity-index limits on which a point stands.
#[must_use]
pub fn seams(task: &Task, x: &[f64], near: f64) -> Vec<Hold> {
    let mut found = Vec::new();
    for (c, limit) in task.curved.iter().enumerate() {
        let holds = room(task, Hold::Curve(c), x).is_some_and(|r| r.abs() <= near);
        let Some(kv100) = kv100(&limit.curve).filter(|_| holds) else {
            continue;
        };
        let Some(at) = task.value(&kv100, x) else {
            continue;
        };
        let on = (0..)
            .map_while(seam)
            .position(|seam| (at - seam).abs() <= near);
        found.extend(on.map(|k| Hold::Seam(c, k)));
    }
    found
}

/// The logarithm of the viscosity at a row of the table.
fn seam(place: usize) -> Option<f64> {
    viscosity_index::rows().nth(place).map(f64::ln)
}

/// The kinematic viscosity at 100 °C behind a viscosity index, as its logarithm; `None` for another
/// curve.
fn kv100(index: &Curve) -> Option<Curve> {
    let pick = |formula, places: &[usize]| Curve {
        formula,
        totals: places.iter().map(|&k| index.totals[k]).collect(),
        logarithmic: true,
    };
    match index.formula {
        Formula::Vi { link } => Some(pick(Formula::Quotient(link), &[1, 2])),
        Formula::ViThickened { link, law } => {
            let at = Celsius::whole(100);
            Some(pick(Formula::Thickened { link, law, at }, &[1, 2, 3, 6, 7]))
        }
        _ => None,
    }
}

//! Proofs by multipliers: that no point of a program is better, or that there is no point at all.
//!
//! A back end's word is not a proof. Any vector of row multipliers gives a bound that holds by plain
//! arithmetic ([`Program::bound`]); this module only has to find good ones. First from the rows
//! that are tight at the best point; where those are too many or too few, from the dual program.

use crate::solve::backend;
use crate::solve::backend::Reply;
use crate::solve::program::Program;
use crate::solve::program::Row;
use nalgebra::DMatrix;
use nalgebra::DVector;

/// A bound within this part of the goal's size closes the gap of one linear program: both sides
/// come from the same arithmetic at about 1e-12.
pub const GAP: f64 = 1e-9;

/// A row within this part of its scale of a side is tight.
const TIGHT_ROW: f64 = 1e-7;

/// A variable within this of a bound sits on it.
const ON_BOUND: f64 = 1e-9;

/// The least violation, in parts of each row's scale, for which a proof of emptiness is sought: what
/// a back end may leave on its own.
pub const EMPTY_BY: f64 = 1e-8;

/// Size against which a gap is measured: the goal's terms at a point, at least a millionth of its
/// largest weight.
#[must_use]
pub fn goal_size(program: &Program, x: &[f64]) -> f64 {
    let terms: f64 = program.cost.iter().zip(x).map(|(c, x)| (c * x).abs()).sum();
    let largest = program.cost.iter().fold(0.0_f64, |m, c| m.max(c.abs()));
    terms.max(1e-6 * largest).max(f64::MIN_POSITIVE.sqrt())
}

/// Multipliers that prove `x` best within [`GAP`], if they were found.
#[must_use]
pub fn of_best(program: &Program, x: &[f64]) -> Option<Vec<f64>> {
    let closes = |y: &Vec<f64>| {
        program.goal(x) - program.bound(&program.cost, y) <= GAP * goal_size(program, x)
    };
    if let Some(y) = quick(program, x).filter(closes) {
        return Some(y);
    }
    slow(program).filter(closes)
}

/// Multipliers solved from the rows that are tight at `x` (unique where `x` is no kink).
#[must_use]
pub fn quick(program: &Program, x: &[f64]) -> Option<Vec<f64>> {
    let tight: Vec<usize> = program
        .rows
        .iter()
        .enumerate()
        .filter(|(_, row)| {
            let v = row.value(x);
            (v - row.lower).abs().min((row.upper - v).abs()) <= TIGHT_ROW * row.scale()
        })
        .map(|(i, _)| i)
        .collect();
    let free: Vec<usize> = (0..program.width())
        .filter(|&j| x[j] > program.lower[j] + ON_BOUND && x[j] < program.upper[j] - ON_BOUND)
        .collect();
    let mut y = vec![0.0; program.rows.len()];
    if tight.is_empty() || free.is_empty() {
        return Some(y);
    }
    let scales: Vec<f64> = tight.iter().map(|&i| program.rows[i].scale()).collect();
    let a = DMatrix::from_fn(free.len(), tight.len(), |r, c| {
        program.rows[tight[c]].coefficients[free[r]] / scales[c]
    });
    let b = DVector::from_fn(free.len(), |r, _| program.cost[free[r]]);
    let solved = if a.is_square() {
        a.lu().solve(&b)
    } else {
        a.svd(true, true).solve(&b, f64::EPSILON * 1e3).ok()
    }?;
    for ((&i, scale), value) in tight.iter().zip(&scales).zip(solved.iter()) {
        y[i] = value / scale;
    }
    Some(leaning_on_finite_sides(program, y))
}

/// Multipliers that lean on an infinite side are rounding: they are set to nothing.
#[must_use]
pub fn leaning_on_finite_sides(program: &Program, mut y: Vec<f64>) -> Vec<f64> {
    for (y, row) in y.iter_mut().zip(&program.rows) {
        let side = if *y > 0.0 { row.lower } else { row.upper };
        if !side.is_finite() || !y.is_finite() {
            *y = 0.0;
        }
    }
    y
}

/// Largest multiplier sought, in goal per row scale: far above any price a blend can have.
const LARGEST: f64 = 1e9;

/// Multipliers from the dual program, solved by the same back end.
///
/// ```text
/// maximise Σ lower·y⁺ − upper·y⁻ + Σ l·r⁺ − u·r⁻   subject to   Aᵀ(y⁺ − y⁻) + r⁺ − r⁻ = c
/// ```
#[must_use]
pub fn slow(program: &Program) -> Option<Vec<f64>> {
    let n = program.width();
    let mut dual = Program {
        rows: (0..n)
            .map(|j| Row {
                coefficients: Vec::new(),
                lower: program.cost[j],
                upper: program.cost[j],
            })
            .collect(),
        ..Program::default()
    };
    let mut owner: Vec<Option<(usize, f64)>> = Vec::new();
    let mut column = |dual: &mut Program, cost: f64, entries: &[(usize, f64)], who| {
        dual.cost.push(cost);
        dual.lower.push(0.0);
        dual.upper.push(LARGEST);
        for row in &mut dual.rows {
            row.coefficients.push(0.0);
        }
        let last = dual.cost.len() - 1;
        for &(j, a) in entries {
            dual.rows[j].coefficients[last] = a;
        }
        owner.push(who);
    };
    for (i, row) in program.rows.iter().enumerate() {
        let scale = row.scale();
        for (side, sign) in [(row.lower, 1.0), (row.upper, -1.0)] {
            if side.is_finite() {
                let entries: Vec<(usize, f64)> = row
                    .coefficients
                    .iter()
                    .enumerate()
                    .filter(|(_, a)| **a != 0.0)
                    .map(|(j, a)| (j, sign * a / scale))
                    .collect();
                column(
                    &mut dual,
                    -sign * side / scale,
                    &entries,
                    Some((i, sign / scale)),
                );
            }
        }
    }
    for j in 0..n {
        column(&mut dual, -program.lower[j], &[(j, 1.0)], None);
        column(&mut dual, program.upper[j], &[(j, -1.0)], None);
    }
    let Reply::Best(solved) = backend::best(&dual) else {
        return None;
    };
    let mut y = vec![0.0; program.rows.len()];
    for (value, who) in solved.iter().zip(&owner) {
        if let Some((i, sign)) = who {
            y[*i] += sign * value;
        }
    }
    Some(leaning_on_finite_sides(program, y))
}

/// A program that always has points: every row may be missed at a price of 1 per row scale.
#[must_use]
pub fn elastic(program: &Program) -> Program {
    let n = program.width();
    let mut elastic = Program {
        cost: vec![0.0; n],
        lower: program.lower.clone(),
        upper: program.upper.clone(),
        rows: program.rows.clone(),
    };
    for (i, row) in program.rows.iter().enumerate() {
        for (side, sign) in [(row.lower, 1.0), (row.upper, -1.0)] {
            if !side.is_finite() {
                continue;
            }
            elastic.cost.push(1.0);
            elastic.lower.push(0.0);
            // Enough to excuse any point of the box.
            elastic.upper.push(reach(row, program) + 1.0);
            for (k, r) in elastic.rows.iter_mut().enumerate() {
                r.coefficients
                    .push(if k == i { sign * row.scale() } else { 0.0 });
            }
        }
    }
    elastic
}

/// How far a row can be from its sides anywhere in the box, over its scale.
fn reach(row: &Row, program: &Program) -> f64 {
    let largest: f64 = row
        .coefficients
        .iter()
        .zip(program.lower.iter().zip(&program.upper))
        .map(|(a, (lo, hi))| a.abs() * lo.abs().max(hi.abs()))
        .sum();
    let sides = [row.lower, row.upper].into_iter().filter(|s| s.is_finite());
    (largest + sides.fold(0.0, |m: f64, s| m.max(s.abs()))) / row.scale()
}

/// Multipliers that prove that a program has no point: `0 · x ≥ bound(y) > 0` for every x, which is
/// absurd. `None` where no such proof was found.
#[must_use]
pub fn of_empty(program: &Program) -> Option<Vec<f64>> {
    let program_elastic = elastic(program);
    let Reply::Best(x) = backend::best(&program_elastic) else {
        return None;
    };
    if program_elastic.goal(&x) <= EMPTY_BY {
        return None;
    }
    let nothing = vec![0.0; program.width()];
    let proves = |y: &Vec<f64>| program.bound(&nothing, y) > 0.0;
    quick(&program_elastic, &x)
        .filter(proves)
        .or_else(|| slow(&program_elastic).filter(proves))
}

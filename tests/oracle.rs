//! A second, simpler solver agrees on small shelves: every corner of the linear ones, a fine grid
//! over the curved ones.

mod support;

use support::{COLD, Random, bare, limit, problem};
use treatrate::declare::problem::{Mixing, Problem, Side};
use treatrate::declare::property::Property;
use treatrate::predict::book::Book;
use treatrate::solve::answer::{Answer, Status};
use treatrate::solve::program::Program;
use treatrate::solve::search::{Budget, GAP, cheapest};
use treatrate::solve::task::{Goal, Task};

/// Agreement with the best corner, in parts of its cost: both come from one linear system.
const CORNER: f64 = 1e-9;

/// A corner may miss a row by this part of the row's scale and count: the rounding of a 5 × 5 system.
const ROUNDING: f64 = 1e-10;

/// Step of the grid, mass fraction.
const STEP: f64 = 0.005;

/// The best grid point may cost this much more than the optimum, in parts of it: half a step of the
/// dearest component for the cheapest.
const GRID: f64 = 0.03;

/// A linear system by elimination with pivots; `None` where it has no single solution.
fn solve(mut a: Vec<Vec<f64>>, mut b: Vec<f64>) -> Option<Vec<f64>> {
    let n = b.len();
    for k in 0..n {
        let pivot = (k..n).max_by(|i, j| a[*i][k].abs().total_cmp(&a[*j][k].abs()))?;
        if a[pivot][k].abs() < 1e-9 {
            return None;
        }
        a.swap(k, pivot);
        b.swap(k, pivot);
        let lead = a[k].clone();
        for i in 0..n {
            if i != k {
                let times = a[i][k] / lead[k];
                for (x, l) in a[i].iter_mut().zip(&lead) {
                    *x -= times * l;
                }
                b[i] -= times * b[k];
            }
        }
    }
    Some((0..n).map(|k| b[k] / a[k][k]).collect())
}

/// Every subset of `k` of `0..n`.
fn subsets(n: usize, k: usize) -> Vec<Vec<usize>> {
    if k == 0 {
        return vec![Vec::new()];
    }
    (k - 1..n)
        .flat_map(|last| {
            subsets(last, k - 1).into_iter().map(move |mut s| {
                s.push(last);
                s
            })
        })
        .collect()
}

/// The cheapest corner of a program whose first row is the whole: every choice of rows and bounds
/// that fixes a point.
fn best_corner(program: &Program, cost: &[f64]) -> Option<(f64, Vec<f64>)> {
    let n = cost.len();
    // Edges as `coefficients · x = side`, each over its size.
    let mut edges: Vec<(Vec<f64>, f64)> = Vec::new();
    for row in &program.rows[1..] {
        for side in [row.lower, row.upper] {
            if side.is_finite() {
                let scaled = row.coefficients.iter().map(|a| a / row.scale());
                edges.push((scaled.collect(), side / row.scale()));
            }
        }
    }
    for j in 0..n {
        for side in [program.lower[j], program.upper[j]] {
            let unit = (0..n).map(|k| f64::from(u8::from(k == j))).collect();
            edges.push((unit, side));
        }
    }
    let mut best: Option<(f64, Vec<f64>)> = None;
    for chosen in subsets(edges.len(), n - 1) {
        let mut a = vec![vec![1.0; n]];
        let mut b = vec![1.0];
        for at in chosen {
            a.push(edges[at].0.clone());
            b.push(edges[at].1);
        }
        let Some(x) = solve(a, b) else { continue };
        if program.violation(&x) > ROUNDING {
            continue;
        }
        let goal: f64 = cost.iter().zip(&x).map(|(c, x)| c * x).sum();
        if best.as_ref().is_none_or(|(g, _)| goal < *g) {
            best = Some((goal, x));
        }
    }
    best
}

/// A random polymer-free problem whose every limit is exactly linear.
fn linear(seed: u64) -> Problem {
    let components = 3 + usize::try_from(seed % 3).expect("small");
    let mut p = problem(seed, components, 0, seed.is_multiple_of(4));
    p.limits
        .retain(|l| !matches!(l.property, Property::Vi | Property::Hths));
    p
}

#[test]
fn the_best_corner_of_small_linear_shelves() {
    let (mut best, mut none) = (0, 0);
    for seed in 0..150 {
        let p = linear(seed);
        let task = Task::new(&p);
        assert!(task.is_linear(), "seed {seed}");
        let Goal::Linear(cost) = &task.goal else {
            panic!("a linear goal");
        };
        let answer = cheapest(&p, &Budget::default());
        if let Some((goal, x)) = best_corner(&task.exact, cost) {
            best += 1;
            let found = answer.objective.unwrap_or(f64::NAN);
            assert!(
                answer.status == Status::Optimal && (found - goal).abs() <= CORNER * goal.abs(),
                "seed {seed}: {:?} {found}, corner {goal} at {x:?}",
                answer.status
            );
        } else {
            none += 1;
            assert_eq!(answer.status, Status::NoRecipe, "seed {seed}");
        }
    }
    assert!(
        best > 60 && none > 10,
        "{best} with a corner, {none} without"
    );
}

/// Three polymer-free components and one polymer, limited on one side each around a random blend.
fn curved(seed: u64) -> Problem {
    let mut r = Random::new(seed);
    let mut p = bare(&mut r, 4, 1);
    p.mixing = Mixing::default();
    let shares = [
        r.between(0.3, 0.6),
        r.between(0.2, 0.4),
        0.1,
        r.between(0.02, 0.1),
    ];
    let sum: f64 = shares.iter().sum();
    let x = shares.map(|s| s / sum);
    let wanted = [
        (Property::Kv100, Side::Min, -0.02),
        (Property::Vi, Side::Min, -0.02),
        (Property::Hths, Side::Min, -0.04),
        (Property::Ccs(COLD), Side::Max, 0.04),
        (Property::Kv40, Side::Max, 0.06),
    ];
    let properties: Vec<Property> = wanted.iter().map(|w| w.0.clone()).collect();
    let book = Book::new(&p, p.mixing, &properties);
    for (property, side, room) in wanted {
        let entry = book.entry(&property).expect("a model");
        if let Some(value) = book.value(entry, &x).filter(|_| r.chance(0.7)) {
            p.limits
                .push(limit(property, side, value + room * value.abs()));
        }
    }
    p
}

/// The grid's best point that meets every limit outright, as its cost.
fn best_on_grid(p: &Problem) -> Option<f64> {
    let properties: Vec<Property> = p.limits.iter().map(|l| l.property.clone()).collect();
    let goal = p.goal.property.clone();
    let book = Book::new(p, p.mixing, properties.iter().chain([&goal]));
    let cost = book.entry(&goal)?;
    let most = p.bands.iter().map(|b| b.max.share.fraction());
    let most: Vec<f64> = most.collect();
    let count = 200_u32;
    let mut best: Option<f64> = None;
    for a in 0..=count {
        for b in 0..=count - a {
            for c in 0..=count - a - b {
                let x = [a, b, c, count - a - b - c].map(|k| f64::from(k) * STEP);
                if x.iter().zip(&most).any(|(x, most)| *x > most + 1e-12) {
                    continue;
                }
                let Some(value) = book.value(cost, &x) else {
                    continue;
                };
                if best.is_some_and(|b| value >= b) {
                    continue;
                }
                let meets = p.limits.iter().all(|l| {
                    let value = book.entry(&l.property).and_then(|e| book.value(e, &x));
                    value.is_some_and(|v| match l.side {
                        Side::Min => v >= l.bound,
                        Side::Max => v <= l.bound,
                    })
                });
                if meets {
                    best = Some(value);
                }
            }
        }
    }
    best
}

fn against_grid(seed: u64, answer: &Answer, grid: f64) {
    assert_eq!(answer.status, Status::Optimal, "seed {seed}: grid {grid}");
    let bound = answer.proof.bound.expect("certified");
    let found = answer.objective.expect("optimal");
    assert!(grid >= bound, "seed {seed}: grid {grid} beats {bound}");
    assert!(
        grid >= found * (1.0 - GAP),
        "seed {seed}: grid {grid} beats {found}"
    );
    assert!(
        grid <= found * (1.0 + GRID),
        "seed {seed}: the grid's best {grid} is far above {found}"
    );
}

#[test]
fn a_fine_grid_over_small_curved_shelves() {
    let mut compared = 0;
    for seed in 0..12 {
        let p = curved(seed);
        if let Some(grid) = best_on_grid(&p) {
            compared += 1;
            against_grid(seed, &cheapest(&p, &Budget::default()), grid);
        }
    }
    assert!(compared >= 9, "only {compared} grids had a point");
}

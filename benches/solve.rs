//! How fast, against what, and how it grows: `cargo bench` prints three tables in Markdown.
//!
//! 1. The linear programs that everything rests on, beside `good_lp`, `microlp` and `clarabel` (an
//!    interior-point method) on the same random blending-type programs in the same run: ratios mean
//!    something on any machine, milliseconds only on this one.
//! 2. Certified answers to random problems, by number of components and of polymers.
//! 3. The problems in `problems/`, read and solved cold.
//!
//! Nothing here is a test: what must hold is in `tests/`, and no test measures time.

mod measure;
#[path = "../tests/support/mod.rs"]
mod support;

use clarabel::algebra::CscMatrix;
use clarabel::solver::{
    DefaultSettings, DefaultSolver, IPSolver, NonnegativeConeT, SolverStatus, SupportedConeT,
    ZeroConeT,
};
use good_lp::{Solution, SolverModel, constraint, variable};
use measure::{Said, by_microlp, count, micros, quantile, shipped_problems};
use std::hint::black_box;
use std::io::{self, Write};
use std::time::{Duration, Instant};
use support::Random;
use treatrate::declare::read;
use treatrate::solve::answer::Status;
use treatrate::solve::linear::{self, Found};
use treatrate::solve::program::{Program, Row};
use treatrate::solve::search::{self, Budget};

/// Components and limits of the linear programs.
const SIZES: [(usize, usize, usize); 3] = [(15, 30, 400), (40, 60, 200), (200, 80, 60)];

/// Two optima agree within this part of their size: an interior-point method stops at 1e-8.
const AGREE: f64 = 1e-6;

/// Components and polymers of the random problems, and how many of each are solved at most.
const COMPONENTS: [usize; 4] = [14, 20, 40, 200];
const POLYMERS: [usize; 4] = [0, 1, 2, 3];
const PROBLEMS: u32 = 200;

/// A cell of the growth table ends after this long, whatever it has solved by then.
const CELL: Duration = Duration::from_millis(2500);

/// One problem may take this long; what is still open then is counted as open.
const ONE: Duration = Duration::from_secs(1);

/// Cold solves of each shipped problem, of which the median is told.
const REPEATS: usize = 5;

fn main() -> io::Result<()> {
    let mut out = io::stdout().lock();
    programs(&mut out)?;
    growth(&mut out)?;
    shipped(&mut out)
}

// ---------------------------------------------------------------- linear programs

type Solver = (&'static str, fn(&Program) -> Said);

/// The first is the yardstick.
const SOLVERS: [Solver; 4] = [
    ("treatrate (with proof)", ours),
    ("good_lp with microlp 0.6", by_good_lp),
    ("microlp 0.7", by_microlp),
    ("clarabel", by_clarabel),
];

fn programs(out: &mut impl Write) -> io::Result<()> {
    writeln!(out, "## Linear programs\n")?;
    writeln!(
        out,
        "One cold solve from plain data, median; \"agrees\" counts the same optimum, or the same word \
         that there is none, as the first line's.\n"
    )?;
    writeln!(
        out,
        "| components × limits | programs | solver | µs | times ours | agrees |\n|---|---:|---|---:|---:|---:|"
    )?;
    for (n, m, count) in SIZES {
        let mut random = Random::new(0x0b1e_9d00 + n as u64);
        let all: Vec<Program> = (0..count).map(|_| blending(&mut random, n, m)).collect();
        let mut yardstick: Option<(f64, Vec<Said>)> = None;
        for (name, solver) in SOLVERS {
            let (mut times, mut said) = (Vec::new(), Vec::new());
            for program in &all {
                let begun = Instant::now();
                said.push(black_box(solver(black_box(program))));
                times.push(micros(begun.elapsed()));
            }
            let median = quantile(&mut times, 0.5);
            let (base, first) = yardstick.get_or_insert_with(|| (median, said.clone()));
            let agreeing = first.iter().zip(&said).filter(|(a, b)| agree(**a, **b));
            writeln!(
                out,
                "| {n} × {m} | {count} | {name} | {median:.0} | {:.1} | {} |",
                median / *base,
                agreeing.count()
            )?;
        }
    }
    writeln!(out)
}

fn agree(a: Said, b: Said) -> bool {
    match (a, b) {
        (Some(Some(a)), Some(Some(b))) => (a - b).abs() <= AGREE * a.abs().max(1.0),
        (Some(None), Some(None)) => true,
        _ => false,
    }
}

/// A program as a shelf makes it: fractions that add up to 1, limits in ppm and in percent set around
/// a recipe, most one-sided, some empty by a contradiction.
fn blending(r: &mut Random, n: usize, m: usize) -> Program {
    let recipe = r.shares(n);
    let impossible = r.chance(0.1);
    let mut rows = vec![Row {
        coefficients: vec![1.0; n],
        lower: 1.0,
        upper: 1.0,
    }];
    for k in 1..m {
        let size = r.around(0.5, 20_000.0);
        let coefficients: Vec<f64> = (0..n)
            .map(|_| {
                if r.chance(0.4) {
                    0.0
                } else {
                    r.between(0.0, size)
                }
            })
            .collect();
        let at: f64 = coefficients.iter().zip(&recipe).map(|(a, x)| a * x).sum();
        let room = r.between(0.0, 0.3) * at;
        let (mut lower, mut upper) = match r.below(3) {
            0 => (at - room, f64::INFINITY),
            1 => (f64::NEG_INFINITY, at + room),
            _ => (at - room, at + room),
        };
        if impossible && k == 1 {
            let most = coefficients.iter().copied().fold(0.0, f64::max);
            (lower, upper) = (most * 1.01 + 1e-6, f64::INFINITY);
        }
        rows.push(Row {
            coefficients,
            lower,
            upper,
        });
    }
    Program {
        cost: (0..n).map(|_| r.between(1.0, 12.0)).collect(),
        lower: vec![0.0; n],
        upper: recipe.iter().map(|x| x.max(r.between(0.05, 1.0))).collect(),
        rows,
    }
}

fn ours(program: &Program) -> Said {
    match linear::solve(program) {
        Found::Best { x, .. } => Some(Some(program.goal(&x))),
        Found::Empty(_) => Some(None),
        Found::Unknown => None,
    }
}

fn by_good_lp(program: &Program) -> Said {
    let mut variables = good_lp::variables!();
    let x: Vec<_> = program
        .lower
        .iter()
        .zip(&program.upper)
        .map(|(lo, hi)| variables.add(variable().min(*lo).max(*hi)))
        .collect();
    let goal: good_lp::Expression = program.cost.iter().zip(&x).map(|(c, x)| *c * *x).sum();
    let mut model = variables.minimise(goal).using(good_lp::microlp);
    for row in &program.rows {
        let terms = row.coefficients.iter().zip(&x).filter(|(a, _)| **a != 0.0);
        let sum: good_lp::Expression = terms.map(|(a, x)| *a * *x).sum();
        if row.lower.total_cmp(&row.upper).is_eq() {
            model.add_constraint(constraint!(sum == row.lower));
            continue;
        }
        if row.lower.is_finite() {
            model.add_constraint(constraint!(sum.clone() >= row.lower));
        }
        if row.upper.is_finite() {
            model.add_constraint(constraint!(sum <= row.upper));
        }
    }
    match model.solve() {
        Ok(solution) => {
            let x: Vec<f64> = x.iter().map(|x| solution.value(*x)).collect();
            Some(Some(program.goal(&x)))
        }
        Err(good_lp::ResolutionError::Infeasible) => Some(None),
        Err(_) => None,
    }
}

fn by_clarabel(program: &Program) -> Said {
    let n = program.width();
    // A x + s = b with s at zero for the equalities, which come first, and not negative for the rest.
    let equal = |row: &&Row| row.lower.total_cmp(&row.upper).is_eq();
    let (mut dense, mut b): (Vec<Vec<f64>>, Vec<f64>) = program
        .rows
        .iter()
        .filter(equal)
        .map(|row| (row.coefficients.clone(), row.upper))
        .unzip();
    let zeros = b.len();
    let mut at_most = |row: Vec<f64>, rhs: f64| {
        if rhs.is_finite() {
            dense.push(row);
            b.push(rhs);
        }
    };
    for row in program.rows.iter().filter(|row| !equal(row)) {
        at_most(row.coefficients.clone(), row.upper);
        at_most(row.coefficients.iter().map(|a| -a).collect(), -row.lower);
    }
    for (j, (lo, hi)) in program.lower.iter().zip(&program.upper).enumerate() {
        let unit = |sign: f64| (0..n).map(|k| if k == j { sign } else { 0.0 }).collect();
        at_most(unit(1.0), *hi);
        at_most(unit(-1.0), -lo);
    }
    let (mut i, mut j, mut v) = (Vec::new(), Vec::new(), Vec::new());
    for (r, row) in dense.iter().enumerate() {
        for (c, a) in row.iter().enumerate().filter(|(_, a)| **a != 0.0) {
            i.push(r);
            j.push(c);
            v.push(*a);
        }
    }
    let a = CscMatrix::new_from_triplets(b.len(), n, i, j, v);
    let cones: [SupportedConeT<f64>; 2] = [ZeroConeT(zeros), NonnegativeConeT(b.len() - zeros)];
    let settings = DefaultSettings {
        verbose: false,
        ..DefaultSettings::default()
    };
    let p = CscMatrix::zeros((n, n));
    let mut solver = DefaultSolver::new(&p, &program.cost, &a, &b, &cones, settings).ok()?;
    solver.solve();
    match solver.solution.status {
        SolverStatus::Solved => Some(Some(program.goal(&solver.solution.x))),
        SolverStatus::PrimalInfeasible => Some(None),
        _ => None,
    }
}

// ---------------------------------------------------------------- certified answers

fn growth(out: &mut impl Write) -> io::Result<()> {
    writeln!(out, "## Certified answers to random problems\n")?;
    writeln!(
        out,
        "Proved within 0.01 % of the best, or proved to have no recipe. Up to {PROBLEMS} problems a \
         line, or as many as {:.1} s allow; \"open\" had neither after {:.0} s.\n",
        CELL.as_secs_f64(),
        ONE.as_secs_f64()
    )?;
    writeln!(
        out,
        "| components | polymers | problems | open | no recipe | median ms | p95 ms | median nodes | \
         p95 nodes | median programs | p95 programs |\n|---:|---:|---:|---:|---:|---:|---:|---:|---:|---:|---:|"
    )?;
    let budget = Budget {
        time: Some(ONE),
        ..Budget::default()
    };
    for components in COMPONENTS {
        for polymers in POLYMERS {
            let (mut ms, mut nodes, mut lps) = (Vec::new(), Vec::new(), Vec::new());
            let (mut open, mut none) = (0, 0);
            let cell = Instant::now();
            for seed in 0..PROBLEMS {
                if cell.elapsed() > CELL {
                    break;
                }
                let problem =
                    support::problem(u64::from(seed), components, polymers, seed % 4 == 3);
                let begun = Instant::now();
                let answer = black_box(search::cheapest(black_box(&problem), &budget));
                ms.push(micros(begun.elapsed()) / 1000.0);
                nodes.push(count(answer.effort.nodes));
                lps.push(count(answer.effort.programs));
                match answer.outcome() {
                    Status::Optimal => {}
                    Status::NoRecipe => none += 1,
                    Status::Feasible | Status::Undecided => open += 1,
                }
            }
            writeln!(
                out,
                "| {components} | {polymers} | {} | {open} | {none} | {:.2} | {:.1} | {:.0} | {:.0} | {:.0} | {:.0} |",
                ms.len(),
                quantile(&mut ms, 0.5),
                quantile(&mut ms, 0.95),
                quantile(&mut nodes, 0.5),
                quantile(&mut nodes, 0.95),
                quantile(&mut lps, 0.5),
                quantile(&mut lps, 0.95),
            )?;
            out.flush()?;
        }
    }
    writeln!(out)
}

// ---------------------------------------------------------------- shipped problems

fn shipped(out: &mut impl Write) -> io::Result<()> {
    writeln!(
        out,
        "## The problems of this repository, read and solved cold\n"
    )?;
    writeln!(
        out,
        "| problem | components | answer | median ms | nodes | programs |\n|---|---:|---|---:|---:|---:|"
    )?;
    let paths = shipped_problems()?;
    let budget = Budget {
        time: Some(ONE),
        ..Budget::default()
    };
    for path in paths {
        let name = path
            .file_stem()
            .map_or_else(String::new, |s| s.to_string_lossy().into());
        let mut ms = Vec::new();
        let mut told = String::from("| not read | | |");
        for _ in 0..REPEATS {
            let begun = Instant::now();
            let Ok((problem, _)) = read::problem(&path) else {
                break;
            };
            let answer = black_box(search::cheapest(&problem, &budget));
            ms.push(micros(begun.elapsed()) / 1000.0);
            let median = quantile(&mut ms, 0.5);
            told = format!(
                "{} | {} | {median:.1} | {} | {} |",
                problem.components.len(),
                word(answer.outcome()),
                answer.effort.nodes,
                answer.effort.programs
            );
        }
        writeln!(out, "| {name} | {told}")?;
        out.flush()?;
    }
    Ok(())
}

fn word(status: Status) -> &'static str {
    match status {
        Status::Optimal => "certified",
        Status::Feasible => "feasible",
        Status::NoRecipe => "no recipe",
        Status::Undecided => "undecided",
    }
}

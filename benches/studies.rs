//! How fast one of many answers is, a map, and draws: `cargo bench --bench studies` prints three tables in
//! Markdown.
//!
//! 1. Warm points: every limit of a problem moved through ± 10 % in steps, each answer begun where the one
//!    before it ended; beside the same answers begun at nothing, and beside `microlp` on the linear part of
//!    the same problem, which is the least that any method must solve.
//! 2. Whole maps on one thread and on two.
//! 3. A million draws on one thread and on two.
//!
//! Nothing here is a test: what must hold is in `tests/`, and no test measures time.

mod measure;
#[path = "../tests/support/mod.rs"]
mod support;

use measure::{by_microlp, micros, quantile, shipped_problems};
use std::convert::Infallible;
use std::hint::black_box;
use std::io::{self, Write};
use std::path::Path;
use std::sync::atomic::AtomicBool;
use std::time::Instant;
use treatrate::declare::problem::Problem;
use treatrate::declare::read;
use treatrate::declare::read::varied;
use treatrate::declare::requirement::{self, Requirement};
use treatrate::parallel;
use treatrate::predict::cause::Causes;
use treatrate::predict::chance;
use treatrate::predict::judge;
use treatrate::solve::answer::Status;
use treatrate::solve::search::{self, Budget};
use treatrate::solve::spot::{self, Trail};
use treatrate::solve::task::Task;
use treatrate::study::sweep::plan::Plan;
use treatrate::study::sweep::run::{self, Orders};

/// Values of each limit, and how far from what it says they go, in parts of it.
const STEPS: u32 = 41;
const FAR: f64 = 0.1;

/// Every so many points are also solved cold.
const COLD_EVERY: u32 = 8;

/// Random shelves: components, polymers, and how many problems of each.
const SHELVES: [(usize, usize); 6] = [(14, 1), (14, 2), (17, 1), (17, 2), (20, 1), (20, 2)];
const PROBLEMS: u64 = 12;

/// The map.
const MAP: &str = "hill-climb-5w-50";
const ALONG: [&str; 2] = ["limits.hths.min=4.5..5.1", "limits.p.max=750..900"];
const ACROSS: [usize; 2] = [25, 100];
const REPEATS: usize = 5;

/// Draws: the least multiple of the blocks that is a million or more.
const DRAWS: usize = 1_000_000;

/// Most cases of the proof of one point, as `sweep` has it.
const CASES: usize = 20_000;

fn main() -> io::Result<()> {
    let mut out = io::stdout().lock();
    points(&mut out)?;
    maps(&mut out)?;
    draws(&mut out)
}

// ---------------------------------------------------------------- warm points

/// What the points of some problems took, in µs.
#[derive(Default)]
struct Taken {
    local: Vec<f64>,
    certified: Vec<f64>,
    cold: Vec<f64>,
    linear: Vec<f64>,
    open: u32,
}

fn points(out: &mut impl Write) -> io::Result<()> {
    writeln!(out, "## Warm points\n")?;
    writeln!(
        out,
        "Every limit through ± {:.0} % in {STEPS} steps; a point with a recipe, on one thread. \"Open\" \
         points had a recipe that was not proved within {CASES} cases. The last column is `microlp` 0.7 on \
         the linear part alone, over a local point.\n",
        100.0 * FAR
    )?;
    writeln!(
        out,
        "| problem | components | points | open | local µs, median | mean | certified ms, median | mean | p95 | \
         cold certified ms, median | cold over warm | microlp over local |\n\
         |---|---:|---:|---:|---:|---:|---:|---:|---:|---:|---:|---:|"
    )?;
    for path in shipped_problems()? {
        let Ok((problem, _)) = read::problem(&path) else {
            continue;
        };
        let name = path.file_stem().unwrap_or_default().to_string_lossy();
        let taken = measured(std::slice::from_ref(&problem));
        row(out, &name, problem.components.len(), taken)?;
    }
    for (components, polymers) in SHELVES {
        let problems: Vec<Problem> = (0..PROBLEMS)
            .map(|seed| support::problem(seed, components, polymers, false))
            .collect();
        let name = format!("{PROBLEMS} random, {polymers} polymers");
        row(out, &name, components, measured(&problems))?;
    }
    writeln!(out)
}

fn measured(problems: &[Problem]) -> Taken {
    let mut taken = Taken::default();
    for problem in problems {
        for limit in 0..problem.limits.len() {
            walk(problem, limit, &mut taken);
        }
    }
    taken
}

/// One limit moved through its values.
fn walk(problem: &Problem, limit: usize, taken: &mut Taken) {
    let bound = problem.limits[limit].bound;
    if bound == 0.0 {
        return;
    }
    let certified = Budget {
        nodes: CASES,
        ..Budget::default()
    };
    let local = Budget {
        proof: None,
        ..certified.clone()
    };
    let mut trails = [Trail::new(false), Trail::new(false)];
    for k in 0..STEPS {
        let part = 2.0 * f64::from(k) / f64::from(STEPS - 1) - 1.0;
        let to = bound * (1.0 + FAR * part);
        let moved = requirement::changed(problem, &[(Requirement::Limit(limit), Some(to))]);
        let [near, proved] = &mut trails;
        let mut answers = Vec::new();
        let times = [(near, &local), (proved, &certified)].map(|(trail, budget)| {
            let begun = Instant::now();
            answers.push(black_box(spot::spot(black_box(&moved), trail, budget)).status);
            micros(begun.elapsed())
        });
        if k == 0 || !answers[1].has_recipe() {
            continue;
        }
        taken.local.push(times[0]);
        taken.certified.push(times[1] / 1000.0);
        taken.open += u32::from(answers[1] != Status::Optimal);
        if k % COLD_EVERY == 0 {
            let begun = Instant::now();
            black_box(search::cheapest(black_box(&moved), &certified));
            taken.cold.push(micros(begun.elapsed()) / 1000.0);
            let program = search::exact_program(&Task::new(&moved));
            let begun = Instant::now();
            black_box(by_microlp(black_box(&program)));
            taken.linear.push(micros(begun.elapsed()));
        }
    }
}

fn row(out: &mut impl Write, name: &str, components: usize, mut t: Taken) -> io::Result<()> {
    if t.local.is_empty() {
        return Ok(());
    }
    let means = [mean(&t.local), mean(&t.certified)];
    let [local, certified, late, cold, linear] = [
        quantile(&mut t.local, 0.5),
        quantile(&mut t.certified, 0.5),
        quantile(&mut t.certified, 0.95),
        quantile(&mut t.cold, 0.5),
        quantile(&mut t.linear, 0.5),
    ];
    writeln!(
        out,
        "| {name} | {components} | {} | {} | {local:.0} | {:.0} | {certified:.2} | {:.2} | {late:.1} | {cold:.1} | {:.1} | {:.1} |",
        t.local.len(),
        t.open,
        means[0],
        means[1],
        cold / certified,
        linear / local,
    )?;
    out.flush()
}

#[expect(clippy::cast_precision_loss, reason = "a count of points")]
fn mean(values: &[f64]) -> f64 {
    values.iter().sum::<f64>() / values.len() as f64
}

// ---------------------------------------------------------------- maps

fn shipped(name: &str) -> Option<Problem> {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join(format!("problems/{name}.toml"));
    read::problem(&path).ok().map(|(problem, _)| problem)
}

fn maps(out: &mut impl Write) -> io::Result<()> {
    writeln!(out, "## Maps of {MAP}\n")?;
    writeln!(
        out,
        "| points | proof | 1 thread s | 2 threads s | times as fast |\n|---:|---|---:|---:|---:|"
    )?;
    let Some(problem) = shipped(MAP) else {
        return Ok(());
    };
    for across in ACROSS {
        let varied: Result<Vec<_>, String> = ALONG
            .iter()
            .map(|text| varied::vary(&problem, text, across))
            .collect();
        let Ok(varied) = varied else { continue };
        let Ok(prepared) = varied::prepared(&problem, &varied) else {
            continue;
        };
        let plan = Plan::new(prepared, varied);
        for proof in [None, Budget::default().proof] {
            // The two are measured in turn, so that what else the machine does slows both.
            let (mut one, mut two) = (Vec::new(), Vec::new());
            for _ in 0..REPEATS {
                one.push(whole(&plan, proof, 1));
                two.push(whole(&plan, proof, 2));
            }
            let (one, two) = (quantile(&mut one, 0.5), quantile(&mut two, 0.5));
            writeln!(
                out,
                "| {across} × {across} | {} | {one:.3} | {two:.3} | {:.2} |",
                if proof.is_some() { "yes" } else { "no" },
                one / two
            )?;
            out.flush()?;
        }
    }
    writeln!(out)
}

/// Seconds of a whole map.
fn whole(plan: &Plan, proof: Option<f64>, threads: usize) -> f64 {
    static GO_ON: AtomicBool = AtomicBool::new(false);
    let orders = Orders {
        budget: Budget {
            proof,
            nodes: CASES,
            ..Budget::default()
        },
        reasons: true,
        threads,
        cancel: &GO_ON,
        deadline: None,
    };
    let begun = Instant::now();
    let mut sink = |rows| -> Result<(), Infallible> {
        black_box(rows);
        Ok(())
    };
    let Ok(done) = run::run(plan, 0..plan.chunks(), &orders, |rows| rows, &mut sink);
    black_box(done);
    begun.elapsed().as_secs_f64()
}

// ---------------------------------------------------------------- draws

fn draws(out: &mut impl Write) -> io::Result<()> {
    writeln!(out, "## {DRAWS} draws over all limits of {MAP}\n")?;
    writeln!(out, "| threads | s | times as fast |\n|---:|---:|---:|")?;
    let Some(problem) = shipped(MAP) else {
        return Ok(());
    };
    let Some(recipe) = search::cheapest(&problem, &Budget::default()).recipe else {
        return Ok(());
    };
    let judgement = judge::judge(&problem, &recipe);
    let causes = Causes::of(&problem, &recipe);
    let mut times = [Vec::new(), Vec::new()];
    for _ in 0..REPEATS {
        for (threads, times) in (1..).zip(&mut times) {
            let begun = Instant::now();
            parallel::within(threads, || {
                black_box(chance::chances(&problem, &judgement, &causes, DRAWS))
            });
            times.push(begun.elapsed().as_secs_f64());
        }
    }
    let [one, two] = times.map(|mut t| quantile(&mut t, 0.5));
    writeln!(
        out,
        "| 1 | {one:.2} | 1.00 |\n| 2 | {two:.2} | {:.2} |",
        one / two
    )
}

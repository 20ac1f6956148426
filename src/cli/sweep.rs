//! How do recipe, cost and what binds move as one number moves, or two?

use crate::cli::arguments;
use crate::cli::arguments::SweepFormat;
use crate::cli::exit::Exit;
use crate::cli::exit::Tally;
use crate::cli::fingerprint::Fingerprint;
use crate::cli::input;
use crate::cli::interrupt;
use crate::cli::output;
use crate::cli::part_file::PartFile;
use crate::cli::part_file::Whole;
use crate::cli::picture;
use crate::cli::progress::Progress;
use crate::cli::refusal::Refusal;
use crate::cli::sensitivity;
use crate::declare::read::varied;
use crate::declare::read::varied::Unfit;
use crate::fault::Faults;
use crate::fault::Sources;
use crate::report::drawn;
use crate::report::json;
use crate::report::lines::Kind;
use crate::report::lines::Lines;
use crate::report::text;
use crate::solve::answer::Status;
use crate::solve::search::Budget;
use crate::study::sweep::kept;
use crate::study::sweep::plan::CHUNK;
use crate::study::sweep::plan::Plan;
use crate::study::sweep::row::Row;
use crate::study::sweep::run;
use crate::study::sweep::run::Orders;
use std::ops::Range;
use std::path::Path;
use std::time::Instant;

/// Lines are not kept, so that their number is free; a picture is drawn of a whole.
const NO_PICTURE: &str = "`--picture` goes with a sweep that is told as a whole: take `--format text` or `--format json`";

/// Points of a path unless asked otherwise: alone, and beside another.
const POINTS: [usize; 2] = [41, 25];

/// Most points of a sweep that is told as a whole, as a page or as one object.
const MOST_WHOLE: usize = 20_000;

/// Most points of a sweep that is told line by line.
const MOST: usize = 1_000_000_000_000;

/// Most cases of the proof of one point: one that is hard to prove is not to hold up the others.
const CASES: usize = 20_000;

/// Answers the question.
///
/// # Errors
/// Where the problem or a path cannot be read, or the answer not be written.
pub fn run(asked: &arguments::Sweep) -> Result<Exit, Refusal> {
    if asked.every_limit || asked.every_price {
        if !asked.vary.is_empty() {
            return Err(Refusal::Sentence(
                "`--vary` moves what it names, `--every-limit` and `--every-price` move all: ask one of the two".into(),
            ));
        }
        return sensitivity::run(asked);
    }
    picture::named(asked.picture.as_deref())?;
    let format = format(asked)?;
    if asked.picture.is_some() && matches!(format, Format::Lines(_)) {
        return Err(Refusal::Sentence(NO_PICTURE.into()));
    }
    let (problem, sources) = input::problem_with_sources(&asked.problem)?;
    let usual = POINTS[usize::from(asked.vary.len() > 1)];
    let points = asked.points.unwrap_or(usual);
    let mut dials = Vec::new();
    for text in &asked.vary {
        let one = varied::vary(&problem, text, points).map_err(Refusal::Sentence)?;
        if dials.iter().any(|(dial, _)| *dial == one.0) {
            let path = &one.0.path;
            return Err(Refusal::Sentence(format!("`{path}` is varied twice")));
        }
        if let Some(words) = varied::comma(&one.0, text) {
            output::remark(&words);
        }
        dials.push(one);
    }
    let problem = varied::prepared(&problem, &dials).map_err(|unfit| match unfit {
        Unfit::Typed(words) => Refusal::Sentence(words),
        Unfit::Files(faults) => Refusal::Files(Faults {
            sources: sources.clone(),
            faults,
        }),
    })?;
    let plan = Plan::new(problem, dials);
    countable(&plan, format)?;
    let orders = Orders {
        budget: Budget {
            proof: (!asked.no_proof).then_some(asked.gap),
            nodes: CASES,
            ..Budget::default()
        },
        reasons: true,
        threads: asked.threads.unwrap_or(0),
        cancel: interrupt::listen(),
        deadline: asked.time_limit.and_then(|t| Instant::now().checked_add(t)),
    };
    match format {
        Format::Lines(kind) => line_by_line(asked, &plan, kind, &orders, &sources),
        Format::Whole(json) => at_once(asked, plan, json, &orders),
    }
}

/// How the answer is told.
#[derive(Clone, Copy)]
enum Format {
    /// Row by row, as they are found.
    Lines(Kind),
    /// As a page, or as one JSON object where this says so.
    Whole(bool),
}

/// The format asked for, or the one that the file's name means.
fn format(asked: &arguments::Sweep) -> Result<Format, Refusal> {
    let lines = asked.to.is_some() || asked.shard.is_some();
    let named = match &asked.to {
        Some(path) => ending(path, asked.format)?,
        None if lines => SweepFormat::Csv,
        None => SweepFormat::Text,
    };
    match asked.format.unwrap_or(named) {
        SweepFormat::Csv => Ok(Format::Lines(Kind::Csv)),
        SweepFormat::Jsonl => Ok(Format::Lines(Kind::JsonLines)),
        _ if lines => Err(Refusal::Sentence(
            "`--to` and `--shard` write lines as they are found: take `--format csv` or `--format jsonl` with them".into(),
        )),
        SweepFormat::Text => Ok(Format::Whole(false)),
        SweepFormat::Json => Ok(Format::Whole(true)),
    }
}

/// The format that a file's name means, beside the one asked for.
///
/// # Errors
/// Where the name says another format than the one asked for, or none is asked for and it says none.
fn ending(path: &Path, asked: Option<SweepFormat>) -> Result<SweepFormat, Refusal> {
    let name = path.extension().map(|e| e.to_string_lossy().to_lowercase());
    let says = match name.as_deref() {
        Some("csv") => Some(SweepFormat::Csv),
        Some("jsonl" | "ndjson") => Some(SweepFormat::Jsonl),
        _ => None,
    };
    let word = |format| match format {
        SweepFormat::Jsonl => "jsonl",
        _ => "csv",
    };
    let called = |format| path.with_extension(word(format)).display().to_string();
    let lines = |format: &SweepFormat| matches!(format, SweepFormat::Csv | SweepFormat::Jsonl);
    match (says, asked.filter(lines)) {
        (None, None) if asked.is_none() => Err(Refusal::Sentence(format!(
            "the ending of `{}` does not say what to write: name it `{}` or `{}`, or add `--format csv` or `--format jsonl`",
            path.display(),
            called(SweepFormat::Csv),
            called(SweepFormat::Jsonl),
        ))),
        (Some(says), Some(asked)) if says != asked => Err(Refusal::Sentence(format!(
            "`--format {}` does not go with the name `{}`: name it `{}`, or take `--format {}`",
            word(asked),
            path.display(),
            called(asked),
            word(says),
        ))),
        (says, asked) => Ok(asked.or(says).unwrap_or(SweepFormat::Csv)),
    }
}

fn countable(plan: &Plan, format: Format) -> Result<(), Refusal> {
    let points = plan.points();
    match format {
        Format::Whole(_) if points > MOST_WHOLE => Err(Refusal::Sentence(format!(
            "{points} points are more than one page or object should hold ({MOST_WHOLE}): take `--format csv` or `--format jsonl`"
        ))),
        _ if points > MOST => Err(Refusal::Sentence(format!(
            "these ranges have more than {MOST} points together: take fewer with `--points`, or wider steps"
        ))),
        _ => Ok(()),
    }
}

/// The whole sweep as a page or an object.
fn at_once(
    asked: &arguments::Sweep,
    plan: Plan,
    json: bool,
    orders: &Orders,
) -> Result<Exit, Refusal> {
    let progress = Progress::counted("points", plan.points());
    let seek = !asked.no_breakpoints;
    let found = kept::sweep(plan, orders, seek, &mut |points| progress.advance(points));
    drop(progress);
    let words = if json {
        json::sweep::sweep(&found)
            .map_err(|error| Refusal::Sentence(format!("the answer is not JSON: {error}")))?
    } else {
        text::sweep::sweep(&found)
    };
    output::answer(&words)?;
    let drawn = drawn::sweep::sweep(&found);
    if !json {
        picture::show(drawn.as_ref())?;
    }
    picture::write(asked.picture.as_deref(), drawn.as_ref())?;
    let mut tally = Tally::default();
    for row in &found.rows {
        tally.count(row.status, 1);
    }
    Ok(Exit::of_sweep(&tally, found.is_whole(), false))
}

/// The rows as they are found, to a file or to standard output.
fn line_by_line(
    asked: &arguments::Sweep,
    plan: &Plan,
    kind: Kind,
    orders: &Orders,
    sources: &Sources,
) -> Result<Exit, Refusal> {
    let (part, of) = asked.shard.unwrap_or((1, 1));
    let chunks = plan.part(part - 1, of);
    let lines = Lines::new(plan, kind);
    let head = if part == 1 {
        lines.head()
    } else {
        String::new()
    };
    let Some(path) = &asked.to else {
        let mut tally = Tally::default();
        let mut open = output::stream(&head)?;
        let done = written(
            plan,
            &lines,
            chunks.clone(),
            orders,
            &mut tally,
            &mut |text| {
                // A reader that has gone away wants no more.
                open = open && output::stream(text)?;
                if open { Ok(()) } else { Err(None) }
            },
        );
        let done = match done {
            Ok(done) => done,
            Err(Some(refusal)) => return Err(refusal),
            Err(None) => chunks.len(),
        };
        return Ok(ended(plan, &chunks, done, &tally, asked));
    };
    let whole = Whole {
        plan,
        lines: &lines,
        chunks: chunks.clone(),
        head,
        question: question(asked, kind, sources),
    };
    let (mut file, kept) = PartFile::open(path, &whole, asked.resume)?;
    let mut tally = Tally::default();
    for (status, count) in &kept.statuses {
        tally.count(*status, *count);
    }
    let rest = chunks.start + kept.chunks..chunks.end;
    let done = written(plan, &lines, rest, orders, &mut tally, &mut |text| {
        file.append(text).map_err(Some)
    });
    let done = match done {
        Ok(done) => done + kept.chunks,
        Err(Some(refusal)) => return Err(refusal),
        Err(None) => kept.chunks,
    };
    if done == chunks.len() {
        file.finish()?;
    }
    Ok(ended(plan, &chunks, done, &tally, asked))
}

/// Solves chunks and hands their lines on; no refusal in the error is a reader that has gone away.
fn written(
    plan: &Plan,
    lines: &Lines,
    chunks: Range<usize>,
    orders: &Orders,
    tally: &mut Tally,
    to: &mut dyn FnMut(&str) -> Result<(), Option<Refusal>>,
) -> Result<usize, Option<Refusal>> {
    let progress = Progress::counted("points", points(plan, &chunks));
    let tell = |rows: Vec<Row>| -> (String, Vec<Status>) {
        let text = rows.iter().map(|row| lines.line(row)).collect();
        (text, rows.iter().map(|row| row.status).collect())
    };
    run::run(plan, chunks, orders, tell, &mut |(text, statuses)| {
        to(&text)?;
        for status in &statuses {
            tally.count(*status, 1);
        }
        progress.advance(statuses.len());
        Ok(())
    })
}

/// The points of some chunks.
fn points(plan: &Plan, chunks: &Range<usize>) -> usize {
    if chunks.is_empty() {
        0
    } else {
        plan.chunk(chunks.end - 1).end - plan.chunk(chunks.start).start
    }
}

/// The last words, and how it ends.
fn ended(
    plan: &Plan,
    chunks: &Range<usize>,
    done: usize,
    tally: &Tally,
    asked: &arguments::Sweep,
) -> Exit {
    let whole = done == chunks.len();
    if !whole {
        let solved = points(plan, &(chunks.start..chunks.start + done));
        let on = if asked.to.is_some() {
            "; the same command with --resume goes on"
        } else {
            ""
        };
        output::remark(&format!(
            "{solved} of {} points done{on}",
            points(plan, chunks)
        ));
    }
    output::remark("a predicted grade is not a licence or an approval");
    Exit::of_sweep(tally, whole, asked.shard.is_some())
}

/// The fingerprint of everything that a line depends on.
fn question(asked: &arguments::Sweep, kind: Kind, sources: &Sources) -> String {
    let mut print = Fingerprint::default();
    print.add(env!("CARGO_PKG_VERSION"));
    for text in sources.texts() {
        print.add(text);
    }
    for vary in &asked.vary {
        print.add(vary);
    }
    print.add(&format!(
        "{:?} {:?} {:?} {} {} {CHUNK} {CASES}",
        asked.points, kind, asked.shard, asked.no_proof, asked.gap
    ));
    print.text()
}

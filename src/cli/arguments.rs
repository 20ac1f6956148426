//! What can be typed: one struct a verb.

use crate::cli::batch;
use crate::explain::conflict;
use crate::predict::chance;
use clap::Args;
use clap::Parser;
use clap::Subcommand;
use clap::ValueEnum;
use std::path::PathBuf;
use std::time::Duration;

/// Engine-oil recipes from a shelf of components and a list of limits.
#[derive(Debug, Parser)]
#[command(
    name = "treatrate",
    version,
    after_help = "Exit codes: 0 yes, 1 no (with the full answer), 2 the question could not be read,\n\
                  3 no answer yet, 70 a bug.\n\
                  A predicted grade is not a licence or an approval."
)]
pub struct Arguments {
    /// The question.
    #[command(subcommand)]
    pub verb: Verb,
}

/// The questions.
#[derive(Debug, Subcommand)]
pub enum Verb {
    /// The cheapest recipe that meets every limit, or why there is none
    Solve(Solve),
    /// What a recipe will measure, limit by limit
    Predict(Predict),
    /// How much of a component a limit takes, what the rest does meanwhile, and what it costs
    Reach(Reach),
    /// What a moved specification or shelf changes, and which change did it
    Compare(Compare),
    /// Why there is no recipe, and the least that would have to give
    Conflict(Conflict),
    /// How recipe, cost and what binds move as one number moves, or two
    Sweep(Sweep),
    /// What one property costs in another: the recipes that no other betters in both
    Frontier(Frontier),
}

/// `treatrate solve`.
#[derive(Debug, Args)]
pub struct Solve {
    /// Problem file: what the finished oil must be ("-" reads standard input)
    pub problem: PathBuf,
    /// How to print the answer: text or json
    #[arg(long, value_enum, default_value_t, hide_possible_values = true)]
    pub format: Format,
    /// Batch to weigh out, such as "20 kg", instead of the problem's own
    #[arg(long, value_parser = batch::kilograms)]
    pub batch: Option<f64>,
    /// Further starting points, as insurance against missing a cheaper recipe
    #[arg(long, value_name = "N")]
    pub starts: Option<usize>,
    /// Prove the recipe best to within this part of its cost
    #[arg(long, value_name = "PART", value_parser = part, default_value = "1e-4")]
    pub gap: f64,
    /// Stop at a recipe that nothing nearby betters, without proving it best
    #[arg(long)]
    pub no_proof: bool,
    /// Most cases of the proof
    #[arg(long, value_name = "N", default_value_t = 200_000)]
    pub cases: usize,
    /// Only treat rates that the balance can pour: multiples of this many mass %
    #[arg(long, value_name = "MASS_PERCENT", value_parser = step)]
    pub resolution: Option<f64>,
    /// Also the next-best recipes, each without something that all before it use
    #[arg(long, value_name = "N", default_value_t = 0)]
    pub alternatives: usize,
    /// Begin nothing new after this many seconds
    #[arg(long, value_name = "SECONDS", value_parser = seconds)]
    pub time_limit: Option<Duration>,
    /// Which prices to tell: none; limits, what each costs (the default, but for --time-limit); or shelf,
    /// also how far each component's price may move, and what those left out would have to cost
    #[arg(long, value_name = "WHICH", value_enum, hide_possible_values = true)]
    pub prices: Option<Prices>,
    /// Also write the recipe to this file, which `predict` reads
    #[arg(long, value_name = "FILE")]
    pub write_recipe: Option<PathBuf>,
    /// Also where each limited property comes from, component by component; or each of these keys, such
    /// as ccs@-30,ash
    #[arg(long, value_name = "KEYS", num_args = 0..=1, require_equals = true)]
    #[arg(default_missing_value = "")]
    pub contributions: Option<String>,
    /// The cheapest recipe of which each limit passes at one laboratory's single test with this
    /// probability, such as 0.95
    #[arg(long, value_name = "PROBABILITY", value_parser = probability)]
    #[arg(allow_hyphen_values = true)]
    pub confidence: Option<f64>,
    /// With --confidence: not each limit, but all of them together
    #[arg(long, requires = "confidence")]
    pub together: bool,
    /// How far one pour may be off, such as "0.1 g" (one standard deviation), instead of the problem's own
    #[arg(long, value_name = "GRAMS", value_parser = batch::pour, requires = "confidence")]
    #[arg(allow_hyphen_values = true)]
    pub balance: Option<f64>,
    /// How many draws tell the chances, made in blocks of 4096, of which there are two or more
    #[arg(long, value_name = "N", value_parser = kept_draws, default_value_t = chance::DRAWS)]
    #[arg(requires = "confidence")]
    pub draws: usize,
    /// Tell how much work it was
    #[arg(long, short)]
    pub verbose: bool,
    /// With --confidence, also draw where the results may lie: to this file, .svg or .png (an earlier
    /// picture is replaced, no other file)
    #[arg(long, value_name = "FILE", requires = "confidence")]
    pub picture: Option<PathBuf>,
}

/// `treatrate predict`.
#[derive(Debug, Args)]
pub struct Predict {
    /// Problem file: the limits, and the shelves the recipe draws on ("-" reads standard input)
    pub problem: PathBuf,
    /// Recipe file: mass % of each component ("-" reads standard input)
    pub recipe: PathBuf,
    /// How to print the answer: text or json
    #[arg(long, value_enum, default_value_t, hide_possible_values = true)]
    pub format: Format,
    /// Also where each limited property comes from, component by component; or each of these keys, such
    /// as ccs@-30,ash
    #[arg(long, value_name = "KEYS", num_args = 0..=1, require_equals = true)]
    #[arg(default_missing_value = "")]
    pub contributions: Option<String>,
    /// Also how often each limit passes at one laboratory's single test, and all together; with a
    /// probability, such as 0.95, the answer is no where a limit passes less often
    #[arg(long, value_name = "PROBABILITY", value_parser = probability)]
    #[arg(num_args = 0..=1)]
    pub confidence: Option<Option<f64>>,
    /// How far one pour may be off, such as "0.1 g" (one standard deviation), instead of the problem's own
    #[arg(long, value_name = "GRAMS", value_parser = batch::pour, requires = "confidence")]
    #[arg(allow_hyphen_values = true)]
    pub balance: Option<f64>,
    /// How many draws tell the chances, made in blocks of 4096, of which there are two or more
    #[arg(long, value_name = "N", value_parser = draws, default_value_t = chance::DRAWS)]
    #[arg(requires = "confidence")]
    pub draws: usize,
    /// With --confidence, also draw where the results may lie: to this file, .svg or .png (an earlier
    /// picture is replaced, no other file)
    #[arg(long, value_name = "FILE", requires = "confidence")]
    pub picture: Option<PathBuf>,
}

/// `treatrate reach`.
#[derive(Debug, Args)]
pub struct Reach {
    /// Problem file: what else the finished oil must be ("-" reads standard input)
    pub problem: PathBuf,
    /// What to reach: any key that can be limited, such as mo/p or base-number
    pub property: String,
    /// The component to reach it with
    #[arg(long, value_name = "COMPONENT")]
    pub with: String,
    /// Reach at least this, in the property's unit, instead of the problem's own limit
    #[arg(long, value_name = "X", value_parser = number, allow_negative_numbers = true)]
    pub at_least: Option<f64>,
    /// Reach at most this
    #[arg(long, value_name = "X", value_parser = number, allow_negative_numbers = true)]
    #[arg(conflicts_with = "at_least")]
    pub at_most: Option<f64>,
    /// How to print the answer: text or json
    #[arg(long, value_enum, default_value_t, hide_possible_values = true)]
    pub format: Format,
    /// Batch to weigh out, such as "20 kg", instead of the problem's own
    #[arg(long, value_parser = batch::kilograms)]
    pub batch: Option<f64>,
    /// Begin nothing new after this many seconds
    #[arg(long, value_name = "SECONDS", value_parser = seconds)]
    pub time_limit: Option<Duration>,
}

/// `treatrate compare`.
#[derive(Debug, Args)]
pub struct Compare {
    /// Problem file as it was ("-" reads standard input)
    pub problem: PathBuf,
    /// Problem file as it is now ("-" reads standard input)
    pub other: PathBuf,
    /// How to print the answer: text or json
    #[arg(long, value_enum, default_value_t, hide_possible_values = true)]
    pub format: Format,
    /// Batch to weigh out of both, such as "20 kg", instead of their own
    #[arg(long, value_parser = batch::kilograms)]
    pub batch: Option<f64>,
    /// Begin nothing new after this many seconds
    #[arg(long, value_name = "SECONDS", value_parser = seconds)]
    pub time_limit: Option<Duration>,
}

/// `treatrate conflict`.
#[derive(Debug, Args)]
pub struct Conflict {
    /// Problem file: what the finished oil must be ("-" reads standard input)
    pub problem: PathBuf,
    /// How to print the answer: text or json
    #[arg(long, value_enum, default_value_t, hide_possible_values = true)]
    pub format: Format,
    /// Most reasons to tell
    #[arg(long, value_name = "N", value_parser = reasons, default_value_t = conflict::SETS)]
    pub sets: usize,
    /// Begin nothing new after this many seconds
    #[arg(long, value_name = "SECONDS", value_parser = seconds)]
    pub time_limit: Option<Duration>,
}

/// `treatrate sweep`.
#[derive(Debug, Args)]
#[command(group(clap::ArgGroup::new("moved").required(true).multiple(true)))]
#[expect(clippy::struct_excessive_bools, reason = "flags of a command line")]
pub struct Sweep {
    /// Problem file: what the finished oil must be ("-" reads standard input)
    pub problem: PathBuf,
    /// What to vary: a path to a number and its values, such as limits.p.max=600..900,
    /// "shelf.pao-4.price=2.5..4 step 0.1" or grade=5W-30,5W-40; twice for a map
    #[arg(long, value_name = "PATH=RANGE", group = "moved")]
    pub vary: Vec<String>,
    /// Instead, move every limit, treat band and count, one at a time, by the reproducibility of its test
    /// or a stated step
    #[arg(long, group = "moved")]
    pub every_limit: bool,
    /// Instead, move the price of every component, one at a time
    #[arg(long, group = "moved")]
    pub every_price: bool,
    /// By how much --every-price moves prices
    #[arg(long, value_name = "PERCENT", value_parser = percent, default_value = "10 %")]
    #[arg(allow_hyphen_values = true, requires = "every_price")]
    pub by: f64,
    /// Points of each range that states no step [default: 41, or 25 each of several]
    #[arg(long, value_name = "N", value_parser = points, allow_hyphen_values = true)]
    pub points: Option<usize>,
    /// How to print the answer: text, csv, jsonl (a JSON object a line) or json (one object)
    #[arg(long, value_enum, hide_possible_values = true)]
    pub format: Option<SweepFormat>,
    /// Write lines to this file, which can be gone on with when interrupted: CSV where its name ends in
    /// .csv, JSON lines where in .jsonl, else what --format says
    #[arg(long, value_name = "FILE")]
    pub to: Option<PathBuf>,
    /// Go on with the file of an interrupted run of the same question
    #[arg(long, requires = "to")]
    pub resume: bool,
    /// Only this part of so many, such as 3/8: parts put one after another are the whole
    #[arg(long, value_name = "K/N", value_parser = shard)]
    pub shard: Option<(usize, usize)>,
    /// Threads, instead of one a core; the answer is the same
    #[arg(long, value_name = "N", value_parser = threads)]
    pub threads: Option<usize>,
    /// Prove each recipe best to within this part of its cost
    #[arg(long, value_name = "PART", value_parser = part, default_value = "1e-4")]
    pub gap: f64,
    /// Stop at recipes that nothing nearby betters, without proving them best
    #[arg(long)]
    pub no_proof: bool,
    /// Do not look for what changes between the points
    #[arg(long)]
    pub no_breakpoints: bool,
    /// Begin nothing new after this many seconds
    #[arg(long, value_name = "SECONDS", value_parser = seconds)]
    pub time_limit: Option<Duration>,
    /// Also draw it: to this file, .svg or .png (an earlier picture is replaced, no other file)
    #[arg(long, value_name = "FILE")]
    pub picture: Option<PathBuf>,
}

/// `treatrate frontier`.
#[derive(Debug, Args)]
pub struct Frontier {
    /// Problem file: what the finished oil must be ("-" reads standard input)
    pub problem: PathBuf,
    /// Two keys that can be limited, such as cost,noack; `:low` or `:high` behind one says which way is
    /// better where the problem does not
    #[arg(long, value_name = "A,B", value_parser = two)]
    pub between: [String; 2],
    /// About how many recipes, both ends included; a jump may add some
    #[arg(long, value_name = "N", value_parser = recipes, default_value_t = 9)]
    pub points: usize,
    /// How to print the answer: text, csv or json
    #[arg(long, value_enum, default_value_t, hide_possible_values = true)]
    pub format: Listing,
    /// Begin nothing new after this many seconds
    #[arg(long, value_name = "SECONDS", value_parser = seconds)]
    pub time_limit: Option<Duration>,
    /// Also draw it: to this file, .svg or .png (an earlier picture is replaced, no other file)
    #[arg(long, value_name = "FILE")]
    pub picture: Option<PathBuf>,
}

/// How a sweep is printed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum SweepFormat {
    /// For a person
    Text,
    /// A line a point, for a spreadsheet
    Csv,
    /// A JSON object a line and point
    Jsonl,
    /// One JSON object
    Json,
}

/// How an answer is printed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, ValueEnum)]
pub enum Format {
    /// For a person
    #[default]
    Text,
    /// For a program
    Json,
}

/// How an answer of many rows is printed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, ValueEnum)]
pub enum Listing {
    /// For a person
    #[default]
    Text,
    /// For a spreadsheet
    Csv,
    /// For a program
    Json,
}

/// Which prices are told beside a recipe.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum Prices {
    /// None
    None,
    /// What each limit costs
    Limits,
    /// That, and what the shelf's prices decide
    Shelf,
}

/// A part between nothing and one.
fn part(text: &str) -> Result<f64, String> {
    text.parse::<f64>()
        .ok()
        .filter(|p| *p > 0.0 && *p < 1.0)
        .ok_or_else(|| "a part between 0 and 1, such as 1e-4".into())
}

/// Points of a range.
fn points(text: &str) -> Result<usize, String> {
    text.parse::<usize>()
        .ok()
        .filter(|n| (2..=100_000_000).contains(n))
        .ok_or_else(|| "a whole number from 2 to 100000000".into())
}

/// A part of several, both counted from 1.
fn shard(text: &str) -> Result<(usize, usize), String> {
    let numbers = text.split_once('/').and_then(|(k, n)| {
        let (k, n) = (
            k.trim().parse::<usize>().ok()?,
            n.trim().parse::<usize>().ok()?,
        );
        (k >= 1 && k <= n).then_some((k, n))
    });
    numbers.ok_or_else(|| "which part of how many, such as 3/8: the first is 1/8".into())
}

/// A number of threads.
fn threads(text: &str) -> Result<usize, String> {
    text.parse::<usize>()
        .ok()
        .filter(|n| (1..=1024).contains(n))
        .ok_or_else(|| "a whole number from 1 to 1024".into())
}

/// A number of reasons.
fn reasons(text: &str) -> Result<usize, String> {
    text.parse::<usize>()
        .ok()
        .filter(|n| (1..=100).contains(n))
        .ok_or_else(|| "a whole number from 1 to 100".into())
}

/// A percentage below 100, as a part. A bare number below 1 may be meant as a part.
fn percent(text: &str) -> Result<f64, String> {
    let number = text.trim().trim_end_matches('%').trim_end();
    let said = text.contains('%');
    match number.parse::<f64>() {
        Ok(p) if !said && p > 0.0 && p < 1.0 => Err(format!(
            "with its sign: \"{} %\" for that part, \"{p} %\" for less than one percent",
            plain(100.0 * p)
        )),
        Ok(p) if p > 0.0 && p < 100.0 => Ok(p / 100.0),
        _ => Err("a percentage above 0 and below 100, such as 10%".into()),
    }
}

/// Two keys with a comma between them.
fn two(text: &str) -> Result<[String; 2], String> {
    let keys: Vec<&str> = text.split(',').map(str::trim).collect();
    match keys.as_slice() {
        [a, b] if !a.is_empty() && !b.is_empty() => Ok([(*a).into(), (*b).into()]),
        _ => Err("two keys with a comma between them, such as cost,noack".into()),
    }
}

/// A number of recipes.
fn recipes(text: &str) -> Result<usize, String> {
    text.parse::<usize>()
        .ok()
        .filter(|n| (2..=500).contains(n))
        .ok_or_else(|| "a whole number from 2 to 500".into())
}

/// A balance's step in mass %: it must divide 100 %.
fn step(text: &str) -> Result<f64, String> {
    let number = text.trim().trim_end_matches('%').trim_end();
    number
        .parse::<f64>()
        .ok()
        .filter(|s| (0.0001..=100.0).contains(s))
        .filter(|s| (100.0 / s - (100.0 / s).round()).abs() < 1e-9)
        .ok_or_else(|| "a number of mass % that divides 100, such as 0.1 or 0.05: 1 g of a batch of 5 kg is 0.02".into())
}

/// Draws: a few blocks at least, and no more than a machine's patience.
fn draws(text: &str) -> Result<usize, String> {
    text.parse::<usize>()
        .ok()
        .filter(|n| (1000..=100_000_000).contains(n))
        .ok_or_else(|| "a whole number from 1000 to 100000000".into())
}

/// Draws that are kept while guards are sought: about half a kilobyte each.
fn kept_draws(text: &str) -> Result<usize, String> {
    text.parse::<usize>()
        .ok()
        .filter(|n| (1000..=1_000_000).contains(n))
        .ok_or_else(|| "a whole number from 1000 to 1000000; `predict` takes more".into())
}

/// Beyond this nobody knows the tails of a test method's scatter.
const MOST_SURE: f64 = 0.999;

/// A number from here on was meant in percent.
const LIKELY_PERCENT: f64 = 10.0;

/// A probability, also in percent.
fn probability(text: &str) -> Result<f64, String> {
    let percent = text.trim().strip_suffix('%');
    let (number, unit) = match percent {
        Some(percent) => (percent.trim(), 0.01),
        None => (text.trim(), 1.0),
    };
    let allowed = |p: f64| p > 0.0 && p <= MOST_SURE;
    let meant = if number.contains(',') {
        format!("; with a decimal point: {}", text.trim().replace(',', "."))
    } else {
        match number.parse::<f64>() {
            Ok(p) if allowed(p * unit) => return Ok(p * unit),
            Ok(p) if percent.is_none() && p >= LIKELY_PERCENT && allowed(0.01 * p) => {
                format!("; {p} % is \"{p} %\" or {}", plain(0.01 * p))
            }
            _ => String::new(),
        }
    };
    Err(format!(
        "a probability above 0 and at most {MOST_SURE}, such as 0.95 or \"95 %\"{meant}"
    ))
}

/// A number without the dust of a product.
fn plain(number: f64) -> f64 {
    format!("{number:.6}").parse().unwrap_or(number)
}

fn number(text: &str) -> Result<f64, String> {
    text.parse::<f64>()
        .ok()
        .filter(|x| x.is_finite())
        .ok_or_else(|| "a number with a decimal point, in the property's unit".into())
}

fn seconds(text: &str) -> Result<Duration, String> {
    text.parse::<f64>()
        .ok()
        .filter(|s| *s > 0.0)
        .and_then(|s| Duration::try_from_secs_f64(s).ok())
        .ok_or_else(|| "a number of seconds above 0".into())
}

//! What can be typed: one struct a verb.

use crate::cli::batch;
use crate::explain::conflict;
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
    /// What one property costs in another: the recipes that no other betters in both
    Frontier(Frontier),
    /// What small moves do to the goal: every limit by what its test can tell, every price by a part
    Sweep(Sweep),
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
    /// Tell how much work it was
    #[arg(long, short)]
    pub verbose: bool,
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
    #[arg(long, value_name = "N", value_parser = points, default_value_t = 9)]
    pub points: usize,
    /// How to print the answer: text, csv or json
    #[arg(long, value_enum, default_value_t, hide_possible_values = true)]
    pub format: Listing,
    /// Begin nothing new after this many seconds
    #[arg(long, value_name = "SECONDS", value_parser = seconds)]
    pub time_limit: Option<Duration>,
}

/// `treatrate sweep`.
#[derive(Debug, Args)]
#[command(group(clap::ArgGroup::new("moved").required(true).multiple(true)))]
pub struct Sweep {
    /// Problem file: what the finished oil must be ("-" reads standard input)
    pub problem: PathBuf,
    /// Move every limit, treat band and count, one at a time, by the reproducibility of its test or a
    /// stated step
    #[arg(long, group = "moved")]
    pub every_limit: bool,
    /// Move the price of every component, one at a time
    #[arg(long, group = "moved")]
    pub every_price: bool,
    /// By how much prices move
    #[arg(long, value_name = "PERCENT", value_parser = percent, default_value = "10 %")]
    pub by: f64,
    /// How to print the answer: text, csv or json
    #[arg(long, value_enum, default_value_t, hide_possible_values = true)]
    pub format: Listing,
    /// Begin nothing new after this many seconds
    #[arg(long, value_name = "SECONDS", value_parser = seconds)]
    pub time_limit: Option<Duration>,
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

/// A number of reasons.
fn reasons(text: &str) -> Result<usize, String> {
    text.parse::<usize>()
        .ok()
        .filter(|n| (1..=100).contains(n))
        .ok_or_else(|| "a whole number from 1 to 100".into())
}

/// A percentage below 100, as a part.
fn percent(text: &str) -> Result<f64, String> {
    let number = text.trim().trim_end_matches('%').trim_end();
    number
        .parse::<f64>()
        .ok()
        .filter(|p| *p > 0.0 && *p < 100.0)
        .map(|p| p / 100.0)
        .ok_or_else(|| "a percentage above 0 and below 100, such as 10%".into())
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
fn points(text: &str) -> Result<usize, String> {
    text.parse::<usize>()
        .ok()
        .filter(|n| (2..=500).contains(n))
        .ok_or_else(|| "a whole number from 2 to 500".into())
}

/// A balance's step in mass %: it must divide 100 %.
fn step(text: &str) -> Result<f64, String> {
    text.parse::<f64>()
        .ok()
        .filter(|s| (0.0001..=100.0).contains(s))
        .filter(|s| (100.0 / s - (100.0 / s).round()).abs() < 1e-9)
        .ok_or_else(|| "a number of mass % that divides 100, such as 0.1 or 0.05".into())
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

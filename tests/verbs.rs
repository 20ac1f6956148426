//! What a shell sees of each verb, whole: exit code, standard output, standard error.
//!
//! Each folder of `tests/verbs` holds `command.txt` (one argument a line; run from the root of this
//! repository), where the case needs it `stdin.toml`, and `expected.txt`.
//! `TREATRATE_BLESS=1 cargo test --test verbs` rewrites what is expected.

use std::error::Error;
use std::fs;
use std::io::Write;
use std::path::{Path, PathBuf};
use std::process::{Command, Output, Stdio};

const CASES: &str = "tests/verbs";

/// The cases that must be there, each with its exit code.
const EXITS: [(&str, i32); 73] = [
    ("compare-broken", 1),
    ("compare-json", 0),
    ("compare-moved", 0),
    ("compare-nothing", 0),
    ("compare-restored", 0),
    ("conflict", 1),
    ("conflict-json", 1),
    ("conflict-none", 0),
    ("conflict-rule-and-stock", 1),
    ("conflict-several", 1),
    ("frontier-cost", 0),
    ("frontier-csv", 0),
    ("frontier-json", 0),
    ("frontier-jump", 0),
    ("frontier-no-recipe", 1),
    ("frontier-no-way", 2),
    ("frontier-nothing-to-trade", 0),
    ("frontier-twice", 2),
    ("predict-breaks-one-rule", 1),
    ("predict-breaks-rules", 1),
    ("predict-breaks-rules-json", 1),
    ("predict-confidence", 1),
    ("predict-confidence-json", 0),
    ("predict-contributions", 0),
    ("predict-contributions-json", 0),
    ("predict-contributions-unknown", 2),
    ("predict-fails", 1),
    ("predict-fails-json", 1),
    ("predict-missing-recipe", 2),
    ("predict-passes", 0),
    ("predict-stdin", 0),
    ("reach-curved", 0),
    ("reach-json", 0),
    ("reach-misspelt", 2),
    ("reach-no-recipe", 1),
    ("reach-not-reached", 1),
    ("reach-parity", 0),
    ("solve-balance-spoils", 3),
    ("solve-confidence", 0),
    ("solve-confidence-json", 0),
    ("solve-confidence-no-recipe", 1),
    ("solve-confidence-no-recipe-json", 1),
    ("solve-confidence-refused", 2),
    ("solve-confidence-usage", 2),
    ("solve-contributions", 0),
    ("solve-json", 0),
    ("solve-logic", 0),
    ("solve-missing-file", 2),
    ("solve-no-recipe", 1),
    ("solve-no-recipe-json", 1),
    ("solve-prices-shelf", 0),
    ("solve-stdin", 0),
    ("solve-text", 0),
    ("sweep-batch", 0),
    ("sweep-comma", 0),
    ("sweep-csv", 0),
    ("sweep-every-csv", 0),
    ("sweep-every-json", 0),
    ("sweep-every-limit", 0),
    ("sweep-every-no-recipe", 1),
    ("sweep-every-price", 0),
    ("sweep-grade-lacking", 2),
    ("sweep-json", 0),
    ("sweep-lacking", 2),
    ("sweep-map", 0),
    ("sweep-map-wide", 0),
    ("sweep-misspelt", 2),
    ("sweep-no-recipe", 1),
    ("sweep-nothing-asked", 2),
    ("sweep-text", 0),
    ("sweep-value", 2),
    ("sweep-words", 0),
    ("usage", 2),
];

/// Decimals and significant digits of a number in JSON that are compared: the last ones differ between
/// machines.
const DECIMALS: usize = 9;
const DIGITS: usize = 8;

type Tested = Result<(), Box<dyn Error>>;

fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

fn binary() -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_treatrate"));
    command
        .current_dir(root())
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped());
    command
}

fn run(folder: &Path) -> Result<(Vec<String>, Output), Box<dyn Error>> {
    let arguments = fs::read_to_string(folder.join("command.txt"))?;
    let arguments: Vec<String> = arguments.lines().map(str::to_owned).collect();
    let mut child = binary().args(&arguments).spawn()?;
    let mut stdin = child.stdin.take().ok_or("no standard input")?;
    let given = folder.join("stdin.toml");
    if given.exists() {
        stdin.write_all(&fs::read(given)?)?;
    }
    drop(stdin);
    Ok((arguments, child.wait_with_output()?))
}

/// A JSON text with its numbers rounded.
fn rounded(json: &str) -> String {
    json.lines()
        .map(|line| {
            let digits = |c: char| c.is_ascii_digit() || "+-.eE".contains(c);
            let (head, rest) = line.split_once(": ").unwrap_or(("", line));
            let number = rest.trim_end_matches(',');
            match number.parse::<f64>() {
                Ok(value) if number.chars().all(digits) => {
                    let comma = &rest[number.len()..];
                    format!("{head}: {}{comma}\n", short(value))
                }
                _ => format!("{line}\n"),
            }
        })
        .collect()
}

/// A CSV text with its numbers rounded.
fn rounded_cells(csv: &str) -> String {
    let cell = |cell: &str| match cell.parse::<f64>() {
        Ok(value) => short(value),
        Err(_) => cell.to_owned(),
    };
    let line = |line: &str| line.split(',').map(cell).collect::<Vec<_>>().join(",") + "\n";
    csv.lines().map(line).collect()
}

fn short(value: f64) -> String {
    let significant: f64 = format!("{value:.*e}", DIGITS - 1)
        .parse()
        .expect("a number was printed");
    let text = format!("{significant:.DECIMALS$}");
    let text = text.trim_end_matches('0').trim_end_matches('.');
    if text == "-0" { "0" } else { text }.to_owned()
}

/// All that a shell sees, as one text.
fn seen(arguments: &[String], output: &Output) -> Result<String, Box<dyn Error>> {
    let stdout = String::from_utf8(output.stdout.clone())?;
    let stdout = if stdout.starts_with('{') {
        rounded(&stdout)
    } else if arguments.iter().any(|a| a == "csv") {
        rounded_cells(&stdout)
    } else {
        stdout
    };
    let stderr = String::from_utf8(output.stderr.clone())?.replace('\\', "/");
    let code = output.status.code().ok_or("ended by a signal")?;
    Ok(format!(
        "$ treatrate {}\n--- exit code {code}\n--- standard output\n{stdout}--- standard error\n{stderr}",
        arguments.join(" ")
    ))
}

fn cases() -> Result<Vec<PathBuf>, Box<dyn Error>> {
    let mut all: Vec<PathBuf> = fs::read_dir(root().join(CASES))?
        .map(|entry| entry.map(|e| e.path()))
        .collect::<Result<_, _>>()?;
    all.sort();
    Ok(all)
}

#[test]
fn every_case_is_told_as_expected() -> Tested {
    let bless = std::env::var_os("TREATRATE_BLESS").is_some();
    let mut wrong = Vec::new();
    let mut names = Vec::new();
    for folder in cases()? {
        let name = folder.file_name().ok_or("a folder without a name")?;
        let name = name.to_string_lossy().into_owned();
        let (arguments, output) = run(&folder)?;
        let code = EXITS.iter().find(|(of, _)| *of == name).map(|(_, c)| *c);
        let text = seen(&arguments, &output)?;
        // Not to be blessed away.
        assert_eq!(output.status.code(), code, "{name}:\n{text}");
        let expected = folder.join("expected.txt");
        if bless {
            fs::write(&expected, &text)?;
        } else if fs::read_to_string(&expected).unwrap_or_default() != text {
            wrong.push(format!("{name}:\n{text}"));
        }
        names.push(name);
    }
    let listed: Vec<&str> = EXITS.iter().map(|(name, _)| *name).collect();
    assert_eq!(names, listed);
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
    Ok(())
}

/// A reader that leaves early, as `head` does, is no failure. The problem is handed over only once
/// nobody reads any more, so that the answer surely meets a closed pipe.
#[test]
fn a_reader_that_leaves_is_no_failure() -> Tested {
    for format in ["text", "json"] {
        let mut child = binary().args(["solve", "-", "--format", format]).spawn()?;
        drop(child.stdout.take());
        let mut stdin = child.stdin.take().ok_or("no standard input")?;
        let given = root().join(CASES).join("solve-stdin/stdin.toml");
        stdin.write_all(&fs::read(given)?)?;
        drop(stdin);
        let output = child.wait_with_output()?;
        assert_eq!(output.status.code(), Some(0));
        assert_eq!(String::from_utf8(output.stderr)?, "");
    }
    Ok(())
}

//! Sweeps written to files: parts that make the whole, interrupted runs that are gone on with.

use std::fs;
use std::path::Path;
use std::process::{Command, Output, Stdio};
use std::thread::sleep;
use std::time::Duration;

/// Points of the sweep by hand: several chunks, the last not full.
const POINTS: usize = 90;

fn command(folder: &Path, arguments: &[&str]) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_treatrate"));
    command
        .current_dir(folder)
        .stdin(Stdio::null())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .arg("sweep")
        .args(arguments);
    command
}

fn ran(folder: &Path, arguments: &[&str], exit: i32) -> Output {
    let output = command(folder, arguments)
        .output()
        .expect("the binary runs");
    let told = String::from_utf8_lossy(&output.stderr);
    assert_eq!(output.status.code(), Some(exit), "{arguments:?}: {told}");
    output
}

/// A folder with a problem of three stocks: some points of its sweep have no recipe, and its title and
/// reasons hold commas.
fn bench() -> tempfile::TempDir {
    let folder = tempfile::tempdir().expect("a folder");
    let stock = |id: &str, price: f64, q: f64| {
        format!("[[component]]\nid = \"{id}\"\nkind = \"other\"\nprice = {price}\nq = {q}\n")
    };
    let shelf = [
        stock("a", 1.0, 0.0),
        stock("b", 3.0, 10.0),
        stock("c", 6.0, 20.0),
    ]
    .concat();
    fs::write(
        folder.path().join("shelf.toml"),
        format!("properties = [\"q\"]\n{shelf}"),
    )
    .expect("written");
    let problem = "title = \"three, by hand\"\nshelf = \"shelf.toml\"\n[property.q]\nunit = \"%\"\n\
                   rule = \"mass-linear\"\n[limits]\nq = { min = 5, max = 30 }\n";
    fs::write(folder.path().join("oil.toml"), problem).expect("written");
    folder
}

fn asked<'a>(more: &[&'a str]) -> Vec<&'a str> {
    [
        ["oil.toml", "--vary", "limits.q.min=1..25", "--points", "90"].as_slice(),
        more,
    ]
    .concat()
}

fn whole(folder: &Path, format: &str) -> Vec<u8> {
    ran(folder, &asked(&["--format", format]), 0).stdout
}

/// The `csv` crate reads RFC 4180: columns, quotes and numbers as it sees them.
#[test]
fn the_csv_is_read_by_another_reader() {
    let folder = bench();
    let text = whole(folder.path(), "csv");
    let mut reader = csv::Reader::from_reader(text.as_slice());
    let heads: Vec<String> = reader
        .headers()
        .expect("a head")
        .iter()
        .map(str::to_owned)
        .collect();
    assert_eq!(
        heads,
        [
            "limits.q.min",
            "status",
            "gap",
            "cost",
            "treat:a",
            "treat:b",
            "treat:c",
            "q",
            "binds",
            "reason"
        ]
    );
    let mut rows = 0;
    for record in reader.records() {
        let record = record.expect("as many cells as heads");
        let cell = |k: usize| record[k].parse::<f64>().expect("a finite number");
        rows += 1;
        let t = cell(0);
        if t > 20.0 {
            assert_eq!(&record[1], "no-recipe");
            assert!(record[9].contains("q must be at least"), "{record:?}");
            assert!(
                record.iter().skip(2).take(7).all(str::is_empty),
                "{record:?}"
            );
            continue;
        }
        assert_eq!(&record[1], "optimal");
        // The lower hull of (0, 1), (10, 3), (20, 6), by hand.
        let cost = if t < 10.0 { 1.0 + 0.2 * t } else { 0.3 * t };
        assert!((cell(3) - cost).abs() < 2e-4 * cost, "{record:?}");
        assert!((cell(4) + cell(5) + cell(6) - 100.0).abs() < 1e-5);
        assert!((cell(7) - t).abs() < 1e-6 && &record[8] == "q.min");
    }
    assert_eq!(rows, POINTS);
}

#[test]
fn each_json_line_is_an_object_with_the_same_keys() {
    let folder = bench();
    let text = String::from_utf8(whole(folder.path(), "jsonl")).expect("text");
    assert_eq!(text.lines().count(), POINTS);
    for line in text.lines() {
        let object: serde_json::Value = serde_json::from_str(line).expect("JSON");
        let keys: Vec<&String> = object.as_object().expect("an object").keys().collect();
        assert_eq!(
            keys,
            [
                "at", "status", "gap", "goal", "recipe", "values", "binds", "reason"
            ]
        );
        assert!(object["at"]["limits.q.min"].is_f64());
        assert_eq!(object["goal"].is_null(), object["status"] == "no-recipe");
    }
}

#[test]
fn parts_one_after_another_are_the_whole() {
    let folder = bench();
    for format in ["csv", "jsonl"] {
        let whole = whole(folder.path(), format);
        // More parts than chunks too: some are empty.
        for of in [1, 2, 3, 5, 9, 40] {
            let mut all = Vec::new();
            for part in 1..=of {
                let shard = format!("{part}/{of}");
                let more = ["--format", format, "--shard", &shard];
                all.extend(ran(folder.path(), &asked(&more), 0).stdout);
            }
            assert!(all == whole, "{of} parts of {format}");
        }
        for threads in ["1", "2", "7"] {
            let more = ["--format", format, "--threads", threads];
            assert!(
                ran(folder.path(), &asked(&more), 0).stdout == whole,
                "{threads}"
            );
        }
    }
}

/// The lines for schedulers that the README shows, run with a shell in the place of the scheduler.
#[cfg(unix)]
#[test]
fn the_job_array_of_the_readme_writes_the_whole() {
    let folder = bench();
    let readme = fs::read_to_string(concat!(env!("CARGO_MANIFEST_DIR"), "/README.md")).expect("it");
    let script = readme
        .split("```sh\n")
        .filter_map(|rest| rest.split("```").next())
        .find(|block| block.contains("#SBATCH --array=1-8"))
        .expect("the README shows a job array");
    let script = script.replace("--vary limits.p.max=600..900", "--vary limits.q.min=1..25");
    let script = script.replace("--points 100000", "--points 90");
    let binary = Path::new(env!("CARGO_BIN_EXE_treatrate"));
    let paths = format!(
        "{}:{}",
        binary.parent().expect("a folder").display(),
        std::env::var("PATH").unwrap_or_default()
    );
    fs::write(folder.path().join("job.sh"), script).expect("written");
    for task in 1..=8 {
        let ended = Command::new("sh")
            .arg("job.sh")
            .current_dir(folder.path())
            .env("PATH", &paths)
            .env("SLURM_ARRAY_TASK_ID", task.to_string())
            .env("SLURM_ARRAY_TASK_COUNT", "8")
            .env("SLURM_CPUS_PER_TASK", "1")
            .output()
            .expect("a shell");
        let told = String::from_utf8_lossy(&ended.stderr);
        assert!(ended.status.success(), "{told}");
    }
    let joined = |of: &str| {
        let joined = Command::new("sh")
            .args(["-c", of])
            .current_dir(folder.path())
            .output();
        joined.expect("a shell").stdout
    };
    let whole = whole(folder.path(), "csv");
    assert!(joined("cat part-*.csv && rm part-*.csv") == whole);
    // And the line for one machine, a shell's loop in the place of its tool.
    let line = readme
        .split("```sh\n")
        .filter_map(|rest| rest.split("```").next())
        .find_map(|block| block.strip_prefix("parallel "))
        .expect("the README shows a line for one machine");
    let (command, parts) = line.split_once(":::").expect("its parts");
    let command = command.replace("--vary limits.p.max=600..900", "--vary limits.q.min=1..25");
    let command = command.replace("--points 100000", "--points 90");
    for part in parts.split_whitespace() {
        let ended = Command::new("sh")
            .args(["-c", &command.replace("{}", part)])
            .current_dir(folder.path())
            .env("PATH", &paths)
            .output()
            .expect("a shell");
        assert!(ended.status.success(), "{command}");
    }
    assert!(joined("cat part-*.csv") == whole);
}

/// Places of a text at which a kill may have ended it: beside every end of a line, and some between.
fn torn(text: &[u8]) -> Vec<usize> {
    let ends = (0..text.len()).filter(|&k| text[k] == b'\n');
    let lines: Vec<usize> = ends.collect();
    let mut places = vec![0, 1, lines[0] / 2];
    // The head, the first lines, both ends of a chunk of 16 rows, the last lines.
    for k in [0, 1, 2, 15, 16, 17, 32, lines.len() - 2, lines.len() - 1] {
        places.extend([
            lines[k].saturating_sub(1),
            lines[k],
            lines[k] + 1,
            lines[k] + 7,
        ]);
    }
    places.retain(|place| *place <= text.len());
    places.sort_unstable();
    places.dedup();
    places
}

#[test]
fn a_file_torn_anywhere_is_gone_on_with_to_the_same_bytes() {
    let folder = bench();
    let inside = |name: &str| folder.path().join(name);
    for format in ["csv", "jsonl"] {
        let text = whole(folder.path(), format);
        // A run that ended before it began leaves the note of its question.
        let more = ["--format", format, "--to", "out", "--time-limit", "1e-9"];
        let ended = ran(folder.path(), &asked(&more), 3);
        let told = String::from_utf8_lossy(&ended.stderr);
        assert!(
            told.contains("0 of 90 points done; the same command with --resume goes on"),
            "{told}"
        );
        let note = fs::read(inside("out.part.question")).expect("a note");
        for place in torn(&text) {
            fs::write(inside("out.part.question"), &note).expect("written");
            fs::write(inside("out.part"), &text[..place]).expect("written");
            ran(
                folder.path(),
                &asked(&["--format", format, "--to", "out", "--resume"]),
                0,
            );
            assert!(
                fs::read(inside("out")).expect("the file") == text,
                "torn at {place}"
            );
            assert!(!inside("out.part").exists() && !inside("out.part.question").exists());
            fs::remove_file(inside("out")).expect("removed");
        }
    }
}

#[test]
fn a_file_of_another_question_is_not_touched() {
    let folder = bench();
    let inside = |name: &str| folder.path().join(name);
    let begin = asked(&["--to", "out.csv", "--time-limit", "1e-9"]);
    ran(folder.path(), &begin, 3);
    let says = |arguments: &[&str], words: &str| {
        let before = fs::read(inside("out.csv.part")).ok();
        let told = ran(folder.path(), arguments, 2).stderr;
        let told = String::from_utf8_lossy(&told);
        assert!(told.contains(words), "{told}");
        assert!(before == fs::read(inside("out.csv.part")).ok());
    };
    let resume = asked(&["--to", "out.csv", "--resume"]);
    says(
        &asked(&["--to", "out.csv"]),
        "go on with it by the same command with `--resume`",
    );
    says(
        &asked(&["--to", "out.csv", "--resume", "--gap", "1e-5"]),
        "the beginning of another question",
    );
    let shelf = fs::read_to_string(inside("shelf.toml")).expect("it");
    fs::write(
        inside("shelf.toml"),
        shelf.replace("price = 3", "price = 2"),
    )
    .expect("written");
    says(&resume, "the beginning of another question");
    fs::write(inside("shelf.toml"), shelf).expect("written");
    // Lines that this sweep does not write.
    let text = String::from_utf8(whole(folder.path(), "csv")).expect("text");
    for (right, wrong) in [("optimal", "splendid"), ("\n1,", "\n1.5,")] {
        fs::write(inside("out.csv.part"), text.replacen(right, wrong, 1)).expect("written");
        says(
            &resume,
            "line 2 of `out.csv.part` is not what this sweep writes there",
        );
    }
    // A finished file is never written over.
    fs::write(inside("out.csv"), "my own").expect("written");
    says(&resume, "`out.csv` is there already");
    assert_eq!(fs::read(inside("out.csv")).expect("it"), b"my own");
}

/// A run that was killed before its first line leaves an empty file, beside it the note of its question or
/// none: nothing is lost by beginning anew.
#[test]
fn an_empty_beginning_is_none() {
    let folder = bench();
    let inside = |name: &str| folder.path().join(name);
    let text = whole(folder.path(), "csv");
    for note in [None, Some("question 0000000000000000\n")] {
        fs::write(inside("out.csv.part"), "").expect("written");
        if let Some(note) = note {
            fs::write(inside("out.csv.part.question"), note).expect("written");
        }
        ran(folder.path(), &asked(&["--to", "out.csv"]), 0);
        assert!(fs::read(inside("out.csv")).expect("the file") == text);
        assert!(!inside("out.csv.part").exists() && !inside("out.csv.part.question").exists());
        fs::remove_file(inside("out.csv")).expect("removed");
    }
}

#[test]
fn exit_codes_say_whether_any_point_has_a_recipe() {
    let folder = bench();
    let sweep = |vary: &str, more: &[&str], exit: i32| {
        let arguments = [
            ["oil.toml", "--vary", vary, "--points", "3"].as_slice(),
            more,
        ]
        .concat();
        ran(folder.path(), &arguments, exit)
    };
    for format in ["text", "csv", "jsonl", "json"] {
        sweep("limits.q.min=15..25", &["--format", format], 0);
        sweep("limits.q.min=21..25", &["--format", format], 1);
        sweep(
            "limits.q.min=21..25",
            &["--format", format, "--time-limit", "1e-9"],
            3,
        );
        sweep("limits.q.mim=21..25", &["--format", format], 2);
    }
    // A part says nothing of the whole.
    sweep("limits.q.min=21..25", &["--shard", "1/1"], 0);
    sweep("limits.q.min=1..5", &["--format", "text", "--to", "out"], 2);
    sweep("limits.q.min=1..5", &["--resume"], 2);
    sweep("limits.q.min=1..5", &["--shard", "3/2"], 2);
}

/// What a shell sees of a refusal: nothing on standard output, and the sentence.
fn refused(folder: &Path, arguments: &[&str]) -> String {
    let output = ran(folder, arguments, 2);
    assert!(output.stdout.is_empty(), "{arguments:?}");
    String::from_utf8(output.stderr).expect("text")
}

#[test]
fn the_name_of_a_file_says_its_format() {
    let folder = bench();
    let begins = |name: &str| {
        let text = fs::read_to_string(folder.path().join(name)).expect("a file");
        text.chars().next().expect("a character")
    };
    for (name, first) in [
        ("a.csv", 'l'),
        ("a.jsonl", '{'),
        ("b.ndjson", '{'),
        ("b.CSV", 'l'),
    ] {
        ran(folder.path(), &asked(&["--to", name]), 0);
        assert_eq!(begins(name), first, "{name}");
    }
    // Of another ending it is asked for.
    for (name, format, first) in [("c.txt", "csv", 'l'), ("d", "jsonl", '{')] {
        ran(
            folder.path(),
            &asked(&["--to", name, "--format", format]),
            0,
        );
        assert_eq!(begins(name), first, "{name}");
    }
    for (more, says) in [
        (
            vec!["--to", "x.txt"],
            "the ending of `x.txt` does not say what to write: name it `x.csv` or `x.jsonl`",
        ),
        (
            vec!["--to", "x.json"],
            "add `--format csv` or `--format jsonl`",
        ),
        (vec!["--to", "x"], "name it `x.csv`"),
        (
            vec!["--to", "x.jsonl", "--format", "csv"],
            "`--format csv` does not go with the name `x.jsonl`: name it `x.csv`, or take `--format jsonl`",
        ),
        (
            vec!["--to", "x.csv", "--format", "jsonl"],
            "`--format jsonl` does not go with the name `x.csv`: name it `x.jsonl`, or take `--format csv`",
        ),
        (
            vec!["--to", "x.csv", "--format", "json"],
            "write lines as they are found",
        ),
    ] {
        let told = refused(folder.path(), &asked(&more));
        assert!(told.contains(says), "{more:?}: {told}");
    }
    let begun = fs::read_dir(folder.path()).expect("a folder");
    let mut begun = begun.map(|i| i.expect("an item").file_name());
    assert!(begun.all(|name| !name.to_string_lossy().starts_with('x')));
}

/// The file is told by the name that the user gave it, and why it cannot be there.
#[test]
fn a_file_that_cannot_be_written_is_named_as_it_was_asked_for() {
    let folder = bench();
    for (name, says) in [
        (
            "no/x.csv",
            "error: `no/x.csv` cannot be written: there is no folder `no`",
        ),
        (
            "oil.toml/x.csv",
            "`oil.toml/x.csv` cannot be written: `oil.toml` is a file, not a folder",
        ),
    ] {
        let told = refused(folder.path(), &asked(&["--to", name]));
        assert!(told.contains(says), "{told}");
        assert!(!told.contains(".part"), "{told}");
    }
    // What is there already stays: a link that leads nowhere, and a note of somebody else's.
    #[cfg(unix)]
    {
        std::os::unix::fs::symlink("nowhere", folder.path().join("link.csv")).expect("a link");
        let told = refused(folder.path(), &asked(&["--to", "link.csv"]));
        assert!(told.contains("`link.csv` is there already"), "{told}");
        assert!(folder.path().join("link.csv").is_symlink());
    }
    let note = folder.path().join("y.csv.part.question");
    fs::write(&note, "mine").expect("written");
    let told = refused(folder.path(), &asked(&["--to", "y.csv"]));
    assert!(told.contains("is no note of this program's"), "{told}");
    assert_eq!(fs::read_to_string(&note).expect("a file"), "mine");
    fs::create_dir(folder.path().join("z.csv.part")).expect("a folder");
    let told = refused(folder.path(), &asked(&["--to", "z.csv"]));
    assert!(
        told.contains("`z.csv.part` cannot be written: it is a folder"),
        "{told}"
    );
    // A folder in which nobody can make a file, whoever asks (proc(5)).
    if cfg!(target_os = "linux") {
        let told = refused(folder.path(), &asked(&["--to", "/proc/x.csv"]));
        let says = "error: `/proc/x.csv` cannot be written: the folder `/proc` takes no new file: ";
        assert!(told.starts_with(says), "{told}");
        assert!(!told.contains(".part"), "{told}");
    }
}

/// Waits until a file has some bytes; whether it came to that.
fn grown(path: &Path, bytes: u64) -> bool {
    (0..3000).any(|_| {
        sleep(Duration::from_millis(2));
        fs::metadata(path).is_ok_and(|m| m.len() >= bytes)
    })
}

/// Killed outright, and asked to end: both times the same command goes on to the same bytes.
#[cfg(unix)]
#[test]
fn a_run_that_is_killed_or_asked_to_end_is_gone_on_with() {
    let folder = bench();
    let inside = |name: &str| folder.path().join(name);
    let many = |more: &[&'static str]| {
        let begun = [
            "oil.toml",
            "--vary",
            "limits.q.min=1..25",
            "--points",
            "60000",
        ];
        [begun.as_slice(), more].concat()
    };
    let whole = ran(folder.path(), &many(&["--format", "csv"]), 0).stdout;
    let to_file = many(&["--to", "out.csv"]);
    for kind in ["-KILL", "-INT"] {
        let child = command(folder.path(), &to_file).spawn().expect("it runs");
        assert!(
            grown(&inside("out.csv.part"), 20_000),
            "nothing was written"
        );
        let pid = child.id().to_string();
        let sent = Command::new("kill")
            .args([kind, &pid])
            .status()
            .expect("kill");
        assert!(sent.success());
        let ended = child.wait_with_output().expect("it ends");
        if kind == "-INT" {
            let told = String::from_utf8_lossy(&ended.stderr);
            assert_eq!(ended.status.code(), Some(3), "{told}");
            assert!(
                told.contains("of 60000 points done; the same command with --resume"),
                "{told}"
            );
        }
        let left = fs::metadata(inside("out.csv.part"))
            .expect("the part")
            .len();
        assert!(
            left < whole.len() as u64,
            "it was done before it was asked to end"
        );
        ran(folder.path(), &many(&["--to", "out.csv", "--resume"]), 0);
        assert!(
            fs::read(inside("out.csv")).expect("the file") == whole,
            "{kind}"
        );
        fs::remove_file(inside("out.csv")).expect("removed");
    }
}

//! What a shell sees of the binary where no file needs to be right: help, usage, exit codes.

use std::io::Write;
use std::process::Command;
use std::process::Output;
use std::process::Stdio;

fn run(arguments: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_treatrate"))
        .args(arguments)
        .output()
        .expect("the binary was built with this test")
}

fn text(bytes: &[u8]) -> String {
    String::from_utf8_lossy(bytes).into_owned()
}

#[test]
fn help_is_short_and_speaks_the_trade() {
    for arguments in [
        &["--help"][..],
        &["solve", "--help"],
        &["predict", "--help"],
    ] {
        let output = run(arguments);
        let help = text(&output.stdout);
        assert_eq!(output.status.code(), Some(0));
        assert!(output.stderr.is_empty());
        assert!(help.lines().count() < 40, "{help}");
        for word in ["infeasible", "objective", "constraint", "dual", "optim"] {
            assert!(!help.to_lowercase().contains(word), "{word} in\n{help}");
        }
    }
}

#[test]
fn the_version_is_the_package_s() {
    let output = run(&["--version"]);
    let expected = concat!("treatrate ", env!("CARGO_PKG_VERSION"), "\n");
    assert_eq!(text(&output.stdout), expected);
}

#[test]
fn a_question_that_cannot_be_read_ends_in_two() {
    for arguments in [
        &["ponder"][..],
        &["solve"],
        &["solve", "x.toml", "--batch", "20 lb"],
        &["solve", "x.toml", "--time-limit", "-1"],
        &["solve", "x.toml", "--format", "yaml"],
        &["predict", "-", "-"],
        &["solve", "no-such-folder/no-such-problem.toml"],
    ] {
        let output = run(arguments);
        assert_eq!(output.status.code(), Some(2), "{arguments:?}");
        assert!(output.stdout.is_empty(), "{arguments:?}");
        assert!(!output.stderr.is_empty(), "{arguments:?}");
        assert!(
            !output.stderr.contains(&0x1b),
            "colour where nobody watches"
        );
    }
}

/// What is there already and is no recipe stays, byte for byte; a folder that is missing is told of before
/// any work, by the name that was given.
/// A treat rate that must be met, and a balance that cannot: the component is named, and a step that does.
#[test]
fn a_step_that_misses_a_treat_rate_is_refused() {
    let folder = std::env::temp_dir().join(format!("treatrate-steps-{}", std::process::id()));
    std::fs::create_dir_all(&folder).expect("a folder");
    let whole = std::fs::read_to_string("problems/logic-demo.toml").expect("a problem");
    let shelf = std::fs::canonicalize("problems")
        .expect("a folder")
        .display()
        .to_string();
    let moved = whole.replace("shelf = [\"", &format!("shelf = [\"{shelf}/"));
    let path = folder.join("steps.toml");
    for (band, offered) in [
        ("{ exactly = 0.2 }", "0.1"),
        ("{ min = 0.21, max = 0.24 }", "0.01"),
    ] {
        let text_of = moved.replace(
            "pour-depressant = { min = 0.2 }",
            &format!("pour-depressant = {band}"),
        );
        assert_ne!(text_of, moved);
        std::fs::write(&path, text_of).expect("written");
        let output = run(&["solve", &path.display().to_string(), "--resolution", "0.5"]);
        let told = text(&output.stderr);
        assert_eq!(output.status.code(), Some(2), "{told}");
        assert!(told.contains("`pour-depressant` must be"), "{told}");
        assert!(
            told.contains(&format!("`--resolution {offered}`")),
            "{told}"
        );
    }
    std::fs::remove_dir_all(&folder).expect("removed");
}

#[test]
fn a_recipe_is_written_over_nothing_else() {
    let folder = tempfile::tempdir().expect("a folder");
    let at = |name: &str| folder.path().join(name).to_string_lossy().into_owned();
    let problem = concat!(
        env!("CARGO_MANIFEST_DIR"),
        "/problems/tow-truck-15w-40.toml"
    );
    // No text in any encoding that a recipe may have.
    let (bytes, shelf) = (b"\xff\xfe\x00binary".as_slice(), b"currency = \"EUR\"\n");
    std::fs::write(at("bytes"), bytes).expect("written");
    std::fs::write(at("shelf.toml"), shelf).expect("written");
    for (name, says) in [
        ("bytes", "is there already and is no recipe"),
        ("shelf.toml", "is there already and is no recipe"),
        ("none/recipe.toml", "cannot be written: there is no folder"),
    ] {
        let output = run(&["solve", problem, "--write-recipe", &at(name)]);
        let told = text(&output.stderr);
        assert_eq!(output.status.code(), Some(2), "{name}: {told}");
        assert!(output.stdout.is_empty(), "{name}");
        assert!(told.contains(says) && told.contains(name), "{told}");
    }
    assert_eq!(std::fs::read(at("bytes")).expect("a file"), bytes);
    assert_eq!(std::fs::read(at("shelf.toml")).expect("a file"), shelf);
}

/// A laboratory's report is a recipe with measured values: these are nowhere else. What is no file, leads
/// nowhere, or is marked as not to be written, stays too; and each is told before any work.
#[test]
fn what_stands_in_the_way_of_a_recipe_is_told_and_stays() {
    let folder = tempfile::tempdir().expect("a folder");
    let at = |name: &str| folder.path().join(name).to_string_lossy().into_owned();
    let problem = concat!(
        env!("CARGO_MANIFEST_DIR"),
        "/problems/tow-truck-15w-40.toml"
    );
    let report = "[recipe]\npao-4 = 100\n[measured]\nkv100 = 14.2\n";
    std::fs::write(at("report.toml"), report).expect("written");
    std::fs::write(at("kept.toml"), "[recipe]\npao-4 = 100\n").expect("written");
    let kept = std::fs::metadata(at("kept.toml")).expect("it");
    let mut rights = kept.permissions();
    rights.set_readonly(true);
    std::fs::set_permissions(at("kept.toml"), rights).expect("set");
    let mut cases = vec![
        ("report.toml", "is there already and is no recipe alone"),
        ("kept.toml", "marked as not to be written"),
        ("new.toml/", "is not the name of a file"),
        ("new.toml/.", "is not the name of a file"),
    ];
    if cfg!(unix) {
        let made = Command::new("mkfifo").arg(at("pipe")).status();
        assert!(made.expect("mkfifo (POSIX) runs").success());
        #[cfg(unix)]
        std::os::unix::fs::symlink(at("nowhere"), at("link")).expect("a link");
        cases.push(("pipe", "is no file but a device or a pipe"));
        cases.push(("link", "is a link that leads nowhere"));
    }
    for (name, says) in cases {
        let output = run(&["solve", problem, "--write-recipe", &at(name)]);
        let told = text(&output.stderr);
        assert_eq!(output.status.code(), Some(2), "{name}: {told}");
        assert!(output.stdout.is_empty(), "{name}");
        assert!(told.contains(says) && told.contains(name), "{told}");
    }
    let svg = at("a.svg");
    let both = [
        "solve",
        problem,
        "--write-recipe",
        &svg,
        "--confidence",
        "0.9",
        "--picture",
        &svg,
    ];
    let told = text(&run(&both).stderr);
    assert!(
        told.contains("cannot hold both the picture and the recipe"),
        "{told}"
    );
    let left = std::fs::read_to_string(at("report.toml")).expect("a file");
    assert_eq!(left, report);
    assert!(std::fs::symlink_metadata(at("link")).is_ok_and(|l| l.is_symlink()) || cfg!(not(unix)));
    assert!(!std::fs::exists(at("nowhere")).expect("known"));
}

/// The problem is read from a pipe, which holds the program up after it has looked at the names of its
/// files and before any work: what comes to be there meanwhile stays.
#[cfg(unix)]
#[test]
fn a_file_that_comes_to_be_there_meanwhile_stays() {
    let shelf = "[[component]]\nid = \"a\"\nkind = \"other\"\nprice = 1\nq = 0\n\
                 [[component]]\nid = \"b\"\nkind = \"other\"\nprice = 3\nq = 10\n";
    let problem = "title = \"two, by hand\"\nshelf = \"shelf.toml\"\n[property.q]\nunit = \"%\"\n\
                   rule = \"mass-linear\"\n[limits]\nq = { min = 5 }\n";
    let vary = ["--vary", "limits.q.min=1..5", "--points", "3"];
    for (verb, option, name) in [
        ("solve", "--write-recipe", "out.toml"),
        ("sweep", "--picture", "out.svg"),
    ] {
        let folder = tempfile::tempdir().expect("a folder");
        let at = |name: &str| folder.path().join(name);
        std::fs::write(at("shelf.toml"), format!("properties = [\"q\"]\n{shelf}"))
            .expect("written");
        let made = Command::new("mkfifo").arg(at("oil.toml")).status();
        assert!(made.expect("mkfifo (POSIX) runs").success());
        let more: &[&str] = if verb == "sweep" { &vary } else { &[] };
        let child = Command::new(env!("CARGO_BIN_EXE_treatrate"))
            .current_dir(folder.path())
            .args([verb, "oil.toml", option, name])
            .args(more)
            .stdin(Stdio::null())
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .spawn()
            .expect("the binary runs");
        // Opens when the program does.
        let mut pipe = std::fs::File::options()
            .write(true)
            .open(at("oil.toml"))
            .expect("a pipe");
        std::fs::write(at(name), "mine").expect("written");
        pipe.write_all(problem.as_bytes()).expect("written");
        drop(pipe);
        let output = child.wait_with_output().expect("it ends");
        let told = text(&output.stderr);
        assert_eq!(output.status.code(), Some(2), "{verb}: {told}");
        assert!(
            told.contains(name) && told.contains("is there already"),
            "{told}"
        );
        assert_eq!(
            std::fs::read_to_string(at(name)).expect("a file"),
            "mine",
            "{verb}"
        );
    }
}

/// SAE J300 states KV100 of grade 40 as *below* 16.3 mm²/s; what is obeyed for it, 16.29, is allowed.
#[test]
fn a_limit_to_stay_below_is_told_with_the_number_of_its_standard() {
    let problem = concat!(env!("CARGO_MANIFEST_DIR"), "/problems/logic-demo.toml");
    let output = run(&["sweep", problem, "--every-limit"]);
    let told = text(&output.stdout);
    let told: Vec<&str> = told.split_whitespace().collect();
    let told = told.join(" ");
    assert!(told.contains("KV100 < 16.3"), "{told}");
    assert!(!told.contains("16.29"), "{told}");
}

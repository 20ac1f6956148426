//! What a shell sees of the binary where no file needs to be right: help, usage, exit codes.

use std::process::Command;
use std::process::Output;

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

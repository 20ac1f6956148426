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

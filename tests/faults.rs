//! The whole text of each fault: `tests/cases/<code>/problem.toml`, with the shelves and the recipe
//! beside it, must be refused with exactly `expected.txt`. `TREATRATE_BLESS=1` rewrites the files.

use std::error::Error;
use std::fs;
use std::path::Path;
use treatrate::declare::read;
use treatrate::fault::{Code, Faults};
use treatrate::report::faults::render;

const CASES: &str = "tests/cases";

/// The faults of a case: of its recipe where it has one, else of its problem.
fn faults_of(folder: &Path) -> Result<Faults, Box<dyn Error>> {
    let recipe = folder.join("recipe.toml");
    match read::problem(&folder.join("problem.toml")) {
        Err(faults) => Ok(faults),
        Ok((problem, _)) => match read::recipe(&problem, &recipe) {
            Err(faults) => Ok(faults),
            Ok(_) => Err(format!("{} has no fault", folder.display()).into()),
        },
    }
}

#[test]
fn every_case_reads_as_expected() -> Result<(), Box<dyn Error>> {
    let bless = std::env::var_os("TREATRATE_BLESS").is_some();
    let mut wrong = Vec::new();
    for entry in fs::read_dir(CASES)? {
        let folder = entry?.path();
        if !folder.join("problem.toml").exists() {
            continue;
        }
        let text = render(&faults_of(&folder)?, false).replace('\\', "/");
        let expected = folder.join("expected.txt");
        if bless {
            fs::write(&expected, &text)?;
        } else if fs::read_to_string(&expected).unwrap_or_default() != text {
            wrong.push(format!("{}:\n{text}", folder.display()));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
    Ok(())
}

#[test]
fn every_code_has_a_case_of_its_own() -> Result<(), Box<dyn Error>> {
    for code in Code::ALL {
        let folder = Path::new(CASES).join(code.slug());
        let faults = faults_of(&folder)?;
        let codes: Vec<Code> = faults.faults.iter().map(|fault| fault.code).collect();
        assert!(codes.contains(&code), "{code}: {codes:?}");
    }
    Ok(())
}

#[test]
fn every_code_explains_itself() {
    for code in Code::ALL {
        assert_eq!(Code::of_slug(code.slug()), Some(code));
        assert!(code.sentence().ends_with('.'), "{code}");
        assert!(code.sentence().len() > 30, "{code}");
    }
}

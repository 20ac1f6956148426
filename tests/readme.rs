//! The files that `README.md` shows are solved as they stand there.

use std::fs;
use std::path::Path;
use std::process::Command;

/// The fenced block that begins with a line.
fn block<'t>(readme: &'t str, first: &str) -> &'t str {
    readme
        .split("```toml\n")
        .skip(1)
        .filter_map(|rest| rest.split("```").next())
        .find(|block| block.starts_with(first))
        .expect("the README shows this file")
}

fn answers(folder: &Path, arguments: &[&str], exit: i32) -> String {
    let output = Command::new(env!("CARGO_BIN_EXE_treatrate"))
        .args(arguments)
        .current_dir(folder)
        .output()
        .expect("the binary was built with this test");
    let told = String::from_utf8_lossy(&output.stdout).into_owned();
    let complained = String::from_utf8_lossy(&output.stderr);
    assert_eq!(output.status.code(), Some(exit), "{told}{complained}");
    told
}

#[test]
fn the_shelf_the_problem_and_the_recipe_of_the_readme_run() -> std::io::Result<()> {
    let readme = fs::read_to_string(concat!(env!("CARGO_MANIFEST_DIR"), "/README.md"))?;
    let bench = tempfile::tempdir()?;
    let folder = bench.path();
    fs::write(folder.join("bench.toml"), block(&readme, "# bench.toml"))?;
    fs::write(folder.join("oil.toml"), block(&readme, "# oil.toml"))?;
    let told = answers(
        folder,
        &["solve", "oil.toml", "--write-recipe", "recipe.toml"],
        0,
    );
    assert!(told.starts_with("The cheapest recipe"), "{told}");
    answers(folder, &["predict", "oil.toml", "recipe.toml"], 0);

    fs::write(folder.join("own.toml"), block(&readme, "[recipe]"))?;
    let told = answers(folder, &["predict", "oil.toml", "own.toml"], 0);
    assert!(told.contains("5W-40"), "{told}");

    let limits = "\n[limits.seal-swell]\nmax = 3.0\n[limits.synthetic-share]\nmin = 5.0\n";
    let group = block(&readme, "[group.synthetic-share]").replace(", \"an-5\"", "");
    let property = block(&readme, "[property.seal-swell]");
    let oil = block(&readme, "# oil.toml");
    fs::write(
        folder.join("more.toml"),
        [oil, limits, &group, property].concat(),
    )?;
    let told = answers(folder, &["solve", "more.toml"], 0);
    assert!(told.contains("synthetic-share, %"), "{told}");
    Ok(())
}

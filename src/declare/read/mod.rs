//! From TOML text to a checked problem or recipe, or to every fault of the files at once.
//!
//! In: paths or text. Out: data, or [`Faults`]. Refuses to stop at the first fault, to guess what a
//! misspelt key meant, and to let a number through that is not finite and plausible.

mod absent;

mod component;

pub mod dial;

mod dilution;

mod figure;

mod file;

mod limits;

mod mixing;

pub mod named;

mod names;

mod order;

mod polymer;

mod problem;

mod range;

mod recipe;

mod rules;

mod shelf;

mod stops;

mod treat;

mod tree;

pub mod varied;

mod words;

use self::file::{Loaded, Named};
use crate::declare::problem::Problem;
use crate::declare::property::Property;
use crate::declare::recipe::Recipe;
use crate::fault::{Code, Fault, Faults, Place, Sources};
use crate::quantity::Share;
use std::path::Path;

/// Reads a problem file and the shelves that it names.
///
/// # Errors
///
/// Every fault of all these files, sorted by place.
pub fn problem(path: &Path) -> Result<(Problem, Sources), Faults> {
    let name = path.display().to_string();
    let base = path.parent().unwrap_or(Path::new(""));
    match file::text_of(path, Named::Typed) {
        Ok(text) => problem_from_text(&name, &text, base),
        Err((title, help)) => Err(unreadable(&name, title, help)),
    }
}

/// Reads a problem from text: standard input, or a test. Shelves are sought from `base`.
///
/// # Errors
///
/// Every fault of the text and of the shelves, sorted by place.
pub fn problem_from_text(
    name: &str,
    text: &str,
    base: &Path,
) -> Result<(Problem, Sources), Faults> {
    let mut sources = Sources::default();
    let mut faults = Vec::new();
    let Some(loaded) = loaded(name, text.to_owned(), &mut sources, &mut faults) else {
        return Err(Faults { sources, faults });
    };
    let tree = file::parse(&loaded, &mut faults);
    let root = file::root(&loaded, &tree);
    if let Some(fault) = not_a_problem(&root) {
        faults = vec![fault];
        return Err(Faults { sources, faults });
    }
    let mut texts = Vec::new();
    for (path, place) in problem::shelves(&root, &mut faults) {
        let path = base.join(path);
        match file::text_of(&path, Named::ByProblem("a shelf")) {
            Ok(text) => {
                let name = path.display().to_string();
                texts.extend(self::loaded(&name, text, &mut sources, &mut faults));
            }
            Err((title, help)) => {
                faults.push(Fault::at(Code::UnreadableFile, title, place, "named here").help(help));
            }
        }
    }
    let trees: Vec<_> = texts
        .iter()
        .map(|text| file::parse(text, &mut faults))
        .collect();
    let roots: Vec<_> = texts
        .iter()
        .zip(&trees)
        .map(|(text, tree)| file::root(text, tree))
        .collect();
    let mut problem = problem::problem(&root, &roots, &mut faults);
    problem.known = known(&root, &problem, base, &mut sources, &mut faults);
    finish(Some(problem), sources, faults)
}

/// A shelf or a recipe where a problem was expected.
fn not_a_problem(root: &tree::Table<'_>) -> Option<Fault> {
    if root.get("shelf").is_some() {
        return None;
    }
    let (item, title, label, help) = if let Some(item) = root.item("component") {
        (
            item,
            "this file is a shelf, not a problem",
            "components stand on a shelf",
            "write a problem beside it that names it: `shelf = \"bench.toml\"`",
        )
    } else {
        (
            root.item("recipe")?,
            "this file is a recipe, not a problem",
            "treat rates stand in a recipe",
            "`predict` takes the problem first, then the recipe; `solve` takes a problem only",
        )
    };
    Some(Fault::at(Code::UnknownKey, title, item.key_place.clone(), label).help(help))
}

/// The recipe that a goal `change-from:FILE` names, sought from `base`.
fn known(
    root: &tree::Table<'_>,
    problem: &Problem,
    base: &Path,
    sources: &mut Sources,
    faults: &mut Vec<Fault>,
) -> Option<Vec<Share>> {
    if problem.goal.property != Property::Change {
        return None;
    }
    let node = root.get("minimise")?;
    let path = node
        .text("`minimise`", &mut Vec::new())?
        .strip_prefix(limits::CHANGE_FROM)?;
    let path = base.join(path.trim());
    match file::text_of(&path, Named::ByProblem("a recipe")) {
        Ok(text) => {
            let text = loaded(&path.display().to_string(), text, sources, faults)?;
            let tree = file::parse(&text, faults);
            let recipe = recipe::recipe(&file::root(&text, &tree), problem, faults)?;
            Some(recipe.shares().to_vec())
        }
        Err((title, help)) => {
            let place = node.place();
            faults.push(Fault::at(Code::UnreadableFile, title, place, "named here").help(help));
            None
        }
    }
}

/// Reads a recipe for a problem.
///
/// # Errors
///
/// Every fault of the file, sorted by place.
pub fn recipe(problem: &Problem, path: &Path) -> Result<Recipe, Faults> {
    let name = path.display().to_string();
    match file::text_of(path, Named::Typed) {
        Ok(text) => recipe_from_text(problem, &name, &text),
        Err((title, help)) => Err(unreadable(&name, title, help)),
    }
}

/// Reads a recipe for a problem from text.
///
/// # Errors
///
/// Every fault of the text, sorted by place.
pub fn recipe_from_text(problem: &Problem, name: &str, text: &str) -> Result<Recipe, Faults> {
    let mut sources = Sources::default();
    let mut faults = Vec::new();
    let Some(loaded) = loaded(name, text.to_owned(), &mut sources, &mut faults) else {
        return Err(Faults { sources, faults });
    };
    let tree = file::parse(&loaded, &mut faults);
    let root = file::root(&loaded, &tree);
    let recipe = recipe::recipe(&root, problem, &mut faults);
    finish(recipe, sources, faults).map(|(recipe, _)| recipe)
}

/// A text among the sources, unless it is too large to be looked at.
fn loaded(
    name: &str,
    text: String,
    sources: &mut Sources,
    faults: &mut Vec<Fault>,
) -> Option<Loaded> {
    if text.len() > file::LARGEST_FILE {
        sources.add(name, "");
        faults.push(too_large(name));
        return None;
    }
    let file = sources.add(name, text.clone());
    Some(Loaded { file, text })
}

fn too_large(name: &str) -> Fault {
    Fault {
        code: Code::UnreadableFile,
        title: format!("`{name}` is larger than 4 MiB"),
        marks: Vec::new(),
        help: Some("a shelf or a problem is a short text; was another file meant?".into()),
    }
}

fn unreadable(name: &str, title: String, help: String) -> Faults {
    let mut sources = Sources::default();
    sources.add(name, "");
    Faults {
        sources,
        faults: vec![Fault {
            code: Code::UnreadableFile,
            title,
            marks: Vec::new(),
            help: Some(help),
        }],
    }
}

/// What was read where there is no fault, else the faults that are not mere echoes, in file order.
fn finish<T>(
    read: Option<T>,
    sources: Sources,
    mut faults: Vec<Fault>,
) -> Result<(T, Sources), Faults> {
    if let (Some(read), true) = (read, faults.is_empty()) {
        return Ok((read, sources));
    }
    without_echoes(&sources, &mut faults);
    faults.sort_by_key(first_place);
    Err(Faults { sources, faults })
}

/// Where a fault stands among the files: what faults are sorted by.
fn first_place(fault: &Fault) -> (usize, usize) {
    let place = fault.marks.first().map(|mark| &mark.place);
    place.map_or((0, 0), |place| (place.file, place.span.start))
}

/// Text that could not be parsed and files that could not be read make other things look absent,
/// and a broken line's remains look wrong. Those are echoes, not faults.
fn without_echoes(sources: &Sources, faults: &mut Vec<Fault>) {
    let unparsed = |fault: &Fault| {
        matches!(
            fault.code,
            Code::Syntax | Code::DecimalComma | Code::UnreadableFile
        )
    };
    let broken: Vec<Place> = faults
        .iter()
        .filter(|fault| unparsed(fault))
        .filter_map(|fault| fault.marks.first())
        .map(|mark| Place {
            file: mark.place.file,
            span: file::line_around(sources.text(mark.place.file), mark.place.span.start),
        })
        .collect();
    let on_broken_line = |place: &Place| {
        broken.iter().any(|line| {
            let (start, end) = (line.span.start, line.span.end);
            line.file == place.file && (start..=end).contains(&place.span.start)
        })
    };
    if !faults.iter().any(unparsed) {
        return;
    }
    faults.retain(|fault| {
        let absence = matches!(
            fault.code,
            Code::MissingKey | Code::MissingValue | Code::MissingBatch | Code::UnknownComponent
        );
        let broken = fault
            .marks
            .first()
            .is_some_and(|mark| on_broken_line(&mark.place));
        unparsed(fault) || !(absence || broken)
    });
}

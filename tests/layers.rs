//! The house law, read off the source: what each module may name, and how long things may get.

use std::fs;
use std::path::{Path, PathBuf};

/// No source file is longer.
const LONGEST_FILE: usize = 500;

/// No function is longer, signature and closing brace included.
const LONGEST_FUNCTION: usize = 80;

/// Files known to be too long; a file that has become short enough turns this list red.
const TOO_LONG: [&str; 0] = [];

/// Words that one place alone may use: the word, and the file that may.
const ONE_HOME: [(&str, &str); 10] = [
    ("good_lp", "solve/backend.rs"),
    ("microlp", "solve/backend.rs"),
    ("console::", "cli/output.rs"),
    ("indicatif", "cli/progress.rs"),
    ("plotters", "report/picture/canvas.rs"),
    ("resvg", "report/picture/png.rs"),
    ("notosans", "report/picture/lettering.rs"),
    ("skrifa", "report/picture/lettering.rs"),
    ("sobol_burley", "predict/draw.rs"),
    ("rayon", "parallel.rs"),
];

fn source() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("src")
}

/// Every source file, as its path below `src` with forward slashes, and its text.
fn files() -> Vec<(String, String)> {
    let mut found = Vec::new();
    let mut folders = vec![source()];
    while let Some(folder) = folders.pop() {
        for item in fs::read_dir(&folder).expect("a folder of this repository") {
            let path = item.expect("an entry of this repository").path();
            if path.is_dir() {
                folders.push(path);
            } else if path.extension().is_some_and(|e| e == "rs") {
                let name = path.strip_prefix(source()).expect("below src");
                let name = name.to_string_lossy().replace('\\', "/");
                found.push((name, fs::read_to_string(&path).expect("UTF-8 text")));
            }
        }
    }
    found.sort();
    found
}

/// The modules of `lib.rs`, top to bottom.
fn order(lib: &str) -> Vec<String> {
    lib.lines()
        .filter_map(|line| {
            let declared = line.trim().strip_suffix(';')?;
            let name = declared
                .strip_prefix("pub mod ")
                .or_else(|| declared.strip_prefix("mod "))?;
            Some(name.to_owned())
        })
        .collect()
}

/// A line without its comment.
fn code(line: &str) -> &str {
    line.split("//").next().unwrap_or("")
}

/// The name that follows each `crate::` of a line; `{` for a group.
fn named(line: &str) -> Vec<&str> {
    line.match_indices("crate::")
        .filter(|(at, _)| !line[..*at].ends_with(|c: char| c.is_alphanumeric() || c == '_'))
        .map(|(at, word)| {
            let rest = &line[at + word.len()..];
            let end = rest
                .find(|c: char| !c.is_alphanumeric() && c != '_')
                .unwrap_or(rest.len());
            if end == 0 {
                rest.get(..1).unwrap_or("")
            } else {
                &rest[..end]
            }
        })
        .collect()
}

/// What one file does against the law of layers, as `file:line: words`.
fn violations(file: &str, text: &str, order: &[String]) -> Vec<String> {
    let module = file.split('/').next().unwrap_or(file);
    let module = module.trim_end_matches(".rs");
    let place = |name: &str| order.iter().position(|m| m == name);
    let Some(own) = place(module) else {
        return vec![format!("{file}:1: `lib.rs` does not declare this module")];
    };
    // Where `super` is the crate root, it would be a way round.
    let top = !file.contains('/') || file.matches('/').count() == 1 && file.ends_with("/mod.rs");
    let mut inline = false;
    let mut found = Vec::new();
    for (number, line) in text.lines().enumerate() {
        let code = code(line);
        let mut tell = |words: String| found.push(format!("src/{file}:{}: {words}", number + 1));
        inline |= code.trim_start().starts_with("mod ") && code.contains('{');
        if code.contains("super::super") || top && !inline && code.contains("super::") {
            tell("`super` that leaves the module".into());
        }
        for name in named(code) {
            match place(name) {
                _ if name == "{" => tell("a grouped `use crate::{`".into()),
                None => tell(format!("`crate::{name}` is no module of `lib.rs`")),
                Some(at) if at > own => tell(format!("`{module}` looks down at `{name}`")),
                Some(_) => {}
            }
        }
    }
    found
}

/// Whether a line begins a function.
fn begins_function(line: &str) -> bool {
    let before = code(line).split("fn ").next().unwrap_or("");
    code(line).contains("fn ")
        && before.split_whitespace().all(|word| {
            matches!(word, "pub" | "const" | "async" | "unsafe") || word.starts_with("pub(")
        })
}

/// Functions longer than the house allows. A formatted function ends at the first brace that stands
/// as far in as its first line.
fn long_functions(file: &str, text: &str) -> Vec<String> {
    let lines: Vec<&str> = text.lines().collect();
    let mut found = Vec::new();
    for (start, line) in lines.iter().enumerate().filter(|(_, l)| begins_function(l)) {
        if line.ends_with(';') || line.ends_with('}') {
            continue;
        }
        let indent = line.len() - line.trim_start().len();
        let close = format!("{}}}", &line[..indent]);
        let open_end = format!("{});", &line[..indent]);
        let length = lines[start..]
            .iter()
            .position(|l| *l == close || l.starts_with(&open_end))
            .map_or(lines.len() - start, |at| at + 1);
        if length > LONGEST_FUNCTION {
            found.push(format!("src/{file}:{}: {length} lines", start + 1));
        }
    }
    found
}

fn none(found: &[String]) {
    assert!(found.is_empty(), "\n{}", found.join("\n"));
}

#[test]
fn modules_look_up_only() {
    let files = files();
    let lib = &files.iter().find(|(f, _)| f == "lib.rs").expect("a root").1;
    let order = order(lib);
    assert!(order.len() >= 6, "the order was read: {order:?}");
    let found: Vec<String> = files
        .iter()
        .filter(|(file, _)| file != "lib.rs" && file != "main.rs")
        .flat_map(|(file, text)| violations(file, text, &order))
        .collect();
    none(&found);
}

#[test]
fn the_checker_sees_what_it_must() {
    let order = order("//! Law.\n\npub mod low;\n\npub mod middle;\n\nmod high;\n");
    assert_eq!(order, ["low", "middle", "high"]);
    let text = "//! crate::high is only prose.\n\
                use crate::low::Thing;\n\
                use crate::high::Thing;\n\
                use crate::{low, middle};\n\
                fn f() -> crate::middle::A { crate::high::a() }\n\
                #[cfg(test)]\n\
                mod tests {\n\
                    use super::f;\n\
                    use crate::high::B;\n\
                    use super::super::high;\n\
                    use crate::nowhere;\n\
                }\n";
    let found = violations("middle/part.rs", text, &order);
    let lines: Vec<&str> = found
        .iter()
        .map(|v| v.split(':').nth(1).expect("a line number"))
        .collect();
    assert_eq!(lines, ["3", "4", "5", "9", "10", "11"], "{found:?}");
    assert!(found[0].starts_with("src/middle/part.rs:3: "));
    assert!(violations("low.rs", "use crate::low::A;\n", &order).is_empty());
    assert_eq!(violations("low.rs", "use super::high;\n", &order).len(), 1);
    assert_eq!(violations("low/mod.rs", "use super::x;\n", &order).len(), 1);
    assert_eq!(violations("lost.rs", "", &order).len(), 1);
}

#[test]
fn the_ruler_sees_what_it_must() {
    let body = "        one();\n".repeat(LONGEST_FUNCTION);
    let long = format!("impl A {{\n    pub const fn a() {{\n{body}    }}\n}}\n");
    assert_eq!(
        long_functions("a.rs", &long),
        [format!("src/a.rs:2: {} lines", LONGEST_FUNCTION + 2)]
    );
    let short = long.replacen("        one();\n", "", 2);
    assert!(long_functions("a.rs", &short).is_empty());
}

#[test]
fn files_and_functions_stay_short() {
    let mut found = Vec::new();
    for (file, text) in files() {
        let lines = text.lines().count();
        if (lines > LONGEST_FILE) != TOO_LONG.contains(&file.as_str()) {
            found.push(format!("src/{file}: {lines} lines"));
        }
        found.extend(long_functions(&file, &text));
    }
    none(&found);
}

#[test]
fn words_have_their_homes() {
    let mut found = Vec::new();
    for (file, text) in files() {
        for (number, line) in text.lines().enumerate() {
            let mut tell = |word: &str| found.push(format!("src/{file}:{}: {word}", number + 1));
            // Iteration order must never reach an answer.
            if line.contains("HashMap") || line.contains("HashSet") {
                tell("a hashed collection");
            }
            // Prose may name a library; code may not use it.
            for (word, home) in ONE_HOME {
                if file != home && code(line).contains(word) {
                    tell(word);
                }
            }
        }
    }
    none(&found);
}

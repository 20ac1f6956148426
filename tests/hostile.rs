//! Files that no formulator writes: each is answered with faults, never with a panic.

use proptest::prelude::{ProptestConfig, Strategy, any, prop, prop_assert, proptest};
use std::error::Error;
use std::fmt::Write;
use std::fs;
use std::path::Path;
use treatrate::declare::read;
use treatrate::fault::{Code, Faults};
use treatrate::report::faults::render;

const RICH_SHELF: &str = include_str!("sound/bench.toml");
const RICH_PROBLEM: &str = include_str!("sound/oil.toml");
const SHELF: &str = include_str!("cases/recipe-sum/shelf.toml");
const PROBLEM: &str = include_str!("cases/recipe-sum/problem.toml");

/// Reads a problem beside a shelf, both as bytes on disk.
fn read_bytes(problem: &[u8], shelf: &[u8]) -> Result<Option<Faults>, Box<dyn Error>> {
    let folder = tempfile::tempdir()?;
    let path = folder.path().join("problem.toml");
    fs::write(&path, problem)?;
    fs::write(folder.path().join("shelf.toml"), shelf)?;
    let faults = read::problem(&path).err();
    if let Some(faults) = &faults {
        assert!(!faults.faults.is_empty());
        let text = render(faults, false);
        assert!(text.ends_with("nothing was solved\n"), "{text}");
        assert!(text.len() < 1_000_000, "{} bytes of faults", text.len());
    }
    Ok(faults)
}

fn codes(problem: &[u8], shelf: &[u8]) -> Result<Vec<Code>, Box<dyn Error>> {
    let faults = read_bytes(problem, shelf)?;
    Ok(faults.map_or(Vec::new(), |f| f.faults.iter().map(|f| f.code).collect()))
}

fn with(text: &str, from: &str, to: &str) -> String {
    assert!(text.contains(from), "{from}");
    text.replacen(from, to, 1)
}

#[test]
fn the_plain_problem_is_sound_in_every_line_ending() -> Result<(), Box<dyn Error>> {
    assert_eq!(codes(PROBLEM.as_bytes(), SHELF.as_bytes())?, []);
    let crlf = |text: &str| text.replace('\n', "\r\n");
    assert_eq!(codes(crlf(PROBLEM).as_bytes(), crlf(SHELF).as_bytes())?, []);
    let bom = |text: &str| format!("\u{feff}{text}");
    assert_eq!(codes(bom(PROBLEM).as_bytes(), bom(SHELF).as_bytes())?, []);
    let tabs = |text: &str| text.replace(" = ", "\t=\t");
    assert_eq!(codes(tabs(PROBLEM).as_bytes(), tabs(SHELF).as_bytes())?, []);
    Ok(())
}

#[test]
fn a_mark_after_a_byte_order_mark_stands_where_it_should() -> Result<(), Box<dyn Error>> {
    let problem = format!("\u{feff}{}", with(PROBLEM, "kv100", "kv-100"));
    let faults = read_bytes(problem.as_bytes(), SHELF.as_bytes())?.ok_or("no fault")?;
    let place = &faults.faults[0].marks[0].place;
    assert_eq!(
        &faults.sources.text(place.file)[place.span.clone()],
        "kv-100"
    );
    Ok(())
}

#[test]
fn numbers_of_every_kind() -> Result<(), Box<dyn Error>> {
    for wrong in [
        "nan",
        "+nan",
        "inf",
        "-inf",
        "1e308",
        "-1e308",
        "1e999",
        "-1",
        "1e-300",
        "0",
        "99999999999999999999999999999999999999999999",
        "-0.0",
        "0xffffffffffffffffffffffffffffffffffffffffff",
    ] {
        let shelf = with(SHELF, "kv100 = 4.1", &format!("kv100 = {wrong}"));
        assert_eq!(
            codes(PROBLEM.as_bytes(), shelf.as_bytes())?,
            [Code::OutOfRange],
            "{wrong}"
        );
        let problem = with(PROBLEM, "max = 12.4", &format!("max = {wrong}"));
        let found = codes(problem.as_bytes(), SHELF.as_bytes())?;
        assert_eq!(found, [Code::OutOfRange], "{wrong}");
    }
    for wrong in ["true", "1979-05-27", "07:32:00", "[]", "'4.1'", "[4.1]"] {
        let shelf = with(SHELF, "kv100 = 4.1", &format!("kv100 = {wrong}"));
        assert_eq!(
            codes(PROBLEM.as_bytes(), shelf.as_bytes())?,
            [Code::WrongType],
            "{wrong}"
        );
    }
    for right in ["4", "0x4", "0b100", "0o4", "4.1e0", "+4.1", "4_.1", "1_0.0"] {
        let shelf = with(SHELF, "kv100 = 4.1", &format!("kv100 = {right}"));
        let found = codes(PROBLEM.as_bytes(), shelf.as_bytes())?;
        assert!(found.is_empty() || right == "4_.1", "{right}: {found:?}");
    }
    Ok(())
}

#[test]
fn files_that_are_no_text() -> Result<(), Box<dyn Error>> {
    let sound = PROBLEM.as_bytes();
    let binary: Vec<u8> = (0..=255).cycle().take(5000).collect();
    let utf16: Vec<u8> = [0xff, 0xfe]
        .into_iter()
        .chain(SHELF.encode_utf16().flat_map(u16::to_le_bytes))
        .collect();
    for bytes in [&b"a = \xff\n"[..], &binary, &utf16] {
        assert_eq!(codes(sound, bytes)?, [Code::UnreadableFile]);
        assert_eq!(codes(bytes, sound)?, [Code::UnreadableFile]);
    }
    assert_eq!(codes(sound, b"")?, [Code::MissingKey]);
    assert_eq!(codes(b"", b"")?, [Code::MissingKey]);
    assert!(codes(sound, &[0; 4096])?.contains(&Code::Syntax));
    Ok(())
}

#[test]
fn a_file_of_ten_megabytes_is_refused_unread() -> Result<(), Box<dyn Error>> {
    let mut large = String::from(SHELF);
    while large.len() < 10_000_000 {
        large.push_str("# The same comment over and over again, to make the file large.\n");
    }
    assert_eq!(
        codes(PROBLEM.as_bytes(), large.as_bytes())?,
        [Code::UnreadableFile]
    );
    assert_eq!(
        codes(large.as_bytes(), SHELF.as_bytes())?,
        [Code::UnreadableFile]
    );
    let standard_input = read::problem_from_text("standard input", &large, Path::new(""));
    assert!(standard_input.is_err());
    Ok(())
}

#[test]
fn folders_and_absent_files() -> Result<(), Box<dyn Error>> {
    let folder = tempfile::tempdir()?;
    for path in [folder.path().to_path_buf(), folder.path().join("none.toml")] {
        let faults = read::problem(&path).err().ok_or("no fault")?;
        assert_eq!(faults.faults[0].code, Code::UnreadableFile);
        let text = render(&faults, false);
        assert!(text.contains(&path.display().to_string()), "{text}");
    }
    Ok(())
}

#[test]
fn nesting_does_not_exhaust_the_stack() -> Result<(), Box<dyn Error>> {
    for depth in [1000, 100_000] {
        for text in [
            format!("a = {}{}\n", "[".repeat(depth), "]".repeat(depth)),
            format!("a = {}\n", "[".repeat(depth)),
            format!("a = {}1{}\n", "{ a = ".repeat(depth), " }".repeat(depth)),
            format!("a = {}\n", "{ a = ".repeat(depth)),
            format!("{}a = 1\n", "a.".repeat(depth)),
            format!("[{}a]\nb = 1\n", "a.".repeat(depth)),
            format!("[[{}a]]\nb = 1\n", "a.".repeat(depth)),
            format!("a = {{ {}a = 1 }}\n", "a.".repeat(depth)),
            format!(
                "a = {}1{}\n",
                "[{ a.a.a = ".repeat(depth),
                " }]".repeat(depth)
            ),
        ] {
            let found = codes(text.as_bytes(), SHELF.as_bytes())?;
            assert!(!found.is_empty());
            let found = codes(PROBLEM.as_bytes(), text.as_bytes())?;
            assert!(!found.is_empty());
        }
    }
    Ok(())
}

#[test]
fn a_shelf_as_large_as_is_read_takes_no_square_of_time() -> Result<(), Box<dyn Error>> {
    let mut shelf = String::new();
    let mut n = 0;
    while shelf.len() < 4_000_000 {
        let _ = write!(
            shelf,
            "[[component]]\nid=\"c{n}\"\nkind=\"other\"\nprice=1\nkv40=9\nkv100=3\n"
        );
        n += 1;
    }
    let twice = format!("{shelf}[[component]]\nid=\"c0\"\nkind=\"other\"\n");
    assert_eq!(codes(PROBLEM.as_bytes(), shelf.as_bytes())?, []);
    let found = codes(PROBLEM.as_bytes(), twice.as_bytes())?;
    assert_eq!(found, [Code::DuplicateName]);
    Ok(())
}

#[test]
fn many_faults_and_long_lines_are_cut_short() -> Result<(), Box<dyn Error>> {
    let mut text = String::from(SHELF);
    for i in 0..20_000 {
        let _ = writeln!(text, "no-such-key-{i} = 1");
    }
    read_bytes(PROBLEM.as_bytes(), text.as_bytes())?;
    let junk = "= 1 ]\n".repeat(20_000);
    read_bytes(PROBLEM.as_bytes(), junk.as_bytes())?;
    let long = format!("x = \"{}\"\n{PROBLEM}", "é".repeat(500_000));
    read_bytes(long.as_bytes(), SHELF.as_bytes())?;
    let key = format!("{} = 1\n{PROBLEM}", "k".repeat(1_000_000));
    read_bytes(key.as_bytes(), SHELF.as_bytes())?;
    Ok(())
}

/// A change of a text: some bytes there become others.
fn mutation() -> impl Strategy<Value = (usize, usize, String)> {
    let words = prop::sample::select(vec![
        "",
        "=",
        "[",
        "]",
        "{",
        "}",
        "\"",
        "\n",
        ",",
        ".",
        "-",
        "0",
        "9e99",
        "nan",
        "é",
        "'",
        "#",
        "[[component]]",
        "id = \"pao-4\"\n",
        "exactly = 5",
        "\"estimated\"",
        "true",
        "@",
        "/",
    ]);
    (any::<usize>(), 0..12_usize, words.prop_map(str::to_owned))
}

fn mutated(text: &str, changes: &[(usize, usize, String)]) -> String {
    let mut text = text.to_owned();
    for (at, length, word) in changes {
        let edge = |i: usize, text: &str| (0..=i).rev().find(|i| text.is_char_boundary(*i));
        let start = edge(at % (text.len() + 1), &text).unwrap_or(0);
        let end = edge((start + length).min(text.len()), &text).unwrap_or(start);
        text.replace_range(start..end.max(start), word);
    }
    text
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(400))]

    #[test]
    fn mutations_never_panic(
        problem in prop::collection::vec(mutation(), 0..4),
        shelf in prop::collection::vec(mutation(), 0..4),
    ) {
        let rich = RICH_PROBLEM.replace("bench.toml", "shelf.toml");
        for (p, s) in [(PROBLEM, SHELF), (&rich, RICH_SHELF)] {
            let read = read_bytes(mutated(p, &problem).as_bytes(), mutated(s, &shelf).as_bytes());
            prop_assert!(read.is_ok());
        }
    }
}

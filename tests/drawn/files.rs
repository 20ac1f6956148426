//! `--picture` as a file: made whole, of its kind, or refused before any work.

use super::{HILL, run};
use resvg::tiny_skia::Pixmap;
use std::fs;
use std::path::Path;
use std::process::Command;

fn folder() -> tempfile::TempDir {
    tempfile::tempdir().expect("a folder")
}

fn names(folder: &Path) -> Vec<String> {
    let items = fs::read_dir(folder).expect("a folder");
    items
        .map(|i| {
            i.expect("an item")
                .file_name()
                .to_string_lossy()
                .into_owned()
        })
        .collect()
}

/// The check sum of a PNG's chunk (ISO/IEC 15948:2004, annex D), bit by bit.
fn crc(bytes: &[u8]) -> u32 {
    let mut sum = u32::MAX;
    for byte in bytes {
        sum ^= u32::from(*byte);
        for _ in 0..8 {
            sum = if sum & 1 == 1 {
                0xedb8_8320 ^ (sum >> 1)
            } else {
                sum >> 1
            };
        }
    }
    !sum
}

/// Walks a PNG's chunks: each is whole, the first tells the size, the last the end.
fn is_png(bytes: &[u8]) {
    let word = |at: usize| u32::from_be_bytes(bytes[at..at + 4].try_into().expect("four bytes"));
    assert_eq!(&bytes[..8], b"\x89PNG\r\n\x1a\n");
    let (mut at, mut kinds) = (8, Vec::new());
    while at < bytes.len() {
        let end = at + 8 + usize::try_from(word(at)).expect("a length");
        assert_eq!(crc(&bytes[at + 4..end]), word(end), "a chunk's sum");
        kinds.push(bytes[at + 4..at + 8].to_vec());
        at = end + 4;
    }
    assert_eq!(at, bytes.len());
    assert_eq!(kinds.first().map(Vec::as_slice), Some(b"IHDR".as_slice()));
    assert_eq!(kinds.last().map(Vec::as_slice), Some(b"IEND".as_slice()));
    assert!(word(16) > 800 && word(20) > 400, "its size");
}

#[test]
fn a_file_of_each_kind_is_made_and_nothing_beside_it() {
    let folder = folder();
    for name in ["a.svg", "b.png", "C.SVG"] {
        let file = folder.path().join(name);
        let path = file.to_str().expect("UTF-8");
        let ask = ["sweep", HILL, "--every-price", "--picture", path];
        // An empty file is nothing to lose.
        fs::write(&file, "").expect("written");
        let output = run(&ask);
        assert_eq!(output.status.code(), Some(0), "{name}");
        let bytes = fs::read(&file).expect("a file");
        if name == "b.png" {
            is_png(&bytes);
            Pixmap::decode_png(&bytes).expect("a PNG");
        } else {
            let text = String::from_utf8(bytes).expect("UTF-8");
            resvg::usvg::roxmltree::Document::parse(&text).expect("XML");
        }
        // No plot among what another program reads.
        let said = String::from_utf8(output.stdout).expect("UTF-8");
        assert!(!said.contains('█'), "{said}");
    }
    assert_eq!(names(folder.path()).len(), 3, "no draft is left");
    // Each may be drawn anew.
    for name in ["a.svg", "b.png"] {
        let path = folder.path().join(name);
        let path = path.to_str().expect("UTF-8");
        let before = fs::read(path).expect("a file");
        let output = run(&["sweep", HILL, "--every-limit", "--picture", path]);
        assert_eq!(output.status.code(), Some(0), "{name}");
        assert_ne!(fs::read(path).expect("a file"), before, "{name}");
    }
}

#[test]
fn what_cannot_be_a_picture_is_refused_and_harms_nothing() {
    let folder = folder();
    let at = |name: &str| folder.path().join(name).to_str().expect("UTF-8").to_owned();
    let (pdf, svg, lost) = (at("a.pdf"), at("a.svg"), at("lost/a.svg"));
    fs::write(&svg, "").expect("written");
    // A drawing and a picture by another hand, a folder, and a file where a folder is named.
    let (drawing, pixels) = (at("drawing.svg"), at("pixels.png"));
    let by_hand = r#"<svg xmlns="http://www.w3.org/2000/svg"><title>mine</title></svg>"#;
    fs::write(&drawing, by_hand).expect("written");
    let red = Pixmap::new(3, 3).expect("a size").encode_png();
    fs::write(&pixels, red.expect("a PNG")).expect("written");
    let kept = [&drawing, &pixels].map(|path| fs::read(path).expect("a file"));
    let taken = at("taken.svg");
    fs::create_dir(&taken).expect("a folder");
    let inside = format!("{drawing}/a.svg");
    let vary = [
        "--vary",
        "limits.noack.max=7..8",
        "--points",
        "2",
        "--no-proof",
    ];
    for (more, says) in [
        (vec!["--picture", &pdf], "ends in `.svg`"),
        (
            vec!["--picture", &lost],
            "/lost/a.svg` cannot be written: there is no folder `",
        ),
        (vec!["--picture", &drawing], "drawing.svg` is there already"),
        (vec!["--picture", &pixels], "pixels.png` is there already"),
        (
            vec!["--picture", &taken],
            "taken.svg` cannot be written: it is a folder",
        ),
        (
            vec!["--picture", &inside],
            "drawing.svg` is a file, not a folder",
        ),
        (
            vec!["--format", "csv", "--picture", &svg],
            "`--picture` goes with",
        ),
        (
            vec!["--format", "jsonl", "--picture", &svg],
            "`--picture` goes with",
        ),
    ] {
        let output = run(&[&["sweep", HILL], &vary[..], &more].concat());
        let told = String::from_utf8_lossy(&output.stderr).into_owned();
        assert_eq!(output.status.code(), Some(2), "{more:?}: {told}");
        assert!(told.contains(says), "{more:?}: {told}");
        // Before any work: nothing was answered.
        assert!(output.stdout.is_empty(), "{more:?}");
    }
    let both = [
        "sweep",
        HILL,
        "--every-limit",
        "--every-price",
        "--picture",
        &svg,
    ];
    assert_eq!(run(&both).status.code(), Some(2));
    let unread = [
        "frontier",
        "problems/none.toml",
        "--between",
        "cost,noack",
        "--picture",
        &svg,
    ];
    assert_eq!(run(&unread).status.code(), Some(2));
    // A picture asked of what has none leaves the file as it is, and says so.
    let output = run(&[
        "frontier",
        "problems/impossible-0w-20.toml",
        "--between",
        "cost,noack",
        "--picture",
        &svg,
    ]);
    let told = String::from_utf8_lossy(&output.stderr).into_owned();
    assert!(told.contains("no picture was written"), "{told}");
    assert_eq!(fs::read_to_string(&svg).expect("a file"), "");
    assert_eq!(
        [&drawing, &pixels].map(|path| fs::read(path).expect("a file")),
        kept
    );
    let mut left = names(folder.path());
    left.sort();
    assert_eq!(left, ["a.svg", "drawing.svg", "pixels.png", "taken.svg"]);
}

/// The commands of the README that draw, word for word.
#[test]
fn the_pictures_of_the_readme_are_drawn() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let folder = folder();
    for under in ["problems", "problems/shelves"] {
        let there = folder.path().join(under);
        fs::create_dir(&there).expect("a folder");
        for item in fs::read_dir(root.join(under)).expect("a folder") {
            let path = item.expect("an item").path();
            if path.is_file() {
                fs::copy(&path, there.join(path.file_name().expect("a name"))).expect("copied");
            }
        }
    }
    let readme = fs::read_to_string(root.join("README.md")).expect("a README");
    let lines = readme
        .lines()
        .filter(|l| l.starts_with("treatrate ") && l.contains("--picture"));
    let mut drawn = 0;
    for line in lines {
        let words: Vec<&str> = line.split_whitespace().collect();
        // Proofs take longer without optimisation, and are not what is looked at here.
        let quick = line.contains("--vary").then_some("--no-proof");
        let output = Command::new(env!("CARGO_BIN_EXE_treatrate"))
            .current_dir(folder.path())
            .args(words[1..].iter().copied().chain(quick))
            .output()
            .expect("the binary runs");
        assert_eq!(output.status.code(), Some(0), "{line}");
        let file = folder.path().join(words[words.len() - 1]);
        assert!(
            fs::metadata(&file).expect("a picture").len() > 5000,
            "{line}"
        );
        drawn += 1;
    }
    assert_eq!(drawn, 5);
}

//! From disk to text to tree: what cannot be read, and every fault of the syntax.

use super::tree::Table;
use super::words::short;
use crate::fault::{Code, Fault, Place};
use std::fs::File;
use std::io::{ErrorKind, Read};
use std::ops::Range;
use std::path::Path;
use toml::Spanned;
use toml::de::DeTable;

/// The largest file that is read: a shelf of ten thousand components is well below it.
pub(super) const LARGEST_FILE: usize = 4 * 1024 * 1024;

/// The most syntax faults reported of one file: past that it is not a slip but another format.
const MOST_SYNTAX_FAULTS: usize = 20;

/// A text with its index in the sources.
pub(super) struct Loaded {
    pub(super) file: usize,
    pub(super) text: String,
}

/// Who named a file: where its path starts.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Named {
    /// The command line.
    Typed,
    /// A problem: what it is there.
    ByProblem(&'static str),
}

impl Named {
    fn mend(self) -> String {
        match self {
            Named::Typed => "mend the path; it starts at the folder in which you are".into(),
            Named::ByProblem(what) => {
                format!("mend the path; {what}'s path starts at the folder of the problem file")
            }
        }
    }
}

/// The text of a file, or what is wrong with it and what to do.
pub(super) fn text_of(path: &Path, named: Named) -> Result<String, (String, String)> {
    let name = path.display();
    if path.is_dir() {
        return Err((
            format!("`{name}` is a folder"),
            "name the file inside it".into(),
        ));
    }
    let mut bytes = Vec::new();
    let cap = LARGEST_FILE as u64 + 1;
    File::open(path)
        .and_then(|file| file.take(cap).read_to_end(&mut bytes))
        .map_err(|error| match error.kind() {
            ErrorKind::NotFound => (format!("there is no file `{name}`"), named.mend()),
            ErrorKind::PermissionDenied => (
                format!("`{name}` may not be read by this user"),
                "change the permissions of the file".into(),
            ),
            _ => (
                format!("`{name}` cannot be read: {error}"),
                "check the disk and the path".into(),
            ),
        })?;
    if bytes.len() > LARGEST_FILE {
        return Err((
            format!("`{name}` is larger than 4 MiB"),
            "a shelf or a problem is a short text; was another file meant?".into(),
        ));
    }
    String::from_utf8(bytes).map_err(|error| {
        let bytes = error.as_bytes();
        let help = if bytes.starts_with(&[0xff, 0xfe]) || bytes.starts_with(&[0xfe, 0xff]) {
            "it looks like UTF-16: save it as UTF-8"
        } else {
            "save it as UTF-8 text"
        };
        let before = &bytes[..error.utf8_error().valid_up_to()];
        let line = before.split(|b| *b == b'\n').count();
        (
            format!("`{name}` is not UTF-8 text (line {line})"),
            help.into(),
        )
    })
}

/// The tree of a text; what could not be parsed is a fault and is left out of the tree.
pub(super) fn parse<'t>(loaded: &'t Loaded, faults: &mut Vec<Fault>) -> Spanned<DeTable<'t>> {
    let text = loaded.text.as_str();
    let (tree, errors) = DeTable::parse_recoverable(text);
    let mut lines = Vec::new();
    for error in &errors {
        let span = fit(text, error.span().unwrap_or(text.len()..text.len()));
        let line = line_around(text, span.start);
        if lines.contains(&line) {
            continue;
        }
        lines.push(line.clone());
        if lines.len() > MOST_SYNTAX_FAULTS {
            let place = Place {
                file: loaded.file,
                span,
            };
            faults.push(Fault::at(
                Code::Syntax,
                "there are more lines that are not TOML",
                place,
                "reading stopped here",
            ));
            break;
        }
        faults.push(syntax_fault(loaded, span, line, error.message()));
    }
    tree
}

/// The root table of a tree.
pub(super) fn root<'t>(loaded: &Loaded, tree: &'t Spanned<DeTable<'t>>) -> Table<'t> {
    Table::new(loaded.file, tree.span(), tree.get_ref())
}

fn syntax_fault(loaded: &Loaded, span: Range<usize>, line: Range<usize>, message: &str) -> Fault {
    let file = loaded.file;
    let written = &loaded.text[line.clone()];
    if let Some(number) = decimal_comma(written) {
        let place = Place {
            file,
            span: line.start + number.start..line.start + number.end,
        };
        let comma = &written[number];
        return Fault::at(
            Code::DecimalComma,
            format!("`{comma}` has a decimal comma"),
            place,
            "TOML reads two values here",
        )
        .help(format!("write `{}`", comma.replace(',', ".")));
    }
    let place = Place {
        file,
        span: span.clone(),
    };
    if message.starts_with("duplicate key") {
        let key = short(&loaded.text[span]);
        return Fault::at(
            Code::DuplicateName,
            format!("`{key}` is already stated in this table"),
            place,
            "stated again",
        )
        .help("keep one of the two");
    }
    let fault = Fault::at(
        Code::Syntax,
        format!("this is not TOML: {}", plain_words(message)),
        place,
        "",
    );
    if let Some(key) = bare_key(written) {
        return fault.help(format!("write the key in quotes: `\"{key}\" = …`"));
    }
    match written.split_once('=') {
        Some((key, value)) if message.starts_with("string values must be quoted") => {
            let value = value.split('#').next().unwrap_or_default();
            fault.help(format!(
                "if it is text, write `{} = \"{}\"`",
                short(key.trim()),
                short(value.trim().trim_matches(['"', '\'']))
            ))
        }
        _ => fault,
    }
}

/// The parser's message in the words of someone who writes a list of measurements.
fn plain_words(message: &str) -> String {
    let message = message.lines().next().unwrap_or_default();
    let (what, wanted) = message.split_once(", expected ").unwrap_or((message, ""));
    let plain = match what {
        "string values must be quoted" => "text needs quotes",
        "invalid unquoted key" => "a key with such a sign in it needs quotes",
        "unclosed inline table" => "a `{` is not closed by a `}`",
        "unclosed array" => "a `[` is not closed by a `]`",
        "unclosed table" | "unclosed array table" => "the heading's bracket is not closed",
        "key with no value"
        | "missing value"
        | "missing value for key"
        | "missing assignment between key-value pairs" => "a key without a value",
        "missing comma between key-value pairs" | "missing comma between array elements" => {
            "a comma is missing"
        }
        "unexpected key or value" => "a line holds one key and one value, and this is more",
        "cannot recurse further; max recursion depth met" | "recursion limit" => {
            "tables are nested deeper than any file of this kind"
        }
        "unexpected leading zero" => "a number does not begin with 0 unless a point follows",
        other => {
            let other = other.strip_prefix("invalid ").map_or_else(
                || other.to_owned(),
                |rest| format!("this does not read as: {rest}"),
            );
            return if wanted.is_empty() || wanted == "nothing" {
                other
            } else {
                format!("{other}; expected {wanted}")
            };
        }
    };
    plain.to_owned()
}

/// A key that TOML takes only in quotes: `ccs@-35`, `mo/p`, `treat:pao-4`.
fn bare_key(line: &str) -> Option<&str> {
    let (key, _) = line.split_once('=')?;
    let key = key.trim();
    let needs_quotes = key.contains(['@', '/', ':']) && !key.contains(['"', '\'', ' ', '{', '[']);
    (needs_quotes && key.len() <= 64).then_some(key)
}

/// Where a line holds digits, a comma and digits as a value: `= 3,10`.
fn decimal_comma(line: &str) -> Option<Range<usize>> {
    let bytes = line.as_bytes();
    let digit = |i: usize| bytes.get(i).is_some_and(u8::is_ascii_digit);
    let mut from = 0;
    while let Some(found) = line[from..].find(',') {
        let comma = from + found;
        from = comma + 1;
        let mut start = comma;
        while start > 0 && digit(start - 1) {
            start -= 1;
        }
        let mut end = comma + 1;
        while digit(end) {
            end += 1;
        }
        if start < comma && end > comma + 1 {
            let before = line[..start].trim_end_matches(['+', '-']);
            if before.trim_end().ends_with('=') {
                return Some(before.len()..end);
            }
        }
    }
    None
}

/// The line that holds a byte, without its end.
pub(super) fn line_around(text: &str, at: usize) -> Range<usize> {
    let at = fit(text, at..at).start;
    let start = text[..at].rfind('\n').map_or(0, |i| i + 1);
    let end = text[at..].find('\n').map_or(text.len(), |i| at + i);
    start..end
}

/// A span clipped to the text, on character edges.
fn fit(text: &str, span: Range<usize>) -> Range<usize> {
    let edge = |mut i: usize| {
        i = i.min(text.len());
        while !text.is_char_boundary(i) {
            i -= 1;
        }
        i
    };
    let start = edge(span.start);
    start..edge(span.end).max(start)
}

#[cfg(test)]
mod tests {
    use super::{bare_key, decimal_comma, fit};

    #[test]
    fn a_decimal_comma_is_found_as_a_value_only() {
        assert_eq!(decimal_comma("price = 3,10"), Some(8..12));
        assert_eq!(decimal_comma("t = { min = -0,5, max = 3 }"), Some(12..16));
        assert_eq!(decimal_comma("a = [3,10]"), None);
        assert_eq!(decimal_comma("a = { x = 3, y = 4 }"), None);
    }

    #[test]
    fn keys_that_need_quotes() {
        assert_eq!(bare_key("ccs@-35 = { max = 6200 }"), Some("ccs@-35"));
        assert_eq!(bare_key("\"mo/p\" = { min = 1 }"), None);
        assert_eq!(bare_key("vi = 3"), None);
    }

    #[test]
    fn spans_stay_on_characters() {
        assert_eq!(fit("°C", 1..9), 0..3);
        assert_eq!(fit("", 4..9), 0..0);
    }
}

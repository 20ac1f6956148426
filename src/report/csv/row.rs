//! One line of comma-separated values.

/// Ends a line (RFC 4180 asks for both characters; every reader takes the one).
const END: char = '\n';

/// Cells as a line: one that holds a comma, a quotation mark or a line break is quoted.
#[must_use]
pub fn line(cells: &[String]) -> String {
    let quoted: Vec<String> = cells.iter().map(|c| cell(c)).collect();
    let mut line = quoted.join(",");
    line.push(END);
    line
}

fn cell(text: &str) -> String {
    if text.contains([',', '"', '\n', '\r']) {
        format!("\"{}\"", text.replace('"', "\"\""))
    } else {
        text.into()
    }
}

/// Digits of a number behind its first: nine in all, more than any test or balance has, and fewer than the
/// dust of arithmetic.
const DIGITS: usize = 8;

/// A number; nothing where there is none.
#[must_use]
pub fn number(value: Option<f64>) -> String {
    value.map_or_else(String::new, |v| {
        let rounded: f64 = format!("{v:.DIGITS$e}").parse().unwrap_or(v);
        // Nothing has no sign.
        if rounded.abs() > 0.0 {
            rounded.to_string()
        } else {
            "0".into()
        }
    })
}

#[cfg(test)]
mod tests {
    use super::{line, number};

    #[test]
    fn what_would_break_a_line_is_quoted() {
        let cells = [
            "a,b".into(),
            "5\" pipe".into(),
            "plain".into(),
            number(Some(0.1)),
        ];
        assert_eq!(line(&cells), "\"a,b\",\"5\"\" pipe\",plain,0.1\n");
        assert_eq!(number(Some(-79.999_999_999_84)), "-80");
        assert_eq!(number(Some(-0.0)), "0");
        assert_eq!(number(None), "");
    }
}

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

/// A number with all its digits; nothing where there is none.
#[must_use]
pub fn number(value: Option<f64>) -> String {
    value.map_or_else(String::new, |v| v.to_string())
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
        assert_eq!(number(None), "");
    }
}

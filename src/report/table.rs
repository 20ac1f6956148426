//! Plain aligned columns, and paragraphs of a readable width.

/// Width of a paragraph, characters: reads well in any terminal and in a mail.
pub const PARAGRAPH: usize = 80;

/// Indent of a table and of a list under its title.
const INDENT: &str = "  ";

/// Indent under a head that is indented itself.
const INNER: &str = "    ";

/// How a column is aligned.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Align {
    /// Words.
    Left,
    /// Numbers.
    Right,
}

/// Rows of text under column heads.
#[derive(Debug, Clone)]
pub struct Table {
    columns: Vec<(String, Align)>,
    rows: Vec<Vec<String>>,
}

impl Table {
    /// An empty table.
    #[must_use]
    pub fn new(columns: &[(&str, Align)]) -> Self {
        Table {
            columns: columns.iter().map(|(h, a)| ((*h).into(), *a)).collect(),
            rows: Vec::new(),
        }
    }

    /// Adds a row, one cell a column.
    pub fn row(&mut self, cells: Vec<String>) {
        self.rows.push(cells);
    }

    /// The lines, indented; a column with nothing in it is left out, and so are heads that say
    /// nothing.
    #[must_use]
    pub fn render(&self) -> String {
        let widths: Vec<usize> = (0..self.columns.len()).map(|c| self.width(c)).collect();
        let heads: Vec<String> = self.columns.iter().map(|(h, _)| h.clone()).collect();
        let headed = heads.iter().any(|h| !h.is_empty());
        headed
            .then_some(&heads)
            .into_iter()
            .chain(&self.rows)
            .map(|cells| self.line(cells, &widths))
            .collect()
    }

    /// The width of a column; 0 where no row has anything in it.
    fn width(&self, column: usize) -> usize {
        let widest = self
            .rows
            .iter()
            .filter_map(|r| r.get(column))
            .map(|c| c.chars().count())
            .max()
            .unwrap_or(0);
        if widest == 0 {
            0
        } else {
            widest.max(self.columns[column].0.chars().count())
        }
    }

    fn line(&self, cells: &[String], widths: &[usize]) -> String {
        let padded: Vec<String> = cells
            .iter()
            .zip(&self.columns)
            .zip(widths)
            .filter(|(_, width)| **width > 0)
            .map(|((cell, (_, align)), &width)| match align {
                Align::Left => format!("{cell:<width$}"),
                Align::Right => format!("{cell:>width$}"),
            })
            .collect();
        format!("{INDENT}{}", padded.join(INDENT))
            .trim_end()
            .to_owned()
            + "\n"
    }
}

/// A paragraph, broken between words.
#[must_use]
pub fn paragraph(text: &str) -> String {
    broken(text, "", "")
}

/// One item of a list.
#[must_use]
pub fn item(text: &str) -> String {
    broken(text, "  - ", "    ")
}

/// A remark under a table.
#[must_use]
pub fn note(text: &str) -> String {
    broken(text, INDENT, INDENT)
}

/// A remark under a table that stands under a head of its own.
#[must_use]
pub fn inner_note(text: &str) -> String {
    broken(text, INNER, INNER)
}

/// A table two characters further in, under a head of its own.
#[must_use]
pub fn inner(table: &str) -> String {
    table
        .split_inclusive('\n')
        .flat_map(|line| [INDENT, line])
        .collect()
}

fn broken(text: &str, first: &str, rest: &str) -> String {
    let mut out = String::from(first);
    let mut width = first.chars().count();
    let mut fresh = true;
    for word in text.split_whitespace() {
        let length = word.chars().count();
        if !fresh && width + 1 + length > PARAGRAPH {
            out.push('\n');
            out.push_str(rest);
            width = rest.chars().count();
            fresh = true;
        }
        if !fresh {
            out.push(' ');
            width += 1;
        }
        out.push_str(word);
        width += length;
        fresh = false;
    }
    out.push('\n');
    out
}

#[cfg(test)]
mod tests {
    use super::{Align, PARAGRAPH, Table, item};

    #[test]
    fn columns_align_and_empty_ones_go() {
        let mut table = Table::new(&[
            ("name", Align::Left),
            ("none", Align::Left),
            ("%", Align::Right),
        ]);
        table.row(vec!["a".into(), String::new(), "1.5".into()]);
        table.row(vec!["bcdef".into(), String::new(), "10.5".into()]);
        assert_eq!(
            table.render(),
            "  name      %\n  a       1.5\n  bcdef  10.5\n"
        );
    }

    #[test]
    fn items_hang() {
        let text = item(&"word ".repeat(30));
        assert!(text.lines().all(|l| l.chars().count() <= PARAGRAPH));
        assert!(text.lines().skip(1).all(|l| l.starts_with("    word")));
    }
}

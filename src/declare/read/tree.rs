//! Typed access to a parsed TOML tree, in file order, with the place of everything.

use crate::fault::{Code, Fault, Place};
use std::ops::Range;
use toml::Spanned;
use toml::de::{DeTable, DeValue};

/// A value and where it stands.
#[derive(Clone, Copy)]
pub(super) struct Node<'t> {
    file: usize,
    spanned: &'t Spanned<DeValue<'t>>,
}

/// A key, its place, its value.
#[derive(Clone)]
pub(super) struct Item<'t> {
    pub(super) key: &'t str,
    pub(super) key_place: Place,
    pub(super) node: Node<'t>,
}

/// A table, its items in file order.
#[derive(Clone)]
pub(super) struct Table<'t> {
    pub(super) place: Place,
    pub(super) items: Vec<Item<'t>>,
}

fn place(file: usize, span: Range<usize>) -> Place {
    Place { file, span }
}

impl<'t> Table<'t> {
    /// The items of a parsed table, sorted by where they stand.
    pub(super) fn new(file: usize, span: Range<usize>, table: &'t DeTable<'t>) -> Self {
        let mut items: Vec<Item<'t>> = table
            .iter()
            .map(|(key, spanned)| Item {
                key: key.get_ref(),
                key_place: place(file, key.span()),
                node: Node { file, spanned },
            })
            .collect();
        items.sort_by_key(|item| item.key_place.span.start);
        Table {
            place: place(file, span),
            items,
        }
    }

    /// The value of a key.
    pub(super) fn get(&self, key: &str) -> Option<Node<'t>> {
        self.item(key).map(|item| item.node)
    }

    /// The key with its value.
    pub(super) fn item(&self, key: &str) -> Option<&Item<'t>> {
        self.items.iter().find(|item| item.key == key)
    }

    /// The table under a key; absent or of the wrong type: none, the latter with a fault.
    pub(super) fn table(&self, key: &str, faults: &mut Vec<Fault>) -> Option<Table<'t>> {
        self.get(key)?.table(&format!("`{key}`"), faults)
    }

    /// The text under a key; absent or of the wrong type: none, the latter with a fault.
    pub(super) fn text(&self, key: &str, faults: &mut Vec<Fault>) -> Option<&'t str> {
        self.get(key)?.text(&format!("`{key}`"), faults)
    }
}

impl<'t> Node<'t> {
    /// Where the value stands.
    pub(super) fn place(self) -> Place {
        place(self.file, self.spanned.span())
    }

    /// The value as text, without a fault.
    pub(super) fn as_text(self) -> Option<&'t str> {
        self.spanned.get_ref().as_str()
    }

    /// The value as a table, without a fault.
    pub(super) fn as_table(self) -> Option<Table<'t>> {
        let table = self.spanned.get_ref().as_table()?;
        Some(Table::new(self.file, self.spanned.span(), table))
    }

    /// The value as a list, without a fault.
    pub(super) fn as_list(self) -> Option<Vec<Node<'t>>> {
        let list = self.spanned.get_ref().as_array()?;
        Some(
            list.iter()
                .map(|spanned| Node {
                    file: self.file,
                    spanned,
                })
                .collect(),
        )
    }

    /// The value as a number, without a fault; it may be infinite or not a number.
    pub(super) fn as_number(self) -> Option<f64> {
        match self.spanned.get_ref() {
            DeValue::Integer(integer) if integer.radix() == 10 => integer.as_str().parse().ok(),
            #[expect(
                clippy::cast_precision_loss,
                reason = "an integer beyond 2^53 is out of every range here"
            )]
            DeValue::Integer(integer) => i128::from_str_radix(integer.as_str(), integer.radix())
                .map(|n| n as f64)
                .ok()
                .or(Some(f64::INFINITY)),
            DeValue::Float(float) => float.as_str().parse().ok(),
            _ => None,
        }
    }

    /// The value as a truth, with a fault where it is something else.
    pub(super) fn flag(self, what: &str, faults: &mut Vec<Fault>) -> Option<bool> {
        let flag = self.spanned.get_ref().as_bool();
        if flag.is_none() {
            faults.push(
                self.wrong_type(what, "`true` or `false`")
                    .help("write `true` or `false`, without quotes"),
            );
        }
        flag
    }

    /// The value as text, with a fault where it is something else.
    pub(super) fn text(self, what: &str, faults: &mut Vec<Fault>) -> Option<&'t str> {
        let text = self.as_text();
        if text.is_none() {
            faults.push(self.wrong_type(what, "text in quotes"));
        }
        text
    }

    /// The value as a list, with a fault where it is something else.
    pub(super) fn list(self, what: &str, faults: &mut Vec<Fault>) -> Option<Vec<Node<'t>>> {
        let list = self.as_list();
        if list.is_none() {
            faults.push(self.wrong_type(what, "a list in square brackets"));
        }
        list
    }

    /// The value as a table, with a fault where it is something else.
    pub(super) fn table(self, what: &str, faults: &mut Vec<Fault>) -> Option<Table<'t>> {
        let table = self.as_table();
        if table.is_none() {
            faults.push(self.wrong_type(what, "a table"));
        }
        table
    }

    /// One text, or a list of texts.
    pub(super) fn texts(self, what: &str, faults: &mut Vec<Fault>) -> Vec<(&'t str, Place)> {
        if let Some(text) = self.as_text() {
            return vec![(text, self.place())];
        }
        let Some(list) = self.as_list() else {
            faults.push(self.wrong_type(what, "text in quotes, or a list of texts"));
            return Vec::new();
        };
        list.into_iter()
            .filter_map(|node| Some((node.text(what, faults)?, node.place())))
            .collect()
    }

    /// A fault that says what was wanted and what was read.
    pub(super) fn wrong_type(self, what: &str, wanted: &str) -> Fault {
        Fault::at(
            Code::WrongType,
            format!("{what} must be {wanted}"),
            self.place(),
            format!("this is {}", self.type_words()),
        )
    }

    fn type_words(self) -> &'static str {
        match self.spanned.get_ref() {
            DeValue::String(_) => "text",
            DeValue::Integer(_) | DeValue::Float(_) => "a number",
            DeValue::Boolean(_) => "a truth value",
            DeValue::Datetime(_) => "a date or time",
            DeValue::Array(_) => "a list",
            DeValue::Table(_) => "a table",
        }
    }
}

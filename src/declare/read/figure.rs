//! One number: plain, with a unit, with its uncertainty and origin, or backed out of a dilution.

use super::dilution::{self, IndexRule};
use super::range::{Range, Scale};
use super::tree::{Node, Table};
use super::words::{choice, only, short};
use crate::declare::component::{Entry, Figure, Origin};
use crate::fault::{Code, Fault};
use crate::quantity::Share;

/// What a figure may be, beside its range.
#[derive(Clone, Copy)]
pub(super) struct Allowance {
    /// What the number can be.
    pub(super) range: Range,
    /// Whether `"estimated"` has a rule to derive it by.
    pub(super) estimable: bool,
    /// For viscosities: how a dilution is undone.
    pub(super) dilution: Option<IndexRule>,
}

impl From<Range> for Allowance {
    fn from(range: Range) -> Self {
        Allowance {
            range,
            estimable: false,
            dilution: None,
        }
    }
}

/// A number of one quantity, in its stored unit, with whether the file wrote a unit beside it.
#[derive(Debug, Clone, Copy)]
pub(super) struct Amount {
    pub(super) value: f64,
    pub(super) with_unit: bool,
}

/// A plain number, or text with a unit where the quantity has one that may be written.
pub(super) fn amount(
    node: Node<'_>,
    what: &str,
    range: &Range,
    faults: &mut Vec<Fault>,
) -> Option<Amount> {
    let (value, with_unit) = match (node.as_number(), node.as_text()) {
        (Some(value), _) => (value, false),
        (None, Some(text)) => (in_unit(node, text, what, range, faults)?, true),
        (None, None) => {
            faults.push(node.wrong_type(what, "a number"));
            return None;
        }
    };
    let value = range.check(value, what, &node.place(), faults)?;
    Some(Amount { value, with_unit })
}

/// The number of a text such as `"0.88 %"`, in the stored unit of its quantity.
fn in_unit(
    node: Node<'_>,
    text: &str,
    what: &str,
    range: &Range,
    faults: &mut Vec<Fault>,
) -> Option<f64> {
    let (number, unit) = split(text);
    if number.contains(',') && number.replace(',', ".").parse::<f64>().is_ok() {
        let dotted = short(&text.replace(',', "."));
        let quoted = !unit.is_empty() && range.scale.factor(unit).is_some();
        let written = if quoted {
            format!("`\"{dotted}\"`")
        } else {
            format!("`{}`, without quotes", split(&dotted).0)
        };
        faults.push(
            Fault::at(
                Code::DecimalComma,
                format!("`{}` has a decimal comma", short(text)),
                node.place(),
                "",
            )
            .help(format!("write {written}")),
        );
        return None;
    }
    let parsed = number.parse::<f64>().ok();
    let factor = range.scale.factor(unit);
    if let (Some(value), Some(factor)) = (parsed, factor) {
        return Some(value * factor);
    }
    let fault = node.wrong_type(what, "a number");
    faults.push(match (parsed, range.scale) {
        (Some(value), Scale::Plain) if range.unit.is_empty() => {
            fault.help(format!("write {value} without quotes"))
        }
        (Some(value), Scale::Plain) => fault.help(format!(
            "write {value} without quotes and without a unit; it is read as {}",
            range.unit
        )),
        (Some(value), _) => fault.help(format!(
            "write {value} without quotes, or with its unit: `\"{value} %\"`"
        )),
        (None, _) => fault,
    });
    None
}

/// The number and the unit of a text, neither checked.
pub(super) fn split(text: &str) -> (&str, &str) {
    let text = text.trim();
    let end = text
        .find(|c: char| !(c.is_ascii_digit() || matches!(c, '.' | ',' | '-' | '+')))
        .unwrap_or(text.len());
    (text[..end].trim(), text[end..].trim())
}

/// A figure of a component, or the wish to have it estimated.
pub(super) fn entry(
    node: Node<'_>,
    what: &str,
    allowed: &Allowance,
    faults: &mut Vec<Fault>,
) -> Option<Entry> {
    if node.as_text() == Some("estimated") {
        if allowed.estimable {
            return Some(Entry::Estimate(node.place()));
        }
        faults.push(
            Fault::at(
                Code::UnknownWord,
                format!("{what} cannot be estimated: no rule derives it"),
                node.place(),
                "",
            )
            .help("give the value, and mark it: `{ value = …, from = \"estimated\" }`"),
        );
        return None;
    }
    figure(node, what, allowed, faults).map(Entry::Stated)
}

/// A figure that must be a number.
pub(super) fn figure(
    node: Node<'_>,
    what: &str,
    allowed: &Allowance,
    faults: &mut Vec<Fault>,
) -> Option<Figure> {
    let Some(table) = node.as_table() else {
        let value = amount(node, what, &allowed.range, faults)?.value;
        return Some(Figure {
            value,
            sd: None,
            from: None,
            found_at: None,
            place: node.place(),
        });
    };
    if let Some(rule) = allowed.dilution
        && (table.get("diluted").is_some() || table.get("base").is_some())
    {
        return diluted(&table, what, &allowed.range, rule, faults);
    }
    stated(&table, what, &allowed.range, faults)
}

fn stated(table: &Table<'_>, what: &str, range: &Range, faults: &mut Vec<Fault>) -> Option<Figure> {
    only(table, what, &["value", "sd", "from", "at"], faults);
    let sd = table.get("sd").and_then(|node| {
        let within = Range { low: 0.0, ..*range };
        let within = Range {
            high: within.high.max(1.0),
            ..within
        };
        amount(node, &format!("`sd` of {what}"), &within, faults)
    });
    let from = table.get("from").and_then(|node| {
        let what = format!("`from` of {what}");
        choice(node, &what, &Origin::ALL, Origin::key, faults)
    });
    let found_at = table
        .get("at")
        .and_then(|node| amount(node, &format!("`at` of {what}"), &Range::DILUTION, faults));
    let Some(node) = table.get("value") else {
        faults.push(missing(table, what, "value", "value = …"));
        return None;
    };
    let value = amount(node, what, range, faults)?.value;
    Some(Figure {
        value,
        sd: sd.map(|a| a.value),
        from,
        found_at: found_at.map(|a| Share::from_percent(a.value)),
        place: node.place(),
    })
}

fn diluted(
    table: &Table<'_>,
    what: &str,
    range: &Range,
    rule: IndexRule,
    faults: &mut Vec<Fault>,
) -> Option<Figure> {
    only(table, what, &["diluted", "base", "at"], faults);
    let mut part = |key: &str, range: &Range| {
        let Some(node) = table.get(key) else {
            faults.push(missing(table, what, key, &format!("{key} = …")).help(
                "write `{ diluted = …, base = …, at = 10.0 }`: the blend, the stock it was diluted in, mass % of this one",
            ));
            return None;
        };
        amount(node, &format!("`{key}` of {what}"), range, faults).map(|a| a.value)
    };
    let blend = part("diluted", range);
    let base = part("base", range);
    let at = part("at", &Range::DILUTION);
    let share = Share::from_percent(at?);
    let value = dilution::undone(rule, blend?, base?, share);
    let what = format!("{what}, backed out of the dilution,");
    let value = range.check(value, &what, &table.place, faults)?;
    Some(Figure {
        value,
        sd: None,
        from: Some(Origin::Measured),
        found_at: Some(share),
        place: table.place.clone(),
    })
}

/// A fault for a key that a table must have.
pub(super) fn missing(table: &Table<'_>, what: &str, key: &str, example: &str) -> Fault {
    let mut place = table.place.clone();
    // A long inline table is marked by its first brace only.
    if place.span.len() > 30 {
        place.span.end = place.span.start + 1;
    }
    Fault::at(
        Code::MissingKey,
        format!("{what} says no `{key}`"),
        place,
        "",
    )
    .help(format!("write `{example}`"))
}

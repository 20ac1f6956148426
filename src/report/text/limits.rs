//! Each limit beside its prediction: value, uncertainty, bound, margin, and who set it.

use crate::declare::problem::Side;
use crate::predict::value::Judged;
use crate::predict::value::Judgement;
use crate::predict::value::Predicted;
use crate::predict::value::Source;
use crate::predict::value::Verdict;
use crate::report::number;
use crate::report::table;
use crate::report::table::Align;
use crate::report::table::Table;
use crate::report::words;

/// Chances outside this band are printed as `<1 %` and `>99 %`: first-order arithmetic knows no more.
const SURE: std::ops::RangeInclusive<f64> = 0.01..=0.99;

/// Whether the table of limits shows a requirement: every limit, and the treat-band edges that hold
/// the recipe or are missed. That nothing can be taken out of an oil needs no telling.
#[must_use]
pub fn shown(judged: &Judged) -> bool {
    let fails = judged.verdict == Verdict::Fails;
    match judged.source {
        Source::Limit(_) => true,
        Source::Band(_) if judged.side == Side::Min && judged.bound <= 0.0 => fails,
        Source::Band(_) | Source::IfUsed(_) => judged.binding || fails,
    }
}

/// The limits, those on one property together; empty where there is none.
#[must_use]
pub fn section(judgement: &Judgement) -> String {
    let rows = grouped(judgement);
    if rows.is_empty() {
        return String::new();
    }
    let bounds: Vec<String> = rows
        .iter()
        .map(|r| number::bound(&r.property, r.stated))
        .collect();
    let widest = bounds.iter().map(|b| b.chars().count()).max().unwrap_or(0);
    let mut table = Table::new(&[
        ("property", Align::Left),
        ("value", Align::Right),
        ("±", Align::Right),
        ("limit", Align::Left),
        ("margin", Align::Right),
        ("", Align::Left),
        ("lab", Align::Right),
        ("set by", Align::Left),
    ]);
    let mut before = None;
    for (judged, bound) in rows.iter().zip(&bounds) {
        let again = before == Some(&judged.property);
        before = Some(&judged.property);
        let [name, value, spread] = if again {
            Default::default()
        } else {
            prediction(judged, judgement.of(&judged.property))
        };
        let sign = words::sign(judged.side, judged.strict);
        table.row(vec![
            name,
            value,
            spread,
            format!("{sign:<2} {bound:>widest$}"),
            margin(judged),
            verdict(judged).into(),
            judged.pass_probability.map_or_else(String::new, chance),
            words::source(&judged.source),
        ]);
    }
    format!("Limits\n{}{}", table.render(), legend(&rows))
}

/// What is shown, in the order of the first requirement on each property.
fn grouped(judgement: &Judgement) -> Vec<&Judged> {
    let shown: Vec<&Judged> = judgement.requirements.iter().filter(|r| shown(r)).collect();
    let mut rows: Vec<&Judged> = Vec::new();
    for judged in &shown {
        if rows.iter().any(|r| r.property == judged.property) {
            continue;
        }
        rows.extend(shown.iter().filter(|r| r.property == judged.property));
    }
    rows
}

fn prediction(judged: &Judged, predicted: Option<&Predicted>) -> [String; 3] {
    let name = words::property_in(&judged.property, &judged.unit);
    let Some(value) = judged.value else {
        return [name, "-".into(), String::new()];
    };
    let spread = predicted.map_or_else(String::new, spread);
    [name, number::value(&judged.property, value), spread]
}

/// The standard deviation of one laboratory's result, as printed; empty where nothing is known of it.
#[must_use]
pub fn spread(predicted: &Predicted) -> String {
    let sd = predicted.spread.total();
    if sd > 0.0 {
        number::spread(&predicted.property, predicted.value, sd)
    } else {
        String::new()
    }
}

fn margin(judged: &Judged) -> String {
    match (judged.margin, judged.value) {
        (Some(_), _) if judged.binding && judged.verdict != Verdict::Fails => "0".into(),
        (Some(margin), Some(value)) => number::beside(&judged.property, value, margin),
        _ => String::new(),
    }
}

fn verdict(judged: &Judged) -> &'static str {
    match judged.verdict {
        Verdict::Fails => "FAILS",
        Verdict::NotAssured => "test",
        Verdict::Meets if judged.binding => "binds",
        Verdict::Meets => "ok",
    }
}

fn chance(probability: f64) -> String {
    if probability < *SURE.start() {
        "<1 %".into()
    } else if probability > *SURE.end() {
        ">99 %".into()
    } else {
        format!("{:.0} %", probability * 100.0)
    }
}

fn legend(rows: &[&Judged]) -> String {
    let mut said = Vec::new();
    if rows.iter().any(|r| r.pass_probability.is_some()) {
        said.push(
            "±: one standard deviation of one laboratory's result; lab: the chance that such a \
             result passes.",
        );
    }
    if rows
        .iter()
        .any(|r| r.binding && r.verdict == Verdict::Meets)
    {
        said.push("binds: the recipe stands on this limit.");
    }
    if rows.iter().any(|r| r.verdict == Verdict::NotAssured) {
        said.push("test: not assured; only a laboratory can tell.");
    }
    if said.is_empty() {
        return String::new();
    }
    table::note(&said.join(" "))
}

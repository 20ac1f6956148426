//! The answer of `frontier`: a line a recipe, with every treat rate.

use crate::predict::value::Judged;
use crate::report::csv::row;
use crate::report::text::columns;
use crate::study::apart;
use crate::study::frontier::Frontier;
use crate::study::frontier::Point;

/// The head and a line a recipe; the head alone where there is none.
#[must_use]
pub fn frontier(found: &Frontier) -> String {
    let mut text = row::line(&head(found));
    for (k, point) in found.points().iter().enumerate() {
        text += &row::line(&cells(k, point));
    }
    text
}

fn head(found: &Frontier) -> Vec<String> {
    let problem = &found.problem;
    let own = found.aims.iter().map(|aim| aim.property.key());
    let treat = problem.components.iter().map(|c| format!("treat:{}", c.id));
    ["point", "piece"]
        .into_iter()
        .map(String::from)
        .chain(own)
        .chain(["rate_towards_better", "rate_towards_worse", "gap", "binds"].map(String::from))
        .chain(treat)
        .collect()
}

fn cells(k: usize, point: &Point) -> Vec<String> {
    let binds: Vec<&Judged> = apart::binding(&point.judgement);
    let binds: Vec<String> = binds.into_iter().map(columns::bound).collect();
    let shares = point.recipe.shares().iter();
    [(k + 1).to_string(), (point.piece + 1).to_string()]
        .into_iter()
        .chain(point.at.map(|v| row::number(Some(v))))
        .chain([point.rates.better, point.rates.worse].map(row::number))
        .chain([row::number(point.gap), binds.join("; ")])
        .chain(shares.map(|s| row::number(Some(s.percent()))))
        .collect()
}

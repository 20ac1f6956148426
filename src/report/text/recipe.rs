//! The recipe as a table whose printed figures add up.

use crate::declare::problem::Problem;
use crate::declare::property::Property;
use crate::declare::recipe::Recipe;
use crate::report::number;
use crate::report::parts;
use crate::report::table::Align;
use crate::report::table::Table;
use crate::report::used;
use crate::report::words;

/// Up to this batch, kg, a bench balance weighs to 0.01 g (common practice, no source).
const BENCH_BATCH: f64 = 5.0;
/// Up to this batch, kg, a platform balance weighs to 0.1 g; above it, to 1 g (common practice, no
/// source).
const PLATFORM_BATCH: f64 = 500.0;
/// Decimals of a component's part of the cost, %.
const COST_PART: i32 = 1;

/// The recipe: component, mass %, grams in the batch, part of the cost.
#[must_use]
pub fn section(problem: &Problem, recipe: &Recipe) -> String {
    let used = used::by_treat_rate(recipe);
    let weights: Vec<f64> = used
        .iter()
        .map(|&j| recipe.shares()[j].fraction())
        .collect();
    let percent = column(&weights, 100.0, number::TREAT);
    let grams = problem.batch.map_or_else(
        || vec![String::new(); used.len() + 1],
        |kg| column(&weights, kg * 1000.0, gram_places(kg)),
    );
    let (money, part) = cost_columns(&used::costs(problem, recipe, &used));
    let unit = words::money(&problem.unit(&Property::Cost));
    let mut table = Table::new(&[
        ("component", Align::Left),
        ("id", Align::Left),
        ("mass %", Align::Right),
        ("g", Align::Right),
        (unit.as_str(), Align::Right),
        ("of cost", Align::Right),
    ]);
    for (row, &j) in used.iter().enumerate() {
        let component = &problem.components[j];
        table.row(vec![
            component.name.clone(),
            component.id.clone(),
            percent[row].clone(),
            grams[row].clone(),
            money[row].clone(),
            part[row].clone(),
        ]);
    }
    let total = used.len();
    table.row(vec![
        "total".into(),
        String::new(),
        percent[total].clone(),
        grams[total].clone(),
        money[total].clone(),
        part[total].clone(),
    ]);
    let head = match problem.batch {
        Some(kg) => format!("Recipe for {} kg", number::as_written(kg)),
        None => "Recipe".into(),
    };
    format!("{head}\n{}", table.render())
}

/// Decimals of a pour in grams for a batch in kg.
#[must_use]
pub fn gram_places(batch: f64) -> i32 {
    match batch {
        b if b <= BENCH_BATCH => 2,
        b if b <= PLATFORM_BATCH => 1,
        _ => 0,
    }
}

/// The printed parts of a total and, last, the printed total that they add up to.
fn column(weights: &[f64], total: f64, places: i32) -> Vec<String> {
    let per_unit = 10_f64.powi(places);
    let units = parts::units(total * per_unit);
    parts::of_whole(weights, units)
        .into_iter()
        .chain([units])
        .map(|part| number::fixed(f64::from(part) / per_unit, places))
        .collect()
}

/// Money and per cent of the money, each with its total last; a component without a price leaves
/// its own cell and the totals empty.
fn cost_columns(costs: &[Option<f64>]) -> (Vec<String>, Vec<String>) {
    let none = || vec![String::new(); costs.len() + 1];
    let all: Option<Vec<f64>> = costs.iter().copied().collect();
    match all {
        Some(all) if all.iter().sum::<f64>() > 0.0 && all.iter().all(|c| *c >= 0.0) => {
            let total: f64 = all.iter().sum();
            (
                column(&all, total, number::cost_places(total)),
                column(&all, 100.0, COST_PART)
                    .into_iter()
                    .map(|part| format!("{part} %"))
                    .collect(),
            )
        }
        _ => {
            let mut money = none();
            for (cell, cost) in money.iter_mut().zip(costs) {
                if let Some(cost) = cost {
                    *cell = number::fixed(*cost, number::cost_places(*cost));
                }
            }
            (money, none())
        }
    }
}

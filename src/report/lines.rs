//! A sweep as lines, one a point: CSV (RFC 4180) or JSON lines.
//!
//! The columns follow from the question alone, so that lines can be written as they are found, and parts
//! of a sweep put one after another.

use crate::declare::dial::Setting;
use crate::declare::property::Property;
use crate::declare::stops;
use crate::report::csv::row;
use crate::report::json::answer;
use crate::report::keys;
use crate::report::text::conflict;
use crate::study::sweep::plan::Plan;
use crate::study::sweep::row::Row;
use serde_json::Map;
use serde_json::Value;

/// Decimals of a treat rate in mass %: a hundredth of a milligram per kg.
const RATE_DECIMALS: usize = 6;

/// Which lines.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Kind {
    /// Comma-separated values, a head first.
    Csv,
    /// One JSON object a line.
    JsonLines,
}

/// Writes the lines of one sweep.
#[derive(Debug)]
pub struct Lines<'a> {
    plan: &'a Plan,
    kind: Kind,
    /// Which of the plan's limited properties have a column of their own.
    columns: Vec<usize>,
}

impl<'a> Lines<'a> {
    /// For a plan.
    #[must_use]
    pub fn new(plan: &'a Plan, kind: Kind) -> Self {
        let goal = &plan.problem().goal.property;
        // A treat rate that is limited stands among the components already, the goal before them.
        let told = |p: &Property| matches!(p, Property::Treat(_)) || p == goal;
        let columns = (0..plan.limited().len())
            .filter(|&k| kind == Kind::JsonLines || !told(&plan.limited()[k]))
            .collect();
        Lines {
            plan,
            kind,
            columns,
        }
    }

    /// What stands before the first line; empty for JSON lines.
    #[must_use]
    pub fn head(&self) -> String {
        if self.kind == Kind::JsonLines {
            return String::new();
        }
        let problem = self.plan.problem();
        let paths = self.plan.varied().iter().map(|(dial, _)| dial.path.clone());
        let fixed = ["status".into(), "gap".into(), problem.goal.property.key()];
        let rates = problem.components.iter().map(|c| format!("treat:{}", c.id));
        let limited = self.columns.iter().map(|&k| self.plan.limited()[k].key());
        let last = ["binds".into(), "reason".into()];
        let cells: Vec<String> = paths
            .chain(fixed)
            .chain(rates)
            .chain(limited)
            .chain(last)
            .collect();
        csv(&cells)
    }

    /// How the line of a point begins, up to its status.
    #[must_use]
    pub fn beginning(&self, point: usize) -> String {
        let at = self.plan.at(point);
        match self.kind {
            Kind::Csv => {
                let cells: Vec<String> = at.iter().map(keys::setting).collect();
                csv(&cells).trim_end().to_owned() + ","
            }
            Kind::JsonLines => format!("{{\"at\":{},\"status\":\"", self.at(&at)),
        }
    }

    /// The status that a line tells, where it begins as the line of that point does.
    #[must_use]
    pub fn status<'l>(&self, point: usize, line: &'l str) -> Option<&'l str> {
        let rest = line.strip_prefix(&self.beginning(point))?;
        let end = match self.kind {
            Kind::Csv => ',',
            Kind::JsonLines => '"',
        };
        rest.split_once(end).map(|(status, _)| status)
    }

    /// The line of a row, with its end.
    #[must_use]
    pub fn line(&self, row: &Row) -> String {
        match self.kind {
            Kind::Csv => self.csv_line(row),
            Kind::JsonLines => self.json_line(row),
        }
    }

    fn csv_line(&self, row: &Row) -> String {
        let some = |value: Option<f64>| value.map_or(String::new(), |v| plain(v).to_string());
        let mut cells: Vec<String> = row.at.iter().map(keys::setting).collect();
        cells.push(answer::status(row.status).into());
        cells.push(some(row.gap.map(rough)));
        cells.push(some(row.goal));
        for j in 0..self.plan.problem().components.len() {
            cells.push(some(row.shares.get(j).copied().map(rate)));
        }
        cells.extend(self.columns.iter().map(|&k| some(row.values[k])));
        cells.push(keys::of(row).join(";"));
        cells.push(
            conflict::clauses(self.plan.problem(), &row.conflict, row.settled).unwrap_or_default(),
        );
        csv(&cells)
    }

    fn json_line(&self, row: &Row) -> String {
        let problem = self.plan.problem();
        let mut rates = Map::new();
        for (component, share) in problem.components.iter().zip(&row.shares) {
            if rate(*share) > 0.0 {
                rates.insert(component.id.clone(), Value::from(rate(*share)));
            }
        }
        let mut values = Map::new();
        for &k in &self.columns {
            values.insert(
                self.plan.limited()[k].key(),
                row.values[k].map_or(Value::Null, |v| Value::from(plain(v))),
            );
        }
        let number = |value: Option<f64>| value.map_or(Value::Null, |v| Value::from(plain(v)));
        let none = row.shares.is_empty();
        let told = |map: Map<String, Value>| {
            if none {
                Value::Null
            } else {
                Value::Object(map)
            }
        };
        format!(
            "{{\"at\":{},\"status\":\"{}\",\"gap\":{},\"goal\":{},\"recipe\":{},\"values\":{},\"binds\":{},\"reason\":{}}}\n",
            self.at(&row.at),
            answer::status(row.status),
            number(row.gap.map(rough)),
            number(row.goal),
            told(rates),
            told(values),
            Value::from(keys::of(row)),
            conflict::clauses(problem, &row.conflict, row.settled).map_or(Value::Null, Value::from),
        )
    }

    fn at(&self, at: &[Setting]) -> Value {
        let pairs = self.plan.varied().iter().zip(at);
        let object: Map<String, Value> = pairs
            .map(|((dial, _), setting)| {
                let value = match setting {
                    Setting::Number(number) => Value::from(*number),
                    Setting::Word(word) => Value::from(word.as_str()),
                };
                (dial.path.clone(), value)
            })
            .collect();
        Value::Object(object)
    }
}

/// A number to the digits that a double surely holds after a search, and never minus nothing.
#[must_use]
pub fn plain(value: f64) -> f64 {
    stops::rounded(value) + 0.0
}

/// A gap, to two digits.
fn rough(gap: f64) -> f64 {
    format!("{gap:.1e}").parse().unwrap_or(gap)
}

/// A treat rate in mass %.
fn rate(share: f64) -> f64 {
    let text = format!("{:.RATE_DECIMALS$}", share * 100.0);
    text.parse::<f64>().unwrap_or(0.0) + 0.0
}

/// A record that stays one line, so that a torn file can be mended.
fn csv(cells: &[String]) -> String {
    let plain: Vec<String> = cells
        .iter()
        .map(|cell| cell.replace(['\n', '\r'], " "))
        .collect();
    row::line(&plain)
}

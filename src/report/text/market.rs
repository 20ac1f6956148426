//! What the shelf's prices decide: how far each may move, and when what is left out would come in.

use crate::declare::problem::Problem;
use crate::declare::property::Property;
use crate::explain::left_out::LeftOut;
use crate::explain::purchase::Purchase;
use crate::explain::turn::End;
use crate::explain::why::Market;
use crate::report::number;
use crate::report::table;
use crate::report::table::Align;
use crate::report::table::Table;
use crate::report::turns;
use crate::report::words;

/// Components named as replaced.
const NAMED: usize = 3;

/// A treat rate that moves by less mass % is not named.
const STILL: f64 = 0.005;

/// Both tables; empty where they were not asked for.
#[must_use]
pub fn section(problem: &Problem, market: Option<&Market>) -> String {
    let Some(market) = market else {
        return String::new();
    };
    let tables = [
        used(problem, &market.purchases),
        left_out(problem, &market.left_out),
    ];
    let told: Vec<String> = tables.into_iter().filter(|t| !t.is_empty()).collect();
    told.join("\n")
}

/// The components used, each with the prices between which the same ones are used; empty where there
/// is none.
fn used(problem: &Problem, purchases: &[Purchase]) -> String {
    if purchases.is_empty() {
        return String::new();
    }
    let unit = words::money(&problem.unit(&Property::Cost));
    let mut rows = Table::new(&[
        ("component", Align::Left),
        (unit.as_str(), Align::Right),
        ("from", Align::Right),
        ("to", Align::Right),
        ("what changes below", Align::Left),
        ("and above", Align::Left),
    ]);
    for p in purchases {
        rows.row(vec![
            problem.components[p.component].id.clone(),
            number::as_written(p.price),
            bound(&p.cheaper, "any"),
            bound(&p.dearer, "any"),
            what(problem, &p.cheaper),
            what(problem, &p.dearer),
        ]);
    }
    let note = if purchases.iter().any(|p| !(p.cheaper.sure && p.dearer.sure)) {
        table::note("*: at least that far; beyond it was not settled.")
    } else {
        String::new()
    };
    format!(
        "{}{}{note}",
        table::paragraph(
            "What is bought: between these prices the recipe uses the same components"
        ),
        rows.render()
    )
}

fn bound(end: &End, nothing: &str) -> String {
    let star = if end.sure { "" } else { "*" };
    match end.at {
        Some(at) => format!("{}{star}", number::fixed(at, number::COST)),
        None => format!("{nothing}{star}"),
    }
}

fn what(problem: &Problem, end: &End) -> String {
    match end.at {
        Some(_) => turns::clause(problem, end, &[]),
        None => "-".into(),
    }
}

/// The components left out, each with the price below which it would come in; empty where there is
/// none.
fn left_out(problem: &Problem, all: &[LeftOut]) -> String {
    if all.is_empty() {
        return String::new();
    }
    let unit = words::money(&problem.unit(&Property::Cost));
    let mut rows = Table::new(&[
        ("component", Align::Left),
        (unit.as_str(), Align::Right),
        ("comes in below", Align::Right),
        ("at, mass %", Align::Right),
        ("each 1 % of it changes, mass %", Align::Left),
    ]);
    for l in all {
        let at = match l.enters_at {
            Some(at) => number::fixed(at, number::COST),
            None => "never".into(),
        };
        let star = if l.sure { "" } else { "*" };
        rows.row(vec![
            problem.components[l.component].id.clone(),
            number::as_written(l.price),
            format!("{at}{star}"),
            starts_at(l),
            replaced(problem, l),
        ]);
    }
    let open = if all.iter().any(|l| !l.sure) {
        " *: at that price or a higher one; which was not settled."
    } else {
        ""
    };
    let once = if all.iter().any(|l| l.at_once) {
        "; a greater figure: at once with so much, in quite another recipe"
    } else {
        ""
    };
    let note = table::note(&format!(
        "At: the treat rate with which it comes in, 0 where it begins with next to nothing{once}.{open}"
    ));
    format!(
        "{}{}{note}",
        table::paragraph("What is left out, and the price at which it would be worth using"),
        rows.render()
    )
}

/// The change of the component itself, which comes first.
fn own(l: &LeftOut) -> Option<f64> {
    let (j, change) = l.replaces.first()?;
    (*j == l.component && *change > 0.0).then_some(*change)
}

/// The treat rate with which it comes in.
fn starts_at(l: &LeftOut) -> String {
    match own(l) {
        Some(own) if l.at_once => number::fixed(own, number::TREAT_SUM),
        Some(_) => "0".into(),
        None => String::new(),
    }
}

/// What each mass % of it changes of the other components, the most first.
fn replaced(problem: &Problem, l: &LeftOut) -> String {
    let Some(own) = own(l) else {
        return String::new();
    };
    let others = l
        .replaces
        .iter()
        .skip(1)
        .map(|(j, change)| (j, change / own));
    let named: Vec<String> = others
        .filter(|(_, change)| change.abs() >= STILL)
        .take(NAMED)
        .map(|(j, change)| {
            let sign = if change > 0.0 { "+" } else { "" };
            let by = number::fixed(change, number::TREAT_SUM);
            format!("{} {sign}{by}", problem.components[*j].id)
        })
        .collect();
    named.join(", ")
}

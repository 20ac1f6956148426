//! A declared difference between two problems, as a phrase.

use crate::declare::component::Band;
use crate::declare::component::Edge;
use crate::declare::component::Entry;
use crate::declare::component::Figure;
use crate::declare::component::Polymer;
use crate::declare::problem::Goal;
use crate::declare::problem::Limit;
use crate::declare::problem::Mixing;
use crate::declare::problem::Problem;
use crate::declare::problem::Sense;
use crate::declare::problem::TreatGroup;
use crate::declare::property::Property;
use crate::quantity::Share;
use crate::quantity::Unit;
use crate::report::bound::Bound;
use crate::report::number;
use crate::report::rules;
use crate::report::words;
use crate::study::change::Change;
use crate::study::change::FigureChange;
use crate::study::change::Nature;

/// What changed, seen from the new problem.
#[must_use]
pub fn says(problem: &Problem, change: &Change) -> String {
    match change {
        Change::Limit { from, to } => limit(problem, from.as_ref(), to.as_ref()),
        Change::Rule { from, to } => pair(
            from.as_ref().map(|r| rules::says(problem, r)),
            to.as_ref().map(|r| rules::says(problem, r)),
            "rule",
        ),
        Change::Goal { from, to, .. } => {
            let (from, to) = (goal(from), goal(to));
            if from == to {
                "change is measured from another recipe".into()
            } else {
                format!("goal: {to} instead of {from}")
            }
        }
        Change::Currency { from, to } => format!("money: {to} instead of {from}"),
        Change::Mixing { from, to } => mixing(*from, *to),
        Change::Batch { from, to, .. } => {
            let kg = |b: &Option<f64>| {
                b.map_or_else(
                    || "none".into(),
                    |b| format!("{} kg", number::as_written(b)),
                )
            };
            format!("batch: {} instead of {}", kg(to), kg(from))
        }
        Change::Property { from, to } => {
            let named = |p: &crate::declare::problem::UserProperty| p.name.clone();
            declared(from.as_ref().map(named), to.as_ref().map(named), "property")
        }
        Change::Group { from, to } => group(problem, from.as_ref(), to.as_ref()),
        _ => of_component(problem, change),
    }
}

fn of_component(problem: &Problem, change: &Change) -> String {
    let id = |j: &usize| problem.components[*j].id.clone();
    match change {
        Change::Band {
            component,
            from,
            to,
            max,
        } => {
            // Where a stock holds the maximum, only the rest of the band is this change.
            let (from, to) = (band(from, *max), band(to, *max));
            format!("treat of {}: {to} instead of {from}", id(component))
        }
        Change::Stock {
            component,
            from,
            to,
            edge,
        } => {
            let kg = |e: &Option<Entry>| {
                e.as_ref().and_then(Entry::figure).map_or_else(
                    || "not limited".into(),
                    |f| format!("{} kg", number::as_written(f.value)),
                )
            };
            let room = edge.as_ref().map_or_else(String::new, |(_, now)| {
                format!(", so at most {}", rate(now.share))
            });
            format!(
                "stock of {}: {} instead of {}{room}",
                id(component),
                kg(to),
                kg(from)
            )
        }
        Change::Price {
            component,
            from,
            to,
        } => {
            let unit = problem.unit(&Property::Cost);
            let (from, to) = apart(from.as_ref(), to.as_ref(), &unit);
            format!("price of {}: {to} instead of {from}", id(component))
        }
        Change::Figures { component, items } => {
            let all: Vec<String> = items
                .iter()
                .map(|item| figure(problem, &id(component), item))
                .collect();
            words::list(&all)
        }
        Change::Polymer {
            component,
            from,
            to,
        } => polymer(&id(component), from.as_deref(), to.as_deref()),
        Change::Nature {
            component,
            from,
            to,
        } => format!(
            "{} counts as {} instead of {}",
            id(component),
            nature(*to),
            nature(*from)
        ),
        Change::Added { component, .. } => format!("{} is new on the shelf", id(component)),
        Change::Removed { component } => format!("{} is off the shelf", id(component)),
        _ => String::new(),
    }
}

fn limit(problem: &Problem, from: Option<&Limit>, to: Option<&Limit>) -> String {
    let short = |l: &Limit| {
        format!(
            "{} {}",
            words::sign(l.side, l.strict),
            number::bound(&l.property, l.stated)
        )
    };
    let bound = |l: &Limit| {
        let sign = words::sign(l.side, l.strict);
        format!("{sign} {}", Bound::limit(problem, l).number())
    };
    let named = |l: &Limit| words::property(&l.property);
    let by = |l: &Limit| words::limit_source(&l.source);
    match (from, to) {
        (Some(from), Some(to)) => format!(
            "{}: {} instead of {} ({})",
            named(to),
            short(to),
            bound(from),
            by(to)
        ),
        (None, Some(to)) => format!("{}: new limit {} ({})", named(to), bound(to), by(to)),
        (Some(from), None) => format!(
            "{}: limit {} is gone ({})",
            named(from),
            bound(from),
            by(from)
        ),
        (None, None) => String::new(),
    }
}

fn pair(from: Option<String>, to: Option<String>, what: &str) -> String {
    match (from, to) {
        (Some(from), Some(to)) => format!("{what}: {to} instead of {from}"),
        (None, Some(to)) => format!("new {what}: {to}"),
        (Some(from), None) => format!("{what} gone: {from}"),
        (None, None) => String::new(),
    }
}

fn declared(from: Option<String>, to: Option<String>, what: &str) -> String {
    match (from, to) {
        (Some(_), Some(to)) => format!("{what} {to} is declared otherwise"),
        (from, to) => pair(from, to, what),
    }
}

fn group(problem: &Problem, from: Option<&TreatGroup>, to: Option<&TreatGroup>) -> String {
    let ids = |g: &TreatGroup| words::list(&rules::ids(problem, &g.members));
    match (from, to) {
        (Some(from), Some(to)) => {
            format!("{} sums {} instead of {}", to.name, ids(to), ids(from))
        }
        (None, Some(to)) => format!("new sum {}: {}", to.name, ids(to)),
        (Some(from), None) => format!("sum gone: {}", from.name),
        (None, None) => String::new(),
    }
}

/// `lowest cost`.
#[must_use]
pub fn goal(goal: &Goal) -> String {
    let way = match goal.sense {
        Sense::Minimise => "lowest",
        Sense::Maximise => "highest",
    };
    format!("{way} {}", words::property(&goal.property))
}

fn mixing(from: Mixing, to: Mixing) -> String {
    let keys = |m: Mixing| {
        [
            ("viscosity", m.viscosity.key()),
            ("thickening", m.thickening.key()),
            ("zinc-ash", m.zinc_ash.key()),
        ]
    };
    let all: Vec<String> = keys(to)
        .into_iter()
        .zip(keys(from))
        .filter(|(to, from)| to != from)
        .map(|((name, to), (_, from))| format!("{name} mixed by {to} instead of {from}"))
        .collect();
    words::list(&all)
}

fn band(band: &Band, max: bool) -> String {
    let lowest = number::bound(&treat(), band.min.share.percent());
    let text = if max {
        format!("{lowest} to {}", rate(band.max.share))
    } else {
        format!("at least {lowest} %")
    };
    match &band.if_used {
        Some(Edge { share, .. }) => format!("{text}, {} if used", rate(*share)),
        None => text,
    }
}

fn rate(share: Share) -> String {
    format!("{} %", number::bound(&treat(), share.percent()))
}

fn treat() -> Property {
    Property::Treat(String::new())
}

fn entry(entry: Option<&Entry>, unit: &Unit) -> String {
    match entry {
        None => "none stated".into(),
        Some(Entry::Estimate(_)) => "estimated".into(),
        Some(Entry::Stated(f)) => words::with_unit(&number::as_written(f.value), unit),
    }
}

/// Two entries, with what else is said of them where their numbers are the same.
fn apart(from: Option<&Entry>, to: Option<&Entry>, unit: &Unit) -> (String, String) {
    let (was, is) = (entry(from, unit), entry(to, unit));
    if was != is {
        // The unit is said once, after the second number.
        let stated = |e: Option<&Entry>| e.is_some_and(|e| e.figure().is_some());
        let once = stated(from) && stated(to);
        let is = if once { entry(to, &Unit::NONE) } else { is };
        return (was, is);
    }
    let more = |text: String, e: Option<&Entry>| match e.and_then(Entry::figure) {
        Some(Figure { sd, from, .. }) => {
            let sd = sd.map_or_else(String::new, |sd| format!(" ± {}", number::as_written(sd)));
            let from = from.map_or_else(String::new, |o| format!(" ({})", o.key()));
            format!("{text}{sd}{from}")
        }
        None => text,
    };
    (more(was, from), more(is, to))
}

fn figure(problem: &Problem, id: &str, item: &FigureChange) -> String {
    let unit = problem.figure_unit(&item.datum);
    let (from, to) = apart(item.from.as_ref(), item.to.as_ref(), &unit);
    format!("{} of {id}: {to} instead of {from}", item.datum.key())
}

fn polymer(id: &str, from: Option<&Polymer>, to: Option<&Polymer>) -> String {
    let (Some(from), Some(to)) = (from, to) else {
        return match to {
            Some(_) => format!("{id} now carries a polymer"),
            None => format!("{id} no longer carries a polymer"),
        };
    };
    let said = |f: &Figure| number::as_written(f.value);
    let mut all: Vec<String> = Polymer::KEYS
        .iter()
        .zip(from.figures().iter().zip(to.figures()))
        .filter(|(_, (a, b))| said(a) != said(b))
        .map(|(key, (a, b))| format!("{key} {} instead of {}", said(b), said(a)))
        .collect();
    let optional = [
        ("ssi-krl", &from.ssi_krl, &to.ssi_krl),
        ("mrv-thickening", &from.mrv_thickening, &to.mrv_thickening),
    ];
    for (key, a, b) in optional {
        let said = |f: &Option<Figure>| f.as_ref().map_or_else(|| "none".into(), said);
        if said(a) != said(b) {
            all.push(format!("{key} {} instead of {}", said(b), said(a)));
        }
    }
    if all.is_empty() {
        return format!("polymer of {id}: other ± or origin");
    }
    format!("polymer of {id}: {}", words::list(&all))
}

fn nature(nature: Nature) -> String {
    let group = nature
        .group
        .map_or_else(String::new, |g| format!(" of group {}", g.key()));
    let polar = if nature.polar { ", polar" } else { "" };
    format!("{}{group}{polar}", nature.kind.key())
}

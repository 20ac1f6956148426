//! What two aligned problems declare differently.

use crate::declare::component::Edge;
use crate::declare::component::EdgeSource;
use crate::declare::component::Entry;
use crate::declare::component::Figure;
use crate::declare::component::Polymer;
use crate::declare::problem::Limit;
use crate::declare::problem::LimitSource;
use crate::declare::problem::Problem;
use crate::declare::problem::Rule;
use crate::declare::property::Datum;
use crate::study::align::Aligned;
use crate::study::align::Stands;
use crate::study::change;
use crate::study::change::Change;
use crate::study::change::FigureChange;
use crate::study::change::Nature;
use std::collections::BTreeSet;

/// Every declared difference: the goal and the rules of mixing, limits, the batch, rules, then the
/// components one by one.
///
/// A limit that only changed its source, such as a window that two grades share, is none.
#[must_use]
pub fn differences(aligned: &Aligned) -> Vec<Change> {
    let (old, new) = (&aligned.old, &aligned.new);
    let mut all = whole(old, new);
    all.extend(limits(&old.limits, &new.limits));
    all.extend(rules(&old.rules, &new.rules));
    all.extend(batch(aligned));
    for (j, stands) in aligned.stands.iter().enumerate() {
        match stands {
            Stands::Old => all.push(Change::Removed { component: j }),
            Stands::New => all.push(Change::Added {
                component: j,
                band: new.bands[j].clone(),
            }),
            Stands::Both => all.extend(component(old, new, j)),
        }
    }
    all
}

fn whole(old: &Problem, new: &Problem) -> Vec<Change> {
    let mut all = Vec::new();
    let aim = |p: &Problem| (p.goal.sense, p.goal.property.clone());
    if aim(old) != aim(new) || old.known != new.known {
        all.push(Change::Goal {
            from: old.goal.clone(),
            to: new.goal.clone(),
            known: new.known.clone(),
        });
    }
    if old.currency != new.currency {
        all.push(Change::Currency {
            from: old.currency.clone(),
            to: new.currency.clone(),
        });
    }
    if old.mixing != new.mixing {
        all.push(Change::Mixing {
            from: old.mixing,
            to: new.mixing,
        });
    }
    let names: BTreeSet<&String> = [old, new]
        .iter()
        .flat_map(|p| p.properties.iter().map(|u| &u.name))
        .collect();
    for name in names {
        let (from, to) = (old.user(name), new.user(name));
        let says = |p: &crate::declare::problem::UserProperty| {
            (p.unit.clone(), p.rule, p.missing.map(f64::to_bits))
        };
        if from.map(says) != to.map(says) {
            all.push(Change::Property {
                from: from.cloned(),
                to: to.cloned(),
            });
        }
    }
    let names: BTreeSet<&String> = [old, new]
        .iter()
        .flat_map(|p| p.groups.iter().map(|g| &g.name))
        .collect();
    for name in names {
        let (from, to) = (old.group(name), new.group(name));
        if from.map(|g| &g.members) != to.map(|g| &g.members) {
            all.push(Change::Group {
                from: from.cloned(),
                to: to.cloned(),
            });
        }
    }
    all
}

fn limits(old: &[Limit], new: &[Limit]) -> Vec<Change> {
    let mut left: Vec<&Limit> = new.iter().collect();
    let mut all = Vec::new();
    let mut take = |limit: &Limit, left: &mut Vec<&Limit>, same: fn(&Limit, &Limit) -> bool| {
        let at = left.iter().position(|l| same(l, limit))?;
        let to = left.remove(at);
        if !change::same_bound(limit, to) {
            all.push(Change::Limit {
                from: Some(limit.clone()),
                to: Some(to.clone()),
            });
        }
        Some(())
    };
    // One that says the same goes first; then one of the same source; then one of the same kind.
    let mut open: Vec<&Limit> = old.iter().collect();
    for same in [change::same_limit, of_one_source, of_one_kind] {
        open.retain(|limit| take(limit, &mut left, same).is_none());
    }
    let removed = open.into_iter().map(|l| Change::Limit {
        from: Some(l.clone()),
        to: None,
    });
    let added = left.into_iter().map(|l| Change::Limit {
        from: None,
        to: Some(l.clone()),
    });
    all.extend(removed.chain(added));
    all
}

fn of_one_source(a: &Limit, b: &Limit) -> bool {
    a.property == b.property && a.side == b.side && a.source == b.source
}

fn of_one_kind(a: &Limit, b: &Limit) -> bool {
    let kind = |l: &Limit| match l.source {
        LimitSource::Problem => 0,
        LimitSource::Grade(_) => 1,
        LimitSource::Class(..) => 2,
        LimitSource::Asked => 3,
    };
    a.property == b.property && a.side == b.side && kind(a) == kind(b)
}

fn rules(old: &[Rule], new: &[Rule]) -> Vec<Change> {
    let without = |all: &[Rule], other: &[Rule]| -> Vec<Rule> {
        let there = |r: &&Rule| !other.iter().any(|o| change::same_rule(o, r));
        all.iter().filter(there).cloned().collect()
    };
    let (mut gone, came) = (without(old, new), without(new, old));
    let mut all: Vec<Change> = Vec::new();
    for rule in came {
        let count = |r: &Rule| matches!(r, Rule::AtMost(..));
        let twin = gone.iter().position(|g| count(g) && count(&rule));
        all.push(Change::Rule {
            from: twin.map(|at| gone.remove(at)),
            to: Some(rule),
        });
    }
    let removed = gone.into_iter().map(|rule| Change::Rule {
        from: Some(rule),
        to: None,
    });
    all.extend(removed);
    all
}

/// What moved the highest treat rate of a component.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Mover {
    Stock,
    Batch,
    Band,
}

fn mover(old: &Problem, new: &Problem, j: usize) -> Option<Mover> {
    let (from, to) = (&old.bands[j].max, &new.bands[j].max);
    if same_edge(from, to) {
        return None;
    }
    let by_stock = [from, to].iter().any(|e| e.source == EdgeSource::Stock);
    let stock = |p: &Problem| p.components[j].figures.get(&Datum::Stock).cloned();
    Some(if !by_stock {
        Mover::Band
    } else if !same_entry(stock(old).as_ref(), stock(new).as_ref()) {
        Mover::Stock
    } else if same_batch(old, new) {
        Mover::Band
    } else {
        Mover::Batch
    })
}

fn same_batch(old: &Problem, new: &Problem) -> bool {
    old.batch.map(f64::to_bits) == new.batch.map(f64::to_bits)
}

fn batch(aligned: &Aligned) -> Option<Change> {
    let (old, new) = (&aligned.old, &aligned.new);
    if same_batch(old, new) {
        return None;
    }
    let edges = (0..aligned.stands.len())
        .filter(|&j| aligned.stands[j] == Stands::Both && mover(old, new, j) == Some(Mover::Batch))
        .map(|j| (j, old.bands[j].max.clone(), new.bands[j].max.clone()))
        .collect();
    Some(Change::Batch {
        from: old.batch,
        to: new.batch,
        edges,
    })
}

fn component(old: &Problem, new: &Problem, j: usize) -> Vec<Change> {
    let (a, b) = (&old.components[j], &new.components[j]);
    let mut all = Vec::new();
    if Nature::of(a) != Nature::of(b) {
        all.push(Change::Nature {
            component: j,
            from: Nature::of(a),
            to: Nature::of(b),
        });
    }
    let moved = mover(old, new, j);
    let (from, to) = (&old.bands[j], &new.bands[j]);
    let used = |e: &Option<Edge>| e.as_ref().map(|e| e.share.fraction().to_bits());
    let max = moved == Some(Mover::Band);
    if max || !same_edge(&from.min, &to.min) || used(&from.if_used) != used(&to.if_used) {
        all.push(Change::Band {
            component: j,
            from: from.clone(),
            to: to.clone(),
            max,
        });
    }
    let data: BTreeSet<&Datum> = a.figures.keys().chain(b.figures.keys()).collect();
    let mut viscosities = Vec::new();
    for datum in data {
        let (from, to) = (a.figures.get(datum), b.figures.get(datum));
        if same_entry(from, to) {
            continue;
        }
        let (from, to) = (from.cloned(), to.cloned());
        let item = FigureChange {
            datum: datum.clone(),
            from: from.clone(),
            to: to.clone(),
        };
        match datum {
            Datum::Price => all.push(Change::Price {
                component: j,
                from,
                to,
            }),
            Datum::Stock => all.push(Change::Stock {
                component: j,
                from,
                to,
                edge: (moved == Some(Mover::Stock))
                    .then(|| (old.bands[j].max.clone(), new.bands[j].max.clone())),
            }),
            Datum::Kv40 | Datum::Kv100 => viscosities.push(item),
            _ => all.push(Change::Figures {
                component: j,
                items: vec![item],
            }),
        }
    }
    if !viscosities.is_empty() {
        all.push(Change::Figures {
            component: j,
            items: viscosities,
        });
    }
    if !same_polymer(a.polymer.as_ref(), b.polymer.as_ref()) {
        all.push(Change::Polymer {
            component: j,
            from: a.polymer.clone().map(Box::new),
            to: b.polymer.clone().map(Box::new),
        });
    }
    all
}

fn same_edge(a: &Edge, b: &Edge) -> bool {
    a.share.fraction().total_cmp(&b.share.fraction()).is_eq()
}

fn same_entry(a: Option<&Entry>, b: Option<&Entry>) -> bool {
    match (a, b) {
        (None, None) | (Some(Entry::Estimate(_)), Some(Entry::Estimate(_))) => true,
        (Some(Entry::Stated(a)), Some(Entry::Stated(b))) => same_figure(a, b),
        _ => false,
    }
}

/// Whether two figures are the same number, equally sure, from the same source.
#[must_use]
pub fn same_figure(a: &Figure, b: &Figure) -> bool {
    a.value.total_cmp(&b.value).is_eq()
        && a.sd.map(f64::to_bits) == b.sd.map(f64::to_bits)
        && a.from == b.from
        && a.found_at == b.found_at
}

fn same_polymer(a: Option<&Polymer>, b: Option<&Polymer>) -> bool {
    match (a, b) {
        (None, None) => true,
        (Some(a), Some(b)) => {
            let both = |p: &Polymer| (p.ssi_krl.is_some(), p.mrv_thickening.is_some());
            both(a) == both(b)
                && a.figures()
                    .iter()
                    .zip(b.figures())
                    .all(|(a, b)| same_figure(a, b))
        }
        _ => false,
    }
}

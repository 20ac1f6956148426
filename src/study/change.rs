//! One declared difference between two problems, and a problem with some of them made.

use crate::declare::component::Band;
use crate::declare::component::Component;
use crate::declare::component::Edge;
use crate::declare::component::Entry;
use crate::declare::component::Group;
use crate::declare::component::Kind;
use crate::declare::component::Polymer;
use crate::declare::problem::Goal;
use crate::declare::problem::Limit;
use crate::declare::problem::Mixing;
use crate::declare::problem::Problem;
use crate::declare::problem::Rule;
use crate::declare::problem::TreatGroup;
use crate::declare::problem::UserProperty;
use crate::declare::property::Datum;
use crate::quantity::Share;

/// What a component is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Nature {
    /// What it is for.
    pub kind: Kind,
    /// Its API group.
    pub group: Option<Group>,
    /// Whether it counts as polar.
    pub polar: bool,
}

impl Nature {
    /// Of a component.
    #[must_use]
    pub fn of(component: &Component) -> Self {
        Nature {
            kind: component.kind,
            group: component.group,
            polar: component.polar,
        }
    }
}

/// One figure that differs.
#[derive(Debug, Clone, PartialEq)]
pub struct FigureChange {
    /// Which.
    pub datum: Datum,
    /// As it was.
    pub from: Option<Entry>,
    /// As it is now.
    pub to: Option<Entry>,
}

/// One declared difference; components are indices into the aligned problems.
#[derive(Debug, Clone, PartialEq)]
pub enum Change {
    /// A limit came, went, or moved.
    Limit {
        /// As it was.
        from: Option<Limit>,
        /// As it is now.
        to: Option<Limit>,
    },
    /// A treat band moved.
    Band {
        /// Whose.
        component: usize,
        /// As it was.
        from: Band,
        /// As it is now; its maximum counts only where `max` says so.
        to: Band,
        /// Whether the maximum is part of this change: not where a stock set it.
        max: bool,
    },
    /// The stock of a component moved, and with it perhaps its highest treat rate.
    Stock {
        /// Whose.
        component: usize,
        /// As it was.
        from: Option<Entry>,
        /// As it is now.
        to: Option<Entry>,
        /// The highest treat rate before and now, where it moved.
        edge: Option<(Edge, Edge)>,
    },
    /// The batch moved, and with it what the stocks allow.
    Batch {
        /// As it was, kg.
        from: Option<f64>,
        /// As it is now, kg.
        to: Option<f64>,
        /// Component, highest treat rate before and now.
        edges: Vec<(usize, Edge, Edge)>,
    },
    /// A price moved.
    Price {
        /// Whose.
        component: usize,
        /// As it was.
        from: Option<Entry>,
        /// As it is now.
        to: Option<Entry>,
    },
    /// Another figure moved; both kinematic viscosities together, since one alone may be nonsense
    /// beside the other's old value.
    Figures {
        /// Whose.
        component: usize,
        /// Which.
        items: Vec<FigureChange>,
    },
    /// The figures of a polymer moved.
    Polymer {
        /// Whose.
        component: usize,
        /// As they were.
        from: Option<Box<Polymer>>,
        /// As they are now.
        to: Option<Box<Polymer>>,
    },
    /// What a component counts as.
    Nature {
        /// Whose.
        component: usize,
        /// As it was.
        from: Nature,
        /// As it is now.
        to: Nature,
    },
    /// A component came to the shelf.
    Added {
        /// Which.
        component: usize,
        /// Its treat band.
        band: Band,
    },
    /// A component left the shelf.
    Removed {
        /// Which.
        component: usize,
    },
    /// A rule of recipe logic came, went, or moved.
    Rule {
        /// As it was.
        from: Option<Rule>,
        /// As it is now.
        to: Option<Rule>,
    },
    /// Another goal, or another recipe from which change is measured.
    Goal {
        /// As it was.
        from: Goal,
        /// As it is now.
        to: Goal,
        /// The recipe from which change is measured now.
        known: Option<Vec<Share>>,
    },
    /// Other money.
    Currency {
        /// As it was.
        from: String,
        /// As it is now.
        to: String,
    },
    /// Other mixing rules.
    Mixing {
        /// As they were.
        from: Mixing,
        /// As they are now.
        to: Mixing,
    },
    /// A declared property came, went, or changed.
    Property {
        /// As it was.
        from: Option<UserProperty>,
        /// As it is now.
        to: Option<UserProperty>,
    },
    /// A declared sum of treat rates came, went, or changed.
    Group {
        /// As it was.
        from: Option<TreatGroup>,
        /// As it is now.
        to: Option<TreatGroup>,
    },
}

impl Change {
    /// Whether it makes two values of the goal incomparable.
    #[must_use]
    pub fn moves_the_goal(&self) -> bool {
        matches!(self, Change::Goal { .. } | Change::Currency { .. })
    }
}

/// The old problem with some of the changes made.
#[must_use]
pub fn with<'c>(old: &Problem, changes: impl IntoIterator<Item = &'c Change>) -> Problem {
    let mut problem = old.clone();
    for change in changes {
        make(change, &mut problem);
    }
    problem
}

fn make(change: &Change, problem: &mut Problem) {
    match change {
        Change::Limit { from, to } => {
            swap(&mut problem.limits, from.as_ref(), to.as_ref(), same_limit);
        }
        Change::Rule { from, to } => {
            swap(&mut problem.rules, from.as_ref(), to.as_ref(), same_rule);
        }
        Change::Property { from, to } => {
            let same = |a: &UserProperty, b: &UserProperty| a.name == b.name;
            swap(&mut problem.properties, from.as_ref(), to.as_ref(), same);
        }
        Change::Group { from, to } => {
            let same = |a: &TreatGroup, b: &TreatGroup| a.name == b.name;
            swap(&mut problem.groups, from.as_ref(), to.as_ref(), same);
        }
        Change::Goal { to, known, .. } => {
            problem.goal = to.clone();
            problem.known.clone_from(known);
        }
        Change::Currency { to, .. } => problem.currency.clone_from(to),
        Change::Mixing { to, .. } => problem.mixing = *to,
        Change::Batch { to, edges, .. } => {
            problem.batch = *to;
            for (j, _, edge) in edges {
                problem.bands[*j].max = edge.clone();
            }
        }
        _ => make_of_component(change, problem),
    }
}

fn make_of_component(change: &Change, problem: &mut Problem) {
    match change {
        Change::Band {
            component, to, max, ..
        } => {
            let band = &mut problem.bands[*component];
            band.min = to.min.clone();
            band.if_used.clone_from(&to.if_used);
            if *max {
                band.max = to.max.clone();
            }
        }
        Change::Stock {
            component,
            to,
            edge,
            ..
        } => {
            state(problem, *component, &Datum::Stock, to.as_ref());
            if let Some((_, edge)) = edge {
                problem.bands[*component].max = edge.clone();
            }
        }
        Change::Price { component, to, .. } => {
            state(problem, *component, &Datum::Price, to.as_ref());
        }
        Change::Figures { component, items } => {
            for item in items {
                state(problem, *component, &item.datum, item.to.as_ref());
            }
        }
        Change::Polymer { component, to, .. } => {
            problem.components[*component].polymer = to.as_deref().cloned();
        }
        Change::Nature { component, to, .. } => {
            let it = &mut problem.components[*component];
            (it.kind, it.group, it.polar) = (to.kind, to.group, to.polar);
        }
        Change::Added { component, band } => problem.bands[*component] = band.clone(),
        Change::Removed { component } => problem.bands[*component] = held_out(),
        _ => {}
    }
}

/// The band of a component that is not on the shelf.
#[must_use]
pub fn held_out() -> Band {
    let mut band = Band::natural();
    band.max.share = Share::NONE;
    band
}

fn state(problem: &mut Problem, component: usize, datum: &Datum, entry: Option<&Entry>) {
    let figures = &mut problem.components[component].figures;
    match entry {
        Some(entry) => figures.insert(datum.clone(), entry.clone()),
        None => figures.remove(datum),
    };
}

/// Puts `to` in the place of `from`; at the end where nothing was.
fn swap<T: Clone>(all: &mut Vec<T>, from: Option<&T>, to: Option<&T>, same: fn(&T, &T) -> bool) {
    let at = from.and_then(|from| all.iter().position(|a| same(a, from)));
    match (at, to) {
        (Some(at), Some(to)) => all[at] = to.clone(),
        (Some(at), None) => {
            all.remove(at);
        }
        (None, Some(to)) => all.push(to.clone()),
        (None, None) => {}
    }
}

/// Whether two limits say the same, wherever they stand.
#[must_use]
pub fn same_limit(a: &Limit, b: &Limit) -> bool {
    a.source == b.source && same_bound(a, b)
}

/// Whether two limits ask the same of the oil, whoever set them.
#[must_use]
pub fn same_bound(a: &Limit, b: &Limit) -> bool {
    a.property == b.property
        && a.side == b.side
        && a.bound.total_cmp(&b.bound).is_eq()
        && a.stated.total_cmp(&b.stated).is_eq()
        && a.strict == b.strict
}

/// Whether two rules say the same, wherever they stand.
#[must_use]
pub fn same_rule(a: &Rule, b: &Rule) -> bool {
    match (a, b) {
        (Rule::AtMost(a, _), Rule::AtMost(b, _)) => a == b,
        (Rule::NotTogether(a, _), Rule::NotTogether(b, _))
        | (Rule::OneOf(a, _), Rule::OneOf(b, _)) => sorted(a) == sorted(b),
        (Rule::Needs(a, b, _), Rule::Needs(c, d, _)) => (a, b) == (c, d),
        _ => false,
    }
}

fn sorted(these: &[usize]) -> Vec<usize> {
    let mut these = these.to_vec();
    these.sort_unstable();
    these
}

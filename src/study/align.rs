//! Two problems over one list of components: every component of either shelf, one that a side lacks
//! held out there.

use crate::declare::problem::Problem;
use crate::declare::problem::Rule;
use crate::declare::problem::TreatGroup;
use crate::quantity::Share;
use crate::study::change;

/// On which shelf a component stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Stands {
    /// On both.
    Both,
    /// On the old one only.
    Old,
    /// On the new one only.
    New,
}

/// Two problems over the same components in the same order.
#[derive(Debug, Clone, PartialEq)]
pub struct Aligned {
    /// As it was.
    pub old: Problem,
    /// As it is now.
    pub new: Problem,
    /// Where each component stands.
    pub stands: Vec<Stands>,
}

/// Aligns two problems by the ids of their components: those of the old in their order, then what only
/// the new has.
///
/// A declared sum of treat rates that both have counts a component of one shelf on both sides: its
/// coming or going is the component's change, not the sum's.
#[must_use]
pub fn align(old: &Problem, new: &Problem) -> Aligned {
    let fresh: Vec<usize> = (0..new.components.len())
        .filter(|&k| old.component(&new.components[k].id).is_none())
        .collect();
    let size = old.components.len();
    // Where each component of the new problem stands in the common list.
    let place: Vec<usize> = (0..new.components.len())
        .map(|k| {
            old.component(&new.components[k].id)
                .unwrap_or_else(|| size + fresh.iter().position(|f| *f == k).unwrap_or_default())
        })
        .collect();
    let mut one = old.clone();
    for &k in &fresh {
        one.components.push(new.components[k].clone());
        one.bands.push(change::held_out());
    }
    if let Some(known) = &mut one.known {
        known.resize(one.components.len(), Share::NONE);
    }
    let mut two = new.clone();
    two.components.clone_from(&one.components);
    two.bands = vec![change::held_out(); one.components.len()];
    for (k, &u) in place.iter().enumerate() {
        two.components[u] = new.components[k].clone();
        two.bands[u] = new.bands[k].clone();
    }
    two.known = new.known.as_ref().map(|known| {
        let mut shares = vec![Share::NONE; one.components.len()];
        for (k, &u) in place.iter().enumerate() {
            shares[u] = known[k];
        }
        shares
    });
    two.rules = new.rules.iter().map(|r| moved(r, &place)).collect();
    for group in &mut two.groups {
        group.members = group.members.iter().map(|&k| place[k]).collect();
    }
    let stands: Vec<Stands> = (0..one.components.len())
        .map(|u| match (u < size, place.contains(&u)) {
            (true, true) => Stands::Both,
            (true, false) => Stands::Old,
            (false, _) => Stands::New,
        })
        .collect();
    share_members(&mut one.groups, &mut two.groups, &stands);
    Aligned {
        old: one,
        new: two,
        stands,
    }
}

fn moved(rule: &Rule, place: &[usize]) -> Rule {
    let all = |these: &[usize]| these.iter().map(|&k| place[k]).collect();
    match rule {
        Rule::AtMost(most, at) => Rule::AtMost(*most, at.clone()),
        Rule::NotTogether(these, at) => Rule::NotTogether(all(these), at.clone()),
        Rule::OneOf(these, at) => Rule::OneOf(all(these), at.clone()),
        Rule::Needs(a, b, at) => Rule::Needs(place[*a], place[*b], at.clone()),
    }
}

fn share_members(old: &mut [TreatGroup], new: &mut [TreatGroup], stands: &[Stands]) {
    for group in new {
        let twin = old.iter_mut().find(|g| g.name == group.name);
        let only = |all: &[usize], side: Stands| -> Vec<usize> {
            all.iter().copied().filter(|&j| stands[j] == side).collect()
        };
        if let Some(twin) = twin {
            let came = only(&group.members, Stands::New);
            let left = only(&twin.members, Stands::Old);
            twin.members.extend(came);
            group.members.extend(left);
            twin.members.sort_unstable();
        }
        group.members.sort_unstable();
    }
}

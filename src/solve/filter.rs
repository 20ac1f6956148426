//! Irreducible sets by leaving out: which few of many requirements cannot all hold, one such set or
//! several, whatever a requirement is.
//!
//! A member is dropped for good when the rest is *proved* impossible without it, so what remains is
//! proved impossible. It is needed where the rest was shown to be possible without it.

use std::collections::BTreeSet;

/// What is known of a set of requirements.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Probe {
    /// Proved: they cannot all hold.
    Impossible,
    /// Something meets them all.
    Possible,
    /// Neither was shown.
    Unknown,
}

/// A member of a set that cannot hold.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Kept<T> {
    /// The requirement.
    pub item: T,
    /// Whether the others were shown to be possible without it.
    pub needed: bool,
}

/// Tells of sets of requirements whether they can hold.
pub trait Oracle<T: Copy + Ord> {
    /// Whether these can all hold.
    fn probe(&mut self, kept: &[T]) -> Probe;

    /// An irreducible set among some that were proved impossible.
    fn reduce(&mut self, start: Vec<T>) -> Vec<Kept<T>> {
        reduced(start, |kept| self.probe(kept))
    }
}

/// Leaves out what is not needed, in halves, quarters and so on down to single requirements.
pub fn reduced<T: Copy>(start: Vec<T>, mut probe: impl FnMut(&[T]) -> Probe) -> Vec<Kept<T>> {
    let mut kept = start;
    let mut needed = vec![false; kept.len()];
    let mut size = kept.len().div_ceil(2).max(1);
    loop {
        let mut at = 0;
        while at < kept.len() {
            let end = (at + size).min(kept.len());
            let fewer: Vec<T> = [&kept[..at], &kept[end..]].concat();
            match probe(&fewer) {
                Probe::Impossible => {
                    kept = fewer;
                    needed.drain(at..end);
                }
                Probe::Possible => {
                    needed[at] |= end - at == 1;
                    at = end;
                }
                Probe::Unknown => at = end,
            }
        }
        if size == 1 {
            break;
        }
        size = size.div_ceil(2);
    }
    let members = kept.into_iter().zip(needed);
    members
        .map(|(item, needed)| Kept { item, needed })
        .collect()
}

/// Irreducible sets, and what would have to go to be rid of all of them.
#[derive(Debug, Clone, PartialEq)]
pub struct Several<T> {
    /// The sets, in the order found.
    pub sets: Vec<Vec<Kept<T>>>,
    /// Whether no further set exists.
    pub complete: bool,
    /// Smallest sets of requirements without which the rest is possible, the shortest first.
    pub cures: Vec<Vec<T>>,
}

/// Most members of a cure that is looked for.
const LONGEST: usize = 6;

/// Looks for further irreducible sets: one member of each known set is left out, and another is sought
/// in the rest. `all` may be left out; what is known at first should be irreducible. `most` sets are
/// told at most, and `probes` questions asked.
///
/// The sets are all there are once every way to hit each of them leaves something possible.
pub fn several<T: Copy + Ord>(
    all: &[T],
    known: Vec<Vec<Kept<T>>>,
    most: usize,
    probes: usize,
    oracle: &mut impl Oracle<T>,
) -> Several<T> {
    let mut found = Several {
        sets: known,
        complete: true,
        cures: Vec::new(),
    };
    let mut asked = 0;
    let mut seen: BTreeSet<Vec<T>> = BTreeSet::new();
    let mut level: Vec<Vec<T>> = vec![Vec::new()];
    while !level.is_empty() {
        let mut next: Vec<Vec<T>> = Vec::new();
        for out in level {
            if found
                .cures
                .iter()
                .any(|c| c.iter().all(|m| out.contains(m)))
            {
                continue;
            }
            let spared = |set: &&Vec<Kept<T>>| set.iter().all(|m| !out.contains(&m.item));
            let set = match found.sets.iter().find(spared) {
                Some(set) => set.clone(),
                None if asked >= probes => {
                    found.complete = false;
                    continue;
                }
                None => {
                    asked += 1;
                    let rest: Vec<T> = all.iter().filter(|r| !out.contains(r)).copied().collect();
                    match oracle.probe(&rest) {
                        Probe::Possible => {
                            found.cures.push(out);
                            continue;
                        }
                        Probe::Impossible if found.sets.len() < most => {
                            let set = oracle.reduce(rest);
                            found.sets.push(set.clone());
                            set
                        }
                        Probe::Impossible | Probe::Unknown => {
                            found.complete = false;
                            continue;
                        }
                    }
                }
            };
            if out.len() == LONGEST {
                found.complete = false;
                continue;
            }
            for member in set.iter().filter(|m| all.contains(&m.item)) {
                let mut longer = out.clone();
                longer.push(member.item);
                longer.sort_unstable();
                if seen.insert(longer.clone()) {
                    next.push(longer);
                }
            }
        }
        level = next;
    }
    found
}

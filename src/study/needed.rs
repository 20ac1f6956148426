//! Which of many are needed: a set from which nothing can be left out.

use crate::solve::filter;
use crate::solve::filter::Probe;

/// A member of such a set.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Needed {
    /// Which.
    pub index: usize,
    /// Whether it was shown that the rest does not do without it; otherwise it may be needed.
    pub shown: bool,
}

/// Leaves out of `0..count` what is not needed for `does`, which holds of the whole; `None` from it
/// means that it is not known.
///
/// What holds of a set need not hold of a larger one (two changes can undo each other), so the set is
/// gone through again until nothing more can go: each member was then tried against what is returned.
pub fn least(count: usize, mut does: impl FnMut(&[usize]) -> Option<bool>) -> Vec<Needed> {
    let mut probe = |set: &[usize]| match does(set) {
        Some(true) => Probe::Impossible,
        Some(false) => Probe::Possible,
        None => Probe::Unknown,
    };
    let mut kept: Vec<usize> = (0..count).collect();
    loop {
        let found = filter::reduced(kept.clone(), &mut probe);
        if found.len() == kept.len() {
            return found
                .into_iter()
                .map(|k| Needed {
                    index: k.item,
                    shown: k.needed,
                })
                .collect();
        }
        kept = found.into_iter().map(|k| k.item).collect();
    }
}

#[cfg(test)]
mod tests {
    use super::{Needed, least};

    #[test]
    fn what_is_not_needed_goes() {
        let both = |set: &[usize]| Some(set.contains(&2) && set.contains(&7));
        let found = least(9, both);
        let indices: Vec<usize> = found.iter().map(|n| n.index).collect();
        assert_eq!(indices, [2, 7]);
        assert!(found.iter().all(|n| n.shown));
    }

    #[test]
    fn what_is_not_known_stays() {
        let found = least(2, |set| set.contains(&0).then_some(true));
        assert_eq!(
            found,
            [Needed {
                index: 0,
                shown: false
            }]
        );
        assert_eq!(least(0, |_| Some(true)), []);
    }
}

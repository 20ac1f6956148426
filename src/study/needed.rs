//! Which of many are needed: a set from which nothing can be left out.

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
/// By halves first, then one by one until nothing more can go, so that each member is tried against
/// the set that is returned.
pub fn least(count: usize, mut does: impl FnMut(&[usize]) -> Option<bool>) -> Vec<Needed> {
    let mut kept: Vec<usize> = (0..count).collect();
    let mut size = count.div_ceil(2).max(1);
    while size > 1 {
        pass(&mut kept, size, &mut does);
        size = size.div_ceil(2);
    }
    loop {
        let before = kept.len();
        let shown = pass(&mut kept, 1, &mut does);
        if kept.len() == before {
            return kept
                .iter()
                .zip(shown)
                .map(|(&index, shown)| Needed { index, shown })
                .collect();
        }
    }
}

/// One pass over a set; tells of each part that stayed whether it was shown to be needed.
fn pass(
    kept: &mut Vec<usize>,
    size: usize,
    does: &mut impl FnMut(&[usize]) -> Option<bool>,
) -> Vec<bool> {
    let mut shown = Vec::new();
    let mut at = 0;
    while at < kept.len() {
        let end = (at + size).min(kept.len());
        let fewer: Vec<usize> = [&kept[..at], &kept[end..]].concat();
        match does(&fewer) {
            Some(true) => *kept = fewer,
            word => {
                shown.push(word == Some(false));
                at = end;
            }
        }
    }
    shown
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

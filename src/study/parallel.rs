//! The same work on many things at once, on as many cores as there are; the only file that names the
//! library for it.

use rayon::prelude::*;

/// The results in the order of the things, whichever core was first.
pub fn each<I: Sync, O: Send>(things: &[I], work: impl Fn(&I) -> O + Sync + Send) -> Vec<O> {
    things.par_iter().map(work).collect()
}

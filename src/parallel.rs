//! The same work on many things at once, on as many cores as there are; the only file that names the
//! library for it.
//!
//! Results come in the order of the things, whichever core was first: what is computed does not depend on
//! the number of threads.

use rayon::ThreadPoolBuilder;
use rayon::iter::IntoParallelIterator;
use rayon::iter::IntoParallelRefIterator;
use rayon::iter::ParallelIterator;

/// The result for each thing, in their order.
pub fn each<I: Sync, O: Send>(things: &[I], work: impl Fn(&I) -> O + Sync + Send) -> Vec<O> {
    things.par_iter().map(work).collect()
}

/// The result for each number from 0, in their order.
pub fn numbered<O: Send>(count: u32, work: impl Fn(u32) -> O + Sync + Send) -> Vec<O> {
    (0..count).into_par_iter().map(work).collect()
}

/// How many threads are meant: 0 is one a core.
#[must_use]
pub fn threads(asked: usize) -> usize {
    match asked {
        0 => std::thread::available_parallelism().map_or(1, usize::from),
        threads => threads,
    }
}

/// Does work whose [`each`] and [`numbered`] use this many threads.
pub fn within<O: Send>(threads: usize, work: impl FnOnce() -> O + Send) -> O {
    match ThreadPoolBuilder::new().num_threads(threads).build() {
        Ok(pool) => pool.install(work),
        Err(_) => work(),
    }
}

/// Runs this many workers, and beside them, on this thread, what takes their results; `None`, and nothing
/// done, where no thread can be had.
pub fn beside<O>(
    threads: usize,
    worker: impl Fn() + Send + Sync,
    meanwhile: impl FnOnce() -> O,
) -> Option<O> {
    let pool = ThreadPoolBuilder::new().num_threads(threads).build().ok()?;
    Some(pool.in_place_scope(|scope| {
        for _ in 0..threads {
            scope.spawn(|_| worker());
        }
        meanwhile()
    }))
}

//! The points of a sweep, solved chunk by chunk on several cores and handed on in their order.
//!
//! What a point's row says depends on its chunk alone, so neither the number of threads nor which chunks
//! are asked for changes a byte. At most [`AHEAD`] chunks a thread wait to be handed on: memory does not
//! grow with the number of points.

use crate::parallel;
use crate::solve::search::Budget;
use crate::solve::spot;
use crate::solve::spot::Trail;
use crate::study::sweep::plan::Plan;
use crate::study::sweep::row::Row;
use std::collections::BTreeMap;
use std::ops::Range;
use std::sync::Condvar;
use std::sync::Mutex;
use std::sync::PoisonError;
use std::sync::atomic::AtomicBool;
use std::sync::atomic::AtomicUsize;
use std::sync::atomic::Ordering;
use std::sync::mpsc;
use std::time::Instant;

/// Most chunks a thread that are done or begun and not yet handed on.
pub const AHEAD: usize = 4;

/// How the points are solved.
#[derive(Debug, Clone)]
pub struct Orders<'a> {
    /// What one point may spend; its time is not looked at, so that an answer does not depend on the
    /// machine.
    pub budget: Budget,
    /// Whether to ask why there is no recipe where there is none.
    pub reasons: bool,
    /// Threads; 0 for one a core.
    pub threads: usize,
    /// Set from outside to end early: a chunk that is not whole by then is not handed on.
    pub cancel: &'a AtomicBool,
    /// When to end early.
    pub deadline: Option<Instant>,
}

impl Orders<'_> {
    /// Whether to begin nothing more.
    #[must_use]
    pub fn ended(&self) -> bool {
        self.cancel.load(Ordering::Relaxed)
            || self.deadline.is_some_and(|end| Instant::now() >= end)
    }

    /// What one point may spend.
    #[must_use]
    pub fn each(&self) -> Budget {
        Budget {
            time: None,
            ..self.budget.clone()
        }
    }
}

/// Solves some chunks of a plan and hands what `tell` makes of each, whole, to `sink`, in their order:
/// the telling is done on every core, the handing on by this thread alone. Returns how many were handed
/// on: fewer than asked for where the orders ended early.
///
/// # Errors
/// The first error of the sink; nothing is handed on after it.
pub fn run<T: Send, E>(
    plan: &Plan,
    chunks: Range<usize>,
    orders: &Orders,
    tell: impl Fn(Vec<Row>) -> T + Sync,
    sink: &mut dyn FnMut(T) -> Result<(), E>,
) -> Result<usize, E> {
    let threads = parallel::threads(orders.threads);
    let shared = Shared {
        next: AtomicUsize::new(chunks.start),
        handed: Mutex::new(chunks.start),
        moved: Condvar::new(),
        stopped: AtomicBool::new(false),
        window: AHEAD * threads,
    };
    let (done, arriving) = mpsc::channel::<(usize, Option<T>)>();
    // Each worker takes one of the channel's ends with it: it closes when the last of them ends.
    let ends = Mutex::new(vec![done; threads]);
    let worker = || {
        let _guard = Guard(&shared);
        let end = ends.lock().unwrap_or_else(PoisonError::into_inner).pop();
        let Some(done) = end else { return };
        while let Some(chunk) = shared.claim(chunks.end) {
            let told = solved(plan, chunk, orders).map(&tell);
            let whole = told.is_some();
            if !whole {
                // What follows can no longer be handed on.
                shared.stop();
            }
            if done.send((chunk, told)).is_err() || !whole {
                break;
            }
        }
    };
    let first = chunks.start;
    let handed = parallel::beside(threads, worker, || {
        let handed = handed_on(&shared, arriving, first, &mut *sink);
        shared.stop();
        handed
    });
    handed.unwrap_or_else(|| alone(plan, chunks.clone(), orders, &tell, sink))
}

/// Hands chunks on in their order as they arrive in any.
fn handed_on<T, E>(
    shared: &Shared,
    arriving: mpsc::Receiver<(usize, Option<T>)>,
    first: usize,
    sink: &mut dyn FnMut(T) -> Result<(), E>,
) -> Result<usize, E> {
    let mut waiting: BTreeMap<usize, T> = BTreeMap::new();
    let mut next = first;
    for (chunk, told) in arriving {
        if let Some(told) = told {
            waiting.insert(chunk, told);
        }
        while let Some(told) = waiting.remove(&next) {
            sink(told)?;
            next += 1;
            shared.advance(next);
        }
    }
    Ok(next - first)
}

/// The same on this thread alone, where no other can be had.
fn alone<T, E>(
    plan: &Plan,
    chunks: Range<usize>,
    orders: &Orders,
    tell: impl Fn(Vec<Row>) -> T,
    sink: &mut dyn FnMut(T) -> Result<(), E>,
) -> Result<usize, E> {
    let mut handed = 0;
    for chunk in chunks {
        let Some(rows) = solved(plan, chunk, orders) else {
            break;
        };
        sink(tell(rows))?;
        handed += 1;
    }
    Ok(handed)
}

/// What the threads share.
struct Shared {
    next: AtomicUsize,
    handed: Mutex<usize>,
    moved: Condvar,
    stopped: AtomicBool,
    window: usize,
}

impl Shared {
    /// The next chunk, once it is near enough to those handed on; `None` where there is none.
    fn claim(&self, end: usize) -> Option<usize> {
        let chunk = self.next.fetch_add(1, Ordering::Relaxed);
        if chunk >= end {
            return None;
        }
        let mut handed = self.handed.lock().unwrap_or_else(PoisonError::into_inner);
        while chunk >= *handed + self.window {
            if self.stopped.load(Ordering::Relaxed) {
                return None;
            }
            handed = self
                .moved
                .wait(handed)
                .unwrap_or_else(PoisonError::into_inner);
        }
        (!self.stopped.load(Ordering::Relaxed)).then_some(chunk)
    }

    fn advance(&self, to: usize) {
        *self.handed.lock().unwrap_or_else(PoisonError::into_inner) = to;
        self.moved.notify_all();
    }

    fn stop(&self) {
        let handed = self.handed.lock().unwrap_or_else(PoisonError::into_inner);
        self.stopped.store(true, Ordering::Relaxed);
        drop(handed);
        self.moved.notify_all();
    }
}

/// Wakes the others where a thread ends by a bug, so that nobody waits for its chunk.
struct Guard<'a>(&'a Shared);

impl Drop for Guard<'_> {
    fn drop(&mut self) {
        if std::thread::panicking() {
            self.0.stop();
        }
    }
}

/// The rows of a chunk; `None` where the orders ended before it was whole.
fn solved(plan: &Plan, chunk: usize, orders: &Orders) -> Option<Vec<Row>> {
    let budget = orders.each();
    let mut problem = plan.problem().clone();
    let mut trail = Trail::new(orders.reasons);
    plan.chunk(chunk)
        .map(|point| {
            if orders.ended() {
                return None;
            }
            let at = plan.at(point);
            plan.set(&mut problem, &at);
            let spot = spot::spot(&problem, &mut trail, &budget);
            Some(Row::new(plan, point, at, &problem, spot))
        })
        .collect()
}

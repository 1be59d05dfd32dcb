//! Work on several threads, where there are any to be had. What comes of it does not depend on them.

use std::num::NonZero;
use std::panic::resume_unwind;
use std::thread;

/// More threads than these wait for memory.
const MOST_THREADS: usize = 8;

/// How many threads have something to run on.
pub(super) fn threads() -> usize {
    thread::available_parallelism().map_or(1, NonZero::get).min(MOST_THREADS)
}

/// What `work` makes of each item, in their order; each item but the first on a thread of its own.
pub(super) fn each<T: Sync, R: Send>(items: &[T], work: impl Fn(&T) -> R + Sync) -> Vec<R> {
    let Some((first, rest)) = items.split_first() else { return Vec::new() };
    let work = &work;
    thread::scope(|scope| {
        let start = |item| {
            let started = thread::Builder::new().spawn_scoped(scope, move || work(item));
            started.map_err(|_| item)
        };
        let rest: Vec<_> = rest.iter().map(start).collect();
        let first = work(first);
        let rest = rest.into_iter().map(|started| match started {
            Ok(thread) => thread.join().unwrap_or_else(|panic| resume_unwind(panic)),
            Err(item) => work(item),
        });
        std::iter::once(first).chain(rest).collect()
    })
}

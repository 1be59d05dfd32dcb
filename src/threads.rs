//! Work on several threads, where there are any to be had. What comes of it does not depend on them.

use std::num::NonZero;
use std::panic::resume_unwind;
use std::sync::{Arc, Mutex, PoisonError};
use std::thread::{self, JoinHandle};

/// More threads than these wait for memory.
const MOST_THREADS: usize = 8;

/// How many threads have something to run on.
#[must_use]
pub fn threads() -> usize {
    thread::available_parallelism().map_or(1, NonZero::get).min(MOST_THREADS)
}

/// What `work` makes of each item, in their order; each item but the first on a thread of its own.
pub fn each<T: Sync, R: Send>(items: &[T], work: impl Fn(&T) -> R + Sync) -> Vec<R> {
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

/// Work that two threads share: each call takes of what is left until nothing is.
type Shared<R> = dyn Fn() -> R + Send + Sync;

/// Shared work that a second thread began with.
pub struct Begun<R> {
    work: Arc<Shared<R>>,
    thread: Option<JoinHandle<R>>,
}

/// Lets a second thread begin with `work`, which takes of what is left until nothing is.
pub fn begin<R: Send + 'static>(work: impl Fn() -> R + Send + Sync + 'static) -> Begun<R> {
    let work: Arc<Shared<R>> = Arc::new(work);
    let theirs = Arc::clone(&work);
    Begun { work, thread: thread::Builder::new().spawn(move || theirs()).ok() }
}

impl<R> Begun<R> {
    /// Takes a hand in what is left, and tells what came of it on either thread.
    pub fn finish(self) -> impl Iterator<Item = R> {
        let mine = (self.work)();
        let join =
            |thread: JoinHandle<R>| thread.join().unwrap_or_else(|panic| resume_unwind(panic));
        [mine].into_iter().chain(self.thread.map(join))
    }
}

/// Does two things that do not know of each other: `other` on this thread, and `one` on a second.
pub fn side_by_side<A: Send, B>(
    one: impl FnOnce() -> A + Send,
    other: impl FnOnce() -> B,
) -> (A, B) {
    // It waits here for whoever does it: where no thread can be had, that is this one.
    let waiting = Mutex::new(Some(one));
    let do_one = || {
        let one = waiting.lock().unwrap_or_else(PoisonError::into_inner).take();
        one.map(|one| one())
    };
    thread::scope(|scope| {
        let started = thread::Builder::new().spawn_scoped(scope, do_one);
        let other = other();
        let one = match started {
            Ok(thread) => thread.join().unwrap_or_else(|panic| resume_unwind(panic)),
            Err(_) => do_one(),
        };
        (one.expect("one of the two threads did it"), other)
    })
}

#[cfg(test)]
mod tests {
    use std::sync::atomic::{AtomicUsize, Ordering};

    use super::*;

    #[test]
    fn of_shared_work_each_piece_is_done_once() {
        let next = AtomicUsize::new(0);
        let piece = move || Some(next.fetch_add(1, Ordering::Relaxed)).filter(|piece| *piece < 100);
        let begun = begin(move || std::iter::from_fn(&piece).collect::<Vec<_>>());
        let mut done: Vec<usize> = begun.finish().flatten().collect();
        done.sort_unstable();
        assert!(done.into_iter().eq(0..100));
    }
}

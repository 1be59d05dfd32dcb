//! Work on several threads, where there are any to be had. What comes of it does not depend on them.

use std::mem::take;
use std::num::NonZero;
use std::panic::resume_unwind;
use std::sync::mpsc::{Receiver, sync_channel};
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

/// What `work` makes of both halves of a list at the same time, in the order of the list.
pub fn in_halves<T: Sync, R: Send>(items: &[T], work: impl Fn(&[T]) -> Vec<R> + Sync) -> Vec<R> {
    let (some, others) = items.split_at(items.len() / 2);
    each(&[some, others], |half| work(half)).into_iter().flatten().collect()
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

/// Does `work` on another thread, whose handle knows what came of it; `None` where none can be had, and
/// nothing was done.
pub fn aside<T: Send + 'static>(
    work: impl FnOnce() -> T + Send + 'static,
) -> Option<JoinHandle<T>> {
    thread::Builder::new().spawn(work).ok()
}

/// Things that are handed over at once: to wake whoever waits costs as much as a small thing.
const HANDED_OVER_AT_ONCE: usize = 8;

/// What another thread makes before it is asked for, in the order in which it is made.
#[derive(Debug)]
pub struct Ahead<T> {
    made: Option<Receiver<Vec<T>>>,
    taken: std::vec::IntoIter<T>,
    maker: Option<JoinHandle<()>>,
}

/// Lets another thread `make` things, at most `most` of them ahead of whoever takes them. It hands each
/// over, and is told whether anybody wants more. `None` where no thread can be had, or has nothing to
/// run on.
pub fn ahead<T: Send + 'static>(
    most: usize,
    make: impl FnOnce(&mut dyn FnMut(T) -> bool) + Send + 'static,
) -> Option<Ahead<T>> {
    if threads() < 2 {
        return None;
    }
    let (hand_over, made) = sync_channel(most / HANDED_OVER_AT_ONCE);
    let work = move || {
        let mut things = Vec::new();
        make(&mut |thing| {
            things.push(thing);
            things.len() < HANDED_OVER_AT_ONCE || hand_over.send(take(&mut things)).is_ok()
        });
        // Where nobody takes them any more, nobody misses them.
        hand_over.send(things).ok();
    };
    let maker = thread::Builder::new().spawn(work).ok()?;
    Some(Ahead { made: Some(made), taken: Vec::new().into_iter(), maker: Some(maker) })
}

impl<T> Iterator for Ahead<T> {
    type Item = T;

    /// The next thing, waited for where it is not made yet; `None` where no more is made.
    fn next(&mut self) -> Option<T> {
        if let Some(thing) = self.taken.next() {
            return Some(thing);
        }
        self.taken = self.made.as_ref()?.recv().ok()?.into_iter();
        self.taken.next()
    }
}

impl<T> Drop for Ahead<T> {
    fn drop(&mut self) {
        // Nobody takes any more, which ends the maker.
        self.made = None;
        let ended = self.maker.take().map(JoinHandle::join);
        if let Some(Err(panic)) = ended
            && !thread::panicking()
        {
            resume_unwind(panic);
        }
    }
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

    /// A maker of all numbers, and how many of them it has made.
    fn numbers(most: usize) -> (Option<Ahead<usize>>, Arc<AtomicUsize>) {
        let made = Arc::new(AtomicUsize::new(0));
        let count = Arc::clone(&made);
        let numbers = ahead(most, move |hand_over| {
            let next = || count.fetch_add(1, Ordering::SeqCst);
            while hand_over(next()) {}
        });
        (numbers, made)
    }

    #[test]
    fn what_is_made_ahead_comes_in_order_and_ends_when_nobody_wants_more() {
        let (Some(numbers), made) = numbers(16) else { return };
        let mut numbers = numbers;
        assert_eq!(numbers.by_ref().take(100).collect::<Vec<_>>(), (0..100).collect::<Vec<_>>());
        // Those that wait, those that are handed over and taken, and those that nobody takes.
        let bound = 100..=100 + 16 + 3 * HANDED_OVER_AT_ONCE;
        let made_by_now = made.load(Ordering::SeqCst);
        assert!(bound.contains(&made_by_now), "{made_by_now}");
        drop(numbers);
        let made_at_last = made.load(Ordering::SeqCst);
        assert!(bound.contains(&made_at_last), "{made_at_last}");
    }

    #[test]
    fn a_maker_that_ends_is_the_end() {
        let three = ahead(1, |hand_over: &mut dyn FnMut(u8) -> bool| {
            for number in 0..3 {
                assert!(hand_over(number));
            }
        });
        if let Some(three) = three {
            assert_eq!(three.collect::<Vec<_>>(), [0, 1, 2]);
        }
    }
}

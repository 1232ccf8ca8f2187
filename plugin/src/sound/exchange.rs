//! How a thing gets from where states are loaded to where sound is made, which must neither wait nor free memory.
//!
//! Two boxes change hands through one slot: the loader puts a new one there and drops what it finds; the audio thread takes it
//! and leaves the one that it had.

use std::sync::atomic::{AtomicU64, Ordering};

use crossbeam_utils::atomic::AtomicCell;

/// A thing with its place in the order of all that have been put, from 1 on.
#[derive(Debug)]
pub(crate) struct Numbered<T> {
    number: u64,
    pub value: T,
}

/// The end of one who must wait until other things fit: the one that counts, and one from before or from after it.
pub(crate) struct Taken<T> {
    current: Option<Box<Numbered<T>>>,
    other: Option<Box<Numbered<T>>>,
}

impl<T> Default for Taken<T> {
    fn default() -> Self {
        Self { current: None, other: None }
    }
}

impl<T> Taken<T> {
    /// The one that counts; nothing before the first.
    pub fn current(&self) -> Option<&T> {
        self.current.as_ref().map(|held| &held.value)
    }

    /// Its number; zero before the first.
    pub fn number(&self) -> u64 {
        number(&self.current)
    }

    /// Lets the one of this number count, after [`Exchange::fetch`] has found it; true if it did not before.
    pub fn advance(&mut self, to: u64) -> bool {
        let is_new = self.number() != to;
        if is_new {
            std::mem::swap(&mut self.current, &mut self.other);
        }
        is_new
    }
}

fn number<T>(held: &Option<Box<Numbered<T>>>) -> u64 {
    held.as_ref().map_or(0, |held| held.number)
}

/// Hands the newest of many from one thread to another.
pub(crate) struct Exchange<T> {
    /// The newest, or one that is not used any more.
    slot: AtomicCell<Option<Box<Numbered<T>>>>,
    /// The number of the newest.
    newest: AtomicU64,
}

impl<T> Exchange<T> {
    pub fn new(value: T) -> Self {
        Self {
            slot: AtomicCell::new(Some(Box::new(Numbered { number: 1, value }))),
            newest: AtomicU64::new(1),
        }
    }

    /// Puts a new one, which drops the one before if that has not been taken, or else the one before that. For one thread at a
    /// time.
    pub fn put(&self, value: T) {
        let number = self.newest.load(Ordering::Relaxed) + 1;
        drop(self.slot.swap(Some(Box::new(Numbered { number, value }))));
        self.newest.store(number, Ordering::Release);
    }

    /// The number of the newest, from 1 on.
    pub fn number(&self) -> u64 {
        self.newest.load(Ordering::Acquire)
    }

    /// Puts the newest in the place of `mine` (at first nothing), if it is another one; true if so. For one thread at a time,
    /// also beside [`Exchange::put`]. Wait-free; nothing is allocated or freed.
    pub fn take(&self, mine: &mut Option<Box<Numbered<T>>>) -> bool {
        let before = number(mine);
        // The number is stored after the slot, so if it is another one, the slot has had something newer than `mine`, or `mine` is
        // so new that its own number is yet to be stored.
        if self.newest.load(Ordering::Acquire) == before {
            return false;
        }
        *mine = self.slot.swap(mine.take());
        // In that last case it was the one that had been left there.
        if number(mine) < before {
            *mine = self.slot.swap(mine.take());
        }
        number(mine) != before
    }

    /// Whether the one of this number, from 1 on, is at hand: it may be gone already, and a newer one here. Like [`Exchange::take`].
    pub fn fetch(&self, wanted: u64, taken: &mut Taken<T>) -> bool {
        if number(&taken.current) != wanted && number(&taken.other) != wanted {
            self.take(&mut taken.other);
        }
        number(&taken.current) == wanted || number(&taken.other) == wanted
    }
}

#[cfg(test)]
mod tests {
    use std::sync::Arc;
    use std::sync::atomic::AtomicBool;
    use std::thread;

    use nice_assert_no_alloc::assert_no_alloc;

    use super::*;

    /// Knows on which thread it is dropped, and counts how many there are.
    struct Counted {
        order: u64,
        alive: Arc<AtomicU64>,
        owner: thread::ThreadId,
    }

    impl Counted {
        fn new(order: u64, alive: &Arc<AtomicU64>) -> Self {
            alive.fetch_add(1, Ordering::SeqCst);
            Self { order, alive: alive.clone(), owner: thread::current().id() }
        }
    }

    impl Drop for Counted {
        fn drop(&mut self) {
            assert_eq!(thread::current().id(), self.owner, "dropped by the audio thread");
            self.alive.fetch_sub(1, Ordering::SeqCst);
        }
    }

    #[test]
    fn boxes_change_hands_without_a_lock() {
        assert!(AtomicCell::<Option<Box<Numbered<Counted>>>>::is_lock_free());
    }

    #[test]
    fn the_newest_wins_and_the_others_are_dropped() {
        let alive = Arc::new(AtomicU64::new(0));
        let exchange = Exchange::new(Counted::new(1, &alive));
        let mut mine = None;
        assert!(exchange.take(&mut mine) && !exchange.take(&mut mine));
        for order in 2..=5 {
            exchange.put(Counted::new(order, &alive));
            // Held, and in the slot.
            assert_eq!(alive.load(Ordering::SeqCst), 2);
        }
        assert!(exchange.take(&mut mine) && !exchange.take(&mut mine));
        assert_eq!(mine.as_ref().map(|mine| mine.value.order), Some(5));
        drop((exchange, mine));
        assert_eq!(alive.load(Ordering::SeqCst), 0);
    }

    /// As fast as both can: what is taken is ever newer, in the end the newest, and only the loader frees.
    #[test]
    fn threads_do_not_disturb_each_other() {
        let alive = Arc::new(AtomicU64::new(0));
        let exchange = Exchange::new(Counted::new(1, &alive));
        let (taken, done) = (AtomicU64::new(0), AtomicBool::new(false));
        let mut last = 1;
        let (mut mine, in_order) = thread::scope(|scope| {
            let audio = scope.spawn(|| {
                let (mut mine, mut last, mut in_order) = (None, 0, true);
                while !done.load(Ordering::SeqCst) {
                    let is_new = assert_no_alloc(|| exchange.take(&mut mine));
                    let order = mine.as_ref().map_or(0, |mine| mine.value.order);
                    in_order &= if is_new { order > last } else { order == last };
                    last = order;
                    taken.fetch_add(u64::from(is_new), Ordering::SeqCst);
                }
                (mine, in_order)
            });
            while taken.load(Ordering::SeqCst) < 500 {
                last += 1;
                exchange.put(Counted::new(last, &alive));
                if last.is_multiple_of(8) {
                    thread::yield_now();
                }
            }
            done.store(true, Ordering::SeqCst);
            audio.join().unwrap()
        });
        assert!(in_order);
        exchange.take(&mut mine);
        assert_eq!(mine.as_ref().map(|mine| mine.value.order), Some(last));
        assert!(alive.load(Ordering::SeqCst) <= 2);
        drop((exchange, mine));
        assert_eq!(alive.load(Ordering::SeqCst), 0);
    }
}

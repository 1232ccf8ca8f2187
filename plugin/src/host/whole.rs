//! What belongs together is written, saved and heard as one thing: the parameters, the circuit, the music and the view of one edit or of
//! one state.

use std::sync::atomic::{AtomicU64, Ordering, fence};
use std::sync::{Mutex, MutexGuard, PoisonError};

/// Keeps writers and savers, who may wait, from each other, and lets the audio thread, which may not, see whether it met one.
#[derive(Default)]
pub(crate) struct Whole {
    lock: Mutex<()>,
    version: Version,
}

impl Whole {
    /// Writes, while nobody else writes or saves. Not for the audio thread: it may wait.
    pub fn write<R>(&self, write: impl FnOnce() -> R) -> R {
        let _alone = self.lock();
        self.version.write(write)
    }

    /// Reads what nobody writes meanwhile, or writes what no block looks at. Not for the audio thread: it may wait.
    pub fn read<R>(&self, read: impl FnOnce() -> R) -> R {
        let _alone = self.lock();
        read()
    }

    /// Reads; nothing if anything was written meanwhile. Wait-free.
    pub fn look<R>(&self, read: impl FnOnce() -> R) -> Option<R> {
        self.version.look(read)
    }

    fn lock(&self) -> MutexGuard<'_, ()> {
        self.lock.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

/// Odd while something is written.
#[derive(Default)]
pub(super) struct Version(AtomicU64);

impl Version {
    /// For one thread at a time. Wait-free.
    pub fn write<R>(&self, write: impl FnOnce() -> R) -> R {
        let version = self.0.load(Ordering::Relaxed);
        self.0.store(version.wrapping_add(1), Ordering::Relaxed);
        // Whoever reads anything of what follows reads the odd version afterwards.
        fence(Ordering::Release);
        let _written = Written(&self.0, version.wrapping_add(2));
        write()
    }

    /// Reads; nothing if anything was written meanwhile. Wait-free.
    pub fn look<R>(&self, read: impl FnOnce() -> R) -> Option<R> {
        let before = self.0.load(Ordering::Acquire);
        if !before.is_multiple_of(2) {
            return None;
        }
        let seen = read();
        fence(Ordering::Acquire);
        (self.0.load(Ordering::Relaxed) == before).then_some(seen)
    }
}

/// Ends the writing, also where that panics: sound would not follow any more.
struct Written<'a>(&'a AtomicU64, u64);

impl Drop for Written<'_> {
    fn drop(&mut self) {
        self.0.store(self.1, Ordering::Release);
    }
}

#[cfg(test)]
mod tests {
    use std::panic::{AssertUnwindSafe, catch_unwind};

    use super::*;

    #[test]
    fn nothing_is_seen_of_what_is_being_written() {
        let whole = Whole::default();
        assert_eq!(whole.look(|| 1), Some(1));
        whole.write(|| assert_eq!(whole.look(|| 1), None));
        assert_eq!(whole.look(|| whole.write(|| 1)), None);
        assert_eq!((whole.look(|| 1), whole.read(|| 2)), (Some(1), 2));
    }

    #[test]
    fn a_writer_that_panics_stops_nobody() {
        let whole = Whole::default();
        let panics = || whole.write(|| panic!("on purpose"));
        assert!(catch_unwind(AssertUnwindSafe(panics)).is_err());
        assert_eq!((whole.look(|| 1), whole.read(|| 2), whole.write(|| 3)), (Some(1), 2, 3));
    }
}

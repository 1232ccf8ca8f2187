//! What a VST3 host gives back of an editor's edits.

use std::sync::atomic::{AtomicU32, AtomicU64, Ordering};
use std::time::{Duration, Instant};

/// So many edits of one parameter may be on their way.
const MOST: u32 = 32;
/// What comes later than this was not an answer.
const PATIENCE: Duration = Duration::from_millis(350);
/// Closer than this is the same normalized value.
pub const SAME: f32 = 1e-6;

/// The values of one parameter that the host has been told and has not given to the processor yet.
///
/// A plugin with a `WholeState` has set them already, and may have something newer by the time that
/// they come back. Told by the host's UI thread, heard by the audio thread; neither ever waits.
#[derive(Default)]
pub struct Echo {
    values: [AtomicU32; MOST as usize],
    told: AtomicU32,
    heard: AtomicU32,
    /// In nanoseconds from the beginning.
    last: AtomicU64,
}

impl Echo {
    /// The host is about to be told of a value.
    pub fn tell(&self, normalized: f32, beginning: Instant) {
        let told = self.told.load(Ordering::Relaxed);
        self.values[(told % MOST) as usize].store(normalized.to_bits(), Ordering::Relaxed);
        self.last.store(nanos(beginning.elapsed()), Ordering::Relaxed);
        self.told.store(told.wrapping_add(1), Ordering::Release);
    }

    /// Whether a value that comes from the host is one that it was told. Those before it then do not
    /// come any more.
    pub fn is_own(&self, normalized: f32, beginning: Instant) -> bool {
        let (told, heard) = (self.told.load(Ordering::Acquire), self.heard.load(Ordering::Relaxed));
        let pending = told.wrapping_sub(heard).min(MOST);
        if pending == 0 {
            return false;
        }
        let last = self.last.load(Ordering::Relaxed);
        let is_late = nanos(beginning.elapsed()).saturating_sub(last) > nanos(PATIENCE);
        let found = (0..pending).map(|back| told.wrapping_sub(pending - back)).find(|index| {
            let value = f32::from_bits(self.values[(index % MOST) as usize].load(Ordering::Relaxed));
            !is_late && (value - normalized).abs() < SAME
        });
        self.heard.store(found.map_or(if is_late { told } else { heard }, |index| index.wrapping_add(1)), Ordering::Relaxed);
        found.is_some()
    }
}

fn nanos(duration: Duration) -> u64 {
    u64::try_from(duration.as_nanos()).unwrap_or(u64::MAX)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_was_told_comes_back_once_and_in_order() {
        let (echo, now) = (Echo::default(), Instant::now());
        assert!(!echo.is_own(0.5, now));
        for value in [0.1, 0.2, 0.3] {
            echo.tell(value, now);
        }
        assert!(!echo.is_own(0.5, now), "the host's own");
        // Some hosts leave out what has become old.
        assert!(echo.is_own(0.2, now));
        assert!(!echo.is_own(0.1, now) && !echo.is_own(0.2, now));
        assert!(echo.is_own(0.3, now) && !echo.is_own(0.3, now));
        // More than there is room for: the newest count.
        (0..100u8).for_each(|value| echo.tell(f32::from(value) / 100.0, now));
        assert!(!echo.is_own(0.5, now) && echo.is_own(0.99, now));
    }

    #[test]
    fn nothing_is_waited_for_longer_than_an_answer_takes() {
        let (echo, now) = (Echo::default(), Instant::now());
        echo.tell(0.5, now);
        assert!(!echo.is_own(0.5, now - 2 * PATIENCE));
        assert!(!echo.is_own(0.5, now), "nor afterwards");
    }
}

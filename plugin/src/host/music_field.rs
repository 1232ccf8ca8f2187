//! What is known of the music, as a state keeps it; and its way from where sound is made to where states are saved, without a lock.

use std::sync::atomic::{AtomicI16, AtomicU64, AtomicUsize, Ordering};
use std::sync::{Mutex, PoisonError};

use arrayvec::ArrayVec;
use dsp_core::loudness::Spectrum;
use nice_plug::params::persist::PersistentField;
use serde::{Deserialize, Serialize};

use crate::host::whole::Version;
use crate::sound::exchange::{Exchange, Taken};
use crate::sound::music::Music;
use crate::sound::snapshot::MAX_TRACKS;

/// More than is ever learned.
const MOST_SECONDS: f64 = 1e4;

/// What is known, in a state.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
pub(crate) struct Kept {
    /// Of music.
    seconds: f64,
    /// Levels of each track in tenths of a decibel, a twelfth of an octave apart from 20 Hz on.
    tracks: Vec<Vec<i16>>,
}

impl Kept {
    fn of(music: &Music) -> Self {
        if !music.is_learned() {
            return Self::default();
        }
        let tracks = music.tracks.iter().map(|spectrum| spectrum.levels().to_vec());
        Self { seconds: music.seconds, tracks: tracks.collect() }
    }

    /// What it says; nothing if it is damaged.
    fn music(&self) -> Music {
        let read = |levels: &Vec<i16>| Some(Spectrum::from_levels(levels.as_slice().try_into().ok()?));
        let tracks: Option<ArrayVec<_, MAX_TRACKS>> = match self.tracks.len() {
            1..=MAX_TRACKS => self.tracks.iter().map(read).collect(),
            _ => None,
        };
        match tracks {
            Some(tracks) if (0.0..=MOST_SECONDS).contains(&self.seconds) => {
                Music { seconds: self.seconds, tracks }
            }
            _ => Music::unknown(),
        }
    }

    /// The same as far as it can be used, else nothing.
    pub fn repaired(self) -> Self {
        Self::of(&self.music())
    }
}

/// The state's `music` field: what was loaded, until sound has taught something since.
pub(crate) struct MusicField {
    /// To the audio thread.
    pub exchange: Exchange<Music>,
    /// What was put there last. Only for threads that may wait.
    loaded: Mutex<Music>,
    learned: Published,
}

impl Default for MusicField {
    fn default() -> Self {
        Self {
            exchange: Exchange::new(Music::unknown()),
            loaded: Mutex::new(Music::unknown()),
            learned: Published::default(),
        }
    }
}

impl MusicField {
    /// Tells what has been learned since `taken`. Wait-free; nothing is allocated. For the audio thread alone.
    pub fn publish(&self, music: &Music, taken: &Taken<Music>) {
        self.learned.set(music, taken.number());
    }

    /// What is known now. Not for the audio thread: it may wait.
    pub fn now(&self) -> Music {
        let loaded = self.loaded.lock().unwrap_or_else(PoisonError::into_inner);
        let (music, since) = self.learned.get();
        if since == self.exchange.number() { music } else { loaded.clone() }
    }

    /// Puts in what is known. Not for the audio thread.
    pub fn put(&self, music: Music) {
        // One loader at a time.
        let mut loaded = self.loaded.lock().unwrap_or_else(PoisonError::into_inner);
        self.exchange.put(music.clone());
        *loaded = music;
    }
}

impl PersistentField<'_, Kept> for MusicField {
    fn set(&self, kept: Kept) {
        self.put(kept.music());
    }

    fn map<F, R>(&self, f: F) -> R
    where
        F: Fn(&Kept) -> R,
    {
        f(&Kept::of(&self.now()))
    }
}

/// One music that one thread writes and others read. A reader that meets the writer reads again.
struct Published {
    version: Version,
    /// The number of what was loaded before it was learned; zero for nothing yet.
    since: AtomicU64,
    seconds: AtomicU64,
    tracks: AtomicUsize,
    levels: [[AtomicI16; Spectrum::BANDS]; MAX_TRACKS],
}

impl Default for Published {
    fn default() -> Self {
        Self {
            version: Version::default(),
            since: AtomicU64::new(0),
            seconds: AtomicU64::new(0),
            tracks: AtomicUsize::new(0),
            levels: std::array::from_fn(|_| std::array::from_fn(|_| AtomicI16::new(0))),
        }
    }
}

impl Published {
    fn set(&self, music: &Music, since: u64) {
        self.version.write(|| {
            self.since.store(since, Ordering::Relaxed);
            self.seconds.store(music.seconds.to_bits(), Ordering::Relaxed);
            self.tracks.store(music.tracks.len(), Ordering::Relaxed);
            for (levels, spectrum) in self.levels.iter().zip(&music.tracks) {
                let write = |(to, level): (&AtomicI16, i16)| to.store(level, Ordering::Relaxed);
                levels.iter().zip(spectrum.levels()).for_each(write);
            }
        });
    }

    /// The music and what it was learned since.
    fn get(&self) -> (Music, u64) {
        let read = |levels: &[AtomicI16; Spectrum::BANDS]| {
            Spectrum::from_levels(&std::array::from_fn(|band| levels[band].load(Ordering::Relaxed)))
        };
        let read = || {
            let tracks = self.tracks.load(Ordering::Relaxed);
            let music = Music {
                seconds: f64::from_bits(self.seconds.load(Ordering::Relaxed)),
                tracks: self.levels.iter().take(tracks).map(read).collect(),
            };
            (music, self.since.load(Ordering::Relaxed))
        };
        loop {
            if let Some(seen) = self.version.look(read) {
                return seen;
            }
            std::hint::spin_loop();
        }
    }
}

#[cfg(test)]
mod tests {
    use std::sync::atomic::AtomicBool;
    use std::thread;

    use nice_assert_no_alloc::assert_no_alloc;

    use super::*;

    /// All levels alike.
    fn music(level: i16) -> Music {
        Music::learned(&[Spectrum::from_levels(&[level; Spectrum::BANDS]); 2], f64::from(level) + 1.0)
    }

    fn take(field: &MusicField, taken: &mut Taken<Music>) -> bool {
        let number = field.exchange.number();
        assert!(field.exchange.fetch(number, taken));
        taken.advance(number)
    }

    #[test]
    fn what_was_loaded_last_or_learned_since_is_known() {
        let field = MusicField::default();
        let mut taken = Taken::default();
        assert_eq!(field.now(), Music::unknown());
        assert!(take(&field, &mut taken) && !take(&field, &mut taken));
        field.publish(&music(1), &taken);
        assert_eq!(field.now(), music(1));
        field.put(music(2));
        assert_eq!(field.now(), music(2));
        // Learned from what was there before: it is not known any more.
        field.publish(&music(3), &taken);
        assert_eq!(field.now(), music(2));
        assert!(take(&field, &mut taken));
        assert_eq!(taken.current(), Some(&music(2)));
        field.publish(&music(4), &taken);
        assert_eq!(field.now(), music(4));
    }

    /// As fast as both can: what is read is whole.
    #[test]
    fn threads_do_not_disturb_each_other() {
        let (field, done) = (MusicField::default(), AtomicBool::new(false));
        let mut taken = Taken::default();
        take(&field, &mut taken);
        thread::scope(|scope| {
            scope.spawn(|| {
                let all: Vec<Music> = (0..200).map(music).collect();
                for music in all.iter().cycle().take(20_000) {
                    assert_no_alloc(|| field.publish(music, &taken));
                }
                done.store(true, Ordering::SeqCst);
            });
            while !done.load(Ordering::SeqCst) {
                let now = field.now();
                if now.is_learned() {
                    #[expect(clippy::cast_possible_truncation, reason = "a small whole number")]
                    let level = now.seconds as i16 - 1;
                    assert_eq!(now, music(level));
                }
            }
        });
    }
}

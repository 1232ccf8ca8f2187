//! What the audio thread tells an open window: sound and figures. It neither waits nor allocates, and does nothing while no window
//! is open.
//!
//! Sound goes through rings that are made at activation, in two directions that do not meet: a frame that finds no room is dropped and counted.
//! Figures are single numbers, each of which replaces the one before.

mod number;
mod stream;

use std::array;
use std::sync::atomic::{AtomicBool, AtomicU64, AtomicUsize, Ordering};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

use dsp_core::processor::{GuardCause, GuardStatus};
use rtrb::{Consumer, Producer, RingBuffer};

use crate::sound::MAX_CHANNELS;
use crate::sound::SETUPS;

use number::Number;
pub use stream::{Piece, Stream};

/// What the rings hold: a window that draws four times a second misses nothing.
const RING_SECONDS: f64 = 0.25;
/// One setup's matching gain is told this often, so that none of the six waits longer than six times this.
const TELL_SECONDS: f64 = 0.01;

/// A sample of each channel; of one channel the first.
pub type Frame = [f32; MAX_CHANNELS];

/// What both sides share.
#[derive(Debug)]
pub struct Telemetry {
    open: AtomicBool,
    /// Whether anybody takes the long stream.
    streams: AtomicBool,
    rate_hz: Number,
    channels: AtomicUsize,
    matching_db: [Number; SETUPS],
    learned_seconds: Number,
    held: AtomicBool,
    guard_closed: AtomicBool,
    guard_closures: AtomicU64,
    /// Its place in [`CAUSES`], from 1 on.
    guard_cause: AtomicUsize,
    refused: AtomicBool,
    dropped_frames: AtomicU64,
    /// Locked where a run begins and where the window draws, never by the audio thread.
    feed: Mutex<Option<Feed>>,
    /// Likewise, by a window's thread that listens for noise.
    long: Mutex<Option<Stream>>,
}

/// What the guard closes for, in the order in which it is told.
const CAUSES: [GuardCause; 3] = [GuardCause::NotFinite, GuardCause::Runaway, GuardCause::Unexplained];

/// The ends of the rings from which a window hears.
#[derive(Debug)]
pub struct Feed {
    /// Which of all runs this is, from 1 on.
    pub number: u64,
    /// In Hz.
    pub rate_hz: f64,
    /// Channels of a frame.
    pub channels: usize,
    /// What goes in.
    pub input: Consumer<Frame>,
    /// What comes out.
    pub output: Consumer<Frame>,
}

impl Default for Telemetry {
    fn default() -> Self {
        Self {
            open: AtomicBool::new(false),
            streams: AtomicBool::new(false),
            rate_hz: Number::new(0.0),
            channels: AtomicUsize::new(0),
            matching_db: array::from_fn(|_| Number::new(f64::NAN)),
            learned_seconds: Number::new(0.0),
            held: AtomicBool::new(false),
            guard_closed: AtomicBool::new(false),
            guard_closures: AtomicU64::new(0),
            guard_cause: AtomicUsize::new(0),
            refused: AtomicBool::new(false),
            dropped_frames: AtomicU64::new(0),
            feed: Mutex::new(None),
            long: Mutex::new(None),
        }
    }
}

impl Telemetry {
    /// Begins a run at `rate_hz` (more than zero) of `channels` channels: the side that tells. Allocates, so not for the audio
    /// thread.
    pub fn activate(self: &Arc<Self>, rate_hz: f64, channels: usize) -> Teller {
        let capacity = whole(RING_SECONDS * rate_hz);
        let (to_input, input) = RingBuffer::new(capacity);
        let (to_output, output) = RingBuffer::new(capacity);
        let mut feed = self.feed();
        let number = feed.as_ref().map_or(0, |feed| feed.number) + 1;
        let channels = channels.min(MAX_CHANNELS);
        *feed = Some(Feed { number, rate_hz, channels, input, output });
        drop(feed);
        let (long, stream) = stream::stream(number, rate_hz, channels);
        *self.long() = Some(stream);
        self.rate_hz.set(rate_hz);
        self.channels.store(channels, Ordering::Relaxed);
        self.matching_db.iter().for_each(|db| db.set(f64::NAN));
        self.guard(GuardStatus::default());
        Teller {
            shared: self.clone(),
            input: to_input,
            output: to_output,
            long,
            every_frames: whole(TELL_SECONDS * rate_hz),
            frames_left: 0,
            next_setup: 0,
        }
    }

    /// Says whether a window is open.
    pub fn set_open(&self, open: bool) {
        self.open.store(open, Ordering::Relaxed);
    }

    /// Whether a window is open.
    pub fn is_open(&self) -> bool {
        self.open.load(Ordering::Relaxed)
    }

    /// Says whether anybody takes what comes in for minutes, while a window is open.
    pub fn set_streaming(&self, streams: bool) {
        self.streams.store(streams, Ordering::Relaxed);
    }

    /// The sample rate in Hz; zero before the first run.
    pub fn rate_hz(&self) -> f64 {
        self.rate_hz.get()
    }

    /// Channels of the run; zero before the first one.
    pub fn channels(&self) -> usize {
        self.channels.load(Ordering::Relaxed)
    }

    /// Gain in dB that brings each setup to the loudness of the take, as far as it has been told in this run.
    pub fn matching_db(&self) -> [Option<f64>; SETUPS] {
        array::from_fn(|setup| Some(self.matching_db[setup].get()).filter(|db| db.is_finite()))
    }

    /// Of how many seconds of music these gains are; of none while they are a guess.
    pub fn learned_seconds(&self) -> f64 {
        self.learned_seconds.get()
    }

    /// Whether they rest, because the person or an export asks for it.
    pub fn is_held(&self) -> bool {
        self.held.load(Ordering::Relaxed)
    }

    /// How the guard is; not when it first closed.
    pub fn guard_status(&self) -> GuardStatus {
        let cause = self.guard_cause.load(Ordering::Relaxed);
        GuardStatus {
            active: self.guard_closed.load(Ordering::Relaxed),
            closures: self.guard_closures.load(Ordering::Relaxed),
            first_frame: None,
            cause: cause.checked_sub(1).and_then(|index| CAUSES.get(index).copied()),
        }
    }

    /// Whether what is asked for cannot be played, and what was heard before goes on.
    pub fn is_refused(&self) -> bool {
        self.refused.load(Ordering::Relaxed)
    }

    /// Frames that found no room, of input and output together.
    pub fn dropped_frames(&self) -> u64 {
        self.dropped_frames.load(Ordering::Relaxed)
    }

    /// The ends that a window hears from; nothing before the first run. Not for the audio thread: it may wait.
    pub fn feed(&self) -> MutexGuard<'_, Option<Feed>> {
        self.feed.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// The same of who listens for minutes.
    pub fn long(&self) -> MutexGuard<'_, Option<Stream>> {
        self.long.lock().unwrap_or_else(PoisonError::into_inner)
    }

    fn guard(&self, status: GuardStatus) {
        self.guard_closed.store(status.active, Ordering::Relaxed);
        self.guard_closures.store(status.closures, Ordering::Relaxed);
        let cause = CAUSES.iter().position(|cause| Some(*cause) == status.cause);
        self.guard_cause.store(cause.map_or(0, |index| index + 1), Ordering::Relaxed);
    }
}

/// The audio thread's side of one run. Real-time safe: nothing waits, allocates or is freed.
#[derive(Debug)]
pub struct Teller {
    shared: Arc<Telemetry>,
    input: Producer<Frame>,
    output: Producer<Frame>,
    long: stream::Sender,
    every_frames: usize,
    frames_left: usize,
    next_setup: usize,
}

impl Teller {
    /// Whether there is anybody to tell.
    pub fn is_open(&self) -> bool {
        self.shared.is_open()
    }

    /// Tells a block of input.
    pub fn input(&mut self, block: &[&mut [f32]]) {
        if self.is_open() {
            push(&mut self.input, block, &self.shared.dropped_frames);
        }
        if self.is_open() && self.shared.streams.load(Ordering::Relaxed) {
            self.long.send(block);
        } else {
            self.long.interrupt();
        }
    }

    /// Tells where the host is with the next block, of so many frames: whether it plays, and from which frame of the project, if it says so.
    pub fn follow(&mut self, plays: bool, position: Option<i64>, frames: usize) {
        self.long.follow(plays, position, frames);
    }

    /// What comes in next does not follow on what came.
    pub fn interrupt(&mut self) {
        self.long.interrupt();
    }

    /// Tells a block of output.
    pub fn output(&mut self, block: &[&mut [f32]]) {
        if self.is_open() {
            push(&mut self.output, block, &self.shared.dropped_frames);
        }
    }

    /// The setup, counted from zero, whose matching gain is to be told after `frames` more frames, if one is due.
    pub fn setup_due(&mut self, frames: usize) -> Option<usize> {
        self.frames_left = self.frames_left.saturating_sub(frames);
        if self.frames_left > 0 {
            return None;
        }
        self.frames_left = self.every_frames;
        let setup = self.next_setup;
        self.next_setup = (setup + 1) % SETUPS;
        Some(setup)
    }

    /// Tells a setup's matching gain in dB.
    pub fn matching_db(&self, setup: usize, db: f64) {
        self.shared.matching_db[setup].set(db);
    }

    /// Tells of how many seconds of music the gains are.
    pub fn learned_seconds(&self, seconds: f64) {
        self.shared.learned_seconds.set(seconds);
    }

    /// Tells whether they rest.
    pub fn held(&self, held: bool) {
        self.shared.held.store(held, Ordering::Relaxed);
    }

    /// Tells how the guard is.
    pub fn guard(&self, status: GuardStatus) {
        self.shared.guard(status);
    }

    /// Tells whether what is asked for cannot be played.
    pub fn refused(&self, refused: bool) {
        self.shared.refused.store(refused, Ordering::Relaxed);
    }
}

fn push(to: &mut Producer<Frame>, block: &[&mut [f32]], dropped_frames: &AtomicU64) {
    let frames = frames_of(block);
    let room = frames.min(to.slots());
    if let Ok(chunk) = to.write_chunk_uninit(room) {
        chunk.fill_from_iter((0..room).map(|at| frame_of(block, at)));
    }
    if room < frames {
        let dropped = u64::try_from(frames - room).unwrap_or(u64::MAX);
        dropped_frames.fetch_add(dropped, Ordering::Relaxed);
    }
}

fn frames_of(block: &[&mut [f32]]) -> usize {
    block.iter().map(|channel| channel.len()).min().unwrap_or(0)
}

fn frame_of(block: &[&mut [f32]], at: usize) -> Frame {
    array::from_fn(|channel| block.get(channel).map_or(0.0, |samples| samples[at]))
}

#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "seconds in frames")]
const fn whole(frames: f64) -> usize {
    frames.max(1.0) as usize
}

#[cfg(test)]
mod tests {
    use std::thread;

    use nice_assert_no_alloc::assert_no_alloc;

    use super::*;
    use crate::host::preset;
    use crate::sound::engine::Engine;
    use crate::sound::snapshot::Snapshot;

    const RATE_HZ: f64 = 48_000.0;

    /// As `plugin` does it.
    struct Running {
        engine: Engine,
        circuit: crate::sound::circuit::Circuit,
        teller: Teller,
        shared: Arc<Telemetry>,
    }

    impl Running {
        fn new(heard: Option<usize>) -> Self {
            let shared = Arc::new(Telemetry::default());
            let mut snapshot = Snapshot::with_values(preset::read(preset::COURTYARD).unwrap().1);
            snapshot.heard = heard;
            let (circuit, _) = preset::read(preset::COURTYARD).unwrap();
            let engine = Engine::new(RATE_HZ, 2, &snapshot, &circuit).unwrap();
            Self { engine, circuit, teller: shared.activate(RATE_HZ, 2), shared }
        }

        /// With the allocation guard on.
        fn run(&mut self, block: &mut [&mut [f32]]) {
            assert_no_alloc(|| self.engine.process_and_tell(block, &self.circuit, &mut self.teller));
        }

        fn drain(&self) -> (Vec<Frame>, Vec<Frame>) {
            let mut feed = self.shared.feed();
            let feed = feed.as_mut().unwrap();
            let drain = |from: &mut Consumer<Frame>| std::iter::from_fn(|| from.pop().ok()).collect();
            (drain(&mut feed.input), drain(&mut feed.output))
        }
    }

    fn noise(seed: u64, frames: usize) -> Vec<f32> {
        let mut random = fastrand::Rng::with_seed(seed);
        (0..frames).map(|_| random.f32() - 0.5).collect()
    }

    /// Whether it is closed, and how often it has.
    fn guard(running: &Running) -> (bool, u64) {
        let status = running.shared.guard_status();
        (status.active, status.closures)
    }

    #[test]
    fn an_open_window_hears_both_sides_and_all_six_gains() {
        let mut running = Running::new(Some(1));
        running.shared.set_open(true);
        let (sound, other) = (noise(1, 9_600), noise(2, 9_600));
        let (mut told, mut expected) = ((Vec::new(), Vec::new()), (Vec::new(), Vec::new()));
        for start in (0..9_600).step_by(64) {
            let (mut left, mut right) =
                (sound[start..start + 64].to_vec(), other[start..start + 64].to_vec());
            expected.0.extend(left.iter().zip(&right).map(|(l, r)| [*l, *r]));
            running.run(&mut [&mut left, &mut right]);
            expected.1.extend(left.iter().zip(&right).map(|(l, r)| [*l, *r]));
            let (input, output) = running.drain();
            told.0.extend(input);
            told.1.extend(output);
        }
        assert_eq!(told, expected);
        assert_ne!(told.0, told.1);
        assert_eq!(running.shared.dropped_frames(), 0);
        assert_eq!(running.shared.rate_hz(), RATE_HZ);
        // 56k, 470k, 1M, 1M ∥ 470k, 470k on 6 m, 10M: the lower the load, the more gain (see the engine's test).
        let gains = running.shared.matching_db().map(Option::unwrap);
        assert!(gains[0] > gains[3] && gains[3] > gains[1] && gains[1] > gains[2] && gains[2] > gains[5]);
    }

    /// What is told changes nothing of the sound.
    #[test]
    fn sound_is_the_same_whether_or_not_a_window_is_open() {
        let run = |open: bool| {
            let mut running = Running::new(Some(0));
            running.shared.set_open(open);
            let mut sound = (noise(3, 48_000), noise(4, 48_000));
            for (left, right) in sound.0.chunks_mut(512).zip(sound.1.chunks_mut(512)) {
                running.run(&mut [left, right]);
            }
            sound
        };
        assert_eq!(run(true), run(false));
    }

    #[test]
    fn nothing_is_done_while_no_window_is_open() {
        let mut running = Running::new(Some(0));
        let (mut left, mut right) = (noise(5, 4_800), noise(6, 4_800));
        running.run(&mut [&mut left, &mut right]);
        assert_eq!(running.drain(), (Vec::new(), Vec::new()));
        assert_eq!(running.shared.matching_db(), [None; SETUPS]);
        assert_eq!(running.shared.dropped_frames(), 0);
    }

    /// The oldest stay, the newest are dropped, and sound goes on.
    #[test]
    fn frames_without_room_are_dropped_and_counted() {
        let mut running = Running::new(None);
        running.shared.set_open(true);
        let sound = noise(7, 48_000);
        let (mut left, mut right) = (sound.clone(), sound.clone());
        running.run(&mut [&mut left, &mut right]);
        let (input, output) = running.drain();
        assert_eq!((input.len(), output.len()), (12_000, 12_000));
        assert!(input.iter().zip(&sound).all(|(told, sample)| told == &[*sample; 2]));
        assert_eq!(running.shared.dropped_frames(), 2 * 36_000);
        running.run(&mut [&mut left[..100], &mut right[..100]]);
        assert_eq!(running.drain().0.len(), 100);
    }

    /// A guess until three seconds have been heard, then of how many; and whether they rest.
    #[test]
    fn where_the_gains_come_from_is_told() {
        let mut running = Running::new(Some(0));
        running.shared.set_open(true);
        let mut run = |seconds: usize, offline: bool| {
            running.engine.set_offline(offline);
            for second in 0..seconds {
                let (mut left, mut right) = (noise(1, 48_000), noise(second as u64, 48_000));
                running.run(&mut [&mut left, &mut right]);
            }
            (running.shared.learned_seconds().floor(), running.shared.is_held())
        };
        assert_eq!(run(2, false), (0.0, false));
        assert_eq!(run(2, false), (3.0, false));
        assert_eq!(run(2, true), (3.0, true));
    }

    #[test]
    fn the_guard_is_told() {
        let mut running = Running::new(Some(0));
        running.shared.set_open(true);
        let (mut left, mut right) = (noise(8, 480), noise(9, 480));
        left[100] = f32::NAN;
        running.run(&mut [&mut left, &mut right]);
        assert_eq!(guard(&running), (true, 1));
        let (mut left, mut right) = (vec![0.0; 96_000], vec![0.0; 96_000]);
        running.run(&mut [&mut left, &mut right]);
        assert_eq!(guard(&running), (false, 1));
        // A new run begins anew.
        let _teller = running.shared.activate(RATE_HZ, 1);
        assert_eq!(guard(&running), (false, 0));
        assert_eq!(running.shared.matching_db(), [None; SETUPS]);
    }

    /// One side tells as fast as it can, the other hears now and then: what is heard is in order, and with what was dropped it is all.
    #[test]
    fn threads_do_not_disturb_each_other() {
        let shared = Arc::new(Telemetry::default());
        shared.set_open(true);
        let mut teller = shared.activate(1_000.0, 1);
        let mut heard = Vec::new();
        let hear = |heard: &mut Vec<f32>| {
            if let Some(feed) = shared.feed().as_mut() {
                heard.extend(std::iter::from_fn(|| feed.input.pop().ok()).map(|frame| frame[0]));
            }
        };
        thread::scope(|scope| {
            let audio = scope.spawn(move || {
                assert_no_alloc(|| (0..20_000u16).for_each(|i| teller.input(&[&mut [f32::from(i)]])));
            });
            while !audio.is_finished() {
                hear(&mut heard);
            }
        });
        hear(&mut heard);
        assert!(heard.is_sorted() && !heard.is_empty());
        assert_eq!(u64::try_from(heard.len()).unwrap() + shared.dropped_frames(), 20_000);
    }
}

//! Plays a take: where it is, where it goes, and what is looped, on the thread that makes sound.

use std::ops::Range;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, AtomicU64, Ordering};

use firstjack_plugin::LiveEngine;

use super::decode::{HEARD, Sound};

/// Starting, stopping and going elsewhere take this long twice, out and in, so that nothing clicks.
const RAMP_SECONDS: f64 = 0.01;
/// No place is asked for.
const NOWHERE: u64 = u64::MAX;

/// What a window asks of the player, and learns from it. Lock-free.
#[derive(Debug)]
pub struct Transport {
    frames: usize,
    playing: AtomicBool,
    repeat: AtomicBool,
    /// A part to loop as start and end, 32 bits each; zero if none is.
    part: AtomicU64,
    seek: AtomicU64,
    position: AtomicU64,
}

impl Transport {
    /// At the start of a take, stopped, to be repeated as a whole.
    pub fn new(frames: usize) -> Self {
        Self {
            frames,
            playing: AtomicBool::new(false),
            repeat: AtomicBool::new(true),
            part: AtomicU64::new(0),
            seek: AtomicU64::new(NOWHERE),
            position: AtomicU64::new(0),
        }
    }

    pub fn play(&self, playing: bool) {
        self.playing.store(playing, Ordering::Relaxed);
    }

    pub fn is_playing(&self) -> bool {
        self.playing.load(Ordering::Relaxed)
    }

    /// Begin anew at the end, of the part or of the take.
    pub fn repeat(&self, repeat: bool) {
        self.repeat.store(repeat, Ordering::Relaxed);
    }

    pub fn repeats(&self) -> bool {
        self.repeat.load(Ordering::Relaxed)
    }

    /// Goes to a frame; beyond the end to the last.
    pub fn seek(&self, frame: usize) {
        self.seek.store(frame.min(self.frames.saturating_sub(1)) as u64, Ordering::Release);
    }

    /// Loops a part of the take, or no part; an empty one is none.
    pub fn set_part(&self, part: Option<Range<usize>>) {
        let within =
            |frame: usize| u32::try_from(frame.min(self.frames)).map_or(u64::from(u32::MAX), u64::from);
        let part = part.filter(|part| !part.is_empty());
        let packed = part.map_or(0, |part| within(part.start) << 32 | within(part.end));
        let is_empty = packed >> 32 == packed & u64::from(u32::MAX);
        self.part.store(if is_empty { 0 } else { packed }, Ordering::Relaxed);
    }

    /// The part that is looped.
    pub fn part(&self) -> Option<Range<usize>> {
        let packed = self.part.load(Ordering::Relaxed);
        let half = |half: u64| usize::try_from(half & u64::from(u32::MAX)).unwrap_or(usize::MAX);
        (packed != 0).then(|| half(packed >> 32)..half(packed))
    }

    /// The frame that is heard next, or was asked for.
    pub fn position(&self) -> usize {
        let asked = self.seek.load(Ordering::Acquire);
        let position = if asked == NOWHERE { self.position.load(Ordering::Relaxed) } else { asked };
        usize::try_from(position).unwrap_or(usize::MAX)
    }
}

/// The player itself.
pub struct Player {
    sound: Arc<Sound>,
    transport: Arc<Transport>,
    engine: LiveEngine,
    position: usize,
    /// From zero, silence, to one.
    ramp: f64,
    ramp_step: f64,
}

impl Player {
    pub fn new(sound: Arc<Sound>, transport: Arc<Transport>, engine: LiveEngine) -> Self {
        let rate_hz = f64::from(sound.rate_hz);
        let ramp_step = (RAMP_SECONDS * rate_hz).recip();
        Self { sound, transport, engine, position: 0, ramp: 0.0, ramp_step }
    }

    /// Fills the next frames of as many channels as the take has. Real-time safe.
    pub fn fill(&mut self, channels: &mut [&mut [f32]]) {
        let frames = channels.iter().map(|channel| channel.len()).min().unwrap_or(0);
        let (part, repeat) = (self.transport.part(), self.transport.repeats());
        let (begins, was_heard) = (self.position, self.ramp > 0.0);
        for frame in 0..frames {
            self.read(channels, frame);
            self.advance(part.as_ref(), repeat);
        }
        self.transport.position.store(self.position as u64, Ordering::Relaxed);
        self.engine.follow(was_heard || self.ramp > 0.0, begins, frames);
        // In silence, too: what a new setup is to be raised by is told before it is heard.
        self.engine.process(channels);
    }

    fn read(&self, channels: &mut [&mut [f32]], frame: usize) {
        let weight = self.ramp * self.ramp * (3.0 - 2.0 * self.ramp);
        for (channel, samples) in channels.iter_mut().zip(&self.sound.channels) {
            let sample = samples.get(self.position).copied().unwrap_or_default();
            channel[frame] = if self.ramp == 1.0 { sample } else { weighted(sample, weight) };
        }
    }

    fn advance(&mut self, part: Option<&Range<usize>>, repeat: bool) {
        let transport = &self.transport;
        let is_asked = transport.seek.load(Ordering::Relaxed) != NOWHERE;
        if self.ramp == 0.0 && is_asked {
            let to = transport.seek.swap(NOWHERE, Ordering::Acquire);
            self.position = usize::try_from(to).unwrap_or(0).min(self.sound.frames().saturating_sub(1));
        } else if self.ramp > 0.0 {
            self.step(part, repeat);
        }
        let up = self.transport.is_playing() && !is_asked;
        let step = if up { self.ramp_step } else { -self.ramp_step };
        self.ramp = (self.ramp + step).clamp(0.0, 1.0);
    }

    /// To the next frame, or back to where the loop begins.
    fn step(&mut self, part: Option<&Range<usize>>, repeat: bool) {
        let whole = 0..self.sound.frames();
        self.position += 1;
        match part.filter(|_| repeat) {
            Some(part) if self.position == part.end => self.position = part.start,
            _ if self.position < whole.end => {}
            looped => {
                self.position = looped.unwrap_or(&whole).start;
                if !repeat {
                    self.transport.play(false);
                    self.ramp = 0.0;
                }
            }
        }
    }
}

#[expect(clippy::cast_possible_truncation, reason = "samples are f32")]
fn weighted(sample: f32, weight: f64) -> f32 {
    (f64::from(sample) * weight) as f32
}

/// Interleaves what is played into a device's buffer: on its first two channels, a mono take on both; on a device of one
/// channel their mean. Real-time safe.
pub struct Interleaver {
    player: Player,
    planes: [Vec<f32>; HEARD],
}

#[cfg_attr(not(any(feature = "sound", test)), expect(dead_code, reason = "nothing is heard in this build"))]
impl Interleaver {
    pub fn new(player: Player, most_frames: usize) -> Self {
        Self { player, planes: std::array::from_fn(|_| vec![0.0; most_frames]) }
    }

    /// Hands every sample to `put` with its place in the buffer.
    pub fn fill(&mut self, samples: usize, device_channels: usize, mut put: impl FnMut(usize, f32)) {
        let frames = samples / device_channels.max(1);
        let tracks = self.player.sound.channels.len();
        let most = self.planes[0].len();
        for start in (0..frames).step_by(most.max(1)) {
            let count = most.min(frames - start);
            let [left, right] = &mut self.planes;
            let mut channels = [&mut left[..count], &mut right[..count]];
            self.player.fill(&mut channels[..tracks]);
            let [left, right] = channels;
            let right = if tracks == 1 { &*left } else { right };
            for (frame, (left, right)) in left.iter().zip(right).enumerate() {
                for channel in 0..device_channels {
                    let sample = match channel {
                        _ if device_channels == 1 => 0.5 * (left + right),
                        0 => *left,
                        1 => *right,
                        _ => 0.0,
                    };
                    put((start + frame) * device_channels + channel, sample);
                }
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::session::tests::document;
    use super::*;

    const RATE_HZ: u32 = 48_000;
    /// More than both ramps of a seek.
    const SETTLED: usize = 1_000;

    struct Played {
        player: Player,
        transport: Arc<Transport>,
    }

    /// Every frame of the take has its own value, and it is heard as recorded: unchanged.
    fn value(frame: usize) -> f32 {
        f32::from(u16::try_from(frame).unwrap()) / 65_536.0
    }

    fn played(frames: usize) -> Played {
        let channels = vec![(0..frames).map(value).collect::<Vec<f32>>()];
        let sound = Sound { rate_hz: RATE_HZ, channels, channels_in_file: 1, is_truncated: false };
        let transport = Arc::new(Transport::new(frames));
        let (_, engine) = firstjack_plugin::live(48_000.0, 1, &document(), &Arc::default()).unwrap();
        Played { player: Player::new(Arc::new(sound), transport.clone(), engine), transport }
    }

    impl Played {
        fn run(&mut self, frames: usize) -> Vec<f32> {
            let mut out = vec![9.0; frames];
            for chunk in out.chunks_mut(77) {
                self.player.fill(&mut [chunk]);
            }
            out
        }
    }

    #[test]
    fn nothing_is_heard_until_it_plays() {
        let mut played = played(5_000);
        assert_eq!(played.run(500), [0.0; 500]);
        assert_eq!(played.transport.position(), 0);
        played.transport.play(true);
        let out = played.run(SETTLED);
        let at = played.transport.position();
        assert!((SETTLED - 2..=SETTLED).contains(&at), "{at}");
        // After the ramp the take itself, to the bit.
        assert_eq!(out[600..], (at - 400..at).map(value).collect::<Vec<_>>());
    }

    #[test]
    fn a_loop_is_exact_to_the_frame() {
        let mut played = played(20_000);
        played.transport.set_part(Some(3_000..4_234));
        played.transport.seek(3_000);
        played.transport.play(true);
        played.run(SETTLED);
        let start = played.transport.position();
        let out = played.run(5_000);
        let expected: Vec<f32> = (0..5_000).map(|i| value(3_000 + (start - 3_000 + i) % 1_234)).collect();
        assert_eq!(out, expected);
    }

    #[test]
    fn the_whole_take_is_repeated_or_ends() {
        let mut played = played(3_000);
        played.transport.play(true);
        played.run(SETTLED);
        let start = played.transport.position();
        let expected: Vec<f32> = (0..3_500).map(|i| value((start + i) % 3_000)).collect();
        assert_eq!(played.run(3_500), expected);
        played.transport.repeat(false);
        let rest = played.run(3_500);
        assert_eq!(rest[3_400..], [0.0; 100]);
        assert!(!played.transport.is_playing());
        assert_eq!(played.transport.position(), 0);
        // It is there to be played again.
        played.transport.play(true);
        assert!(played.run(2_000).iter().any(|sample| *sample > value(1_500)));
    }

    #[test]
    fn a_seek_goes_there_without_a_click() {
        let mut played = played(60_000);
        played.transport.play(true);
        played.run(SETTLED);
        played.transport.seek(50_000);
        assert_eq!(played.transport.position(), 50_000);
        let out = played.run(2_000);
        let steps = out.windows(2).map(|pair| (pair[1] - pair[0]).abs());
        let steepest = steps.fold(0.0, f32::max);
        // A smoothstep over 480 frames rises by 1.5 / 480 a frame at most.
        assert!(steepest < 1.0 * 1.6 / 480.0, "{steepest}");
        let at = played.transport.position();
        assert!((50_900..52_000).contains(&at), "{at}");
        assert_eq!(out[1_900..], (at - 100..at).map(value).collect::<Vec<_>>());
    }

    #[test]
    fn a_seek_while_stopped_is_heard_from_there() {
        let mut played = played(60_000);
        played.transport.seek(1_000_000);
        assert_eq!(played.run(10), [0.0; 10]);
        assert_eq!(played.transport.position(), 59_999);
        played.transport.seek(30_000);
        played.transport.play(true);
        let out = played.run(SETTLED);
        let at = played.transport.position();
        assert_eq!(out[SETTLED - 1], value(at - 1));
        assert!((30_990..=31_000).contains(&at), "{at}");
    }

    #[test]
    fn a_stop_fades_and_keeps_the_place() {
        let mut played = played(60_000);
        played.transport.play(true);
        played.run(40_000);
        played.transport.play(false);
        let out = played.run(2_000);
        assert!(out.windows(2).all(|pair| (pair[1] - pair[0]).abs() < 1.6 / 480.0));
        assert_eq!(out[500..], [0.0; 1_500]);
        let at = played.transport.position();
        assert!((40_400..40_600).contains(&at), "{at}");
    }

    /// Ends set while it plays: a part that has been passed is entered at the take's end; an odd one is none.
    #[test]
    fn odd_parts_do_no_harm() {
        let mut played = played(3_000);
        let transport = played.transport.clone();
        for (part, held) in [
            (Some(5..5), None),
            #[expect(clippy::reversed_empty_ranges, reason = "as a drag could give it")]
            (Some(9..3), None),
            (Some(4_000..9_000), None),
            (Some(2_000..9_000), Some(2_000..3_000)),
            (Some(10..11), Some(10..11)),
            (None, None),
        ] {
            transport.set_part(part.clone());
            assert_eq!(transport.part(), held, "{part:?}");
        }
        transport.play(true);
        played.run(2_000);
        transport.set_part(Some(100..1_000));
        played.run(1_500);
        let at = transport.position();
        assert!((100..1_000).contains(&at), "{at}");
    }

    #[test]
    fn devices_get_the_channels_that_they_have() {
        for (device_channels, frames) in [(1, 300), (2, 300), (6, 1_000)] {
            let mut mono = played(60_000);
            mono.transport.seek(10_000);
            mono.transport.play(true);
            mono.run(SETTLED);
            let at = mono.transport.position();
            let mut interleaver = Interleaver::new(mono.player, 256);
            let mut out = vec![9.0; frames * device_channels];
            interleaver.fill(out.len(), device_channels, |place, sample| out[place] = sample);
            for (index, frame) in out.chunks(device_channels).enumerate() {
                assert!(frame.iter().take(2).all(|sample| *sample == value(at + index)));
                assert!(frame.iter().skip(2).all(|sample| *sample == 0.0));
            }
        }
    }
}

//! What an open window hears: drains the rings of [`Telemetry`] once a frame into meters and a spectrum.

mod gauge;
mod noise;
mod spectrum;

use std::sync::Arc;

use gauge::Gauge;
pub use noise::LEAST_SECONDS as LEAST_NOISE_SECONDS;
use noise::NoiseEar;
use rtrb::Consumer;
use spectrum::Spectrum;

use super::{Meter, NoiseAsked, Readings};
use crate::sound::telemetry::{Feed, Frame, Telemetry};

/// Sound that is listened to at once, at most: so much work is in one frame of the window, and a window that draws ten times a
/// second keeps up.
const MOST_SECONDS: f64 = 0.1;
/// Without sound for this long, nothing runs.
const STOPPED_SECONDS: f64 = 0.5;

/// Samples up to this (-200 dBFS) are zero: denormal numbers would be ten times as slow.
const INAUDIBLE: f32 = 1e-10;
/// Samples stay within this (120 dB over full scale), so that no power is too large for a number.
const LARGEST: f32 = 1e6;

/// Listens while it lives: a window makes it when it opens and drops it when it closes.
pub struct Listener {
    telemetry: Arc<Telemetry>,
    ears: Option<Ears>,
    readings: Readings,
    /// When there last was sound, on the clock of [`Listener::listen`].
    heard_seconds: f64,
    samples: Vec<f32>,
    noise: NoiseEar,
}

/// What measures one run.
struct Ears {
    number: u64,
    input: Gauge,
    output: Gauge,
    spectrum: Spectrum,
}

impl Ears {
    /// `None` at a rate at which loudness is not defined.
    fn new(feed: &Feed) -> Option<Self> {
        Some(Self {
            number: feed.number,
            input: Gauge::new(feed.rate_hz, feed.channels, 0.0)?,
            output: Gauge::new(feed.rate_hz, feed.channels, 0.5)?,
            spectrum: Spectrum::new(feed.rate_hz, feed.channels),
        })
    }
}

impl Listener {
    /// Begins to listen.
    pub fn new(telemetry: Arc<Telemetry>) -> Self {
        if let Some(feed) = telemetry.feed().as_mut() {
            // What was left when the last window closed.
            skip(&mut feed.input);
            skip(&mut feed.output);
        }
        telemetry.set_open(true);
        Self {
            noise: NoiseEar::new(telemetry.clone()),
            telemetry,
            ears: None,
            readings: Readings::default(),
            heard_seconds: f64::NEG_INFINITY,
            samples: Vec::new(),
        }
    }

    /// What noise is asked about from now on.
    pub fn heed(&mut self, asked: &Arc<NoiseAsked>) {
        self.noise.heed(asked);
    }

    /// What is heard now. `now_seconds` is any clock that does not go back.
    pub fn listen(&mut self, now_seconds: f64) -> &Readings {
        let mut next = self.readings.clone();
        next.rate_hz = self.telemetry.rate_hz();
        next.channels = self.telemetry.channels();
        next.matching_db = self.telemetry.matching_db().map(|db| db.map(tenths));
        (next.learned_seconds, next.held) =
            (self.telemetry.learned_seconds().floor(), self.telemetry.is_held());
        let guard = self.telemetry.guard_status();
        (next.guard_closed, next.guard_closures, next.guard_cause) =
            (guard.active, guard.closures, guard.cause);
        next.refused = self.telemetry.is_refused();
        next.allowance = self.noise.told();
        if self.drain() {
            self.heard_seconds = now_seconds;
        }
        match &self.ears {
            Some(ears) if now_seconds - self.heard_seconds < STOPPED_SECONDS => {
                (next.input, next.output) = (ears.input.meter(), ears.output.meter());
                ears.spectrum.write(&mut next.spectrum);
            }
            _ => {
                (next.input, next.output) = (Meter::SILENT, Meter::SILENT);
                next.spectrum.clear();
                self.ears = None;
            }
        }
        if next != self.readings {
            next.version += 1;
            self.readings = next;
        }
        &self.readings
    }

    /// What was heard last.
    pub fn readings(&self) -> &Readings {
        &self.readings
    }

    /// Measures what has come in. True if there was any.
    fn drain(&mut self) -> bool {
        let mut feed = self.telemetry.feed();
        let Some(feed) = feed.as_mut() else { return false };
        if self.ears.as_ref().is_none_or(|ears| ears.number != feed.number) {
            // Made when there is something to measure.
            self.ears = if feed.input.is_empty() { None } else { Ears::new(feed) };
        }
        let Some(ears) = &mut self.ears else {
            skip(&mut feed.output);
            return skip(&mut feed.input) > 0;
        };
        let heard = take(&mut feed.input, feed.rate_hz, feed.channels, &mut self.samples);
        ears.input.push(&self.samples);
        ears.spectrum.push(&self.samples);
        take(&mut feed.output, feed.rate_hz, feed.channels, &mut self.samples);
        ears.output.push(&self.samples);
        heard
    }
}

impl Drop for Listener {
    fn drop(&mut self) {
        self.telemetry.set_open(false);
    }
}

/// Takes samples, channel by channel in each frame. True if there were any.
fn take(from: &mut Consumer<Frame>, rate_hz: f64, channels: usize, to: &mut Vec<f32>) -> bool {
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "a part of a second in frames"
    )]
    let most = (MOST_SECONDS * rate_hz).max(1.0) as usize;
    to.clear();
    if let Ok(chunk) = from.read_chunk(from.slots().min(most)) {
        to.extend(chunk.into_iter().flat_map(|frame| frame.into_iter().take(channels)).map(audible));
    }
    !to.is_empty()
}

fn skip(from: &mut Consumer<Frame>) -> usize {
    from.read_chunk(from.slots()).map_or(0, |chunk| {
        let frames = chunk.len();
        chunk.commit_all();
        frames
    })
}

/// A sample as it is measured; what is not finite is silence.
fn audible(sample: f32) -> f32 {
    if sample.is_finite() && sample.abs() > INAUDIBLE { sample.clamp(-LARGEST, LARGEST) } else { 0.0 }
}

/// As finely as it is shown.
fn tenths(db: f64) -> f64 {
    (db * 10.0).round() / 10.0 + 0.0
}

#[cfg(test)]
mod tests {
    use std::f64::consts::TAU;

    use super::*;
    use crate::sound::telemetry::Teller;

    struct Window {
        teller: Teller,
        listener: Listener,
        rate_hz: f64,
        channels: usize,
        frame: u32,
        seconds: f64,
    }

    impl Window {
        fn new(rate_hz: f64, channels: usize) -> Self {
            let telemetry = Arc::new(Telemetry::default());
            let teller = telemetry.activate(rate_hz, channels);
            Self { teller, listener: Listener::new(telemetry), rate_hz, channels, frame: 0, seconds: 0.0 }
        }

        /// Draws sixty times a second while input is `sample(time in seconds)` in all channels, output half of it.
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "frames and samples")]
        fn run(&mut self, seconds: f64, sample: impl Fn(f64) -> f64) -> Readings {
            let frames = (self.rate_hz / 60.0) as u32;
            for _ in 0..(seconds * 60.0) as usize {
                let at = |i: u32| sample(f64::from(i) / self.rate_hz) as f32;
                let mut sound =
                    vec![(self.frame..self.frame + frames).map(at).collect::<Vec<f32>>(); self.channels];
                self.frame += frames;
                let mut block: Vec<&mut [f32]> = sound.iter_mut().map(Vec::as_mut_slice).collect();
                self.teller.input(&block);
                block.iter_mut().for_each(|channel| channel.iter_mut().for_each(|sample| *sample *= 0.5));
                self.teller.output(&block);
                self.draw();
            }
            self.listener.readings().clone()
        }

        fn draw(&mut self) {
            self.seconds += 1.0 / 60.0;
            self.listener.listen(self.seconds);
        }
    }

    fn sine(hz: f64) -> impl Fn(f64) -> f64 {
        move |seconds| (TAU * hz * seconds).sin()
    }

    fn peak(readings: &Readings) -> (f64, f64) {
        readings.spectrum.iter().copied().max_by(|a, b| a.1.total_cmp(&b.1)).unwrap()
    }

    /// 0 dBFS at 997 Hz in one channel is -3.01 LKFS (ITU-R BS.1770-4, annex 1), in both of two 0.0 LUFS: the signal of EBU Tech
    /// 3341, case 1, with -23.0 dBFS in both reads -23.0 LUFS, with a tolerance of 0.1 LU.
    #[test]
    fn a_sine_of_full_scale_reads_as_the_standards_say() {
        for (channels, lufs) in [(1, -3.01), (2, 0.0)] {
            for rate_hz in [44_100.0, 48_000.0, 96_000.0] {
                let read = Window::new(rate_hz, channels).run(5.0, sine(997.0));
                assert!((read.input.short_term_lufs - lufs).abs() <= 0.1, "{:?}", read.input);
                assert!((read.output.short_term_lufs - (lufs - 6.02)).abs() <= 0.1, "{:?}", read.output);
                // EBU Tech 3341, cases 15 to 23: within +0.2 and -0.4 dB.
                assert!((-0.4..=0.2).contains(&read.input.true_peak_db), "{:?}", read.input);
                assert!((-6.42..=-5.82).contains(&read.output.true_peak_db), "{:?}", read.output);
                assert_eq!(read.rate_hz, rate_hz);
            }
        }
    }

    /// EBU Tech 3341, case 1: stereo, 1000 Hz at -23.0 dBFS.
    #[test]
    fn the_first_case_of_tech_3341() {
        let read = Window::new(48_000.0, 2).run(5.0, |t| 10f64.powf(-23.0 / 20.0) * sine(1e3)(t));
        assert!((read.input.short_term_lufs + 23.0).abs() <= 0.1, "{:?}", read.input);
    }

    /// EBU Tech 3341, case 15: a quarter of the rate, half of full scale, sampled 45 degrees from its peaks.
    #[test]
    fn peaks_between_samples_are_seen() {
        let read = Window::new(48_000.0, 2).run(1.0, |t| 0.5 * (TAU * (12_000.0 * t + 0.125)).sin());
        assert!((-6.4..=-5.8).contains(&read.input.true_peak_db), "{:?}", read.input);
    }

    #[test]
    fn the_spectrum_peaks_at_the_note_and_at_its_level() {
        for rate_hz in [44_100.0, 48_000.0, 96_000.0] {
            // Half of the power of full scale, so that a level read wrong by the power of two shows.
            for hz in [55.0, 997.0, 8_123.0] {
                let read = Window::new(rate_hz, 2).run(3.0, |t| 0.5_f64.sqrt() * sine(hz)(t));
                let (at_hz, db) = peak(&read);
                // A point is a twenty-fourth of an octave from the next, a bin 5.9 Hz at 48 kHz.
                assert!((at_hz - hz).abs() < (hz / 34.0).max(6.0), "{hz} Hz shown at {at_hz}");
                assert!((db + 3.01).abs() < 0.3, "{hz} Hz: {db} dB");
                let far = read.spectrum.iter().filter(|(other, _)| !(hz / 2.0..hz * 2.0).contains(other));
                assert!(far.map(|(_, db)| *db).fold(f64::NEG_INFINITY, f64::max) < -40.0);
            }
        }
    }

    #[test]
    fn points_rise_and_are_a_twenty_fourth_of_an_octave_apart() {
        for rate_hz in [8_000.0, 48_000.0, 192_000.0] {
            let read = Window::new(rate_hz, 1).run(0.5, sine(440.0));
            let ratios = read.spectrum.windows(2).map(|pair| pair[1].0 / pair[0].0);
            assert!(ratios.clone().count() > 150);
            ratios.for_each(|ratio| assert!((ratio.log2() * 24.0 - 1.0).abs() < 1e-9));
            assert!(read.spectrum.last().unwrap().0 < rate_hz / 2.0);
        }
    }

    /// An idle window has nothing to draw.
    #[test]
    fn silence_changes_nothing() {
        let mut window = Window::new(48_000.0, 2);
        let first = window.run(1.0, |_| 0.0);
        assert_eq!((first.input, first.output), (Meter::SILENT, Meter::SILENT));
        assert_eq!(window.run(5.0, |_| 0.0).version, first.version);
        // After music too, once it has died away.
        window.run(3.0, sine(440.0));
        let after = window.run(12.0, |_| 0.0);
        assert_eq!((after.input, after.output), (Meter::SILENT, Meter::SILENT));
        assert_eq!(window.run(5.0, |_| 0.0).version, after.version);
        assert!(after.version > first.version);
    }

    /// When a host stops, the last moment does not stay as if it were heard.
    #[test]
    fn without_sound_the_meters_fall_silent() {
        let mut window = Window::new(48_000.0, 2);
        assert_ne!(window.run(1.0, sine(440.0)).input, Meter::SILENT);
        (0..40).for_each(|_| window.draw());
        let stopped = window.listener.readings().clone();
        assert_eq!((stopped.input, stopped.spectrum.len()), (Meter::SILENT, 0));
        window.draw();
        assert_eq!(window.listener.readings().version, stopped.version);
        assert_ne!(window.run(1.0, sine(440.0)).input, Meter::SILENT);
    }

    #[test]
    fn what_is_not_a_number_is_forgotten() {
        for odd in [f64::NAN, f64::INFINITY, f64::from(f32::MAX), 1e-40] {
            let mut window = Window::new(48_000.0, 2);
            let read = window.run(1.0, |_| odd);
            let numbers =
                [read.input, read.output].into_iter().flat_map(|m| [m.true_peak_db, m.short_term_lufs]);
            assert!(numbers.chain(read.spectrum.iter().map(|(_, db)| *db)).all(|db| db < 200.0), "{odd}");
            window.run(20.0, |_| 0.0);
            let read = window.run(5.0, sine(997.0));
            assert!(read.input.short_term_lufs.abs() <= 0.1, "{odd}: {:?}", read.input);
            assert!((-0.4..=0.2).contains(&read.input.true_peak_db), "{odd}: {:?}", read.input);
        }
    }

    /// A rate that changes while the window is open, and another number of channels.
    #[test]
    fn a_new_run_is_measured_anew() {
        let mut window = Window::new(48_000.0, 2);
        window.run(1.0, sine(440.0));
        window.teller = window.listener.telemetry.activate(96_000.0, 1);
        (window.rate_hz, window.channels, window.frame) = (96_000.0, 1, 0);
        let read = window.run(5.0, sine(997.0));
        assert!((read.input.short_term_lufs + 3.01).abs() <= 0.1 && read.rate_hz == 96_000.0);
    }

    #[test]
    fn who_does_not_listen_is_not_told() {
        let telemetry = Arc::new(Telemetry::default());
        let mut teller = telemetry.activate(48_000.0, 1);
        let mut listener = Listener::new(telemetry.clone());
        assert!(telemetry.is_open());
        teller.input(&[&mut [1.0; 4_800]]);
        drop(listener);
        assert!(!telemetry.is_open());
        // What is left from then is not heard.
        listener = Listener::new(telemetry);
        assert_eq!(listener.listen(0.0).input, Meter::SILENT);
    }
}

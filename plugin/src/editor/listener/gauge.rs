use ebur128::{EbuR128, Mode};

use super::tenths;
use crate::editor::Meter;

/// How fast a peak falls, in dB per second: 20 dB in 1.7 s (IEC 60268-10, type I; from memory).
const FALL_DB_PER_SECOND: f64 = 20.0 / 1.7;
/// What is below is shown as silence, in dBTP and LUFS.
const SILENCE_DB: f64 = -100.0;
/// How often loudness is measured, the least often that EBU Tech 3341 accepts: 10 Hz.
const EVERY_SECONDS: f64 = 0.1;

/// Measures true peak and short-term loudness of one signal.
pub(super) struct Gauge {
    measure: EbuR128,
    channels: usize,
    rate_hz: f64,
    peak_db: f64,
    short_term_lufs: f64,
    /// Until loudness is measured again, in seconds of sound.
    wait_seconds: f64,
}

impl Gauge {
    /// `None` at a rate at which loudness is not defined. It is first measured after `phase` (0 to 1) of the time between two measurements, so
    /// that several gauges can take turns.
    pub fn new(rate_hz: f64, channels: usize, phase: f64) -> Option<Self> {
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a rate in Hz")]
        let rate = rate_hz.round() as u32;
        let measure = EbuR128::new(u32::try_from(channels).ok()?, rate, Mode::S | Mode::TRUE_PEAK).ok()?;
        Some(Self {
            measure,
            channels,
            rate_hz,
            peak_db: f64::NEG_INFINITY,
            short_term_lufs: f64::NEG_INFINITY,
            wait_seconds: phase * EVERY_SECONDS,
        })
    }

    /// Takes in finite samples, channel by channel in each frame.
    pub fn push(&mut self, samples: &[f32]) {
        if samples.is_empty() || self.measure.add_frames_f32(samples).is_err() {
            return;
        }
        #[expect(clippy::cast_precision_loss, reason = "a part of a second in frames")]
        let seconds = (samples.len() / self.channels) as f64 / self.rate_hz;
        let channels = 0..self.measure.channels();
        let peaks = channels.filter_map(|channel| self.measure.prev_true_peak(channel).ok());
        let new_db = 20.0 * peaks.fold(0.0, f64::max).log10();
        self.peak_db = new_db.max(self.peak_db - FALL_DB_PER_SECOND * seconds);
        self.wait_seconds -= seconds;
        if self.wait_seconds <= 0.0 {
            self.wait_seconds = EVERY_SECONDS.min(self.wait_seconds + EVERY_SECONDS);
            self.short_term_lufs = self.measure.loudness_shortterm().unwrap_or(f64::NEG_INFINITY);
        }
    }

    /// As finely as it is shown.
    pub fn meter(&self) -> Meter {
        let shown = |db: f64| if db > SILENCE_DB { tenths(db) } else { f64::NEG_INFINITY };
        Meter { true_peak_db: shown(self.peak_db), short_term_lufs: shown(self.short_term_lufs) }
    }
}

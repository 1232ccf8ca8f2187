//! Seconds to samples and back: the only place of this module that converts between the two.

use std::ops::RangeInclusive;

/// Sample rates that the take can be made at, in Hz.
const RATES_HZ: RangeInclusive<f64> = 8_000.0..=384_000.0;

/// The highest partial that is sounded, as a share of the sample rate: clear of Nyquist (0.5).
const HIGHEST_SHARE: f64 = 0.45;

/// A checked sample rate.
#[derive(Clone, Copy, Debug)]
pub(super) struct Clock {
    sample_rate_hz: f64,
}

impl Clock {
    /// Panics outside [`RATES_HZ`], which also keeps the conversions below in range.
    pub(super) fn new(sample_rate_hz: f64) -> Self {
        assert!(
            RATES_HZ.contains(&sample_rate_hz),
            "sample rate {sample_rate_hz} Hz is outside {RATES_HZ:?}"
        );
        Self { sample_rate_hz }
    }

    /// Samples per second.
    pub(super) fn sample_rate_hz(self) -> f64 {
        self.sample_rate_hz
    }

    /// Time between two samples in seconds.
    pub(super) fn period_s(self) -> f64 {
        self.sample_rate_hz.recip()
    }

    /// The highest frequency that may be synthesised, in Hz.
    pub(super) fn highest_hz(self) -> f64 {
        HIGHEST_SHARE * self.sample_rate_hz
    }

    /// When sample `index` is heard, in seconds.
    #[expect(
        clippy::cast_precision_loss,
        reason = "an index into a buffer that fits in memory is far below 2^53"
    )]
    pub(super) fn time_of(self, index: usize) -> f64 {
        index as f64 / self.sample_rate_hz
    }

    /// Index of the first sample at or after `time_s`; 0 for times before the take.
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "the product is whole, not negative, and small: seconds of a take times a checked rate"
    )]
    pub(super) fn first_sample_at(self, time_s: f64) -> usize {
        (time_s * self.sample_rate_hz).ceil().max(0.0) as usize
    }
}

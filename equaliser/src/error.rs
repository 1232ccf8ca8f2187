use dsp_core::filter::Sections;
use thiserror::Error;

use crate::filters::{ANY_Q, MOST_GAIN_DB};

/// What an equaliser cannot be, or be asked for: what was given, and what is accepted. Bands are counted from zero.
#[derive(Debug, Clone, Copy, PartialEq, Error)]
pub enum EqualiserError {
    /// The sample rate.
    #[error("a sample rate of {given_hz} Hz: accepted are {} to {} Hz", Sections::RATES_HZ.0, Sections::RATES_HZ.1)]
    Rate {
        /// As given.
        given_hz: f64,
    },
    /// The frequency of a band.
    #[error(
        "band {band} at {given_hz} Hz: accepted is more than 0 and less than {below_hz} Hz, half the sample rate"
    )]
    Frequency {
        /// Which band.
        band: usize,
        /// As given.
        given_hz: f64,
        /// Half the sample rate.
        below_hz: f64,
    },
    /// The gain of a band.
    #[error("band {band} with {given_db} dB: accepted are -{MOST_GAIN_DB} to {MOST_GAIN_DB} dB")]
    Gain {
        /// Which band.
        band: usize,
        /// As given.
        given_db: f64,
    },
    /// The Q of a band.
    #[error("band {band} with a Q of {given}: accepted are {} to {}", ANY_Q.0, ANY_Q.1)]
    Q {
        /// Which band.
        band: usize,
        /// As given.
        given: f64,
    },
    /// A limit that no desk has.
    #[error(
        "{limit} from {low} to {high}: accepted are {accepted_low} to {accepted_high}, the lower one first"
    )]
    Limit {
        /// Which limit, with its unit.
        limit: &'static str,
        /// The lower end as given.
        low: f64,
        /// The upper end as given.
        high: f64,
        /// The lowest that is accepted.
        accepted_low: f64,
        /// The highest that is accepted.
        accepted_high: f64,
    },
    /// There is nothing between the lowest string and the top of the band.
    #[error(
        "the lowest string is at {lowest_hz:.1} Hz: accepted is less than {to_hz:.0} Hz at a sample rate of {rate_hz} Hz"
    )]
    NoBand {
        /// The lowest string's fundamental.
        lowest_hz: f64,
        /// The top of the band.
        to_hz: f64,
        /// The sample rate.
        rate_hz: f64,
    },
}

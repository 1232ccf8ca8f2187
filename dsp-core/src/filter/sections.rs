use std::f64::consts::{FRAC_PI_2, TAU};

use super::warp::EDGE_OF_NYQUIST;
use super::{Cascade, FirstOrderSections};
use crate::response::{Root, Shape};

/// The digital form of a [`Shape`], its gain excepted.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sections(Form);

#[derive(Debug, Clone, Copy, PartialEq)]
#[expect(
    clippy::large_enum_variant,
    reason = "designed on the audio thread, where nothing may be put on the heap"
)]
enum Form {
    /// Of a ratio of first order or less: three sections, quick enough to be designed for every frame.
    FirstOrder(FirstOrderSections),
    /// Of any other.
    Cascade(Cascade),
}

impl Sections {
    /// Sample rates that the filter is made for, lowest and highest, in Hz.
    pub const RATES_HZ: (f64, f64) = (8_000.0, 384_000.0);

    /// Designs the sections of a shape (its gain excepted) at `rate_hz`.
    pub fn new(shape: &Shape, rate_hz: f64) -> Self {
        Self(match shape.as_first_order() {
            Some(shape) => {
                Form::FirstOrder(FirstOrderSections::new(shape.zero_rad_s, shape.pole_rad_s, rate_hz))
            }
            None => Form::Cascade(Cascade::new(&shape.zeros, &shape.poles, rate_hz)),
        })
    }

    /// `|K|²` of the sections at `hz`.
    pub fn power(&self, hz: f64, rate_hz: f64) -> f64 {
        match &self.0 {
            Form::FirstOrder(sections) => sections.power(hz, rate_hz),
            Form::Cascade(cascade) => cascade.power(hz, rate_hz),
        }
    }

    /// The frequency up to which the bound holds at `rate_hz`: 20 kHz, or 0.907 of Nyquist if that is lower.
    pub fn accurate_to_hz(rate_hz: f64) -> f64 {
        (EDGE_OF_NYQUIST * rate_hz / 2.0).min(20_000.0)
    }

    /// The largest difference in dB between the digital and the analog magnitude of `shape` up to
    /// [`Self::accurate_to_hz`], computed on a grid dense towards the top, where the ripples are narrow, and densely around every
    /// resonance. Infinite with a zero pair without decay in this band: at the bottom of a notch of infinite depth decibels have
    /// no bound.
    pub fn worst_error_db(shape: &Shape, rate_hz: f64) -> f64 {
        if shape.is_flat() {
            return 0.0;
        }
        let unit = Shape { gain: 1.0, ..*shape };
        let sections = Self::new(&unit, rate_hz);
        let top_hz = Self::accurate_to_hz(rate_hz);
        let pairs = || shape.zeros.iter().chain(shape.poles.iter()).filter(|root| !root.is_real());
        if pairs().any(|pair| pair.decay_rad_s == 0.0 && pair.ring_rad_s <= TAU * top_hz) {
            return f64::INFINITY;
        }
        (1..=512)
            .map(|i| top_hz * (FRAC_PI_2 * f64::from(i) / 512.0).sin())
            .chain(pairs().flat_map(around).filter(|hz| (0.0..=top_hz).contains(hz)))
            .map(|hz| (10.0 * (sections.power(hz, rate_hz) / unit.power(hz)).log10()).abs())
            .fold(0.0, f64::max)
    }
}

/// Frequencies in Hz around the resonance of a pair, four times its decay to each side: what moves a resonance a little
/// shows most on its flanks, one decay off.
fn around(pair: &Root) -> impl Iterator<Item = f64> + use<> {
    let Root { decay_rad_s, ring_rad_s } = *pair;
    (-32..=32).map(move |i| (ring_rad_s + decay_rad_s * f64::from(i) / 8.0) / TAU)
}

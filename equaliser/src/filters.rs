use biquad::{Biquad, Coefficients, DirectForm2Transposed, ToHertz, Type};
use dsp_core::filter::Sections;

use crate::EqualiserError;
use crate::band::{Band, BandKind, Prototype, warped};

/// The most that a band may boost or cut, in dB.
pub(crate) const MOST_GAIN_DB: f64 = 60.0;

/// The Q that a band may have, lowest and highest.
pub(crate) const ANY_Q: (f64, f64) = (0.05, 100.0);

/// Below this (-600 dB) a state is zero: left alone it would decay into denormal numbers.
const NEGLIGIBLE: f64 = 1e-30;

/// Bands in series at a sample rate, for one channel of sound; another channel is a clone of it.
#[derive(Debug, Clone)]
pub struct Equaliser {
    bands: Vec<Band>,
    filters: Vec<DirectForm2Transposed<f64>>,
    rate_hz: f64,
}

impl Equaliser {
    /// Bands in series at `rate_hz`, 8 to 384 kHz.
    ///
    /// # Errors
    /// The first setting that no filter can have.
    pub fn new(bands: Vec<Band>, rate_hz: f64) -> Result<Self, EqualiserError> {
        if !(Sections::RATES_HZ.0..=Sections::RATES_HZ.1).contains(&rate_hz) {
            return Err(EqualiserError::Rate { given_hz: rate_hz });
        }
        let designed = bands.iter().enumerate().map(|(index, band)| coefficients(index, band, rate_hz));
        let filters = designed.map(|band| band.map(DirectForm2Transposed::new)).collect::<Result<_, _>>()?;
        Ok(Self { bands, filters, rate_hz })
    }

    /// Its bands, in order.
    pub fn bands(&self) -> &[Band] {
        &self.bands
    }

    /// Its response at `hz` as `|H|²`; above half the sample rate that at half the sample rate.
    pub fn power(&self, hz: f64) -> f64 {
        let warped_hz = warped(hz.min(self.rate_hz / 2.0), self.rate_hz);
        self.bands.iter().map(|band| Prototype::new(band, self.rate_hz).power(warped_hz)).product()
    }

    /// The same in dB.
    pub fn db(&self, hz: f64) -> f64 {
        10.0 * self.power(hz).log10()
    }

    /// The most that it boosts from 20 Hz to 20 kHz, in dB.
    pub fn most_db(&self) -> f64 {
        audible_hz().map(|hz| self.db(hz)).fold(f64::NEG_INFINITY, f64::max)
    }

    /// Goes on with the sound where the last block ended. A sample that is not finite is taken as silence.
    pub fn process(&mut self, block: &mut [f64]) {
        for sample in block.iter_mut() {
            let heard = if sample.is_finite() { *sample } else { 0.0 };
            *sample = self.filters.iter_mut().fold(heard, |sound, filter| filter.run(sound));
        }
        for filter in &mut self.filters {
            for state in [&mut filter.s1, &mut filter.s2] {
                if state.abs() < NEGLIGIBLE {
                    *state = 0.0;
                }
            }
        }
    }
}

/// From 20 Hz to 20 kHz, a semitone apart, in Hz.
pub(crate) fn audible_hz() -> impl Iterator<Item = f64> {
    (0..=120).map(|semitone| 20.0 * (f64::from(semitone) / 12.0).exp2().min(1000.0))
}

fn coefficients(index: usize, band: &Band, rate_hz: f64) -> Result<Coefficients<f64>, EqualiserError> {
    let Band { kind, hz, gain_db, q } = *band;
    let below_hz = rate_hz / 2.0;
    if !(hz > 0.0 && hz < below_hz) {
        return Err(EqualiserError::Frequency { band: index, given_hz: hz, below_hz });
    }
    if !(-MOST_GAIN_DB..=MOST_GAIN_DB).contains(&gain_db) {
        return Err(EqualiserError::Gain { band: index, given_db: gain_db });
    }
    if !(ANY_Q.0..=ANY_Q.1).contains(&q) {
        return Err(EqualiserError::Q { band: index, given: q });
    }
    let filter = match kind {
        BandKind::LowShelf => Type::LowShelf(gain_db),
        BandKind::Bell => Type::PeakingEQ(gain_db),
    };
    let designed = Coefficients::from_params(filter, rate_hz.hz(), hz.hz(), q);
    Ok(designed.expect("frequency and Q have been looked at"))
}

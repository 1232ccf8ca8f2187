use serde::Serialize;

use super::band::{Band, EDGE, ThirdOctaves};

/// Bands that lie further below the loudest say nothing: there an encoder hears, and keeps, noise. In dB.
const HEARD_DB: f64 = 60.0;

/// What encoding changed: the decoded sound against what was encoded.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct DecodedError {
    /// Power of the sound against that of the difference; `None` for silence, and where there is no difference.
    pub signal_to_error_db: Option<f64>,
    /// Of the third-octave bands from 31.5 Hz to 16 kHz that are at most 60 dB below the loudest.
    pub bands: Vec<BandError>,
}

/// One band.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct BandError {
    pub midband_hz: f64,
    /// How much louder it has become.
    pub error_db: f64,
}

impl DecodedError {
    /// The largest of bands that have something of the notes from `lowest_hz` up.
    pub fn worst_from(&self, lowest_hz: f64) -> Option<BandError> {
        self.worst(|band| band.upper_hz() >= lowest_hz)
    }

    /// The largest of bands below, where nothing is played.
    pub fn worst_below(&self, lowest_hz: f64) -> Option<BandError> {
        self.worst(|band| band.upper_hz() < lowest_hz)
    }

    fn worst(&self, counts: impl Fn(&BandError) -> bool) -> Option<BandError> {
        let bands = self.bands.iter().copied().filter(counts);
        bands.max_by(|a, b| a.error_db.abs().total_cmp(&b.error_db.abs()))
    }
}

impl BandError {
    fn upper_hz(&self) -> f64 {
        self.midband_hz * EDGE
    }

    /// Its size, rounded up to a tenth of a dB: within that much.
    pub fn within_db(&self) -> f64 {
        (self.error_db.abs() * 10.0).ceil().max(1.0) / 10.0
    }
}

/// Compares two signals that pass by side by side.
pub struct ErrorMeter {
    signal: f64,
    error: f64,
    original: ThirdOctaves,
    decoded: ThirdOctaves,
}

impl ErrorMeter {
    pub fn new(rate_hz: u32, channels: usize) -> Self {
        let bands = || ThirdOctaves::new(rate_hz, channels);
        Self { signal: 0.0, error: 0.0, original: bands(), decoded: bands() }
    }

    /// Adds two blocks of one length.
    pub fn add(&mut self, original: &[Vec<f64>], decoded: &[Vec<f64>]) {
        for (was, is) in original.iter().flatten().zip(decoded.iter().flatten()) {
            self.signal += was * was;
            self.error += (was - is).powi(2);
        }
        self.original.add(original);
        self.decoded.add(decoded);
    }

    pub fn finish(self) -> DecodedError {
        let (original, decoded) = (self.original.finish(), self.decoded.finish());
        let loudest = original.iter().map(|band| band.power).fold(0.0, f64::max);
        let heard = |band: &Band| band.power > 0.0 && band.power >= loudest * 10f64.powf(-HEARD_DB / 10.0);
        let pairs = original.iter().zip(&decoded).filter(|(was, _)| heard(was));
        let error = |(was, is): (&Band, &Band)| BandError {
            midband_hz: was.midband_hz,
            error_db: 10.0 * (is.power / was.power).max(1e-30).log10(),
        };
        let ratio = 10.0 * (self.signal / self.error).log10();
        DecodedError {
            signal_to_error_db: ratio.is_finite().then_some(ratio),
            bands: pairs.map(error).collect(),
        }
    }
}

#[cfg(test)]
mod tests {
    use std::f64::consts::TAU;

    use super::*;

    fn sine(hz: f64, amplitude: f64) -> Vec<f64> {
        (0..96_000).map(|frame| amplitude * (TAU * hz * f64::from(frame) / 48_000.0).sin()).collect()
    }

    fn sum(a: &[f64], b: &[f64]) -> Vec<f64> {
        a.iter().zip(b).map(|(a, b)| a + b).collect()
    }

    /// A tone of which a tenth is missing, `20 log10 0.9`, beside one that is whole.
    #[test]
    fn what_is_missing_is_found_where_it_is_missing() {
        let (low, high) = (sine(100.0, 0.5), sine(4000.0, 0.1));
        let mut meter = ErrorMeter::new(48_000, 1);
        meter.add(&[sum(&low, &high)], &[sum(&low, &sine(4000.0, 0.09))]);
        let error = meter.finish();
        let worst = error.worst_from(100.0).unwrap();
        assert!((worst.error_db + 0.915).abs() < 0.001, "{error:?}");
        assert!((worst.midband_hz - 3981.0).abs() < 1.0 && worst.within_db() == 1.0, "{error:?}");
        assert_eq!(error.worst_below(5000.0), Some(worst));
        assert!(error.worst_below(3000.0).unwrap().error_db.abs() < 0.001);
        let expected = 10.0 * ((0.25 + 0.01) / 0.0001_f64).log10();
        assert!((error.signal_to_error_db.unwrap() - expected).abs() < 0.001, "{error:?}");
    }

    /// What is 80 dB below the loudest is not heard; silence has no error, and neither has what is the same.
    #[test]
    fn silence_and_nothing() {
        let loud = sine(100.0, 0.5);
        let mut meter = ErrorMeter::new(48_000, 1);
        meter.add(&[sum(&loud, &sine(4000.0, 5e-5))], std::slice::from_ref(&loud));
        assert!(meter.finish().bands.iter().all(|band| band.error_db.abs() < 0.001));
        let mut meter = ErrorMeter::new(48_000, 1);
        meter.add(std::slice::from_ref(&loud), std::slice::from_ref(&loud));
        let error = meter.finish();
        assert_eq!((error.signal_to_error_db, error.worst_from(31.5).unwrap().error_db), (None, 0.0));
        let mut meter = ErrorMeter::new(48_000, 1);
        meter.add(&[vec![0.0; 1000]], &[vec![0.0; 1000]]);
        let error = meter.finish();
        assert_eq!((error.signal_to_error_db, error.worst_from(31.5)), (None, None));
    }
}

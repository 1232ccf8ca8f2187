use dsp_core::filter::Sections;

use crate::EqualiserError;

/// The top of what an equaliser is asked for, in Hz.
const TOP_HZ: f64 = 16e3;

/// From the lowest string's fundamental down to here, a major third below, so that the string does not stand at the very edge.
const BELOW: f64 = -1.0 / 3.0;

/// Points are a semitone apart, so that every octave counts the same.
const POINTS_AN_OCTAVE: f64 = 12.0;

/// So many of them become one where a rough answer will do.
const THINNED: usize = 3;

/// What is asked for at most, in dB.
const MOST_DB: f64 = 120.0;

/// The boost that an equaliser is to give, over the band that it is judged in.
#[derive(Debug, Clone, PartialEq)]
pub struct Needed {
    points: Vec<(f64, f64)>,
    rate_hz: f64,
}

impl Needed {
    /// `db` of a frequency in Hz, from a third below `lowest_hz` to 16 kHz, or as far as filters are accurate at `rate_hz`.
    ///
    /// # Errors
    /// If the lowest string lies above that.
    pub fn new(lowest_hz: f64, rate_hz: f64, db: impl Fn(f64) -> f64) -> Result<Self, EqualiserError> {
        let (from_hz, to_hz) = (lowest_hz * BELOW.exp2(), Sections::accurate_to_hz(rate_hz).min(TOP_HZ));
        if !(lowest_hz > 0.0 && lowest_hz < to_hz) {
            return Err(EqualiserError::NoBand { lowest_hz, to_hz, rate_hz });
        }
        let octaves = (to_hz / from_hz).log2();
        let steps = (POINTS_AN_OCTAVE * octaves).ceil();
        let at = |i: f64| if i < steps { from_hz * (octaves * i / steps).exp2() } else { to_hz };
        let indices = std::iter::successors(Some(0.0), |i| (*i < steps).then_some(i + 1.0));
        let points = indices.map(at).map(|hz| (hz, Self::bounded(db(hz)))).collect();
        Ok(Self { points, rate_hz })
    }

    /// Frequency in Hz and what is needed there in dB, from low to high, a semitone apart or a little less.
    pub fn points(&self) -> &[(f64, f64)] {
        &self.points
    }

    /// What is flat of it, in dB: the least that is needed anywhere, if that is a boost. Any gain control gives it back.
    pub fn flat_db(&self) -> f64 {
        self.points.iter().map(|(_, db)| *db).fold(f64::INFINITY, f64::min).max(0.0)
    }

    /// The same with nothing asked for beyond so much above what is flat.
    #[must_use]
    pub fn within(&self, most_boost_db: f64) -> Self {
        let most_db = self.flat_db() + most_boost_db;
        let points = self.points.iter().map(|(hz, db)| (*hz, db.min(most_db))).collect();
        Self { points, ..*self }
    }

    /// The same at fewer points, a quarter of an octave apart.
    pub(crate) fn thinned(&self) -> Self {
        Self { points: self.points.iter().step_by(THINNED).copied().collect(), ..*self }
    }

    /// A boost as it is asked for: at most 120 dB either way, since where two pickups cancel it has no end.
    pub const fn bounded(db: f64) -> f64 {
        if db.is_nan() { 0.0 } else { db.clamp(-MOST_DB, MOST_DB) }
    }

    /// The sample rate that it was made for.
    pub const fn rate_hz(&self) -> f64 {
        self.rate_hz
    }
}

//! A take's noise as one thing.

use super::floor::{Band, Floor};
use super::frames::{Frame, Frames};
use super::hum::{Hum, Line, Search};
use super::quietest::Quietest;

/// Parts of an octave in which the floor is added up.
const PARTS: f64 = 24.0;

/// What was found where noise was looked for.
#[derive(Debug, Clone, PartialEq)]
pub enum Quiet {
    /// This noise.
    Noise(TakeNoise),
    /// Digital silence: there is none, or a gate took it.
    Silence,
    /// Nothing: the take, or the stretch that was named, has no frame of [`super::NoiseMeter::LEAST_SECONDS`].
    TooShort,
}

impl Quiet {
    /// If there is any.
    pub const fn noise(&self) -> Option<&TakeNoise> {
        match self {
            Self::Noise(noise) => Some(noise),
            Self::Silence | Self::TooShort => None,
        }
    }
}

/// A third octave of the floor.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Third {
    /// Its middle in Hz (IEC 61260-1).
    pub hz: f64,
    /// Power per hertz; full scale is an amplitude of one.
    pub density: f64,
}

/// The noise of a take, as the mean over its channels.
#[derive(Debug, Clone, PartialEq)]
pub struct TakeNoise {
    /// The floor, from low to high.
    pub thirds: Vec<Third>,
    /// The mains, if it stands above the floor.
    pub hum: Option<Hum>,
}

/// Of the frames that were kept.
pub fn quiet(grid: &Frames, bands: &[Band], kept: Quietest) -> Quiet {
    if kept.is_silence() {
        return Quiet::Silence;
    }
    let named = kept.is_named();
    let frames = kept.frames();
    of_frames(grid, bands, &frames.iter().collect::<Vec<_>>(), named)
}

/// Of these frames, in the order of the take, which are noise if they were `named`.
pub fn of_frames(grid: &Frames, bands: &[Band], frames: &[&Frame], named: bool) -> Quiet {
    if frames.is_empty() { Quiet::TooShort } else { Quiet::Noise(TakeNoise::of(grid, bands, frames, named)) }
}

impl TakeNoise {
    fn of(grid: &Frames, bands: &[Band], frames: &[&Frame], named: bool) -> Self {
        let powers = |index: usize| frames.iter().map(|frame| frame.thirds[index]).collect::<Vec<f64>>();
        let floors: Vec<Floor> =
            bands.iter().enumerate().map(|(index, band)| band.floor(&powers(index), named)).collect();
        let measured: Vec<Third> =
            floors.iter().map(|floor| Third { hz: floor.middle_hz, density: floor.density }).collect();
        let density = |hz: f64| between(&measured, hz);
        let hum = Search { grid, frames, floors: &floors, density: &density }.hum();
        let thirds = bands.iter().map(|band| Third { hz: band.hz, density: density(band.hz) }).collect();
        Self { thirds, hum }
    }

    /// The floor's power per hertz at `hz`.
    pub fn density(&self, hz: f64) -> f64 {
        between(&self.thirds, hz)
    }

    /// The floor by itself.
    #[must_use]
    pub fn without_hum(&self) -> Self {
        Self { hum: None, ..self.clone() }
    }

    /// The mains' lines in a band in Hz.
    pub fn lines(&self, band_hz: (f64, f64)) -> impl Iterator<Item = &Line> {
        let lines = self.hum.iter().flat_map(|hum| &hum.lines);
        lines.filter(move |line| (band_hz.0..=band_hz.1).contains(&line.hz))
    }

    /// Power of floor and lines in a band in Hz, each frequency weighted.
    pub fn power(&self, band_hz: (f64, f64), weight: impl Fn(f64) -> f64) -> f64 {
        let lines = self.lines(band_hz).map(|line| line.power * weight(line.hz)).sum::<f64>();
        let octaves = (band_hz.1 / band_hz.0).log2();
        let parts = (octaves * PARTS).ceil().max(1.0);
        let edge = |part: f64| band_hz.0 * (octaves * part / parts).exp2();
        let of = |part: f64| {
            let middle_hz = edge(part + 0.5);
            (edge(part + 1.0) - edge(part)) * self.density(middle_hz) * weight(middle_hz)
        };
        let count = crate::sweep::frames(parts, 1.0);
        lines + (0..count).map(|part| of(super::frames::to_f64(part))).sum::<f64>()
    }
}

/// Along straight lines of level over the logarithm of frequency; beyond the ends level.
fn between(thirds: &[Third], hz: f64) -> f64 {
    let above = thirds.partition_point(|third| third.hz < hz);
    let (Some(low), Some(high)) =
        (above.checked_sub(1).and_then(|below| thirds.get(below)), thirds.get(above))
    else {
        return if above == 0 { thirds.first() } else { thirds.last() }.map_or(0.0, |third| third.density);
    };
    let part = (hz / low.hz).ln() / (high.hz / low.hz).ln();
    low.density.powf(1.0 - part) * high.density.powf(part)
}

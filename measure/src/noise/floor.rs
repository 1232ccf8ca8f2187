//! The floor in third octaves, with what the mains may have put there left out.

use super::frames::{Frame, Frames, LINES_TO_HZ, REACH, to_f64};
use super::quietest::noise_of;

/// Third octaves of IEC 61260-1 (ratio 10^(1/10), from memory), counted from that at 1 kHz: 20 Hz to 16 kHz.
const THIRDS: std::ops::RangeInclusive<i32> = -17..=12;

/// What lies above this part of the rate is the converter's filter.
const TOP: f64 = 0.45;

/// How far harmonics may lie off those of the nominal frequency, as a part: 0.2 Hz of 50.
const OFF: f64 = 0.004;

/// The world's nominal frequencies, in Hz.
pub const NOMINAL_HZ: [f64; 2] = [50.0, 60.0];

/// A third octave and the bins in it that no line of the mains can reach.
pub struct Band {
    pub hz: f64,
    bins: Vec<usize>,
    /// Where these lie, as the mean of their logarithm.
    pub middle_hz: f64,
    /// How many independent values of noise are in them.
    freedom: f64,
}

/// What a band has of noise.
pub struct Floor {
    pub middle_hz: f64,
    /// Power per hertz.
    pub density: f64,
    /// Of each frame whether it is nothing but noise there.
    pub quiet: Vec<bool>,
}

/// All of them, from low to high.
pub fn bands(frames: &Frames) -> Vec<Band> {
    let edge = |k: i32, half: f64| 1e3 * 10f64.powf((f64::from(k) + half) / 10.0);
    let band = |k: i32| {
        let (low, high) = (edge(k, -0.5), edge(k, 0.5));
        let bins = (0..=frames.length() / 2).filter(|bin| (low..high).contains(&frames.hz(*bin)));
        let bins: Vec<usize> = bins.filter(|bin| is_clear(frames, frames.hz(*bin))).collect();
        Band {
            hz: edge(k, 0.0),
            middle_hz: (bins.iter().map(|bin| frames.hz(*bin).ln()).sum::<f64>() / to_f64(bins.len())).exp(),
            freedom: freedom(&bins),
            bins,
        }
    };
    THIRDS.filter(|k| edge(*k, 0.5) < TOP * frames.rate_hz()).map(band).collect()
}

fn is_clear(frames: &Frames, hz: f64) -> bool {
    let reach_hz = to_f64(REACH) * frames.bin_hz();
    let clear = |nominal_hz: f64| {
        let line_hz = nominal_hz * (hz / nominal_hz).round().max(1.0);
        (hz - line_hz).abs() > reach_hz + OFF * hz
    };
    hz > LINES_TO_HZ * (1.0 + OFF) + reach_hz || NOMINAL_HZ.into_iter().all(clear)
}

/// `n² / Σ ρ²` over all pairs of bins: the variance of their sum is that of so many independent ones.
fn freedom(bins: &[usize]) -> f64 {
    let related: Vec<f64> = (0..=8).map(Frames::related).collect();
    let with = |bin: &usize| -> f64 {
        let of = |other: &usize| related.get(bin.abs_diff(*other)).copied().unwrap_or(0.0);
        let at = bins.partition_point(|other| other + 8 < *bin);
        bins[at..].iter().take_while(|other| **other <= bin + 8).map(of).sum()
    };
    to_f64(bins.len()).powi(2) / bins.iter().map(with).sum::<f64>()
}

impl Band {
    /// Its mean density in a frame.
    pub fn mean(&self, frame: &Frame) -> f64 {
        self.bins.iter().map(|bin| frame.density[*bin]).sum::<f64>() / to_f64(self.bins.len())
    }

    /// Its noise, of its means in all frames, which are noise if they were `named`.
    pub fn floor(&self, powers: &[f64], named: bool) -> Floor {
        if named {
            let density = powers.iter().sum::<f64>() / to_f64(powers.len());
            return Floor { middle_hz: self.middle_hz, density, quiet: vec![true; powers.len()] };
        }
        let (density, noise) = noise_of(powers, self.freedom);
        let mut quiet = vec![false; powers.len()];
        noise.into_iter().for_each(|index| quiet[index] = true);
        Floor { middle_hz: self.middle_hz, density, quiet }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Every third octave has bins of its own at every rate, none within reach of a line.
    #[test]
    fn every_band_has_bins_that_no_line_reaches() {
        for rate_hz in [8e3, 44.1e3, 48e3, 96e3, 192e3] {
            let frames = Frames::new(rate_hz);
            let bands = bands(&frames);
            assert!(bands.len() > 20 && bands.iter().all(|band| band.bins.len() >= 3 && band.freedom > 1.0));
            let near =
                |bin: &usize| (frames.hz(*bin) - 150.0).abs() < 3.5 || (frames.hz(*bin) - 60.0).abs() < 3.5;
            assert!(!bands.iter().flat_map(|band| &band.bins).any(near));
            let last = bands.last().unwrap();
            assert!((last.hz / 15_849.0 - 1.0).abs() < 1e-3 || rate_hz < 40e3, "{}", last.hz);
        }
    }
}

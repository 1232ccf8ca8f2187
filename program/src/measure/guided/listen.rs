//! What a step's recording has in it: the levels of the whole, of the sweeps' lows where they stand, and of what is left behind them.

use firstjack_measure::Recording;
use firstjack_measure::sweep::{Sweep, levels};

use super::heard::Heard;

/// The lows of a sweep, in Hz: behind 100 kΩ a capacitive pickup takes little of them, and the mains' own frequency is not among them.
const LOWS_HZ: (f64, f64) = (80.0, 400.0);

/// Listens to a recording of a sweep of `level_db`.
pub fn listen(recording: &Recording, level_db: f64, dropouts: usize) -> Heard {
    let levels = levels(recording);
    let (begin, amplitude) = lows(recording, level_db);
    let sounded = begin + count(Sweep::COUNT) * (Sweep::SECONDS + Sweep::GAP_SECONDS);
    let rest = recording.samples.get(frames(sounded, recording.rate_hz)..).unwrap_or_default();
    Heard {
        peak_db: levels.peak_db,
        clipped: levels.clipped,
        sweeps: levels.sweeps_found,
        gain_db: 20.0 * amplitude.log10(),
        noise_db: 10.0 * mean_square(rest).log10(),
        latency_seconds: begin - Sweep::GAP_SECONDS,
        dropouts,
    }
}

/// Where the first sweep begins, in seconds, and how large the lows of all three are against what was played.
fn lows(recording: &Recording, level_db: f64) -> (f64, f64) {
    let rate_hz = recording.rate_hz;
    let sweep = Sweep::new(rate_hz, level_db);
    let octaves = (sweep.highest_hz() / Sweep::LOWEST_HZ).ln();
    let at = |hz: f64| frames(Sweep::SECONDS * (hz / Sweep::LOWEST_HZ).ln() / octaves, rate_hz);
    let (from, to) = (at(LOWS_HZ.0), at(LOWS_HZ.1));
    let played = &sweep.once()[from..to];
    let likeness = correlation(&recording.samples, played);
    let every = frames(Sweep::SECONDS + Sweep::GAP_SECONDS, rate_hz);
    // All three at once: a knock is only at one of them.
    let together =
        |frame: usize| (0..Sweep::COUNT).map(|nth| likeness[frame + nth * every].abs()).sum::<f64>();
    let places = likeness.len().saturating_sub((Sweep::COUNT - 1) * every);
    let Some(best) = (0..places).max_by(|a, b| together(*a).total_cmp(&together(*b))) else {
        return (Sweep::GAP_SECONDS, 0.0);
    };
    let energy: f64 = played.iter().map(|sample| sample * sample).sum();
    let amplitude = together(best) / (energy * count(Sweep::COUNT));
    ((count(best) - count(from)) / rate_hz, amplitude)
}

/// Of nothing it is nothing.
fn mean_square(samples: &[f64]) -> f64 {
    samples.iter().map(|sample| sample * sample).sum::<f64>() / count(samples.len().max(1))
}

/// `Σ heard[n + k] played[k]` for every n where all of `played` lies within, by the transforms of both.
fn correlation(heard: &[f64], played: &[f64]) -> Vec<f64> {
    let length = heard.len().max(played.len()).next_power_of_two();
    let (forward, inverse) = (firstjack_fourier::real(length), firstjack_fourier::real_back(length));
    let spectrum = |samples: &[f64]| {
        let mut padded = samples.to_vec();
        padded.resize(length, 0.0);
        let mut spectrum = forward.make_output_vec();
        forward.process(&mut padded, &mut spectrum).expect("buffers of its own lengths");
        spectrum
    };
    let mut product = spectrum(heard);
    for (bin, of_played) in product.iter_mut().zip(spectrum(played)) {
        *bin *= of_played.conj() / count(length);
    }
    let mut likeness = inverse.make_output_vec();
    // The first and the last bin are real but for rounding, which the transform would refuse.
    for edge in [0, length / 2] {
        product[edge].im = 0.0;
    }
    inverse.process(&mut product, &mut likeness).expect("buffers of its own lengths");
    likeness.truncate((heard.len() + 1).saturating_sub(played.len()));
    likeness
}

#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a few seconds of any rate")]
fn frames(seconds: f64, rate_hz: f64) -> usize {
    (seconds * rate_hz).round() as usize
}

#[expect(clippy::cast_precision_loss, reason = "frames of a few seconds")]
fn count(frames: usize) -> f64 {
    frames as f64
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The sweep through a gain, later by some frames, with hum of 50 Hz.
    fn recording(rate_hz: f64, gain: f64, late: usize, hum: f64) -> Recording {
        let played = Sweep::new(rate_hz, -40.0).samples();
        let sound = std::iter::repeat_n(0.0, late)
            .chain(played)
            .chain(std::iter::repeat_n(0.0, frames(1.0, rate_hz)));
        let hum = |n: usize| hum * (std::f64::consts::TAU * 50.0 * count(n) / rate_hz).sin();
        Recording { rate_hz, samples: sound.enumerate().map(|(n, sample)| gain * sample + hum(n)).collect() }
    }

    #[test]
    fn gain_and_latency_are_found_under_hum() {
        for (rate_hz, gain, late, hum) in
            [(44_100.0, 1.0, 0, 0.0), (48_000.0, 0.25, 1234, 0.005), (96_000.0, 3.0, 40_000, 0.03)]
        {
            let (begin, amplitude) = lows(&recording(rate_hz, gain, late, hum), -40.0);
            let latency = begin - Sweep::GAP_SECONDS;
            assert!((latency - count(late) / rate_hz).abs() < 0.5e-3, "{latency} s of {late} frames");
            let off_db = 20.0 * (amplitude / gain).log10();
            assert!(off_db.abs() < 0.3, "{off_db} dB off at {rate_hz} Hz");
        }
    }

    #[test]
    fn nothing_and_too_little_are_no_gain() {
        for samples in [vec![], vec![0.0; 100], vec![0.0; 480_000]] {
            let (_, amplitude) = lows(&Recording { rate_hz: 48_000.0, samples }, -40.0);
            assert!(amplitude == 0.0, "{amplitude}");
        }
    }
}

//! The mains in a recording: its frequency and its harmonics, found where no sweep sounds, and taken away everywhere.

use std::f64::consts::PI;

use realfft::num_complex::Complex;

use super::Sweep;
use super::lengths::frames;
use crate::Recording;

/// Harmonics up to this are looked at, in Hz.
pub(super) const HIGHEST_HZ: f64 = 1_300.0;
/// The world's nominal frequencies.
const NOMINAL_HZ: [f64; 2] = [50.0, 60.0];
/// Grids stay within this of their nominal frequency, in Hz (common practice, no source), looked at in such steps.
const OFF_HZ: f64 = 0.2;
const STEPS: i32 = 40;
/// So many harmonics tell the frequency.
const TELLING: i32 = 6;
/// Silence begins so long after a sweep, in seconds: what rings has died away; and ends so long before the next.
const AFTER_SECONDS: f64 = 0.08;
const BEFORE_SECONDS: f64 = 0.02;
/// Rounds over the harmonics, each fitted to what the others leave.
const ROUNDS: usize = 4;

/// One frequency and the phasors of its multiples.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Mains {
    pub hz: f64,
    phasors: Vec<Complex<f64>>,
}

impl Mains {
    /// What is in the silences of a recording; nothing, if there are none.
    pub fn find(recording: &Recording, first: usize) -> Option<Self> {
        let silences = silences(recording, first);
        let (hz, _) = NOMINAL_HZ
            .into_iter()
            .map(|hz| strongest(recording, &silences, hz))
            .max_by(|a, b| a.1.total_cmp(&b.1))?;
        let phasors = phasors(recording, &silences, hz)?;
        Some(Self { hz, phasors })
    }

    /// The recording without it.
    pub fn without(&self, recording: &Recording) -> Vec<f64> {
        let mut samples = recording.samples.clone();
        for (harmonic, phasor) in (1..).zip(&self.phasors) {
            let turn = 2.0 * PI * f64::from(harmonic) * self.hz / recording.rate_hz;
            take(&mut samples, 0, turn, *phasor);
        }
        samples
    }
}

/// Whether a frequency is clear of all multiples of the mains, in Hz.
pub(super) fn is_clear(hz: f64, mains_hz: f64, apart_hz: f64) -> bool {
    hz > HIGHEST_HZ || (hz - mains_hz * (hz / mains_hz).round().max(1.0)).abs() > apart_hz
}

/// First frame and end of each stretch without a sweep.
fn silences(recording: &Recording, first: usize) -> Vec<(usize, usize)> {
    let of = |seconds| frames(seconds, recording.rate_hz);
    let starts = (0..Sweep::COUNT).map(|k| first + k * of(Sweep::SECONDS + Sweep::GAP_SECONDS));
    let ends = starts.clone().map(|start| start + of(Sweep::SECONDS + AFTER_SECONDS));
    let from = std::iter::once(0).chain(ends);
    // Behind the last one no more than in front of it: who knows what is done there.
    let last = first + Sweep::COUNT * of(Sweep::SECONDS + Sweep::GAP_SECONDS);
    let to = starts
        .map(|start| start.saturating_sub(of(BEFORE_SECONDS)))
        .chain([last.min(recording.samples.len())]);
    from.zip(to)
        .map(|(from, to)| (from.max(to.saturating_sub(of(Sweep::GAP_SECONDS))), to))
        .filter(|(from, to)| from < to)
        .collect()
}

/// The frequency near a nominal one at which its first harmonics are strongest together, and how strong.
fn strongest(recording: &Recording, silences: &[(usize, usize)], nominal_hz: f64) -> (f64, f64) {
    let power = |hz: f64| -> f64 {
        (1..=TELLING)
            .map(|harmonic| {
                let turn = 2.0 * PI * f64::from(harmonic) * hz / recording.rate_hz;
                silences
                    .iter()
                    .map(|(from, to)| projected(&recording.samples[*from..*to], *from, turn))
                    .sum::<Complex<f64>>()
            })
            .map(|sum| sum.norm_sqr())
            .sum()
    };
    let step = OFF_HZ / f64::from(STEPS);
    let tried: Vec<(f64, f64)> =
        (-STEPS..=STEPS).map(|k| nominal_hz + f64::from(k) * step).map(|hz| (hz, power(hz))).collect();
    let (best, (hz, most)) = tried
        .iter()
        .enumerate()
        .max_by(|a, b| a.1.1.total_cmp(&b.1.1))
        .map(|(k, tried)| (k, *tried))
        .unwrap_or_default();
    let beside = |k: Option<usize>| k.and_then(|k| tried.get(k)).map(|(_, power)| *power);
    let (Some(below), Some(above)) = (beside(best.checked_sub(1)), beside(Some(best + 1))) else {
        return (hz, most);
    };
    let bend = below - 2.0 * most + above;
    (if bend < 0.0 { hz + 0.5 * step * (below - above) / bend } else { hz }, most)
}

/// Least squares of all harmonics, one after the other, until each is fitted to what the others leave.
fn phasors(recording: &Recording, silences: &[(usize, usize)], hz: f64) -> Option<Vec<Complex<f64>>> {
    let total: usize = silences.iter().map(|(from, to)| to - from).sum();
    if total < frames(0.1, recording.rate_hz) {
        return None;
    }
    #[expect(clippy::cast_precision_loss, reason = "frames of a few seconds")]
    let share = 2.0 / total as f64;
    let mut left: Vec<(usize, Vec<f64>)> =
        silences.iter().map(|(from, to)| (*from, recording.samples[*from..*to].to_vec())).collect();
    let harmonics = frames(HIGHEST_HZ / hz, 1.0);
    let mut phasors = vec![Complex::new(0.0, 0.0); harmonics];
    for _ in 0..ROUNDS {
        for (harmonic, phasor) in (1..).zip(&mut phasors) {
            let turn = 2.0 * PI * f64::from(harmonic) * hz / recording.rate_hz;
            let more: Complex<f64> =
                left.iter().map(|(from, samples)| projected(samples, *from, turn)).sum::<Complex<f64>>()
                    * share;
            left.iter_mut().for_each(|(from, samples)| take(samples, *from, turn, more));
            *phasor += more;
        }
    }
    Some(phasors)
}

/// `Σ x e^(-j turn n)`, the first sample being the `from`-th.
fn projected(samples: &[f64], from: usize, turn: f64) -> Complex<f64> {
    let step = Complex::cis(-turn);
    let mut phase = at(from, -turn);
    let mut sum = Complex::new(0.0, 0.0);
    for sample in samples {
        sum += phase * *sample;
        phase *= step;
    }
    sum
}

/// Takes `Re(phasor e^(j turn n))` away.
fn take(samples: &mut [f64], from: usize, turn: f64, phasor: Complex<f64>) {
    let step = Complex::cis(turn);
    let mut now = phasor * at(from, turn);
    for sample in samples {
        *sample -= now.re;
        now *= step;
    }
}

#[expect(clippy::cast_precision_loss, reason = "frames of a few minutes")]
fn at(frame: usize, turn: f64) -> Complex<f64> {
    Complex::cis((turn * frame as f64) % (2.0 * PI))
}

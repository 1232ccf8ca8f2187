//! The mains in a recording: its frequency and its harmonics, found where no sweep sounds, and taken away everywhere.

use std::f64::consts::PI;

use realfft::num_complex::Complex;

use super::Sweep;
use super::lengths::frames;
use super::thinned::thinned;
use crate::Recording;

/// Harmonics up to this are looked at, in Hz.
pub(super) const HIGHEST_HZ: f64 = 1_300.0;
/// The world's nominal frequencies.
pub(super) const NOMINAL_HZ: [f64; 2] = [50.0, 60.0];
/// Grids stay within this of their nominal frequency, in Hz (common practice, no source), looked at in such steps.
const OFF_HZ: f64 = 0.2;
const STEPS: i32 = 40;
/// So many harmonics tell the frequency.
const TELLING: i32 = 6;
/// Silence begins so long after a sweep, in seconds: what rings has died away; and ends so long before the next.
const AFTER_SECONDS: f64 = 0.08;
const BEFORE_SECONDS: f64 = 0.02;
/// The rate of the search is the recording's by a whole number, and at least this, in Hz.
const SEARCH_HZ: f64 = 2_400.0;
/// Less silence than this, in seconds, says nothing.
const LEAST_SECONDS: f64 = 0.1;
/// Rounds over the harmonics, each fitted to what the others leave.
const ROUNDS: usize = 2;

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
        let divisor = frames(recording.rate_hz / SEARCH_HZ, 1.0).max(1);
        let few: Vec<Silence> = silences.iter().map(|silence| silence.thinned(divisor)).collect();
        #[expect(clippy::cast_precision_loss, reason = "a divisor of at most 100")]
        let few_hz = recording.rate_hz / divisor as f64;
        let (hz, _) = NOMINAL_HZ
            .into_iter()
            .map(|hz| strongest(&few, few_hz, hz))
            .max_by(|a, b| a.1.total_cmp(&b.1))?;
        let phasors = phasors(silences, recording.rate_hz, hz)?;
        Some(Self { hz, phasors })
    }

    /// Takes it away from samples of which the first is the recording's `from`-th.
    pub fn take_from(&self, samples: &mut [f64], from: usize, rate_hz: f64) {
        for (harmonic, phasor) in (1..).zip(&self.phasors) {
            take(samples, from, 2.0 * PI * f64::from(harmonic) * self.hz / rate_hz, *phasor);
        }
    }
}

/// Whether a frequency is clear of all multiples of the mains, in Hz.
pub(super) fn is_clear(hz: f64, mains_hz: f64, apart_hz: f64) -> bool {
    hz > HIGHEST_HZ || (hz - mains_hz * (hz / mains_hz).round().max(1.0)).abs() > apart_hz
}

/// A stretch without a sweep, and the frame that it begins at.
struct Silence {
    from: usize,
    samples: Vec<f64>,
}

impl Silence {
    fn thinned(&self, divisor: usize) -> Self {
        // From a frame that the low rate has.
        let skipped = (divisor - self.from % divisor) % divisor;
        let samples = self.samples.get(skipped..).unwrap_or_default();
        Self { from: (self.from + skipped) / divisor, samples: thinned(samples, divisor) }
    }
}

fn silences(recording: &Recording, first: usize) -> Vec<Silence> {
    let of = |seconds| frames(seconds, recording.rate_hz);
    let period = of(Sweep::SECONDS + Sweep::GAP_SECONDS);
    let starts = (0..Sweep::COUNT).map(|k| first + k * period);
    let ends = starts.clone().map(|start| start + of(Sweep::SECONDS + AFTER_SECONDS));
    // In front and behind no more than between: who knows what is done there.
    let last = (first + Sweep::COUNT * period).min(recording.samples.len());
    let to = starts.map(|start| start.saturating_sub(of(BEFORE_SECONDS))).chain([last]);
    let from = std::iter::once(first.saturating_sub(of(Sweep::GAP_SECONDS))).chain(ends);
    from.zip(to)
        .filter(|(from, to)| from < to)
        .map(|(from, to)| Silence { from, samples: recording.samples[from..to].to_vec() })
        .collect()
}

/// The frequency near a nominal one at which its first harmonics are strongest together, and how strong.
fn strongest(silences: &[Silence], rate_hz: f64, nominal_hz: f64) -> (f64, f64) {
    let power = |hz: f64| -> f64 {
        (1..=TELLING)
            .map(|harmonic| {
                let turn = 2.0 * PI * f64::from(harmonic) * hz / rate_hz;
                silences.iter().map(|silence| projected(silence, turn)).sum::<Complex<f64>>()
            })
            .map(|sum| sum.norm_sqr())
            .sum()
    };
    let step = OFF_HZ / f64::from(STEPS);
    let tried: Vec<(f64, f64)> =
        (-STEPS..=STEPS).map(|k| nominal_hz + f64::from(k) * step).map(|hz| (hz, power(hz))).collect();
    let best = (0..tried.len()).max_by(|a, b| tried[*a].1.total_cmp(&tried[*b].1)).unwrap_or(0);
    let (hz, most) = tried[best];
    if best == 0 || best + 1 == tried.len() {
        return (hz, most);
    }
    // The summit of the parabola through three.
    let (below, above) = (tried[best - 1].1, tried[best + 1].1);
    let bend = below - 2.0 * most + above;
    (if bend < 0.0 { hz + 0.5 * step * (below - above) / bend } else { hz }, most)
}

/// Least squares of all harmonics, one after the other, until each is fitted to what the others leave.
fn phasors(mut silences: Vec<Silence>, rate_hz: f64, hz: f64) -> Option<Vec<Complex<f64>>> {
    let total: usize = silences.iter().map(|silence| silence.samples.len()).sum();
    if total < frames(LEAST_SECONDS, rate_hz) {
        return None;
    }
    #[expect(clippy::cast_precision_loss, reason = "frames of a few seconds")]
    let share = 2.0 / total as f64;
    let mut phasors = vec![Complex::new(0.0, 0.0); frames(HIGHEST_HZ / hz, 1.0)];
    for _ in 0..ROUNDS {
        for (harmonic, phasor) in (1..).zip(&mut phasors) {
            let turn = 2.0 * PI * f64::from(harmonic) * hz / rate_hz;
            let more = silences.iter().map(|silence| projected(silence, turn)).sum::<Complex<f64>>() * share;
            silences.iter_mut().for_each(|silence| take(&mut silence.samples, silence.from, turn, more));
            *phasor += more;
        }
    }
    Some(phasors)
}

/// `Σ x e^(-j turn n)`.
fn projected(silence: &Silence, turn: f64) -> Complex<f64> {
    let step = Complex::cis(-turn);
    let mut phase = at(silence.from, -turn);
    let mut sum = Complex::new(0.0, 0.0);
    for sample in &silence.samples {
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

#[cfg(test)]
mod tests {
    use super::*;

    /// Cosines that are put in.
    #[test]
    #[expect(clippy::cast_precision_loss, reason = "frames of a few seconds")]
    fn hum_is_found_and_taken_away() {
        for (hz, rate_hz) in [(49.97, 48e3), (60.03, 44.1e3), (50.0, 192e3)] {
            let hum = |frame: usize| -> f64 {
                let phase = 2.0 * PI * hz * frame as f64 / rate_hz;
                0.03 * (phase + 0.4).cos() + 0.01 * (3.0 * phase - 1.0).cos() + 0.002 * (20.0 * phase).cos()
            };
            let first = frames(0.5, rate_hz);
            let samples: Vec<f64> = (0..frames(7.9, rate_hz)).map(hum).collect();
            let recording = Recording { rate_hz, samples };
            let mains = Mains::find(&recording, first).unwrap();
            assert!((mains.hz - hz).abs() < 2e-3, "{} for {hz}", mains.hz);
            let mut left = recording.samples[first..].to_vec();
            mains.take_from(&mut left, first, rate_hz);
            let most = left.iter().fold(0.0, |most: f64, sample| most.max(sample.abs()));
            assert!(most < 1e-3, "{most} of 0.04 is left at {hz} Hz");
        }
    }

    #[test]
    fn multiples_are_kept_clear_of() {
        for (hz, clear) in
            [(47.0, true), (48.0, false), (152.4, false), (153.0, true), (24.0, true), (1_350.0, true)]
        {
            assert_eq!(is_clear(hz, 50.0, 2.5), clear, "{hz} Hz");
        }
    }
}

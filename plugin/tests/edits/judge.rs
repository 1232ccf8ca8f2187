//! The ceiling from the true noise and the clean music, written out: spectra by a window that is written out, an undo of textbook RC, the ear's band of
//! Glasberg and Moore (1990, from memory), as `tests/python/test_noise.py` has it in numpy.

use std::f64::consts::TAU;

use dsp_core::loudness::k_weight;

use crate::host::Noise;

pub const RATE_HZ: f64 = 48_000.0;
/// A1 D2 G2 C3 E3 A2 (ISO 16).
pub const STRINGS_HZ: [f64; 6] = [55.0, 73.4162, 97.9989, 130.8128, 164.8138, 110.0];
/// 1.2 s.
const WINDOW: usize = 57_600;
const EAR_HZ: (f64, f64) = (20.0, 20e3);
const RUMBLE_HZ: (f64, f64) = (20.0, 200.0);

/// 680 pF and 56 kΩ.
pub fn corner_hz() -> f64 {
    1.0 / (TAU * 680e-12 * 56e3)
}

fn to_f64(n: usize) -> f64 {
    f64::from(u32::try_from(n).unwrap())
}

/// Of rumble, which two one-pole low-passes make of white noise.
const RUMBLE_CORNER_HZ: f64 = 25.0;

/// What there is of noise: white per hertz, rumble per hertz far below its corner, and lines as mean squares, in dB.
#[derive(Debug, Clone)]
pub struct True {
    pub density_db: f64,
    pub rumble_db: f64,
    pub lines: Vec<(f64, f64)>,
}

fn power(db: f64) -> f64 {
    10f64.powf(db / 10.0)
}

fn rumble_pole() -> f64 {
    (-TAU * RUMBLE_CORNER_HZ / RATE_HZ).exp()
}

impl True {
    pub fn samples(&self, frames: usize, seed: u64) -> Vec<f64> {
        let mut noise = Noise::new(seed);
        let sigma = |db: f64| (0.5 * RATE_HZ * power(db)).sqrt();
        let (mut first, mut second, pole) = (0.0, 0.0, rumble_pole());
        let line = |time: f64| -> f64 {
            self.lines.iter().map(|(hz, db)| (2.0 * power(*db)).sqrt() * (TAU * hz * time + hz).sin()).sum()
        };
        let gaussian = |noise: &mut Noise| (0..12).map(|_| noise.unit()).sum::<f64>() - 6.0;
        let sample = |at| {
            let white = sigma(self.density_db) * gaussian(&mut noise);
            first += (1.0 - pole) * (sigma(self.rumble_db) * gaussian(&mut noise) - first);
            second += (1.0 - pole) * (first - second);
            white + second + line(to_f64(at) / RATE_HZ)
        };
        (0..frames).map(sample).collect()
    }

    /// Per hertz: of a one-pole low-pass `(1-p)²/(1 - 2p cos w + p²)`.
    fn density(&self, hz: f64) -> f64 {
        let (pole, turn) = (rumble_pole(), TAU * hz / RATE_HZ);
        let low_pass = (1.0 - pole).powi(2) / (1.0 - 2.0 * pole * turn.cos() + pole * pole);
        power(self.density_db) + power(self.rumble_db) * low_pass * low_pass
    }

    /// In a band, by many rectangles.
    fn within(&self, (low, high): (f64, f64), weight: impl Fn(f64) -> f64) -> f64 {
        let step = (high - low) / 2000.0;
        let middle = |part: u32| low + step * (f64::from(part) + 0.5);
        let floor: f64 = (0..2000).map(|part| self.density(middle(part)) * step * weight(middle(part))).sum();
        let inside = self.lines.iter().filter(|(hz, _)| (low..=high).contains(hz));
        floor + inside.map(|(hz, db)| power(*db) * weight(*hz)).sum::<f64>()
    }
}

/// Every string in turn through the load: two seconds, then two of rest.
pub fn music(seconds: u32) -> Vec<f64> {
    let frames = seconds * 48_000;
    let note = |hz: f64, time: f64| -> f64 {
        let partial = |n: f64| {
            let loaded = (1.0 + (corner_hz() / (n * hz)).powi(2)).sqrt().recip();
            loaded * (TAU * n * hz * time).sin() * (-1.5 * n.sqrt() * time).exp() / n
        };
        (1..30_u32).map(f64::from).map(partial).sum()
    };
    let sample = |at: u32| {
        let (turn, since) = (at / 192_000, f64::from(at % 192_000) / RATE_HZ);
        let hz = STRINGS_HZ[turn as usize % STRINGS_HZ.len()];
        if turn == 0 || since >= 2.0 { 0.0 } else { 0.2 * note(hz, since) * ((2.0 - since) / 0.1).min(1.0) }
    };
    (0..frames).map(sample).collect()
}

pub struct Judge {
    noise: True,
    /// Of each bin that is heard: where it is, and its power where the music is loud, K-weighted.
    music: Vec<(f64, f64)>,
    /// Of every string and its octave: where, and how strong.
    strings: Vec<(f64, f64)>,
}

fn hz_of(bin: usize) -> f64 {
    to_f64(bin) * RATE_HZ / to_f64(WINDOW)
}

fn ear(hz: f64) -> (f64, f64) {
    let half = 0.5 * 24.7 * (4.37 * hz / 1000.0 + 1.0);
    ((hz - half).max(20.0), hz + half)
}

/// The mean of what is at most 10 dB below the mean.
fn gated(powers: &[f64]) -> (f64, Vec<bool>) {
    let mean = powers.iter().sum::<f64>() / to_f64(powers.len());
    let loud: Vec<bool> = powers.iter().map(|power| *power >= 0.1 * mean).collect();
    let kept: Vec<f64> = powers.iter().copied().filter(|power| *power >= 0.1 * mean).collect();
    (kept.iter().sum::<f64>() / to_f64(kept.len()), loud)
}

impl Judge {
    pub fn new(music: &[f64], noise: True) -> Self {
        // Blackman and Harris, four terms.
        let term = |at: usize, k: f64| (TAU * k * to_f64(at) / to_f64(WINDOW)).cos();
        let of =
            |at| 0.358_75 - 0.488_29 * term(at, 1.0) + 0.141_28 * term(at, 2.0) - 0.011_68 * term(at, 3.0);
        let window: Vec<f64> = (0..WINDOW).map(of).collect();
        let energy: f64 = window.iter().map(|w| w * w).sum();
        let transform = firstjack_fourier::real(WINDOW);
        let frame = |start: usize| -> Vec<f64> {
            let mut samples: Vec<f64> =
                music[start..start + WINDOW].iter().zip(&window).map(|(x, w)| x * w).collect();
            let mut bins = transform.make_output_vec();
            transform.process(&mut samples, &mut bins).unwrap();
            bins.iter().map(|bin| 2.0 * bin.norm_sqr() / (energy * to_f64(WINDOW))).collect()
        };
        let frames: Vec<Vec<f64>> = (0..=music.len() - WINDOW).step_by(WINDOW / 4).map(frame).collect();
        let sum = |frame: &[f64], (low, high): (f64, f64), weight: &dyn Fn(f64) -> f64| -> f64 {
            let bins = frame.iter().enumerate().filter(|(bin, _)| (low..=high).contains(&hz_of(*bin)));
            bins.map(|(bin, power)| power * weight(hz_of(bin))).sum()
        };
        let levels: Vec<f64> = frames.iter().map(|frame| sum(frame, EAR_HZ, &k_weight)).collect();
        let (_, loud) = gated(&levels);
        let loud: Vec<&Vec<f64>> =
            frames.iter().zip(loud).filter(|(_, loud)| *loud).map(|(f, _)| f).collect();
        let mean = |bin: usize| {
            let mean = loud.iter().map(|frame| frame[bin]).sum::<f64>() / to_f64(loud.len());
            (hz_of(bin), mean * k_weight(hz_of(bin)))
        };
        let heard = (0..=WINDOW / 2).filter(|bin| (EAR_HZ.0..=EAR_HZ.1).contains(&hz_of(*bin)));
        let places = STRINGS_HZ.into_iter().flat_map(|hz| [hz, 2.0 * hz]);
        let strength = |hz: f64| {
            let powers: Vec<f64> = frames.iter().map(|frame| sum(frame, ear(hz), &|_| 1.0)).collect();
            (hz, gated(&powers).0)
        };
        Self { noise, music: heard.map(mean).collect(), strings: places.map(strength).collect() }
    }

    /// With both margins a little more, or less.
    fn keeps(&self, ceiling_db: f64, more_db: f64) -> bool {
        let lower_hz = corner_hz() / 10f64.powf(ceiling_db / 20.0);
        let change = |hz: f64| (hz * hz + corner_hz().powi(2)) / (hz * hz + lower_hz * lower_hz);
        let string = |(hz, strength): &(f64, f64)| {
            10.0 * change(*hz).log10() <= 1.0
                || strength * change(*hz) >= power(10.0 + more_db) * self.noise.within(ear(*hz), change)
        };
        let weight = |hz: f64| change(hz) * k_weight(hz);
        let heard: f64 = self.music.iter().map(|(hz, weighted)| weighted * change(*hz)).sum();
        self.strings.iter().all(string)
            && heard >= power(15.0 + more_db) * self.noise.within(RUMBLE_HZ, weight)
    }

    /// From above, in steps of 0.05 dB; the most is where A1 lacks 0.1 dB. With both margins a little more, or less.
    pub fn ceiling_db(&self, more_db: f64) -> f64 {
        let enough_db = 20.0 * (corner_hz() / (55.0 * (10f64.powf(0.01) - 1.0).sqrt())).log10();
        let steps = (0..2000_u32).map(|step| enough_db - 0.05 * f64::from(step));
        steps.take_while(|db| *db > 1.0).find(|db| self.keeps(*db, more_db)).unwrap_or(1.0)
    }
}

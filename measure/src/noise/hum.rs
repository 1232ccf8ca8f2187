//! The mains in a take: its frequency, how that wanders, and its harmonics.

use std::f64::consts::TAU;

use realfft::num_complex::Complex;

use super::floor::{Floor, NOMINAL_HZ};
use super::frames::{Frame, Frames, LINES_TO_HZ, OVERLAP, REACH, to_f64};

/// Grids stay within this of their nominal frequency, in Hz (common practice, no source), looked at in such steps.
const OFF_HZ: f64 = 0.5;
const STEP_HZ: f64 = 0.01;

/// So many frames before and after tell how the frequency wanders, and no further than so many Hz.
const AROUND: u64 = 6;
const WANDERS_HZ: f64 = 0.3;

/// How well the pairs of a place must agree on one frequency, of 1, and how many there must be.
const AGREE: f64 = 0.7;
const LEAST_PAIRS: usize = 2;

/// Standard deviations of the floor that a line stands above it, and the part of the floor's power in its bins.
const STANDS: f64 = 5.0;
const LEAST_PART: f64 = 0.5;

/// The strongest line stands out by at least its bins' floor, or there is no hum.
const STRONGEST_PART: f64 = 1.0;

/// Third octaves in which a frame must be noise for its lines to be the mains', as parts of the line's frequency: that below, and two octaves above.
const BESIDE: (f64, f64) = (0.7, 4.0);

/// Bins to each side whose power is a line's, one more than it reaches, as it wanders.
const WIDE: usize = REACH + 1;

/// One line.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Line {
    /// Where, in Hz.
    pub hz: f64,
    /// Its mean square; full scale is an amplitude of one.
    pub power: f64,
}

/// The mains and its harmonics.
#[derive(Debug, Clone, PartialEq)]
pub struct Hum {
    /// The mains' frequency in Hz, as a mean.
    pub hz: f64,
    /// Where it was lowest and highest, in Hz.
    pub wanders_hz: (f64, f64),
    /// The harmonics that stand above the floor, from low to high.
    pub lines: Vec<Line>,
}

/// What there is to look at.
pub struct Search<'a> {
    pub grid: &'a Frames,
    pub frames: &'a [&'a Frame],
    /// From low to high.
    pub floors: &'a [Floor],
    /// Density of the floor at a frequency.
    pub density: &'a dyn Fn(f64) -> f64,
}

impl Search<'_> {
    pub fn hum(&self) -> Option<Hum> {
        let candidates = NOMINAL_HZ.map(|nominal_hz| self.family(nominal_hz));
        let strength = |hum: &Hum| -> f64 {
            hum.lines.iter().map(|line| line.power / self.beside(line.hz)).map(f64::ln_1p).sum()
        };
        candidates.into_iter().flatten().max_by(|a, b| strength(a).total_cmp(&strength(b)))
    }

    fn family(&self, nominal_hz: f64) -> Option<Hum> {
        let count = crate::sweep::frames((LINES_TO_HZ / nominal_hz).floor(), 1.0);
        let all: Vec<usize> = (1..=count).collect();
        let everywhere = |_: u64| true;
        let first = self.strongest(nominal_hz, OFF_HZ, &all, everywhere)?.0;
        let found = self.lines(&all, |_| first);
        let strongest = found.iter().map(|(_, line)| line.power / self.beside(line.hz)).fold(0.0, f64::max);
        if strongest < STRONGEST_PART {
            return None;
        }
        let standing: Vec<usize> = found.iter().map(|(harmonic, _)| *harmonic).collect();
        let (hz, _) = self.strongest(first, WANDERS_HZ, &standing, everywhere)?;
        let track: Vec<Option<f64>> =
            self.frames.iter().map(|frame| self.near(frame.number, hz, &standing)).collect();
        let known = || track.iter().flatten().copied();
        let wanders_hz = (known().fold(hz, f64::min), known().fold(hz, f64::max));
        let lines = self.lines(&all, |index| track[index].unwrap_or(hz)).into_iter();
        let lines = lines.map(|(harmonic, line)| Line { hz: to_f64(harmonic) * hz, ..line }).collect();
        Some(Hum { hz, wanders_hz, lines })
    }

    /// Where the mains lies around one frame, if its pairs agree.
    fn near(&self, number: u64, hz: f64, harmonics: &[usize]) -> Option<f64> {
        let around = |of: u64| of.abs_diff(number) <= AROUND;
        let (near_hz, agree) = self.strongest(hz, WANDERS_HZ, harmonics, around)?;
        (agree > AGREE).then_some(near_hz)
    }

    /// The frequency near another one at which harmonics turn from frame to frame as they do, and how well they agree on it, of 1.
    fn strongest(
        &self,
        hz: f64,
        off_hz: f64,
        harmonics: &[usize],
        which: impl Fn(u64) -> bool,
    ) -> Option<(f64, f64)> {
        let steps = crate::sweep::frames(off_hz / STEP_HZ, 1.0);
        let turns: Vec<(f64, Turns)> = harmonics
            .iter()
            .map(|harmonic| (to_f64(*harmonic), self.turns(to_f64(*harmonic) * hz, off_hz, &which)))
            .collect();
        let all: f64 = turns.iter().map(|(_, turns)| turns.most).sum();
        let pairs = turns.iter().map(|(_, turns)| turns.pairs).max().unwrap_or(0);
        let agreeing = |hz: f64| -> f64 {
            turns.iter().map(|(harmonic, turns)| turns.agreeing(self.grid, harmonic * hz)).sum()
        };
        let at = |step: usize| hz + STEP_HZ * (to_f64(step) - to_f64(steps));
        let tried: Vec<f64> = (0..=2 * steps).map(|step| agreeing(at(step))).collect();
        let best = (0..tried.len()).max_by(|a, b| tried[*a].total_cmp(&tried[*b]))?;
        if best == 0
            || best + 1 == tried.len()
            || pairs < LEAST_PAIRS.min(self.frames.len() - 1)
            || all == 0.0
        {
            return None;
        }
        // The summit of the parabola through three.
        let (below, most, above) = (tried[best - 1], tried[best], tried[best + 1]);
        let bend = below - 2.0 * most + above;
        let beside = if bend < 0.0 { 0.5 * STEP_HZ * (below - above) / bend } else { 0.0 };
        Some((at(best) + beside, most / all))
    }

    /// How bins near a line turn, summed over pairs of frames that are noise there.
    fn turns(&self, line_hz: f64, off_hz: f64, which: impl Fn(u64) -> bool) -> Turns {
        let harmonic_off = off_hz * (line_hz / NOMINAL_HZ[0]);
        let (first, last) =
            (self.grid.bin(line_hz - harmonic_off), self.grid.bin(line_hz + harmonic_off) + 1);
        let mut turns =
            Turns { first, sums: vec![Complex::default(); last - first + 1], most: 0.0, pairs: 0 };
        let quiet = self.quiet_at(line_hz);
        let mut most = vec![0.0; turns.sums.len()];
        for pair in quiet.windows(2).map(|pair| [self.frames[pair[0]], self.frames[pair[1]]]) {
            if pair[0].number + 1 != pair[1].number || !which(pair[1].number) {
                continue;
            }
            turns.pairs += 1;
            let now = pair[1].turned.iter().skip(first);
            for ((sum, most), turned) in turns.sums.iter_mut().zip(&mut most).zip(now) {
                *sum += turned;
                *most += turned.norm();
            }
        }
        turns.most = most.into_iter().fold(0.0, f64::max);
        turns
    }

    /// Frames that are nothing but noise in the third octaves around a frequency, in order: a note next to a line may leave bins of the line's own third
    /// octave alone, but not those that its harmonics lie in.
    fn quiet_at(&self, hz: f64) -> Vec<usize> {
        let around = |floor: &&Floor| (BESIDE.0..BESIDE.1).contains(&(floor.middle_hz / hz));
        let around: Vec<&Floor> = self.floors.iter().filter(around).collect();
        (0..self.frames.len()).filter(|index| around.iter().all(|floor| floor.quiet[*index])).collect()
    }

    /// The harmonics that stand above the floor, wherever the mains lies in each frame.
    fn lines(&self, harmonics: &[usize], mains_hz: impl Fn(usize) -> f64) -> Vec<(usize, Line)> {
        let line = |harmonic: &usize| {
            let quiet = self.quiet_at(to_f64(*harmonic) * mains_hz(0));
            let power = |index: &usize| {
                let bin = self.grid.bin(to_f64(*harmonic) * mains_hz(*index));
                let density = &self.frames[*index].density;
                let bins = density.iter().skip(bin.saturating_sub(WIDE)).take(2 * WIDE + 1);
                bins.sum::<f64>() * self.grid.bin_hz()
            };
            if quiet.is_empty() {
                return None;
            }
            let mean = quiet.iter().map(power).sum::<f64>() / to_f64(quiet.len());
            let hz = to_f64(*harmonic) * quiet.iter().map(|index| mains_hz(*index)).sum::<f64>()
                / to_f64(quiet.len());
            let floor = self.beside(hz);
            let stands = mean - floor > floor * (STANDS / self.freedom(quiet.len()).sqrt()).max(LEAST_PART);
            stands.then_some((*harmonic, Line { hz, power: mean - floor }))
        };
        harmonics.iter().filter_map(line).collect()
    }

    /// The floor's power in the bins of a line.
    fn beside(&self, hz: f64) -> f64 {
        (self.density)(hz) * self.grid.bin_hz() * to_f64(2 * WIDE + 1)
    }

    /// Independent values of noise in a line's bins of so many frames.
    fn freedom(&self, frames: usize) -> f64 {
        let related: f64 = (1..=8).map(Frames::related).sum();
        to_f64(2 * WIDE + 1) / (1.0 + 2.0 * related) * (2.0 * to_f64(frames) / to_f64(OVERLAP)).max(1.0)
    }
}

/// How the bins near a line turn from frame to frame.
struct Turns {
    first: usize,
    sums: Vec<Complex<f64>>,
    /// Were all pairs to agree.
    most: f64,
    pairs: usize,
}

impl Turns {
    /// The part of it that turns like a line at `hz`.
    fn agreeing(&self, grid: &Frames, hz: f64) -> f64 {
        let bin = grid.bin(hz).saturating_sub(self.first).min(self.sums.len() - 1);
        (self.sums[bin] * Complex::cis(-TAU * hz * grid.hop_seconds())).re
    }
}

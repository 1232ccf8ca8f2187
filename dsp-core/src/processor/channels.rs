//! The channels' state and the inner loop. Channels run in pairs, two to a vector register.

use super::glide::Coefficients;
use super::{CHUNK, Sample};
use crate::filter::SECTIONS;

const LANES: usize = 2;

/// Below this (-600 dB) a sample or a state is zero: left alone it would decay into denormal numbers.
const NEGLIGIBLE: f64 = 1e-30;

/// When the guard closes, the sound is carried on by at most full scale: a bass string's slope in full, a treble string's in part.
const LONGEST_CARRY: f64 = 1.0;

type Pair = [f64; LANES];

/// One section's state, `v` in `y = x + v`, `v' = pole v + (pole - zero) x`. It is the charge that the circuit has
/// stored, and so means the same before and after a change of coefficients.
type State = [Pair; SECTIONS];

#[derive(Debug, Clone)]
pub(super) struct Channels {
    count: usize,
    states: Vec<State>,
    saved: Vec<State>,
    chunk: Vec<[Pair; CHUNK]>,
    /// The last frame that was heard, and its step from the one before.
    heard: Vec<[Pair; 2]>,
}

impl Channels {
    pub fn new(count: usize) -> Self {
        let pairs = count.div_ceil(LANES);
        let state = State::default();
        Self {
            count,
            states: vec![state; pairs],
            saved: vec![state; pairs],
            chunk: vec![[Pair::default(); CHUNK]; pairs],
            heard: vec![Default::default(); pairs],
        }
    }

    /// Forgets all sound.
    pub fn clear(&mut self) {
        self.clear_state();
        self.heard.fill(Default::default());
    }

    pub fn clear_state(&mut self) {
        self.states.fill(State::default());
    }

    pub fn save(&mut self) {
        self.saved.copy_from_slice(&self.states);
    }

    pub fn restore(&mut self) {
        self.states.copy_from_slice(&self.saved);
    }

    pub fn flush_denormals(&mut self) {
        for value in self.states.as_flattened_mut().as_flattened_mut() {
            if value.abs() < NEGLIGIBLE {
                *value = 0.0;
            }
        }
    }

    /// Takes in the frames `start..end` of a block, silence for channels that it lacks; false if any is not finite.
    pub fn load<S: Sample, C: AsMut<[S]>>(&mut self, block: &mut [C], start: usize, end: usize) -> bool {
        let mut finite = true;
        for index in block.len()..self.count {
            self.chunk[index / LANES].iter_mut().for_each(|to| to[index % LANES] = 0.0);
        }
        for (index, channel) in block.iter_mut().take(self.count).enumerate() {
            let (chunk, lane) = (&mut self.chunk[index / LANES], index % LANES);
            for (to, from) in chunk.iter_mut().zip(&channel.as_mut()[start..end]) {
                let value = from.to_f64();
                to[lane] = if value.abs() < NEGLIGIBLE { 0.0 } else { value };
                finite &= value.is_finite();
            }
        }
        finite
    }

    pub fn store<S: Sample, C: AsMut<[S]>>(&self, block: &mut [C], start: usize, end: usize) {
        for (index, channel) in block.iter_mut().take(self.count).enumerate() {
            let (chunk, lane) = (&self.chunk[index / LANES], index % LANES);
            for (to, from) in channel.as_mut()[start..end].iter_mut().zip(chunk) {
                *to = S::from_f64(from[lane]);
            }
        }
    }

    /// Whether all of frames `start..end` are numbers within `limit`.
    pub fn within(&self, start: usize, end: usize, limit: f64) -> bool {
        let mut within = true;
        for value in self.chunk.iter().flat_map(|chunk| chunk[start..end].as_flattened()) {
            within &= value.abs() <= limit;
        }
        within
    }

    /// Remembers the last of frames `start..end` as what was heard.
    pub fn remember(&mut self, start: usize, end: usize) {
        for ([value, step], chunk) in self.heard.iter_mut().zip(&self.chunk) {
            let now = chunk[end - 1];
            let before = if end - start > 1 { chunk[end - 2] } else { *value };
            (*value, *step) = (now, each(|lane| now[lane] - before[lane]));
        }
    }

    /// Runs frames `start..end` through the sections, then the gain, one a frame.
    pub fn run(
        &mut self,
        start: usize,
        end: usize,
        c: &Coefficients,
        gains: impl Iterator<Item = f64> + Clone,
    ) {
        for (state, chunk) in self.states.iter_mut().zip(&mut self.chunk) {
            let frames = chunk[start..end].iter_mut().zip(gains.clone());
            if c.wet == 0.0 {
                frames.for_each(|(x, gain)| *x = x.map(|x| (gain * c.dry) * x));
            } else if c.dry == 0.0 {
                run_sections(state, frames, c, |gain, _, y| (gain * c.wet) * y);
            } else {
                run_sections(state, frames, c, |gain, x, y| (gain * c.wet) * y + (gain * c.dry) * x);
            }
        }
    }

    /// Replaces what is not finite in one frame of the input by zero. True if there was nothing to replace.
    pub fn replace_non_finite(&mut self, frame: usize) -> bool {
        let mut finite = true;
        for value in self.chunk.iter_mut().flat_map(|chunk| &mut chunk[frame]) {
            if !value.is_finite() {
                *value = 0.0;
                finite = false;
            }
        }
        finite
    }

    /// Puts into one frame what was heard before, carried on with a step that shrinks to `shrink` of itself from frame to
    /// frame, and scaled.
    pub fn carry_on(&mut self, frame: usize, shrink: f64, limit: f64, factor: f64) {
        let largest_step = LONGEST_CARRY * (1.0 - shrink);
        for ([value, step], chunk) in self.heard.iter_mut().zip(&mut self.chunk) {
            *step = step.map(|step| shrink * step.clamp(-largest_step, largest_step));
            *value = each(|lane| (value[lane] + step[lane]).clamp(-limit, limit));
            chunk[frame] = value.map(|value| factor * value);
        }
    }

    pub fn scale(&mut self, frame: usize, factor: f64) {
        for value in self.chunk.iter_mut().flat_map(|chunk| &mut chunk[frame]) {
            *value *= factor;
        }
    }

    pub fn silence(&mut self, frame: usize) {
        self.chunk.iter_mut().for_each(|chunk| chunk[frame] = Pair::default());
    }
}

fn each(f: impl Fn(usize) -> f64) -> Pair {
    std::array::from_fn(f)
}

#[inline(always)]
fn run_sections<'a>(
    state: &mut State,
    frames: impl Iterator<Item = (&'a mut Pair, f64)>,
    c: &Coefficients,
    mix: impl Fn(f64, f64, f64) -> f64,
) {
    // In locals, the state stays in registers.
    let mut v = *state;
    for (x, gain) in frames {
        let mut y = *x;
        for (i, v) in v.iter_mut().enumerate() {
            let next = each(|lane| c.poles[i] * v[lane] + c.residues[i] * y[lane]);
            y = each(|lane| y[lane] + v[lane]);
            *v = next;
        }
        *x = each(|lane| mix(gain, x[lane], y[lane]));
    }
    *state = v;
}

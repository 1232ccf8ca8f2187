//! The channels' state and the inner loop. Channels run in pairs, two to a vector register.

use super::glide::{Coefficients, Line};
use super::{CHUNK, Sample};
use crate::filter::SECTIONS;

const LANES: usize = 2;

/// Below this (-600 dB) a state is zero: left alone it would decay into denormal numbers.
const NEGLIGIBLE: f64 = 1e-30;

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
    /// Last finite input, held while the guard fades.
    held: Vec<Pair>,
    /// The input's last frame in the loaded chunk.
    last: Vec<Pair>,
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
            held: vec![Pair::default(); pairs],
            last: vec![Pair::default(); pairs],
        }
    }

    /// Forgets all sound.
    pub fn clear(&mut self) {
        self.clear_state();
        self.held.fill(Pair::default());
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

    /// Takes in the frames `start..end` of a block; false if any is not finite.
    pub fn load<S: Sample, C: AsMut<[S]>>(&mut self, block: &mut [C], start: usize, end: usize) -> bool {
        let mut finite = true;
        for (index, channel) in block.iter_mut().take(self.count).enumerate() {
            let (chunk, lane) = (&mut self.chunk[index / LANES], index % LANES);
            for (to, from) in chunk.iter_mut().zip(&channel.as_mut()[start..end]) {
                to[lane] = from.to_f64();
                finite &= to[lane].is_finite();
            }
        }
        for (last, chunk) in self.last.iter_mut().zip(&self.chunk) {
            *last = chunk[end - start - 1];
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

    /// Whether all of the first `frames` frames are numbers within `limit`.
    pub fn within(&self, frames: usize, limit: f64) -> bool {
        let mut within = true;
        for value in self.chunk.iter().flat_map(|chunk| chunk[..frames].as_flattened()) {
            within &= value.abs() <= limit;
        }
        within
    }

    /// Remembers the last loaded frame as the input to hold.
    pub fn hold(&mut self) {
        self.held.copy_from_slice(&self.last);
    }

    /// Runs frames `start..end` through the sections, then the gain `(value, change a frame)`.
    pub fn run(&mut self, start: usize, end: usize, line: &Line, gain: (f64, f64)) {
        for (state, chunk) in self.states.iter_mut().zip(&mut self.chunk) {
            let frames = &mut chunk[start..end];
            match line.step {
                Some(step) => run_moving(state, frames, line.value, &step, gain),
                None if line.value.wet == 0.0 => scale_only(frames, line.value.dry, gain),
                None => run_at_rest(state, frames, &line.value, gain),
            }
        }
    }

    /// Replaces what is not finite in one frame, by the last finite input if `hold`, else by zero. True if there
    /// was nothing to replace.
    pub fn replace_non_finite(&mut self, frame: usize, hold: bool) -> bool {
        let mut finite = true;
        for (chunk, held) in self.chunk.iter_mut().zip(&mut self.held) {
            for (value, held) in chunk[frame].iter_mut().zip(held) {
                if value.is_finite() {
                    *held = *value;
                } else {
                    *value = if hold { *held } else { 0.0 };
                    finite = false;
                }
            }
        }
        finite
    }

    /// Keeps one frame within `limit`. True if it was.
    pub fn clamp(&mut self, frame: usize, limit: f64) -> bool {
        let mut within = true;
        for value in self.chunk.iter_mut().flat_map(|chunk| &mut chunk[frame]) {
            if value.abs() > limit || value.is_nan() {
                within = false;
                *value = if value.is_nan() { 0.0 } else { value.clamp(-limit, limit) };
            }
        }
        within
    }

    pub fn scale(&mut self, frame: usize, by: f64) {
        for value in self.chunk.iter_mut().flat_map(|chunk| &mut chunk[frame]) {
            *value *= by;
        }
    }
}

fn each(f: impl Fn(usize) -> f64) -> Pair {
    std::array::from_fn(f)
}

/// One section: returns its output and moves its state on.
#[inline(always)]
fn section(v: &mut Pair, x: Pair, pole: f64, pole_minus_zero: f64) -> Pair {
    let y = each(|lane| x[lane] + v[lane]);
    *v = each(|lane| pole * v[lane] + pole_minus_zero * x[lane]);
    y
}

fn run_at_rest(state: &mut State, frames: &mut [Pair], c: &Coefficients, (mut gain, step): (f64, f64)) {
    let (mut a, mut b, mut d) = (state[0], state[1], state[2]);
    let residues: [f64; SECTIONS] = std::array::from_fn(|i| c.poles[i] - c.zeros[i]);
    for x in frames {
        let mut y = section(&mut a, *x, c.poles[0], residues[0]);
        y = section(&mut b, y, c.poles[1], residues[1]);
        y = section(&mut d, y, c.poles[2], residues[2]);
        let weight = gain * c.wet;
        *x = each(|lane| weight * y[lane]);
        gain += step;
    }
    *state = [a, b, d];
}

fn run_moving(
    state: &mut State,
    frames: &mut [Pair],
    mut c: Coefficients,
    by: &Coefficients,
    (mut gain, step): (f64, f64),
) {
    for x in frames {
        let mut y = *x;
        for (i, v) in state.iter_mut().enumerate() {
            y = section(v, y, c.poles[i], c.poles[i] - c.zeros[i]);
        }
        *x = each(|lane| gain * (c.wet * y[lane] + c.dry * x[lane]));
        gain += step;
        c = c.map2(by, |value, step| value + step);
    }
}

fn scale_only(frames: &mut [Pair], dry: f64, (mut gain, step): (f64, f64)) {
    for x in frames {
        let weight = gain * dry;
        *x = each(|lane| weight * x[lane]);
        gain += step;
    }
}

//! The inner loop of a first-order ratio: three sections whose coefficients may differ from frame to frame.

use super::channels::{Chunk, NEGLIGIBLE, Pair, each};
use super::glide::Coefficients;
use crate::filter::SECTIONS;

/// Of each section `v` in `y = x + v`, `v' = pole v + (pole - zero) x`. It is the charge that the circuit has
/// stored, and so means the same before and after a change of coefficients.
type State = [Pair; SECTIONS];

/// The state in every pair of channels.
#[derive(Debug, Clone)]
pub(super) struct FirstOrderStates {
    states: Vec<State>,
    saved: Vec<State>,
}

impl FirstOrderStates {
    pub fn new(pairs: usize) -> Self {
        let states = vec![State::default(); pairs];
        Self { saved: states.clone(), states }
    }

    pub fn clear(&mut self) {
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

    /// Runs frames `start..end` through the sections, then the gain, one a frame.
    pub fn run(
        &mut self,
        chunks: &mut [Chunk],
        (start, end): (usize, usize),
        c: &Coefficients,
        gains: impl Iterator<Item = f64> + Clone,
    ) {
        for (state, chunk) in self.states.iter_mut().zip(chunks) {
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

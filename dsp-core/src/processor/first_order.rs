//! The inner loop of a first-order ratio: three sections.

use super::channels::{Chunk, NEGLIGIBLE, Pair, each};
use crate::filter::{FirstOrderSections, SECTIONS};

/// Of each section `v` in `y = x + v`, `v' = pole v + (pole - zero) x`: the charge that the circuit has stored.
type State = [Pair; SECTIONS];

#[derive(Debug, Clone, Copy, PartialEq)]
struct Coefficients {
    poles: [f64; SECTIONS],
    /// Pole minus zero of each section.
    residues: [f64; SECTIONS],
}

/// The sections, none at first, and their states in every pair of channels.
#[derive(Debug, Clone)]
pub(super) struct FirstOrderStage {
    coefficients: Option<Coefficients>,
    states: Vec<State>,
}

impl FirstOrderStage {
    pub fn new(pairs: usize) -> Self {
        Self { coefficients: None, states: vec![State::default(); pairs] }
    }

    /// Takes the place of what was there, with nothing stored. Gives the level by which the output is to be multiplied.
    pub fn set(&mut self, sections: &FirstOrderSections) -> f64 {
        let (zeros, poles) = (sections.zeros, sections.poles);
        let residues = std::array::from_fn(|i| poles[i] - zeros[i]);
        self.coefficients = Some(Coefficients { poles, residues });
        self.clear();
        sections.level
    }

    pub fn remove(&mut self) {
        self.coefficients = None;
    }

    pub fn clear(&mut self) {
        self.states.fill(State::default());
    }

    pub fn flush_denormals(&mut self) {
        for value in self.states.as_flattened_mut().as_flattened_mut() {
            if value.abs() < NEGLIGIBLE {
                *value = 0.0;
            }
        }
    }

    /// Runs the first `frames` of the chunks through the sections, if there are any.
    pub fn run(&mut self, chunks: &mut [Chunk], frames: usize) {
        let Some(Coefficients { poles, residues }) = self.coefficients else { return };
        for (state, chunk) in self.states.iter_mut().zip(chunks) {
            // In locals, the state stays in registers.
            let mut v = *state;
            for x in &mut chunk[..frames] {
                for (i, v) in v.iter_mut().enumerate() {
                    let next = each(|lane| poles[i] * v[lane] + residues[i] * x[lane]);
                    *x = each(|lane| x[lane] + v[lane]);
                    *v = next;
                }
            }
            *state = v;
        }
    }
}

//! A cascade of second-order sections at work.

use arrayvec::ArrayVec;

use super::channels::{Chunk, NEGLIGIBLE, Pair, each};
use crate::filter::{Cascade, MOST_SECTIONS, Section};

/// Stages that go over the chunk together, the next ones after them. A stage waits for its own last frame; while one waits, others
/// work.
const ABREAST: usize = 4;

/// A [`Section`] with its sums made beforehand: `y = x + s1`, `s1' = keep s1 + s2 + in1 x`, `s2' = s2 + in2 x - out2 s1`. The same
/// in exact arithmetic, with each state ready for the next frame after two operations instead of five.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Stage {
    keep: f64,
    in1: f64,
    in2: f64,
    out2: f64,
}

impl From<&Section> for Stage {
    fn from(section: &Section) -> Self {
        let Section { b1, b2, a1, a2 } = *section;
        Self { keep: 1.0 - a1, in1: b1 - a1, in2: b2 - a2, out2: a2 }
    }
}

/// One stage's state: `s1` and `s2`.
type State = [Pair; 2];

type States = [State; MOST_SECTIONS];

/// The stages of a cascade, none at first, and their states in every pair of channels.
#[derive(Debug, Clone)]
pub(super) struct Stages {
    stages: ArrayVec<Stage, MOST_SECTIONS>,
    states: Vec<States>,
}

impl Stages {
    pub fn new(pairs: usize) -> Self {
        Self { stages: ArrayVec::new(), states: vec![[State::default(); MOST_SECTIONS]; pairs] }
    }

    /// Takes the place of what was there, with nothing stored. Gives the level by which the output is to be multiplied.
    pub fn set(&mut self, cascade: &Cascade) -> f64 {
        self.stages = cascade.sections().iter().map(Stage::from).collect();
        self.clear();
        cascade.level
    }

    pub fn remove(&mut self) {
        self.stages.clear();
    }

    pub fn clear(&mut self) {
        self.used().for_each(|states| states.fill(State::default()));
    }

    pub fn flush_denormals(&mut self) {
        for value in self.used().flat_map(|states| states.as_flattened_mut().as_flattened_mut()) {
            if value.abs() < NEGLIGIBLE {
                *value = 0.0;
            }
        }
    }

    /// Runs the first `frames` of the chunks through all stages.
    pub fn run(&mut self, chunks: &mut [Chunk], frames: usize) {
        for (states, chunk) in self.states.iter_mut().zip(chunks) {
            let frames = &mut chunk[..frames];
            let (groups, rest) = self.stages.as_chunks::<ABREAST>();
            let (group_states, rest_states) = states[..self.stages.len()].as_chunks_mut::<ABREAST>();
            for (stages, states) in groups.iter().zip(group_states) {
                run_stages(stages, states, frames);
            }
            let (pairs, last) = rest.as_chunks::<2>();
            let (pair_states, last_states) = rest_states.as_chunks_mut::<2>();
            for (stages, states) in pairs.iter().zip(pair_states) {
                run_stages(stages, states, frames);
            }
            for (stage, state) in last.iter().zip(last_states) {
                run_stages(&[*stage], std::array::from_mut(state), frames);
            }
        }
    }

    fn used(&mut self) -> impl Iterator<Item = &mut [State]> {
        let count = self.stages.len();
        self.states.iter_mut().map(move |states| &mut states[..count])
    }
}

#[inline(always)]
fn run_stages<const N: usize>(stages: &[Stage; N], states: &mut [State; N], frames: &mut [Pair]) {
    // In locals, states stay in registers.
    let mut all = *states;
    for frame in frames {
        let mut x = *frame;
        for (Stage { keep, in1, in2, out2 }, [s1, s2]) in stages.iter().zip(&mut all) {
            let y = each(|lane| x[lane] + s1[lane]);
            let next = each(|lane| keep * s1[lane] + (s2[lane] + in1 * x[lane]));
            *s2 = each(|lane| (s2[lane] + in2 * x[lane]) - out2 * s1[lane]);
            *s1 = next;
            x = y;
        }
        *frame = x;
    }
    *states = all;
}

//! What can explain a sample that comes out: how loud the input has lately been, and what was asked for.
//!
//! Two bounds, either of which a fault in the filters or in their ramps breaks long before it hurts: by the input, a filter makes nothing
//! louder than its largest gain does, but for what its shape adds to a jump; and while anything moves, the mix is within what the
//! filters' own outputs come to at the gains that were asked for.

use super::channels::{CHUNK, Chunk, NEGLIGIBLE, Pair, each};

/// Over a filter's largest gain at any frequency its output's peak may rise by so much (18 dB) on the worst of inputs. (The sum of the impulse
/// response's magnitudes over the largest gain is 2 for a high-pass of first order; of `n` poles it is below `2 n`.)
const BY_INPUT: f64 = 8.0;

/// Over what was asked for, 1 dB: exact but for rounding.
const BY_GAINS: f64 = 1.122;

/// Below this (-180 dB) nothing needs an explanation.
const UNHEARD: f64 = 1e-9;

/// The input's peak is remembered for as long as the slowest filter remembers it, and at least for so long.
const LEAST_SECONDS: f64 = 0.25;

#[derive(Debug, Clone)]
pub(super) struct Explained {
    /// The recent peak of every channel.
    peaks: Vec<Pair>,
    /// The same in every frame of the chunk.
    by_input: Vec<Chunk>,
    /// What the filters come to in every frame, where something moves.
    pub by_gains: Vec<Chunk>,
    least_frames: f64,
    keep: f64,
    gain: f64,
}

impl Explained {
    pub fn new(rate_hz: f64, pairs: usize) -> Self {
        let chunks = vec![[Pair::default(); CHUNK]; pairs];
        Self {
            peaks: vec![Pair::default(); pairs],
            by_input: chunks.clone(),
            by_gains: chunks,
            least_frames: LEAST_SECONDS * rate_hz,
            keep: 0.0,
            gain: 1.0,
        }
    }

    /// Forgets the input.
    pub fn clear(&mut self) {
        self.peaks.fill(Pair::default());
    }

    pub fn flush_denormals(&mut self) {
        for peak in self.peaks.as_flattened_mut() {
            if *peak < NEGLIGIBLE {
                *peak = 0.0;
            }
        }
    }

    /// Takes note of the most that can be made of a steady tone, and of how many frames what came in can last by 60 dB. (A
    /// peak falls half as fast: several equal poles last longer than one.)
    pub fn set(&mut self, (gain, memory_frames): (f64, f64)) {
        const LN_60_DB: f64 = 6.907_755_278_982_137;
        // Finite also with a pole at DC, so that silence times it is silence.
        self.gain = gain.min(f64::from(f32::MAX));
        self.keep = (-0.5 * LN_60_DB / memory_frames.max(self.least_frames)).exp();
    }

    /// Hears the input, the first `frames` of the chunks.
    pub fn listen(&mut self, chunks: &[Chunk], frames: usize) {
        for ((peak, by_input), chunk) in self.peaks.iter_mut().zip(&mut self.by_input).zip(chunks) {
            let mut now = *peak;
            for (bound, x) in by_input[..frames].iter_mut().zip(chunk) {
                now = each(|lane| x[lane].abs().max(self.keep * now[lane]));
                *bound = now;
            }
            *peak = now;
        }
    }

    /// Whether frames `start..end` of the output have an explanation; `moved` says that the bound by gains was made for them.
    pub fn explains(&self, chunks: &[Chunk], start: usize, end: usize, moved: bool) -> bool {
        let most = BY_INPUT * self.gain;
        let mut explained = true;
        for ((chunk, by_input), by_gains) in chunks.iter().zip(&self.by_input).zip(&self.by_gains) {
            let frames = chunk[start..end].as_flattened().iter();
            for (y, peak) in frames.clone().zip(by_input[start..end].as_flattened()) {
                explained &= y.abs() <= most * peak + UNHEARD;
            }
            if moved {
                for (y, most) in frames.zip(by_gains[start..end].as_flattened()) {
                    explained &= y.abs() <= BY_GAINS * most + UNHEARD;
                }
            }
        }
        explained
    }
}

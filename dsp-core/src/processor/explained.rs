//! What can explain a sample that comes out: how loud the input has lately been, and what was asked for.
//!
//! Two bounds, either of which a fault in the filters or in their ramps breaks long before it hurts: by the input, a filter makes nothing
//! louder than its largest gain does, but for what its shape adds to a jump; and while anything moves, the mix is within what the
//! filters' own outputs come to at the gains that were asked for.

use super::channels::{CHUNK, Chunk, NEGLIGIBLE, Pair, each, larger};

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
    /// The recent peak of every channel, with the chunk and before it.
    peaks: Vec<Pair>,
    before: Vec<Pair>,
    /// The chunk as it came in.
    input: Vec<Chunk>,
    /// What the filters come to in every frame, where something moves.
    pub by_gains: Vec<Chunk>,
    least_frames: f64,
    /// What is left of a peak after no frame, one, two ...
    left: [f64; CHUNK + 1],
    gain: f64,
}

impl Explained {
    pub fn new(rate_hz: f64, pairs: usize) -> Self {
        let chunks = vec![[Pair::default(); CHUNK]; pairs];
        Self {
            peaks: vec![Pair::default(); pairs],
            before: vec![Pair::default(); pairs],
            input: chunks.clone(),
            by_gains: chunks,
            least_frames: LEAST_SECONDS * rate_hz,
            left: [0.0; CHUNK + 1],
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
        let keep = (-0.5 * LN_60_DB / memory_frames.max(self.least_frames)).exp();
        if keep != self.left[1] {
            self.left = std::array::from_fn(|frames| keep.powi(i32::try_from(frames).unwrap_or(i32::MAX)));
        }
    }

    /// Hears the input, the first `frames` of the chunks.
    pub fn listen(&mut self, chunks: &[Chunk], frames: usize) {
        let chunks = self.input.iter_mut().zip(chunks);
        for ((peak, before), (input, chunk)) in self.peaks.iter_mut().zip(&mut self.before).zip(chunks) {
            input.copy_from_slice(chunk);
            *before = *peak;
            let mut now = each(|lane| self.left[frames] * peak[lane]);
            for (x, left) in chunk[..frames].iter().zip(self.left[..frames].iter().rev()) {
                now = each(|lane| larger(x[lane].abs() * left, now[lane]));
            }
            *peak = now;
        }
    }

    /// Whether all of the first `frames` of the output, where nothing moves, are within `limit` and explained by what came before the
    /// chunk alone. Most are, and it costs little; where they are not, [`Explained::explains`] decides.
    pub fn explains_at_once(&self, chunks: &[Chunk], frames: usize, limit: f64) -> bool {
        let mut explained = true;
        for (chunk, before) in chunks.iter().zip(&self.before) {
            let bound = |lane: usize| BY_INPUT * self.gain * self.left[frames] * before[lane] + UNHEARD;
            let bound = each(|lane| bound(lane).min(limit));
            for y in &chunk[..frames] {
                explained &= (y[0].abs() <= bound[0]) & (y[1].abs() <= bound[1]);
            }
        }
        explained
    }

    /// Whether frames `start..end` of the output have an explanation; `moved` says that the bound by gains was made for them.
    pub fn explains(&self, chunks: &[Chunk], start: usize, end: usize, moved: bool) -> bool {
        let mut explained = true;
        for (pair, (chunk, by_gains)) in chunks.iter().zip(&self.by_gains).enumerate() {
            let mut peak = self.before[pair];
            for (frame, x) in self.input[pair][..end].iter().enumerate() {
                peak = each(|lane| larger(x[lane].abs(), self.left[1] * peak[lane]));
                if frame >= start {
                    let bound = |peak: f64| BY_INPUT * self.gain * peak + UNHEARD;
                    explained &= chunk[frame].iter().zip(peak).all(|(y, peak)| y.abs() <= bound(peak));
                }
            }
            if moved {
                let frames = chunk[start..end].as_flattened().iter();
                for (y, most) in frames.zip(by_gains[start..end].as_flattened()) {
                    explained &= y.abs() <= BY_GAINS * most + UNHEARD;
                }
            }
        }
        explained
    }
}

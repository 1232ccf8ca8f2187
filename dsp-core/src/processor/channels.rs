//! The sound of one chunk on its way from and to the host. Channels run in pairs, two to a vector register.

use super::Sample;

/// Frames processed at once. Boundaries lie at multiples of it since the last reset, so that the host's
/// block size changes nothing.
pub(super) const CHUNK: usize = 64;

const LANES: usize = 2;

/// Below this (-600 dB) a sample or a state is zero: left alone it would decay into denormal numbers.
pub(super) const NEGLIGIBLE: f64 = 1e-30;

/// When the guard closes, the sound is carried on by at most full scale: a bass string's slope in full, a treble string's in part.
const LONGEST_CARRY: f64 = 1.0;

/// One frame of two channels.
pub(super) type Pair = [f64; LANES];

/// A chunk of two channels.
pub(super) type Chunk = [Pair; CHUNK];

#[derive(Debug, Clone)]
pub(super) struct Channels {
    count: usize,
    chunks: Vec<Chunk>,
    /// The last frame that was heard, and its step from the one before.
    heard: Vec<[Pair; 2]>,
}

impl Channels {
    pub fn new(count: usize) -> Self {
        let pairs = count.div_ceil(LANES);
        Self { count, chunks: vec![[Pair::default(); CHUNK]; pairs], heard: vec![Default::default(); pairs] }
    }

    /// Forgets what was heard.
    pub fn clear(&mut self) {
        self.heard.fill(Default::default());
    }

    /// How many pairs there are.
    pub fn pairs(&self) -> usize {
        self.chunks.len()
    }

    /// The chunk, for the filters to run over.
    pub fn chunks(&mut self) -> &mut [Chunk] {
        &mut self.chunks
    }

    /// The chunk, to be judged.
    pub fn all(&self) -> &[Chunk] {
        &self.chunks
    }

    /// Takes in the frames `start..end` of a block, silence for channels that it lacks and for what is not finite. Gives the frames
    /// where something was not, a bit for each.
    pub fn load<S: Sample, C: AsMut<[S]>>(&mut self, block: &mut [C], start: usize, end: usize) -> u64 {
        let mut finite = true;
        let mut clean = |from: &S| {
            let value = from.to_f64();
            finite &= value.is_finite();
            if value.abs() < NEGLIGIBLE { 0.0 } else { value }
        };
        let there = block.len().min(self.count);
        let mut pairs = block[..there].chunks_mut(LANES);
        for chunk in &mut self.chunks {
            match pairs.next() {
                Some([left, right]) => {
                    let (left, right) = (&left.as_mut()[start..end], &right.as_mut()[start..end]);
                    for ((to, left), right) in chunk.iter_mut().zip(left).zip(right) {
                        *to = [clean(left), clean(right)];
                    }
                }
                Some([left, ..]) => {
                    for (to, left) in chunk.iter_mut().zip(&left.as_mut()[start..end]) {
                        *to = [clean(left), 0.0];
                    }
                }
                _ => chunk.fill(Pair::default()),
            }
        }
        if finite { 0 } else { self.replace_non_finite(end - start) }
    }

    fn replace_non_finite(&mut self, frames: usize) -> u64 {
        let mut replaced = 0;
        for chunk in &mut self.chunks {
            for (frame, pair) in chunk[..frames].iter_mut().enumerate() {
                for value in pair.iter_mut().filter(|value| !value.is_finite()) {
                    *value = 0.0;
                    replaced |= 1 << frame;
                }
            }
        }
        replaced
    }

    pub fn store<S: Sample, C: AsMut<[S]>>(&self, block: &mut [C], start: usize, end: usize) {
        let there = block.len().min(self.count);
        for (channels, chunk) in block[..there].chunks_mut(LANES).zip(&self.chunks) {
            match channels {
                [left, right] => {
                    let (left, right) = (&mut left.as_mut()[start..end], &mut right.as_mut()[start..end]);
                    for ((left, right), from) in left.iter_mut().zip(right).zip(chunk) {
                        (*left, *right) = (S::from_f64(from[0]), S::from_f64(from[1]));
                    }
                }
                [left, ..] => {
                    for (left, from) in left.as_mut()[start..end].iter_mut().zip(chunk) {
                        *left = S::from_f64(from[0]);
                    }
                }
                [] => (),
            }
        }
    }

    /// Whether all of frames `start..end` are numbers within `limit`.
    pub fn within(&self, start: usize, end: usize, limit: f64) -> bool {
        let mut within = true;
        for value in self.chunks.iter().flat_map(|chunk| chunk[start..end].as_flattened()) {
            within &= value.abs() <= limit;
        }
        within
    }

    /// Remembers the last of frames `start..end` as what was heard.
    pub fn remember(&mut self, start: usize, end: usize) {
        for ([value, step], chunk) in self.heard.iter_mut().zip(&self.chunks) {
            let now = chunk[end - 1];
            let before = if end - start > 1 { chunk[end - 2] } else { *value };
            (*value, *step) = (now, each(|lane| now[lane] - before[lane]));
        }
    }

    /// Puts into one frame what was heard before, carried on with a step that shrinks to `shrink` of itself from frame to
    /// frame, and scaled.
    pub fn carry_on(&mut self, frame: usize, shrink: f64, limit: f64, factor: f64) {
        let largest_step = LONGEST_CARRY * (1.0 - shrink);
        for ([value, step], chunk) in self.heard.iter_mut().zip(&mut self.chunks) {
            *step = step.map(|step| shrink * step.clamp(-largest_step, largest_step));
            *value = each(|lane| (value[lane] + step[lane]).clamp(-limit, limit));
            chunk[frame] = value.map(|value| factor * value);
        }
    }

    pub fn scale(&mut self, frame: usize, factor: f64) {
        for value in self.chunks.iter_mut().flat_map(|chunk| &mut chunk[frame]) {
            *value *= factor;
        }
    }

    pub fn silence(&mut self, frame: usize) {
        self.chunks.iter_mut().for_each(|chunk| chunk[frame] = Pair::default());
    }
}

/// A pair made lane by lane.
pub(super) fn each(f: impl Fn(usize) -> f64) -> Pair {
    std::array::from_fn(f)
}

/// The larger of two numbers, as one instruction does it.
pub(super) fn larger(one: f64, other: f64) -> f64 {
    if one > other { one } else { other }
}

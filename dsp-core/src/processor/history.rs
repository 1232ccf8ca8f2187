//! The last of what came in, so that a filter that begins in the middle of the sound can begin as if it had always run.

use super::channels::{Chunk, Pair};

/// How much is kept. A filter's slowest pole decides what a beginning costs: after one second what is left of one at 1 Hz is -55 dB, of one at
/// 0.3 Hz (an undo of 10 Hz with a ceiling of 30 dB) -16 dB.
const SECONDS: f64 = 1.0;

/// One frame of two channels, as exact as most inputs are; of the rest it costs a filter that begins -140 dB, for as long as its poles last.
type Kept = [f32; 2];

#[derive(Debug, Clone)]
pub(super) struct History {
    /// One ring a pair of channels.
    rings: Vec<Vec<Kept>>,
    /// Frames written since the start.
    written: usize,
    /// Frames written since it was last told to forget.
    known: usize,
}

impl History {
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "384,000 at most")]
    pub fn new(rate_hz: f64, pairs: usize) -> Self {
        let frames = (SECONDS * rate_hz).round() as usize;
        // Not zeros: those the system would hand out page by page, in the middle of the sound.
        let ring = || vec![Kept::from([1.0; 2]); frames];
        Self { rings: std::iter::repeat_with(ring).take(pairs).collect(), written: 0, known: 0 }
    }

    /// Keeps nothing from now on.
    pub fn keep_nothing(&mut self) {
        self.rings = Vec::new();
    }

    /// Forgets all: it was silence.
    pub fn clear(&mut self) {
        self.known = 0;
    }

    /// How many frames there are to read.
    pub fn available(&self) -> usize {
        self.known.min(self.rings.first().map_or(0, Vec::len))
    }

    /// Takes in the first frames of the chunks.
    pub fn write(&mut self, chunks: &[Chunk], frames: usize) {
        for (ring, chunk) in self.rings.iter_mut().zip(chunks) {
            let at = self.written % ring.len();
            let first = frames.min(ring.len() - at);
            let (to_end, from_start) = chunk[..frames].split_at(first);
            keep(&mut ring[at..at + first], to_end);
            keep(&mut ring[..from_start.len()], from_start);
        }
        self.written += frames;
        self.known += frames;
    }

    /// Gives as many frames as `to` has, beginning `ago` frames before the end, of one pair.
    pub fn read(&self, pair: usize, mut ago: usize, mut to: &mut [Pair]) {
        if ago > self.known {
            let (forgotten, rest) = to.split_at_mut((ago - self.known).min(to.len()));
            forgotten.fill(Pair::default());
            (to, ago) = (rest, self.known);
        }
        let ring = &self.rings[pair];
        let at = (self.written - ago) % ring.len();
        let first = to.len().min(ring.len() - at);
        let (to_end, from_start) = to.split_at_mut(first);
        give(&ring[at..at + first], to_end);
        give(&ring[..from_start.len()], from_start);
    }
}

#[expect(clippy::cast_possible_truncation, reason = "clamped to what is finite; the precision is stated")]
fn keep(ring: &mut [Kept], frames: &[Pair]) {
    const MOST: f64 = f32::MAX as f64;
    for (to, from) in ring.iter_mut().zip(frames) {
        *to = from.map(|value| value.clamp(-MOST, MOST) as f32);
    }
}

fn give(ring: &[Kept], to: &mut [Pair]) {
    for (to, from) in to.iter_mut().zip(ring) {
        *to = from.map(f64::from);
    }
}

#[cfg(test)]
mod tests {
    use super::super::channels::CHUNK;
    use super::*;

    #[test]
    fn gives_back_what_came_in_also_across_its_end() {
        let mut history = History::new(100.0, 2);
        let mut value = 0.0;
        for frames in [3, 64, 17, 64, 1, 50, 64] {
            let mut chunk = [Pair::default(); CHUNK];
            for frame in &mut chunk[..frames] {
                value += 1.0;
                *frame = [value, -value];
            }
            history.write(&[[Pair::default(); CHUNK], chunk], frames);
            let available = history.available();
            assert_eq!(f64::from(u16::try_from(available).unwrap()), value.min(100.0));
            for ago in [available, available / 2, 1] {
                let mut read = vec![Pair::default(); ago.min(30)];
                history.read(1, ago, &mut read);
                for (n, frame) in (0_u16..).zip(read) {
                    let expected = value - f64::from(u16::try_from(ago).unwrap()) + 1.0 + f64::from(n);
                    assert_eq!(frame, [expected, -expected]);
                }
            }
        }
        history.clear();
        assert_eq!(history.available(), 0);
        history.write(&[[Pair::default(); CHUNK], [[7.0, 8.0]; CHUNK]], 2);
        let mut read = [[1.0; 2]; 5];
        history.read(1, 5, &mut read);
        assert_eq!(read, [[0.0; 2], [0.0; 2], [0.0; 2], [7.0, 8.0], [7.0, 8.0]]);
    }
}

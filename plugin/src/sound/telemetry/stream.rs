//! Input for who listens for minutes: where something is missing is told, so that nobody takes two pieces for one.

use rtrb::{Consumer, Producer, RingBuffer};

use super::{Frame, frame_of, frames_of, whole};

/// What the ring holds: its reader wakes some times in a second.
const RING_SECONDS: f64 = 2.0;
/// So many places between pieces are known at a time.
const BREAKS: usize = 64;
/// A host that counts in seconds may be so many frames off.
const ROUNDING: u64 = 32;

/// Both ends, of the run of this number, at a rate in Hz.
pub(super) fn stream(number: u64, rate_hz: f64, channels: usize) -> (Sender, Stream) {
    let (to_frames, frames) = RingBuffer::new(whole(RING_SECONDS * rate_hz));
    let (to_breaks, breaks) = RingBuffer::new(BREAKS);
    let place = Place::default();
    let sender = Sender { frames: to_frames, breaks: to_breaks, sent: 0, is_broken: false, place };
    (sender, Stream { number, rate_hz, channels, frames, breaks, received: 0 })
}

/// Where a host is.
#[derive(Debug, Clone, Copy, Default)]
struct Place {
    plays: bool,
    /// The frame of the project that a block begins with, and the one behind the block.
    frames: Option<(i64, i64)>,
}

/// The audio thread's end. Nothing waits, allocates or is freed.
#[derive(Debug)]
pub(super) struct Sender {
    frames: Producer<Frame>,
    /// Each by how many frames are before it.
    breaks: Producer<u64>,
    sent: u64,
    /// What comes next does not follow on what was sent.
    is_broken: bool,
    place: Place,
}

impl Sender {
    pub fn interrupt(&mut self) {
        self.is_broken = true;
    }

    /// The next block has so many frames, and begins at this one of the project, if the host says so. A host that says the same one over and over does
    /// not know.
    pub fn follow(&mut self, plays: bool, position: Option<i64>, frames: usize) {
        let before = self.place;
        let end = |from: i64| from.saturating_add_unsigned(frames as u64);
        self.place = Place { plays, frames: position.map(|from| (from, end(from))) };
        let jumps = match (before.frames, position) {
            (Some((from, end)), Some(now)) => now != from && now.abs_diff(end) > ROUNDING,
            _ => false,
        };
        self.is_broken |= plays != before.plays || (plays && jumps);
    }

    /// Zeros of a host that stands still are nobody's silence.
    pub fn send(&mut self, block: &[&mut [f32]]) {
        let stands =
            !self.place.plays && block.iter().all(|channel| channel.iter().all(|sample| *sample == 0.0));
        let frames = frames_of(block);
        let room = frames.min(self.frames.slots());
        if stands || room == 0 || (self.is_broken && self.breaks.push(self.sent).is_err()) {
            self.is_broken = true;
            return;
        }
        if let Ok(chunk) = self.frames.write_chunk_uninit(room) {
            chunk.fill_from_iter((0..room).map(|at| frame_of(block, at)));
        }
        self.sent += room as u64;
        self.is_broken = room < frames;
    }
}

/// The end from which it is heard.
#[derive(Debug)]
pub struct Stream {
    /// Which of all runs this is, from 1 on.
    pub number: u64,
    /// In Hz.
    pub rate_hz: f64,
    /// Channels that there are.
    pub channels: usize,
    frames: Consumer<Frame>,
    breaks: Consumer<u64>,
    received: u64,
}

/// What comes out of it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Piece {
    /// It follows on the one before.
    Next,
    /// Nothing, and what comes next does not follow.
    Break,
}

impl Stream {
    /// Writes the next samples of the first channels; `None` if there are none yet.
    pub fn take(&mut self, to: &mut [Vec<f64>]) -> Option<Piece> {
        to.iter_mut().for_each(Vec::clear);
        // A break is known before what comes behind it.
        let most = self.frames.slots();
        let to_break = match self.breaks.peek() {
            Ok(at) if *at == self.received => {
                let _ = self.breaks.pop();
                return Some(Piece::Break);
            }
            Ok(at) => usize::try_from(at - self.received).unwrap_or(usize::MAX),
            Err(_) => usize::MAX,
        };
        let chunk = self.frames.read_chunk(most.min(to_break)).ok().filter(|chunk| !chunk.is_empty())?;
        self.received += chunk.len() as u64;
        for frame in chunk {
            to.iter_mut().zip(frame).for_each(|(channel, sample)| channel.push(f64::from(sample)));
        }
        Some(Piece::Next)
    }

    /// Whether all that came has been taken.
    pub fn is_empty(&self) -> bool {
        self.frames.is_empty()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// All that is there, piece by piece.
    fn taken(stream: &mut Stream) -> Vec<Vec<f64>> {
        let (mut pieces, mut to) = (vec![Vec::new()], [Vec::new(), Vec::new()]);
        while let Some(piece) = stream.take(&mut to) {
            match piece {
                Piece::Next => pieces.last_mut().unwrap().extend(&to[0]),
                Piece::Break => pieces.push(Vec::new()),
            }
        }
        pieces
    }

    fn send(sender: &mut Sender, samples: &[f32]) {
        let (mut left, mut right) = (samples.to_vec(), vec![0.5; samples.len()]);
        sender.send(&[&mut left, &mut right]);
    }

    /// Whatever is lost, and wherever a host goes: between two samples that do not follow on each other there is a break.
    #[test]
    fn what_is_missing_is_told() {
        let (mut sender, mut stream) = stream(1, 8.0, 2);
        send(&mut sender, &[1.0, 2.0, 3.0]);
        assert_eq!(taken(&mut stream), [vec![1.0, 2.0, 3.0]]);
        // Sixteen find room.
        let long: Vec<f32> = (4_u8..24).map(f32::from).collect();
        send(&mut sender, &long);
        send(&mut sender, &[24.0]);
        assert_eq!(taken(&mut stream), [(4_u8..20).map(f64::from).collect::<Vec<_>>()]);
        send(&mut sender, &[25.0]);
        send(&mut sender, &[26.0]);
        sender.interrupt();
        send(&mut sender, &[27.0]);
        assert_eq!(taken(&mut stream), [vec![], vec![25.0, 26.0], vec![27.0]]);
    }

    #[test]
    fn a_host_that_jumps_or_stops_breaks_it() {
        let (mut sender, mut stream) = stream(1, 1e3, 2);
        let mut block = |plays, position, sample: f32| {
            sender.follow(plays, position, 1);
            sender.send(&[&mut [sample], &mut [sample]]);
        };
        block(true, Some(1_000), 1.0);
        block(true, Some(1_001), 2.0);
        block(true, Some(200), 3.0);
        block(true, Some(202), 4.0);
        // It does not know where it is.
        block(true, Some(202), 5.0);
        block(true, None, 6.0);
        block(true, Some(7_000), 7.0);
        // A gate's, then nothing's.
        block(true, Some(7_001), 0.0);
        block(false, Some(7_002), 0.0);
        block(false, Some(7_002), 0.0);
        block(true, Some(7_002), 8.0);
        // What is played while it stands still is heard.
        block(false, Some(7_003), 9.0);
        block(false, Some(7_003), 10.0);
        assert_eq!(
            taken(&mut stream),
            [vec![], vec![1.0, 2.0], vec![3.0, 4.0, 5.0, 6.0, 7.0, 0.0], vec![8.0], vec![9.0, 10.0]]
        );
    }

    /// Each by the place that it has, however many are waiting.
    #[test]
    fn more_breaks_than_are_known_lose_sound_and_no_break() {
        let (mut sender, mut stream) = stream(1, 1e3, 2);
        for sample in 0..100_u8 {
            send(&mut sender, &[f32::from(sample)]);
            sender.interrupt();
        }
        // The first of all, and one behind each break that is known.
        let expected: Vec<Vec<f64>> = (0_u8..=64).map(|sample| vec![f64::from(sample)]).collect();
        assert_eq!((taken(&mut stream), BREAKS), (expected, 64));
        send(&mut sender, &[100.0]);
        assert_eq!(taken(&mut stream), [vec![], vec![100.0]]);
    }
}

use rubato::audioadapter_buffers::direct::SequentialSliceOfVecs;
use rubato::{Fft, Indexing, Resampler};

/// Frames that are converted together, at least; long chunks keep more of the top.
const CHUNK: usize = 2048;

/// From one sample rate to another, without delay, whole or in blocks.
pub struct RateConverter {
    /// `None` where both rates are the same.
    fft: Option<Fft<f64>>,
    channels: usize,
    waiting: Vec<Vec<f64>>,
    /// Of the filter's delay, in frames that come out.
    to_drop: usize,
    /// Frames that are still to come out.
    left: u64,
}

/// A chunk that both rates have a whole, even number of frames for: of an odd one the filter's delay, half a chunk, would be no whole
/// number of frames.
fn chunk(from_hz: usize, to_hz: usize) -> usize {
    let (mut divisor, mut rest) = (from_hz, to_hz);
    while rest > 0 {
        (divisor, rest) = (rest, divisor % rest);
    }
    CHUNK.next_multiple_of(2 * from_hz / divisor)
}

/// Frames at another rate, rounded to the nearest.
pub fn frames_at(frames: u64, from_hz: u32, to_hz: u32) -> u64 {
    let (from, to) = (u64::from(from_hz), u64::from(to_hz));
    // The shortest take has something to be heard.
    ((frames * to + from / 2) / from).max(1)
}

impl RateConverter {
    /// For `frames` frames that come in.
    ///
    /// # Panics
    /// Never: rates are above zero, channels at least one.
    pub fn new(from_hz: u32, to_hz: u32, channels: usize, frames: u64) -> Self {
        let fft = (from_hz != to_hz).then(|| {
            let [from, to] = [from_hz, to_hz].map(|hz| usize::try_from(hz).expect("a rate"));
            firstjack_fourier::resampler(from, to, chunk(from, to), channels).expect("rates above zero")
        });
        Self {
            to_drop: fft.as_ref().map_or(0, Resampler::output_delay),
            fft,
            channels,
            waiting: vec![Vec::new(); channels],
            left: frames_at(frames, from_hz, to_hz),
        }
    }

    /// Takes a block and gives what can be had.
    pub fn add(&mut self, block: &[Vec<f64>]) -> Vec<Vec<f64>> {
        self.waiting.iter_mut().zip(block).for_each(|(waiting, channel)| waiting.extend_from_slice(channel));
        let mut out = vec![Vec::new(); self.channels];
        let Some(chunk) = self.fft.as_ref().map(Resampler::input_frames_next) else {
            let all = self.waiting.iter_mut().map(std::mem::take).collect();
            return self.counted(all);
        };
        while self.waiting[0].len() >= chunk {
            self.convert(chunk, &mut out);
            self.waiting.iter_mut().for_each(|channel| drop(channel.drain(..chunk)));
        }
        self.counted(out)
    }

    /// What is still to come, silence following.
    pub fn finish(&mut self) -> Vec<Vec<f64>> {
        let mut out = vec![Vec::new(); self.channels];
        while self.fft.is_some() && (out[0].len() as u64) < self.left {
            let there = self.waiting[0].len();
            self.convert(there, &mut out);
            self.waiting.iter_mut().for_each(Vec::clear);
        }
        self.counted(out)
    }

    /// Converts a chunk of which only the first `there` frames are there.
    ///
    /// # Panics
    /// Never: both buffers have the channels and frames that the library asks for.
    fn convert(&mut self, there: usize, out: &mut [Vec<f64>]) {
        let Some(fft) = &mut self.fft else { return };
        let chunk = fft.input_frames_next();
        self.waiting.iter_mut().for_each(|channel| channel.resize(chunk.max(channel.len()), 0.0));
        let input =
            SequentialSliceOfVecs::new(self.waiting.as_slice(), self.channels, chunk).expect("its size");
        let mut converted = vec![vec![0.0; fft.output_frames_next()]; self.channels];
        let frames = converted[0].len();
        let mut output = SequentialSliceOfVecs::new_mut(converted.as_mut_slice(), self.channels, frames)
            .expect("its size");
        let partial = Indexing::new().partial_len(there);
        fft.process_into_buffer(&input, &mut output, Some(&partial)).expect("its sizes");
        let drop = self.to_drop.min(frames);
        self.to_drop -= drop;
        out.iter_mut().zip(&converted).for_each(|(out, channel)| out.extend_from_slice(&channel[drop..]));
    }

    /// Not more than is to come out.
    fn counted(&mut self, mut out: Vec<Vec<f64>>) -> Vec<Vec<f64>> {
        let most = usize::try_from(self.left).unwrap_or(usize::MAX);
        out.iter_mut().for_each(|channel| channel.truncate(most));
        self.left -= out[0].len() as u64;
        out
    }
}

#[cfg(test)]
mod tests {
    use std::f64::consts::TAU;

    use super::*;

    /// A sine at another rate is the same sine: in pitch, level and time.
    #[test]
    fn a_sine_stays_itself() {
        for (from_hz, to_hz) in [
            (44_100, 48_000),
            (8_000, 48_000),
            (11_025, 48_000),
            (96_000, 48_000),
            (384_000, 96_000),
            (8_001, 48_000),
        ] {
            let at = |rate_hz: u32, frame: u32| (TAU * 997.0 * f64::from(frame) / f64::from(rate_hz)).sin();
            let input: Vec<f64> = (0..from_hz).map(|frame| at(from_hz, frame)).collect();
            let mut converter = RateConverter::new(from_hz, to_hz, 1, u64::from(from_hz));
            let mut out = Vec::new();
            for block in input.chunks(1000) {
                out.extend_from_slice(&converter.add(&[block.to_vec()])[0]);
            }
            out.extend_from_slice(&converter.finish()[0]);
            assert_eq!(out.len(), usize::try_from(to_hz).unwrap(), "from {from_hz} Hz");
            let middle = to_hz / 4..to_hz * 3 / 4;
            let worst = middle
                .map(|frame| (out[usize::try_from(frame).unwrap()] - at(to_hz, frame)).abs())
                .fold(0.0, f64::max);
            assert!(worst < 1e-4, "from {from_hz} to {to_hz} Hz: off by {worst}");
        }
    }

    #[test]
    fn one_rate_passes_through() {
        let mut converter = RateConverter::new(48_000, 48_000, 2, 3);
        let block = [vec![0.1, 0.2, 0.3], vec![0.4, 0.5, 0.6]];
        assert_eq!(converter.add(&block), block);
        assert_eq!(converter.finish(), [Vec::<f64>::new(), Vec::new()]);
    }
}

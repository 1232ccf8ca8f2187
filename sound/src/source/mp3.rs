//! MPEG audio, for hearing.

use nanomp3::Reader;

use super::stream::{Stream, count, skip};
use super::{Body, Opened};
use crate::input::Input;
use crate::{Encoding, Format, Metadata, Problem};

/// Samples that are decoded together.
const SAMPLES: usize = 8192;

pub fn open(input: Input) -> Result<Opened, Problem> {
    let mut decoder = Decoder::new(input)?;
    let rate_hz = decoder.reader.sample_rate();
    let format = Format::new(decoder.channels.try_into().unwrap_or(0), rate_hz, Encoding::Float32)?;
    // What is promised is in a tag of encoders, and not always there.
    let promised = decoder.reader.total_samples().filter(|_| decoder.reader.has_vbr_tag());
    let (frames, problem) = count(&mut decoder, promised);
    Ok(Opened {
        body: Body::Stream(Box::new(decoder)),
        format,
        metadata: Metadata::default(),
        frames,
        problem,
    })
}

struct Decoder {
    start: Input,
    reader: Reader<Input, f32>,
    channels: usize,
    /// Interleaved; taken from `next` on.
    samples: Vec<f32>,
    next: usize,
    frame: u64,
}

impl Decoder {
    fn new(input: Input) -> Result<Self, Problem> {
        let reader = reader(&input)?;
        let channels = reader.channels().ok_or_else(|| invalid("there is no sound in it"))?;
        let channels = usize::from(channels.num());
        Ok(Self { start: input, reader, channels, samples: Vec::new(), next: 0, frame: 0 })
    }
}

fn reader(input: &Input) -> Result<Reader<Input, f32>, Problem> {
    let mut input = input.clone();
    input.go_to(0);
    Reader::new(input).map_err(invalid)
}

fn invalid(reason: impl ToString) -> Problem {
    Problem::Stream { kind: "MP3", reason: reason.to_string() }
}

impl Stream for Decoder {
    fn fill(&mut self) -> Result<usize, Problem> {
        if self.next == self.samples.len() {
            self.samples.resize(SAMPLES, 0.0);
            self.next = 0;
            let read = self.reader.read(&mut self.samples);
            let count = *read.as_ref().unwrap_or(&0);
            self.samples.truncate(count - count % self.channels);
            if let Err(error) = read {
                return Err(Problem::BreaksOff { frame: self.frame, reason: error.to_string() });
            }
        }
        Ok((self.samples.len() - self.next) / self.channels)
    }

    fn take(&mut self, frames: usize, channels: &mut [Vec<f64>]) {
        let samples = &self.samples[self.next..self.next + frames * self.channels];
        for (index, channel) in channels.iter_mut().enumerate() {
            channel.extend(samples.iter().skip(index).step_by(self.channels).map(|value| f64::from(*value)));
        }
        self.next += samples.len();
        self.frame += frames as u64;
    }

    fn go_to(&mut self, frame: u64) -> Result<(), Problem> {
        self.reader = reader(&self.start)?;
        (self.next, self.frame) = (0, 0);
        self.samples.clear();
        skip(self, frame).1.map_or(Ok(()), Err)
    }
}

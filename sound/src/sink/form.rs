use std::io::{self, Seek, SeekFrom, Write};

use super::quantiser::Quantiser;
use super::{Aiff, Making, Wav};
use crate::encoding::Packing;
use crate::metadata::Chunk;

/// What stands around samples that lie in a file as they are.
pub enum Form {
    Wav(Wav),
    Aiff(Aiff),
}

impl Form {
    /// Everything before so many bytes of samples; always of one length.
    pub fn head(&self, data_bytes: u64) -> Vec<u8> {
        match self {
            Self::Wav(wav) => wav.head(data_bytes),
            Self::Aiff(aiff) => aiff.head(data_bytes),
        }
    }

    /// Everything behind them.
    fn tail(&self, data_bytes: u64) -> Vec<u8> {
        match self {
            Self::Wav(wav) => wav.tail(data_bytes),
            Self::Aiff(aiff) => aiff.tail(data_bytes),
        }
    }

    fn most_bytes(&self) -> u64 {
        match self {
            Self::Wav(wav) => wav.most_bytes(),
            Self::Aiff(_) => u32::MAX.into(),
        }
    }
}

/// Writes samples as they are.
pub struct Packed<W> {
    to: W,
    packing: Packing,
    form: Form,
    /// What the head says.
    told_bytes: u64,
    data_bytes: u64,
    bytes: Vec<u8>,
}

impl<W: Write + Seek> Packed<W> {
    pub fn new(mut to: W, packing: Packing, form: Form, making: Making) -> io::Result<Self> {
        let told_bytes = making.frames * making.format.bytes_per_frame() as u64;
        to.write_all(&form.head(told_bytes))?;
        Ok(Self { to, packing, form, told_bytes, data_bytes: 0, bytes: Vec::new() })
    }

    pub fn write(&mut self, channels: &[Vec<f64>], gain: f64, quantiser: &mut Quantiser) -> io::Result<()> {
        let (packing, sample_bytes) = (self.packing, self.packing.encoding.bytes());
        let frame_bytes = channels.len() * sample_bytes;
        self.bytes.resize(channels.first().map_or(0, Vec::len) * frame_bytes, 0);
        for (index, channel) in channels.iter().enumerate() {
            let offset = index * sample_bytes;
            if packing.encoding.is_float() {
                let values = channel.iter().map(|value| value * gain);
                packing.encode(values, &mut self.bytes, frame_bytes, offset);
            } else {
                packing.encode(quantiser.values(channel, gain), &mut self.bytes, frame_bytes, offset);
            }
        }
        self.data_bytes += self.bytes.len() as u64;
        self.to.write_all(&self.bytes)
    }

    pub fn finish(mut self) -> io::Result<W> {
        let (head, tail) = (self.form.head(self.data_bytes), self.form.tail(self.data_bytes));
        if head.len() as u64 + self.data_bytes + tail.len() as u64 > self.form.most_bytes() {
            return Err(io::Error::other("more was written than was to be"));
        }
        self.to.write_all(&tail)?;
        if self.data_bytes != self.told_bytes {
            self.to.seek(SeekFrom::Start(0))?;
            self.to.write_all(&head)?;
        }
        self.to.flush()?;
        Ok(self.to)
    }
}

/// Chunks with their lengths in front, written by `length`, each padded to an even number of bytes.
pub fn chunks<'a>(chunks: impl Iterator<Item = &'a Chunk>, length: impl Fn(u32) -> [u8; 4]) -> Vec<u8> {
    let mut all = Vec::new();
    for Chunk { id, bytes, .. } in chunks {
        // What is kept is far from 4 GiB.
        let bytes_there = u32::try_from(bytes.len()).unwrap_or(u32::MAX);
        all.extend([id.as_slice(), &length(bytes_there), bytes, &[0][..bytes.len() % 2]].concat());
    }
    all
}

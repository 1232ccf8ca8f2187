use std::io::Read;

use crate::encoding::Packing;
use crate::input::Input;
use crate::{Format, Problem};

/// Samples that lie in a file as they are.
pub struct Packed {
    input: Input,
    packing: Packing,
    frame_bytes: usize,
    /// Of the first frame, in bytes.
    start: u64,
    bytes: Vec<u8>,
}

impl Packed {
    pub fn new(input: Input, packing: Packing, format: Format, start: u64) -> Self {
        Self { input, packing, frame_bytes: format.bytes_per_frame(), start, bytes: Vec::new() }
    }

    pub fn go_to(&mut self, frame: u64) {
        self.input.go_to(self.start + frame * self.frame_bytes as u64);
    }

    /// Reads so many frames, which must be there, into `channels`, which must be empty.
    pub fn read(&mut self, channels: &mut [Vec<f64>], frames: usize) -> Result<(), Problem> {
        self.bytes.resize(frames * self.frame_bytes, 0);
        self.input.read_exact(&mut self.bytes)?;
        for (index, channel) in channels.iter_mut().enumerate() {
            let offset = index * self.packing.encoding.bytes();
            self.packing.decode(&self.bytes, self.frame_bytes, offset, channel);
        }
        Ok(())
    }
}

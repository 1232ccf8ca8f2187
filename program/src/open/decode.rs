//! Takes as samples in memory.

use std::path::Path;

use firstjack_sound::{Reading, Source};

use crate::error::Failure;

/// Channels that are heard.
pub const HEARD: usize = 2;

/// Frames that are read together.
const BLOCK: usize = 4096;

/// A take in memory.
#[derive(Debug)]
pub struct Sound {
    pub rate_hz: u32,
    /// One or two, of one length; full scale is one, and all are finite.
    pub channels: Vec<Vec<f32>>,
    /// Channels of the file.
    pub channels_in_file: usize,
    /// Whether less is there than the file says.
    pub is_truncated: bool,
}

impl Sound {
    /// How long it is.
    pub fn frames(&self) -> usize {
        self.channels.first().map_or(0, Vec::len)
    }
}

/// Reads a take: of more than two channels the first two. With `salvage` a truncated one is read as far as it goes, and samples
/// that are not finite are silence.
pub fn decode(path: &Path, salvage: bool) -> Result<Sound, Failure> {
    let mut source = Source::open(path, Reading { salvage, audition: true })?;
    match source.frames() {
        0 => return Err(Failure::input(path, "there is no sound in it")),
        frames if u32::try_from(frames).is_err() => {
            let problem = format!("it has {frames} frames; at most {} can be opened", u32::MAX);
            return Err(Failure::input(path, problem));
        }
        _ => {}
    }
    let channels_in_file = usize::from(source.format().channels);
    let mut channels = vec![Vec::new(); channels_in_file.min(HEARD)];
    let mut block = vec![Vec::new(); channels.len()];
    while source.read(&mut block, BLOCK)? {
        for (channel, read) in channels.iter_mut().zip(&block) {
            channel.extend(read.iter().map(|value| narrow(*value)));
        }
    }
    let (rate_hz, is_truncated) = (source.format().rate_hz, source.is_truncated());
    Ok(Sound { rate_hz, channels, channels_in_file, is_truncated })
}

#[expect(clippy::cast_possible_truncation, reason = "the plugin's samples are f32")]
fn narrow(value: f64) -> f32 {
    let value = value as f32;
    // Of a take that is salvaged.
    if value.is_finite() { value } else { 0.0 }
}

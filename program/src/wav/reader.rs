use std::fs::File;
use std::io::{Read, Seek, SeekFrom};
use std::path::{Path, PathBuf};

use super::Format;
use super::chunks::Chunks;
use crate::error::Failure;

const ACCEPTED: &str = "accepted are WAV files of 8-, 16-, 24- or 32-bit integers or 32-bit floats, 1 to 64 channels, 8 to 384 kHz, up to 4 GiB";

/// A take that is being read.
#[derive(Debug)]
pub struct TakeReader {
    path: PathBuf,
    file: File,
    format: Format,
    data_start: u64,
    frames: u64,
    truncated: bool,
    next_frame: u64,
    salvage: bool,
    salvaged: u64,
    bytes: Vec<u8>,
}

impl TakeReader {
    /// Opens a take and checks that all of it is there. With `salvage` a truncated take is read as far as it goes, and
    /// samples that are not finite are handed on.
    pub fn open(path: &Path, salvage: bool) -> Result<Self, Failure> {
        let refuse = |problem| Failure::input(path, format!("{problem}; {ACCEPTED}"));
        let mut file = File::open(path).map_err(|error| refuse(format!("cannot open it: {error}")))?;
        let Header { format, data_start, frames, truncated } =
            Header::read(&mut file, salvage).map_err(refuse)?;
        Ok(Self {
            path: path.to_owned(),
            file,
            format,
            data_start,
            frames,
            truncated,
            next_frame: 0,
            salvage,
            salvaged: 0,
            bytes: Vec::new(),
        })
    }

    pub fn format(&self) -> Format {
        self.format
    }

    pub fn frames(&self) -> u64 {
        self.frames
    }

    /// Whether less is there than its header says.
    pub fn is_truncated(&self) -> bool {
        self.truncated
    }

    /// How many samples that are not finite were read since the last [`TakeReader::rewind`].
    pub fn salvaged(&self) -> u64 {
        self.salvaged
    }

    /// Leaves only `frames` frames from `from` on, which must be there; [`TakeReader::rewind`] goes to the first of them.
    pub fn cut(&mut self, from: u64, frames: u64) {
        self.data_start += from * self.format.bytes_per_frame() as u64;
        self.frames = frames;
    }

    /// Goes to the first frame.
    pub fn rewind(&mut self) -> Result<(), Failure> {
        self.next_frame = 0;
        self.salvaged = 0;
        self.file
            .seek(SeekFrom::Start(self.data_start))
            .map_err(|error| Failure::input(&self.path, format!("cannot read it: {error}")))?;
        Ok(())
    }

    /// Reads up to `most` frames into `channels`, which are resized to what was read; false at the end.
    pub fn read(&mut self, channels: &mut [Vec<f64>], most: usize) -> Result<bool, Failure> {
        let left = usize::try_from(self.frames - self.next_frame).unwrap_or(usize::MAX);
        let frames = left.min(most);
        self.bytes.resize(frames * self.format.bytes_per_frame(), 0);
        self.file
            .read_exact(&mut self.bytes)
            .map_err(|error| Failure::input(&self.path, format!("cannot read it: {error}")))?;
        let (encoding, frame_bytes) = (self.format.encoding, self.format.bytes_per_frame());
        for (index, channel) in channels.iter_mut().enumerate() {
            channel.clear();
            encoding.decode(&self.bytes, frame_bytes, index * encoding.bytes(), channel);
        }
        if self.format.encoding.is_float() {
            self.check_finite(channels)?;
        }
        self.next_frame += frames as u64;
        Ok(frames > 0)
    }

    fn check_finite(&mut self, channels: &[Vec<f64>]) -> Result<(), Failure> {
        for (index, channel) in channels.iter().enumerate() {
            if channel.iter().all(|value| value.is_finite()) {
                continue;
            }
            let bad = channel.iter().enumerate().filter(|(_, value)| !value.is_finite());
            if self.salvage {
                self.salvaged += bad.count() as u64;
            } else if let Some((frame, value)) = bad.into_iter().next() {
                return Err(Failure::input(
                    &self.path,
                    format!(
                        "the sample at frame {} (counted from 0) of channel {} is {value}: accepted are finite numbers; \
                         --allow-damaged passes over it",
                        self.next_frame + frame as u64,
                        index + 1
                    ),
                ));
            }
        }
        Ok(())
    }
}

struct Header {
    format: Format,
    data_start: u64,
    frames: u64,
    truncated: bool,
}

impl Header {
    fn read(file: &mut File, salvage: bool) -> Result<Self, String> {
        let metadata = file.metadata().map_err(|error| error.to_string())?;
        if metadata.is_dir() {
            return Err("it is a folder".to_owned());
        }
        if !metadata.is_file() {
            return Err("it is not a file that can be read twice".to_owned());
        }
        if metadata.len() == 0 {
            return Err("it is empty".to_owned());
        }
        let Chunks { format, data_start, data_bytes } = Chunks::find(file, metadata.len())?;
        let format = Format::from_chunk(&format)?;
        let there = metadata.len().saturating_sub(data_start);
        let problem = length_problem(data_bytes, there, format.bytes_per_frame() as u64);
        let truncated = problem.is_some();
        if let Some(problem) = problem.filter(|_| !salvage) {
            return Err(problem);
        }
        let frames = data_bytes.unwrap_or(there).min(there) / format.bytes_per_frame() as u64;
        Ok(Self { format, data_start, frames, truncated })
    }
}

/// What is wrong with the data's length in bytes, `promised` by the header (if it is) and `there`.
fn length_problem(promised: Option<u64>, there: u64, frame_bytes: u64) -> Option<String> {
    let frames = there / frame_bytes;
    match promised {
        None => Some(format!(
            "its header was never finished and gives no length; --allow-damaged processes the {frames} frames that are there"
        )),
        Some(bytes) if bytes > there => Some(format!(
            "truncated: the header promises {} frames, {frames} are there, so frame {frames} (counted from 0) is the first \
             that is missing; --allow-damaged processes what is there",
            bytes / frame_bytes
        )),
        Some(bytes) if bytes % frame_bytes != 0 => Some(format!(
            "its data has {bytes} bytes, no whole number of frames of {frame_bytes} bytes; --allow-damaged leaves out the rest"
        )),
        Some(_) => None,
    }
}

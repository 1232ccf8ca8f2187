use std::fs::File;
use std::io::{BufReader, Read, Seek, SeekFrom};
use std::path::{Path, PathBuf};

use dsp_core::filter::RATES_HZ;
use hound::{SampleFormat, WavReader};

use super::{Encoding, Format};
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
    next_frame: u64,
    salvage: bool,
    salvaged: u64,
    bytes: Vec<u8>,
}

impl TakeReader {
    /// Opens a take and checks that all of it is there. With `salvage` a truncated take is read as far as it goes, and
    /// samples that are not finite are handed on.
    pub fn open(path: &Path, salvage: bool) -> Result<Self, Failure> {
        let fail = |problem: String| Failure::input(path, problem);
        let file = File::open(path).map_err(|error| fail(format!("cannot open it: {error}")))?;
        let length = file.metadata().map_err(|error| fail(error.to_string()))?;
        if length.is_dir() {
            return Err(fail("it is a folder: a take is a WAV file".to_owned()));
        }
        if length.len() == 0 {
            return Err(fail(format!("it is empty: {ACCEPTED}")));
        }
        let wav = WavReader::new(BufReader::new(file)).map_err(|error| fail(describe(&error)))?;
        let (spec, samples) = (wav.spec(), u64::from(wav.len()));
        let mut buffered = wav.into_inner();
        let data_start = buffered.stream_position().map_err(|error| fail(error.to_string()))?;
        let mut file = buffered.into_inner();
        let data_bytes = data_length(&mut file, data_start).map_err(|error| fail(error.to_string()))?;
        // The header says how many bits are valid; the container, which a sample fills from the top, is what is read.
        let container = data_bytes.checked_div(samples).unwrap_or(u64::from(spec.bits_per_sample / 8));
        let encoding = encoding(spec.sample_format, container)
            .ok_or_else(|| fail(format!("{} bits a sample are not accepted: {ACCEPTED}", container * 8)))?;
        let format = Format { channels: spec.channels, rate_hz: spec.sample_rate, encoding };
        check(format).map_err(fail)?;
        let mut frames = samples / u64::from(spec.channels);
        let there = (length.len() - data_start) / format.bytes_per_frame() as u64;
        if there < frames {
            if !salvage {
                return Err(fail(format!(
                    "truncated: the header promises {frames} frames, {there} are there, so frame {} (counted from 0) is \
                     the first that is missing; --salvage processes what is there",
                    there
                )));
            }
            frames = there;
        }
        let path = path.to_owned();
        let mut take = Self {
            path,
            file,
            format,
            data_start,
            frames,
            next_frame: 0,
            salvage,
            salvaged: 0,
            bytes: Vec::new(),
        };
        take.rewind()?;
        Ok(take)
    }

    pub fn format(&self) -> Format {
        self.format
    }

    pub fn frames(&self) -> u64 {
        self.frames
    }

    /// How many samples that are not finite were read since the last [`TakeReader::rewind`].
    pub fn salvaged(&self) -> u64 {
        self.salvaged
    }

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
                         --salvage passes over it",
                        self.next_frame + frame as u64,
                        index + 1
                    ),
                ));
            }
        }
        Ok(())
    }
}

fn describe(error: &hound::Error) -> String {
    match error {
        hound::Error::IoError(error) if error.kind() == std::io::ErrorKind::UnexpectedEof => {
            format!("its header is truncated: {ACCEPTED}")
        }
        hound::Error::Unsupported => format!("its codec is not one that can be read: {ACCEPTED}"),
        error => format!("not a WAV file that can be read ({error}): {ACCEPTED}"),
    }
}

/// The length in bytes that the data chunk's header gives; it stands right before the data.
fn data_length(file: &mut File, data_start: u64) -> std::io::Result<u64> {
    let mut field = [0; 4];
    file.seek(SeekFrom::Start(data_start - 4))?;
    file.read_exact(&mut field)?;
    Ok(u64::from(u32::from_le_bytes(field)))
}

fn encoding(format: SampleFormat, container: u64) -> Option<Encoding> {
    match (format, container) {
        (SampleFormat::Int, 1) => Some(Encoding::Int8),
        (SampleFormat::Int, 2) => Some(Encoding::Int16),
        (SampleFormat::Int, 3) => Some(Encoding::Int24),
        (SampleFormat::Int, 4) => Some(Encoding::Int32),
        (SampleFormat::Float, 4) => Some(Encoding::Float32),
        _ => None,
    }
}

fn check(format: Format) -> Result<(), String> {
    if !(RATES_HZ.0..=RATES_HZ.1).contains(&f64::from(format.rate_hz)) {
        return Err(format!("its sample rate is {} Hz: {ACCEPTED}", format.rate_hz));
    }
    if !(1..=64).contains(&format.channels) {
        return Err(format!("it has {} channels: {ACCEPTED}", format.channels));
    }
    Ok(())
}

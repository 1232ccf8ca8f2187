use std::io::{Cursor, Seek, SeekFrom, Write};
use std::path::Path;

use hound::WavWriter;

use super::{Encoding, Format};
use crate::error::Failure;
use crate::output::Part;

/// As much as any header written here has, and the byte that pads an odd length.
const HEADER_BYTES: u64 = 69;

/// A file of so many frames, at most.
pub fn file_bytes(format: Format, frames: u64) -> u64 {
    frames * format.bytes_per_frame() as u64 + HEADER_BYTES
}

/// Refuses a rendering that would be longer than a WAV file can be.
pub fn check_length(target: &Path, format: Format, frames: u64) -> Result<(), Failure> {
    let total = file_bytes(format, frames);
    if total <= u64::from(u32::MAX) {
        return Ok(());
    }
    Err(Failure::Usage(format!(
        "{}: the rendering would have {total} bytes; a WAV file holds at most {}, so render it in parts or in a smaller \
         --sample-format",
        target.display(),
        u32::MAX
    )))
}

/// A rendering that is being written, under a temporary name until [`TakeWriter::publish`].
#[derive(Debug)]
pub struct TakeWriter {
    file: Part,
    encoding: Encoding,
    data_bytes: u64,
    header: Vec<u8>,
    bytes: Vec<u8>,
    dither: Option<fastrand::Rng>,
    clipped: u64,
}

impl TakeWriter {
    /// Starts a file. Integers of 16 bits and less are dithered (TPDF, two least significant bits
    /// wide) unless `exact` says that the samples are those of a file of that format.
    pub fn create(mut file: Part, format: Format, exact: bool) -> Result<Self, Failure> {
        let header = header(format).map_err(|error| Failure::write(file.target(), error))?;
        file.fill(&header)?;
        let dithered = !exact && matches!(format.encoding, Encoding::Int8 | Encoding::Int16);
        Ok(Self {
            file,
            encoding: format.encoding,
            data_bytes: 0,
            header,
            bytes: Vec::new(),
            // Always the same seed: the same take gives the same file.
            dither: dithered.then(|| fastrand::Rng::with_seed(0)),
            clipped: 0,
        })
    }

    /// Appends one block, each sample times `gain`.
    pub fn write(&mut self, channels: &[Vec<f64>], gain: f64) -> Result<(), Failure> {
        let sample_bytes = self.encoding.bytes();
        let frame_bytes = channels.len() * sample_bytes;
        self.bytes.resize(channels.first().map_or(0, Vec::len) * frame_bytes, 0);
        for (index, channel) in channels.iter().enumerate() {
            let offset = index * sample_bytes;
            let values = channel.iter().map(|value| value * gain);
            if self.encoding.is_float() {
                self.encoding.encode(values, &mut self.bytes, frame_bytes, offset);
                continue;
            }
            let (dither, clipped) = (&mut self.dither, &mut self.clipped);
            let step = self.encoding.full_scale().recip();
            let values = values.map(|value| {
                let noise = dither.as_mut().map_or(0.0, |dither| (dither.f64() - dither.f64()) * step);
                let value = value + noise;
                *clipped += u64::from(!(-1.0 - step / 2.0..1.0 - step / 2.0).contains(&value));
                value
            });
            self.encoding.encode(values, &mut self.bytes, frame_bytes, offset);
        }
        self.data_bytes += self.bytes.len() as u64;
        self.file.fill(&self.bytes)
    }

    /// How many samples were clipped.
    pub fn clipped(&self) -> u64 {
        self.clipped
    }

    /// Completes the file and gives it its name.
    pub fn publish(mut self) -> Result<(), Failure> {
        self.complete().map_err(|error| Failure::write(self.file.target(), error))?;
        self.file.publish()
    }

    fn complete(&mut self) -> std::io::Result<()> {
        if self.data_bytes % 2 == 1 {
            // RIFF chunks are padded to an even length.
            self.file.write_all(&[0])?;
        }
        let padded = self.data_bytes + self.data_bytes % 2;
        let length = |bytes: u64| u32::try_from(bytes).unwrap_or(u32::MAX).to_le_bytes();
        let header = self.header.len();
        self.header[4..8].copy_from_slice(&length(padded + header as u64 - 8));
        self.header[header - 4..].copy_from_slice(&length(self.data_bytes));
        self.file.seek(SeekFrom::Start(0))?;
        self.file.write_all(&self.header)?;
        self.file.flush()
    }
}

/// The header as `hound` writes it, its two lengths still zero; the data's length is its last field.
fn header(format: Format) -> std::io::Result<Vec<u8>> {
    let mut header = Cursor::new(Vec::new());
    WavWriter::new(&mut header, format.spec())
        .and_then(WavWriter::finalize)
        .map_err(std::io::Error::other)?;
    Ok(header.into_inner())
}

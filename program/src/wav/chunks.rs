//! Where the parts of a WAV file lie. `hound` would look for them too, but does not know that a byte of padding follows a
//! chunk of odd length (Multimedia Programming Interface and Data Specifications 1.0, "RIFF"), nor what a recorder
//! leaves behind whose power failed.

use std::fs::File;
use std::io::{Read, Seek, SeekFrom};

/// What of the format chunk is read: all that an extensible header has.
const FORMAT_BYTES: u64 = 40;

/// The parts that matter.
#[derive(Debug)]
pub struct Chunks {
    /// The format chunk, at least 16 and at most 40 bytes of it.
    pub format: Vec<u8>,
    pub data_start: u64,
    /// As the header says; `None` if it was never filled in.
    pub data_bytes: Option<u64>,
}

impl Chunks {
    /// Walks the chunks of a file of `length` bytes as far as the data.
    pub fn find(file: &mut File, length: u64) -> Result<Self, String> {
        let riff: [u8; 12] = read(file, 0)?;
        match (&riff[..4], &riff[8..]) {
            (b"RIFF", b"WAVE") => {}
            (b"RF64" | b"BW64", _) => {
                return Err(
                    "it is in the format for more than 4 GiB (RF64); split it and give the parts".to_owned()
                );
            }
            _ => return Err("it is not a WAV file".to_owned()),
        }
        let riff_end = 8 + u64::from(u32_at(&riff, 4));
        let mut format = None;
        let mut start = 12;
        loop {
            let header: [u8; 8] = read(file, start)?;
            let bytes = u64::from(u32_at(&header, 4));
            start += 8;
            match &header[..4] {
                b"fmt " => format = Some(read_format(file, start, bytes)?),
                b"data" => {
                    let format = format.ok_or("its format chunk is missing before the data")?;
                    // Recorders write the lengths last.
                    let unfinished = bytes == 0 && riff_end <= start && start < length;
                    let data_bytes = (!unfinished && bytes != u64::from(u32::MAX)).then_some(bytes);
                    return Ok(Self { format, data_start: start, data_bytes });
                }
                id if id.iter().all(|byte| (b' '..=b'~').contains(byte)) => {}
                _ => return Err(format!("there is no chunk where one should begin, at byte {}", start - 8)),
            }
            start += bytes + bytes % 2;
        }
    }
}

fn read_format(file: &mut File, start: u64, bytes: u64) -> Result<Vec<u8>, String> {
    if bytes < 16 {
        return Err(format!("its format chunk has {bytes} bytes instead of 16 or more"));
    }
    let mut format = Vec::new();
    seek(file, start)?.take(bytes.min(FORMAT_BYTES)).read_to_end(&mut format).map_err(|e| e.to_string())?;
    if (format.len() as u64) < bytes.min(FORMAT_BYTES) { Err(TRUNCATED.to_owned()) } else { Ok(format) }
}

const TRUNCATED: &str = "its header is truncated: the file ends before the data begins";

fn read<const N: usize>(file: &mut File, start: u64) -> Result<[u8; N], String> {
    let mut bytes = [0; N];
    seek(file, start)?.read_exact(&mut bytes).map_err(|error| match error.kind() {
        std::io::ErrorKind::UnexpectedEof => TRUNCATED.to_owned(),
        _ => error.to_string(),
    })?;
    Ok(bytes)
}

fn seek(file: &mut File, start: u64) -> Result<&mut File, String> {
    file.seek(SeekFrom::Start(start)).map_err(|error| error.to_string())?;
    Ok(file)
}

fn u32_at(bytes: &[u8], start: usize) -> u32 {
    bytes[start..].first_chunk().map_or(0, |field| u32::from_le_bytes(*field))
}

//! More than 4 GiB, which RIFF cannot count.

use std::fs::File;
use std::io::{self, Seek, SeekFrom, Write};

use firstjack_sound::{Container, Encoding, Format, Making, Metadata, Reading, Sink, Source};
use tempfile::TempDir;

use crate::needs::has;
use crate::support::{Planes, planar, planes, rest, run};

/// A file in which zeros are left out, so that no disk has to hold them.
struct Sparse(File);

impl Write for Sparse {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        if bytes.len() < 100_000 || bytes.iter().any(|byte| *byte != 0) {
            return self.0.write(bytes);
        }
        self.0.seek_relative(i64::try_from(bytes.len()).unwrap())?;
        Ok(bytes.len())
    }

    fn flush(&mut self) -> io::Result<()> {
        self.0.flush()
    }
}

impl Seek for Sparse {
    fn seek(&mut self, to: SeekFrom) -> io::Result<u64> {
        self.0.seek(to)
    }
}

const CHANNELS: u16 = 64;

const FORMAT: Format = Format { channels: CHANNELS, rate_hz: 48_000, encoding: Encoding::Float64 };

/// Frames of silence, before those that are looked at.
const SILENCE: u64 = 8_390_000;

fn write(path: &std::path::Path, told: u64, silence: u64, last: &Planes) {
    let metadata = Metadata::default();
    let making =
        Making { container: Container::Wav, format: FORMAT, frames: told, metadata: &metadata, exact: true };
    let mut sink = Sink::new(Sparse(File::create(path).unwrap()), making).unwrap();
    let zeros: Planes = vec![vec![0.0; 4_096]; CHANNELS.into()];
    let mut left = silence;
    while left > 0 {
        let frames = left.min(4_096);
        let block: Planes =
            zeros.iter().map(|plane| plane[..usize::try_from(frames).unwrap()].to_vec()).collect();
        sink.write(&block, 1.0).unwrap();
        left -= frames;
    }
    sink.write(last, 1.0).unwrap();
    sink.finish().unwrap();
}

#[test]
fn becomes_rf64() {
    let folder = TempDir::new().unwrap();
    let path = folder.path().join("long.wav");
    let last = planes(Encoding::Float64, CHANNELS, 100, 1);
    let frames = SILENCE + 100;
    write(&path, frames, SILENCE, &last);
    let start = std::fs::File::open(&path).unwrap();
    let start = io::BufReader::new(start);
    let head: Vec<u8> = io::Read::bytes(start).take(48).map(Result::unwrap).collect();
    // EBU Tech 3306: what does not fit has all bits set, and stands in 64 bits in the chunk that comes first.
    assert_eq!(
        (&head[..8], &head[8..20]),
        (b"RF64\xff\xff\xff\xff".as_slice(), b"WAVEds64\x1c\0\0\0".as_slice())
    );
    let field = |at: usize| u64::from_le_bytes(head[at..at + 8].try_into().unwrap());
    let length = std::fs::metadata(&path).unwrap().len();
    assert_eq!([field(20), field(28), field(36)], [length - 8, frames * 512, frames]);
    let mut source = Source::open(&path, Reading::default()).unwrap();
    assert_eq!((source.frames(), source.format()), (frames, FORMAT));
    source.cut(SILENCE - 5, 105);
    source.rewind().unwrap();
    let end = rest(&mut source).unwrap();
    assert!(end.iter().zip(&last).all(|(end, last)| end[..5] == [0.0; 5] && end[5..] == last[..]));
    if !has("ffmpeg") {
        return;
    }
    let shown = ["-v", "error", "-show_entries", "stream=duration_ts", "-of", "csv=p=0", "long.wav"];
    assert_eq!(String::from_utf8(run(folder.path(), "ffprobe", &shown)).unwrap().trim(), frames.to_string());
    // From a whole second on.
    let second = SILENCE / 48_000;
    let skipped = usize::try_from(SILENCE - second * 48_000).unwrap();
    let second = second.to_string();
    let arguments =
        ["-v", "error", "-ss", &second, "-i", "long.wav", "-f", "f64le", "-c:a", "pcm_f64le", "-"];
    let decoded = planar(&run(folder.path(), "ffmpeg", &arguments), CHANNELS);
    assert!(decoded.iter().zip(&last).all(|(decoded, last)| decoded[skipped..] == last[..]));
}

/// One that might have become so long, but did not, is RIFF with filling in place of the long lengths; one that could not have, has none.
#[test]
fn stays_riff() {
    let folder = TempDir::new().unwrap();
    let path = folder.path().join("short.wav");
    let last = planes(Encoding::Float64, CHANNELS, 100, 1);
    write(&path, SILENCE, 0, &last);
    let bytes = std::fs::read(&path).unwrap();
    assert_eq!((&bytes[..4], &bytes[12..20]), (b"RIFF".as_slice(), b"JUNK\x1c\0\0\0".as_slice()));
    assert_eq!(u32::from_le_bytes(bytes[4..8].try_into().unwrap()) as usize, bytes.len() - 8);
    assert!(rest(&mut Source::open(&path, Reading::default()).unwrap()).unwrap() == last);
    write(&path, 100, 0, &last);
    assert_eq!(std::fs::read(&path).unwrap()[12..16], *b"fmt ");
}

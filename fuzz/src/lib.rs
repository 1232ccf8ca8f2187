//! What a target does with a take.

use std::io::Cursor;
use std::path::Path;

use firstjack_sound::{Container, Kind, Making, Reading, Sink, SoundError, Source};

/// Samples that are read at most: a few bytes of FLAC can promise, and hold, hours of silence.
const MOST_SAMPLES: u64 = 1 << 20;

/// Reads a take in every way, cuts it, and writes what was read into every kind of file that holds it.
///
/// # Panics
/// If anything is wrong with what comes of it.
pub fn take(bytes: &[u8]) {
    for salvage in [false, true] {
        let reading = Reading { salvage, audition: true };
        let Ok(mut source) = Source::from_reader(Path::new("take"), Cursor::new(bytes.to_vec()), reading) else {
            continue;
        };
        let frames = source.frames().min(MOST_SAMPLES / u64::from(source.format().channels));
        if let Ok(planes) = read(&mut source, frames) {
            write(&source, &planes);
        }
        source.cut(frames / 3, frames / 3);
        let again = source.rewind().and_then(|()| read(&mut source, frames / 3));
        assert!(again.is_ok() || !salvage || source.kind() == Kind::Mp3, "what was counted can be read");
    }
}

fn read(source: &mut Source, frames: u64) -> Result<Vec<Vec<f64>>, SoundError> {
    let channels = usize::from(source.format().channels);
    let (mut all, mut block) = (vec![Vec::new(); channels], vec![Vec::new(); channels]);
    while (all[0].len() as u64) < frames && source.read(&mut block, 4_096)? {
        all.iter_mut().zip(&block).for_each(|(all, block)| all.extend(block));
    }
    Ok(all)
}

/// What is written is a take, of as many frames.
fn write(source: &Source, planes: &[Vec<f64>]) {
    let (format, frames, metadata) = (source.format(), planes[0].len() as u64, source.metadata());
    for container in [Container::Wav, Container::Aiff, Container::Flac] {
        let _ = metadata.left_behind(container);
        if container.check(format, frames, metadata).is_err() {
            continue;
        }
        let making = Making { container, format, frames, metadata, exact: true };
        let mut sink = Sink::new(Cursor::new(Vec::new()), making).unwrap();
        sink.write(planes, 1.0).unwrap();
        // Frames of FLAC may hold more than their bits say.
        let is_clipped = sink.clipped() > 0;
        let file = sink.finish().unwrap();
        let reading = Reading { salvage: true, audition: false };
        let mut back = Source::from_reader(Path::new("back"), file, reading).unwrap();
        let is = (back.format(), back.frames(), back.is_truncated());
        assert_eq!(is, (format, frames, false), "{container:?}");
        let back = read(&mut back, frames).unwrap();
        let same = |(a, b): (&f64, &f64)| a == b || a.is_nan() && b.is_nan();
        let mut samples = back.iter().flatten().zip(planes.iter().flatten());
        assert!(is_clipped || samples.all(same), "{container:?}");
    }
}

/// The same with a beginning by which a file is told.
pub fn take_of(start: &[u8], bytes: &[u8]) {
    let mut file = bytes.to_vec();
    for (place, byte) in file.iter_mut().zip(start).filter(|(_, byte)| **byte != b'?') {
        *place = *byte;
    }
    take(&file);
}

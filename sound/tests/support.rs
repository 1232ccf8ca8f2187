//! Samples, files of them, and other programs.

use std::io::Cursor;
use std::path::Path;
use std::process::Command;

use firstjack_sound::{Container, Encoding, Format, Making, Metadata, Reading, Sink, SoundError, Source};

/// One vector a channel.
pub type Planes = Vec<Vec<f64>>;

pub const EVERY: [Container; 3] = [Container::Wav, Container::Aiff, Container::Flac];

/// Samples that an encoding holds to the bit: whole steps, of 64-bit integers as many as an f64 tells apart.
#[expect(clippy::cast_precision_loss, reason = "at most 53 bits")]
pub fn planes(encoding: Encoding, channels: u16, frames: usize, seed: u64) -> Planes {
    let mut rng = fastrand::Rng::with_seed(seed);
    let bits = u32::from(encoding.bits().min(53));
    let mut sample = || match encoding {
        Encoding::Float32 => f64::from(rng.f32() * 4.0 - 2.0),
        Encoding::Float64 => rng.f64() * 4.0 - 2.0,
        _ => rng.i64(-(1 << (bits - 1))..1 << (bits - 1)) as f64 / f64::from(bits - 1).exp2(),
    };
    (0..channels).map(|_| (0..frames).map(|_| sample()).collect()).collect()
}

/// A file as the crate writes it, in blocks of odd lengths.
pub fn made(container: Container, format: Format, planes: &[Vec<f64>], metadata: &Metadata) -> Vec<u8> {
    let frames = planes[0].len();
    let making = Making { container, format, frames: frames as u64, metadata, exact: true };
    let mut sink = Sink::new(Cursor::new(Vec::new()), making).unwrap();
    for start in (0..frames).step_by(1_111) {
        let end = frames.min(start + 1_111);
        let block: Planes = planes.iter().map(|plane| plane[start..end].to_vec()).collect();
        sink.write(&block, 1.0).unwrap();
    }
    assert_eq!(sink.clipped(), 0);
    sink.finish().unwrap().into_inner()
}

pub fn opened(bytes: &[u8], reading: Reading) -> Result<Source, SoundError> {
    Source::from_reader(Path::new("take"), Cursor::new(bytes.to_vec()), reading)
}

/// All that is left in a source, in blocks of another odd length.
pub fn rest(source: &mut Source) -> Result<Planes, SoundError> {
    let channels = usize::from(source.format().channels);
    let (mut all, mut block) = (vec![Vec::new(); channels], vec![Vec::new(); channels]);
    while source.read(&mut block, 1_013)? {
        for (all, block) in all.iter_mut().zip(&block) {
            all.extend(block);
        }
    }
    Ok(all)
}

#[track_caller]
pub fn read(bytes: &[u8]) -> (Format, Planes) {
    let mut source = opened(bytes, Reading::default()).unwrap();
    let planes = rest(&mut source).unwrap();
    assert_eq!(source.frames(), planes[0].len() as u64);
    (source.format(), planes)
}

/// Whether a file of this kind holds such samples.
pub fn holds(container: Container, format: Format) -> bool {
    container.check(format, 0, &Metadata::default()).is_ok()
}

/// Runs another program in a folder and gives what it writes to standard output.
#[track_caller]
pub fn run(folder: &Path, program: &str, arguments: &[&str]) -> Vec<u8> {
    let output = Command::new(program).args(arguments).current_dir(folder).output().unwrap();
    let said = String::from_utf8_lossy(&output.stderr).into_owned();
    assert!(output.status.success(), "{program} {arguments:?}: {said}");
    output.stdout
}

/// Interleaved 64-bit floats, as other programs write and read them.
pub fn interleaved(planes: &[Vec<f64>]) -> Vec<u8> {
    let frames = planes.first().map_or(0, Vec::len);
    (0..frames).flat_map(|frame| planes.iter().flat_map(move |plane| plane[frame].to_le_bytes())).collect()
}

pub fn planar(bytes: &[u8], channels: u16) -> Planes {
    let channels = usize::from(channels);
    let mut planes = vec![Vec::new(); channels];
    for (index, sample) in bytes.chunks_exact(8).enumerate() {
        planes[index % channels].push(f64::from_le_bytes(sample.try_into().unwrap()));
    }
    planes
}

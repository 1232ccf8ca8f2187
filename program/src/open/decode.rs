//! Takes from files: WAV, FLAC and MP3, told apart by what is in them, as samples in memory.

use std::fs::File;
use std::io::{BufReader, Read};
use std::path::Path;

use dsp_core::filter::Sections;
use flac_codec::decode::{FlacSampleReader, Metadata};

use crate::error::Failure;
use crate::wav::TakeReader;

const ACCEPTED: &str = "accepted are WAV, FLAC and MP3 files, 8 to 384 kHz";

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
    let refuse = |problem: String| Failure::input(path, format!("{problem}; {ACCEPTED}"));
    let sound = match Kind::of(path).map_err(refuse)? {
        Kind::Wav => wav(path, salvage)?,
        Kind::Flac => flac(path, salvage).map_err(refuse)?,
        Kind::Mp3 => mp3(path, salvage).map_err(refuse)?,
    };
    if !(Sections::RATES_HZ.0..=Sections::RATES_HZ.1).contains(&f64::from(sound.rate_hz)) {
        return Err(refuse(format!("its sample rate is {} Hz", sound.rate_hz)));
    }
    match sound.frames() {
        0 => Err(refuse("there is no sound in it".to_owned())),
        frames if u32::try_from(frames).is_err() => {
            Err(refuse(format!("it has {frames} frames; at most {} can be opened", u32::MAX)))
        }
        _ => Ok(sound),
    }
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Kind {
    Wav,
    Flac,
    Mp3,
}

impl Kind {
    /// As the file begins.
    fn of(path: &Path) -> Result<Self, String> {
        let cannot = |error: std::io::Error| format!("cannot open it: {error}");
        let file = File::open(path).map_err(cannot)?;
        if file.metadata().map_err(cannot)?.is_dir() {
            return Err("it is a folder".to_owned());
        }
        let mut start = Vec::new();
        file.take(64 * 1024).read_to_end(&mut start).map_err(|error| format!("cannot read it: {error}"))?;
        match start.get(..4).unwrap_or_default() {
            b"RIFF" | b"RF64" | b"BW64" => Ok(Self::Wav),
            b"fLaC" => Ok(Self::Flac),
            _ if start.is_empty() => Err("it is empty".to_owned()),
            [b'I', b'D', b'3', _] => Ok(Self::Mp3),
            _ if nanomp3::detect(&start) => Ok(Self::Mp3),
            _ => Err("it is no WAV, FLAC or MP3 file".to_owned()),
        }
    }
}

fn wav(path: &Path, salvage: bool) -> Result<Sound, Failure> {
    let mut reader = TakeReader::open(path, salvage)?;
    let channels_in_file = usize::from(reader.format().channels);
    let mut block = vec![Vec::new(); channels_in_file];
    let mut channels = vec![Vec::new(); channels_in_file.min(HEARD)];
    while reader.read(&mut block, BLOCK)? {
        for (channel, read) in channels.iter_mut().zip(&block) {
            channel.extend(read.iter().map(|value| narrow(*value)));
        }
    }
    let is_truncated = reader.is_truncated();
    Ok(Sound { rate_hz: reader.format().rate_hz, channels, channels_in_file, is_truncated })
}

#[expect(clippy::cast_possible_truncation, reason = "the plugin's samples are f32")]
fn narrow(value: f64) -> f32 {
    let value = value as f32;
    // Of a take that is salvaged.
    if value.is_finite() { value } else { 0.0 }
}

fn flac(path: &Path, salvage: bool) -> Result<Sound, String> {
    let mut reader =
        FlacSampleReader::open(path).map_err(|error| format!("it cannot be read as FLAC: {error}"))?;
    let mut parts = Parts::new(usize::from(reader.channel_count()));
    let scale = f64::from(reader.bits_per_sample() - 1).exp2().recip();
    let (rate_hz, promised) = (reader.sample_rate(), reader.total_samples());
    let mut block = vec![0; BLOCK * parts.in_file];
    let failure = loop {
        match reader.read(&mut block) {
            Ok(0) => break None,
            Ok(count) => parts.add(block[..count].iter().map(|value| narrow(f64::from(*value) * scale))),
            Err(error) => break Some(error.to_string()),
        }
    };
    parts.finish(rate_hz, promised, failure, salvage)
}

fn mp3(path: &Path, salvage: bool) -> Result<Sound, String> {
    let file = File::open(path).map_err(|error| format!("cannot open it: {error}"))?;
    let cannot = |error: nanomp3::Error| format!("it cannot be read as MP3: {error}");
    let mut reader = nanomp3::Reader::<_, f32>::new(BufReader::new(file)).map_err(cannot)?;
    let channels = reader.channels().ok_or("there is no sound in it")?;
    let mut parts = Parts::new(usize::from(channels.num()));
    let (rate_hz, promised) = (reader.sample_rate(), reader.total_samples());
    let promised = promised.filter(|_| reader.has_vbr_tag());
    let mut block = vec![0.0; BLOCK * parts.in_file];
    let failure = loop {
        match reader.read(&mut block) {
            Ok(0) => break None,
            Ok(count) => parts.add(block[..count].iter().map(|value| narrow(f64::from(*value)))),
            Err(error) => break Some(error.to_string()),
        }
    };
    parts.finish(rate_hz, promised, failure, salvage)
}

/// Channels that are heard, from interleaved samples.
struct Parts {
    in_file: usize,
    channels: Vec<Vec<f32>>,
    /// The channel of the next sample.
    next: usize,
}

impl Parts {
    fn new(in_file: usize) -> Self {
        Self { in_file, channels: vec![Vec::new(); in_file.min(HEARD)], next: 0 }
    }

    fn add(&mut self, samples: impl Iterator<Item = f32>) {
        for sample in samples {
            if let Some(channel) = self.channels.get_mut(self.next) {
                channel.push(sample);
            }
            self.next = (self.next + 1) % self.in_file;
        }
    }

    /// What was read, if that is all that the file promised, or may be less.
    fn finish(
        mut self,
        rate_hz: u32,
        promised: Option<u64>,
        failure: Option<String>,
        salvage: bool,
    ) -> Result<Sound, String> {
        let frames = self.channels.iter().map(Vec::len).min().unwrap_or(0);
        self.channels.iter_mut().for_each(|channel| channel.truncate(frames));
        let missing = promised.filter(|promised| (frames as u64) < *promised);
        let problem = match (failure, missing) {
            (_, Some(promised)) => Some(format!(
                "truncated or damaged: its header promises {promised} frames, {frames} can be read"
            )),
            (Some(error), None) => Some(format!("it breaks off at frame {frames} (counted from 0): {error}")),
            (None, None) => None,
        };
        let is_truncated = problem.is_some();
        if let Some(problem) = problem.filter(|_| !salvage) {
            return Err(format!("{problem}; --allow-damaged opens what is there"));
        }
        Ok(Sound { rate_hz, channels: self.channels, channels_in_file: self.in_file, is_truncated })
    }
}

#[cfg(test)]
mod tests {
    use flac_codec::encode::{FlacSampleWriter, Options};
    use tempfile::TempDir;

    use super::*;
    use crate::arguments::WriteArguments;
    use crate::output::{Expected, Outputs};
    use crate::wav::{Encoding, Format, TakeWriter};

    /// A folder of one test's own.
    struct Folder(TempDir);

    impl Folder {
        fn new() -> Self {
            Self(TempDir::new().unwrap())
        }

        fn wav(&self, channels: u16, encoding: Encoding, planes: &[Vec<f64>]) -> std::path::PathBuf {
            let path = self.0.path().join(format!("{channels}-{encoding:?}.wav"));
            let write = WriteArguments { overwrite: false, dry_run: false, verbose: false };
            let mut outputs = Outputs::new(&write, []);
            outputs.add("-o", &path, Expected::default()).unwrap();
            let format = Format { channels, rate_hz: 44_100, encoding };
            let mut writer = TakeWriter::create(outputs.create(&path).unwrap(), format, true).unwrap();
            writer.write(planes, 1.0).unwrap();
            writer.publish().unwrap();
            path
        }

        fn flac(&self, bits: u32, channels: u8, samples: &[i32]) -> std::path::PathBuf {
            let path = self.0.path().join(format!("{bits}-{channels}.flac"));
            let frames = (samples.len() / usize::from(channels)) as u64;
            let options = Options::default().no_padding().block_size(512).unwrap();
            let total = Some(frames * u64::from(channels));
            let file = File::create(&path).unwrap();
            let mut writer = FlacSampleWriter::new(file, options, 44_100, bits, channels, total).unwrap();
            writer.write(samples).unwrap();
            writer.finalize().unwrap();
            path
        }
    }

    /// Steps of 1/64, which every encoding holds.
    fn steps(offset: f64) -> Vec<f64> {
        (0..6_000_i32).map(|frame| f64::from(frame % 100 - 50) / 64.0 + offset / 128.0).collect()
    }

    fn as_f32(plane: &[f64]) -> Vec<f32> {
        plane.iter().map(|value| narrow(*value)).collect()
    }

    #[test]
    fn wav_files_of_every_encoding_are_read_to_the_bit() {
        let folder = Folder::new();
        for encoding in [Encoding::Int8, Encoding::Int16, Encoding::Int24, Encoding::Int32, Encoding::Float32]
        {
            for channels in [1_u16, 2, 6] {
                let planes: Vec<Vec<f64>> = (0..channels).map(|channel| steps(f64::from(channel))).collect();
                let sound = decode(&folder.wav(channels, encoding, &planes), false).unwrap();
                assert_eq!((sound.rate_hz, sound.frames()), (44_100, 6_000));
                assert_eq!(sound.channels_in_file, usize::from(channels));
                assert_eq!(sound.channels.len(), usize::from(channels.min(2)));
                for (read, written) in sound.channels.iter().zip(&planes) {
                    assert_eq!(*read, as_f32(written), "{encoding:?}");
                }
            }
        }
    }

    #[test]
    fn flac_files_are_read_to_the_bit() {
        let folder = Folder::new();
        for (bits, channels) in [(8, 1_u8), (16, 1), (16, 2), (24, 2), (24, 6)] {
            let full = f64::from(bits - 1).exp2();
            let planes: Vec<Vec<f64>> = (0..channels).map(|channel| steps(f64::from(channel))).collect();
            let interleaved =
                (0..6_000).flat_map(|frame| planes.iter().map(move |plane| plane[frame] * full));
            #[expect(clippy::cast_possible_truncation, reason = "whole numbers of at most 24 bits")]
            let samples: Vec<i32> = interleaved.map(|value| value as i32).collect();
            let path = folder.flac(bits, channels, &samples);
            let sound = decode(&path, false).unwrap();
            assert_eq!((sound.rate_hz, sound.channels_in_file), (44_100, usize::from(channels)));
            for (read, written) in sound.channels.iter().zip(&planes) {
                assert_eq!(*read, as_f32(written), "{bits} bits");
            }
            let whole = std::fs::read(&path).unwrap();
            std::fs::write(&path, &whole[..whole.len() / 2]).unwrap();
            let problem = decode(&path, false).unwrap_err().to_string();
            assert!(problem.contains("its header promises 6000 frames"), "{problem}");
            let rest = decode(&path, true).unwrap();
            assert!(rest.is_truncated && (1..6_000).contains(&rest.frames()), "{}", rest.frames());
            assert_eq!(rest.channels[0], as_f32(&planes[0][..rest.frames()]));
        }
    }

    /// Made and measured by ffmpeg 5.1 (`-f lavfi -i sine=frequency=441:sample_rate=44100:duration=1 -af volume=4dB -c:a
    /// libmp3lame -b:a 32k -ac 1`): its own decoder gives 44100 frames, and 0.18816 as the amplitude of 441 Hz in frames
    /// 11000 to 33000.
    const MP3: &[u8] = include_bytes!("../../tests/fixtures/sine.mp3");

    fn amplitude(sound: &[f32]) -> f64 {
        let (mut re, mut im) = (0.0, 0.0);
        for (frame, value) in (11_000..33_000_u32).zip(&sound[11_000..33_000]) {
            let (sin, cos) = (std::f64::consts::TAU * 441.0 / 44_100.0 * f64::from(frame)).sin_cos();
            re += f64::from(*value) * cos;
            im += f64::from(*value) * sin;
        }
        f64::hypot(re, im) / 11_000.0
    }

    #[test]
    fn an_mp3_is_read_without_padding() {
        let folder = Folder::new();
        // The name says nothing.
        let path = folder.0.path().join("take.wav");
        std::fs::write(&path, MP3).unwrap();
        let sound = decode(&path, false).unwrap();
        assert_eq!((sound.rate_hz, sound.channels_in_file, sound.frames()), (44_100, 1, 44_100));
        let amplitude = amplitude(&sound.channels[0]);
        assert!((amplitude - 0.188_16).abs() < 1e-4, "{amplitude}");
        std::fs::write(&path, &MP3[..3_000]).unwrap();
        let problem = decode(&path, false).unwrap_err().to_string();
        assert!(problem.contains("truncated or damaged: its header promises 44100 frames"), "{problem}");
        let rest = decode(&path, true).unwrap();
        assert!(rest.is_truncated && (20_000..44_100).contains(&rest.frames()), "{}", rest.frames());
    }
}

//! Against other programs: ffmpeg, sox, the reference FLAC encoder, Python's `wave`. What they write is read, what is written they
//! read, sample by sample.

use std::path::Path;

use firstjack_sound::{Container, Encoding, Format, Metadata, Reading};
use tempfile::TempDir;

use crate::needs::has;
use crate::support::{EVERY, Planes, holds, interleaved, made, opened, planar, planes, read, rest, run};

const RATE_HZ: u32 = 48_000;

fn ending(container: Container) -> &'static str {
    match container {
        Container::Wav => "wav",
        Container::Aiff => "aif",
        Container::Flac => "flac",
    }
}

/// Every container, encoding, and few, odd and many channels; an odd number of bytes among them.
fn every(mut of: impl FnMut(Container, Format, &Planes)) {
    for container in EVERY {
        for encoding in Encoding::ALL {
            for channels in [1, 2, 3, 8] {
                let format = Format { channels, rate_hz: RATE_HZ, encoding };
                if holds(container, format) {
                    of(container, format, &planes(encoding, channels, 4_801, 1));
                }
            }
        }
    }
}

fn ffmpeg_decodes(folder: &Path, file: &str, channels: u16) -> Planes {
    let arguments = ["-v", "error", "-i", file, "-f", "f64le", "-c:a", "pcm_f64le", "-"];
    planar(&run(folder, "ffmpeg", &arguments), channels)
}

#[test]
fn ffmpeg_reads_what_is_written() {
    if !has("ffmpeg") {
        return;
    }
    let folder = TempDir::new().unwrap();
    every(|container, format, written| {
        // ffmpeg 5.1 knows FLAC of up to 24 bits, and takes WAV of 64-bit integers by their tag for 32.
        let unknown = container == Container::Flac && format.encoding == Encoding::Int32;
        if unknown || format.encoding == Encoding::Int64 {
            return;
        }
        let file = format!("written.{}", ending(container));
        std::fs::write(folder.path().join(&file), made(container, format, written, &Metadata::default()))
            .unwrap();
        assert!(
            ffmpeg_decodes(folder.path(), &file, format.channels) == *written,
            "{container:?}, {format:?}"
        );
        let shown = "stream=sample_rate,channels,duration_ts";
        let arguments = ["-v", "error", "-show_entries", shown, "-of", "csv=p=0", &file];
        let probed = String::from_utf8(run(folder.path(), "ffprobe", &arguments)).unwrap();
        assert_eq!(probed.trim(), format!("{RATE_HZ},{},4801", format.channels), "{container:?}, {format:?}");
    });
}

/// Within 32 bits, which is what it works in.
#[test]
fn sox_reads_what_is_written() {
    if !has("sox") {
        return;
    }
    let folder = TempDir::new().unwrap();
    every(|container, format, written| {
        let more = format.encoding.is_float() || format.encoding == Encoding::Int64;
        if more || container == Container::Flac && format.encoding == Encoding::Int32 {
            return;
        }
        let file = format!("written.{}", ending(container));
        std::fs::write(folder.path().join(&file), made(container, format, written, &Metadata::default()))
            .unwrap();
        let decoded = run(folder.path(), "sox", &[&file, "-t", "f64", "-L", "-"]);
        assert!(planar(&decoded, format.channels) == *written, "{container:?}, {format:?}");
    });
}

/// The reference decoder finds no fault, and its checksum over all samples agrees.
#[test]
fn flac_reads_what_is_written() {
    if !has("flac") {
        return;
    }
    let folder = TempDir::new().unwrap();
    every(|container, format, written| {
        if container != Container::Flac {
            return;
        }
        let bytes = made(container, format, written, &Metadata::default());
        std::fs::write(folder.path().join("written.flac"), bytes).unwrap();
        run(folder.path(), "flac", &["--silent", "--test", "--warnings-as-errors", "written.flac"]);
        let raw = ["--force-raw-format", "--endian=little", "--sign=signed"];
        let arguments = [&["--silent", "--decode", "--stdout"], raw.as_slice(), &["written.flac"]].concat();
        let raw = run(folder.path(), "flac", &arguments);
        let whole: Vec<u8> = interleaved(written)
            .chunks_exact(8)
            .flat_map(|sample| integer(f64::from_le_bytes(sample.try_into().unwrap()), format.encoding))
            .collect();
        assert!(raw == whole, "{format:?}");
    });
}

#[expect(clippy::cast_possible_truncation, reason = "whole numbers of at most 32 bits")]
fn integer(value: f64, encoding: Encoding) -> Vec<u8> {
    ((value * encoding.full_scale()) as i64).to_le_bytes()[..encoding.bytes()].to_vec()
}

/// Python's own module knows plain headers of integers.
#[test]
fn python_reads_what_is_written() {
    if !has("python3") {
        return;
    }
    let folder = TempDir::new().unwrap();
    let script = "import sys, wave\nw = wave.open('written.wav')\n\
                  print(w.getnchannels(), w.getframerate(), w.getsampwidth(), w.getnframes())\n\
                  open('raw', 'wb').write(w.readframes(w.getnframes()))\n";
    for encoding in [Encoding::Int8, Encoding::Int16] {
        let format = Format { channels: 1, rate_hz: 44_100, encoding };
        let written = planes(encoding, 1, 4_801, 2);
        let bytes = made(Container::Wav, format, &written, &Metadata::default());
        std::fs::write(folder.path().join("written.wav"), bytes).unwrap();
        let said = String::from_utf8(run(folder.path(), "python3", &["-c", script])).unwrap();
        assert_eq!(said.trim(), format!("1 44100 {} 4801", encoding.bytes()));
        let raw = std::fs::read(folder.path().join("raw")).unwrap();
        let wanted: Vec<u8> = written[0]
            .iter()
            .flat_map(|value| match encoding {
                Encoding::Int8 => integer(value + 1.0, encoding),
                _ => integer(*value, encoding),
            })
            .collect();
        assert!(raw == wanted, "{encoding}");
    }
}

/// What ffmpeg writes, by its own names for encodings.
#[test]
fn what_ffmpeg_writes_is_read() {
    if !has("ffmpeg") {
        return;
    }
    let folder = TempDir::new().unwrap();
    let wav = ["pcm_u8", "pcm_s16le", "pcm_s24le", "pcm_s32le", "pcm_f32le", "pcm_f64le"];
    let aiff = ["pcm_s8", "pcm_s16be", "pcm_s24be", "pcm_s32be", "pcm_f32be", "pcm_f64be", "pcm_s16le"];
    let cases = wav.map(|codec| (codec, "wav", &[][..]));
    let long = wav.map(|codec| (codec, "wav", &["-rf64", "always"][..]));
    let aiff = aiff.map(|codec| (codec, "aif", &[][..]));
    let flac = [("flac", "flac", &["-sample_fmt", "s16"][..]), ("flac", "flac", &["-sample_fmt", "s32"][..])];
    for (codec, ending, rest) in cases.into_iter().chain(long).chain(aiff).chain(flac) {
        for channels in [1_u16, 2, 6] {
            let samples = planes(Encoding::Float64, channels, 4_801, 3);
            let samples: Planes =
                samples.iter().map(|plane| plane.iter().map(|value| value / 2.0).collect()).collect();
            std::fs::write(folder.path().join("raw"), interleaved(&samples)).unwrap();
            let file = format!("made.{ending}");
            let count = channels.to_string();
            let raw = ["-v", "error", "-y", "-f", "f64le", "-ar", "48000", "-ac", &count, "-i", "raw"];
            run(folder.path(), "ffmpeg", &[raw.as_slice(), &["-c:a", codec], rest, &[&file]].concat());
            let bytes = std::fs::read(folder.path().join(&file)).unwrap();
            assert_eq!(bytes.starts_with(b"RF64"), rest == ["-rf64", "always"]);
            let (format, is) = read(&bytes);
            assert_eq!((format.channels, format.rate_hz), (channels, RATE_HZ), "{codec}, {ending}");
            assert!(
                is == ffmpeg_decodes(folder.path(), &file, channels),
                "{codec}, {ending}, {channels} channels"
            );
            let step = format.encoding.full_scale().recip().max(1e-7);
            let near =
                is.iter().flatten().zip(samples.iter().flatten()).all(|(is, was)| (is - was).abs() <= step);
            assert!(near, "{codec}, {ending}, {channels} channels: far from what was asked for");
        }
    }
}

/// sox has its own way with headers: extensible WAV, AIFC of integers.
#[test]
fn what_sox_writes_is_read() {
    if !has("sox") {
        return;
    }
    let folder = TempDir::new().unwrap();
    let samples = planes(Encoding::Int16, 3, 4_801, 4);
    std::fs::write(folder.path().join("raw"), interleaved(&samples)).unwrap();
    for (file, options) in [
        ("a.wav", &["-b", "8"][..]),
        ("a.wav", &["-b", "16"]),
        ("a.wav", &["-b", "24"]),
        ("a.wav", &["-b", "32"]),
        ("a.wav", &["-b", "32", "-e", "floating-point"]),
        ("a.wav", &["-b", "64", "-e", "floating-point"]),
        ("a.aiff", &["-b", "8"]),
        ("a.aiff", &["-b", "16"]),
        ("a.aiff", &["-b", "24"]),
        ("a.aiff", &["-b", "32"]),
        ("a.aifc", &["-b", "16"]),
        ("a.aifc", &["-b", "24"]),
        ("a.flac", &["-b", "8"]),
        ("a.flac", &["-b", "16"]),
        ("a.flac", &["-b", "24"]),
    ] {
        let raw = ["-D", "-t", "f64", "-L", "-r", "48000", "-c", "3", "raw"];
        run(folder.path(), "sox", &[raw.as_slice(), options, &[file]].concat());
        let (format, is) = read(&std::fs::read(folder.path().join(file)).unwrap());
        assert_eq!((format.channels, format.rate_hz), (3, RATE_HZ), "{file} {options:?}");
        let decoded = planar(&run(folder.path(), "sox", &[file, "-t", "f64", "-L", "-"]), 3);
        assert!(is == decoded, "{file} {options:?}");
        assert!(options[1] == "8" || is == samples, "{file} {options:?}");
    }
}

/// At both ends of its efforts, with a length that it was not told, and cut short.
#[test]
fn what_flac_writes_is_read() {
    if !has("flac") {
        return;
    }
    let folder = TempDir::new().unwrap();
    for (encoding, channels) in [
        (Encoding::Int8, 1),
        (Encoding::Int16, 1),
        (Encoding::Int16, 2),
        (Encoding::Int16, 7),
        (Encoding::Int24, 2),
        (Encoding::Int32, 2),
    ] {
        let samples = planes(encoding, channels, 20_011, 5);
        let raw: Vec<u8> = interleaved(&samples)
            .chunks_exact(8)
            .flat_map(|sample| integer(f64::from_le_bytes(sample.try_into().unwrap()), encoding))
            .collect();
        std::fs::write(folder.path().join("raw"), raw).unwrap();
        let (count, bits) = (format!("--channels={channels}"), format!("--bps={}", encoding.bits()));
        let told = [
            "--silent",
            "--force",
            "--endian=little",
            "--sign=signed",
            "--sample-rate=48000",
            &count,
            &bits,
            "raw",
        ];
        for effort in ["-0", "-8"] {
            run(folder.path(), "flac", &[told.as_slice(), &[effort, "-o", "made.flac"]].concat());
            let bytes = std::fs::read(folder.path().join("made.flac")).unwrap();
            let (format, is) = read(&bytes);
            assert_eq!(format, Format { channels, rate_hz: RATE_HZ, encoding });
            assert!(is == samples, "{encoding}, {channels} channels, {effort}");
            // 36 bits of STREAMINFO that say the number of frames.
            let mut untold = bytes.clone();
            untold[21] &= 0xf0;
            untold[22..26].fill(0);
            assert!(read(&untold).1 == samples);
            let half = &bytes[..bytes.len() / 2];
            let mut source = opened(half, Reading::default()).unwrap();
            let refused = rest(&mut source).unwrap_err().to_string();
            assert!(refused.contains("its header promises 20011 frames"), "{refused}");
            let mut source = opened(half, Reading { salvage: true, ..Reading::default() }).unwrap();
            let there = rest(&mut source).unwrap();
            assert_eq!((source.is_truncated(), there[0].len() as u64), (true, source.frames()));
            assert!(
                source.frames() > 4_000,
                "{encoding}, {channels} channels, {effort}: {}",
                source.frames()
            );
            assert!(there.iter().zip(&samples).all(|(there, all)| all.starts_with(there)));
        }
    }
}

#[test]
fn other_kinds_are_refused_by_name() {
    if !has("ffmpeg") {
        return;
    }
    let folder = TempDir::new().unwrap();
    for (file, said) in [
        ("a.w64", "it is Wave64 (W64), which is not read"),
        ("a.caf", "it is a Core Audio file (CAF), which is not read"),
        ("a.ogg", "it is Ogg (Vorbis, Opus), which is not read"),
        ("a.m4a", "it is an MP4 file (AAC, ALAC), which is not read"),
        ("a.au", "it is no WAV, AIFF or FLAC file"),
        ("a.mp3", "it is MP3, which has thrown away part of the sound"),
    ] {
        let sine = ["-v", "error", "-f", "lavfi", "-i", "sine=duration=0.5", "-ac", "2", file];
        run(folder.path(), "ffmpeg", &sine);
        let bytes = std::fs::read(folder.path().join(file)).unwrap();
        let refused = opened(&bytes, Reading::default()).err().unwrap().to_string();
        assert!(refused.contains(said), "{refused}");
    }
}

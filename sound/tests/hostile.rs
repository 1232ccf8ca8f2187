//! Files that end anywhere, and files that lie: refused or read, never a panic, and never more than is there.

use firstjack_sound::{Container, Encoding, Format, Reading};
use proptest::prelude::*;

use crate::metadata::{annotated, annotations};
use crate::support::{EVERY, opened, planes, rest};

const SALVAGE: Reading = Reading { salvage: true, audition: true };

/// Every kind, with chunks before and behind the samples.
fn files() -> Vec<Vec<u8>> {
    let format = Format { channels: 2, rate_hz: 48_000, encoding: Encoding::Int24 };
    let planes = planes(format.encoding, 2, 40, 1);
    EVERY.iter().map(|container| annotated(*container, format, &planes)).collect()
}

/// Reads all that can be read, and cuts and rewinds on the way.
fn exhaust(bytes: &[u8]) -> Result<(), firstjack_sound::SoundError> {
    for reading in [Reading::default(), SALVAGE] {
        let Ok(mut source) = opened(bytes, reading) else { continue };
        let frames = source.frames();
        let _ = source.metadata().left_behind(Container::Flac);
        let all = rest(&mut source);
        if let Ok(all) = &all {
            assert_eq!(all[0].len() as u64, frames);
            source.cut(frames / 3, frames / 3);
            source.rewind()?;
            rest(&mut source)?;
        }
        if reading.salvage {
            all?;
        }
    }
    Ok(())
}

#[test]
fn cut_at_every_byte() {
    for file in files() {
        let whole = opened(&file, Reading::default()).unwrap().frames();
        for length in 0..file.len() {
            let cut = &file[..length];
            exhaust(cut).unwrap();
            if let Ok(source) = opened(cut, SALVAGE) {
                assert!(source.frames() <= whole, "{length}: {}", source.frames());
            }
        }
    }
}

/// Any byte of the header any other, and any four any length.
#[test]
fn every_byte_and_every_length() {
    let lengths = [0, 1, 2, 7, 0x7fff_ffff, 0x8000_0000, u32::MAX - 1, u32::MAX];
    for file in files() {
        for at in 0..file.len().min(1_500) {
            for byte in [0, 1, 0x7f, 0x80, 0xff, file[at] ^ 1, file[at].wrapping_add(1)] {
                let mut file = file.clone();
                file[at] = byte;
                let _ = exhaust(&file);
            }
            for length in lengths {
                for bytes in [length.to_le_bytes(), length.to_be_bytes()] {
                    let mut file = file.clone();
                    let end = file.len().min(at + 4);
                    file[at..end].copy_from_slice(&bytes[..end - at]);
                    let _ = exhaust(&file);
                }
            }
        }
    }
}

/// Found by a fuzzer: more partitions than frames, of which the decoder makes a panic of its own.
#[test]
fn impossible_frames() {
    let _ = exhaust(include_bytes!("fixtures/no-partition.flac"));
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(2_000))]

    #[test]
    fn several_faults_at_once(
        kind in 0..3_usize,
        faults in proptest::collection::vec((any::<prop::sample::Index>(), any::<u8>()), 1..12),
        end in any::<prop::sample::Index>(),
        cut in any::<bool>(),
    ) {
        let mut file = files().swap_remove(kind);
        if cut {
            file.truncate(end.index(file.len()));
        }
        for (at, byte) in faults {
            if !file.is_empty() {
                let at = at.index(file.len());
                file[at] = byte;
            }
        }
        let _ = exhaust(&file);
    }

    #[test]
    fn anything_behind_a_name(
        name in prop::sample::select(vec![&b"RIFF....WAVEfmt "[..], b"RF64....WAVEds64", b"FORM....AIFFCOMM", b"FORM....AIFCCOMM", b"fLaC\0\0\0\x22", b"ID3"]),
        rest in proptest::collection::vec(any::<u8>(), 0..400),
    ) {
        let _ = exhaust(&[name, &rest].concat());
    }

    #[test]
    fn annotations_of_any_bytes(bytes in proptest::collection::vec(any::<u8>(), 0..200), from in 0..50_u64, frames in 0..50_u64) {
        for file in annotations(&bytes) {
            let mut source = opened(&file, Reading::default()).unwrap();
            source.cut(from, frames);
        }
    }
}

//! What is written is what is read.

use std::io::Cursor;

use firstjack_sound::{Container, Encoding, Format, Kind, Making, Metadata, Reading, Sink, Source, Unfit};
use proptest::prelude::*;

use crate::support::{EVERY, Planes, holds, made, opened, planes, read, rest};

fn any_format() -> impl Strategy<Value = Format> {
    let rate = prop_oneof![Just(44_100), Just(48_000), Just(384_000), 8_000..=384_000_u32];
    (0..Encoding::ALL.len(), 1..=8_u16, rate).prop_map(|(encoding, channels, rate_hz)| Format {
        channels,
        rate_hz,
        encoding: Encoding::ALL[encoding],
    })
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(200))]

    #[test]
    fn every_bit_comes_back(
        format in any_format(),
        frames in prop_oneof![0..40_usize, 0..5_000_usize],
        seed in any::<u64>(),
    ) {
        for container in EVERY.into_iter().filter(|container| holds(*container, format)) {
            let written = planes(format.encoding, format.channels, frames, seed);
            let bytes = made(container, format, &written, &Metadata::default());
            if container != Container::Flac {
                let told = container.bytes(format, frames as u64, &Metadata::default());
                prop_assert_eq!(told, bytes.len() as u64);
            }
            let mut source = opened(&bytes, Reading::default()).unwrap();
            prop_assert_eq!((source.format(), source.frames()), (format, frames as u64));
            prop_assert!(rest(&mut source).unwrap() == written, "{:?}", container);
            source.rewind().unwrap();
            prop_assert!(rest(&mut source).unwrap() == written, "{:?}, the second time", container);
        }
    }

    /// A part is the part of the whole, whatever was read before.
    #[test]
    fn any_part(
        format in any_format(),
        frames in 1..9_000_usize,
        cuts in proptest::collection::vec((0.0..1.0_f64, 0.0..1.0_f64, any::<bool>()), 1..4),
    ) {
        for container in EVERY.into_iter().filter(|container| holds(*container, format)) {
            let mut wanted = planes(format.encoding, format.channels, frames, 1);
            let bytes = made(container, format, &wanted, &Metadata::default());
            let mut source = opened(&bytes, Reading::default()).unwrap();
            for (from, length, read_before) in &cuts {
                if *read_before {
                    rest(&mut source).unwrap();
                }
                let left = wanted[0].len();
                let (from, length) = part(left, *from, *length);
                source.cut(from as u64, length as u64);
                wanted = wanted.iter().map(|plane| plane[from..from + length].to_vec()).collect();
                source.rewind().unwrap();
                prop_assert_eq!(source.frames(), length as u64);
                prop_assert!(rest(&mut source).unwrap() == wanted, "{:?}", container);
            }
        }
    }
}

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    clippy::cast_precision_loss,
    reason = "small"
)]
fn part(left: usize, from: f64, length: f64) -> (usize, usize) {
    let from = (from * left as f64) as usize;
    (from, (length * (left - from) as f64) as usize)
}

/// Fewer vectors than channels: the first ones.
#[test]
fn the_first_channels() {
    for container in EVERY {
        let format = Format { channels: 5, rate_hz: 48_000, encoding: Encoding::Int24 };
        let written = planes(format.encoding, 5, 3_000, 2);
        let bytes = made(container, format, &written, &Metadata::default());
        let mut source = opened(&bytes, Reading::default()).unwrap();
        let (mut block, mut all): (Planes, Planes) = (vec![Vec::new(); 2], vec![Vec::new(); 2]);
        while source.read(&mut block, 700).unwrap() {
            all.iter_mut().zip(&block).for_each(|(all, block)| all.extend(block));
        }
        assert!(all == written[..2], "{container:?}");
    }
}

/// Beyond full scale integers are clipped and counted, at the end of every encoding; dither is at most one step.
#[test]
fn clipping_and_dither() {
    for container in EVERY {
        for encoding in Encoding::ALL {
            let format = Format { channels: 1, rate_hz: 48_000, encoding };
            if !holds(container, format) {
                continue;
            }
            let step = encoding.full_scale().recip();
            let written = vec![vec![0.5, 1.5, -1.5, -1.0, 0.0]];
            for exact in [true, false] {
                let metadata = Metadata::default();
                let making = Making { container, format, frames: 5, metadata: &metadata, exact };
                let mut sink = Sink::new(Cursor::new(Vec::new()), making).unwrap();
                sink.write(&written, 1.0).unwrap();
                let clipped = sink.clipped();
                let (_, out) = read(&sink.finish().unwrap().into_inner());
                if encoding.is_float() {
                    assert_eq!((clipped, &out), (0, &written));
                    continue;
                }
                let dithered = !exact && encoding.bits() <= 16;
                // Dither may carry full scale itself over the edge.
                assert!(clipped == 2 || dithered && clipped == 3, "{encoding}: {clipped}");
                let allowed = if dithered { 1.5 * step } else { 0.0 };
                for (out, wanted) in out[0].iter().zip([0.5, 1.0 - step, -1.0, -1.0, 0.0]) {
                    assert!((out - wanted).abs() <= allowed, "{encoding}: {out} for {wanted}");
                }
            }
        }
    }
}

/// The gain is that of every sample.
#[test]
fn gains() {
    let format = Format { channels: 2, rate_hz: 48_000, encoding: Encoding::Float64 };
    let written = planes(format.encoding, 2, 100, 3);
    let metadata = Metadata::default();
    let making = Making { container: Container::Wav, format, frames: 100, metadata: &metadata, exact: false };
    let mut sink = Sink::new(Cursor::new(Vec::new()), making).unwrap();
    sink.write(&written, 0.25).unwrap();
    let (_, out) = read(&sink.finish().unwrap().into_inner());
    let wanted: Planes =
        written.iter().map(|plane| plane.iter().map(|value| value * 0.25).collect()).collect();
    assert!(out == wanted);
}

/// Fewer frames than were told: the lengths are those of what was written; FLAC, which has told them already, says that it fails.
#[test]
fn fewer_frames_than_told() {
    let format = Format { channels: 1, rate_hz: 48_000, encoding: Encoding::Int8 };
    let metadata = Metadata::default();
    for container in EVERY {
        let making = Making { container, format, frames: 10, metadata: &metadata, exact: true };
        let mut sink = Sink::new(Cursor::new(Vec::new()), making).unwrap();
        sink.write(&[vec![0.5, 0.25, -0.5]], 1.0).unwrap();
        match sink.finish() {
            Ok(file) => assert_eq!(read(&file.into_inner()).1, [[0.5, 0.25, -0.5]]),
            Err(error) => assert_eq!((container, error.to_string().is_empty()), (Container::Flac, false)),
        }
    }
}

/// A pipe's writer does not know the length. From a pipe that is right, in a file it is a recorder that lost its power.
#[test]
fn headers_without_lengths() {
    let format = Format { channels: 2, rate_hz: 48_000, encoding: Encoding::Int16 };
    let written = planes(format.encoding, 2, 500, 4);
    let whole = made(Container::Wav, format, &written, &Metadata::default());
    let data = whole.windows(4).position(|window| window == b"data").unwrap();
    for length in [0_u32, u32::MAX] {
        let mut piped = whole.clone();
        piped[4..8].copy_from_slice(&length.to_le_bytes());
        piped[data + 4..data + 8].copy_from_slice(&length.to_le_bytes());
        let mut source = Source::piped(piped.as_slice(), Reading::default()).unwrap();
        assert!(!source.is_truncated());
        assert!(rest(&mut source).unwrap() == written);
        let refused = opened(&piped, Reading::default()).err().unwrap().to_string();
        assert!(
            refused.starts_with("take: its header was never finished and gives no length; accepted"),
            "{refused}"
        );
        let salvage = Reading { salvage: true, ..Reading::default() };
        let mut source = opened(&piped, salvage).unwrap();
        assert!(source.is_truncated());
        assert!(rest(&mut source).unwrap() == written);
    }
    assert!(
        Source::piped([].as_slice(), Reading::default()).err().unwrap().to_string().contains("it is empty")
    );
}

/// The same of a recorder that counts in 64 bits; and lengths that no file has.
#[test]
fn long_headers_without_lengths() {
    let format = Format { channels: 2, rate_hz: 48_000, encoding: Encoding::Int16 };
    let written = planes(format.encoding, 2, 500, 4);
    let whole = made(Container::Wav, format, &written, &Metadata::default());
    let long = |riff: u64, data: u64, told: u32| {
        let ds64 = [riff, data, 0].map(u64::to_le_bytes).concat();
        let head = [b"RF64\xff\xff\xff\xffWAVEds64\x1c\0\0\0", ds64.as_slice(), &[0; 4]].concat();
        let mut file = [head.as_slice(), &whole[12..]].concat();
        let data = file.windows(4).position(|window| window == b"data").unwrap();
        file[data + 4..data + 8].copy_from_slice(&told.to_le_bytes());
        file
    };
    assert!(read(&long(2_072, 2_000, u32::MAX)).1 == written);
    for unfinished in [long(0, 0, u32::MAX), long(0, 0, 0), long(72, 0, u32::MAX)] {
        let mut source = Source::piped(unfinished.as_slice(), Reading::default()).unwrap();
        assert!(rest(&mut source).unwrap() == written);
        let refused = opened(&unfinished, Reading::default()).err().unwrap().to_string();
        assert!(refused.contains("never finished"), "{refused}");
    }
    for length in [u64::MAX, 1 << 63, (1 << 62) + 1] {
        let refused = opened(&long(length, length, u32::MAX), Reading::default()).err().unwrap().to_string();
        assert!(refused.contains("truncated: the header promises"), "{refused}");
    }
}

/// What a sample that is no number says counts from the beginning of the file.
#[test]
fn frames_are_those_of_the_file() {
    let format = Format { channels: 1, rate_hz: 48_000, encoding: Encoding::Float32 };
    let mut written = planes(format.encoding, 1, 5_000, 5);
    written[0][4_000] = f64::NAN;
    let bytes = made(Container::Aiff, format, &written, &Metadata::default());
    let mut source = opened(&bytes, Reading::default()).unwrap();
    source.cut(3_500, 1_000);
    source.rewind().unwrap();
    let refused = rest(&mut source).unwrap_err().to_string();
    assert!(
        refused.starts_with("take: the sample at frame 4000 (counted from 0) of channel 1 is NaN"),
        "{refused}"
    );
    let mut source = opened(&bytes, Reading { salvage: true, ..Reading::default() }).unwrap();
    rest(&mut source).unwrap();
    assert_eq!(source.salvaged(), 1);
}

#[test]
fn kinds_are_told_by_what_is_in_them() {
    let format = Format { channels: 1, rate_hz: 48_000, encoding: Encoding::Int16 };
    let written = planes(format.encoding, 1, 100, 6);
    for (container, kind) in
        [(Container::Wav, Kind::Wav), (Container::Aiff, Kind::Aiff), (Container::Flac, Kind::Flac)]
    {
        let bytes = made(container, format, &written, &Metadata::default());
        assert_eq!(opened(&bytes, Reading::default()).unwrap().kind(), kind);
    }
    // FLAC behind an ID3 tag.
    let flac = made(Container::Flac, format, &written, &Metadata::default());
    let tagged = [b"ID3\x04\0\0\0\0\x01\x00".as_slice(), &[0; 128], &flac].concat();
    assert!(read(&tagged).1 == written);
}

#[test]
fn names_and_what_does_not_fit() {
    for (name, container) in [
        ("a.wav", Some(Container::Wav)),
        ("a.b.WAVE", Some(Container::Wav)),
        ("a.bwf", Some(Container::Wav)),
        ("a.Aif", Some(Container::Aiff)),
        ("a.aiff", Some(Container::Aiff)),
        ("a.aifc", Some(Container::Aiff)),
        ("a.flac", Some(Container::Flac)),
        ("-", Some(Container::Wav)),
        ("a.mp3", None),
        ("wav", None),
        ("", None),
    ] {
        assert_eq!(Container::of(name.as_ref()).ok(), container, "{name}");
    }
    let said = Container::of("a.mp3".as_ref()).unwrap_err().to_string();
    assert!(
        said.starts_with("a.mp3: there is no format for this name: accepted are names ending in .wav"),
        "{said}"
    );
    let check = |container: Container, encoding, channels, frames| {
        container.check(Format { channels, rate_hz: 48_000, encoding }, frames, &Metadata::default())
    };
    let encoding = |name, encoding| Err(Unfit::Encoding { name, encoding });
    assert_eq!(check(Container::Flac, Encoding::Float32, 1, 1), encoding("FLAC", Encoding::Float32));
    assert_eq!(check(Container::Aiff, Encoding::Int64, 1, 1), encoding("AIFF", Encoding::Int64));
    assert_eq!(
        check(Container::Flac, Encoding::Int16, 9, 1),
        Err(Unfit::Channels { name: "FLAC", channels: 9, most: 8 })
    );
    assert!(matches!(check(Container::Flac, Encoding::Int16, 1, 1 << 36), Err(Unfit::Length { .. })));
    // FORM 12, COMM 26, SSND 16: the last frame that fits.
    let most = u64::from(u32::MAX) - 54;
    assert_eq!(check(Container::Aiff, Encoding::Int8, 1, most - 1), Ok(()));
    assert!(matches!(check(Container::Aiff, Encoding::Int8, 1, most + 1), Err(Unfit::Length { .. })));
    assert_eq!(check(Container::Wav, Encoding::Float64, 64, u64::from(u32::MAX)), Ok(()));
    assert_eq!(
        Unfit::Encoding { name: "FLAC", encoding: Encoding::Float32 }.to_string(),
        "FLAC files do not hold samples of 32-bit float"
    );
}

/// Found by a fuzzer: a channel of one loud frame among silent ones.
#[test]
fn few_frames_of_flac() {
    let step = 1.0 / 8_388_608.0;
    let planes = vec![
        vec![0.0, 524_544.0 * step, 0.0, 0.0],
        vec![0.0; 4],
        vec![0.0; 4],
        vec![0.0, 3_579.0 * step, 3_459.0 * step, 3_326.0 * step],
        vec![0.0; 4],
        vec![0.0; 4],
    ];
    let format = Format { channels: 6, rate_hz: 48_000, encoding: Encoding::Int24 };
    assert!(read(&made(Container::Flac, format, &planes, &Metadata::default())).1 == planes);
}

/// The encoder loses count in blocks of a few frames: there are none, and every length is read back.
#[test]
#[expect(clippy::cast_possible_wrap, clippy::cast_precision_loss, reason = "small")]
fn every_last_block_of_flac() {
    let format = Format { channels: 1, rate_hz: 48_000, encoding: Encoding::Int24 };
    let mut rng = fastrand::Rng::with_seed(1);
    for frames in (1..120).chain(4_090..4_140).chain(8_180..8_230) {
        let curve = |frame: usize| 3_600 - 40 * frame as i64 % 7_000;
        let loud: Vec<i64> =
            (0..frames).map(|frame| if frame == 1 { 524_544 } else { curve(frame) }).collect();
        let falling: Vec<i64> = (0..frames).map(|frame| if frame == 0 { 0 } else { curve(frame) }).collect();
        let noise: Vec<i64> = (0..frames).map(|_| rng.i64(-8_388_608..8_388_608)).collect();
        for steps in [loud, falling, noise] {
            let plane: Vec<f64> = steps.iter().map(|step| *step as f64 / 8_388_608.0).collect();
            let bytes = made(Container::Flac, format, std::slice::from_ref(&plane), &Metadata::default());
            assert!(read(&bytes).1[0] == plane, "{frames} frames");
        }
    }
}

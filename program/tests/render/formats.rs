//! Every sample format, channel count and header in, every format out.

use super::{UNMATCHED, largest_difference, rendered};
use crate::support::noise;
use crate::support::wav::{KINDS, Kind, Wav};

/// The same load, but in resistance and in capacitance a rounding apart.
const UNCHANGED: [&str; 4] = ["--through", "3M || 1M5 || 1p || 276p", "--load", "1M || 277p"];

fn take(kind: Kind, channels: u16, rate_hz: u32) -> Wav {
    Wav::new(kind, channels, rate_hz, &noise(0.3, 600 * u32::from(channels), 7))
}

fn out_kind(take: Kind, option: Kind) -> Kind {
    if option == Kind::Int(1) { take } else { option }
}

/// The same load in other words gives the take back, bit for bit.
#[test]
fn no_change_is_no_change() {
    for kind in KINDS {
        for matching in [&[][..], &["--no-match"]] {
            let take = take(kind, 2, 48_000);
            let out = rendered(&take, &[UNCHANGED.as_slice(), matching].concat());
            assert!(out.data == take.data, "{kind:?}");
            assert_eq!((out.kind, out.channels, out.rate_hz), (kind, 2, 48_000));
        }
    }
}

/// A longer word holds a shorter one exactly; 16 bits are dithered and so are left out.
#[test]
fn no_change_into_a_longer_word_is_exact() {
    for kind in KINDS {
        for option in [Kind::Int(3), Kind::Int(4), Kind::Float] {
            let fits = kind.bytes() <= option.bytes() && (option != Kind::Float || kind != Kind::Int(4));
            if fits && kind != Kind::Float {
                let take = take(kind, 2, 48_000);
                let out =
                    rendered(&take, &[UNCHANGED.as_slice(), &["--sample-format", option.option()]].concat());
                assert_eq!(out.samples(), take.samples(), "{kind:?} into {option:?}");
            }
        }
    }
}

/// Into every format from every other: the format asked for, within half a step of the rendering in float, and within one and a
/// half where it is dithered.
#[test]
fn every_format_into_every_other() {
    for kind in KINDS {
        let take = take(kind, 2, 48_000);
        let in_float = rendered(&take, &[UNMATCHED.as_slice(), &["--sample-format", "float"]].concat());
        let change = largest_difference(&in_float.samples(), &take.samples());
        assert!(change > 0.02, "{kind:?}: the load does something");
        for option in KINDS {
            let out =
                rendered(&take, &[UNMATCHED.as_slice(), &["--sample-format", option.option()]].concat());
            let wanted = out_kind(kind, option);
            assert_eq!((out.kind, out.channels, out.rate_hz, out.frames()), (wanted, 2, 48_000, 600));
            let steps = if wanted.bytes() <= 2 { 1.5 } else { 0.5 };
            // A float has 24 bits, one of them a sign.
            let allowed = steps / wanted.full_scale().min(8_388_608.0) + 0.3e-7;
            let apart = largest_difference(&out.samples(), &in_float.samples());
            assert!(
                wanted == Kind::Float && apart == 0.0 || apart <= allowed,
                "{kind:?} to {wanted:?}: {apart:e}"
            );
        }
    }
}

/// Channels do not touch each other: each comes out as it does alone.
#[test]
fn channels_are_kept_apart() {
    for channels in [1, 2, 3, 6, 64] {
        let take = take(Kind::Float, channels, 48_000);
        let out = rendered(&take, &UNMATCHED);
        assert_eq!((out.channels, out.frames()), (channels, 600));
        for index in [0, channels / 2, channels - 1].map(usize::from) {
            let alone = Wav::new(Kind::Float, 1, 48_000, &take.channel(index));
            assert_eq!(out.channel(index), rendered(&alone, &UNMATCHED).samples(), "{index} of {channels}");
        }
    }
}

#[test]
fn rates_are_kept() {
    for rate_hz in [8_000, 11_025, 22_050, 44_100, 88_200, 96_000, 192_000, 384_000] {
        for kind in KINDS {
            let take = take(kind, 1, rate_hz);
            let out = rendered(&take, &UNCHANGED);
            assert_eq!((out.rate_hz, out.kind), (rate_hz, kind));
            assert!(out.data == take.data, "{rate_hz} Hz, {kind:?}");
        }
    }
}

/// What a long header says in other words, among them fewer valid bits than the container holds, reads like the short one.
#[test]
fn extensible_headers() {
    for (kind, valid_bits) in [
        (Kind::Int(1), 8),
        (Kind::Int(2), 16),
        (Kind::Int(2), 12),
        (Kind::Int(3), 24),
        (Kind::Int(3), 20),
        (Kind::Int(4), 32),
        (Kind::Int(4), 24),
        (Kind::Float, 32),
    ] {
        for channels in [1, 2, 6] {
            let plain = take(kind, channels, 48_000);
            let extensible = Wav { valid_bits: Some(valid_bits), ..plain.clone() };
            assert!(rendered(&extensible, &UNCHANGED).data == plain.data, "{kind:?}, {valid_bits} bits");
            // Plain stays plain, and extensible stays extensible; all bits of a rendering are valid.
            let all_bits = Some(8 * kind.bytes());
            let (of_extensible, of_plain) = (rendered(&extensible, &UNMATCHED), rendered(&plain, &UNMATCHED));
            assert_eq!(of_plain.valid_bits, None, "{kind:?}");
            assert_eq!(of_extensible, Wav { valid_bits: all_bits, ..of_plain }, "{kind:?}");
        }
    }
}

/// Writers differ in what they append to the format chunk.
#[test]
fn format_chunks_with_something_behind() {
    for kind in KINDS {
        let plain = take(kind, 1, 48_000);
        let expected = rendered(&plain, &UNMATCHED);
        for extra in [2, 4, 24] {
            let mut file = plain.bytes();
            file.splice(36..36, vec![0; extra]);
            file[16] += u8::try_from(extra).unwrap();
            assert_eq!(super::rendered_file(&file, &UNMATCHED).0, expected, "{kind:?}, {extra} bytes");
        }
    }
}

#[test]
fn chunks_around_the_data_change_nothing() {
    let plain = take(Kind::Int(2), 2, 48_000);
    let expected = rendered(&plain, &UNMATCHED);
    let text = |bytes: usize| vec![b'x'; bytes];
    let around = [
        vec![(*b"LIST", text(26))],
        vec![(*b"LIST", text(27))],
        vec![
            (*b"JUNK", Vec::new()),
            (*b"bext", text(602)),
            (*b"note", text(1)),
            (*b"fact", vec![1, 0, 0, 0, 9, 9]),
        ],
    ];
    for chunks in around {
        let before = Wav { before: chunks.clone(), ..plain.clone() };
        let after = Wav { after: chunks.clone(), ..plain.clone() };
        let both = Wav { before: chunks.clone(), after: chunks, ..plain.clone() };
        for take in [before, after, both] {
            let out = rendered(&take, &UNMATCHED);
            assert!(out.data == expected.data, "{:?}", (&take.before, &take.after));
            // What a session needs goes along; filling and the number of frames do not.
            let kept = |chunks: &[([u8; 4], Vec<u8>)]| -> Vec<_> {
                chunks.iter().filter(|(id, _)| ![*b"JUNK", *b"fact"].contains(id)).cloned().collect()
            };
            assert_eq!((out.before, out.after), (kept(&take.before), kept(&take.after)));
        }
    }
    // Data of odd length are padded too, and the pad is not taken for a sample.
    let odd = Wav::new(Kind::Int(1), 1, 48_000, &noise(0.3, 601, 3));
    let tagged = Wav { after: vec![(*b"LIST", text(3))], ..odd.clone() };
    assert!(rendered(&tagged, &UNCHANGED).data == odd.data);
}

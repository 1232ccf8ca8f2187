//! Any WAV file through a load that changes nothing.

use proptest::collection::vec;
use proptest::prelude::*;

use super::rendered;
use crate::support::wav::{KINDS, Kind, Wav};

const IDS: [[u8; 4]; 4] = [*b"LIST", *b"bext", *b"junk", *b"cue "];

prop_compose! {
    fn any_chunks()(chunks in vec((0..IDS.len(), vec(any::<u8>(), 0..40)), 0..3)) -> Vec<([u8; 4], Vec<u8>)> {
        chunks.into_iter().map(|(id, bytes)| (IDS[id], bytes)).collect()
    }
}

/// Random bytes are random integers; floats are drawn as numbers within what the guard lets pass, denormal ones and both zeros
/// among them.
fn any_data(kind: Kind, samples: usize) -> BoxedStrategy<Vec<u8>> {
    if kind != Kind::Float {
        return vec(any::<u8>(), samples * usize::from(kind.bytes())).boxed();
    }
    let float = prop_oneof![8 => -30.0_f32..30.0, 1 => Just(-0.0), 1 => -1e-39_f32..1e-39];
    vec(float, samples)
        .prop_map(|floats| floats.iter().flat_map(|value| value.to_le_bytes()).collect())
        .boxed()
}

fn any_wav() -> impl Strategy<Value = Wav> {
    (0..KINDS.len(), 1..9_u16, 0..300_usize, 8_000..=384_000_u32, any_chunks(), any_chunks(), any::<bool>())
        .prop_flat_map(|(kind, channels, frames, rate_hz, before, after, extensible)| {
            let kind = KINDS[kind];
            any_data(kind, frames * usize::from(channels)).prop_map(move |data| Wav {
                kind,
                channels,
                rate_hz,
                valid_bits: extensible.then_some(kind.bytes() * 8),
                before: before.clone(),
                after: after.clone(),
                data,
            })
        })
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    #[test]
    fn gives_every_bit_back(take in any_wav()) {
        let out = rendered(&take, &["--through", "1M || 6 m", "--load", "600 cm || 1000k", "--no-match"]);
        prop_assert_eq!((out.kind, out.channels, out.rate_hz), (take.kind, take.channels, take.rate_hz));
        prop_assert!(out.data == take.data);
        let kept = |chunks: &[([u8; 4], Vec<u8>)]| -> Vec<_> {
            chunks.iter().filter(|(id, _)| id != b"junk").cloned().collect()
        };
        prop_assert_eq!((out.before, out.after), (kept(&take.before), kept(&take.after)));
        prop_assert_eq!(out.valid_bits, take.valid_bits);
    }
}

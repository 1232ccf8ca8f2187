//! Takes of every kind, and at the edges.

use super::{music, packed, take_of, with};
use crate::support::float_take;
use crate::support::wav::{KINDS, Kind, Wav};

#[test]
fn every_format_and_channel_count() {
    for (kind, channels) in
        KINDS.into_iter().map(|kind| (kind, 1)).chain([(Kind::Int(2), 2), (Kind::Int(3), 6)])
    {
        let sandbox = with(&take_of(kind, channels, 48_000, 24_000));
        for audio in ["flac", "opus"] {
            let (page, report) = packed(&sandbox, &["--audio", audio, "--overwrite"]);
            let heard = channels.min(2);
            assert_eq!((&page.data["channels"], &report["take_channels"]), (&heard.into(), &channels.into()));
            assert_eq!(page.decoded(2).len(), 24_000 * usize::from(heard));
        }
        let text = sandbox.done(&[super::PACK.as_slice(), &["--overwrite"]].concat());
        let said = text.contains("The take has 6 channels: the first two are heard.");
        assert_eq!(said, channels == 6, "{text}");
    }
}

/// Neither loudness nor error, and no division by either; what is next to nothing has a loudness, and is matched.
#[test]
fn silence_and_next_to_nothing() {
    for (silent, take) in [
        (true, float_take(48_000, &vec![0.0; 48_000])),
        (true, float_take(48_000, &[0.0])),
        (false, float_take(48_000, &[0.5])),
        (false, float_take(48_000, &vec![0.1; 4_800])),
        (false, float_take(384_000, &[0.5])),
        (false, float_take(8_000, &[0.5, -0.5, 0.5])),
    ] {
        let sandbox = with(&take);
        for audio in ["flac", "opus"] {
            let (page, report) = packed(&sandbox, &["--audio", audio, "--overwrite", "--anchor"]);
            for index in 0..4 {
                let (lufs, matching_db) = (&page.sound(index)["lufs"], &page.sound(index)["matching_db"]);
                assert_eq!((lufs.is_null(), matching_db.is_null()), (silent, silent));
                assert!(!silent || page.sound(index)["truth_gain"] == 1.0);
                let frames = u64::try_from(page.decoded(index).len()).unwrap();
                assert_eq!(Some(frames), page.data["frames"].as_u64());
            }
            assert_eq!(report["take_lufs"].is_null(), silent);
        }
        let text = sandbox.done(&[super::PACK.as_slice(), &["--overwrite"]].concat());
        assert_eq!(text.contains("Not level-matched: the take is silent."), silent, "{text}");
    }
}

/// Full scale squares, which loads make twice as high: lowered, not clipped.
#[test]
fn nothing_clips() {
    let square: Vec<f64> = (0..48_000).map(|i| if i / 400 % 2 == 0 { -1.0 } else { 1.0 }).collect();
    let sandbox = with(&float_take(48_000, &square));
    let (page, report) = packed(&sandbox, &["--audio", "flac"]);
    assert!(report["lowered_db"].as_f64().unwrap() < -3.0);
    for index in 0..3 {
        assert_eq!(report["sounds"][index]["clipped_samples"], 0);
        let highest =
            page.decoded(index).into_iter().fold(0.0, |highest: f64, value| highest.max(value.abs()));
        // -1 dBTP.
        assert!(highest < 0.8913, "{highest}");
    }
    let text = sandbox.done(&[super::PACK.as_slice(), &["--overwrite"]].concat());
    assert!(text.contains("All lowered by ") && text.contains(" dB so that nothing clips."), "{text}");
}

#[test]
fn what_is_salvaged_is_said() {
    let whole = music();
    let mut samples = whole.samples();
    (samples[100], samples[200], samples[300]) = (f64::NAN, f64::INFINITY, f64::NEG_INFINITY);
    let sandbox = with(&float_take(48_000, &samples));
    for audio in ["flac", "opus"] {
        let (page, report) = packed(&sandbox, &["--salvage", "--audio", audio, "--overwrite"]);
        assert_eq!(report["salvaged_samples"], 3);
        for index in 0..3 {
            assert!(page.decoded(index).iter().all(|value| value.is_finite()));
            assert!(page.sound(index)["lufs"].as_f64().unwrap().is_finite());
        }
    }
    let bytes = whole.bytes();
    sandbox.write("take.wav", &bytes[..bytes.len() / 2]);
    let (page, report) = packed(&sandbox, &["--salvage", "--overwrite"]);
    assert_eq!(report["truncated"], true);
    assert!(page.data["frames"].as_u64().unwrap() < 48_000);
    let _: Wav = whole;
}

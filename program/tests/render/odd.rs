//! Signals at the edges: nothing, one sample, silence, full scale.

use super::{UNMATCHED, rendered, rendered_file, said};
use crate::support::float_take;
use crate::support::wav::{KINDS, Kind, Wav};

const MATCHED: [&str; 4] = ["--through", "22M", "--load", "470k"];

#[test]
fn no_samples_and_one() {
    for kind in KINDS {
        for samples in [&[][..], &[0.25]] {
            let take = Wav::new(kind, 1, 48_000, samples);
            for rest in [&MATCHED[..], &UNMATCHED[..]] {
                let (out, report) = rendered_file(&take.bytes(), rest);
                assert_eq!((out.frames(), out.kind), (samples.len(), kind));
                let matched = report["renderings"][0]["matching_db"].is_number();
                assert_eq!(matched, !samples.is_empty() && rest == MATCHED, "one sample is not silence");
            }
            let unchanged = rendered(&take, &["--through", "22M", "--load", "22000k"]);
            assert!(unchanged.data == take.data, "{kind:?}");
        }
    }
}

#[test]
fn silence_stays_silent_but_for_the_dither() {
    for kind in KINDS {
        let take = Wav::new(kind, 2, 48_000, &vec![0.0; 48_000]);
        let out = rendered(&take, &MATCHED);
        let loudest = out.samples().into_iter().fold(0.0, |loudest: f64, value| loudest.max(value.abs()));
        let step = if kind.bytes() <= 2 { kind.full_scale().recip() } else { 0.0 };
        assert!(loudest <= step, "{kind:?}: {loudest:e}");
        let text = said(&take, &MATCHED).stdout;
        assert!(text.contains("Not level-matched: the take is silent"), "{text}");
    }
}

/// The load turns the edges of a square to nearly twice its height: lowered, not clipped, and said.
#[test]
fn full_scale_squares() {
    let square: Vec<f64> = (0..48_000).map(|i| if i / 400 % 2 == 0 { -1.0 } else { 1.0 }).collect();
    for kind in [Kind::Int(1), Kind::Int(2), Kind::Int(3), Kind::Int(4)] {
        let top = 1.0 - kind.full_scale().recip();
        let samples: Vec<f64> = square.iter().map(|value| value.min(top)).collect();
        let take = Wav::new(kind, 1, 48_000, &samples);
        for rest in [&MATCHED[..], &UNMATCHED[..]] {
            let (out, report) = rendered_file(&take.bytes(), rest);
            assert_eq!(report["renderings"][0]["clipped_samples"], 0, "{kind:?}");
            let lowered_db = report["lowered_db"].as_f64().unwrap();
            assert!((-20.0..-3.0).contains(&lowered_db), "{kind:?}: {lowered_db}");
            let at_the_end = out.samples().iter().filter(|value| **value == -1.0 || **value == top).count();
            assert!(at_the_end == 0, "{kind:?}: {at_the_end} samples at full scale");
        }
        let text = said(&take, &MATCHED).stdout;
        assert!(text.contains("All lowered by ") && text.contains(" dB so that nothing clips."), "{text}");
    }
    // From 192 kHz on the largest sample is the true peak: it comes to lie at the very top, where dither and rounding must find
    // room. One edge, so that the top is the positive one.
    let edge: Vec<f64> = (0..2000).map(|i| if i < 1000 { -0.99 } else { 0.99 }).collect();
    for kind in [Kind::Int(1), Kind::Int(2), Kind::Int(3), Kind::Int(4)] {
        let (out, report) = rendered_file(&Wav::new(kind, 1, 192_000, &edge).bytes(), &UNMATCHED);
        assert_eq!(report["renderings"][0]["clipped_samples"], 0, "{kind:?}");
        let highest = out.samples().into_iter().fold(0.0, f64::max);
        assert!((1.0 - 4.0 / kind.full_scale()..1.0).contains(&highest), "{kind:?}: {highest}");
    }
    // A float file holds more than full scale, so unmatched it is left as the load makes it.
    let (out, report) = rendered_file(&float_take(48_000, &square).bytes(), &UNMATCHED);
    assert_eq!(report["lowered_db"], 0.0);
    assert!(out.samples().iter().any(|value| *value > 1.5));
}

/// A take beyond full scale, put into integers as it is: clipped at both ends, and counted.
#[test]
fn clipping_is_counted() {
    let mut samples = vec![0.5; 1000];
    (samples[10], samples[20], samples[30], samples[40]) = (1.5, -1.5, 1.0, -1.0);
    let take = float_take(48_000, &samples);
    for (option, kind) in [("24", Kind::Int(3)), ("32", Kind::Int(4))] {
        let rest = ["--through", "1M", "--load", "1M", "--no-match", "--sample-format", option];
        let (out, report) = rendered_file(&take.bytes(), &rest);
        let top = 1.0 - kind.full_scale().recip();
        let out = out.samples();
        assert_eq!([out[10], out[20], out[30], out[40], out[50]], [top, -1.0, top, -1.0, 0.5]);
        // The two beyond, and the one at +1.0, which no integer reaches.
        assert_eq!(report["renderings"][0]["clipped_samples"], 3);
        assert!(said(&take, &rest).stdout.contains("3 samples clipped"));
    }
}

#[test]
fn quiet_means_quiet() {
    let take = float_take(48_000, &[0.1; 100]);
    let outcome = said(&take, &[MATCHED.as_slice(), &["--quiet"]].concat());
    assert_eq!((outcome.code, outcome.stdout.as_str(), outcome.stderr.as_str()), (Some(0), "", ""));
}

//! Takes that are refused unless a flag asks for what is there.

use super::{UNMATCHED, largest_difference, rendered, rendered_file};
use crate::support::wav::{Kind, Wav};
use crate::support::{float_take, noise};

fn with_flag(take: &[u8]) -> (Wav, serde_json::Value) {
    rendered_file(take, &[UNMATCHED.as_slice(), &["--salvage"]].concat())
}

#[test]
fn a_truncated_take_as_far_as_it_goes() {
    let whole = Wav::new(Kind::Int(2), 2, 48_000, &noise(0.3, 20_000, 1));
    let short = Wav { data: whole.data[..4 * 7000].to_vec(), ..whole.clone() };
    let expected = rendered(&short, &UNMATCHED);
    // In the middle of a frame; and three ways in which a header that was never finished looks.
    let cut = whole.bytes()[..44 + 4 * 7000 + 3].to_vec();
    let mut piped = short.bytes();
    piped[40..44].fill(0xff);
    let mut power_cut = short.bytes();
    power_cut[40..44].fill(0);
    power_cut[4..8].fill(0);
    let mut power_cut_later = power_cut.clone();
    power_cut_later[4] = 36;
    for (name, take) in [
        ("cut", cut),
        ("piped", piped),
        ("power cut", power_cut),
        ("power cut, length of header", power_cut_later),
    ] {
        let (out, report) = with_flag(&take);
        assert_eq!(out, expected, "{name}");
        assert_eq!((&report["truncated"], &report["frames"]), (&true.into(), &7000.into()), "{name}");
    }
    let (_, report) = with_flag(&short.bytes());
    assert_eq!(report["truncated"], false);
}

#[test]
fn samples_that_are_no_numbers_are_passed_over() {
    let clean = noise(0.3, 96_000, 2);
    let mut samples = clean.clone();
    (samples[48_000], samples[48_001], samples[48_002]) = (f64::NAN, f64::INFINITY, f64::NEG_INFINITY);
    let take = float_take(48_000, &samples).bytes();
    let (out, report) = with_flag(&take);
    let (out, expected) = (out.samples(), rendered(&float_take(48_000, &clean), &UNMATCHED).samples());
    assert_eq!(report["salvaged_samples"], 3);
    assert_eq!(report["renderings"][0]["guard_closed"], 1);
    assert_eq!(report["renderings"][0]["guard_first_seconds"], 1.0);
    assert!(out.iter().all(|value| value.is_finite()));
    assert_eq!(out[..48_000], expected[..48_000], "untouched before");
    // 5 ms of fading, then silence; half a second later there is nothing left of it.
    assert!(out[48_000 + 241..48_000 + 1000].iter().all(|value| *value == 0.0));
    assert!(largest_difference(&out[72_000..], &expected[72_000..]) < 1e-6);
}

/// One bad sample must not cost the level match.
#[test]
fn a_salvaged_take_is_matched_all_the_same() {
    let clean = noise(0.3, 96_000, 2);
    let mut samples = clean.clone();
    samples[10] = f64::NAN;
    let rest = ["--through", "22M", "--load", "56k"];
    let (_, expected) = rendered_file(&float_take(48_000, &clean).bytes(), &rest);
    let (_, report) =
        rendered_file(&float_take(48_000, &samples).bytes(), &[rest.as_slice(), &["--salvage"]].concat());
    let lufs = |report: &serde_json::Value| report["take_lufs"].as_f64().unwrap();
    assert!((lufs(&report) - lufs(&expected)).abs() < 0.1);
    assert_eq!(report["salvaged_samples"], 1, "read twice, told once");
    assert!(report["renderings"][0]["matching_db"].is_number());
}

/// Without the guard it is still no number that is written.
#[test]
fn no_guard_is_no_licence() {
    let mut samples = noise(0.3, 9_000, 2);
    samples[4000] = f64::NAN;
    let (out, report) = rendered_file(
        &float_take(48_000, &samples).bytes(),
        &[UNMATCHED.as_slice(), &["--salvage", "--no-guard"]].concat(),
    );
    assert!(out.samples().iter().all(|value| value.is_finite()));
    assert!(out.samples()[4500..].iter().any(|value| *value != 0.0));
    assert_eq!(report["renderings"][0]["guard_closed"], 0);
}

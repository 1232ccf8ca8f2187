//! Level match against a meter of the tests' own: ITU-R BS.1770's two filters at 48 kHz, ungated, which on a steady signal is
//! the same as gated.

use super::{rendered, rendered_file, said};
use crate::support::wav::{Kind, Wav};
use crate::support::{float_take, noise, sine};

/// Tables 1 and 2 of ITU-R BS.1770-4: b0 b1 b2 a1 a2 of the pre-filter and of the RLB weighting at 48 kHz (from memory, and
/// held against the standard's own calibration below).
const FILTERS: [[f64; 5]; 2] = [
    [
        1.535_124_859_586_97,
        -2.691_696_189_406_38,
        1.198_392_810_852_85,
        -1.690_659_293_182_41,
        0.732_480_774_215_85,
    ],
    [1.0, -2.0, 1.0, -1.990_047_454_833_98, 0.990_072_250_366_21],
];

/// Loudness in LUFS of all but the first half second, channels weighing the same.
pub fn lufs(take: &Wav) -> f64 {
    assert_eq!(take.rate_hz, 48_000);
    let power = |index: usize| {
        let mut signal = take.channel(index);
        for [b0, b1, b2, a1, a2] in FILTERS {
            let (mut s1, mut s2) = (0.0, 0.0);
            for value in &mut signal {
                let (x, y) = (*value, b0 * *value + s1);
                (s1, s2) = (b1 * x - a1 * y + s2, b2 * x - a2 * y);
                *value = y;
            }
        }
        let steady = &signal[24_000..];
        steady.iter().map(|value| value * value).sum::<f64>()
            / f64::from(u32::try_from(steady.len()).unwrap())
    };
    -0.691 + 10.0 * (0..usize::from(take.channels)).map(power).sum::<f64>().log10()
}

/// "If a 0 dB FS, 997 Hz sine wave is applied to the left, centre or right channel input, the indicated loudness will equal
/// −3.01 LKFS" (ITU-R BS.1770-4, annex 1).
#[test]
fn the_meter_of_these_tests_is_calibrated() {
    let take = float_take(48_000, &sine(48_000, 997.0, 1.0, 96_000));
    assert!((lufs(&take) + 3.01).abs() < 0.005, "{}", lufs(&take));
}

/// Low, middle and high in different measure, so that each load changes the mix.
fn music(channels: u16) -> Wav {
    let hiss = noise(0.02, 144_000, 9);
    let parts = [sine(48_000, 55.0, 0.2, 144_000), sine(48_000, 330.0, 0.1, 144_000), hiss];
    let mix = (0..144_000).map(|frame| parts.iter().map(|part| part[frame]).sum::<f64>());
    let frames: Vec<f64> =
        mix.flat_map(|value| (0..channels).map(move |c| value / f64::from(1 + c))).collect();
    Wav::new(Kind::Float, channels, 48_000, &frames)
}

#[test]
fn renderings_are_as_loud_as_the_take() {
    for (channels, load, ceiling) in
        [(1, "56k", "24"), (1, "470k || 6 m", "24"), (2, "56k", "24"), (1, "none", "30"), (5, "1M", "24")]
    {
        let take = music(channels);
        let through = if load == "none" { "100k" } else { "22M" };
        let rest = ["--through", through, "--load", load, "--undo-ceiling", ceiling];
        let (out, report) = rendered_file(&take.bytes(), &rest);
        let unmatched = rendered(&take, &[rest.as_slice(), &["--no-match"]].concat());
        assert_eq!(report["lowered_db"], 0.0);
        let (wanted, is, was) = (lufs(&take), lufs(&out), lufs(&unmatched));
        assert!((is - wanted).abs() < 0.1, "{load}: {is} instead of {wanted} LUFS");
        assert!((was - wanted).abs() > 2.0, "{load}: there was nothing to match");
        let (told, matching) = (&report["take_lufs"], &report["renderings"][0]["matching_db"]);
        assert!((told.as_f64().unwrap() - wanted).abs() < 0.1, "{told} instead of {wanted} LUFS");
        assert!((matching.as_f64().unwrap() - (is - was)).abs() < 0.01, "{matching} instead of {}", is - was);
    }
}

/// The match is a gain and nothing else.
#[test]
fn a_match_keeps_the_shape() {
    let take = music(1);
    let rest = ["--through", "22M", "--load", "56k"];
    let matched = rendered(&take, &rest).samples();
    let unmatched = rendered(&take, &[rest.as_slice(), &["--no-match"]].concat()).samples();
    let gain = matched[1000] / unmatched[1000];
    for (matched, unmatched) in matched.iter().zip(&unmatched) {
        assert!((matched - gain * unmatched).abs() < 1e-6);
    }
}

/// However much a load takes of however little: what is written is as loud as the take, by the `ebur128` crate. The passive box loses
/// 37 dB of this note, far below the gate of -70 LUFS, at which nothing was matched once.
#[test]
fn a_quiet_take_is_matched_as_it_is_written() {
    let rest = ["--through", "22M", "--load", "56k"];
    for peak in [0.2, 0.01, 0.002] {
        let take = float_take(48_000, &sine(48_000, 55.0, peak, 3 * 48_000));
        let (out, report) = rendered_file(&take.bytes(), &rest);
        let lufs = |samples: &[f64]| {
            let mut meter = ebur128::EbuR128::new(1, 48_000, ebur128::Mode::I).unwrap();
            meter.add_frames_f64(samples).unwrap();
            meter.loudness_global().unwrap()
        };
        // The note begins with a step that a load turns into a click; it is as loud as ever all the same.
        let off_lu = lufs(&out.samples()) - lufs(&take.samples());
        assert!(off_lu.abs() < 0.01, "{peak}: off by {off_lu} LU");
        assert!((report["take_lufs"].as_f64().unwrap() - lufs(&take.samples())).abs() < 0.01);
    }
}

/// What no gate lets pass, and what is shorter than a gating block, is matched by all there is of it; only silence is not, and that
/// is said.
#[test]
fn only_silence_is_not_matched() {
    let rest = ["--through", "22M", "--load", "56k"];
    let matched = |samples: &[f64]| {
        rendered_file(&float_take(48_000, samples).bytes(), &rest).1["renderings"][0]["matching_db"].as_f64()
    };
    let short = matched(&sine(48_000, 55.0, 0.2, 48_000 / 5)).unwrap();
    let faint = matched(&sine(48_000, 55.0, 2e-4, 48_000 / 5)).unwrap();
    assert!(short > 20.0 && (short - faint).abs() < 1e-3, "{short} {faint}");
    assert_eq!(matched(&[0.0; 48_000]), None);
    let text = said(&float_take(48_000, &[0.0; 48_000]), &rest).stdout;
    assert!(text.contains("Not level-matched: the take is silent."), "{text}");
}

/// A take that is hotter than full scale between its samples comes back as it is through what it was recorded through.
#[test]
fn a_hot_take_comes_back_bit_for_bit() {
    // At a quarter of the rate, half way between its peaks: sampled at 0.9 it goes up to 1.27 (a sine's own height).
    let hot = |bytes| {
        let samples: Vec<f64> = (0..48_000).map(|frame| [0.9, 0.9, -0.9, -0.9][frame % 4]).collect();
        Wav::new(Kind::Int(bytes), 1, 48_000, &samples)
    };
    for bytes in [2, 3] {
        let take = hot(bytes);
        let (out, report) = rendered_file(&take.bytes(), &["--through", "22M", "--load", "22000k"]);
        assert!(out.data == take.data, "{bytes} bytes");
        assert_eq!(report["lowered_db"], 0.0);
    }
}

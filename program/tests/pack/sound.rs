//! What a listener hears: the renderings, equally loud, in step, and as exact as is told.

use super::page::Page;
use super::{PACK, mix, music, packed, spread, take_of, with};
use crate::render::levels::lufs;
use crate::support::wav::{Kind, Wav};
use crate::support::{float_take, level_db};

/// Level-matched renderings to float files are what is stored without loss, but for the room above them.
#[test]
fn without_loss_it_is_what_render_gives() {
    for channels in [1, 2] {
        let sandbox = with(&take_of(Kind::Float, channels, 48_000, 96_000));
        let (page, report) = packed(&sandbox, &["--audio", "flac"]);
        let set = ["render", "take.wav", "--setups", "two.toml", "-o", "set"];
        let rendered = sandbox.json(&set);
        assert_eq!(rendered["lowered_db"], 0.0);
        let gain = 10f64.powf(report["lowered_db"].as_f64().unwrap() / 20.0);
        for index in 0..3 {
            let file = sandbox.wav(rendered["renderings"][index]["file"].as_str().unwrap());
            let stored = page.decoded(index);
            assert_eq!(stored.len(), 96_000 * usize::from(channels));
            let largest =
                stored.iter().zip(file.samples()).map(|(a, b)| (a - b * gain).abs()).fold(0.0, f64::max);
            // Half a step of 24 bits, and the rounding of floats.
            assert!(largest < 1.2e-7, "{index}: {largest:e}");
        }
    }
}

/// By the meter of the tests: stored equally loud; with the truth's gains as far apart as the unmatched renderings are.
#[test]
fn equally_loud_or_as_loud_as_they_are() {
    let sandbox = with(&music());
    let (page, _) = packed(&sandbox, &["--audio", "flac", "--anchor"]);
    let unmatched = sandbox.json(&["render", "take.wav", "--setups", "two.toml", "-o", "set", "--no-match"]);
    let loudness = |index: usize| lufs(&float_take(48_000, &page.decoded(index)));
    for index in 1..4 {
        assert!((loudness(index) - loudness(0)).abs() < 0.1, "{index}");
    }
    let truth_db = |index: usize| 20.0 * page.sound(index)["truth_gain"].as_f64().unwrap().log10();
    let file = |index: usize| sandbox.wav(unmatched["renderings"][index]["file"].as_str().unwrap());
    for index in 1..3 {
        let (told, is) = (truth_db(index) - truth_db(0), lufs(&file(index)) - lufs(&file(0)));
        assert!((told - is).abs() < 0.1, "{index}: {told} instead of {is} dB");
        let lufs_told = page.sound(index)["lufs"].as_f64().unwrap();
        assert!((lufs_told - lufs(&file(index))).abs() < 0.1);
    }
    let highest = (0..4).map(|index| page.sound(index)["truth_gain"].as_f64().unwrap()).fold(0.0, f64::max);
    assert_eq!(highest, 1.0);
}

/// Opus gives back as many frames as went in, none shifted against what is stored without loss; the error is the one that is told.
#[test]
fn opus_stays_in_step() {
    for (channels, frames) in [(1_u16, 96_000), (2, 96_001), (1, 95_999), (1, 960), (1, 649), (1, 648)] {
        let sandbox = with(&take_of(Kind::Float, channels, 48_000, frames));
        let (opus, report) = packed(&sandbox, &["--audio", "opus", "--kbps", "160"]);
        let (flac, _) = packed(&sandbox, &["--audio", "flac", "--overwrite"]);
        assert_eq!((&opus.data["codec"], &opus.data["frames"]), (&"opus".into(), &frames.into()));
        for index in 0..3 {
            let (is, was) = (opus.decoded(index), flac.decoded(index));
            assert_eq!(is.len(), was.len(), "{frames} frames");
            if frames < 48_000 {
                continue;
            }
            // The product is largest where both lie over each other.
            let step = usize::from(channels);
            let product = |shift: usize| -> f64 {
                let from = 10 * step;
                let end = was.len() - 10 * step;
                (from..end).map(|i| was[i] * is[i + shift * step - 5 * step]).sum()
            };
            let best = (0..11).max_by(|a, b| product(*a).total_cmp(&product(*b)));
            // A high-pass at 4 Hz leads by a fraction of a frame at 330 Hz and by up to a frame and a half at 55 Hz.
            assert!((4..=6).contains(&best.unwrap()), "off by {best:?} - 5 frames");
            let power =
                |values: &mut dyn Iterator<Item = f64>| values.map(|value| value * value).sum::<f64>();
            let error = power(&mut was.iter().zip(&is).map(|(a, b)| a - b));
            let ratio_db = 10.0 * (power(&mut was.iter().copied()) / error).log10();
            let told = report["sounds"][index]["signal_to_error_db"].as_f64().unwrap();
            assert!((ratio_db - told).abs() < 0.05, "{told} instead of {ratio_db} dB");
        }
    }
}

/// Another rate changes neither pitch nor level nor length.
#[test]
fn a_take_at_another_rate_keeps_its_pitch() {
    for rate_hz in [8_000, 11_025, 44_100, 96_000] {
        let second = rate_hz;
        let sandbox = with(&float_take(rate_hz, &mix(rate_hz, 2 * second)));
        let (page, report) = packed(&sandbox, &["--audio", "opus"]);
        assert_eq!((&page.data["rate_hz"], &page.data["frames"]), (&48_000.into(), &96_000.into()));
        let decoded = page.decoded(0);
        assert_eq!(decoded.len(), 96_000);
        let lowered_db = report["lowered_db"].as_f64().unwrap();
        for (hz, amplitude) in [(55.0, 0.2_f64), (330.0, 0.1)] {
            let db = level_db(&decoded[24_000..72_000], 48_000, hz) - lowered_db;
            assert!((db - 20.0 * amplitude.log10()).abs() < 0.15, "{rate_hz} Hz: {db} dB at {hz} Hz");
        }
    }
}

/// Rates that browsers do not play are brought down; others stay.
#[test]
fn without_loss_rates_stay_up_to_96_khz() {
    for (take_hz, rate_hz) in [
        (8_000, 8_000),
        (44_100, 44_100),
        (96_000, 96_000),
        (192_000, 96_000),
        (176_400, 88_200),
        (384_000, 96_000),
    ] {
        let sandbox = with(&float_take(take_hz, &mix(take_hz, take_hz / 2)));
        let (page, _) = packed(&sandbox, &["--audio", "flac"]);
        assert_eq!((&page.data["rate_hz"], &page.data["frames"]), (&rate_hz.into(), &(rate_hz / 2).into()));
        assert_eq!(page.decoded(1).len(), usize::try_from(rate_hz / 2).unwrap());
    }
}

/// Of an excerpt the filters have settled, also of an undo, which takes long; and its edges fade.
#[test]
fn an_excerpt_is_a_part_of_the_whole() {
    let sandbox = with(&float_take(48_000, &mix(48_000, 240_000)));
    let undo = ["pack", "take.wav", "--pickup", "680p", "--through", "1M", "--load", "none", "--load", "56k"];
    let pack = |rest: &[&str]| {
        let always = ["--rescue", "none", "-o", "page.html", "--overwrite", "--audio", "flac"];
        let report = sandbox.json(&[undo.as_slice(), &always, rest].concat());
        (Page::parse(&sandbox.read("page.html")), report)
    };
    let (whole, all) = pack(&[]);
    let (part, report) = pack(&["--from", "0:02.5", "--length", "1.5 s"]);
    assert_eq!((&part.data["frames"], &report["seconds"]), (&72_000.into(), &1.5.into()));
    for index in 0..3 {
        let (whole, part) = (whole.decoded(index), part.decoded(index));
        assert_eq!((whole.len(), part.len()), (240_000, 72_000));
        let gain_db = |report: &serde_json::Value| {
            report["sounds"][index]["matching_db"].as_f64().unwrap() + report["lowered_db"].as_f64().unwrap()
        };
        let gain = 10f64.powf((gain_db(&report) - gain_db(&all)) / 20.0);
        let middle = 480..72_000 - 480;
        let largest = middle.map(|i| (part[i] - gain * whole[120_000 + i]).abs()).fold(0.0, f64::max);
        assert!(largest < 1e-6, "{index}: {largest:e}");
        assert!(part[0].abs() < 1e-6 && part[71_999].abs() < 1e-3, "{} {}", part[0], part[71_999]);
    }
}

/// A blend is heard as it leaves its jack.
#[test]
fn a_blend_is_one_channel() {
    let sandbox = with(&Wav::new(Kind::Float, 2, 48_000, &spread(&mix(48_000, 48_000), 2)));
    let preset = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("../presets/blend.toml");
    std::fs::copy(preset, sandbox.path("two.toml")).unwrap();
    let report = sandbox.json(&[PACK.as_slice(), &["--audio", "flac"]].concat());
    assert_eq!((&report["channels"], &report["take_channels"]), (&1.into(), &2.into()));
}

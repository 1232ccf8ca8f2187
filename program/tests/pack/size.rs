//! How large a page becomes.

use std::f64::consts::TAU;

use super::{music, packed, with};
use crate::support::{Sandbox, float_take, noise};

/// A plucked bass line of half a minute, of the kind that the demo synthesises: six strings, partials that decay, a noise floor
/// 85 dB below full scale.
fn bass_line() -> Vec<f64> {
    const RATE_HZ: f64 = 48_000.0;
    let mut take = noise(1e-4, 48_000 * 30, 5);
    for (pluck, hz) in [55.0, 73.4, 98.0, 130.8, 164.8, 220.0].iter().cycle().take(60).enumerate() {
        let start = pluck * 24_000;
        for partial in 1..=30_u32 {
            let (hz, decay_s) = (hz * f64::from(partial), 2.0 / f64::from(partial));
            if hz > 16_000.0 {
                continue;
            }
            let amplitude = 0.15 / f64::from(partial);
            // Each a rotation that shrinks.
            let (sin, cos) = (TAU * hz / RATE_HZ).sin_cos();
            let shrink = (-1.0 / (decay_s * RATE_HZ)).exp();
            let (mut re, mut im) = (0.0, amplitude);
            for value in take.iter_mut().skip(start).take(96_000) {
                *value += re;
                (re, im) = (shrink * (re * cos + im * sin), shrink * (im * cos - re * sin));
            }
        }
    }
    take
}

/// The bar of the format: 6 MiB for half a minute of six setups, the take as recorded and one rescue.
#[test]
fn half_a_minute_of_six_setups_stays_within_6_mib() {
    let sandbox = Sandbox::new();
    let setups = sandbox.courtyard();
    sandbox.write("take.wav", float_take(48_000, &bass_line()).bytes());
    let report = sandbox.json(&["pack", "take.wav", "--setups", setups, "-o", "page.html"]);
    let sounds = report["sounds"].as_array().unwrap();
    assert_eq!((sounds.len(), &report["codec"], &report["seconds"]), (8, &"opus".into(), &30.0.into()));
    let bytes = sandbox.read("page.html").len();
    assert_eq!(report["bytes"].as_u64(), u64::try_from(bytes).ok());
    assert!(bytes <= 6 * 1024 * 1024, "{bytes}");
    // And makes use of it.
    assert!(bytes >= 5 * 1024 * 1024, "{bytes}");
    for sound in sounds {
        let bands = sound["bands"].as_array().unwrap();
        for band in bands {
            let (hz, error_db) = (band["midband_hz"].as_f64().unwrap(), band["error_db"].as_f64().unwrap());
            // Below the lowest string there is nothing but the encoder's noise; at the top, where the encoder saves most, the rescue
            // has less sound than the others.
            let most_db = match hz {
                ..45.0 => 6.0,
                13e3.. if sound["kind"] == "rescue" => 0.5,
                _ => 0.3,
            };
            assert!(error_db.abs() < most_db, "{}: {error_db} dB at {hz} Hz", sound["name"]);
        }
        assert!(bands.len() > 20, "{}", bands.len());
        assert!(sound["signal_to_error_db"].as_f64().unwrap() > 20.0);
    }
}

#[test]
fn what_is_short_is_without_loss_unless_asked_otherwise() {
    let sandbox = with(&music());
    let (page, report) = packed(&sandbox, &[]);
    assert_eq!((&page.data["codec"], &page.data["mime"]), (&"flac".into(), &"audio/flac".into()));
    assert!(report["kbps"].is_null());
    let (page, report) = packed(&sandbox, &["--overwrite", "--audio", "opus"]);
    assert_eq!((&page.data["mime"], &report["kbps"]), (&"audio/ogg; codecs=opus".into(), &192.into()));
    let bytes = |kbps: &str| {
        let (page, report) = packed(&sandbox, &["--overwrite", "--kbps", kbps]);
        assert_eq!((&page.data["codec"], report["kbps"].to_string().as_str()), (&"opus".into(), kbps));
        report["sounds"][0]["bytes"].as_u64().unwrap()
    };
    let (few, many) = (bytes("64"), bytes("160"));
    // Two seconds of each, within what the headers and the rate control take.
    assert!((15_000..18_500).contains(&few) && (38_000..43_000).contains(&many), "{few} {many}");
}

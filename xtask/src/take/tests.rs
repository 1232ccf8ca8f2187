//! Checks of the finished take.

use super::clock::Clock;
use super::measure::{amplitude, band_power, peak_cents, peak_db, power_db, whole_power};
use super::*;

/// The part of `take` between two times in seconds.
fn between(take: &[f64], rate_hz: f64, from_s: f64, to_s: f64) -> &[f64] {
    let clock = Clock::new(rate_hz);
    &take[clock.first_sample_at(from_s)..clock.first_sample_at(to_s).min(take.len())]
}

/// Times at which no string sounds, longer than 0.15 s, in seconds.
fn rests() -> Vec<(f64, f64)> {
    let mut rests = Vec::new();
    let mut silent_s: f64 = 0.0;
    for pluck in phrase::plucks() {
        if pluck.onset_s - silent_s > 0.15 {
            rests.push((silent_s, pluck.onset_s));
        }
        silent_s = silent_s.max(pluck.silent_s);
    }
    rests.push((silent_s, LENGTH_S));
    rests
}

#[test]
fn the_same_call_gives_the_same_bits() {
    assert_eq!(guitarron_take(48_000.0), guitarron_take(48_000.0));
}

#[test]
fn length_is_that_of_the_rate() {
    assert_eq!(guitarron_take(8_000.0).len(), 160_000);
    assert_eq!(guitarron_take(44_100.0).len(), 882_000);
}

#[test]
fn peak_level() {
    for rate_hz in [8_000.0, 48_000.0, 96_000.0] {
        let peak = peak_db(&guitarron_take(rate_hz));
        println!("{rate_hz} Hz: peak {peak:.3} dBFS");
        assert!((peak + 6.0).abs() < 0.1, "{rate_hz} Hz: {peak} dBFS");
    }
}

#[test]
#[should_panic(expected = "outside")]
fn rates_out_of_range_are_refused() {
    guitarron_take(f64::NAN);
}

/// Lead-in, the two rests of the phrase and the end: all below the noise floor of -85 dBFS.
#[test]
fn rests_are_silent() {
    let take = guitarron_take(48_000.0);
    assert_eq!(rests().len(), 4, "{:?}", rests());
    for (from_s, to_s) in rests() {
        // The body rings on for a moment, and the finger touches the string before it plucks.
        let rest = between(&take, 48_000.0, from_s + 0.12, to_s - 0.015);
        assert!(power_db(rest) < -100.0, "{from_s} s to {to_s} s: {}", power_db(rest));
    }
    assert!(rests()[3].1 - rests()[3].0 > 0.9, "{:?}", rests());
}

#[test]
fn last_note_is_the_low_a_with_a_strong_fundamental() {
    let take = guitarron_take(8_000.0);
    let last = between(&take, 8_000.0, 16.0, 18.5);
    let off = peak_cents(last, 8_000.0, 55.0);
    assert!(off.abs() < 3.0, "{off} cents");
    let fundamental_db = 20.0 * amplitude(last, 8_000.0, 55.0).log10();
    let octave_db = 20.0 * amplitude(last, 8_000.0, 110.0).log10();
    assert!(fundamental_db > octave_db, "{fundamental_db} {octave_db}");
}

/// Loading shows between 50 and 200 Hz: most of the music's power is there.
#[test]
fn lows_carry_the_take() {
    let rate_hz = 8_000.0;
    let take = guitarron_take(rate_hz);
    for from_s in [0.2, 4.1, 8.0, 12.0] {
        let music = between(&take, rate_hz, from_s, from_s + 2.0);
        let whole = whole_power(music);
        let share_db = |low, high| 10.0 * (band_power(music, rate_hz, low, high) / whole).log10();
        let (lows, rumble) = (share_db(50.0, 200.0), share_db(2.0, 40.0));
        println!("at {from_s} s: 50 to 200 Hz {lows:.2} dB, below 40 Hz {rumble:.2} dB re all");
        assert!(lows > -2.0, "at {from_s} s: {lows} dB");
        assert!(rumble < -25.0, "at {from_s} s: {rumble} dB");
    }
}

/// A take at a low rate is the same sound: same level and phase of its partials, sample by sample,
/// but for what lies above 3.6 kHz and the body's slightly different top.
#[test]
fn rates_agree() {
    let low = guitarron_take(8_000.0);
    let high = guitarron_take(48_000.0);
    let difference: Vec<f64> = low.iter().zip(high.iter().step_by(6)).map(|(a, b)| a - b).collect();
    let off_db = power_db(&difference) - power_db(&low);
    println!("8 kHz against 48 kHz: {off_db:.1} dB");
    assert!(off_db < -55.0, "{off_db} dB");
}

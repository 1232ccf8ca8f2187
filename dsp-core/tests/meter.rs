//! The meter that setups are matched by, on the test signals of EBU Tech 3341 (cases and figures from memory),
//! synthesised from their definition. The tolerance is the document's own: 0.1 LU.

use std::f64::consts::TAU;

use ebur128::{EbuR128, Mode};

const RATE: u32 = 48_000;
const TOLERANCE_LU: f64 = 0.1;

/// A 1 kHz sine for so many hundredths of a second (ten whole periods each) at a peak level in dBFS for each channel.
fn add_tone(meter: &mut EbuR128, hundredths: u32, levels_db: &[f64]) {
    let amplitudes: Vec<f64> = levels_db.iter().map(|db| 10f64.powf(db / 20.0)).collect();
    let sine = (0..RATE / 100).map(|n| (TAU * 1_000.0 * f64::from(n) / f64::from(RATE)).sin());
    let frames: Vec<f64> =
        sine.flat_map(|sine| amplitudes.iter().map(move |amplitude| amplitude * sine)).collect();
    for _ in 0..hundredths {
        meter.add_frames_f64(&frames).unwrap();
    }
}

fn stereo() -> EbuR128 {
    EbuR128::new(2, RATE, Mode::I | Mode::M | Mode::S).unwrap()
}

/// Integrated loudness of stereo tones of `(seconds, level)`.
fn integrated_lufs(tones: &[(u32, f64)]) -> f64 {
    let mut meter = stereo();
    for (seconds, level_db) in tones {
        add_tone(&mut meter, seconds * 100, &[*level_db; 2]);
    }
    meter.loudness_global().unwrap()
}

#[track_caller]
fn assert_lufs(given: f64, expected: f64) {
    assert!((given - expected).abs() <= TOLERANCE_LU, "{given} LUFS for {expected}");
}

/// Cases 1 and 2: the same in all three meters.
#[test]
fn steady_tones() {
    for level_db in [-23.0, -33.0] {
        let mut meter = stereo();
        add_tone(&mut meter, 2_000, &[level_db; 2]);
        assert_lufs(meter.loudness_momentary().unwrap(), level_db);
        assert_lufs(meter.loudness_shortterm().unwrap(), level_db);
        assert_lufs(meter.loudness_global().unwrap(), level_db);
    }
}

/// Case 3: what is more than 10 LU quieter does not count.
#[test]
fn relative_gate() {
    assert_lufs(integrated_lufs(&[(10, -36.0), (60, -23.0), (10, -36.0)]), -23.0);
}

/// Case 4: nor what is below -70 LUFS, which would pull the relative gate down.
#[test]
fn absolute_gate() {
    let tones = [(10, -72.0), (10, -36.0), (60, -23.0), (10, -36.0), (10, -72.0)];
    assert_lufs(integrated_lufs(&tones), -23.0);
}

/// Case 5: what is within 10 LU does. The middle lasts 20.1 s.
#[test]
fn within_the_gate() {
    let mut meter = stereo();
    for (hundredths, level_db) in [(2_000, -26.0), (2_010, -20.0), (2_000, -26.0)] {
        add_tone(&mut meter, hundredths, &[level_db; 2]);
    }
    assert_lufs(meter.loudness_global().unwrap(), -23.0);
}

/// Case 6: five channels, the surrounds weighted by 1.41.
#[test]
fn five_channels() {
    let mut meter = EbuR128::new(5, RATE, Mode::I).unwrap();
    add_tone(&mut meter, 2_000, &[-28.0, -28.0, -24.0, -30.0, -30.0]);
    assert_lufs(meter.loudness_global().unwrap(), -23.0);
}

/// Case 9: a level that alternates within the three seconds of the short-term meter does not move it.
#[test]
fn short_term_window() {
    let mut meter = stereo();
    for hundredth in 0..1_500 {
        add_tone(&mut meter, 1, &[if hundredth % 300 < 134 { -20.0 } else { -30.0 }; 2]);
        if hundredth >= 300 {
            assert_lufs(meter.loudness_shortterm().unwrap(), -23.0);
        }
    }
}

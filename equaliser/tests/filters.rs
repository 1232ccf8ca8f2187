//! The filters of a desk's equaliser against the formulas of the "Audio EQ Cookbook" (R. Bristow-Johnson, W3C Working Group Note,
//! 2021), from memory: `w0 = 2π f0/fs`, `α = sin w0 / 2Q`, `A = 10^(dB/40)`.

use std::f64::consts::TAU;

use firstjack_equaliser::{Band, BandKind, Equaliser, EqualiserError};

const RATES_HZ: [f64; 5] = [8e3, 44.1e3, 48e3, 96e3, 384e3];

fn bands() -> [Band; 7] {
    [
        Band::bell(31.5, 15.0, 0.4),
        Band::bell(1e3, -15.0, 4.0),
        Band::bell(3.9e3, 6.0, 1.0),
        Band::bell(250.0, 0.0, 1.0),
        Band::low_shelf(40.0, 15.0),
        Band::low_shelf(400.0, -15.0),
        Band { q: 1.5, ..Band::low_shelf(120.0, 9.0) },
    ]
}

/// `b0 b1 b2` and `a0 a1 a2` of the cookbook.
fn cookbook(band: &Band, rate_hz: f64) -> ([f64; 3], [f64; 3]) {
    let (sin, cos) = (TAU * band.hz / rate_hz).sin_cos();
    let (a, alpha) = (10f64.powf(band.gain_db / 40.0), sin / (2.0 * band.q));
    match band.kind {
        BandKind::Bell => {
            ([1.0 + alpha * a, -2.0 * cos, 1.0 - alpha * a], [1.0 + alpha / a, -2.0 * cos, 1.0 - alpha / a])
        }
        BandKind::LowShelf => {
            let root = 2.0 * a.sqrt() * alpha;
            (
                [
                    a * ((a + 1.0) - (a - 1.0) * cos + root),
                    2.0 * a * ((a - 1.0) - (a + 1.0) * cos),
                    a * ((a + 1.0) - (a - 1.0) * cos - root),
                ],
                [
                    (a + 1.0) + (a - 1.0) * cos + root,
                    -2.0 * ((a - 1.0) + (a + 1.0) * cos),
                    (a + 1.0) + (a - 1.0) * cos - root,
                ],
            )
        }
    }
}

/// `|b0 + b1 z⁻¹ + b2 z⁻²|` on the unit circle.
fn size([c0, c1, c2]: [f64; 3], w: f64) -> f64 {
    (c0 + c1 * w.cos() + c2 * (2.0 * w).cos()).hypot(c1 * w.sin() + c2 * (2.0 * w).sin())
}

#[test]
fn responses_are_the_cookbooks() {
    for rate_hz in RATES_HZ {
        for band in bands() {
            let (b, a) = cookbook(&band, rate_hz);
            let equaliser = Equaliser::new(vec![band], rate_hz).unwrap();
            for hz in [20.0, 31.5, 55.0, 120.0, 400.0, 1e3, 3.9e3].map(|hz| hz * rate_hz / 8e3) {
                let w = TAU * hz / rate_hz;
                let expected = 20.0 * (size(b, w) / size(a, w)).log10();
                let got = equaliser.db(hz);
                assert!(
                    (got - expected).abs() < 1e-9,
                    "{band:?} at {hz} of {rate_hz}: {got}, not {expected}"
                );
            }
        }
    }
}

/// The difference equation of the cookbook's coefficients, direct form 1.
#[test]
fn sound_goes_through_the_cookbooks_filters() {
    // A linear congruential generator (Numerical Recipes' constants, from memory).
    let next = |state: &u32| Some(state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223));
    let states = std::iter::successors(Some(1), next);
    let noise: Vec<f64> = states.take(4000).map(|state| f64::from(state) / 2_147_483_648.0 - 1.0).collect();
    for rate_hz in RATES_HZ {
        let mut expected = noise.clone();
        for band in bands() {
            let ([b0, b1, b2], [a0, a1, a2]) = cookbook(&band, rate_hz);
            let (mut x, mut y) = ([0.0; 2], [0.0; 2]);
            for sample in &mut expected {
                let out = (b0 * *sample + b1 * x[0] + b2 * x[1] - a1 * y[0] - a2 * y[1]) / a0;
                (x, y) = ([*sample, x[0]], [out, y[0]]);
                *sample = out;
            }
        }
        let equaliser = Equaliser::new(bands().to_vec(), rate_hz).unwrap();
        let (mut whole, mut parts) = (noise.clone(), noise.clone());
        equaliser.clone().process(&mut whole);
        let loudest = expected.iter().fold(0.0, |most: f64, value| most.max(value.abs()));
        for (got, expected) in whole.iter().zip(&expected) {
            assert!((got - expected).abs() < 1e-9 * loudest, "{rate_hz}: {got}, not {expected}");
        }
        let mut channel = equaliser.clone();
        parts.chunks_mut(37).for_each(|block| channel.process(block));
        assert_eq!(parts, whole, "whatever the blocks");
    }
}

#[test]
fn what_is_no_number_is_silence_and_silence_ends() {
    let equaliser = Equaliser::new(bands().to_vec(), 48e3).unwrap();
    let (mut odd, mut plain) = ([0.25; 64], [0.25; 64]);
    for (index, value) in [(3, f64::NAN), (9, f64::INFINITY), (10, f64::NEG_INFINITY)] {
        (odd[index], plain[index]) = (value, 0.0);
    }
    let mut channel = equaliser.clone();
    channel.process(&mut odd);
    equaliser.clone().process(&mut plain);
    assert_eq!(odd, plain);
    // Bells this low and wide fall by 600 dB in some seconds.
    let mut silence = [0.0; 480];
    for _ in 0..6000 {
        silence = [0.0; 480];
        channel.process(&mut silence);
    }
    assert_eq!(silence, [0.0; 480], "to the last bit, not denormal");
}

#[test]
fn settings_that_no_filter_has_are_refused() {
    let of =
        |band: Band, rate_hz: f64| Equaliser::new(vec![Band::bell(100.0, 0.0, 1.0), band], rate_hz).err();
    for given_hz in [0.0, -5.0, 24e3, f64::NAN, f64::INFINITY] {
        let error = of(Band::bell(given_hz, 3.0, 1.0), 48e3);
        assert!(
            matches!(error, Some(EqualiserError::Frequency { band: 1, below_hz: 24e3, .. })),
            "{error:?}"
        );
    }
    for given_db in [-61.0, 61.0, f64::NAN] {
        let error = of(Band::low_shelf(100.0, given_db), 48e3);
        assert!(matches!(error, Some(EqualiserError::Gain { band: 1, .. })), "{error:?}");
    }
    for given in [0.0, -1.0, 101.0, f64::NAN] {
        let error = of(Band::bell(100.0, 3.0, given), 48e3);
        assert!(matches!(error, Some(EqualiserError::Q { band: 1, .. })), "{error:?}");
    }
    for given_hz in [0.0, 7999.0, 384_001.0, f64::NAN] {
        let error = of(Band::bell(100.0, 3.0, 1.0), given_hz);
        assert!(matches!(error, Some(EqualiserError::Rate { .. })), "{error:?}");
    }
    let said = of(Band::bell(30e3, 3.0, 1.0), 48e3).unwrap().to_string();
    assert_eq!(
        said,
        "band 1 at 30000 Hz: accepted is more than 0 and less than 24000 Hz, half the sample rate"
    );
}

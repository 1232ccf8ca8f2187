//! The fit of a desk's equaliser: what can be said of it without a second solver. `tests/python/test_rescue.py` compares with scipy's.

use firstjack_equaliser::{Band, BandKind, Desk, Equaliser, EqualiserError, Fit, Needed, Series};

const RATE_HZ: f64 = 48e3;
const A1_HZ: f64 = 55.0;

/// `10 log10(1 + (fc/f)²)`, the loss of a first-order high-pass in dB (textbook RC).
fn rc_loss_db(corner_hz: f64) -> impl Fn(f64) -> f64 {
    move |hz| 10.0 * (1.0 + (corner_hz / hz).powi(2)).log10()
}

/// What is left of `needed` by these bands and this level: mean, and root mean square.
fn left_db(needed: &Needed, found: &Fit) -> (f64, f64) {
    let equaliser = Equaliser::new(found.bands.clone(), needed.rate_hz()).unwrap();
    let left = needed.points().iter().map(|(hz, db)| db - equaliser.db(*hz) - found.level_db);
    let left: Vec<f64> = left.collect();
    let mean = |values: &[f64]| values.iter().sum::<f64>() / f64::from(u32::try_from(values.len()).unwrap());
    (mean(&left), mean(&left.iter().map(|db| db.powi(2)).collect::<Vec<_>>()).sqrt())
}

/// Of the settings that are told.
fn left_rms_db(found: &Fit) -> f64 {
    found.rms_db[found.bands.len() - 1]
}

/// A desk that may boost as far as its bands go.
fn unlimited() -> Desk {
    Desk { most_boost_db: 120.0, ..Desk::default() }
}

/// What a desk made, a desk can make.
#[test]
fn settings_are_found_again() {
    let cases = [
        vec![Band::low_shelf(150.0, 8.0)],
        vec![Band::low_shelf(80.0, -6.0), Band::bell(900.0, 9.0, 2.0)],
        vec![Band::low_shelf(200.0, 12.0), Band::bell(71.0, -5.0, 1.6), Band::bell(4e3, 7.0, 0.8)],
        vec![Band::low_shelf(100.0, 4.0), Band::bell(250.0, 10.0, 3.15), Band::bell(500.0, -10.0, 3.15)],
    ];
    for bands in cases {
        let made = Equaliser::new(bands.clone(), RATE_HZ).unwrap();
        let needed = Needed::new(A1_HZ, RATE_HZ, |hz| made.db(hz) - 7.0).unwrap();
        let found = Fit::new(&needed, &unlimited()).unwrap();
        assert_eq!(found.bands.len(), bands.len(), "no bell that does nothing: {found:?}");
        assert!((found.level_db + 7.0).abs() < 1e-9, "{found:?}");
        for (found, made) in found.bands.iter().zip(&bands) {
            assert!((found.hz / made.hz - 1.0).abs() < 1e-9, "{found:?}, not {made:?}");
            assert!((found.gain_db - made.gain_db).abs() < 1e-9, "{found:?}, not {made:?}");
            assert!((found.q / made.q - 1.0).abs() < 1e-9, "{found:?}, not {made:?}");
        }
    }
}

/// The best is known: whatever a desk was set to leaves nothing. Settings are drawn by a linear congruential generator (Numerical
/// Recipes' constants, from memory), evenly over the desk's ranges, then set to steps that are written out here.
#[test]
fn the_best_settings_are_found_from_anywhere() {
    let mut state = 5_u32;
    let mut draw = |low: f64, high: f64| {
        state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
        low + (high - low) * f64::from(state) / 4_294_967_296.0
    };
    // R10 of ISO 3, which R40 has in it, too.
    let tenths = [1.0, 1.25, 1.6, 2.0, 2.5, 3.15, 4.0, 5.0, 6.3, 8.0];
    let preferred = |value: f64| {
        let decade = 10f64.powf(value.log10().floor());
        tenths.into_iter().rev().find(|tenth| tenth * decade <= value * 1.0001).unwrap() * decade
    };
    let mut left = Vec::new();
    while left.len() < 40 {
        let mut bell = || {
            let (hz, gain_db, q) = (
                draw(31.5_f64.ln(), 16e3_f64.ln()),
                draw(-15.0, 15.0).round(),
                draw(0.4_f64.ln(), 4f64.ln()),
            );
            Band::bell(preferred(hz.exp()), gain_db, preferred(q.exp()))
        };
        let bells = [bell(), bell()];
        let shelf =
            Band::low_shelf(preferred(draw(40f64.ln(), 400f64.ln()).exp()), draw(-15.0, 15.0).round());
        if (bells[0].hz / bells[1].hz).log2().abs() < 1.1 {
            continue;
        }
        let made = Equaliser::new([&[shelf], bells.as_slice()].concat(), RATE_HZ).unwrap();
        let needed = Needed::new(A1_HZ, RATE_HZ, |hz| made.db(hz)).unwrap();
        left.push(Fit::new(&needed, &unlimited()).unwrap().rms_db[2]);
    }
    assert!(left.iter().all(|rms_db| *rms_db < 0.05), "{left:?}");
}

/// Where more is needed than the limit, no frequency gets more, and what is asked for within it is given.
#[test]
fn bands_stay_within_the_limit_together() {
    for most_boost_db in [6.0, 12.0, 20.0] {
        let desk = Desk { most_boost_db, ..Desk::default() };
        for (corner_hz, flat_db) in [(4179.0, 0.0), (732.0, 5.0)] {
            let loss_db = rc_loss_db(corner_hz);
            let needed = Needed::new(A1_HZ, RATE_HZ, |hz| loss_db(hz) + flat_db).unwrap();
            let found = Fit::new(&needed, &desk).unwrap();
            let equaliser = Equaliser::new(found.bands.clone(), RATE_HZ).unwrap();
            // The least that the load takes is what it takes at 16 kHz.
            let passband_db = loss_db(16e3) + flat_db;
            for semitone in 0..120 {
                let hz = 20.0 * (f64::from(semitone) / 12.0).exp2();
                let boost_db = equaliser.db(hz) + found.level_db - passband_db;
                assert!(boost_db < most_boost_db + 1e-9, "{boost_db} at {hz}: {found:?}");
            }
            assert!(left_rms_db(&found) < 1.0, "of what may be asked for: {found:?}");
        }
    }
}

/// Two bells at one place are one band at its stop. What two at 63 Hz made is made in another way, or not.
#[test]
fn bells_stand_apart() {
    let made = Equaliser::new(vec![Band::bell(63.0, 15.0, 2.0); 2], RATE_HZ).unwrap();
    let needed = Needed::new(A1_HZ, RATE_HZ, |hz| made.db(hz)).unwrap();
    let found = Fit::new(&needed, &unlimited()).unwrap();
    if let [_, lower, upper] = found.bands.as_slice() {
        assert!(upper.hz / lower.hz > 1.9, "about an octave: {found:?}");
    }
    // Two fixed at one place are one.
    let desk = Desk { bell_hz: (63.0, 63.0), ..unlimited() };
    let found = Fit::new(&needed, &desk).unwrap();
    assert_eq!(found.bands.len(), 2, "{found:?}");
    assert!(found.bands[1].hz == 63.0 && found.rms_db[1] == found.rms_db[2], "{found:?}");
}

/// Frequencies and Q are preferred numbers (ISO 3, from memory), gains multiples of their step.
#[test]
fn settings_are_those_that_desks_have() {
    let twelfths =
        [100, 106, 112, 118, 125, 132, 140, 150, 160, 170, 180, 190, 200, 212, 224, 236, 250, 265, 280];
    let twelfths =
        twelfths.into_iter().chain([300, 315, 335, 355, 375, 400, 425, 450, 475, 500, 530, 560, 600]);
    let twelfths: Vec<i32> = twelfths.chain([630, 670, 710, 750, 800, 850, 900, 950]).collect();
    assert_eq!(twelfths.len(), 40);
    let is_of = |value: f64, numbers: &[i32]| {
        let mantissa = value / 10f64.powf((value * 1.000_001).log10().floor());
        numbers.iter().any(|number| (mantissa * 100.0 - f64::from(*number)).abs() < 1e-6)
    };
    let every = |n: usize| twelfths.iter().copied().step_by(n).collect::<Vec<i32>>();
    for (hz_steps, numbers) in
        [(Series::Twelfth, every(1)), (Series::Sixth, every(2)), (Series::Third, every(4))]
    {
        for gain_step_db in [0.5, 1.0, 3.0] {
            let desk = Desk { hz_steps, gain_step_db, bell_hz: (31.5, 16e3), ..Desk::default() };
            let needed = Needed::new(A1_HZ, RATE_HZ, rc_loss_db(732.0)).unwrap();
            let found = Fit::new(&needed, &desk).unwrap();
            for Band { hz, gain_db, q, kind } in &found.bands {
                assert!(is_of(*hz, &numbers), "{hz} Hz: {found:?}");
                assert!((gain_db / gain_step_db).fract().abs() < 1e-9, "{found:?}");
                assert!(*kind == BandKind::LowShelf || is_of(*q, &every(4)), "{found:?}");
            }
        }
    }
}

#[test]
fn nothing_is_done_where_nothing_is_needed() {
    let needed = Needed::new(A1_HZ, RATE_HZ, |_| 5.0).unwrap();
    let found = Fit::new(&needed, &Desk::default()).unwrap();
    assert_eq!(found.bands.len(), 1, "{found:?}");
    assert!(found.bands[0].gain_db == 0.0 && found.level_db == 5.0, "{found:?}");
}

/// The rms that is told is that of the settings that are told, no setting leaves the desk, more bells are never worse, and a bell
/// that is used is worth it.
#[test]
fn fits_keep_to_the_desk_and_tell_the_truth() {
    let desks = [
        unlimited(),
        Desk { most_gain_db: 6.0, ..unlimited() },
        Desk { bell_q: (1.1, 1.1), shelf_hz: (83.0, 83.0), ..unlimited() },
    ];
    for desk in desks {
        for corner_hz in [4179.0, 732.0, 23.0] {
            for rate_hz in [8e3, 44.1e3] {
                let needed = Needed::new(A1_HZ, rate_hz, rc_loss_db(corner_hz)).unwrap();
                let found = Fit::new(&needed, &desk).unwrap();
                let told = left_rms_db(&found);
                let (mean_db, rms_db) = left_db(&needed, &found);
                assert!((rms_db - told).abs() < 1e-9 && mean_db.abs() <= 0.05 + 1e-9, "{found:?}");
                let within =
                    |value: f64, (low, high): (f64, f64)| (low - 1e-9..=high + 1e-9).contains(&value);
                let (shelf, bells) = found.bands.split_first().unwrap();
                assert!(within(shelf.hz, desk.shelf_hz), "{found:?}");
                assert!(
                    bells.iter().all(|bell| within(bell.hz, desk.bell_hz) && within(bell.q, desk.bell_q))
                );
                assert!(found.bands.iter().all(|band| band.gain_db.abs() <= desk.most_gain_db + 1e-9));
                assert!(bells.is_sorted_by(|a, b| a.hz <= b.hz), "{found:?}");
                let [none, one, two] = found.rms_db;
                assert!(one <= none + 1e-3 && two <= one + 1e-3, "{found:?}");
                let fewer = found.rms_db[..bells.len()].iter();
                assert!(fewer.into_iter().all(|rms| *rms > two + 0.1), "{found:?}");
                assert_eq!(Fit::new(&needed, &desk).unwrap(), found, "the same every time");
            }
        }
    }
}

/// Two pickups that cancel lose without end.
#[test]
fn what_is_needed_is_finite_and_spans_the_band() {
    let needed = Needed::new(A1_HZ, RATE_HZ, |hz| if hz < 100.0 { f64::INFINITY } else { f64::NAN }).unwrap();
    assert!(needed.points().iter().all(|(_, db)| db.is_finite()));
    assert!(left_rms_db(&Fit::new(&needed, &Desk::default()).unwrap()).is_finite());
    // A major third is a third of an octave.
    let (first, last) = (needed.points()[0].0, needed.points().last().unwrap().0);
    assert!((first - 43.653_528_929).abs() < 1e-6 && last == 16e3, "F1 (ISO 16) to 16 kHz: {first} {last}");
    let low_rate = Needed::new(A1_HZ, 8e3, |_| 0.0).unwrap();
    assert!(low_rate.points().last().unwrap().0 < 4e3);
    for lowest_hz in [16e3, 20e3, 0.0, -1.0, f64::NAN, f64::INFINITY] {
        assert!(Needed::new(lowest_hz, RATE_HZ, |_| 0.0).is_err(), "{lowest_hz}");
    }
    let said = Needed::new(17e3, RATE_HZ, |_| 0.0).unwrap_err().to_string();
    assert_eq!(
        said,
        "the lowest string is at 17000.0 Hz: accepted is less than 16000 Hz at a sample rate of 48000 Hz"
    );
}

#[test]
fn limits_that_no_desk_has_are_refused() {
    let needed = Needed::new(A1_HZ, RATE_HZ, rc_loss_db(234.0)).unwrap();
    let good = Desk::default();
    for (desk, limit) in [
        (Desk { most_gain_db: 0.0, ..good }, "gain in dB"),
        (Desk { most_gain_db: f64::NAN, ..good }, "gain in dB"),
        (Desk { shelf_hz: (400.0, 40.0), ..good }, "shelf in Hz"),
        (Desk { shelf_hz: (0.0, 40.0), ..good }, "shelf in Hz"),
        (Desk { bell_hz: (30.0, 21e3), ..good }, "bells in Hz"),
        (Desk { bell_q: (0.0, 1.0), ..good }, "Q"),
        (Desk { most_boost_db: 0.0, ..good }, "boost in dB"),
        (Desk { gain_step_db: 0.0, ..good }, "step of gains in dB"),
        (Desk { bell_q: (0.4, f64::INFINITY), ..good }, "Q"),
    ] {
        let error = Fit::new(&needed, &desk).unwrap_err();
        assert!(matches!(error, EqualiserError::Limit { limit: named, .. } if named == limit), "{error:?}");
    }
    let said = Fit::new(&needed, &Desk { bell_q: (4.0, 0.4), ..good }).unwrap_err().to_string();
    assert_eq!(said, "Q from 4 to 0.4: accepted are 0.1 to 30, the lower one first");
}

//! The fit of a desk's equaliser: what can be said of it without a second solver. `tests/python/test_rescue.py` compares with scipy's.

use firstjack_equaliser::{Band, Desk, Equaliser, EqualiserError, Fit, Needed};

const RATE_HZ: f64 = 48e3;
const A1_HZ: f64 = 55.0;

/// `10 log10(1 + (fc/f)²)`, the loss of a first-order high-pass in dB (textbook RC).
fn rc_loss_db(corner_hz: f64) -> impl Fn(f64) -> f64 {
    move |hz| 10.0 * (1.0 + (corner_hz / hz).powi(2)).log10()
}

/// What is left of `needed` by these bands, about its mean: root mean square.
fn left_rms_db(needed: &Needed, bands: &[Band]) -> f64 {
    let equaliser = Equaliser::new(bands.to_vec(), needed.rate_hz()).unwrap();
    let left: Vec<f64> = needed.points().iter().map(|(hz, db)| db - equaliser.db(*hz)).collect();
    let mean = |values: &[f64]| values.iter().sum::<f64>() / f64::from(u32::try_from(values.len()).unwrap());
    let level = mean(&left);
    mean(&left.iter().map(|db| (db - level).powi(2)).collect::<Vec<_>>()).sqrt()
}

/// What a desk made, a desk can make.
#[test]
fn settings_are_found_again() {
    let cases = [
        vec![Band::low_shelf(150.0, 8.0)],
        vec![Band::low_shelf(80.0, -6.0), Band::bell(900.0, 9.0, 2.0)],
        vec![Band::low_shelf(200.0, 12.0), Band::bell(70.0, -5.0, 1.5), Band::bell(4e3, 7.0, 0.8)],
        vec![Band::low_shelf(100.0, 4.0), Band::bell(300.0, 10.0, 3.0), Band::bell(500.0, -10.0, 3.0)],
    ];
    for bands in cases {
        let made = Equaliser::new(bands.clone(), RATE_HZ).unwrap();
        let needed = Needed::new(A1_HZ, RATE_HZ, |hz| made.db(hz) - 7.0).unwrap();
        let found = Fit::new(&needed, &Desk::default()).unwrap();
        assert_eq!(found.bands.len(), bands.len(), "no bell that does nothing: {found:?}");
        assert!((found.level_db + 7.0).abs() < 0.01, "{found:?}");
        for (found, made) in found.bands.iter().zip(&bands) {
            assert!((found.hz / made.hz - 1.0).abs() < 1e-3, "{found:?}, not {made:?}");
            assert!((found.gain_db - made.gain_db).abs() < 0.01, "{found:?}, not {made:?}");
            assert!((found.q / made.q - 1.0).abs() < 1e-3, "{found:?}, not {made:?}");
        }
    }
}

/// The best is known: whatever a desk was set to leaves nothing. Settings are drawn by a linear congruential generator (Numerical
/// Recipes' constants, from memory), evenly over the desk's ranges.
#[test]
fn the_best_settings_are_found_from_anywhere() {
    let mut state = 5_u32;
    let mut draw = |low: f64, high: f64| {
        state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
        low + (high - low) * f64::from(state) / 4_294_967_296.0
    };
    let desk = Desk::default();
    let mut left = Vec::new();
    for _ in 0..40 {
        let mut bell = || {
            let (hz, gain_db, q) =
                (draw(30f64.ln(), 16e3_f64.ln()), draw(-15.0, 15.0), draw(0.4_f64.ln(), 4f64.ln()));
            Band::bell(hz.exp(), gain_db, q.exp())
        };
        let bells = [bell(), bell()];
        let shelf = Band::low_shelf(draw(40f64.ln(), 400f64.ln()).exp(), draw(-15.0, 15.0));
        let made = Equaliser::new([&[shelf], bells.as_slice()].concat(), RATE_HZ).unwrap();
        let needed = Needed::new(A1_HZ, RATE_HZ, |hz| made.db(hz)).unwrap();
        left.push(Fit::new(&needed, &desk).unwrap().rms_db[2]);
    }
    assert!(left.iter().all(|rms_db| *rms_db < 0.02), "{left:?}");
}

#[test]
fn nothing_is_done_where_nothing_is_needed() {
    let needed = Needed::new(A1_HZ, RATE_HZ, |_| 5.0).unwrap();
    let found = Fit::new(&needed, &Desk::default()).unwrap();
    assert_eq!(found.bands.len(), 1, "{found:?}");
    assert!(found.bands[0].gain_db.abs() < 1e-3 && (found.level_db - 5.0).abs() < 1e-3, "{found:?}");
}

/// The rms that is told is that of the settings that are told, no setting leaves the desk, more bells are never worse, and a bell
/// that is used is worth it.
#[test]
fn fits_keep_to_the_desk_and_tell_the_truth() {
    let desks = [
        Desk::default(),
        Desk { most_gain_db: 6.0, ..Desk::default() },
        Desk { bell_q: (1.0, 1.0), shelf_hz: (80.0, 80.0), ..Desk::default() },
    ];
    for desk in desks {
        for corner_hz in [4179.0, 732.0, 23.0] {
            for rate_hz in [8e3, 44.1e3] {
                let needed = Needed::new(A1_HZ, rate_hz, rc_loss_db(corner_hz)).unwrap();
                let found = Fit::new(&needed, &desk).unwrap();
                let told = found.left_rms_db();
                assert!((left_rms_db(&needed, &found.bands) - told).abs() < 1e-9, "{found:?}");
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

/// A tenth of a dB, two figures of a frequency, a tenth of a Q: what is read off a desk.
#[test]
fn settings_may_be_rounded_as_people_set_them() {
    let needed = Needed::new(A1_HZ, RATE_HZ, rc_loss_db(4179.0)).unwrap();
    let found = Fit::new(&needed, &Desk::default()).unwrap();
    let two_figures = |hz: f64| {
        let unit = 10f64.powf(hz.log10().floor() - 1.0);
        (hz / unit).round() * unit
    };
    let tenth = |value: f64| (value * 10.0).round() / 10.0;
    let rounded = found.bands.iter().map(|band| Band {
        hz: two_figures(band.hz),
        gain_db: tenth(band.gain_db),
        q: if band.kind == firstjack_equaliser::BandKind::Bell { tenth(band.q) } else { band.q },
        ..*band
    });
    let left = left_rms_db(&needed, &rounded.collect::<Vec<_>>());
    assert!(left < found.left_rms_db() + 0.05, "{left}, not {}", found.left_rms_db());
}

/// Two pickups that cancel lose without end.
#[test]
fn what_is_needed_is_finite_and_spans_the_band() {
    let needed = Needed::new(A1_HZ, RATE_HZ, |hz| if hz < 100.0 { f64::INFINITY } else { f64::NAN }).unwrap();
    assert!(needed.points().iter().all(|(_, db)| db.is_finite()));
    assert!(Fit::new(&needed, &Desk::default()).unwrap().left_rms_db().is_finite());
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
        (Desk { bell_q: (0.4, f64::INFINITY), ..good }, "Q"),
    ] {
        let error = Fit::new(&needed, &desk).unwrap_err();
        assert!(matches!(error, EqualiserError::Limit { limit: named, .. } if named == limit), "{error:?}");
    }
    let said = Fit::new(&needed, &Desk { bell_q: (4.0, 0.4), ..good }).unwrap_err().to_string();
    assert_eq!(said, "Q from 4 to 0.4: accepted are 0.1 to 30, the lower one first");
}

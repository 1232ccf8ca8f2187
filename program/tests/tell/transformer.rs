//! Transformers, blocking capacitors: words and figures.

use realfft::num_complex::Complex64;

use super::{A1_HZ, close, close_to, said, sentences, tell, told};
use crate::support::circuit::{
    SecondOrder, capacitor, divider, inductor, loss_db, parallel, said_db, said_hz,
};
use crate::support::{rc_corner_hz, rc_loss_db};

const PICKUP_FARADS: f64 = 1e-9;
const PICKUP: &str = "pickup = { capacitance = '1 nF' }";

/// 12² · 1.5 kΩ.
const NOMINAL_OHMS: f64 = 216e3;
const WINDING_OHMS: f64 = 1500.0;
const PRIMARY_HENRIES: f64 = 47.0;
const BOX: &str = "{ box = 'passive box', transformer = { primary = '47 H', winding = '1k5', ratio = '12', secondary = '1k5' } }";

fn chain(links: &str) -> String {
    format!("chain = [{links}]")
}

/// `C` in series with `R_w` and with `sL ∥ n²R` across which is listened (textbook low-frequency equivalent circuit): the denominator
/// `R + s (L + C R_w R) + s² L C (R + R_w)`.
fn second_order(farads: f64) -> SecondOrder {
    SecondOrder::new(
        NOMINAL_OHMS,
        PRIMARY_HENRIES + farads * WINDING_OHMS * NOMINAL_OHMS,
        PRIMARY_HENRIES * farads * (NOMINAL_OHMS + WINDING_OHMS),
    )
}

fn transformer_loss_db(farads: f64, hz: f64) -> f64 {
    let secondary = parallel(inductor(PRIMARY_HENRIES, hz), NOMINAL_OHMS);
    loss_db(divider(capacitor(farads, hz) + WINDING_OHMS, secondary))
}

/// The slope begins at the natural frequency; the cost is the difference of two voltage dividers.
#[test]
fn where_its_slope_begins_and_what_it_costs() {
    for (pickup, farads) in [(PICKUP, 1e-9), ("pickup = { capacitance = '470 pF' }", 470e-12)] {
        let told = told("guitarron", pickup, &chain(BOX));
        let expected = second_order(farads);
        let loss = transformer_loss_db(farads, A1_HZ);
        let more = loss - rc_loss_db(rc_corner_hz(NOMINAL_OHMS, farads), A1_HZ);
        close(&told["strings"][0]["loss_db"], loss);
        close(&told["second_order_below_hz"], expected.hz);
        let costs = format!("costs low A {} more than a resistor of 216 kΩ would", said_db(more));
        let falls = format!("its transformer falls by 12 dB an octave below {}", said_hz(expected.hz));
        if farads == 1e-9 {
            // A high-pass peaks as far above its natural frequency as a low-pass below it.
            let peak_hz = expected.hz.powi(2) / expected.low_pass_peak_hz();
            close_to(&told["resonance_hz"], peak_hz, 1e-5);
            close_to(&told["resonance_db"], expected.peak_db(), 1e-6);
            let stands = format!("stands out by {} at {}", said_db(expected.peak_db()), said_hz(peak_hz));
            assert_eq!(sentences(&told), [format!("{falls}, {stands} and {costs}")]);
        } else {
            assert_eq!(sentences(&told), [format!("{falls} and {costs}")]);
        }
    }
}

/// `x⁴/((1 - x²)² + x²/Q²)` is half its maximum `Q²/(1 - 1/(4Q²))` (textbook high-pass of second order).
#[test]
fn its_corner_is_where_half_the_power_is() {
    let expected = second_order(PICKUP_FARADS);
    let half = 0.5 * 10f64.powf(expected.peak_db() / 10.0);
    // With y = 1/x²: (y - 1)² + y/Q² = 1/half.
    let middle = 1.0 - 0.5 / expected.q.powi(2);
    let y = middle + (middle * middle - 1.0 + half.recip()).sqrt();
    let told = told("guitarron", PICKUP, &chain(BOX));
    close_to(&told["corner_hz"], expected.hz / y.sqrt(), 1e-6);
}

/// With a load far below `sqrt(L/C)` there are two real poles; the slope is of second order below the lower one.
#[test]
fn two_real_poles() {
    let expected = SecondOrder::new(50e3, 50.0, 50.0 * 50e3 * 1e-9);
    let told = tell(&["--pickup", "1n", "--load", "50 H || 50k", "--strings", "A1"]);
    close(&told["second_order_below_hz"], expected.lower_pole_hz());
    let loss = loss_db(divider(capacitor(1e-9, A1_HZ), parallel(inductor(50.0, A1_HZ), 50e3)));
    let more = loss - rc_loss_db(rc_corner_hz(50e3, 1e-9), A1_HZ);
    close(&told["strings"][0]["loss_db"], loss);
    let sentence = format!(
        "50 H across the pickup falls by 12 dB an octave below {} and costs low A {} more than 50 kΩ alone would",
        said_hz(expected.lower_pole_hz()),
        said_db(more)
    );
    assert_eq!(sentences(&told), [sentence]);
}

/// -74.1, -35.4 and -10.15 dB of 1 nF into 50 H ∥ 50 kΩ at 10, 100 and 1000 Hz: ngspice 39; the
/// divider gives 10.160 for the last. Each A4 makes a pitch of its frequency.
#[test]
fn losses_of_fifty_henries() {
    for (pitch, a4, hz, db, within) in [
        ("A-1", "320", 10.0, 74.1, 0.05),
        ("A2", "400", 100.0, 35.4, 0.05),
        ("A5", "500", 1000.0, 10.15, 0.011),
    ] {
        let told = tell(&["--pickup", "1n", "--load", "50 H || 50k", "--strings", pitch, "--a4", a4]);
        close(&told["strings"][0]["hz"], hz);
        let loss = told["strings"][0]["loss_db"].as_f64().unwrap();
        assert!((loss - db).abs() <= within, "{hz} Hz: {loss}");
    }
}

/// A light load on the secondary lets it resonate, here at the string: less is lost than into the resistor.
#[test]
fn a_resonance_that_lifts_the_string() {
    // 10² · 47 kΩ.
    let (ohms, henries, hz) = (4.7e6, 470.0, 440.0 * (-14.0_f64 / 12.0).exp2());
    let links =
        "{ box = 'passive box', transformer = { primary = '470 H', ratio = '10', secondary = '47k' } }";
    let told = told("mandolin", PICKUP, &chain(links));
    let loss = loss_db(divider(capacitor(1e-9, hz), parallel(inductor(henries, hz), ohms)));
    let less = rc_loss_db(rc_corner_hz(ohms, 1e-9), hz) - loss;
    assert!(less > 3.0, "{less}: it lifts nothing");
    let costs = format!("costs low G {} less than a resistor of 4.7 MΩ would", said_db(less));
    assert!(sentences(&told)[0].ends_with(&costs), "{told}");
    assert!(told["verdict"].as_str().unwrap().starts_with("low G gains "), "{told}");
}

/// In parallel with the amplifier that is listened to: its primary loads all the same.
#[test]
fn as_a_load_beside_the_amplifier() {
    let beside = BOX.replace("{ box", "{ thru = 'before', box");
    let told = told("guitarron", PICKUP, &chain(&format!("{beside}, {{ box = 'amplifier', input = '1M' }}")));
    let load = |passive: Complex64| parallel(1e6, passive);
    let primary = parallel(inductor(PRIMARY_HENRIES, A1_HZ), NOMINAL_OHMS) + WINDING_OHMS;
    let source = capacitor(PICKUP_FARADS, A1_HZ);
    let loss = loss_db(divider(source, load(primary)));
    let more = loss - loss_db(divider(source, load(Complex64::from(NOMINAL_OHMS))));
    close(&told["strings"][0]["loss_db"], loss);
    let costs = format!("costs low A {} more than a resistor of 216 kΩ would", said_db(more));
    let sentence = sentences(&told)[0];
    assert!(sentence.starts_with("the passive box's transformer falls by 12 dB an octave below "), "{told}");
    assert!(sentence.ends_with(&costs), "{told}");
    // In the branch of a splitter it is one as well.
    let splitter =
        format!("{{ splitter = 'split', branch = [{BOX}] }}, {{ box = 'amplifier', input = '1M' }}");
    let split = super::told("guitarron", PICKUP, &chain(&splitter));
    assert_eq!(sentences(&split), sentences(&told));
}

/// Two capacitances in series, `C1 C2/(C1 + C2)`, against the pickup's alone: what the blocking capacitor costs.
#[test]
fn what_a_blocking_capacitor_costs() {
    let pickup = "pickup = { capacitance = '680 pF' }";
    let amplifier =
        |blocking| chain(&format!("{{ box = 'amplifier', input = '220k', blocking = '{blocking}' }}"));
    let series = |blocking: f64| 680e-12 * blocking / (680e-12 + blocking);
    let loss = |farads: f64| rc_loss_db(rc_corner_hz(220e3, farads), A1_HZ);
    for (blocking, farads, said) in [("22n", 22e-9, "22 nF"), ("1n", 1e-9, "1 nF")] {
        let told = told("guitarron", pickup, &amplifier(blocking));
        close(&told["strings"][0]["loss_db"], loss(series(farads)));
        close(&told["corner_hz"], rc_corner_hz(220e3, series(farads)));
        let more = loss(series(farads)) - loss(680e-12);
        let sentence = format!("its blocking capacitor of {said} costs low A {}", said_db(more));
        assert_eq!(sentences(&told), [sentence]);
    }
    // A hundredth of a decibel is not worth a word.
    assert!(loss(series(470e-9)) - loss(680e-12) < 0.1);
    assert!(sentences(&told("guitarron", pickup, &amplifier("470n"))).is_empty());
}

/// In series with a primary it resonates, and lifts a string that lies there; one further down it costs the more.
#[test]
fn a_blocking_capacitor_that_lifts() {
    for (instrument, low, semitones, lifts) in
        [("cello", "low C", -33.0_f64, false), ("mandolin", "low G", -14.0, true)]
    {
        let blocked = BOX.replace("{ box", "{ blocking = '100n', box");
        let told = told(instrument, "pickup = { capacitance = '20 nF' }", &chain(&blocked));
        // C2 and G3 (ISO 16).
        let hz = 440.0 * (semitones / 12.0).exp2();
        let secondary = parallel(inductor(PRIMARY_HENRIES, hz), NOMINAL_OHMS);
        let loss = |farads: f64| loss_db(divider(capacitor(farads, hz) + WINDING_OHMS, secondary));
        let more = loss(20e-9 * 100e-9 / 120e-9) - loss(20e-9);
        assert_eq!(more < -1.0, lifts, "{more}");
        let does = if lifts { format!("lifts {low} by") } else { format!("costs {low}") };
        let sentence = format!("its blocking capacitor of 100 nF {does} {}", said_db(more.abs()));
        assert!(sentences(&told).contains(&sentence.as_str()), "{sentence} in {told}");
    }
}

/// The sentences come right below the verdict and its figures.
#[test]
fn where_the_sentences_stand() {
    let text = said("guitarron", PICKUP, &chain(BOX));
    let lines: Vec<&str> = text.lines().collect();
    let verdict = format!("low A loses {} through the amplifier", said_db(transformer_loss_db(1e-9, A1_HZ)));
    assert_eq!(lines[0], verdict);
    assert!(lines[1].starts_with("corner 627 Hz, load 216 kΩ"), "{text}");
    assert!(lines[2].starts_with("its transformer falls by 12 dB an octave below 732 Hz"), "{text}");
    assert_eq!(lines[3], "");
}

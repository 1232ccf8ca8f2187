//! Controls on an instrument with a capacitive pickup.

use super::{A1_HZ, close, close_to, sentences, told};
use crate::support::circuit::{border, capacitor, divider, loss_db, parallel, said_db, said_hz};

const PICKUP: &str = "pickup = { capacitance = '680 pF', volume = { resistance = '1M', position = '50 %' } }";
const SETUP: &str = "chain = [{ cable = '6 m' }, { box = 'amplifier', input = '10M' }]";

/// Half a linear pot of 1 MΩ in series, half to ground, with 600 pF of cable and 10 MΩ behind it.
fn response(hz: f64) -> realfft::num_complex::Complex64 {
    let behind = parallel(parallel(capacitor(600e-12, hz), 10e6), 500e3);
    divider(capacitor(680e-12, hz), 500e3 + behind) * divider(500e3, behind)
}

#[test]
fn a_volume_turned_down_takes_the_top_too() {
    let told = told("guitarron", PICKUP, SETUP);
    close(&told["strings"][0]["loss_db"], loss_db(response(A1_HZ)));
    // The top of the hump, on a grid; then 3 dB down on both sides of it.
    let grid = (0..60_000).map(|i| 10f64.powf(1.0 + f64::from(i) / 15_000.0));
    let power = |hz: f64| response(hz).norm_sqr();
    let (top_hz, top) = grid.map(|hz| (hz, power(hz))).fold((0.0, 0.0), |a, b| if b.1 > a.1 { b } else { a });
    let upper = border(top_hz, 1e6, |hz| power(hz) > 0.5 * top);
    let lower = border(top_hz, 1.0, |hz| power(hz) > 0.5 * top);
    close_to(&told["top_corner_hz"], upper, 1e-6);
    close_to(&told["corner_hz"], lower, 1e-6);
    close_to(&told["level_loss_db"], -10.0 * top.log10(), 1e-6);
    // Nothing plugged in: the pot alone, half of it below the wiper.
    let pot = loss_db(divider(capacitor(680e-12, A1_HZ), 1e6) * 0.5);
    assert_eq!(
        sentences(&told),
        [
            format!("{} of it goes to the controls on the instrument, plugged in or not", said_db(pot)),
            format!("with the volume at 50 % the top falls too, by 3 dB at {}", said_hz(upper)),
        ]
    );
}

/// Turned up fully, and without a cable, there is nothing to say of the top.
#[test]
fn a_volume_turned_up_does_not() {
    let full = told("guitarron", &PICKUP.replace("50 %", "100 %"), SETUP);
    assert_eq!(sentences(&full).len(), 1, "{full}");
    assert_eq!(full["top_corner_hz"], serde_json::Value::Null);
    let short = told("guitarron", PICKUP, "chain = [{ box = 'amplifier', input = '10M' }]");
    assert_eq!(sentences(&short).len(), 1, "{short}");
}

/// A setup's own position counts.
#[test]
fn positions_of_a_setup() {
    let set = told("guitarron", &PICKUP.replace("50 %", "100 %"), &format!("volume = '50 %'\n{SETUP}"));
    assert_eq!(sentences(&set), sentences(&told("guitarron", PICKUP, SETUP)));
}

/// A splitter's resistor with the cable behind it does the same, whatever the volume.
#[test]
fn a_splitter_takes_the_top_too() {
    let setup = "chain = [{ splitter = 'splitter', resistor = '220k', branch = [{ box = 'tuner', input = '10M' }] }, { cable = '6 m' }, \
                 { box = 'amplifier', input = '10M' }]";
    let response = |hz: f64| {
        let behind = parallel(capacitor(600e-12, hz), 10e6);
        let load = parallel(220e3 + 10e6, 220e3 + behind);
        divider(capacitor(20e-9, hz), load) * divider(220e3, behind)
    };
    let grid = (0..60_000).map(|i| 10f64.powf(1.0 + f64::from(i) / 15_000.0));
    let power = |hz: f64| response(hz).norm_sqr();
    let (top_hz, top) = grid.map(|hz| (hz, power(hz))).fold((0.0, 0.0), |a, b| if b.1 > a.1 { b } else { a });
    let upper = border(top_hz, 1e6, |hz| power(hz) > 0.5 * top);
    for controls in ["", ", volume = { resistance = '10M' }"] {
        let told = told("guitarron", &format!("pickup = {{ capacitance = '20 nF'{controls} }}"), setup);
        let said = sentences(&told);
        assert!(
            said.iter().any(|said| *said == format!("the top falls too, by 3 dB at {}", said_hz(upper))),
            "{told}"
        );
    }
}

//! Changes of higher order: transformers, coils, pots. Expected levels are voltage dividers of textbooks.

use realfft::num_complex::Complex64;

use crate::support::circuit::{capacitor, coil, divider, inductor, loss_db, parallel, said_db, said_hz};
use crate::support::{Sandbox, float_take, level_db, sine};

/// The stated bound of chains that resonate with a Q of up to 6.
const BOUND_DB: f64 = 0.025;

const RATE_HZ: u32 = 48_000;

/// By how many dB a tone is changed from the take to the rendering of a file's only setup.
fn change_db(file: &str, hz: f64) -> f64 {
    let sandbox = Sandbox::new();
    let tone = sine(RATE_HZ, hz, 0.01, 3 * RATE_HZ);
    sandbox.write("take.wav", float_take(RATE_HZ, &tone).bytes());
    sandbox.write("setups.toml", file);
    sandbox.done(&["render", "take.wav", "--setups", "setups.toml", "-o", "set", "--no-match"]);
    let out = sandbox.wav("set/take-1-there.wav").samples();
    let level = |signal: &[f64]| level_db(&signal[2 * 48_000..], RATE_HZ, hz);
    level(&out) - level(&tone)
}

fn file(pickup: &str, recorded: &str, setup: &str) -> String {
    format!(
        "version = 2\nname = 'Test'\n{pickup}\nrecorded = {{ {recorded} }}\n[[setup]]\nname = 'there'\n{setup}\n"
    )
}

#[track_caller]
fn assert_changes(file: &str, ratio: impl Fn(f64) -> Complex64) {
    for hz in [40.0, 110.0, 700.0, 3000.0, 12_000.0] {
        let (change, expected) = (change_db(file, hz), -loss_db(ratio(hz)));
        assert!((change - expected).abs() <= BOUND_DB, "{hz} Hz: {change} not {expected}");
    }
}

#[test]
fn a_transformer() {
    let setup = "chain = [{ box = 'passive box', transformer = { primary = '47 H', winding = '1k5', ratio = '12', secondary = \
                 '1k5' } }]";
    assert_changes(&file("pickup = { capacitance = '1 nF' }", "load = '22M'", setup), |hz| {
        let secondary = parallel(inductor(47.0, hz), 216e3);
        divider(capacitor(1e-9, hz) + 1500.0, secondary) / divider(capacitor(1e-9, hz), 22e6)
    });
}

#[test]
fn a_blocking_capacitor() {
    let setup = "chain = [{ box = 'amplifier', input = '220k', blocking = '22n', capacitance = '100p' }]";
    assert_changes(&file("pickup = { capacitance = '1 nF' }", "load = 'none'", setup), |hz| {
        let behind = capacitor(22e-9, hz) + 220e3;
        let load = parallel(capacitor(100e-12, hz), behind);
        divider(capacitor(1e-9, hz), load) * 220e3 / behind
    });
}

const COIL: &str = "pickup = { inductance = '2.2 H', resistance = '5k6', winding = '100p' }";

fn coil_into(load: Complex64, hz: f64) -> Complex64 {
    divider(5.6e3 + inductor(2.2, hz), parallel(load, capacitor(100e-12, hz)))
}

#[test]
fn a_coil_on_a_cable() {
    let setup = "chain = [{ cable = '6 m' }, { box = 'amplifier', input = '220k' }]";
    assert_changes(&file(COIL, "load = '100k'", setup), |hz| {
        coil_into(parallel(220e3, capacitor(600e-12, hz)), hz) / coil_into(100e3.into(), hz)
    });
}

/// Recorded with the volume at half, heard with it up: positions count on both sides.
#[test]
fn a_volume_turned_up() {
    let pickup = "pickup = { capacitance = '1 nF', volume = { resistance = '1M' } }";
    let setup = "volume = '80 %'\nchain = [{ cable = '3 m' }, { box = 'amplifier', input = '1M' }]";
    let response = |part: f64, farads: f64, load: f64, hz: f64| {
        let below = parallel(1e6 * part, load);
        let behind = if farads > 0.0 { parallel(below, capacitor(farads, hz)) } else { below };
        let above = 1e6 * (1.0 - part);
        divider(capacitor(1e-9, hz), above + behind) * divider(above, behind)
    };
    assert_changes(&file(pickup, "load = '1M', volume = '50 %'", setup), |hz| {
        response(0.8, 300e-12, 1e6, hz) / response(0.5, 0.0, 1e6, hz)
    });
}

/// Undoing a coil's load gives its top back and says so, and what rises is hiss.
#[test]
fn undoing_a_coil() {
    let sandbox = Sandbox::new();
    sandbox.write("take.wav", float_take(RATE_HZ, &sine(RATE_HZ, 110.0, 0.05, RATE_HZ)).bytes());
    let undo = ["render", "take.wav", "--coil", "2.2 H", "--coil-resistance", "5k6", "--winding", "100p"];
    let bare = ["--volume", "none", "--tone", "none"];
    let undo = [undo.as_slice(), &bare].concat();
    let rest = ["--through", "22k || 6 m", "--load", "none", "--undo-ceiling", "60", "-o", "out.wav"];
    let report = sandbox.json(&[undo.as_slice(), &rest].concat());
    let peak_hz = coil(5.6e3, 2.2, 100e-12, f64::INFINITY).low_pass_peak_hz();
    let lost = loss_db(coil_into(parallel(22e3, capacitor(600e-12, peak_hz)), peak_hz))
        - loss_db(divider(5.6e3 + inductor(2.2, peak_hz), capacitor(100e-12, peak_hz)));
    let verdict = report["renderings"][0]["verdict"].as_str().unwrap();
    let end = format!(" of {} at {}", said_db(lost), said_hz(peak_hz));
    assert!(verdict.starts_with("the top gets back ") && verdict.ends_with(&end), "{verdict} without {end}");
    let text = sandbox.done(&[undo.as_slice(), &rest, &["--overwrite"]].concat());
    for said in [
        "  undo ceiling 60 dB; still lost at ",
        "hiss from 2 to 20 kHz rises by ",
        "boost at the top can hurt hearing",
    ] {
        assert!(text.contains(said), "no '{said}' in {text}");
    }
}

/// From a dull input to an open one, but for the cable: a large boost at the top that the ceiling does not bound.
#[test]
fn a_boost_at_the_top_is_named() {
    let sandbox = Sandbox::new();
    sandbox.write("take.wav", float_take(RATE_HZ, &sine(RATE_HZ, 110.0, 0.05, RATE_HZ)).bytes());
    let said = sandbox.done(&[
        "render",
        "take.wav",
        "--coil",
        "4.7 H",
        "--coil-resistance",
        "8k2",
        "--winding",
        "120p",
        "--volume",
        "none",
        "--through",
        "10k || 6 m",
        "--load",
        "10M",
        "-o",
        "out.wav",
    ]);
    let words = [
        "undo ceiling 24 dB; still lost at 6.7 kHz",
        "hiss from 2 to 20 kHz rises by",
        "boost at the top can hurt",
    ];
    assert!(words.iter().all(|words| said.contains(words)), "{said}");
}

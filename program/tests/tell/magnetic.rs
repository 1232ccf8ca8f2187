//! Magnetic pickups: what is lost at the top, and where the resonance goes.

use super::{close, close_to, e2_hz, said, sentences, tell, told};
use crate::support::Sandbox;
use crate::support::circuit::{
    SecondOrder, capacitor, coil, divider, inductor, loss_db, parallel, said_db, said_hz,
};

const OHMS: f64 = 8.2e3;
const HENRIES: f64 = 4.7;
const WINDING_FARADS: f64 = 120e-12;
/// Without the controls that are usual.
const BARE: [&str; 4] = ["--volume", "none", "--tone", "none"];
const COIL: [&str; 10] =
    ["--coil", "4.7 H", "--coil-resistance", "8k2", "--winding", "120p", BARE[0], BARE[1], BARE[2], BARE[3]];
const PICKUP: &str = "pickup = { inductance = '4.7 H', resistance = '8k2', winding = '120p' }";

/// 6 m of 100 pF.
const CABLE_FARADS: f64 = 600e-12;

fn unloaded() -> SecondOrder {
    coil(OHMS, HENRIES, WINDING_FARADS, f64::INFINITY)
}

fn place(response: SecondOrder) -> String {
    format!("{}, {} high", said_hz(response.low_pass_peak_hz()), said_db(response.peak_db()))
}

/// A low-pass of second order (textbook), before and after; at the string a divider of two resistances and two reactances.
#[test]
fn the_top_falls_and_the_resonance_moves() {
    let loaded = coil(OHMS, HENRIES, WINDING_FARADS + CABLE_FARADS, 1e6);
    let told = tell(&[COIL.as_slice(), &["--load", "1M || 6 m", "--instrument", "guitar"]].concat());
    let hz = e2_hz();
    let load = parallel(1e6, capacitor(WINDING_FARADS + CABLE_FARADS, hz));
    let loss = loss_db(divider(OHMS + inductor(HENRIES, hz), load));
    close(&told["strings"][0]["loss_db"], loss);
    let verdict = format!(
        "low E loses {} into 1 MΩ || 6 m; the top falls by 3 dB at {}",
        said_db(loss),
        said_hz(loaded.low_pass_corner_hz())
    );
    assert_eq!(told["verdict"], verdict);
    assert_eq!(
        sentences(&told),
        [format!("resonance moves from {}, to {}", place(unloaded()), place(loaded))]
    );
    close(&told["top_corner_hz"], loaded.low_pass_corner_hz());
    close_to(&told["resonance_hz"], loaded.low_pass_peak_hz(), 1e-6);
    close_to(&told["resonance_db"], loaded.peak_db(), 1e-9);
    close(&told["level_loss_db"], 20.0 * ((1e6 + OHMS) / 1e6_f64).log10());
    assert_eq!(
        (&told["pickup_kind"], &told["pickup_farads"]),
        (&"magnetic".into(), &serde_json::Value::Null)
    );
    close(&told["pickups"][0]["henries"], HENRIES);
    assert_eq!(told["corner_hz"], 0.0);
}

#[test]
fn a_resonance_that_is_damped() {
    let told = tell(&[COIL.as_slice(), &["--load", "10k || 6 m", "--instrument", "guitar"]].concat());
    assert!(coil(OHMS, HENRIES, WINDING_FARADS + CABLE_FARADS, 10e3).q < 0.5);
    assert_eq!(sentences(&told), [format!("resonance at {}, is damped: no peak", place(unloaded()))]);
    assert_eq!(told["resonance_hz"], serde_json::Value::Null);
}

/// A pot of 100 kΩ damps the winding's resonance, but not that of the cable.
#[test]
fn a_resonance_that_comes_with_the_cable() {
    let pickup = PICKUP.replace(" }", ", volume = { resistance = '100k' } }");
    let setup = "chain = [{ cable = '6 m' }, { box = 'amplifier', input = '1M' }]";
    let told = told("guitar", &pickup, setup);
    let loaded = coil(OHMS, HENRIES, WINDING_FARADS + CABLE_FARADS, 100e3 * 1e6 / 1.1e6);
    let without = coil(OHMS, HENRIES, WINDING_FARADS, 100e3);
    assert!(without.q < 0.6);
    let said = sentences(&told);
    assert_eq!(said[1], format!("no peak until it is plugged in, then resonance at {}", place(loaded)));
    // The pot alone: 100 kΩ below, the coil above.
    let hz = e2_hz();
    let pot = parallel(100e3, capacitor(WINDING_FARADS, hz));
    let cost = said_db(loss_db(divider(OHMS + inductor(HENRIES, hz), pot)));
    assert_eq!(said[0], format!("{cost} of it goes to the controls on the instrument, plugged in or not"));
}

#[test]
fn nothing_plugged_in_and_nothing_that_resonates() {
    let told = tell(&[COIL.as_slice(), &["--load", "none"]].concat());
    assert_eq!(sentences(&told), [format!("resonance at {}", place(unloaded()))]);
    let told =
        tell(&[["--coil", "4.7 H", "--coil-resistance", "8k2", "--load", "47k"].as_slice(), &BARE].concat());
    assert_eq!(sentences(&told), ["no peak"]);
    // R + R_L over 2π L, a low-pass of first order (textbook).
    close(&told["top_corner_hz"], (OHMS + 47e3) / (std::f64::consts::TAU * HENRIES));
}

/// What tone and volume do, by a divider worked out element by element on a grid of frequencies.
#[test]
fn volume_at_half_and_tone() {
    let controls = ", tone = { resistance = '220k', capacitance = '22n' }, volume = { resistance = '220k', taper = \
                    'logarithmic' } }";
    let pickup = PICKUP.replace(" }", controls);
    let chain = "chain = [{ cable = '6 m' }, { box = 'amplifier', input = '1M' }]";
    // A tenth of a logarithmic pot is below its wiper at half of the way (common practice).
    for (volume, below) in [("100 %", 220e3), ("50 %", 22e3)] {
        let response = |hz: f64| {
            let behind = parallel(parallel(1e6, capacitor(CABLE_FARADS, hz)), below);
            let pot = 220e3 - below + behind;
            let tone = 220e3 + capacitor(22e-9, hz);
            let across = parallel(parallel(pot, tone), capacitor(WINDING_FARADS, hz));
            divider(OHMS + inductor(HENRIES, hz), across) * divider(220e3 - below, behind)
        };
        let at_dc = {
            let behind = 1e6 * below / (1e6 + below);
            let pot = 220e3 - below + behind;
            pot / (OHMS + pot) * behind / pot
        };
        let told = told("guitar", &pickup, &format!("volume = '{volume}'\n{chain}"));
        close(&told["strings"][0]["loss_db"], loss_db(response(e2_hz())));
        close(&told["level_loss_db"], -20.0 * at_dc.log10());
        let grid = || (0..20_000).map(|i| 100.0 * 10f64.powf(f64::from(i) / 20_000.0 * 2.0));
        let corner = grid().find(|hz| response(*hz).norm() < at_dc * 0.5_f64.sqrt()).unwrap();
        close_to(&told["top_corner_hz"], corner, 3e-4);
        let highest = grid().map(|hz| response(hz).norm()).fold(0.0, f64::max);
        let peak_db = 20.0 * (highest / at_dc).log10();
        if peak_db > 0.05 {
            close_to(&told["resonance_db"], peak_db, 1e-5);
        } else {
            assert_eq!(told["resonance_db"], serde_json::Value::Null);
        }
    }
}

/// Into a transformer a coil has a slope at the bottom too, of first order: without its winding's capacitance the denominator is
/// `(R + R_w + s L)(n²R + s L_m) + s L_m n²R` (textbook).
#[test]
fn a_coil_into_a_transformer() {
    let pickup = "pickup = { inductance = '4.7 H', resistance = '8k2' }";
    let setup = "chain = [{ box = 'passive box', transformer = { primary = '47 H', winding = '1k5', ratio = '12', secondary = \
                 '1k5' } }]";
    let told = told("guitar", pickup, setup);
    let (series, nominal, primary) = (OHMS + 1500.0, 216e3, 47.0);
    let poles = SecondOrder::new(
        series * nominal,
        series * primary + HENRIES * nominal + primary * nominal,
        HENRIES * primary,
    );
    let hz = e2_hz();
    let source = OHMS + inductor(HENRIES, hz);
    let loss = loss_db(divider(source + 1500.0, parallel(inductor(primary, hz), nominal)));
    let more = loss - loss_db(divider(source, nominal));
    close(&told["strings"][0]["loss_db"], loss);
    let sentence = format!(
        "its transformer falls by 6 dB an octave below {} and costs low E {} more than a resistor of 216 kΩ would",
        said_hz(poles.lower_pole_hz()),
        said_db(more)
    );
    assert_eq!(sentences(&told), [sentence.as_str(), "no peak"]);
    assert_eq!(told["second_order_below_hz"], serde_json::Value::Null);
}

/// Its loss is at the top: nothing speaks of lows, and the caution is about what varies.
#[test]
fn nothing_speaks_of_lows() {
    let setup = "chain = [{ cable = '6 m' }, { box = 'amplifier', input = '10k' }]";
    let text = said("guitar", PICKUP, setup);
    for word in ["lows", "low end", "corner", "capacitance varies"] {
        assert!(!text.contains(word), "'{word}' in {text}");
    }
    assert!(text.contains("a coil's inductance varies from piece to piece"), "{text}");
    let sandbox = Sandbox::new();
    let list = sandbox.done(&["list"]);
    for option in ["--coil ", "--coil-resistance", "--winding", "--coil-loss"] {
        assert!(list.contains(option), "{list}");
    }
}

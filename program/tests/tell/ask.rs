//! The input to ask for.

use serde_json::Value;

use super::{A1_HZ, close, close_to, e2_hz, said, tell, told};
use crate::support::Sandbox;
use crate::support::circuit::{border, capacitor, divider, inductor, loss_db, parallel};

/// `G = sqrt((10^(1/10) · (ωC_t)²) - (ωC_t)²)` with all capacitance, less the damp cable's leakage (textbook RC, solved for `R`).
#[test]
fn beside_a_damp_cable() {
    let setup = "chain = [{ cable = '6 m', leakage = '100M' }, { box = 'amplifier', input = '470k' }]";
    let told = told("guitarron", "pickup = { capacitance = '680 pF' }", setup);
    let w = std::f64::consts::TAU * A1_HZ * (680e-12 + 600e-12);
    let siemens = w * (10f64.powf(0.1) - 1.0).sqrt();
    close(&told["ask_for_ohms"], (siemens - 1e-8).recip());
    assert_eq!(told["ask_for_to_ohms"], serde_json::Value::Null);
}

/// 100 kΩ across 680 pF cost 32 dB at A1 (textbook RC), whatever is plugged in behind them.
#[test]
fn behind_a_low_input_a_buffer_is_asked_for() {
    let pickup = "pickup = { capacitance = '680 pF' }";
    let setup =
        "chain = [{ box = 'tuner', input = '100k', thru = 'before' }, { box = 'amplifier', input = '470k' }]";
    let told = told("guitarron", pickup, setup);
    assert_eq!(
        (&told["ask_for_ohms"], &told["ask_for_buffer_before"]),
        (&Value::Null, &Value::from("tuner"))
    );
    let text = said("guitarron", pickup, setup);
    assert!(
        text.contains("ask for: no input behind the tuner is high enough: put a buffer before it\n"),
        "{text}"
    );
    assert!(told["worst_error_db"].as_f64().unwrap() < 0.004, "the bound of the filter");
    assert!(text.contains("rendered at 48 kHz within 0.00"), "{text}");
}

/// 680 pF with a leak of 1 MΩ across them lose 12.8 dB at A1 by that alone (textbook RC): it is named, be it the pickup's or a cable's.
/// 33 MΩ alone cost 0.1 dB and leave room for an input.
#[test]
fn where_a_leak_costs_more_by_itself_it_is_named() {
    let leaking = |ohms: &str| format!("pickup = {{ capacitance = '680 pF', leakage = '{ohms}' }}");
    let (dry, combo) = ("pickup = { capacitance = '680 pF' }", "{ box = 'combo', input = '470k' }");
    let alone = format!("chain = [{combo}]");
    let behind = format!("chain = [{{ box = 'tuner', input = '1M', thru = 'before' }}, {combo}]");
    let damp = format!("chain = [{{ cable = '3 m', leakage = '1M' }}, {combo}]");
    let pickup = "ask for: no input is high enough while the pickup leaks through 1 MΩ: have it mended\n";
    let cable = "ask for: no input is high enough while the cable leaks through 1 MΩ: take another\n";
    for (pickups, setup, wanted) in [
        (&*leaking("1M"), &alone, pickup),
        (&leaking("1M"), &behind, pickup),
        (dry, &damp, cable),
        (&leaking("2M2"), &damp, cable),
        (&leaking("33M"), &alone, "ask for: an input of at least "),
    ] {
        let text = said("guitarron", pickups, setup);
        assert!(text.contains(wanted), "no '{wanted}' in {text}");
    }
}

/// Where a transformer or a blocking capacitor stands now, a plain input is asked for.
#[test]
fn in_place_of_a_transformer() {
    let setup = "chain = [{ box = 'passive box', blocking = '22n', transformer = { primary = '47 H', ratio = '12', secondary = \
                 '1k5', capacitance = '330p' } }]";
    let told = told("guitarron", "pickup = { capacitance = '680 pF' }", setup);
    close(
        &told["ask_for_ohms"],
        (std::f64::consts::TAU * A1_HZ * 680e-12 * (10f64.powf(0.1) - 1.0).sqrt()).recip(),
    );
}

/// With a pot of 1 MΩ across it no input saves the string; one is asked for that makes it, together with the tuner, no worse than an
/// open one alone by more than 1 dB. Behind a lower tuner none does.
#[test]
fn with_a_pot_on_the_instrument() {
    let pickup = "pickup = { capacitance = '680 pF', volume = { resistance = '1M' } }";
    let setup =
        "chain = [{ box = 'tuner', input = '22M', thru = 'before' }, { box = 'amplifier', input = '470k' }]";
    let asked = told("guitarron", pickup, setup);
    let loss = |beside: f64, ohms: f64| {
        let load = parallel(parallel(1e6, beside), ohms);
        loss_db(divider(capacitor(680e-12, A1_HZ), load))
    };
    let expected = border(1e12, 1.0, |ohms| loss(22e6, ohms) <= loss(1e15, 1e15) + 1.0);
    close_to(&asked["ask_for_ohms"], expected, 1e-4);
    let behind = told("guitarron", pickup, &setup.replace("22M", "1M"));
    assert_eq!(
        (&behind["ask_for_ohms"], &behind["ask_for_buffer_before"]),
        (&Value::Null, &Value::from("tuner"))
    );
    let text = said("guitarron", pickup, setup);
    assert!(text.contains("(low string within 1 dB of what an open input leaves)"), "{text}");
}

/// As bright as into an amplifier of 1 MΩ, within 1 dB at the resonance of that: a low-pass of second order (textbook). An amplifier of 1 MΩ is right for
/// a guitar with its usual controls on 10 m of cable, and no input is too high.
#[test]
fn a_guitar_asks_for_what_its_player_has() {
    let (series, henries, farads) = (8.2e3, 4.7, 1120e-12);
    // Both pots across the coil where it resonates; the tone capacitor is short there.
    let across = |hz: f64, load: f64| {
        parallel(parallel(load, 500e3), parallel(capacitor(farads, hz), 500e3 + capacitor(22e-9, hz)))
    };
    let level = |hz: f64, load: f64| loss_db(divider(series + inductor(henries, hz), across(hz, load)));
    let grid = (0..40_000).map(|i| 500.0 * 10f64.powf(f64::from(i) / 20_000.0));
    let peak_hz = grid.min_by(|a, b| level(*a, 1e6).total_cmp(&level(*b, 1e6))).unwrap();
    let from = border(1e12, 1.0, |load| level(peak_hz, load) <= level(peak_hz, 1e6) + 1.0);
    let coil = ["--coil", "4.7 H", "--coil-resistance", "8k2", "--winding", "120p", "--load", "1M || 10 m"];
    let asked = |controls: &[&str]| tell(&[&coil, controls].concat());
    let told = asked(&[]);
    close_to(&told["ask_for_ohms"], from, 1e-4);
    assert!((400e3..=1e6).contains(&from), "{from}");
    assert_eq!(told["ask_for_to_ohms"], serde_json::Value::Null);
    let remark = told["remarks"][0].as_str().unwrap();
    assert!(remark.starts_with("Assumed: volume and tone of 500 kΩ, tone capacitor 22 nF"), "{remark}");
    let said = asked(&["--volume", "500k", "--tone", "500k 22n"]);
    assert_eq!((&said["strings"], &said["remarks"]), (&told["strings"], &serde_json::json!([])));
    assert_eq!(said["ask_for_ohms"], told["ask_for_ohms"]);
    let bare = asked(&["--volume", "none", "--tone", "none"]);
    assert_ne!(bare["strings"], told["strings"]);
    let text = Sandbox::new().done(&[&["tell"], coil.as_slice()].concat());
    let line = format!(
        "ask for: an input of at least {:.0} kΩ (resonance at 2.1 kHz within 1 dB of what an amplifier's usual 1 MΩ leaves)",
        (from / 1e4).ceil() * 10.0
    );
    assert!(text.contains(&line), "{text}");
}

/// Turned down, a linear pot of 500 kΩ at 7 has 150 kΩ above its wiper and 350 kΩ below; a logarithmic one has 26 % below (common practice).
#[test]
fn controls_are_typed_with_their_positions() {
    let coil = ["--coil", "4.7 H", "--coil-resistance", "8k2", "--load", "1M", "--instrument", "guitar"];
    let told = |volume: &str| tell(&[&coil, ["--volume", volume].as_slice()].concat());
    let expected = |part: f64| {
        let (hz, below) = (e2_hz(), 500e3 * part);
        let behind = 1e6 * below / (1e6 + below);
        loss_db(divider(8.2e3 + inductor(4.7, hz) + (500e3 - below), behind))
    };
    let log = (81f64.powf(0.7) - 1.0) / 80.0;
    for (volume, below) in [("500k at 7", 0.7), ("500k at 70 %", 0.7), ("500k", 1.0), ("500k log at 7", log)]
    {
        let told = told(volume);
        let loss = told["strings"].as_array().unwrap().iter().find(|string| string["name"] == "E2").unwrap();
        close_to(&loss["loss_db"], expected(below), 1e-6);
    }
}

/// Where nothing resonates: the top, here 20 kHz of a coil without capacitance, within 1 dB of what 1 MΩ leaves.
#[test]
fn a_coil_that_does_not_resonate() {
    let bare = ["--volume", "none", "--tone", "none"];
    let told =
        tell(&[["--coil", "2 H", "--coil-resistance", "5k", "--load", "1M"].as_slice(), &bare].concat());
    let loss = |load: f64| loss_db(divider(5e3 + inductor(2.0, 20e3), load));
    close_to(&told["ask_for_ohms"], border(1e12, 1.0, |load| loss(load) <= loss(1e6) + 1.0), 1e-6);
}

/// What both pickups of a blend need.
#[test]
fn of_two_pickups_the_larger() {
    let pickups =
        "[[blend]]\ncapacitance = '1 nF'\nmixing = '10M'\n[[blend]]\ncapacitance = '1 nF'\nmixing = '10M'";
    let told = told("guitarron", pickups, "chain = [{ box = 'amplifier', input = '1M' }]");
    let source = capacitor(1e-9, A1_HZ) + 10e6;
    let loss = |ohms: f64| loss_db(divider(source, parallel(source, ohms)));
    let expected = border(1e12, 1.0, |ohms| loss(ohms) <= loss(1e15) + 1.0);
    close_to(&told["ask_for_ohms"], expected, 1e-4);
}

/// `--help` says by which rule.
#[test]
fn the_rule_is_in_the_help() {
    let help = crate::support::Sandbox::new().done(&["tell", "--help"]);
    for said in ["what an amplifier's usual 1 MΩ leaves", "stand out by more than 6 dB"] {
        assert!(help.contains(said), "{help}");
    }
}

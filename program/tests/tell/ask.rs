//! The input to ask for.

use serde_json::Value;

use super::{A1_HZ, close, close_to, said, tell, told};
use crate::support::circuit::{border, capacitor, coil, divider, inductor, loss_db, parallel};

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

/// From where the resonance is 1 dB below the rest to where it stands out by 6 dB: a low-pass of second order (textbook).
#[test]
fn a_range_for_a_coil() {
    let (ohms, henries, farads) = (8.2e3, 4.7, 720e-12);
    let told =
        tell(&["--coil", "4.7 H", "--coil-resistance", "8k2", "--winding", "120p", "--load", "1M || 6 m"]);
    let open_hz = coil(ohms, henries, farads, 1e12).low_pass_peak_hz();
    let below_the_rest = |load: f64| {
        let at = divider(ohms + inductor(henries, open_hz), parallel(load, capacitor(farads, open_hz)));
        loss_db(at) - 20.0 * ((ohms + load) / load).log10()
    };
    let from = border(1e12, 1.0, |load| below_the_rest(load) <= 1.0);
    let to = border(from, 1e12, |load| {
        let response = coil(ohms, henries, farads, load);
        response.q < 0.8 || response.peak_db() <= 6.0
    });
    close_to(&told["ask_for_ohms"], from, 1e-6);
    close_to(&told["ask_for_to_ohms"], to, 1e-6);
    let pickup = "pickup = { inductance = '4.7 H', resistance = '8k2', winding = '120p' }";
    let text = said("guitar", pickup, "chain = [{ cable = '6 m' }, { box = 'amplifier', input = '1M' }]");
    // Inwards to two figures: 70.3 kΩ upwards, 188 kΩ downwards.
    assert_eq!((format!("{:.0}", from / 100.0), format!("{:.0}", to / 1000.0)), ("703".into(), "188".into()));
    let line = "ask for: an input of 71 kΩ to 180 kΩ (2.7 kHz at most 1 dB below the rest, resonance at most 6 dB high)";
    assert!(text.contains(line), "{text}");
}

/// A pot damps the coil so far that no input is too high.
#[test]
fn no_upper_end_where_even_an_open_input_is_calm() {
    let pickup = "pickup = { inductance = '4.7 H', resistance = '8k2', winding = '120p', volume = { resistance = '150k' } }";
    let setup = "chain = [{ cable = '6 m' }, { box = 'amplifier', input = '1M' }]";
    let told = told("guitar", pickup, setup);
    assert!(coil(8.2e3, 4.7, 720e-12, 150e3).peak_db() < 6.0);
    assert_eq!(told["ask_for_to_ohms"], serde_json::Value::Null);
    assert!(said("guitar", pickup, setup).contains("ask for: an input of at least "), "{told}");
}

/// Where nothing resonates: the top, here 20 kHz of a coil without capacitance, within 1 dB of an open input's.
#[test]
fn a_coil_that_does_not_resonate() {
    let told = tell(&["--coil", "2 H", "--coil-resistance", "5k", "--load", "1M"]);
    let loss = |load: f64| loss_db(divider(5e3 + inductor(2.0, 20e3), load));
    close_to(&told["ask_for_ohms"], border(1e12, 1.0, |load| loss(load) <= 1.0), 1e-6);
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
    for said in ["a range. Below it the pickup is dull", "stands out by more than 6 dB"] {
        assert!(help.contains(said), "{help}");
    }
}

//! What it says.

use super::{A1_HZ, assert_says, file, note, text_of};
use crate::support::circuit::{coil, said_db, said_hz};
use crate::support::{rc_corner_hz, rc_loss_db};

const COURTYARD: &str = include_str!("../../../presets/courtyard.toml");

/// Verdict, input to ask for and cable: textbook RC, and a divider of capacitances, `l = C_p (10^(dB/20) - 1)/C'`.
#[test]
fn the_courtyard() {
    let text = text_of(&note(COURTYARD, &[]));
    let loss = said_db(rc_loss_db(rc_corner_hz(10e6, 680e-12), A1_HZ));
    assert_says(&text, "What to give\nPlug into the buffer box first and take its buffered thru.\n");
    assert_says(&text, &format!("Low A loses {loss} through the buffer box.\n"));
    let ohms = (std::f64::consts::TAU * A1_HZ * 680e-12 * (10f64.powf(0.1) - 1.0).sqrt()).recip();
    assert_eq!(format!("{:.2}", ohms / 1e6), "8.36", "to two figures, upwards: 8.4");
    assert_says(&text, "an input of at least 8.4 MΩ (low string within 1 dB)");
    let metres = |db: f64| 680e-12 * (10f64.powf(db / 20.0) - 1.0) / 100e-12;
    assert_eq!((format!("{:.2}", metres(1.0)), format!("{:.1}", metres(3.0))), ("0.83".into(), "2.8".into()));
    assert_says(&text, "at 100 pF a metre: 0.83 m costs 1 dB of level and 2.8 m costs 3 dB");
    for caution in [
        "phantom power can thump",
        "protective earth",
        "local electrical codes",
        "a model with stated inputs",
    ] {
        assert_says(&text, caution);
    }
}

/// In order of what the lowest string loses: textbook RC of the resistances in parallel.
#[test]
fn what_there_is_in_order() {
    let text = text_of(&note(COURTYARD, &[]));
    let (_, offers) = text.split_once("What there is").unwrap();
    let mut from = 0;
    for (ohms, name) in [
        (10e6, "the buffer box: first choice"),
        (1e6, "the tuner"),
        (470e3, "the combo"),
        (1e6 * 470e3 / 1.47e6, "the tuner's unbuffered thru"),
        (56e3, "the passive box"),
    ] {
        let loss = said_db(rc_loss_db(rc_corner_hz(ohms, 680e-12), A1_HZ));
        let line = format!("low A loses {loss} through {name}\n");
        from += offers[from..].find(&line).unwrap_or_else(|| panic!("{line} is not next in {offers}"));
    }
}

/// A coil into a resistance: a low-pass of second order (textbook); a cable adds to its capacitance.
#[test]
fn a_magnetic_pickup_and_its_cable() {
    let setups = "version = 2\nname = 'Coil'\ninstrument = 'guitar'\nrecorded = { load = 'none' }\n\
                  pickup = { inductance = '4.7 H', resistance = '8k2', winding = '120p' }\n\
                  [[setup]]\nname = 'amplifier'\nchain = [{ cable = '6 m', per_metre = '150p' }, { box = 'amplifier', input = '220k' }]\n";
    let text = text_of(&note(setups, &[]));
    let top_hz = |farads: f64| coil(8.2e3, 4.7, farads, 220e3).low_pass_corner_hz();
    assert_says(&text, &format!("; the top falls by 3 dB at {}", said_hz(top_hz(120e-12 + 900e-12))));
    let bare_hz = top_hz(120e-12);
    assert_says(
        &text,
        &format!("at 150 pF a metre: without cable the top falls by 3 dB at {}; ", said_hz(bare_hz)),
    );
    let figures: Vec<f64> = text
        .split_once("; ")
        .and_then(|_| text.split_once("at 150 pF a metre"))
        .unwrap()
        .1
        .split_whitespace()
        .filter_map(|word| word.parse().ok())
        .collect();
    // 3 dB at a frequency; then a length and a frequency, twice.
    let [_, _, third_m, third_khz, octave_m, octave_khz, ..] = figures[..] else { panic!("{figures:?}") };
    for (metres, khz, part) in [(third_m, third_khz, 0.5f64.cbrt()), (octave_m, octave_khz, 0.5)] {
        assert!((khz * 1e3 / (part * bare_hz) - 1.0).abs() < 0.03, "{khz} kHz is not {part} of {bare_hz} Hz");
        let reached_hz = top_hz(120e-12 + metres * 150e-12);
        assert!((reached_hz / (part * bare_hz) - 1.0).abs() < 0.02, "{metres} m: {reached_hz} Hz");
    }
    assert_says(&text, "a coil's inductance varies");
}

/// Of two pickups the cable's limits are the coil's.
#[test]
fn a_blend_and_its_cable() {
    let text = text_of(&note(include_str!("../../../presets/blend.toml"), &[]));
    assert_says(
        &text,
        "3.3 H pickup: From the pickup to the first box, at 100 pF a metre: without cable the top falls",
    );
    assert_says(
        &text,
        "about 1 nF (not measured), capacitive, volume at 100 %, and about 3.3 H (not measured), magnetic on the same jack",
    );
    assert_says(&text, "pickups vary from piece to piece");
}

/// The advice on the order of boxes, case by case; losses by textbook RC.
#[test]
fn which_box_goes_first() {
    let advice = |chain: &str| text_of(&note(&file(&[("one", chain)]), &[]));
    let tuner = "{ box = 'tuner', input = '1M', thru = 'before' }";
    let buffer = "{ box = 'buffer box', input = '10M', thru = 'after' }";
    let combo = "{ box = 'combo', input = '470k' }";
    let loss = |ohms: f64| said_db(rc_loss_db(rc_corner_hz(ohms, 680e-12), A1_HZ));
    let turned = format!("Then low A loses {} instead of {}.", loss(10e6), loss(1e7 / 11.0));
    let first = format!(
        "Put the buffer box first, straight behind the pickup: what follows its buffer does not load the pickup. {turned}"
    );
    assert_says(&advice(&format!("chain = [{tuner}, {buffer}, {combo}]")), &first);
    assert_says(&advice(&format!("chain = [{buffer}, {tuner}, {combo}]")), "The buffer box stays first");
    assert_says(&advice(&format!("chain = [{tuner}, {combo}]")), "No box here has a thru behind a buffer");
    let alone = "chain = [{ box = 'preamp', input = '10M' }]";
    assert_says(&advice(alone), "There is one box: plug the pickup straight into it.");
    let low = advice(&format!("chain = [{{ cable = '3 m' }}, {combo}]"));
    assert_says(
        &low,
        "The active DI or buffer box goes straight behind the pickup, everything else behind it.\n",
    );
    assert!(!low.contains("There is one box"), "{low}");
    assert_says(&advice("chain = [{ cable = '3 m' }]"), "Nothing is plugged in");
    assert_says(
        &advice(&format!("chain = [{{ splitter = 'y', branch = [{combo}] }}]")),
        "No box here has a thru",
    );
}

/// Ranges, in the order of boxes too: extremes of RC circuits are those of their corners (textbook).
#[test]
fn what_tolerances_leave_open() {
    let chain = "chain = [{ box = 'tuner', input = '1M', thru = 'before' }, { box = 'buffer box', input = '10M ±20 %', thru = 'after' }]";
    let setups =
        file(&[("pair", chain)]).replace("version = 3", "version = 4").replace("680 pF", "680 pF ±30 %");
    let loss = |part: f64, ohms: f64| rc_loss_db(rc_corner_hz(ohms, part * 680e-12), A1_HZ);
    let (low, high) = (loss(1.3, 12e6 / 13.0), loss(0.7, 8e6 / 9.0));
    let (least, most) = (loss(1.3, 12e6), loss(0.7, 8e6));
    let text = text_of(&note(&setups, &[]));
    for said in [
        format!("low A loses {low:.0} to {high:.0} dB through the pair: first choice, plugged in as above\n"),
        format!("Then low A loses {least:.1} to {most:.1} dB instead of {low:.0} to {high:.0} dB."),
        "680 pF ±30 %, capacitive".to_owned(),
        "Ranges hold wherever values lie within their tolerances; single figures are of the middle."
            .to_owned(),
    ] {
        assert_says(&text, &said);
    }
    assert_says(
        &note(&setups, &[]),
        "Pickup, 680 pF ±30 % – buffer box, 10 MΩ ±20 %, thru behind buffer (loads the pickup) – tuner, 1 MΩ, thru in parallel",
    );
    let german = text_of(&note(&setups, &["--language", "de"]));
    assert_says(&german, &format!("Das tiefe A verliert {low:.0} bis {high:.0} dB über „pair“"));
    assert_says(&german, "Spannen gelten, wo immer die Werte innerhalb ihrer Toleranzen liegen");
}

/// What loads is drawn thick, what does not thin and dashed; and the same is said in words.
#[test]
fn the_chain_as_a_drawing() {
    let chain = "chain = [{ cable = '3 m' }, { box = 'buffer box', input = '10M', thru = 'after' }, { cable = '6 m' }, { box = 'combo', \
                 input = '470k' }]";
    let html = note(&file(&[("one", chain)]), &[]);
    let count = |start: &str, stroke: &str| {
        html.lines().filter(|line| line.starts_with(start) && line.contains(stroke)).count()
    };
    assert_eq!((count("<rect", "\"1.8\""), count("<rect", "\"0.7\" stroke-dasharray")), (2, 1), "{html}");
    assert_eq!(
        (count("<polyline", "\"1.8\""), count("<polyline", "\"0.7\" stroke-dasharray")),
        (1, 1),
        "{html}"
    );
    let said = "Block diagram: Pickup, about 680 pF – 3 m · 300 pF cable – buffer box, 10 MΩ, thru behind buffer (loads the pickup) – \
                6 m cable – combo, 470 kΩ (does not load the pickup).";
    assert_says(&html, said);
}

#[test]
fn in_german() {
    let html = note(COURTYARD, &["--language", "de"]);
    assert_says(&html, "<html lang=\"de\">");
    let text = text_of(&html);
    let loss = said_db(rc_loss_db(rc_corner_hz(10e6, 680e-12), A1_HZ)).replace('.', ",");
    assert_says(&text, &format!("Das tiefe A verliert {loss} über „buffer box“"));
    assert_says(&text, "einen Eingangswiderstand von mindestens 8,4 MΩ (tiefe Saite höchstens 1 dB leiser)");
    assert_says(&text, "0,83 m kosten 1 dB Pegel");
    assert_says(&text, "örtliche Vorschriften");
    for english in ["loses", "pickup", "first", "Cautions"] {
        assert!(!text.contains(english), "'{english}' in:\n{text}");
    }
}

/// `--setup` chooses what it is about; `--strings` and `--max-loss` what it is asked for.
#[test]
fn what_it_is_about() {
    let text = text_of(&note(COURTYARD, &["--setup", "combo", "--strings", "E1 A1", "--max-loss", "3"]));
    let e1_hz = 440.0 * (-41.0_f64 / 12.0).exp2();
    let loss = said_db(rc_loss_db(rc_corner_hz(470e3, 680e-12), e1_hz));
    assert_says(&text, &format!("low E loses {loss} through the combo\n"));
    assert_says(&text, "own tuning: E1 A1");
    let ohms = (std::f64::consts::TAU * e1_hz * 680e-12 * (10f64.powf(0.3) - 1.0).sqrt()).recip();
    assert_eq!(format!("{:.2}", ohms / 1e6), "5.69");
    assert_says(&text, "an input of at least 5.7 MΩ (low string within 3 dB)");
}

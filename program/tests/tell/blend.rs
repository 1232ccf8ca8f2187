//! Two pickups on one jack: `V = (V1 Y1 ± V2 Y2)/(Y1 + Y2 + Y_L)` (Millman's theorem, textbook).

use realfft::num_complex::Complex64;
use serde_json::Value;

use super::{A1_HZ, close, said, sentences, told};
use crate::support::circuit::{capacitor, coil, inductor, loss_db, said_db, said_hz};

const SETUP: &str = "chain = [{ box = 'amplifier', input = '1M' }]";

fn two(first: &str, second: &str) -> String {
    format!("[[blend]]\n{first}\n[[blend]]\n{second}")
}

/// Together and one by one, into 1 MΩ.
fn losses(first: Complex64, second: Complex64, sign: f64) -> [f64; 3] {
    let (one, other) = (first.inv(), second.inv());
    let all = one + other + 1e-6;
    [(one + sign * other) / all, one / all, other / all].map(loss_db)
}

#[test]
fn each_by_itself_and_both_together() {
    let pickups = two("capacitance = '1 nF'\nmixing = '100k'", "capacitance = '4.7 nF'\nmixing = '220k'");
    let told = told("guitarron", &pickups, SETUP);
    let [together, one, other] =
        losses(100e3 + capacitor(1e-9, A1_HZ), 220e3 + capacitor(4.7e-9, A1_HZ), 1.0);
    close(&told["strings"][0]["loss_db"], together);
    close(&told["strings"][0]["by_pickup_db"][0], one);
    close(&told["strings"][0]["by_pickup_db"][1], other);
    assert_eq!(told["verdict"], format!("low A loses {} through the amplifier", said_db(together)));
    let each = format!(
        "by itself the 1 nF pickup loses {} at low A, the 4.7 nF pickup {}",
        said_db(one),
        said_db(other)
    );
    assert_eq!(sentences(&told), [each]);
    assert_eq!((&told["pickup_kind"], &told["pickup_farads"]), (&"blend".into(), &Value::Null));
    close(&told["pickups"][1]["farads"], 4.7e-9);
    close(&told["pickups"][1]["loss_db"], other);
    let text = said("guitarron", &pickups, SETUP);
    assert!(text.contains("loss       1 nF pickup     4.7 nF pickup\n"), "{text}");
}

#[test]
fn polarities_that_cancel() {
    let pickups = two("capacitance = '1 nF'", "capacitance = '1.5 nF'\npolarity = 'reversed'");
    let told = told("guitarron", &pickups, SETUP);
    let sources = [capacitor(1e-9, A1_HZ), capacitor(1.5e-9, A1_HZ)];
    let [cancelled, ..] = losses(sources[0], sources[1], -1.0);
    let [added, ..] = losses(sources[0], sources[1], 1.0);
    close(&told["strings"][0]["loss_db"], cancelled);
    let sentence = format!(
        "as they are wired the two cancel at low A: with the polarity of one turned round it gains {}",
        said_db(cancelled - added)
    );
    assert_eq!(sentences(&told)[1], sentence);
}

/// Two of a kind, one turned round, leave nothing.
#[test]
fn pickups_that_cancel_altogether() {
    let pickups = two("capacitance = '1 nF'", "capacitance = '1 nF'\npolarity = 'reversed'");
    let told = told("guitarron", &pickups, SETUP);
    assert_eq!(told["verdict"], "low A loses everything through the amplifier");
    assert_eq!(told["strings"][0]["loss_db"], Value::Null);
    assert!(sentences(&told)[1].ends_with("it gains everything"), "{told}");
}

/// A coil keeps its own sentence; here both are coils, so that the top is told too.
#[test]
fn coils_tell_their_resonances() {
    let one = "inductance = '4.7 H'\nresistance = '8k2'\nwinding = '120p'";
    let told =
        told("guitar", &two(one, one), "chain = [{ cable = '6 m' }, { box = 'amplifier', input = '1M' }]");
    // Two alike side by side are one of half the impedance.
    let loaded = coil(4.1e3, 2.35, 240e-12 + 600e-12, 1e6);
    let together = told["verdict"].as_str().unwrap();
    let top = format!("; the top falls by 3 dB at {}", said_hz(loaded.low_pass_corner_hz()));
    assert!(together.ends_with(&top), "{together} instead of {top}");
    let said = sentences(&told);
    assert_eq!(said.len(), 3);
    for sentence in &said[1..] {
        assert!(sentence.starts_with("4.7 H pickup: resonance moves from "), "{sentence}");
        let to = format!(", to {}, {} high", said_hz(loaded.low_pass_peak_hz()), said_db(loaded.peak_db()));
        assert!(sentence.ends_with(&to), "{sentence} instead of {to}");
    }
}

/// A coil beside a capacitive pickup shorts its lows.
#[test]
fn a_coil_beside_a_capacitance() {
    let pickups = two(
        "capacitance = '1 nF'\nmixing = '220k'",
        "inductance = '3.3 H'\nresistance = '6k8'\nmixing = '47k'",
    );
    let told = told("guitarron", &pickups, SETUP);
    let [together, one, other] =
        losses(220e3 + capacitor(1e-9, A1_HZ), 47e3 + 6.8e3 + inductor(3.3, A1_HZ), 1.0);
    close(&told["strings"][0]["loss_db"], together);
    close(&told["strings"][0]["by_pickup_db"][0], one);
    close(&told["strings"][0]["by_pickup_db"][1], other);
    assert_eq!(told["pickups"][1]["kind"], "magnetic");
    let caution = said("guitarron", &pickups, SETUP);
    assert!(caution.contains("pickups vary from piece to piece"), "{caution}");
}

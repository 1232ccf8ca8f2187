//! Values within tolerances, told as ranges. Extremes of RC circuits are those of their corners (textbook).

use super::{close, said, tell};
use crate::support::{Sandbox, rc_corner_hz, rc_loss_db};

/// 680 pF within 30 %, 1 MΩ within 20 %: the least loss with the largest of both, the most with the smallest.
#[test]
fn ranges_stand_beside_the_middle() {
    let told = tell(&["--pickup", "680p ±30%", "--load", "1M ±20 %", "--instrument", "guitarron"]);
    assert_eq!(told["verdict"], "low A loses 9.3 to 18 dB into 1 MΩ ±20 %");
    let (middle, low, high) =
        (rc_corner_hz(1e6, 680e-12), rc_corner_hz(1.2e6, 1.3 * 680e-12), rc_corner_hz(0.8e6, 0.7 * 680e-12));
    close(&told["corner_hz"], middle);
    close(&told["corner_low_hz"], low);
    close(&told["corner_high_hz"], high);
    for string in told["strings"].as_array().unwrap() {
        let hz = string["hz"].as_f64().unwrap();
        close(&string["loss_db"], rc_loss_db(middle, hz));
        close(&string["loss_low_db"], rc_loss_db(low, hz));
        close(&string["loss_high_db"], rc_loss_db(high, hz));
    }
    // 10 log10(1 + (fc/f)²) = 1 solved for the R in fc, with the smallest capacitance; the load itself is what is asked for.
    let ohms = rc_corner_hz(1.0, 0.7 * 680e-12) / (55.0 * (10f64.powf(0.1) - 1.0).sqrt());
    close(&told["ask_for_ohms"], ohms);
    assert_eq!(told["pickups"][0]["name"], "680 pF ±30 % pickup");
    close(&told["pickup_farads"], 680e-12);
}

/// 10.7 to 15.8 dB by the textbook's RC.
#[test]
fn the_text_has_ranges() {
    let arguments = ["tell", "--pickup", "680p +-30%", "--load", "1M", "--instrument", "guitarron"];
    let text = Sandbox::new().done(&arguments);
    assert!(text.contains("low A loses 11 to 16 dB into 1 MΩ"), "{text}");
    assert!(text.contains("55.00  12.8 dB   10.7 to  15.8 dB"), "{text}");
    assert!(text.contains("corner 180 to 334 Hz"), "{text}");
    assert!(text.contains("single figures are of the middle"), "{text}");
}

/// Not a figure and not a key more than before.
#[test]
fn without_tolerances_nothing_is_added() {
    let told = tell(&["--pickup", "680p", "--load", "1M"]);
    let (told, string) = (told.as_object().unwrap(), told["strings"][0].as_object().unwrap());
    assert!(
        !told.keys().chain(string.keys()).any(|key| key.contains("_low_") || key.contains("_high_")),
        "{told:?}"
    );
    assert!(!Sandbox::new().done(&["tell", "--pickup", "680p", "--load", "1M"]).contains("toleranc"));
}

/// In a file of setups, of which an older version has none.
#[test]
fn files_say_tolerances_in_version_4() {
    let text = said("guitarron", "pickup = { capacitance = '680 pF' }", "load = '1M'");
    assert!(text.contains("low A loses 13 dB through the amplifier"), "{text}");
    let sandbox = Sandbox::new();
    let file = |version: u32| {
        let text = super::file("guitarron", "pickup = { capacitance = '680 pF ±30 %' }", "load = '1M'");
        text.replace("version = 2", &format!("version = {version}"))
    };
    sandbox.write("new.toml", file(4));
    let text = sandbox.done(&["tell", "--setups", "new.toml"]);
    assert!(text.contains("low A loses 11 to 16 dB through the amplifier"), "{text}");
    sandbox.write("old.toml", file(3));
    let failed = sandbox.run(&["tell", "--setups", "old.toml"]);
    assert_ne!(failed.code, Some(0));
    assert!(failed.stderr.contains("version = 3 has no `±`: accepted with version = 4"), "{failed:?}");
}

/// A coil's top as a range: `f0` of the textbook's low-pass scales with `1/sqrt(L C)` where the load is high.
#[test]
fn a_coils_top_is_a_range() {
    let coil = ["--coil", "4.7 H ±10 %", "--coil-resistance", "8k2", "--winding", "120p", "--load", "10M"];
    let of = |coil: &[&str]| tell(coil)["top_corner_hz"].as_f64().unwrap();
    let at = |henries: &'static str| of(&[&["--coil", henries], &coil[2..]].concat());
    let told = tell(&coil);
    close(&told["top_corner_low_hz"], at("5.17 H"));
    close(&told["top_corner_high_hz"], at("4.23 H"));
    assert!(told["verdict"].as_str().unwrap().contains("; the top falls by 3 dB at "), "{told}");
}

/// "a range of inputs" for a coil is what suffices for the dullest and does not let the sharpest stand out.
#[test]
fn a_coils_input_suffices_everywhere() {
    let ask = |henries: &str| {
        let chain = format!("pickup = {{ inductance = '{henries}', resistance = '8k2', winding = '120p' }}");
        let text = told_at_4("bass", &chain, "load = '1M'");
        (text["ask_for_ohms"].as_f64().unwrap(), text["ask_for_to_ohms"].as_f64().unwrap())
    };
    let ends = [ask("4.23 H"), ask("5.17 H")];
    let (from, to) = ask("4.7 H ±10 %");
    assert!((from / ends[0].0.max(ends[1].0) - 1.0).abs() < 1e-6, "{from} {ends:?}");
    assert!((to / ends[0].1.min(ends[1].1) - 1.0).abs() < 1e-6, "{to} {ends:?}");
}

fn told_at_4(instrument: &str, pickups: &str, setup: &str) -> serde_json::Value {
    let sandbox = Sandbox::new();
    sandbox
        .write("setups.toml", super::file(instrument, pickups, setup).replace("version = 2", "version = 4"));
    sandbox.json(&["tell", "--setups", "setups.toml"])["setups"][0].clone()
}

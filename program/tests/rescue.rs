//! `firstjack rescue`. What it finds is compared with scipy in `tests/python/test_rescue.py`; here is what it says and refuses. Expected
//! figures are textbook formulas written out.

use serde_json::Value;

use crate::support::{Sandbox, rc_corner_hz, rc_loss_db};

const PICKUP: [&str; 5] = ["rescue", "--pickup", "680p", "--instrument", "guitarron"];

fn told(more: &[&str]) -> Value {
    Sandbox::new().json(&[PICKUP.as_slice(), more].concat())
}

fn number(value: &Value) -> f64 {
    value.as_f64().unwrap_or_else(|| panic!("{value} is no number"))
}

/// What a string needs is what the load took more than the recording's; what is given and what is left add up to it.
#[test]
fn strings_need_what_the_load_took() {
    let told = told(&["--through", "22M", "--load", "470k", "--load", "56k"]);
    for (setup, ohms) in [(0, 470e3), (1, 56e3)] {
        let strings = told["setups"][setup]["strings"].as_array().unwrap();
        assert_eq!(strings.len(), 6);
        for string in strings {
            let hz = number(&string["hz"]);
            let loss_db = |ohms: f64| rc_loss_db(rc_corner_hz(ohms, 680e-12), hz);
            let needed = number(&string["needed_db"]);
            assert!((needed - (loss_db(ohms) - loss_db(22e6))).abs() < 1e-9, "{string}");
            let sum = number(&string["given_db"]) + number(&string["left_db"]);
            assert!((needed - sum).abs() < 1e-9, "{string}");
        }
    }
    assert_eq!(told["setups"][0]["strings"][0]["name"], "A1");
}

/// Without `--through` the take is the unloaded pickup's.
#[test]
fn a_take_is_unloaded_unless_said_otherwise() {
    let needed = |more: &[&str]| number(&told(more)["setups"][0]["strings"][0]["needed_db"]);
    let expected = rc_loss_db(rc_corner_hz(470e3, 680e-12), 55.0);
    assert!((needed(&["--load", "470k"]) - expected).abs() < 1e-9);
    assert!(needed(&["--load", "470k", "--through", "470k"]).abs() < 1e-9);
}

#[test]
fn the_desk_is_the_users() {
    let more = [
        "--desk-gain",
        "6 dB",
        "--desk-shelf",
        "80-80",
        "--desk-bells",
        "100-2k",
        "--desk-q",
        "1-2",
        "--load",
        "56k",
    ];
    let told = told(&more);
    let setup = &told["setups"][0];
    let bands = setup["bands"].as_array().unwrap();
    assert!((number(&bands[0]["hz"]) - 80.0).abs() < 1e-6);
    for bell in &bands[1..] {
        assert!((99.999..2000.001).contains(&number(&bell["hz"])), "{bell}");
        assert!((0.999..2.001).contains(&number(&bell["q"])), "{bell}");
    }
    assert!(bands.iter().all(|band| number(&band["gain_db"]).abs() < 6.001));
    assert!(setup["at_stops"].as_array().unwrap().iter().any(|control| control == "shelf_gain"), "{setup}");
    assert!(
        !setup["at_stops"].as_array().unwrap().iter().any(|control| control == "shelf_hz"),
        "it cannot move"
    );
}

#[test]
fn the_verdict_comes_first_and_the_cautions_last() {
    let sandbox = Sandbox::new();
    let text = sandbox.done(&["rescue", "--setups", sandbox.courtyard()]);
    assert!(text.starts_with("passive box: low A gets back "), "{text}");
    for wanted in [
        "low shelf 400 Hz +15.0 dB",
        "Most wrong is ",
        "Noise from 20 to 200 Hz rises by ",
        "At their stops: the shelf's gain",
    ] {
        assert!(text.contains(wanted), "{wanted} in {text}");
    }
    assert!(text.contains("\nbuffer box: nothing to put right: within "), "{text}");
    assert!(
        text.contains("hurt hearing") && text.contains("local codes and venue rules come first"),
        "{text}"
    );
}

/// The same words for coils, whose loss is at the top, and for what would boost the lows.
#[test]
fn a_coil_is_told_of_its_top() {
    let sandbox = Sandbox::new();
    let coil = [
        "rescue",
        "--coil",
        "2.2 H",
        "--coil-resistance",
        "5k6",
        "--winding",
        "100p",
        "--load",
        "22k || 4n7",
    ];
    let text = sandbox.done(&[coil.as_slice(), &["--instrument", "guitar", "--desk-gain", "3"]].concat());
    let first = text.lines().next().unwrap();
    assert!(first.contains("the desk puts it right in part: at ") && first.contains("kHz it"), "{first}");
}

#[test]
fn what_cannot_be_is_refused() {
    let sandbox = Sandbox::new();
    for (more, said) in [
        (["--desk-gain", "0"], "accepted are 0.1 to 40 dB"),
        (["--desk-gain", "much"], "accepted are 0.1 to 40 dB"),
        (
            ["--desk-shelf", "400-40"],
            "shelf in Hz from 400 to 40: accepted are 5 to 20000, the lower one first",
        ),
        (["--desk-bells", "30"], "accepted are two numbers, the lower one first, such as 40-400 or 30-16k"),
        (["--desk-bells", "NaN-16k"], "bells in Hz from NaN to 16000"),
        (["--desk-q", "0-4"], "Q from 0 to 4: accepted are 0.1 to 30"),
        (["--rate", "7999"], "7999 is not in 8000..=384000"),
        (["--through", "5 kg"], "--recorded-through: "),
    ] {
        let outcome =
            sandbox.run(&[["rescue", "--pickup", "680p", "--load", "470k"].as_slice(), &more].concat());
        assert_eq!(outcome.code, Some(2), "{more:?}: {outcome:?}");
        assert!(outcome.stderr.contains(said), "{said} in {outcome:?}");
    }
    let outcome =
        sandbox.run(&["rescue", "--pickup", "680p", "--load", "470k", "--strings", "B9", "--a4", "1000"]);
    assert_eq!(outcome.code, Some(2));
    assert!(
        outcome.stderr.contains("Hz: accepted is less than 16000 Hz at a sample rate of 48000 Hz"),
        "{outcome:?}"
    );
}

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
        "80",
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
    assert_eq!(number(&bands[0]["hz"]), 80.0);
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

/// Settings have the steps that were asked for; both bells of a desk whose Q is fixed have it.
#[test]
fn settings_come_in_the_desks_steps() {
    let desk = [
        "--desk-gain-step",
        "1.5 dB",
        "--desk-hz-step",
        "third",
        "--desk-q",
        "1.1",
        "--desk-bells",
        "31.5-16 kHz",
    ];
    let told = told(&[desk.as_slice(), &["--load", "470k"]].concat());
    // Third-octave bands (ISO 266, from memory).
    let thirds = [1.0, 1.25, 1.6, 2.0, 2.5, 3.15, 4.0, 5.0, 6.3, 8.0];
    for band in told["setups"][0]["bands"].as_array().unwrap() {
        let hz = number(&band["hz"]);
        let leading = hz / 10f64.powf((hz * 1.0001).log10().floor());
        assert!(thirds.iter().any(|third| (leading - third).abs() < 1e-9), "{band}");
        assert!((number(&band["gain_db"]) / 1.5).fract().abs() < 1e-9, "{band}");
        assert!(band["kind"] == "low_shelf" || band["q"] == 1.1, "{band}");
    }
}

/// A load that takes more than the limit is not put right, and a limit that lets it be is the person's choice.
#[test]
fn above_the_limit_it_says_dont() {
    let setup = |more: &[&str]| {
        let told = told(&[&["--load", "56k"], more].concat());
        (told["setups"][0].clone(), told["desk"].clone())
    };
    let corner_hz = rc_corner_hz(56e3, 680e-12);
    let (limited, desk) = setup(&[]);
    assert_eq!((&limited["advised"], &limited["limit_db"]), (&false.into(), &desk["most_boost_db"]));
    assert_eq!(limited["input_takes_it"], true);
    assert!(number(&limited["headroom_db"]) <= 20.0 + 1e-9, "{limited}");
    // From the lowest string on; what the top of the band lacks any gain control gives back.
    let expected = rc_loss_db(corner_hz, 55.0) - rc_loss_db(corner_hz, 16e3);
    assert!((number(&limited["needed_boost_db"]) - expected).abs() < 1e-6, "{limited}");
    let (whole, _) = setup(&["--desk-boost", "60"]);
    assert_eq!(whole["advised"], true);
    assert!(number(&whole["headroom_db"]) > 30.0, "{whole}");
}

/// Settings are for the middle of a range, and what may be needed within it is said.
#[test]
fn ranges_are_told() {
    let sandbox = Sandbox::new();
    let typed = ["rescue", "--pickup", "470p to 4.7n", "--load", "470k", "--instrument", "bass"];
    let range = sandbox.json(&typed)["setups"][0]["needed_range_db"].clone();
    // At the low E (ISO 16).
    let expected = [4.7e-9, 470e-12].map(|farads| rc_loss_db(rc_corner_hz(470e3, farads), 41.203_445));
    for (end, expected) in ["low", "high"].into_iter().zip(expected) {
        assert!((number(&range[end]) - expected).abs() < 1e-5, "{range}, not {expected}");
    }
    let text = sandbox.done(&typed);
    let said = format!(
        "for the middle of what values may be: {:.1} to {:.0} dB may be needed",
        expected[0], expected[1]
    );
    assert!(text.contains(&said), "{said} in {text}");
    assert!(!sandbox.done(&["rescue", "--pickup", "1n", "--load", "470k"]).contains("middle"));
}

/// A control that is closed is nothing that an input gives back.
#[test]
fn a_closed_control_is_not_the_inputs() {
    let sandbox = Sandbox::new();
    let closed = "version = 2\nname = 'Coil'\ninstrument = 'guitar'\nrecorded = { load = '1M || 3 m' }\n\
        [pickup]\ninductance = '2.2 H'\nresistance = '5.6 kΩ'\nwinding = '100 pF'\n\
        tone = { resistance = '220k', capacitance = '22 nF', taper = 'logarithmic', position = '100 %' }\n\
        [[setup]]\nname = 'closed'\ntone = '0 %'\nload = '1M || 3 m'\n";
    sandbox.write("closed.toml", closed);
    let text = sandbox.done(&["rescue", "--setups", "closed.toml"]);
    assert!(text.starts_with("closed: don't: at "), "{text}");
    assert!(text.contains("\nInstead look at the instrument first"), "{text}");
}

/// A capacitive pickup sounds as recorded, or unloaded; a coil as its player knows it, unless somebody says what to aim at.
#[test]
fn what_is_aimed_at_is_said() {
    let sandbox = Sandbox::new();
    let coil = ["--coil", "4.7 H", "--coil-resistance", "8k2", "--winding", "120p"];
    let coil = [coil.as_slice(), &["--load", "1M || 6 m", "--instrument", "guitar"]].concat();
    let piezo = ["--pickup", "680p", "--load", "1M || 6 m"];
    for (source, more, kind, said) in [
        (&piezo[..], &[][..], "unloaded", "The aim is the pickup without any load."),
        (
            &piezo,
            &["--recorded-through", "22M"],
            "as_recorded",
            "The aim is the take as recorded, through 22 MΩ.",
        ),
        (&piezo, &["--aim", "10M"], "chosen", "The aim is the instrument into 10 MΩ."),
        (&coil, &[], "usual", "a usual amplifier and cable (1 MΩ || 6 m); --aim chooses another."),
        (&coil, &["--aim", "none"], "unloaded", "The aim is the pickup without any load."),
    ] {
        let typed = [&["rescue"], source, more].concat();
        let text = sandbox.done(&typed);
        assert!(text.contains(said), "{said} in {text}");
        assert_eq!(sandbox.json(&typed)["aim"]["kind"], kind);
        assert_eq!(text.contains("nothing to put right"), kind == "usual", "{text}");
    }
}

#[test]
fn the_verdict_comes_first_and_the_cautions_last() {
    let sandbox = Sandbox::new();
    let text = sandbox.done(&["rescue", "--setups", sandbox.courtyard()]);
    assert!(
        text.starts_with("passive box: don't: low A lacks 37 dB, and more than 20 dB of boost "),
        "{text}"
    );
    for wanted in [
        "\nInstead put a buffer box first, or ask for a better input",
        "\nThe settings go no further than 20 dB.\nLow A gets back 20 dB of 37 dB and still lacks ",
        "\ntuner: the desk puts it right, but for 0.1 dB; noise from 20 to 200 Hz rises by 11 dB",
        "\nHeadroom: up to ",
        "\nThe channel's high-pass filter off, or it takes the lows away again: ",
        "\nThe aim is the take as recorded.\n",
    ] {
        assert!(text.contains(wanted), "{wanted} in {text}");
    }
    assert_eq!(text.matches("high-pass filter off").count(), 1, "once for all setups: {text}");
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
    let text = sandbox.done(
        &[coil.as_slice(), &["--instrument", "guitar", "--desk-gain", "3", "--desk-boost", "60"]].concat(),
    );
    let first = text.lines().next().unwrap();
    assert!(first.contains("the desk puts it right in part: at ") && first.contains("kHz it"), "{first}");
}

#[test]
fn what_cannot_be_is_refused() {
    let sandbox = Sandbox::new();
    for (more, said) in [
        (["--desk-gain", "0"], "accepted are 0.1 to 40 dB"),
        (["--desk-gain", "much"], "accepted are 0.1 to 40 dB"),
        (["--desk-shelf", "400-40"], "'--desk-shelf <LOW-HIGH>': the lower one comes first: 40-400"),
        (["--desk-shelf", "-80"], "accepted are one number or two, the lower one first, from 5 to 20000"),
        (["--desk-bells", "NaN-16k"], "accepted are one number or two, the lower one first, from 5 to 20000"),
        (["--desk-q", "0-4"], "accepted are one number or two, the lower one first, from 0.1 to 30"),
        (["--desk-boost", "0.5"], "accepted are 1 to 120 dB"),
        (["--desk-gain-step", "7"], "accepted are 0.1 to 6 dB"),
        (["--desk-hz-step", "fifth"], "[possible values: third, sixth, twelfth]"),
        (["--aim", "5 kg"], "--aim: "),
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

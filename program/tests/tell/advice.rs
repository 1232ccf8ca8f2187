//! What `tell` ends with: what to do. Losses are textbook RC, written out here.

use serde_json::Value;

use super::{close, e2_hz, tell};
use crate::support::circuit::{coil, said_db, said_hz};
use crate::support::{Sandbox, rc_corner_hz, rc_loss_db};

const E1_HZ: f64 = 41.203_444_614_108_74;

/// A player with 1 nF, a tuner, an amplifier, and a house with a passive box of which a resistor of 47 kΩ stands for the input.
const SETUPS: &str = "[[setup]]\nname = 'house box'\nchain = [{ box = 'house box', input = '47k' }]\n\
    [[setup]]\nname = 'amplifier'\nchain = [{ box = 'amplifier', input = '470k' }]\n\
    [[setup]]\nname = 'tuner'\nchain = [{ box = 'tuner', input = '1M', thru = 'after' }, { box = 'amplifier', input = '470k' }]\n";

fn file(pickup: &str, setups: &str) -> String {
    format!(
        "version = 5\nname = 'x'\ninstrument = 'bass'\npickup = {pickup}\nrecorded = {{ load = 'none' }}\n{setups}"
    )
}

fn advice(setups: &str, options: &[&str]) -> Value {
    let sandbox = Sandbox::new();
    sandbox.write("setups.toml", setups);
    sandbox.json(&[&["tell", "--setups", "setups.toml"], options].concat())["advice"].clone()
}

fn order(advice: &Value) -> Vec<&str> {
    advice["order"].as_array().unwrap().iter().map(|place| place["name"].as_str().unwrap()).collect()
}

fn lines(advice: &Value) -> Vec<&str> {
    advice["sentences"].as_array().unwrap().iter().map(|line| line.as_str().unwrap()).collect()
}

fn loss(ohms: f64, farads: f64) -> String {
    said_db(rc_loss_db(rc_corner_hz(ohms, farads), E1_HZ))
}

fn parallel(a: f64, b: f64) -> f64 {
    a * b / (a + b)
}

/// The one thing to do, what to bring since nothing has what is needed, the order, and how to find out what it depends on.
#[test]
fn three_ways_to_plug_in() {
    let advice = advice(&file("{ capacitance = '1 nF' }", SETUPS), &[]);
    let [tuner, amplifier, house] = [1e6, 470e3, 47e3].map(|ohms| loss(ohms, 1e-9));
    assert_eq!(order(&advice), ["tuner", "amplifier", "house box"]);
    let needed = rc_corner_hz(1.0, 1e-9) / (E1_HZ * (10f64.powf(0.1) - 1.0).sqrt());
    assert_eq!(format!("{:.2}", needed / 1e6), "7.59", "to two figures, upwards: 7.6");
    let brought = loss(10e6, 1e-9);
    assert_eq!(
        lines(&advice),
        [
            format!("Plug into the tuner first and take its buffered thru: low E loses {tuner}."),
            format!(
                "That is the best here, and nothing here has 7.6 MΩ: bring a buffer box of 10 MΩ and plug it in first: then \
                 low E loses {brought} instead of {tuner}."
            ),
            format!("In order of what low E loses: tuner {tuner}; amplifier {amplifier}; house box {house}."),
            format!(
                "Is the tuner's thru buffered? Unplug what follows it and listen at another output: if the sound changes, it is \
                 not, and then low E loses {}.",
                loss(parallel(1e6, 470e3), 1e-9)
            ),
        ]
    );
    assert_eq!((&advice["do"], &advice["order_holds"]), (&advice["sentences"][0], &Value::Null));
    assert_eq!((&advice["enough"], &advice["bring_ohms"]), (&Value::from(false), &Value::from(10e6)));
    close(&advice["needed_ohms"], needed);
    close(&advice["order"][1]["loss_db"], rc_loss_db(rc_corner_hz(470e3, 1e-9), E1_HZ));
}

/// It stands behind all figures, before the cautions.
#[test]
fn it_is_the_end_of_what_is_told() {
    let sandbox = Sandbox::new();
    let text = sandbox.done(&["tell", "--setups", sandbox.courtyard()]);
    let (figures, advice) = text.split_once("\nWhat to do\n  ").expect("advice");
    assert!(figures.contains("through the buffer box") && !advice.contains("ask for:"), "{text}");
    assert!(
        advice
            .starts_with("Plug into the buffer box first and take its buffered thru: low A loses 0.7 dB.\n"),
        "{text}"
    );
    assert!(advice.contains("\n\nA model with stated inputs"), "{text}");
    assert!(figures.contains("hardly any box has that: see what to do"), "{text}");
}

/// 5.9 MΩ, which 1.3 nF need at E1 (textbook RC), are had nowhere; 1 MΩ and less anywhere.
#[test]
fn what_cannot_be_had_is_not_asked_for() {
    let needed = |farads: f64| rc_corner_hz(1.0, farads) / (E1_HZ * (10f64.powf(0.1) - 1.0).sqrt());
    let one = |pickup: &str, load: &str, instrument: &str| {
        let told = tell(&["--pickup", pickup, "--load", load, "--instrument", instrument]);
        told["advice"]["do"].as_str().unwrap().to_owned()
    };
    let (before, after) = (loss(1e6, 1.3e-9), loss(10e6, 1.3e-9));
    assert_eq!(format!("{:.2}", needed(1.3e-9) / 1e6), "5.84");
    assert_eq!(
        one("1n3", "1M", "bass"),
        format!(
            "Nothing here has 5.9 MΩ: bring a buffer box of 10 MΩ and plug it in first: then low E loses {after} instead of {before}."
        )
    );
    assert_eq!(format!("{:.1}", needed(22e-9) / 1e3), "345.0");
    let (before, after) = (loss(47e3, 22e-9), loss(350e3, 22e-9));
    assert_eq!(
        one("22n", "47k", "bass"),
        format!("Ask for an input of at least 350 kΩ: then low E loses {after} instead of {before}.")
    );
    assert_eq!(one("1n", "10M", "bass"), format!("Plug into 10 MΩ: low E loses {}.", loss(10e6, 1e-9)));
    // 12.3 MΩ for 1 dB of 620 pF: a usual buffer box of 10 MΩ leaves less than 3 dB lost, and is had.
    assert!(needed(620e-12) > 12e6 && rc_loss_db(rc_corner_hz(10e6, 620e-12), E1_HZ) < 1.5);
    assert!(one("620p", "1M", "bass").starts_with("Nothing here has 10 MΩ: bring a buffer box of 10 MΩ"));
    // 47 MΩ for 3 dB of 100 pF, of which 10 and 22 MΩ leave 12 and 6 dB lost.
    assert!(
        rc_loss_db(rc_corner_hz(22e6, 100e-12), E1_HZ) > 3.0
            && rc_loss_db(rc_corner_hz(47e6, 100e-12), E1_HZ) < 3.0
    );
    assert!(one("100p", "1M", "bass").contains("bring a buffer box of 47 MΩ"));
}

/// What is brought stands at the instrument, on a metre of cable: that costs level by the ratio of capacitances (textbook), 10 m would more.
#[test]
fn what_is_brought_stands_at_the_instrument() {
    let setups = "[[setup]]\nname = 'wall'\nchain = [{ cable = '10 m' }, { box = 'wall', input = '10k' }]\n";
    let advice = advice(&file("{ capacitance = '1 nF' }", setups), &[]);
    let loss = |ohms: f64, cable: f64| {
        let level_db = 20.0 * (1.0 + cable / 1e-9).log10();
        said_db(level_db + rc_loss_db(rc_corner_hz(ohms, 1e-9 + cable), E1_HZ))
    };
    let (before, after) = (loss(10e3, 1e-9), loss(10e6, 100e-12));
    let needed = rc_corner_hz(1.0, 1.1e-9) / (E1_HZ * (10f64.powf(0.1) - 1.0).sqrt());
    assert_eq!(format!("{:.2}", needed / 1e6), "6.90", "and a little more: to two figures, upwards, 7");
    close(&advice["needed_ohms"], needed);
    assert_eq!(
        advice["do"],
        format!(
            "Nothing here has 7 MΩ: bring a buffer box of 10 MΩ and plug it in first, on a metre of cable: then low E loses {after} \
             instead of {before}."
        )
    );
}

/// A leak is mended, not loaded.
#[test]
fn what_no_input_helps() {
    let told = tell(&["--pickup", "680p", "--leakage", "1M", "--load", "470k"]);
    assert_eq!(
        told["advice"]["do"],
        "No input is high enough while the pickup leaks through 1 MΩ: have it mended."
    );
    assert_eq!(told["advice"]["needed_ohms"], Value::Null);
    let nothing = tell(&["--pickup", "680p", "--load", "none"]);
    assert_eq!(nothing["advice"], Value::Null, "nothing is plugged in");
}

/// 1 nF ±30 %: ranges of 1 MΩ and 680 kΩ overlap, but with the same pickup the order stays. A cable costs level by the ratio of
/// capacitances, 4.7 MΩ bass: which costs more of 200 pF ±80 % depends on the pickup (worked out in `dsp-core`).
#[test]
fn the_order_is_judged_over_the_range() {
    let told = tell(&["--pickup", "1n ±30 %", "--load", "680k", "--load", "1M"]);
    let advice = &told["advice"];
    assert_eq!((order(advice), &advice["order_holds"]), (vec!["1 MΩ", "680 kΩ"], &Value::from(true)));
    let told = tell(&["--pickup", "1n ±30 %", "--load", "680k", "--load", "1M", "--load", "1M || 5 cm"]);
    assert_eq!(told["advice"]["order_holds"], true, "{told}");
    let overlap = |part: f64, ohms: f64| rc_loss_db(rc_corner_hz(ohms, part * 1e-9), E1_HZ);
    assert!(overlap(0.7, 1e6) > overlap(1.3, 680e3), "the judge itself");
    assert!(lines(advice).contains(&"This order holds wherever the values lie within their tolerances."));
    let setups = "[[setup]]\nname = 'long cable'\nchain = [{ cable = '6 m' }, { box = 'x', input = '1T' }]\n\
                  [[setup]]\nname = 'preamp'\nchain = [{ box = 'preamp', input = '4M7' }]\n";
    let advice = self::advice(&file("{ capacitance = '200 pF ±80 %' }", setups), &[]);
    assert_eq!(advice["order_holds"], false, "{advice}");
    let (first, second) = (order(&advice)[0], order(&advice)[1]);
    let said = format!(
        "Where values lie elsewhere within their tolerances, the order is another: the {second} may be ahead of the {first}."
    );
    assert!(lines(&advice).contains(&said.as_str()), "{advice}");
}

/// Of two within half a decibel the one that feeds front of house is first, by the setup's name or the box's; 8.2 and 10 MΩ on
/// 680 pF lose 0.9 and 0.6 dB at A1 (textbook RC).
#[test]
fn what_feeds_front_of_house_breaks_ties() {
    let setups = |feed: &str| {
        let venue = format!("[[venue]]\nname = 'hall'\nfeed = '{feed}'\n");
        let setup = "[[setup]]\nname = 'preamp'\nchain = [{ box = 'house preamp', input = '10M' }]\n\
                     [[setup]]\nname = 'amp'\nchain = [{ box = 'stage amplifier', input = '8M2' }]\n";
        file("{ capacitance = '680 pF' }", &(venue + setup)).replace("bass", "guitarron")
    };
    for (feed, first) in
        [("Stage Amplifier", "amp"), ("amp", "amp"), ("preamp", "preamp"), ("a microphone", "preamp")]
    {
        let advice = advice(&setups(feed), &[]);
        assert_eq!(order(&advice)[0], first, "{feed}");
        let says =
            lines(&advice).contains(&"The amp is about as good as the preamp, and it feeds front of house.");
        assert_eq!(says, first == "amp", "{advice}");
    }
}

/// A buffered box goes first; a box with nothing behind it does without what stands in front; both within one setup.
#[test]
fn another_way_to_plug_in() {
    let pair = |thru: &str| {
        format!(
            "[[setup]]\nname = 'pair'\nchain = [{{ box = 'tuner', input = '1M', thru = 'before' }}, {{ box = 'buffer box', input = '10M'{thru} }}]\n"
        )
    };
    let (both, alone) = (loss(parallel(1e6, 10e6), 1e-9), loss(10e6, 1e-9));
    for (thru, plug) in [
        (
            ", thru = 'after'",
            "Put the buffer box first, straight behind the pickup, and what follows behind its buffered thru",
        ),
        ("", "Plug straight into the buffer box, with nothing in front of it"),
    ] {
        let advice = advice(&file("{ capacitance = '1 nF' }", &pair(thru)), &[]);
        assert_eq!(advice["do"], format!("{plug}: low E loses {alone} instead of {both}."));
        assert_eq!(advice["enough"], true);
    }
}

/// A thru that is taken for parallel and would be the best way if it were buffered.
#[test]
fn a_thru_that_may_be_buffered() {
    let setups = "[[setup]]\nname = 'both'\nchain = [{ box = 'tuner', input = '1M', thru = 'before' }, { box = 'amplifier', input = '470k' }]\n\
                  [[setup]]\nname = 'amplifier'\nchain = [{ box = 'amplifier', input = '470k' }]\n";
    let advice = advice(&file("{ capacitance = '1 nF' }", setups), &[]);
    assert_eq!(order(&advice), ["amplifier", "both"]);
    let said = format!(
        "Is the tuner's thru really in parallel? Unplug what follows it and listen at another output: if the sound stays the same, it \
         is buffered, and then with the both low E loses {}.",
        loss(1e6, 1e-9)
    );
    assert!(lines(&advice).contains(&said.as_str()), "{advice}");
}

/// Of coils the top counts: a low-pass of second order (textbook).
#[test]
fn magnetic_pickups_by_their_top() {
    let told = tell(&[
        "--coil",
        "4.7 H",
        "--coil-resistance",
        "8k2",
        "--winding",
        "120p",
        "--volume",
        "none",
        "--load",
        "47k",
        "--load",
        "1M || 6 m",
        "--instrument",
        "guitar",
    ]);
    let (low, long) = (coil(8.2e3, 4.7, 120e-12, 47e3), coil(8.2e3, 4.7, 720e-12, 1e6));
    let (low_hz, long_hz) = (low.low_pass_corner_hz(), long.low_pass_corner_hz());
    let advice = &told["advice"];
    assert_eq!(order(advice), ["1 MΩ || 6 m", "47 kΩ"]);
    assert_eq!(
        lines(advice)[..2],
        [
            format!("Plug into 1 MΩ || 6 m: the top falls by 3 dB at {}.", said_hz(long_hz)),
            format!(
                "In order of where the top falls by 3 dB, the highest first: 1 MΩ || 6 m {}; 47 kΩ {}.",
                said_hz(long_hz),
                said_hz(low_hz)
            ),
        ]
    );
    assert!(e2_hz() > 80.0 && advice["order"][0]["loss_db"].is_null());
}

/// Two pickups on one jack are judged by what is heard of both at the lowest string.
#[test]
fn a_blend() {
    let sandbox = Sandbox::new();
    sandbox.write("blend.toml", include_str!("../../../presets/blend.toml"));
    let told = sandbox.json(&["tell", "--setups", "blend.toml"]);
    let loss_of = |name: &str| {
        let setups = told["setups"].as_array().unwrap();
        let setup = setups.iter().find(|setup| setup["name"] == name).unwrap();
        setup["strings"][0]["loss_db"].as_f64().unwrap()
    };
    let order = order(&told["advice"]);
    assert_eq!(order.len(), 3);
    assert!(order.windows(2).all(|pair| loss_of(pair[0]) <= loss_of(pair[1])), "{order:?}");
    assert_eq!(order[2], "passive box");
}

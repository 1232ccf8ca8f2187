//! Two pickups on one jack: each track, recorded by itself, through a change of its own.

use super::loads::BOUND_DB;
use crate::support::circuit::{capacitor, divider, loss_db, parallel};
use crate::support::wav::{Kind, Wav};
use crate::support::{Sandbox, float_take, level_db, noise, sine};

/// 1 nF and 4.7 nF joined directly, the second one the other way round; each track was recorded through 10 MΩ.
const FILE: &str = "version = 2
name = 'Blend'
instrument = 'guitarron'
recorded = { load = '10M' }
[[blend]]
capacitance = '1 nF'
[[blend]]
capacitance = '4.7 nF'
polarity = 'reversed'
[[setup]]
name = 'amplifier'
load = '220k'
[[setup]]
name = 'nothing'
load = 'none'
";

const RATE_HZ: u32 = 48_000;
const FARADS: [f64; 2] = [1e-9, 4.7e-9];

fn sandbox(first: &[f64], second: &[f64]) -> Sandbox {
    let sandbox = Sandbox::new();
    sandbox.write("blend.toml", FILE);
    sandbox.write("first.wav", float_take(RATE_HZ, first).bytes());
    sandbox.write("second.wav", float_take(RATE_HZ, second).bytes());
    let frames: Vec<f64> = first.iter().zip(second).flat_map(|(a, b)| [*a, *b]).collect();
    sandbox.write("both.wav", Wav::new(Kind::Float, 2, RATE_HZ, &frames).bytes());
    sandbox
}

const REST: [&str; 4] = ["--setups", "blend.toml", "-o", "set"];
const AMPLIFIER: &str = "set/both-1-amplifier.wav";

fn rendered(sandbox: &Sandbox, takes: &[&str], rest: &[&str]) -> serde_json::Value {
    sandbox.json(&[&["render"], takes, &REST, rest].concat())
}

/// `K = H_B/H_A`: into the blend the pickup with the other one beside the load, out of the recording by itself (dividers of
/// textbooks).
fn change_db(index: usize, hz: f64) -> f64 {
    let (own, other) = (capacitor(FARADS[index], hz), capacitor(FARADS[1 - index], hz));
    loss_db(divider(own, 10e6)) - loss_db(divider(own, parallel(220e3, other)))
}

#[test]
fn each_track_has_a_change_of_its_own() {
    // Whole periods in the second half.
    for hz in [55.0, 440.0, 8000.0] {
        let tone = sine(RATE_HZ, hz, 0.1, RATE_HZ * 2);
        let sandbox = sandbox(&tone, &tone);
        rendered(&sandbox, &["both.wav"], &["--no-match"]);
        let out = sandbox.wav(AMPLIFIER);
        assert_eq!((out.channels, out.frames()), (2, 96_000));
        for index in 0..2 {
            let level = |signal: &[f64]| level_db(&signal[48_000..], RATE_HZ, hz);
            let change = level(&out.channel(index)) - level(&tone);
            let expected = change_db(index, hz);
            assert!((change - expected).abs() <= BOUND_DB, "{hz} Hz, {index}: {change} not {expected}");
        }
        // The second one is wired the other way round: against a phase that both tracks share, its sign is turned.
        if hz == 8000.0 {
            let product = |a: &[f64], b: &[f64]| a.iter().zip(b).map(|(a, b)| a * b).sum::<f64>();
            assert!(product(&out.channel(0), &tone) > 0.0 && product(&out.channel(1), &tone) < 0.0);
        }
    }
}

#[test]
fn two_files_are_one_take() {
    let sandbox = sandbox(&noise(0.2, 40_000, 1), &noise(0.2, 40_000, 2));
    let report = rendered(&sandbox, &["first.wav", "second.wav"], &[]);
    let joined = std::path::Path::new("set").join("first-1-amplifier.wav");
    assert_eq!(report["renderings"][1]["file"], joined.to_str().unwrap());
    rendered(&sandbox, &["both.wav"], &[]);
    for setup in ["0-as-recorded", "1-amplifier", "2-nothing"] {
        let wav = |stem: &str| sandbox.wav(&format!("set/{stem}-{setup}.wav"));
        assert!(wav("first") == wav("both"), "{setup}");
    }
    let recorded = sandbox.wav("set/both-0-as-recorded.wav");
    let lowered = 10f64.powf(report["lowered_db"].as_f64().unwrap() / 20.0);
    for (out, take) in recorded.channel(0).iter().zip(sandbox.wav("first.wav").samples()) {
        assert!((out - take * lowered).abs() < 1e-7);
    }
}

/// One channel, the two of them added up: polarity counts.
#[test]
fn summed() {
    let (first, second) = (noise(0.2, 40_000, 1), noise(0.2, 40_000, 2));
    let sandbox = sandbox(&first, &second);
    rendered(&sandbox, &["both.wav"], &["--no-match"]);
    let apart = sandbox.wav(AMPLIFIER);
    let recorded = sandbox.wav("set/both-0-as-recorded.wav");
    rendered(&sandbox, &["both.wav"], &["--no-match", "--sum", "--overwrite"]);
    for (name, apart) in [(AMPLIFIER, &apart), ("set/both-0-as-recorded.wav", &recorded)] {
        let sum = sandbox.wav(name);
        assert_eq!((sum.channels, sum.frames()), (1, 40_000));
        let expected = apart.channel(0).into_iter().zip(apart.channel(1)).map(|(a, b)| a + b);
        let worst = sum.samples().into_iter().zip(expected).map(|(a, b)| (a - b).abs()).fold(0.0, f64::max);
        assert!(worst < 1e-7, "{name}: {worst:e}");
    }
}

/// Matched against the take likewise: two channels against two, a sum against the sum.
#[test]
fn matched_summed_or_not() {
    let sandbox = sandbox(&noise(0.2, 96_000, 1), &noise(0.1, 96_000, 2));
    for sum in [&[][..], &["--sum"]] {
        let report = rendered(&sandbox, &["both.wav"], &[sum, &["--overwrite"]].concat());
        let take = super::levels::lufs(&sandbox.wav("set/both-0-as-recorded.wav"));
        let lowered = report["lowered_db"].as_f64().unwrap();
        assert!((report["take_lufs"].as_f64().unwrap() + lowered - take).abs() < 0.1);
        assert!(report["renderings"][1]["matching_db"].as_f64().unwrap().abs() > 2.0, "nothing to match");
        let out = super::levels::lufs(&sandbox.wav(AMPLIFIER));
        assert!((out - take).abs() < 0.1, "{sum:?}: {out} instead of {take} LUFS");
    }
}

/// 16 bits: the sum is a new recording, dithered and kept below full scale.
#[test]
fn a_sum_that_would_clip_is_lowered() {
    let sandbox = Sandbox::new();
    sandbox.write("blend.toml", FILE);
    let tone = sine(RATE_HZ, 1000.0, 0.8, 48_000);
    let frames: Vec<f64> = tone.iter().flat_map(|value| [*value; 2]).collect();
    sandbox.write("both.wav", Wav::new(Kind::Int(2), 2, RATE_HZ, &frames).bytes());
    let report = rendered(&sandbox, &["both.wav"], &["--sum", "--no-match"]);
    assert!((report["lowered_db"].as_f64().unwrap() + 20.0 * 1.6_f64.log10()).abs() < 0.1, "{report}");
    let out = sandbox.wav("set/both-0-as-recorded.wav");
    assert_eq!((out.kind, out.channels), (Kind::Int(2), 1));
    assert_eq!(report["renderings"][0]["clipped_samples"], 0);
}

/// The verdict is that of both together; an undo says what each gets back.
#[test]
fn words_of_a_blend() {
    let sandbox = sandbox(&noise(0.2, 40_000, 1), &noise(0.2, 40_000, 2));
    let report = rendered(&sandbox, &["both.wav"], &["--undo-ceiling", "20"]);
    let told = sandbox.json(&["tell", "--setups", "blend.toml"]);
    assert_eq!(report["renderings"][1]["verdict"], told["setups"][0]["verdict"]);
    let undone = report["renderings"][2]["verdict"].as_str().unwrap();
    assert!(
        undone.starts_with("1 nF pickup: low A gets back ")
            && undone.contains("; 4.7 nF pickup: low A gets back "),
        "{undone}"
    );
}

/// A sandbox with takes that do not go with two pickups, or not with each other.
fn with_misfits() -> Sandbox {
    let sandbox = sandbox(&noise(0.2, 4000, 1), &noise(0.2, 4000, 2));
    sandbox.courtyard();
    sandbox.write("short.wav", float_take(RATE_HZ, &[0.1; 3999]).bytes());
    sandbox.write("slow.wav", float_take(44_100, &[0.1; 4000]).bytes());
    sandbox.write("integer.wav", Wav::new(Kind::Int(3), 1, RATE_HZ, &[0.1; 4000]).bytes());
    sandbox.write("three.wav", Wav::new(Kind::Float, 3, RATE_HZ, &[0.1; 12_000]).bytes());
    sandbox
}

#[test]
fn takes_that_do_not_fit() {
    let sandbox = with_misfits();
    let blend = ["--blend", "first.wav", "second.wav", "--setups", "presets/courtyard.toml", "-o", "set"];
    let sum = ["--setups", "presets/courtyard.toml", "-o", "set", "--sum"];
    let own = ["--setups", "blend.toml", "-o", "second.wav", "--overwrite"];
    let one = "first.wav: a blend of two pickups needs a track for each, it has 1 channel; accepted are a take of two channels, the \
               first pickup's on channel 1, or --blend with two mono takes";
    let length = "short.wav: its length is 3999 frames, that of first.wav 4000 frames; accepted are two takes of one length; --allow-damaged";
    let rate = "slow.wav: its sample rate is 44100 Hz, that of first.wav 48000 Hz; accepted are two takes of one rate";
    let encoding = "integer.wav: its sample format is 24 bits, that of first.wav 32-bit float; say which";
    let cases: [(&[&str], &[&str], &str); 10] = [
        (&["first.wav"], &REST, one),
        (&["three.wav"], &REST, "it has 3 channels;"),
        (&["first.wav", "short.wav"], &REST, length),
        (&["first.wav", "slow.wav"], &REST, rate),
        (&["first.wav", "integer.wav"], &REST, encoding),
        (&["first.wav", "both.wav"], &REST, "both.wav: it has 2 channels; accepted are two mono takes"),
        (&[], &blend, "--blend: it is for a blend of two pickups"),
        (&["first.wav"], &sum, "--sum goes with a blend"),
        (&["first.wav", "second.wav", "both.wav"], &REST, one),
        (&["first.wav", "second.wav"], &own, "second.wav"),
    ];
    for (takes, rest, said) in cases {
        let before = sandbox.listing();
        let outcome = sandbox.run(&[&["render"], takes, rest].concat());
        assert_eq!(outcome.code, Some(2), "{takes:?}: {outcome:?}");
        assert!(outcome.stderr.contains(said), "{takes:?}: no '{said}' in {}", outcome.stderr);
        assert!(sandbox.listing() == before);
    }
}

/// The two tracks are named as such; two mono takes for a blend are still taken for them, which is told.
#[test]
fn tracks_are_named() {
    let sandbox = sandbox(&noise(0.2, 4000, 1), &noise(0.2, 4000, 2));
    let named = ["render", "--blend", "first.wav", "second.wav", "--setups", "blend.toml", "-o", "named"];
    let named = sandbox.run(&named);
    assert_eq!((named.code, named.stderr.as_str()), (Some(0), ""));
    let old = sandbox.run(&["render", "first.wav", "second.wav", "--setups", "blend.toml", "-o", "old"]);
    let said = "firstjack: two tracks of a blend are now given as --blend FIRST SECOND; taken for that\n";
    assert_eq!((old.code, old.stderr.as_str()), (Some(0), said));
    let without =
        |folder: &str, text: &str| text.replace(&format!("{folder}{}", std::path::MAIN_SEPARATOR), "");
    assert_eq!(without("named", &named.stdout), without("old", &old.stdout));
    for name in ["first-0-as-recorded.wav", "first-1-amplifier.wav"] {
        assert_eq!(sandbox.read(&format!("named/{name}")), sandbox.read(&format!("old/{name}")));
    }
    // Two takes of two channels each, and a pair beside one.
    sandbox.write("again.wav", sandbox.read("both.wav"));
    let takes = sandbox.json(&["render", "both.wav", "again.wav", "--setups", "blend.toml", "-o", "takes"]);
    let mixed =
        ["render", "both.wav", "--blend", "first.wav", "second.wav", "--setups", "blend.toml", "-o", "mixed"];
    let mixed = sandbox.json(&mixed);
    let files = |report: &serde_json::Value| -> Vec<String> {
        let takes = report["takes"].as_array().unwrap();
        takes.iter().map(|take| take["take"].as_str().unwrap().to_owned()).collect()
    };
    assert_eq!((files(&takes), files(&mixed)), (words("both.wav again.wav"), words("both.wav first.wav")));
    assert_eq!(
        sandbox.wav("takes/again-1-amplifier.wav").data,
        sandbox.wav("mixed/both-1-amplifier.wav").data
    );
}

fn words(line: &str) -> Vec<String> {
    line.split(' ').map(str::to_owned).collect()
}

/// With the flags that allow it: another sample format for both, and as far as both go.
#[test]
fn takes_that_fit_when_asked() {
    let sandbox = sandbox(&noise(0.2, 4000, 1), &noise(0.2, 4000, 2));
    sandbox.write("short.wav", float_take(RATE_HZ, &[0.1; 3999]).bytes());
    sandbox.write("integer.wav", Wav::new(Kind::Int(3), 1, RATE_HZ, &[0.1; 4000]).bytes());
    rendered(&sandbox, &["first.wav", "integer.wav"], &["--sample-format", "24"]);
    assert_eq!(sandbox.wav("set/first-1-amplifier.wav").kind, Kind::Int(3));
    let report = rendered(&sandbox, &["first.wav", "short.wav"], &["--salvage", "--overwrite"]);
    assert_eq!((&report["frames"], &report["truncated"]), (&3999.into(), &true.into()));
    assert_eq!(sandbox.wav("set/first-1-amplifier.wav").frames(), 3999);
}

//! What cannot be measured: said in one line, with what to do, and with every file as it was. Exit code 2 for what is wrong with a file or
//! an option, 3 for recordings that are right as files and do not tell.

use super::{RATE_HZ, STEPS, pickup, take, tone, with_steps};
use crate::support::wav::{Kind, Wav};
use crate::support::{Outcome, Sandbox};

const KEPT: [&str; 6] = ["--picture", "fit.svg", "--save", "our bridge", "--kit", "kit.toml"];

#[track_caller]
fn refused(sandbox: &Sandbox, arguments: &[&str], code: i32, said: &[&str]) -> Outcome {
    let before = sandbox.listing();
    let outcome = sandbox.run(arguments);
    assert_eq!(outcome.code, Some(code), "{arguments:?}: {outcome:?}");
    for wanted in said {
        assert!(outcome.stderr.contains(wanted), "{arguments:?}: no '{wanted}' in {}", outcome.stderr);
    }
    assert!(sandbox.listing() == before, "{arguments:?} changed a file");
    outcome
}

/// The plugged recording is another one.
#[track_caller]
fn plugged(bytes: &[u8], code: i32, said: &[&str]) {
    let sandbox = with_steps();
    sandbox.write("other.wav", bytes);
    let run = [&pickup("reference.wav", "empty.wav", "other.wav")[..], &KEPT[..]].concat();
    let outcome = refused(&sandbox, &run, code, said);
    assert_eq!((outcome.stdout.as_str(), outcome.stderr.lines().count()), ("", 1), "{outcome:?}");
}

#[test]
fn files_that_are_none() {
    plugged(b"", 2, &["other.wav: it is empty", "accepted are WAV"]);
    plugged(b"Mute before plugging and unplugging.", 2, &["it is no WAV, AIFF or FLAC file"]);
    let whole = take(&STEPS.plugged).bytes();
    plugged(&whole[..whole.len() / 2], 2, &["truncated", "record the plugged recording again"]);
    plugged(&take(&[]).bytes(), 2, &["there is no sound in it"]);
    plugged(
        &Wav::new(Kind::Int(2), 1, 8_000, &tone(8_000)).bytes(),
        2,
        &["its sample rate is 8000 Hz", "44100 to 192000 Hz"],
    );
    let long = Wav { data: vec![128; 6_000_001], ..Wav::new(Kind::Int(1), 1, RATE_HZ, &[]) };
    plugged(&long.bytes(), 2, &["it has 125 s, which is more than a measurement takes", "at most 125 s"]);
    plugged(&Wav::new(Kind::Float, 1, RATE_HZ, &[0.1, f64::NAN]).bytes(), 2, &["frame 1", "is NaN"]);
    let sandbox = with_steps();
    std::fs::create_dir(sandbox.path("folder")).unwrap();
    for (file, said) in [("folder", "it is a folder"), ("missing.wav", "missing.wav: cannot open it")] {
        refused(&sandbox, &pickup("reference.wav", file, "plugged.wav"), 2, &[said]);
    }
    let twice = pickup("reference.wav", "plugged.wav", "plugged.wav");
    refused(&sandbox, &twice, 2, &["it cannot be both the empty recording and the plugged recording"]);
}

#[test]
fn recordings_that_do_not_tell() {
    let plug = &STEPS.plugged;
    let same = |samples: &[f64]| take(samples).bytes();
    plugged(&same(&vec![0.0; plug.len()]), 3, &["'plugged' is silent", "nothing is written or saved"]);
    let clipped: Vec<f64> = plug.iter().map(|sample| (sample * 8.0).clamp(-1.0, 1.0)).collect();
    plugged(&same(&clipped), 3, &["'plugged' is clipped"]);
    plugged(&same(&tone(400_000)), 3, &["'plugged'"]);
    plugged(&Wav::new(Kind::Int(3), 1, 44_100, plug).bytes(), 3, &["44100 Hz"]);
    plugged(&same(&plug[..plug.len() / 2]), 3, &["'plugged'"]);
    plugged(&same(&STEPS.empty), 3, &[]);
    let sandbox = with_steps();
    let swapped = pickup("reference.wav", "plugged.wav", "empty.wav");
    refused(&sandbox, &[&swapped[..], &KEPT[..]].concat(), 3, &[]);
}

/// JSON is printed all the same, every value null, and says why.
#[test]
fn a_refusal_as_json() {
    let sandbox = with_steps();
    sandbox.write("silent.wav", take(&vec![0.0; 400_000]).bytes());
    let run = [&pickup("reference.wav", "empty.wav", "silent.wav")[..], &["--json"], &KEPT[..]].concat();
    let outcome = refused(&sandbox, &run, 3, &["is silent"]);
    let json: serde_json::Value = serde_json::from_str(&outcome.stdout).unwrap();
    assert!(json["refused"].as_str().unwrap().contains("'plugged' is silent"), "{json}");
    let values = ["capacitance_f", "input_ohms", "input_f", "inductance_h", "verdict", "options", "saved"];
    assert!(values.iter().all(|key| json[key].is_null()), "{json}");
}

#[test]
fn options_that_are_none() {
    let sandbox = with_steps();
    sandbox.write("there.svg", "precious");
    sandbox.write("kit.toml", "version = 1\n[[pickup]]\nname = \"mine\"\ncapacitance = \"1n\"\n");
    sandbox.write("no.toml", "this is no kit");
    let run = pickup("reference.wav", "empty.wav", "plugged.wav");
    for (more, said) in [
        (&["--picture", "there.svg"][..], "there.svg: it exists; give another --picture"),
        (&["--picture", "fit.gif"], "accepted are names ending in .svg or .png"),
        (&["--picture", "empty.wav", "--overwrite"], "accepted are names ending in .svg or .png"),
        (&["--save", "1M", "--kit", "kit.toml"], "--save: the name '1M' cannot be told from"),
        (&["--save", "Mine", "--kit", "kit.toml"], "'mine' is in the kit already"),
        (&["--save", "ours", "--kit", "no.toml"], "no.toml"),
        (&["--channel", "0"], "0 is not in 1..=64"),
        (&["-q", "--json"], "cannot be used with"),
    ] {
        refused(&sandbox, &[&run[..], more].concat(), 2, &[said]);
    }
    let with = |resistor| [&run[..run.len() - 1], &[resistor]].concat();
    for resistor in ["", "100", "100n", "-1k"].iter().filter(|text| **text != "100") {
        refused(&sandbox, &with(resistor), 2, &["--resistor: "]);
    }
    let both = [&run[..], &["--capacitor", "1n"]].concat();
    refused(&sandbox, &both, 2, &["cannot be used with"]);
    for (arguments, said) in [
        (&["sweep", "-o", "s.wav", "--level", "0"][..], "accepted are -40 to -6 dBFS"),
        (&["sweep", "-o", "s.wav", "--rate", "22050"], "accepted are 44100 to 192000 Hz"),
        (&["sweep", "-o", "s.flac"], "accepted are names ending in .wav"),
        (&["lead", "-o", "lead.doc"], "accepted are names ending in .pdf or .html"),
        (&["meter", "690p"], "--at"),
        (&["meter", "lots", "--at", "1k"], "the reading: "),
        (&["meter", "690p", "--at", "fast"], "accepted are 1 Hz to 1 MHz"),
        (&["meter", "690p", "--at", "1k", "--error", "80"], "accepted are 0 to 50 %"),
        (&["meter", "690p", "--at", "1k", "--per-metre", "90p"], "--cable"),
        (&["meter", "690p", "--at", "1k", "--cable", "long"], "--cable: "),
    ] {
        refused(&sandbox, &[&["measure"], arguments].concat(), 2, &[said]);
    }
}

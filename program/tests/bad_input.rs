//! Everything that has to be refused: with what is wrong, where, and what would be accepted; with exit code 2; and with every file as
//! it was.

use crate::support::wav::{Kind, Wav};
use crate::support::{Sandbox, float_take, sine};

const ACCEPTED_TAKES: &str = "accepted are WAV (RF64, BW64 and BWF too), AIFF, AIFC and FLAC files of 8- to 64-bit integers or \
                              32- or 64-bit floats, 1 to 64 channels, 8 to 384 kHz";

/// Runs what has to be refused.
#[track_caller]
fn refused(sandbox: &Sandbox, arguments: &[&str], said: &[&str]) {
    let before = sandbox.listing();
    let outcome = sandbox.run(arguments);
    assert_eq!(outcome.code, Some(2), "{arguments:?}: {outcome:?}");
    for wanted in said {
        assert!(outcome.stderr.contains(wanted), "{arguments:?}: no '{wanted}' in {}", outcome.stderr);
    }
    assert_eq!(outcome.stdout, "", "{arguments:?}");
    assert!(sandbox.listing() == before, "{arguments:?} changed a file");
}

fn take() -> Wav {
    Wav::new(Kind::Int(2), 1, 48_000, &sine(48_000, 110.0, 0.2, 1000))
}

fn with_take() -> Sandbox {
    let sandbox = Sandbox::new();
    sandbox.write("take.wav", take().bytes());
    sandbox
}

fn render<'a>(take: &'a str, output: &'a str) -> [&'a str; 10] {
    ["render", take, "--pickup", "680p", "--through", "22M", "--load", "470k", "-o", output]
}

/// A WAV file with some bytes replaced.
fn patched(at: usize, bytes: &[u8]) -> Vec<u8> {
    let mut file = take().bytes();
    file[at..at + bytes.len()].copy_from_slice(bytes);
    file
}

#[test]
fn takes_that_are_none() {
    let sandbox = Sandbox::new();
    std::fs::create_dir(sandbox.path("folder.wav")).unwrap();
    refused(&sandbox, &render("missing.wav", "out.wav"), &["missing.wav: cannot open it", ACCEPTED_TAKES]);
    refused(&sandbox, &render("folder.wav", "out.wav"), &["folder.wav: it is a folder", ACCEPTED_TAKES]);
    let whole = take().bytes();
    let mp3 = [b"ID3\x04\0\0\0\0\0\x02..".as_slice(), &[0xff, 0xfb, 0x90, 0x64], &[0; 413]].concat();
    let cases: [(&str, Vec<u8>, &str); 23] = [
        ("empty", Vec::new(), "it is empty"),
        ("text", b"Turn the system down before auditioning.".to_vec(), "it is no WAV, AIFF or FLAC file"),
        ("other riff", patched(8, b"AVI "), "it is no WAV, AIFF or FLAC file"),
        ("tag only", whole[..6].to_vec(), "its header is truncated"),
        ("mp3", mp3, "it is MP3, which has thrown away part of the sound"),
        ("wave64", b"riff\x2e\x91\xcf\x11".to_vec(), "it is Wave64 (W64), which is not read"),
        ("ogg", b"OggS\0\x02\0\0".to_vec(), "it is Ogg (Vorbis, Opus), which is not read"),
        ("flac without frames", b"fLaC".to_vec(), "its header is truncated"),
        ("aiff without sound", b"FORM\0\0\0\x04AIFF".to_vec(), "it has no COMM chunk"),
        ("aiff tag only", b"FORM\0\0".to_vec(), "its header is truncated"),
        ("cut in format", whole[..30].to_vec(), "its header is truncated"),
        ("cut before data", whole[..36].to_vec(), "its header is truncated"),
        ("cut in data's length", whole[..42].to_vec(), "its header is truncated"),
        ("no format", [&whole[..12], &whole[36..]].concat(), "its format chunk is missing before the data"),
        ("short format", patched(16, &[8]), "its format chunk has 8 bytes"),
        ("no chunk", patched(36, &[0, 1, 2, 3]), "no chunk where one should begin, at byte 36"),
        ("adpcm", patched(20, &[2, 0]), "its codec (format tag 0x0002) is not one that can be read"),
        ("mu-law", patched(20, &[7, 0]), "its codec (format tag 0x0007) is not one that can be read"),
        ("no channels", patched(22, &[0, 0]), "it has 0 channels"),
        ("65 channels", patched(22, &[65, 0]), "it has 65 channels"),
        ("0 Hz", patched(24, &[0; 8]), "its sample rate is 0 Hz"),
        ("7999 Hz", Wav { rate_hz: 7999, ..take() }.bytes(), "its sample rate is 7999 Hz"),
        ("384001 Hz", Wav { rate_hz: 384_001, ..take() }.bytes(), "its sample rate is 384001 Hz"),
    ];
    for (name, bytes, said) in cases {
        sandbox.write(name, bytes);
        refused(&sandbox, &render(name, "out.wav"), &[name, said, ACCEPTED_TAKES]);
    }
}

#[test]
fn takes_that_are_not_whole() {
    let sandbox = Sandbox::new();
    let whole = take().bytes();
    let flag = "--allow-damaged processes";
    sandbox.write("cut", &whole[..44 + 2 * 700 + 1]);
    let said = ["cut: truncated", "promises 1000 frames, 700 are there", "frame 700 (counted from 0)", flag];
    refused(&sandbox, &render("cut", "out.wav"), &said);
    sandbox.write("piped", patched(40, &[0xff; 4]));
    refused(
        &sandbox,
        &render("piped", "out.wav"),
        &["piped: its header was never finished", flag, "1000 frames"],
    );
    let mut unfinished = patched(40, &[0; 4]);
    unfinished[4..8].copy_from_slice(&36_u32.to_le_bytes());
    sandbox.write("power cut", unfinished);
    refused(
        &sandbox,
        &render("power cut", "out.wav"),
        &["its header was never finished", flag, "1000 frames"],
    );
    let half = Wav { channels: 2, data: vec![0; 6], ..take() };
    sandbox.write("half a frame", half.bytes());
    refused(&sandbox, &render("half a frame", "out.wav"), &["6 bytes, no whole number of frames of 4 bytes"]);
}

#[test]
fn samples_that_are_no_numbers() {
    let sandbox = Sandbox::new();
    for (value, name) in [(f64::NAN, "NaN"), (f64::INFINITY, "inf"), (f64::NEG_INFINITY, "-inf")] {
        let mut samples = sine(48_000, 110.0, 0.2, 40_000);
        samples[2 * 9001 + 1] = value;
        sandbox.write("bad.wav", Wav::new(Kind::Float, 2, 48_000, &samples).bytes());
        let said = format!("bad.wav: the sample at frame 9001 (counted from 0) of channel 2 is {name}");
        let said = [said.as_str(), "accepted are finite numbers", "--allow-damaged"];
        refused(&sandbox, &render("bad.wav", "out.wav"), &said);
        refused(&sandbox, &[render("bad.wav", "out.wav").as_slice(), &["--no-match"]].concat(), &said);
        // Found when the folder and the first file are already begun: they go again.
        let set = ["render", "bad.wav", "--setups", "presets/courtyard.toml", "--no-match", "-o", "set"];
        sandbox.courtyard();
        refused(&sandbox, &set, &said);
    }
}

#[test]
fn outputs_that_would_cost_something() {
    let sandbox = with_take();
    let other = "give another -o";
    sandbox.write("there.wav", "precious");
    refused(&sandbox, &render("take.wav", "there.wav"), &["there.wav: it exists", other, "--overwrite"]);
    for overwrite in [&[][..], &["--overwrite"]] {
        let same = |output| [render("take.wav", output).as_slice(), overwrite].concat();
        refused(&sandbox, &same("take.wav"), &["take.wav: it is the take itself", other]);
        refused(&sandbox, &same("./take.wav"), &["take.wav: it is the take itself", other]);
    }
    std::fs::create_dir(sandbox.path("folder")).unwrap();
    refused(&sandbox, &render("take.wav", "folder"), &["folder: it is a folder", "the name of a file"]);
    refused(&sandbox, &render("take.wav", "none/o.wav"), &["none: there is no such folder for the output"]);
    let set = |output| ["render", "take.wav", "--setups", "presets/courtyard.toml", "-o", output];
    sandbox.courtyard();
    refused(&sandbox, &set("there.wav"), &["there.wav: it is not a folder", "-o names a folder"]);
    refused(&sandbox, &set("none/set"), &["none: there is no such folder for the output"]);
    let curve = |output| ["curve", "--pickup", "680p", "--load", "1M", "-o", output];
    sandbox.write("there.svg", "precious");
    refused(&sandbox, &curve("there.svg"), &["there.svg: it exists", other, "--overwrite"]);
    refused(
        &sandbox,
        &curve("curves.gif"),
        &["curves.gif", "accepted are names ending in .svg, .png or .csv"],
    );
}

#[test]
fn one_file_of_a_set_that_exists() {
    let sandbox = with_take();
    sandbox.courtyard();
    let set = ["render", "take.wav", "--setups", "presets/courtyard.toml", "-o", "set"];
    sandbox.done(&set);
    let last =
        std::fs::read_dir(sandbox.path("set")).unwrap().map(|entry| entry.unwrap().path()).max().unwrap();
    for entry in std::fs::read_dir(sandbox.path("set")).unwrap().map(|entry| entry.unwrap().path()) {
        if entry != last {
            std::fs::remove_file(entry).unwrap();
        }
    }
    let name = last.file_name().unwrap().to_string_lossy().into_owned();
    refused(&sandbox, &set, &[&name, "it exists", "--overwrite"]);
}

#[cfg(unix)]
#[test]
fn the_take_under_another_name() {
    let sandbox = with_take();
    std::os::unix::fs::symlink("take.wav", sandbox.path("soft.wav")).unwrap();
    std::fs::hard_link(sandbox.path("take.wav"), sandbox.path("hard.wav")).unwrap();
    let (itself, link) = ("it is the take itself", "it is a symbolic link");
    for (take, output, said) in [
        ("take.wav", "soft.wav", link),
        ("soft.wav", "take.wav", itself),
        ("take.wav", "hard.wav", itself),
        ("hard.wav", "take.wav", itself),
    ] {
        let arguments = [render(take, output).as_slice(), &["--overwrite"]].concat();
        refused(&sandbox, &arguments, &[output, said]);
    }
    // A link that leads nowhere is there all the same.
    std::os::unix::fs::symlink("nowhere", sandbox.path("dangling.wav")).unwrap();
    refused(&sandbox, &render("take.wav", "dangling.wav"), &["dangling.wav: it is a symbolic link"]);
}

/// In the same words on every system, wherever a file is named.
#[test]
fn folders_in_the_place_of_files() {
    let sandbox = with_take();
    sandbox.write("page.html", "");
    std::fs::create_dir(sandbox.path("folder")).unwrap();
    for arguments in [
        &render("folder", "out.wav")[..],
        &["tell", "--setups", "folder"],
        &["tell", "--pickup", "680p", "--load", "1M", "--kit", "folder"],
        &["kit", "--kit", "folder"],
        &["kit", "embed", "folder", "-o", "out.toml"],
        &["votes", "folder", "page.html"],
    ] {
        refused(&sandbox, arguments, &["folder: ", "it is a folder"]);
    }
}

const COURTYARD: &str = include_str!("../../presets/courtyard.toml");

#[test]
fn files_of_setups_that_cannot_be_read() {
    let sandbox = with_take();
    let refused = |name: &str, said: &[&str]| {
        for arguments in [
            &["render", "take.wav", "--setups", name, "-o", "set"][..],
            &["tell", "--setups", name],
            &["curve", "--setups", name, "-o", "curves.svg"],
        ] {
            refused(&sandbox, arguments, &[&[name], said].concat());
        }
    };
    let accepted = "accepted are text files";
    refused("missing.toml", &["cannot read it as a file of setups", accepted]);
    std::fs::create_dir(sandbox.path("folder.toml")).unwrap();
    refused("folder.toml", &["cannot read it as a file of setups", accepted]);
    refused("take.wav", &["cannot read it as a file of setups", accepted]);
    let replaced = |from: &str, to: &str| {
        assert!(COURTYARD.contains(from), "{from}");
        COURTYARD.replacen(from, to, 1)
    };
    for (text, said) in [
        (String::new(), ["line 1: version is missing: write version = 5", ""]),
        ("no toml".to_owned(), ["line 1: cannot read no toml", ""]),
        (replaced("version = 1", "version = 6"), ["version = 6 is not known", "accepted are 1 to 5"]),
        (
            replaced("version = 1", "version = 1\ncolour = 'red'"),
            ["line 3: colour is not known here", "accepted are version"],
        ),
        (replaced("680 pF", "680 kg"), ["'680 kg'", "accepted are 680p"]),
        (replaced("\"56k\"", "\"-56k\""), ["it must be greater than zero", "accepted are 470k"]),
        (replaced("\"22M\"", "\"22M ||\""), ["it is empty", "accepted are parts joined by ||"]),
        (replaced("\"guitarron\"", "\"kazoo\""), ["instrument 'kazoo' is not known", "accepted are bass"]),
        (
            replaced("thru = \"after\"", "thru = \"sideways\""),
            ["thru = \"sideways\" is not known", "accepted are before, after"],
        ),
        (replaced(", thru = \"after\"", ""), ["something follows box 'tuner'", "needs thru = \"before\""]),
        (
            replaced("name = \"combo\"", "name = \"tuner\""),
            ["two setups are called 'tuner'", "a name of its own"],
        ),
    ] {
        sandbox.write("bad.toml", text);
        refused("bad.toml", &said);
    }
}

const LOADS: &str =
    "accepted are parts joined by ||, such as 470k || 1M || 6 m || 100p || 50 H || transformer 140k, or none";

#[test]
fn loads_that_are_none() {
    let sandbox = with_take();
    for (value, problem) in [
        ("-470k", "'-470k' as part of a load: it must be greater than zero"),
        ("0", "it must be greater than zero"),
        ("1M || 0p", "'0p' as part of a load: it must be greater than zero"),
        ("inf", "it does not start with a number"),
        ("NaN", "it does not start with a number"),
        ("1e999k", "it is outside 0.01 Ω to 1 TΩ"),
        ("4k7k", "'k' is not a unit here"),
        ("1M ||", "'1M ||' as part of a load: it is empty"),
        ("|| 1M", "it is empty"),
        ("", "it is empty"),
        ("1 kg", "'kg' is not a unit here"),
        ("470000", "its unit is missing"),
        ("470k 1M", "is not a unit here"),
    ] {
        let tell = ["tell", "--pickup", "680p", "--load", value];
        refused(&sandbox, &tell, &["--load: cannot read", problem, LOADS]);
        let mut arguments = render("take.wav", "out.wav");
        arguments[5] = value;
        refused(&sandbox, &arguments, &["--recorded-through: cannot read", problem, LOADS]);
        let curve = ["curve", "--pickup", "680p", "--load", "1M", "--load", value, "-o", "curves.svg"];
        refused(&sandbox, &curve, &["--load: cannot read", problem, LOADS]);
    }
}

#[test]
fn other_values_that_are_none() {
    let sandbox = with_take();
    let tell = |option: &str, value: &str, said: &[&str]| {
        let rest = match option {
            "--pickup" => &["--load", "1M"][..],
            _ => &["--load", "1M", "--pickup", "680p"],
        };
        refused(&sandbox, &[&["tell", option, value], rest].concat(), &[&[option], said].concat());
    };
    for (value, problem) in [
        ("-1n", "must be greater than zero"),
        ("0p", "must be greater than zero"),
        ("inf9", "does not start with a number"),
        ("2F", "outside 0.001 pF to 1 F"),
        ("680k", "'k' is not a unit here"),
        ("4n7n", "'n' is not a unit here"),
        ("1", "its unit is missing"),
        ("", "it is empty"),
    ] {
        tell("--pickup", value, &["a capacitance", problem, "accepted are 680p"]);
    }
    tell("--leakage", "-1M", &["must be greater than zero", "accepted are 470k"]);
    tell("--strings", "A1 H2", &["'H2'", "accepted are a letter A to G"]);
    tell("--strings", " ", &["no pitch given", "accepted are A1"]);
    tell("--instrument", "kazoo", &["'kazoo' is not known", "accepted are bass", "guitarron"]);
    for value in ["0", "-442", "NaN", "inf", "442 kHz", "A"] {
        tell("--a4", value, &[value, "accepted are 100 to 1000 Hz"]);
    }
    for value in ["0", "-1", "NaN", "inf", "61", "1 kg"] {
        tell("--max-loss", value, &[value, "accepted are more than 0 and at most 60 dB"]);
    }
    for value in ["0", "-24", "NaN", "inf", "121", "24 kg", "on", ""] {
        let arguments = [render("take.wav", "out.wav").as_slice(), &["--undo-ceiling", value]].concat();
        let accepted = "accepted are more than 0 and at most 120 dB, or off";
        refused(&sandbox, &arguments, &["--undo-ceiling", value, accepted]);
    }
}

/// What would come to nothing, or cannot be, is said.
#[test]
fn undoing_by_the_noise() {
    let sandbox = with_take();
    let undo = ["render", "take.wav", "--pickup", "680p", "--through", "1M", "--load", "none", "-o", "x.wav"];
    let refused = |more: &[&str], said: &[&str]| refused(&sandbox, &[undo.as_slice(), more].concat(), said);
    for value in ["0", "0.6", "-0.5", "NaN", "on"] {
        refused(&["--undo-floor", value], &["--undo-floor", value, "accepted are 0.1 to 0.5"]);
    }
    refused(&["--noise-from", "2"], &["--noise-from: '2' is no stretch", "0:00-0:02"]);
    refused(&["--noise-from", "0:00-x"], &["--noise-from: cannot read 'x'"]);
    refused(&["--noise-from", "0:02-0:01"], &["is 0.00 s long: accepted is at least 1.2 s"]);
    refused(&["--noise-from", "0:00-1:00:00"], &["--noise-from"]);
    refused(&["--noise-from", "0:00-2:00"], &["ends behind what is rendered: accepted is up to"]);
    refused(&["--undo-ceiling", "auto"], &["take.wav: --undo-ceiling auto: it has nowhere 1.2 s of sound"]);
    for option in ["--string-margin", "--rumble-margin"] {
        refused(&[option, "61"], &[option, "accepted are 0 to 60 dB"]);
    }
    refused(&["--in-dbu-at-full-scale", "61"], &["--in-dbu-at-full-scale", "-80 dBu", "+60 dBu"]);
    let applied =
        ["render", "take.wav", "--pickup", "680p", "--through", "22M", "--load", "1M", "--undo-floor", "0.5"];
    let said = ["--undo-floor: nothing that is asked for lifts the lows"];
    self::refused(&sandbox, &[applied.as_slice(), &["-o", "x.wav"]].concat(), &said);
    let coil = ["render", "take.wav", "--coil", "double", "--through", "1M", "--load", "none", "-o", "x.wav"];
    let said = ["--undo-ceiling auto: it weighs what a load took at the bottom"];
    self::refused(&sandbox, &[coil.as_slice(), &["--undo-ceiling", "auto"]].concat(), &said);
}

/// It would ring for ever; nothing is written, and nothing told.
#[test]
fn loads_that_resonate_without_loss() {
    let sandbox = with_take();
    let said =
        ["an inductance of 50 H resonates at 863.1 Hz without loss", "winding's resistance", "50 H || 100k"];
    let option = |option| [&[option], said.as_slice()].concat();
    for load in ["50 H", "50 H || 1T"] {
        let render =
            ["render", "take.wav", "--pickup", "680p", "--through", "22M", "--load", load, "-o", "x.wav"];
        refused(&sandbox, &render, &option("--load: "));
        let undo =
            ["render", "take.wav", "--pickup", "680p", "--through", load, "--load", "none", "-o", "x.wav"];
        refused(&sandbox, &undo, &option("--recorded-through: "));
        refused(&sandbox, &["tell", "--pickup", "680p", "--load", load], &option("--load: "));
        refused(&sandbox, &["curve", "--pickup", "680p", "--load", load, "-o", "x.svg"], &option("--load: "));
    }
    let file = "version = 2\nname = 'x'\npickup = { inductance = '2 H', resistance = '5k' }\nrecorded = { load = 'none' }\n\
                [[setup]]\nname = 'coil'\nload = '50 H'\n";
    sandbox.write("coil.toml", file);
    sandbox.done(&["tell", "--setups", "coil.toml"]);
    let other = ["tell", "--setups", "coil.toml", "--pickup", "680p"];
    refused(&sandbox, &other, &option("setup 'coil': "));
    sandbox.write("bare.toml", file.replace("inductance = '2 H', resistance = '5k'", "capacitance = '680p'"));
    refused(&sandbox, &["tell", "--setups", "bare.toml"], &option("bare.toml: line 5: setup 'coil': "));
}

#[test]
fn options_that_do_not_fit() {
    let sandbox = with_take();
    sandbox.courtyard();
    refused(&sandbox, &["tell", "--pickup", "680p"], &["required", "--load <LOAD>"]);
    refused(&sandbox, &["tell", "--load", "1M"], &["required", "--pickup <CAPACITANCE>"]);
    let both = ["tell", "--load", "1M", "--setups", "presets/courtyard.toml"];
    refused(&sandbox, &both, &["--load", "cannot be used with"]);
    refused(
        &sandbox,
        &["render", "take.wav", "--pickup", "1n", "--load", "1M", "-o", "x.wav"],
        &["--recorded-through <LOAD>"],
    );
    refused(&sandbox, &["render", "--pickup", "1n"], &["<TAKE>", "--output <PATH>"]);
    let format = [render("take.wav", "out.wav").as_slice(), &["--sample-format", "12"]].concat();
    refused(&sandbox, &format, &["'12'", "same, 16, 24, 32, float"]);
    refused(&sandbox, &["tell", "--load", "1M", "--pickup", "1n", "--frob"], &["--frob", "unexpected"]);
    refused(&sandbox, &["frob"], &["frob", "unrecognized subcommand"]);
}

#[test]
fn coils_that_are_none() {
    let sandbox = Sandbox::new();
    let coil = |rest: &[&str], said: &[&str]| {
        refused(&sandbox, &[&["tell", "--load", "1M"], rest].concat(), said);
    };
    coil(&[], &["required", "--pickup <CAPACITANCE>", "--coil <INDUCTANCE>", "--setups <FILE>"]);
    coil(&["--coil", "4.7 H"], &["--coil needs --coil-resistance, such as 8k2", "--coil double"]);
    coil(&["--coil-resistance", "8k2"], &["required", "--coil <INDUCTANCE>"]);
    coil(&["--winding", "120p"], &["required", "--coil <INDUCTANCE>"]);
    let ohms = ["--coil-resistance", "8k2"];
    let both = [["--coil", "4.7 H"], ohms, ["--pickup", "1n"]].concat();
    coil(&both, &["--pickup", "cannot be used with"]);
    let leaking = [["--coil", "4.7 H"], ohms, ["--leakage", "1G"]].concat();
    coil(&leaking, &["cannot be used with"]);
    for (value, problem) in [
        ("0 H", "must be greater than zero"),
        ("-4.7 H", "must be greater than zero"),
        ("4.7", "its unit is missing"),
        ("4.7k", "'k' is not a unit here"),
        ("inf9", "does not start with a number"),
    ] {
        coil(
            &[&["--coil", value], ohms.as_slice()].concat(),
            &["--coil: cannot read", problem, "accepted are 50 H"],
        );
    }
    let bad = ["--coil", "4.7 H", "--coil-resistance", "8 kg"];
    coil(&bad, &["--coil-resistance: cannot read", "accepted are 470k"]);
    let bad = ["--coil", "4.7 H", "--coil-resistance", "8k2", "--winding", "120"];
    coil(&bad, &["--winding: cannot read", "accepted are 680p"]);
    let bad = ["--coil", "4.7 H", "--coil-resistance", "8k2", "--coil-loss", "0"];
    coil(&bad, &["--coil-loss: cannot read", "must be greater than zero"]);
    coil(&["--coil-loss", "470k"], &["required", "--coil <INDUCTANCE>"]);
}

/// With `--overwrite` the old file makes way, and only then.
#[test]
fn overwriting_when_asked() {
    let sandbox = Sandbox::new();
    sandbox.write("take.wav", float_take(48_000, &sine(48_000, 110.0, 0.2, 100)).bytes());
    sandbox.write("there.wav", "old");
    sandbox.done(&[render("take.wav", "there.wav").as_slice(), &["--overwrite"]].concat());
    assert_eq!(sandbox.wav("there.wav").frames(), 100);
}

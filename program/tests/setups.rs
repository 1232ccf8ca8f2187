//! Files of setups as people write and name them: a starter, the guide, names in whatever letters, slips, what only sound needs.

use std::fs;

use crate::support::wav::{Kind, Wav};
use crate::support::{Sandbox, sine};

/// Every command that reads a file of setups and needs no window, with what comes behind the file.
const COMMANDS: [(&str, &str); 6] = [
    ("tell", ""),
    ("rescue", ""),
    ("curve", "-o x.csv"),
    ("note", "-o x.html"),
    ("render take.wav", "-o x"),
    ("pack take.wav", "-o x.html"),
];

fn words(line: &str) -> Vec<&str> {
    line.split_whitespace().collect()
}

fn sandbox() -> Sandbox {
    let sandbox = Sandbox::new();
    sandbox.write("take.wav", Wav::new(Kind::Int(2), 1, 48_000, &sine(48_000, 110.0, 0.2, 24_000)).bytes());
    sandbox
}

fn refused(sandbox: &Sandbox, line: &str, said: &[&str]) {
    let outcome = sandbox.run(&words(line));
    assert_eq!(outcome.code, Some(2), "{line}: {outcome:?}");
    for said in said {
        assert!(outcome.stderr.contains(said), "{line}: {said} in {}", outcome.stderr);
    }
}

/// Two commands from nothing to figures.
#[test]
fn a_starter_is_told_at_once() {
    let sandbox = Sandbox::new();
    let next = sandbox.done(&["new", "venue.toml"]);
    assert!(next.contains("firstjack tell --setups \"venue.toml\""), "{next}");
    let told = sandbox.done(&["tell", "--setups", "venue.toml"]);
    assert!(told.contains("loses") && told.contains("house box"), "{told}");
    assert_eq!(sandbox.listing().len(), 1);
    // Whatever has been written there stays.
    sandbox.write("venue.toml", "mine");
    refused(&sandbox, "new venue.toml", &["venue.toml: it exists, and stays as it is; give another name"]);
    assert_eq!(sandbox.read("venue.toml"), b"mine");
    refused(&sandbox, "new nowhere/venue.toml", &["there is no such folder"]);
    assert!(sandbox.done(&["new", "-"]).starts_with("# A file of setups"));
}

#[test]
fn a_starter_may_bring_its_schema() {
    let sandbox = Sandbox::new();
    for name in ["a.toml", "b.toml"] {
        sandbox.done(&["new", "--schema", name]);
        let text = String::from_utf8(sandbox.read(name)).unwrap();
        assert!(text.starts_with("#:schema ./setups.schema.json\n"), "{text}");
        sandbox.done(&["tell", "--setups", name]);
    }
    assert_eq!(sandbox.read("setups.schema.json"), include_bytes!("../../presets/setups.schema.json"));
    sandbox.write("setups.schema.json", "{}");
    refused(&sandbox, "new --schema c.toml", &["setups.schema.json: it exists, and stays as it is"]);
    assert!(!sandbox.path("c.toml").exists());
}

#[test]
fn help_has_the_guide_beside_the_commands() {
    let sandbox = Sandbox::new();
    assert_eq!(sandbox.done(&["help", "setups"]), include_str!("../../docs/setups.md"));
    for command in ["tell", "render", "new", "list"] {
        assert_eq!(sandbox.done(&["help", command]), sandbox.done(&[command, "--help"]), "{command}");
    }
    assert_eq!(sandbox.done(&["help"]), sandbox.done(&["--help"]));
    assert!(sandbox.done(&["--help"]).contains("help setups"));
    refused(&sandbox, "help abacus", &["unrecognized subcommand 'abacus'"]);
}

/// In each command alike: capital letters, accents put together in two ways, and one wrong letter.
#[test]
fn venues_and_setups_are_found_in_whatever_letters() {
    let sandbox = sandbox();
    let text = include_str!("../../presets/venues.toml").replace("chapel", "Hof Andr\u{e9}");
    sandbox.write("venues.toml", &text);
    let told = |options: &[&str]| {
        let told = sandbox.json(&[&["tell", "--setups", "venues.toml"], options].concat());
        told["setups"].as_array().unwrap().iter().map(|one| one["name"].clone()).collect::<Vec<_>>()
    };
    assert_eq!(told(&["--venue", "COURTYARD"]), told(&["--venue", "courtyard"]));
    assert_eq!(
        told(&["--venue", "hof andre\u{301}"]),
        ["own buffer box", "wall socket", "gallery amplifier"]
    );
    assert_eq!(told(&["--setup", "WALL Socket"]), ["wall socket"]);
    for (command, output) in COMMANDS {
        let file = |options: &str| format!("{command} --setups venues.toml {options} {output}");
        sandbox.done(&words(&file("--venue COURTYARD")));
        let _ = fs::remove_file(sandbox.path("x.csv")).or_else(|_| fs::remove_file(sandbox.path("x.html")));
        let _ = fs::remove_dir_all(sandbox.path("x"));
        refused(
            &sandbox,
            &file("--venue cortyard"),
            &["--venue: 'cortyard' is not known: did you mean 'courtyard'?"],
        );
        refused(&sandbox, &file("--setup wallsocket"), &["did you mean 'wall socket'?"]);
        refused(&sandbox, &file("--venue moon"), &["'moon' is not known: accepted are courtyard, "]);
    }
    // The page for the crew has the venue as the file spells it.
    sandbox.done(&words("note --setups venues.toml --venue COURTYARD -o note.html"));
    let note = String::from_utf8(sandbox.read("note.html")).unwrap();
    assert!(note.contains("courtyard") && !note.contains("COURTYARD"));
    // Two that differ in nothing else are told apart by their letters alone.
    let twins = "version = 5\nname = 'x'\npickup = '1n'\n[[setup]]\nname = 'Amp'\nload = '1M'\n[[setup]]\nname = 'AMP'\nload = '2M'\n";
    sandbox.write("twins.toml", twins);
    sandbox.done(&words("tell --setups twins.toml --setup AMP"));
    refused(&sandbox, "tell --setups twins.toml --setup amp", &["'amp' may be 'Amp' or 'AMP'"]);
}

#[test]
fn slips_are_remarked() {
    let sandbox = sandbox();
    let setup = |name: &str, venue: &str, load: &str| {
        format!("[[setup]]\nname = '{name}'\nvenue = '{venue}'\nload = '{load}'\n")
    };
    let head = "version = 5\nname = 'x'\npickup = '1n'\n";
    let text = [head, &setup("a", "courtyard", "1M"), &setup("b", "Courtyard", "1M")].concat();
    sandbox.write("slips.toml", text);
    let told = sandbox.done(&words("tell --setups slips.toml"));
    for said in ["The setups 'a' and 'b' are the same", "Are the venues 'courtyard' and 'Courtyard' one?"] {
        assert_eq!(told.matches(said).count(), 1, "{said} in {told}");
    }
    let remarks = sandbox.json(&words("tell --setups slips.toml"))["remarks"].clone();
    assert_eq!(remarks.as_array().map(Vec::len), Some(2), "{remarks}");
}

/// Figures need no word on what was recorded; sound does, and says what to write.
#[test]
fn only_sound_needs_what_was_recorded() {
    let sandbox = sandbox();
    let text = "version = 5\nname = 'x'\npickup = '1n'\n[[setup]]\nname = 'amp'\nload = '1M'\n";
    sandbox.write("tonight.toml", text);
    for line in ["tell", "rescue", "curve -o x.svg", "note -o x.html"] {
        sandbox.done(&words(&format!("{line} --setups tonight.toml")));
    }
    for line in ["render take.wav -o x", "pack take.wav -o y.html"] {
        let said = [
            "does not say what the take was recorded through",
            "recorded = \"22M\"",
            "--recorded-through 22M",
        ];
        refused(&sandbox, &format!("{line} --setups tonight.toml"), &said);
        sandbox.done(&words(&format!("{line} --setups tonight.toml --recorded-through 22M")));
    }
    #[cfg(feature = "window")]
    refused(
        &sandbox,
        "open take.wav --setups tonight.toml",
        &["tonight.toml: it does not say what the take was recorded through: write recorded = \"22M\""],
    );
    sandbox.write("tonight.toml", text.replace("pickup", "recorded = 'none'\npickup"));
    sandbox.done(&words("render take.wav -o z --setups tonight.toml"));
}

/// One line: file, line, setup by its name, field, value, and what is accepted.
#[test]
fn what_is_wrong_is_said_in_one_line() {
    let sandbox = Sandbox::new();
    let text = "version = 5\nname = 'x'\npickup = '1n'\n[[setup]]\nname = 'amp'\nload = '1 kg'\n";
    sandbox.write("tonight.toml", text);
    let outcome = sandbox.run(&words("tell --setups tonight.toml"));
    assert_eq!(
        outcome.stderr.trim_end().split("; accepted").next(),
        Some(
            "firstjack: tonight.toml: line 6: setup 'amp': load: cannot read '1 kg' as part of a load: 'kg' is not a unit here"
        )
    );
    assert_eq!(outcome.stderr.lines().count(), 1, "{outcome:?}");
}

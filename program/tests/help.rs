//! What the program says about itself, and where it says it.

use std::io::pipe;
use std::process::Stdio;

use crate::support::wav::{Kind, Wav};
use crate::support::{Outcome, Sandbox, sine};

const COMMANDS: [&str; 17] = [
    "tell",
    "render",
    "curve",
    "pack",
    "note",
    "into-amp",
    "rescue",
    "measure",
    "open",
    "live",
    "votes",
    "new",
    "kit",
    "list",
    "completions",
    "man",
    "help",
];

#[test]
fn help_names_every_command_and_version() {
    let sandbox = Sandbox::new();
    for option in ["--help", "-h"] {
        let help = sandbox.done(&[option]);
        for command in COMMANDS {
            let unbuilt = (command == "open" && !cfg!(feature = "window"))
                || (command == "live" && !cfg!(feature = "sound"));
            assert_eq!(help.contains(&format!("\n  {command} ")), !unbuilt, "{command} in {help}");
            assert!(sandbox.done(&[command, option]).contains("Usage: firstjack"));
        }
    }
    assert_eq!(sandbox.done(&["--version"]), concat!("firstjack ", env!("CARGO_PKG_VERSION"), "\n"));
    assert_eq!(sandbox.run(&[]).code, Some(2));
}

/// The examples of a command's help, as a shell would split them.
fn examples(help: &str) -> Vec<Vec<String>> {
    let lines = help.lines().skip_while(|line| *line != "Examples:").skip(1);
    let examples = lines.take_while(|line| line.starts_with("  firstjack "));
    let words = |line: &str| {
        let quoted = line.trim().split('"').enumerate();
        let words = quoted.flat_map(|(i, part)| match i % 2 {
            0 => part.split_whitespace().map(str::to_owned).collect(),
            _ => vec![part.to_owned()],
        });
        words.skip(1).collect()
    };
    examples.map(words).collect()
}

#[test]
fn the_examples_run() {
    for (command, count) in
        [("tell", 9), ("render", 5), ("curve", 4), ("note", 3), ("rescue", 4), ("into-amp", 3)]
    {
        let sandbox = Sandbox::new();
        sandbox.courtyard();
        sandbox.write("presets/venues.toml", include_str!("../../presets/venues.toml"));
        sandbox.write("presets/tour.toml", include_str!("../../presets/tour.toml"));
        sandbox
            .write("take.wav", Wav::new(Kind::Int(2), 1, 48_000, &sine(48_000, 110.0, 0.2, 24_000)).bytes());
        sandbox.write("solo.wav", sandbox.read("take.wav"));
        sandbox.write(
            "own.toml",
            "version = 1\n[[box]]\nname = 'ours'\ninput = '1M'\nin_dbu_at_full_scale = '10 dBu'\nout_dbu_at_full_scale = '18 dBu'\n",
        );
        let examples = examples(&sandbox.done(&[command, "--help"]));
        assert_eq!(examples.len(), count, "{command}");
        for example in examples {
            let before = sandbox.listing().len();
            let words: Vec<&str> = example.iter().map(String::as_str).collect();
            let said = sandbox.done(&words);
            assert!(
                said.contains("loses") || said.contains("shelf") || sandbox.listing().len() > before,
                "{example:?} did nothing"
            );
        }
    }
}

/// Every way that a usage line offers goes, with values in its places.
#[test]
fn the_usage_lines_go() {
    let values = [
        ("<TAKE>...", "take.wav solo.wav"),
        ("<TAKE>", "take.wav"),
        ("<CAPACITANCE>", "680p"),
        ("<INDUCTANCE>", "4.7H"),
        ("<RESISTANCE>", "8k2"),
        ("--recorded-through <LOAD>", "--recorded-through 22M"),
        ("--load <LOAD>", "--load 470k"),
        ("--into <LOAD>", "--into 470k"),
        ("--setup <NAME>", "--setup combo"),
        ("--setups <FILE>", "--setups presets/courtyard.toml"),
        ("<FOLDER>", "made/"),
        ("<PATH>", "made.wav"),
        ("<FILE.", "made."),
        (">", ""),
        (" [OPTIONS]", ""),
    ];
    for (command, ways) in
        [("tell", 3), ("render", 3), ("curve", 4), ("pack", 2), ("note", 1), ("rescue", 2), ("into-amp", 2)]
    {
        let sandbox = Sandbox::new();
        let help = sandbox.done(&[command, "-h"]);
        let usage = help.split("Usage: ").nth(1).unwrap().lines().take_while(|line| !line.is_empty());
        let lines: Vec<&str> = usage.map(str::trim).collect();
        assert_eq!(lines.len(), ways, "{lines:?}");
        for line in lines {
            let sandbox = Sandbox::new();
            sandbox.courtyard();
            let take = Wav::new(Kind::Int(2), 1, 48_000, &sine(48_000, 110.0, 0.2, 24_000));
            sandbox.write("take.wav", take.bytes());
            sandbox.write("solo.wav", take.bytes());
            let typed =
                values.iter().fold(line.to_owned(), |line, (place, value)| line.replace(place, value));
            assert!(!typed.contains('<'), "{typed}");
            sandbox.done(&typed.split_whitespace().skip(1).collect::<Vec<_>>());
        }
    }
}

#[test]
fn completions_know_the_commands() {
    let sandbox = Sandbox::new();
    for shell in ["bash", "zsh", "fish", "elvish", "powershell"] {
        let script = sandbox.done(&["completions", shell]);
        assert!(COMMANDS.iter().all(|command| script.contains(command)), "{shell}");
        assert!(script.contains("undo-ceiling") && script.contains("suggest-marks"), "{shell}");
    }
    assert_eq!(sandbox.run(&["completions", "abacus"]).code, Some(2));
}

#[test]
fn the_manual_page_is_one() {
    let page = Sandbox::new().done(&["man"]);
    let header = page.lines().find(|line| line.starts_with(".TH"));
    assert!(header.is_some_and(|line| line.to_lowercase().starts_with(".th firstjack 1")), "{header:?}");
    for wanted in
        [".SH NAME", ".SH SYNOPSIS", "undo\\-ceiling", "Exit codes", "hurt hearing", "suggest\\-marks"]
    {
        assert!(page.replace('\n', " ").contains(wanted), "{wanted} in {page}");
    }
}

#[test]
fn the_list_names_what_the_options_take() {
    let sandbox = Sandbox::new();
    let list = sandbox.done(&["list"]);
    let instruments = list.lines().skip(1).take_while(|line| !line.is_empty());
    let ids: Vec<&str> = instruments.filter_map(|line| line.split_whitespace().next()).collect();
    assert!(ids.len() >= 5 && ids.contains(&"guitarron"), "{list}");
    for id in ids {
        sandbox.done(&["tell", "--pickup", "1n", "--load", "1M", "--instrument", id]);
    }
}

const PRINTING: [&[&str]; 5] = [
    &["tell", "--pickup", "680p", "--load", "470k"],
    &["tell", "--pickup", "680p", "--load", "470k", "--json"],
    &["list"],
    &["man"],
    &["completions", "bash"],
];

/// As in `firstjack man | head -1`, but with nobody reading from the start.
#[test]
fn a_reader_that_has_left_is_no_failure() {
    let sandbox = Sandbox::new();
    for arguments in PRINTING {
        let (reader, writer) = pipe().unwrap();
        drop(reader);
        let child = sandbox.command(arguments).stdout(writer).stderr(Stdio::piped()).spawn().unwrap();
        let outcome = Outcome::of(child.wait_with_output());
        assert_eq!((outcome.code, outcome.stderr.as_str()), (Some(0), ""), "{arguments:?}");
    }
}

/// `/dev/full` is Linux's always full disk.
#[cfg(target_os = "linux")]
#[test]
fn a_full_disk_under_standard_output_is_said() {
    let sandbox = Sandbox::new();
    for arguments in PRINTING {
        let full = std::fs::File::create("/dev/full").unwrap();
        let outcome = Outcome::of(sandbox.command(arguments).stdout(full).output());
        assert_eq!(outcome.code, Some(1), "{arguments:?}");
        assert!(outcome.stderr.contains("standard output: cannot write"), "{outcome:?}");
    }
}

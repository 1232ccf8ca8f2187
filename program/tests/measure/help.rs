//! What the commands say of themselves.

use super::{STEPS, take, tone};
use crate::support::Sandbox;

const COMMANDS: [(&str, usize); 8] = [
    ("lead", 1),
    ("sweep", 1),
    ("pickup", 2),
    ("box", 2),
    ("coil", 1),
    ("toggle", 3),
    ("rub", 1),
    ("meter", 1),
];

/// Every way that a usage line offers can be typed: it is done, or the recordings do not tell.
#[test]
fn the_usage_lines_go() {
    let values = [
        ("--reference <FILE>", "--reference reference.wav"),
        ("--empty <FILE>", "--empty tone.wav"),
        ("--plugged <FILE>", "--plugged take.wav"),
        ("--box <FILE>", "--box take.wav"),
        ("<TAKE>", "take.wav"),
        ("<RESISTANCE>", "100k±1%"),
        ("<CAPACITANCE>", "1n±5%"),
        ("--load-a <LOAD>", "--load-a 1M"),
        ("--added <LOAD>", "--added 56k"),
        ("<TIMES>", "1;2;3"),
        ("<HZ>", "1kHz"),
        ("[--cable <LENGTH>]", "--cable 3m"),
        ("<FILE.", "made."),
        (">", ""),
        (" [OPTIONS]", ""),
    ];
    let sandbox = Sandbox::new();
    sandbox.write("reference.wav", take(&STEPS.reference).bytes());
    sandbox.write("tone.wav", take(&tone(48_000 * 5)).bytes());
    sandbox.write("take.wav", take(&tone(48_000 * 6)).bytes());
    for (command, ways) in COMMANDS {
        let help = sandbox.done(&["measure", command, "-h"]);
        let usage = help.split("Usage: ").nth(1).unwrap().lines().take_while(|line| !line.is_empty());
        let lines: Vec<&str> = usage.map(str::trim).collect();
        assert_eq!(lines.len(), ways, "{lines:?}");
        for line in lines {
            let typed =
                values.iter().fold(line.to_owned(), |line, (place, value)| line.replace(place, value));
            assert!(!typed.contains('<'), "{typed}");
            let outcome = sandbox.run(&typed.split_whitespace().skip(1).collect::<Vec<_>>());
            assert!(matches!(outcome.code, Some(0 | 3)), "{typed}: {outcome:?}");
        }
    }
}

/// The whole family, with cautions.
#[test]
fn the_family_is_listed() {
    let help = Sandbox::new().done(&["help", "measure"]);
    for (command, _) in COMMANDS {
        assert!(help.contains(&format!("\n  {command} ")), "{command} in {help}");
    }
    for caution in
        ["Mute before plugging", "headphones off the ears", "phantom power off", "local electrical codes"]
    {
        assert!(help.contains(caution), "{caution} in {help}");
    }
}

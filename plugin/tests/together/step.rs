//! What is done, in a random order that a seed repeats.

use fastrand::Rng;

use crate::preset::{Preset, SETUPS};

/// One thing that somebody does.
#[derive(Debug, Clone, PartialEq)]
pub enum Step {
    /// Nothing: automation goes on.
    Rest,
    /// A key of the numbers.
    Key(usize),
    /// A click on a setup.
    Tile(usize),
    /// A click on a switch.
    Switch(Switch),
    /// The trim dragged, up or down.
    Drag,
    /// The input of the box that is heard, typed.
    Type(&'static str),
    Undo,
    Redo,
    /// A setup's new name, typed.
    Rename(usize, String),
    /// The host sets a parameter.
    HostSet(&'static str, &'static str),
    /// The host loads a state with a preset in it.
    HostLoad(usize),
    /// A preset's text typed into the window.
    HandLoad(usize),
    /// The window is closed and opened.
    Reopen,
}

/// Switches in the window, by the parameters behind them.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Switch {
    Bypass,
    Match,
    Hold,
    Guard,
}

impl Switch {
    pub const ALL: [Self; 4] = [Self::Bypass, Self::Match, Self::Hold, Self::Guard];

    pub const fn parameter(self) -> &'static str {
        match self {
            Self::Bypass => "Bypass",
            Self::Match => "Level match",
            Self::Hold => "Hold match",
            Self::Guard => "Guard",
        }
    }
}

const TYPED: [&str; 4] = ["820k", "4M7", "180k", "6M8"];
const SET: [(&str, &str); 6] = [
    ("Trim", "-7 dB"),
    ("Trim", "4.5 dB"),
    ("Heard setup", "Setup 4"),
    ("Setup 1 load resistance", "33 MΩ"),
    ("Setup 5 load resistance", "120 kΩ"),
    ("Undo ceiling", "30 dB"),
];

/// The faults that once were, one after the other.
pub fn known() -> Vec<Step> {
    vec![
        Step::HostLoad(0),
        Step::Key(2),
        Step::Key(3),
        Step::Drag,
        // Whatever the host does after an edit is the host's.
        Step::HostSet("Heard setup", "Setup 5"),
        Step::HostSet("Setup 1 load resistance", "33 MΩ"),
        Step::Undo,
        Step::Redo,
        Step::Drag,
        Step::HostLoad(1),
        Step::Undo,
        Step::Rename(1, "ebony".to_owned()),
        Step::Undo,
        Step::Redo,
        Step::HandLoad(2),
        Step::Undo,
        Step::Redo,
        Step::Key(1),
        Step::Type("820k"),
        Step::Undo,
        Step::Reopen,
        Step::Redo,
    ]
}

pub fn random(rng: &mut Rng, number: usize) -> Step {
    match rng.u8(0..100) {
        0..5 => Step::Rest,
        5..17 => Step::Key(rng.usize(0..=SETUPS)),
        17..29 => Step::Tile(rng.usize(0..SETUPS)),
        29..43 => Step::Switch(Switch::ALL[rng.usize(0..Switch::ALL.len())]),
        43..53 => Step::Drag,
        53..58 => Step::Type(TYPED[rng.usize(0..TYPED.len())]),
        58..72 => Step::Undo,
        72..80 => Step::Redo,
        80..84 => Step::Rename(rng.usize(0..SETUPS), format!("teak{number}")),
        84..91 => {
            let (name, text) = SET[rng.usize(0..SET.len())];
            Step::HostSet(name, text)
        }
        91..95 => Step::HostLoad(rng.usize(0..Preset::all().len())),
        95..98 => Step::HandLoad(rng.usize(0..Preset::all().len())),
        _ => Step::Reopen,
    }
}

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
    /// The trim dragged, up or down, over so many frames.
    Drag(i16),
    /// The input of the box that is heard, typed.
    Type(String),
    Undo,
    Redo,
    /// A setup's new name, typed.
    Rename(usize, String),
    /// The host sets a parameter.
    HostSet(&'static str, String),
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

/// The faults that once were, one after the other.
pub fn known() -> Vec<Step> {
    vec![
        Step::HostLoad(0),
        Step::Key(2),
        Step::Key(3),
        Step::Drag(20),
        // Whatever the host does after an edit is the host's.
        Step::HostSet("Heard setup", "Setup 5".to_owned()),
        Step::HostSet("Setup 1 load resistance", "33 MΩ".to_owned()),
        Step::Undo,
        Step::Redo,
        Step::Drag(20),
        Step::HostLoad(1),
        Step::Undo,
        Step::Rename(1, "ebony".to_owned()),
        Step::Undo,
        Step::Redo,
        // Heard, so that a preset's values without its circuit would be.
        Step::Key(5),
        Step::HandLoad(2),
        Step::Undo,
        Step::Redo,
        Step::Key(1),
        Step::Type("820k".to_owned()),
        Step::Undo,
        Step::Reopen,
        Step::Redo,
    ]
}

/// A value that the host sets: each time another, so that it is nobody else's.
fn set_by_host(rng: &mut Rng, number: usize) -> Step {
    let hundredths = number % 1_000;
    // The window speaks of hundredths of a decibel.
    let whole_db = 5 + hundredths / 100;
    let (name, text) = match rng.u8(0..6) {
        0 => ("Trim", format!("-{whole_db}.{:02} dB", hundredths % 100)),
        1 => ("Setup 1 load resistance", format!("33.{hundredths:03} MΩ")),
        2 => ("Setup 5 load resistance", format!("120.{hundredths:03} kΩ")),
        3 => ("Undo ceiling", format!("3{}.{:02} dB", hundredths / 100, hundredths % 100)),
        4 => ("Undo floor", format!("{}.{:01} Hz", 20 + hundredths / 10, hundredths % 10)),
        _ => ("Heard setup", format!("Setup {}", rng.usize(1..=SETUPS))),
    };
    Step::HostSet(name, text)
}

pub fn random(rng: &mut Rng, number: usize) -> Step {
    match rng.u8(0..100) {
        0..5 => Step::Rest,
        5..17 => Step::Key(rng.usize(0..=SETUPS)),
        17..29 => Step::Tile(rng.usize(0..SETUPS)),
        29..43 => Step::Switch(Switch::ALL[rng.usize(0..Switch::ALL.len())]),
        43..53 => Step::Drag(rng.i16(4..12)),
        53..58 => Step::Type(format!("{}k", 101 + number)),
        58..72 => Step::Undo,
        72..80 => Step::Redo,
        80..84 => Step::Rename(rng.usize(0..SETUPS), format!("teak{number}")),
        84..91 => set_by_host(rng, number),
        91..95 => Step::HostLoad(rng.usize(0..Preset::all().len())),
        95..98 => Step::HandLoad(rng.usize(0..Preset::all().len())),
        _ => Step::Reopen,
    }
}

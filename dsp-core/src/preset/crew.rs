use serde::Deserialize;

/// A venue, and what its crew has to know. Setups belong to it by its name.
#[derive(Debug, Clone, PartialEq)]
pub struct Venue {
    /// Its name, unique in the file.
    pub name: String,
    /// What a note for its crew is filled in with.
    pub crew: Crew,
}

/// What a note for a crew is filled in with; what is `None` is left to be written on by hand.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Crew {
    /// Whether the line has phantom power.
    pub phantom: Option<Phantom>,
    /// The pad, as the crew writes it: "-20 dB".
    pub pad: Option<String>,
    /// The polarity of the line.
    pub polarity: Option<LinePolarity>,
    /// The line of the stage box.
    pub line: Option<String>,
    /// What feeds front of house: the name of a setup, or of a box in it, or anything else that is no setup, such as a microphone.
    pub feed: Option<String>,
    /// Whom to ask.
    pub contact: Option<String>,
    /// Whatever else there is to say.
    pub remarks: Option<String>,
}

/// Phantom power of a line.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Phantom {
    /// It is there.
    On,
    /// It is not.
    Off,
}

/// Polarity of a line.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum LinePolarity {
    /// As it comes.
    Normal,
    /// Turned round.
    Reversed,
}

impl Phantom {
    /// As a file says it.
    pub const fn text(self) -> &'static str {
        match self {
            Self::On => "on",
            Self::Off => "off",
        }
    }
}

impl LinePolarity {
    /// As a file says it.
    pub const fn text(self) -> &'static str {
        match self {
            Self::Normal => "normal",
            Self::Reversed => "reversed",
        }
    }
}

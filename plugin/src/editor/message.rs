use std::path::PathBuf;

use super::document::edit::Edit;
use super::{BlindMessage, Stage, Theme, View};

/// Which curves are drawn.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum CurveKind {
    /// `H`: each setup against the unloaded pickup.
    Loss,
    /// `K`: what is done to the take.
    Change,
}

impl CurveKind {
    /// What a project's view calls it.
    pub const fn id(self) -> &'static str {
        match self {
            Self::Loss => "loss",
            Self::Change => "change",
        }
    }

    /// Which a project's view asks for.
    pub fn of(view: &View) -> Self {
        if view.curves == Self::Change.id() { Self::Change } else { Self::Loss }
    }
}

/// What is looked at beside the chains.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Page {
    /// The setups' curves.
    #[default]
    Curves,
    /// The table of strings.
    Strings,
    /// Comparing without names.
    Blind,
}

impl Page {
    /// In the order in which they are offered.
    pub const ALL: [Self; 3] = [Self::Curves, Self::Strings, Self::Blind];

    /// What a project's view calls it.
    pub const fn id(self) -> &'static str {
        match self {
            Self::Curves => "curves",
            Self::Strings => "strings",
            Self::Blind => "blind",
        }
    }

    /// Which a project's view asks for.
    pub fn of(view: &View) -> Self {
        Self::ALL.into_iter().find(|page| page.id() == view.page).unwrap_or_default()
    }
}

/// What a view asks for.
#[derive(Debug, Clone, PartialEq)]
pub enum Message {
    /// Hear a setup, counted from zero, or the take as recorded.
    Hear(Option<usize>),
    /// Hear what was heard before.
    HearBefore,
    /// Change one thing; a whole gesture, or a part of one.
    Edit(Edit, Stage),
    /// End a gesture that has begun; nothing more is changed.
    Still,
    /// Take back the last edit.
    Undo,
    /// Do again what was taken back.
    Redo,
    /// Copy a setup.
    Copy(usize),
    /// Put the copied setup in the place of this one.
    Paste(usize),
    /// Read a file of setups, given its text.
    Load(String),
    /// Read such a file from where it lies.
    Open(PathBuf, String),
    /// What is edited has been written to a file.
    Saved(PathBuf),
    /// Look at another page.
    Page(Page),
    /// Draw `H` or `K`.
    Curves(CurveKind),
    /// Look at an own tuning, as it was typed.
    Tuning(String),
    /// Compare without names.
    Blind(BlindMessage),
    /// Open or close the help.
    Help(bool),
    /// Open or close what says how to measure.
    Measure(bool),
    /// Light or dark.
    Theme(Theme),
    /// Enlarge everything by a factor.
    Zoom(f32),
    /// Say something to the reader.
    Notice(String),
    /// A notice has been read, by its place in the list.
    Read(usize),
}

//! What is edited, and what can be done to it: each edit makes a new document from an old one. No drawing.

pub mod carry;
pub mod choices;
pub mod edit;
pub mod edits;
pub mod history;
pub mod links;
pub mod names;
pub mod quantities;
pub mod setups;
pub(crate) mod slots;
pub mod usual;

use dsp_core::circuit::Chain;
use dsp_core::preset::Preset;
use dsp_core::response::{Ceiling, Floor};

/// What is edited: all that a preset says, and how it is heard. Six setups at most.
#[derive(Debug, Clone, PartialEq)]
pub struct Document {
    /// Pickups, what the take was recorded through, and the setups.
    pub preset: Preset,
    /// The setup that is heard, counted from zero; `None` for "as recorded".
    pub heard: Option<usize>,
    /// Input passes unchanged.
    pub bypass: bool,
    /// What bounds the boost of a change.
    pub ceiling: Ceiling,
    /// Where a change that lifts the lows comes down again, if anywhere.
    pub floor: Option<Floor>,
    /// Whether setups are brought to the loudness of the take.
    pub level_match: bool,
    /// Whether the gains that do so stay as they are.
    pub hold: bool,
    /// Whether a runaway fades to silence.
    pub guard: bool,
    /// Gain of the setups in dB.
    pub trim_db: f64,
    /// Gain of all that is heard, in dB.
    pub output_db: f64,
}

/// A chain of the document.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Where {
    /// What the take was recorded through.
    Recorded,
    /// A setup, counted from zero.
    Setup(usize),
}

impl Document {
    /// The chain of a place; the empty one where there is no such setup.
    pub fn chain(&self, place: Where) -> Option<&Chain> {
        match place {
            Where::Recorded => Some(&self.preset.recorded),
            Where::Setup(index) => self.preset.setups.get(index).map(|setup| &setup.chain),
        }
    }

    /// Where a setup of this document is in another, or the take as recorded: at its name, or where that alone has changed, at its number.
    pub fn place_in(&self, other: &Self, place: Option<usize>) -> Option<Option<usize>> {
        let Some(index) = place else { return Some(None) };
        let (setups, others) = (&self.preset.setups, &other.preset.setups);
        let name = &setups.get(index)?.name;
        let named = others.iter().position(|setup| setup.name == *name);
        named.or_else(|| (others.len() == setups.len()).then_some(index)).map(Some)
    }
}

use std::sync::Arc;

use super::{Document, NoiseAsked, Readings};
use crate::host::view_field::View;

/// Where in a gesture a change is. A host records each gesture as one.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Stage {
    /// A gesture of its own.
    Whole,
    /// The first of a gesture.
    Begin,
    /// One on the way.
    During,
    /// The last.
    End,
}

/// What lies behind the editor: a plugin in a host, or a player of files.
pub trait Session {
    /// Changes whenever the document may have changed, by whomever.
    fn version(&mut self) -> u64;

    /// The document as it is now.
    fn document(&mut self) -> Document;

    /// Changes what differs between the document as it is now, `from`, and as it is to be. Nothing else is touched, whoever changes it
    /// meanwhile.
    ///
    /// # Errors
    /// If it cannot be held, in words; then nothing has changed.
    fn change(&mut self, from: &Document, to: &Document, stage: Stage) -> Result<(), String>;

    /// How often somebody else has put another preset in the place of all that was edited.
    fn loads(&mut self) -> u64 {
        0
    }

    /// What is measured of the sound right now.
    fn readings(&mut self) -> &Readings;

    /// What is to be found of the noise that comes in, as far as anything does.
    fn heed(&mut self, _asked: &Arc<NoiseAsked>) {}

    /// What of the last state that was loaded could not be read, in words.
    fn problem(&mut self) -> Option<String> {
        None
    }

    /// How it is looked at, as far as that is kept with the project.
    fn view(&mut self) -> View {
        View::default()
    }

    /// Keeps how it is looked at.
    fn keep_view(&mut self, _view: View) {}
}

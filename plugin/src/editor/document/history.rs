//! What has been edited and can be taken back.

use super::Document;
use super::carry::{carried, held};
use super::edit::Edit;
use crate::editor::Stage;

/// Edits that can be taken back.
const MOST: usize = 200;

/// What was done, and what was taken back.
#[derive(Debug, Clone, Default)]
pub struct History {
    done: Vec<Done>,
    undone: Vec<Done>,
    /// The last edit is a gesture that goes on.
    is_open: bool,
}

/// One edit: the document before it and after it, in which nothing differs that somebody else changed.
#[derive(Debug, Clone)]
struct Done {
    name: String,
    from: Document,
    to: Document,
}

/// What is to be done to take an edit back, or to do it again.
#[derive(Debug, Clone, PartialEq)]
pub struct Step {
    /// What is taken back, or done again.
    pub name: String,
    /// The document as it is to be; as it is where somebody else has changed all of it since.
    pub to: Document,
}

impl History {
    /// Notes an edit that made `became` of `from`, and was to make `to` of it: a new one, or one that goes on.
    pub fn note(&mut self, edit: &Edit, stage: Stage, from: &Document, to: &Document, became: &Document) {
        let goes_on = std::mem::replace(&mut self.is_open, matches!(stage, Stage::Begin | Stage::During));
        if goes_on && matches!(stage, Stage::During | Stage::End) {
            self.go_on(edit);
        } else if from != to {
            self.begin(edit, from, to, became);
        } else {
            // What follows is its first change.
            self.is_open = false;
        }
    }

    fn begin(&mut self, edit: &Edit, from: &Document, to: &Document, became: &Document) {
        self.undone.clear();
        if self.done.len() == MOST {
            self.done.remove(0);
        }
        let (name, from, to) = (edit.name(from), from.clone(), held(from, to, became));
        self.done.push(Done { name, from, to });
    }

    fn go_on(&mut self, edit: &Edit) {
        if let Some(last) = self.done.last_mut()
            && let Ok(to) = edit.apply(&last.to)
        {
            last.to = to;
        }
    }

    /// What would be taken back, and done again.
    pub fn names(&self) -> (Option<&str>, Option<&str>) {
        (self.done.last().map(|done| &*done.name), self.undone.last().map(|done| &*done.name))
    }

    /// How many edits can be taken back.
    pub const fn count(&self) -> usize {
        self.done.len()
    }

    /// What is to be done to take the last edit back.
    pub fn back(&self, now: &Document) -> Option<Step> {
        let Done { name, from, to } = self.done.last()?;
        Some(Step { name: name.clone(), to: carried(to, from, now) })
    }

    /// What is to be done to do the last that was taken back again.
    pub fn forward(&self, now: &Document) -> Option<Step> {
        let Done { name, from, to } = self.undone.last()?;
        Some(Step { name: name.clone(), to: carried(from, to, now) })
    }

    /// Notes that a gesture has ended.
    pub const fn end(&mut self) {
        self.is_open = false;
    }

    /// Notes that the last edit has been taken back. A gesture that goes on is another one from here.
    pub fn went_back(&mut self) {
        self.is_open = false;
        self.undone.extend(self.done.pop());
    }

    /// Notes that an edit has been done again.
    pub fn went_forward(&mut self) {
        self.is_open = false;
        self.done.extend(self.undone.pop());
    }

    /// Forgets all: what was edited is not there any more.
    pub fn clear(&mut self) {
        *self = Self::default();
    }
}

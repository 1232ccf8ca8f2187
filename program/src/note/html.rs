//! The note as HTML: a fragment for the page of a pack, and a document of its own.

use askama::Template;

use super::content::Note;
use crate::paper::{Document, svg};

/// The note's part of a page. Names are escaped by the template.
#[derive(Template)]
#[template(path = "note/note.html")]
struct Fragment<'a> {
    note: &'a Note,
    keys: &'a [String],
    chain: String,
}

impl Note {
    /// As a fragment of a page. `keys` are those of the page's sounds, the take as recorded first, then the setups; offers carry
    /// theirs as `data-key`. None, if there is no sound.
    ///
    /// # Panics
    /// Never: a string takes everything.
    pub fn html(&self, keys: &[String]) -> String {
        Fragment { note: self, keys, chain: svg(&self.drawing) }.render().expect("a string takes everything")
    }

    /// As a whole document, which prints on one A4 page.
    pub fn document(&self) -> String {
        let (language, title) = (self.language, &*self.page_title);
        Document { language, title, style: include_str!("note.css"), body: self.html(&[]) }.html()
    }
}

impl Fragment<'_> {
    /// The key of a setup's sound; empty without one.
    fn key(&self, setup: &usize) -> &str {
        self.keys.get(setup + 1).map_or("", String::as_str)
    }
}

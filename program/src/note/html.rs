//! The note as HTML: a fragment for the page of a pack, and a document of its own.

use askama::Template;

use super::content::Note;
use super::drawing::Shape;

/// The note's part of a page. Names are escaped by the template.
#[derive(Template)]
#[template(path = "note/note.html")]
struct Fragment<'a> {
    note: &'a Note,
    keys: &'a [String],
}

#[derive(Template)]
#[template(path = "note/document.html")]
struct Whole<'a> {
    note: &'a Note,
    style: [&'static str; 2],
    body: String,
}

impl Note {
    /// As a fragment of a page. `keys` are those of the page's sounds, the take as recorded first, then the setups; offers carry
    /// theirs as `data-key`. None, if there is no sound.
    ///
    /// # Panics
    /// Never: a string takes everything.
    pub fn html(&self, keys: &[String]) -> String {
        Fragment { note: self, keys }.render().expect("a string takes everything")
    }

    /// As a whole document, which prints on one A4 page.
    ///
    /// # Panics
    /// Never: a string takes everything.
    pub fn document(&self) -> String {
        let whole = Whole {
            note: self,
            style: [include_str!("document.css"), include_str!("note.css")],
            body: self.html(&[]),
        };
        whole.render().expect("a string takes everything")
    }
}

impl Fragment<'_> {
    /// The key of a setup's sound; empty without one.
    fn key(&self, setup: &usize) -> &str {
        self.keys.get(setup + 1).map_or("", String::as_str)
    }

    fn points(&self, points: &[(f32, f32)]) -> String {
        points.iter().map(|(x, y)| format!("{x:.1},{y:.1}")).collect::<Vec<_>>().join(" ")
    }
}

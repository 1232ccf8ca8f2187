//! One A4 page, to be printed or opened in a browser: what is drawn, where everything stands, and the same as PDF and as HTML. The crew note is one, the page of the
//! measuring lead, and the sheet for re-amping.

#[cfg(test)]
pub mod bounds;
mod document;
mod draft;
mod drawing;
mod pdf;
pub mod pen;

use std::path::Path;

use crate::arguments::NoteKindArgument;
use crate::error::Failure;
use crate::output;

pub use document::{Document, svg};
#[cfg(test)]
pub use draft::{A4, Ink};
pub use draft::{Draft, Page, SMALL, TEXT};
pub use drawing::{Drawing, Shape, WIDTH};
pub use pdf::{PaperError, pdf};

/// What a page becomes: as its name says, which has to agree with what was asked for; to standard output a PDF unless asked.
pub fn kind(output: &Path, asked: Option<NoteKindArgument>) -> Result<NoteKindArgument, Failure> {
    let kinds = [("pdf", NoteKindArgument::Pdf), ("html", NoteKindArgument::Html)];
    output::kind_of(output, asked, &kinds)
}

//! The sheet for a browser.

use askama::Template;

use super::content::Sheet;
use crate::paper::{Document, svg};

#[derive(Template)]
#[template(path = "reamp/sheet/sheet.html")]
struct Body<'a> {
    sheet: &'a Sheet,
    /// The ways' drawings; empty where there is none.
    drawings: Vec<String>,
}

impl Sheet {
    /// As a whole document, which prints on one A4 page.
    ///
    /// # Panics
    /// Never: a string takes everything.
    pub fn document(&self) -> String {
        let drawing = |way: &super::content::Way| way.drawing.as_ref().map(svg).unwrap_or_default();
        let body = Body { sheet: self, drawings: self.ways.iter().map(drawing).collect() };
        let body = body.render().expect("a string takes everything");
        let (language, title) = (self.language, &*self.page_title);
        Document { language, title, style: include_str!("sheet.css"), body }.html()
    }
}

//! The page for a browser.

use askama::Template;

use super::content::Lead;
use crate::paper::{Document, svg};

#[derive(Template)]
#[template(path = "measure/lead/lead.html")]
struct Body<'a> {
    lead: &'a Lead,
    wiring: String,
    /// The steps' drawings.
    drawings: Vec<String>,
}

impl Lead {
    /// As a whole document, which prints on one A4 page.
    ///
    /// # Panics
    /// Never: a string takes everything.
    pub fn document(&self) -> String {
        let drawings = self.steps.iter().map(|step| svg(&step.drawing)).collect();
        let body = Body { lead: self, wiring: svg(&self.wiring), drawings };
        let body = body.render().expect("a string takes everything");
        Document { language: self.language, title: self.title, style: include_str!("lead.css"), body }.html()
    }
}

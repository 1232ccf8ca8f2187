//! A page as HTML.

use askama::Template;

use super::drawing::{Drawing, Shape};

/// A whole document, which prints on one A4 page.
#[derive(Template)]
#[template(path = "paper/document.html")]
pub struct Document<'a> {
    pub language: &'a str,
    pub title: &'a str,
    /// The style of what is in it.
    pub style: &'static str,
    /// Markup.
    pub body: String,
}

/// A drawing inside of a page. Texts are escaped by the template.
#[derive(Template)]
#[template(path = "paper/drawing.svg", escape = "html")]
struct Drawn<'a> {
    drawing: &'a Drawing,
}

impl Document<'_> {
    /// # Panics
    /// Never: a string takes everything.
    pub fn html(&self) -> String {
        self.render().expect("a string takes everything")
    }
}

/// A drawing as markup of a page.
///
/// # Panics
/// Never: a string takes everything.
pub fn svg(drawing: &Drawing) -> String {
    Drawn { drawing }.render().expect("a string takes everything")
}

impl Drawn<'_> {
    fn points(&self, points: &[(f32, f32)]) -> String {
        points.iter().map(|(x, y)| format!("{x:.1},{y:.1}")).collect::<Vec<_>>().join(" ")
    }
}

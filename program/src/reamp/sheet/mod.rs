//! The sheet for the studio: one A4 page. One content, written as HTML and as PDF.

mod content;
mod html;
mod page;
mod sketch;
#[cfg(test)]
mod tests;

pub use content::Sheet;

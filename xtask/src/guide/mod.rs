//! The guide as one page: the chapters of `docs/guide` in the order in which its first page names them, pictures and style inside.

mod book;
mod chapter;
mod picture;

use std::fmt::Write as _;
use std::fs;
use std::path::PathBuf;

use anyhow::{Context, Result};
use firstjack_looks::{DARK, LIGHT, Theme};

use crate::paths;
use book::Book;

const TEMPLATE: &str = include_str!("page.html");
const STYLE: &str = include_str!("style.css");

/// What every chapter ends with, where the list of chapters is not in sight.
const BACK: &str = "<p class=\"back\"><a href=\"#readme\">All chapters</a></p>\n";

/// The chapters, and what the first page says before it names them.
const FIRST: &str = "docs/guide/README.md";

/// Writes the page, the same bytes of the same chapters, and says where it is.
///
/// # Errors
/// If a link or a picture leads nowhere, or a chapter is missing from the first page.
pub fn make() -> Result<PathBuf> {
    let folder = paths::target().join("guide");
    fs::create_dir_all(&folder)?;
    let page = folder.join("firstjack-guide.html");
    fs::write(&page, html()?).with_context(|| format!("{} cannot be written", page.display()))?;
    Ok(page)
}

fn html() -> Result<String> {
    let book = Book::open(FIRST)?;
    let mut chapters = String::new();
    for chapter in book.chapters() {
        let text = chapter.html(&book).with_context(|| chapter.path.display().to_string())?;
        let _ = writeln!(chapters, "<section>\n{text}{BACK}</section>");
    }
    let filled = [
        ("{colours}", colours()),
        ("{style}", STYLE.to_owned()),
        ("{version}", env!("CARGO_PKG_VERSION").to_owned()),
        ("{contents}", book.contents()),
        ("{chapters}", chapters),
    ];
    // A placeholder that a chapter happens to have in it comes after them.
    Ok(filled.into_iter().fold(TEMPLATE.to_owned(), |page, (name, text)| page.replacen(name, &text, 1)))
}

/// As custom properties by their roles, light, and dark where the system is.
fn colours() -> String {
    let of = |theme: &Theme| {
        theme.roles().iter().fold(String::new(), |mut text, (name, colour)| {
            let _ = writeln!(text, "--{name}: {colour};");
            text
        })
    };
    format!(
        ":root {{\n{}}}\n@media screen and (prefers-color-scheme: dark) {{\n:root {{\n{}}}\n}}\n",
        of(&LIGHT),
        of(&DARK)
    )
}

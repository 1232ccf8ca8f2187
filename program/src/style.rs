//! The colours of pages by their roles, as custom properties of their style sheets.

use std::fmt::Write;

use firstjack_looks::{DARK, LIGHT, Theme};

/// Dark on light, and on paper always; light on dark where the reader's system is.
pub fn custom_properties() -> String {
    let (light, dark) = (of(&LIGHT), of(&DARK));
    format!(
        ":root {{\n{light}}}\n\n@media screen and (prefers-color-scheme: dark) {{\n:root {{\n{dark}}}\n}}\n\n"
    )
}

fn of(theme: &Theme) -> String {
    let mut text = String::new();
    for (name, colour) in theme.roles() {
        let _ = writeln!(text, "--{name}: {colour};");
    }
    for (number, colour) in theme.curves.iter().enumerate() {
        let _ = writeln!(text, "--curve-{number}: {colour};");
    }
    text
}

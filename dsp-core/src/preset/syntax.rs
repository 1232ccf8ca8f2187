//! What is no TOML, in the terms of a person who writes a value in a hurry.

use super::check::line_of;
use super::error::{PresetError, PresetProblem};
use super::fields::{Layout, Shape};

/// Quotes of a word processor.
const CURLY: [char; 7] = ['“', '”', '„', '‟', '‘', '’', '«'];

/// What is wrong with a text that is no TOML, but should have these fields.
pub(crate) fn syntax(text: &str, error: &toml::de::Error, layout: &Layout) -> PresetError {
    let at = error.span().map_or(text.len(), |span| span.start);
    let line = line_of(text, at.min(text.trim_end().len()));
    let written = text.lines().nth(line - 1).unwrap_or_default();
    let many = layout.fields.iter().find(|field| header(written) == Some(field.name));
    let many = many.filter(|field| matches!(field.shape, Shape::List(_))).map(|field| field.name);
    let problem = match many {
        Some(field) => PresetProblem::OneTable { field },
        None => PresetProblem::Syntax {
            written: written.trim().to_owned(),
            problem: error.message().lines().collect::<Vec<_>>().join(", "),
            instead: straight(written).or_else(|| quoted(written)),
        },
    };
    PresetError { line: Some(line), problem }
}

/// The name of a table in single brackets.
fn header(line: &str) -> Option<&str> {
    line.trim().strip_prefix('[')?.strip_suffix(']').map(str::trim)
}

/// With straight quotes, if some were not.
fn straight(line: &str) -> Option<String> {
    line.contains(CURLY).then(|| line.trim().replace(CURLY, "\""))
}

/// With its value in quotes, if that was without.
fn quoted(line: &str) -> Option<String> {
    let bare = line.split_once('#').map_or(line, |(before, _)| before);
    // Of a table in braces: the first value without them.
    let starts = bare.match_indices('=').map(|(at, _)| at + 1);
    let (value, field) = starts
        .filter_map(|start| {
            let rest = &bare[start..];
            let end = [", ", "}"].iter().filter_map(|end| rest.find(end)).min().unwrap_or(rest.len());
            let field = bare[..start - 1].rsplit(['{', ',', '[']).next()?.trim();
            Some((rest[..end].trim(), field))
        })
        .find(|(value, _)| !value.is_empty() && !value.contains(['"', '\'', '{', '[']))?;
    (!field.is_empty()).then(|| format!("{field} = \"{value}\""))
}

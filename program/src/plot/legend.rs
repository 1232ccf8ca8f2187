//! What the lines of a picture are called, in columns below it.

use super::{LETTERING, width};
use crate::typeset::{Typesetter, WIDER};

/// Columns at most, and between them.
const MOST_COLUMNS: usize = 4;
const GAP: f64 = 20.0;
/// From row to row.
const PITCH: f64 = 24.0;
/// A line's sample, and around it.
const SAMPLE: f64 = 44.0;
const SPACE: f64 = 8.0;
/// So many names are cut to half of the width rather than have a row of their own each.
const MANY: usize = 8;

/// Where the entries are, from the legend's upper left corner on.
pub struct Legend {
    pub entries: Vec<Entry>,
    pub height: f64,
}

/// A line's sample with its tag before it and its name behind it.
pub struct Entry {
    /// Where the tag ends, where the sample begins and ends, where the name begins.
    pub tag_x: f64,
    pub from_x: f64,
    pub to_x: f64,
    pub name_x: f64,
    /// Of the sample, and the base of the letters.
    pub y: f64,
    pub base: f64,
    /// As much of it as fits.
    pub name: String,
}

impl Legend {
    /// Of curves' names, `wide` units across, with `tag` units for tags; below them that of the line across.
    #[expect(clippy::cast_precision_loss, reason = "some rows and columns")]
    pub fn new(names: &[&str], ask: Option<&str>, wide: f64, tag: f64, typesetter: &Typesetter) -> Self {
        let sample = if tag > 0.0 { tag + SPACE } else { 0.0 };
        let before = sample + SAMPLE + SPACE;
        let room = |columns: usize| (wide - GAP * (columns - 1) as f64) / columns as f64 - before;
        let entry = |column: usize, columns: usize, row: usize, name: &str| {
            let left = column as f64 * (room(columns) + before + GAP);
            let middle = (row as f64 + 0.5) * PITCH;
            Entry {
                tag_x: left + tag,
                from_x: left + sample,
                to_x: left + sample + SAMPLE,
                name_x: left + before,
                y: middle,
                base: middle + 0.36 * LETTERING,
                name: cut(name, room(columns), typesetter),
            }
        };
        let widest = names.iter().map(|name| width(typesetter, name)).fold(0.0, f64::max);
        let fitting = (1..=MOST_COLUMNS.min(names.len())).rev().find(|columns| widest <= room(*columns));
        let columns = fitting.unwrap_or(if names.len() > MANY { 2 } else { 1 });
        let rows = names.len().div_ceil(columns);
        let named = names.iter().enumerate();
        let entries = named.map(|(index, name)| entry(index / rows, columns, index % rows, name));
        let entries: Vec<Entry> = entries.chain(ask.map(|ask| entry(0, 1, rows, ask))).collect();
        let rows = rows + usize::from(ask.is_some());
        Self { entries, height: PITCH * rows as f64 }
    }
}

/// As much of the text as has room.
#[expect(clippy::cast_possible_truncation, reason = "units of a drawing")]
pub fn cut(text: &str, room: f64, typesetter: &Typesetter) -> String {
    typesetter.cut(text, LETTERING as f32 * WIDER, room as f32)
}

//! What is written beside symbols: values, and under them in quiet letters what they are.

use egui::{Pos2, Rect, pos2, vec2};

use super::{Draft, Drafter, Value};
use crate::editor::document::edits::{Field, text};

/// Height of a value.
pub(in crate::editor) const VALUE: f32 = 16.0;
/// Height of what is written under it.
pub(in crate::editor) const NOTE: f32 = 13.0;
/// Widest name, in points; longer ones end in an ellipsis.
const WIDEST: f32 = 170.0;
/// Room to catch a value, beyond its letters.
const REACH: f32 = 4.0;
/// Narrowest place to catch one.
const NARROWEST: f32 = 24.0;

/// How something is written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(in crate::editor) enum Face {
    /// A value.
    Value,
    /// What it is.
    Name,
    /// That it is heard here.
    Heard,
}

/// A line under a value.
#[derive(Debug, Clone, PartialEq)]
pub(in crate::editor) struct Note {
    pub rect: Rect,
    pub text: String,
    pub face: Face,
}

enum Line {
    Value(Field, String),
    Note(String, Face),
}

/// Lines under each other.
pub(super) struct Block {
    lines: Vec<(Line, f32)>,
    pub width: f32,
}

impl Block {
    pub fn is_empty(&self) -> bool {
        self.lines.is_empty()
    }
}

impl Drafter<'_> {
    /// Of those values that are there; the first one that a cell has stands for the whole of it, and has its name.
    pub(super) fn block(&self, draft: &mut Draft, fields: &[Field]) -> Block {
        let mut lines = Vec::new();
        for field in fields {
            let Some(text) = text(self.document, field) else { continue };
            let quantity = field.quantity();
            lines.push(Line::Value(field.clone(), text + quantity.behind));
            if draft.stands_for.as_ref() == Some(field) {
                lines.extend(
                    std::mem::take(&mut draft.names).into_iter().map(|(text, face)| Line::Note(text, face)),
                );
            } else if quantity.behind.is_empty() {
                lines.push(Line::Note(quantity.name.to_owned(), Face::Name));
            }
        }
        self.measured(lines)
    }

    /// A cell's name, where no value stands for it.
    pub(super) fn names(&self, draft: &mut Draft) -> Block {
        let names = std::mem::take(&mut draft.names);
        self.measured(names.into_iter().map(|(text, face)| Line::Note(text, face)).collect())
    }

    fn measured(&self, lines: Vec<Line>) -> Block {
        let width = |line: &Line| match line {
            Line::Value(_, text) => (self.measure)(text, Face::Value),
            Line::Note(text, face) => (self.measure)(text, *face),
        };
        let lines: Vec<_> = lines
            .into_iter()
            .map(|line| {
                let width = width(&line).min(WIDEST);
                (line, width)
            })
            .collect();
        let width = lines.iter().fold(0.0, |widest: f32, (_, width)| widest.max(*width));
        Block { lines, width }
    }

    /// Puts a block under a point, from its left edge to the right.
    pub(super) fn write(draft: &mut Draft, block: Block, left_top: Pos2) {
        Self::put(draft, block, left_top, |_| 0.0);
    }

    /// Puts a block under a point, with its lines in the middle.
    pub(super) fn write_under(draft: &mut Draft, block: Block, top: Pos2) {
        let whole = block.width;
        Self::put(draft, block, top - vec2(whole / 2.0, 0.0), |width| (whole - width) / 2.0);
    }

    fn put(draft: &mut Draft, block: Block, left_top: Pos2, indent: impl Fn(f32) -> f32) {
        let mut top = left_top.y;
        for (line, width) in block.lines {
            let left = left_top.x + indent(width);
            let rect = |height| Rect::from_min_size(pos2(left, top), vec2(width, height));
            match line {
                Line::Value(field, text) => {
                    let label = format!("{}: {}", draft.label, field.quantity().name);
                    let loads = draft.loads;
                    let rect = rect(VALUE);
                    let rect = rect.expand2(vec2(REACH.max((NARROWEST - rect.width()) / 2.0), 0.0));
                    draft.values.push(Value { field, rect, text, label, loads });
                    top += VALUE;
                }
                Line::Note(text, face) => {
                    draft.notes.push(Note { rect: rect(NOTE), text, face });
                    top += NOTE;
                }
            }
        }
        draft.bottom = draft.bottom.max(top);
    }
}

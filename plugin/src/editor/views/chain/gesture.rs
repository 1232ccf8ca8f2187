//! A value that is turned, from the first movement to the last: one gesture for the host, one step for undo.

use egui::Ui;

use super::ChainView;
use crate::editor::document::edits::{Field, nudge, text};
use crate::editor::{Document, Edit, Message, Stage};

/// A wheel or a key that has been still for so long has ended, in seconds.
const STILL_S: f64 = 0.6;

/// A value that is being turned.
#[derive(Debug)]
pub(super) struct Gesture {
    pub(super) field: Field,
    /// Where it began.
    start: Document,
    steps: f64,
    /// Whether anything has changed yet, and so whether the host knows of it.
    has_begun: bool,
    /// When it ends by itself, in the window's seconds; a drag ends when the button is let go.
    ends_at: Option<f64>,
}

impl ChainView {
    /// Turns a value further. A drag has no end of its own.
    pub(super) fn turn(
        &mut self,
        ui: &Ui,
        field: &Field,
        steps: f64,
        is_drag: bool,
        document: &Document,
        out: &mut Vec<Message>,
    ) {
        if self.gesture.as_ref().is_some_and(|gesture| gesture.field != *field) {
            self.end_gesture(out);
        }
        let gesture = self.gesture.get_or_insert_with(|| Gesture {
            field: field.clone(),
            start: document.clone(),
            steps: 0.0,
            has_begun: false,
            ends_at: None,
        });
        gesture.steps += steps;
        let now = ui.input(|input| input.time);
        gesture.ends_at = (!is_drag).then_some(now + STILL_S);
        // From where it began, so that rounding does not hold a slow hand back.
        let turned = text(&nudge(&gesture.start, field, gesture.steps), field);
        if let Some(turned) = turned.filter(|turned| text(document, field).as_ref() != Some(turned)) {
            let stage = if gesture.has_begun { Stage::During } else { Stage::Begin };
            gesture.has_begun = true;
            out.push(Message::Edit(Edit::Set(field.clone(), turned), stage));
        }
    }

    /// Ends a gesture, if there is one.
    pub(super) fn end_gesture(&mut self, out: &mut Vec<Message>) {
        if self.gesture.take().is_some_and(|gesture| gesture.has_begun) {
            out.push(Message::Still);
        }
    }

    /// Ends what the wheel or keys turned, once they are still.
    pub(super) fn end_when_still(&mut self, ui: &Ui, out: &mut Vec<Message>) {
        let Some(ends_at) = self.gesture.as_ref().and_then(|gesture| gesture.ends_at) else { return };
        let left = ends_at - ui.input(|input| input.time);
        if left <= 0.0 {
            self.end_gesture(out);
        } else {
            ui.ctx().request_repaint_after_secs(narrow(left));
        }
    }
}

#[expect(clippy::cast_possible_truncation, reason = "seconds until a repaint")]
fn narrow(seconds: f64) -> f32 {
    seconds as f32
}

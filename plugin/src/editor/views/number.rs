use std::cell::Cell;

use egui::{DragValue, Ui};

use crate::editor::{Edit, Message, Stage};

const HOW: &str = "Drag, Shift for fine steps; click to type; a click with Ctrl or Command resets.";

/// A number with its unit: dragged as one gesture, typed, or reset. Kept in hundredths.
pub(super) struct Number {
    /// As a screen reader says it, with the unit.
    pub name: String,
    pub help: &'static str,
    pub range: (f64, f64),
    /// What a reset gives.
    pub default: f64,
    /// For each point of a drag.
    pub speed: f64,
    pub unit: &'static str,
    /// What was typed; nothing if it cannot be read.
    pub read: fn(&str) -> Option<f32>,
    /// What that would have been, and what is accepted.
    pub unread: (&'static str, &'static str),
    /// What is done where a number below the range was typed, if that means something.
    pub below: Option<Edit>,
}

impl Number {
    pub fn show(&self, ui: &mut Ui, now: f64, out: &mut Vec<Message>, with: impl Fn(f64) -> Edit) {
        let (unread, below) = (Cell::new(None), Cell::new(None));
        let parse = |typed: &str| {
            let read = (self.read)(typed).map(f64::from);
            unread.set(read.is_none().then(|| typed.to_owned()));
            below.set(self.below.clone().filter(|_| read.is_some_and(|value| value < self.range.0)));
            read.filter(|value| self.below.is_none() || *value >= self.range.0)
        };
        let mut value = now;
        let field = DragValue::new(&mut value)
            .range(self.range.0..=self.range.1)
            .speed(self.speed)
            .update_while_editing(false)
            .custom_formatter(|value, _| self.written(value))
            .custom_parser(parse);
        let response = ui.add(field).on_hover_text(format!("{} {HOW}", self.help));
        let response = response.accessible_name(&self.name);
        let value = (value * 100.0).round() / 100.0;
        let resets = response.clicked() && ui.input(|input| input.modifiers.command);
        let stage = if resets {
            response.surrender_focus();
            out.push(Message::Edit(with(self.default), Stage::Whole));
            None
        } else if response.drag_started() {
            Some(Stage::Begin)
        } else if response.drag_stopped() {
            Some(Stage::End)
        } else {
            let stage = if response.dragged() { Stage::During } else { Stage::Whole };
            response.changed().then_some(stage)
        };
        out.extend(stage.map(|stage| Message::Edit(with(value), stage)));
        out.extend(below.take().map(|edit| Message::Edit(edit, Stage::Whole)));
        let (what, accepted) = self.unread;
        let notice = |typed| Message::Notice(format!("cannot read '{typed}' as {what}: {accepted}"));
        out.extend(unread.take().map(notice));
    }

    /// As it is shown and typed: "−3.5 dB".
    fn written(&self, value: f64) -> String {
        format!("{value} {}", self.unit).replace('-', "−")
    }
}

//! One value under its symbol: shown, typed, turned.

use egui::accesskit::Action;
use egui::text::{CCursor, CCursorRange};
use egui::{
    EventFilter, Id, Key, Popup, PopupCloseBehavior, Rect, Response, Role, Sense, TextEdit, Ui, WidgetInfo,
    vec2,
};

use super::{ChainView, paint};
use crate::editor::document::edits::{Field, set, text};
use crate::editor::views::schematic::Value;
use crate::editor::{Document, Edit, Message, usual};

/// A pointer's way that turns a value by one step, in points.
const POINTS_PER_STEP: f32 = 4.0;
/// A touchpad's way that counts as one notch of a wheel, in points.
const POINTS_PER_NOTCH: f32 = 40.0;
/// With Shift everything turns so much more finely.
const FINE: f64 = 0.1;
/// Room to type in, in points.
const TYPED_WIDTH: f32 = 92.0;
/// Width of a message about what was typed, in points.
const ERROR_WIDTH: f32 = 280.0;
const HOW_TO: &str =
    "Click or Enter to type; drag, arrow keys, or the wheel once it has the focus, to turn; Shift for finer.";
const RESET: &str = if cfg!(target_os = "macos") { "Command-click" } else { "Ctrl-click" };

/// A value that is being typed.
#[derive(Debug)]
pub(super) struct Typing {
    pub(super) field: Field,
    typed: String,
    error: Option<String>,
    /// Whether the text field has been drawn, and so has the keys.
    is_open: bool,
}

impl ChainView {
    pub(super) fn value(
        &mut self,
        ui: &mut Ui,
        parent: Id,
        value: &Value,
        rect: Rect,
        document: &Document,
        out: &mut Vec<Message>,
    ) {
        let id = parent.with(&value.field);
        if self.typing.as_ref().is_some_and(|typing| typing.field == value.field) {
            self.typed(ui, id, value, rect, document, out);
            return;
        }
        let response = ui.interact(rect, id, Sense::click_and_drag());
        response.widget_info(|| {
            let mut info = WidgetInfo::labeled(Role::SpinButton, true, &value.label);
            info.current_text_value = Some(value.text.clone());
            info
        });
        ui.ctx().accesskit_node_builder(id, |node| {
            node.add_action(Action::Increment);
            node.add_action(Action::Decrement);
        });
        paint::value(ui, value, rect, &response);
        self.turned(ui, &response, &value.field, document, out);
        // The space bar is the host's.
        if response.clicked() && !ui.input(|input| input.key_pressed(Key::Space)) {
            self.end_gesture(out);
            if ui.input(|input| input.modifiers.command) {
                response.request_focus();
                out.extend(reset(document, &value.field));
            } else {
                let typed = text(document, &value.field).unwrap_or_default();
                let field = value.field.clone();
                self.typing = Some(Typing { field, typed, error: None, is_open: false });
            }
        }
        if response.gained_focus() {
            ui.scroll_to_rect(rect, None);
        }
        let usual = match usual(document, &value.field) {
            "" => String::new(),
            usual => format!(", {usual}"),
        };
        let hint = format!("{}: {}\n{HOW_TO} {RESET} for the usual value{usual}.", value.label, value.text);
        response.on_hover_text(hint);
    }

    /// By drag, wheel, keys, or a screen reader.
    fn turned(
        &mut self,
        ui: &Ui,
        response: &Response,
        field: &Field,
        document: &Document,
        out: &mut Vec<Message>,
    ) {
        let fine = if ui.input(|input| input.modifiers.shift) { FINE } else { 1.0 };
        if response.dragged() {
            // The first movement is what made it a drag, and counts.
            let first = response.drag_started().then(|| response.total_drag_delta()).flatten();
            let way = first.unwrap_or(response.drag_delta());
            if way != egui::Vec2::ZERO {
                let steps = f64::from((way.x - way.y) / POINTS_PER_STEP);
                self.turn(ui, field, steps * fine, true, document, out);
            }
        } else if response.drag_stopped() {
            self.end_gesture(out);
        }
        let mut steps = 0.0;
        if response.has_focus() {
            // Elsewhere, and without the focus, it scrolls.
            if response.hovered() {
                steps += wheel(ui);
            }
            let vertical = EventFilter { vertical_arrows: true, ..EventFilter::default() };
            ui.memory_mut(|memory| memory.set_focus_lock_filter(response.id, vertical));
            steps += keys(ui);
        }
        steps += requests(ui, response.id);
        if steps != 0.0 {
            self.turn(ui, field, steps * fine, false, document, out);
        }
    }

    /// The value's text field.
    fn typed(
        &mut self,
        ui: &mut Ui,
        id: Id,
        value: &Value,
        rect: Rect,
        document: &Document,
        out: &mut Vec<Message>,
    ) {
        let Some(mut typing) = self.typing.take() else { return };
        let room = Rect::from_center_size(rect.center(), vec2(TYPED_WIDTH, rect.height() + 4.0));
        let edit = TextEdit::singleline(&mut typing.typed).id(id.with("typed")).desired_width(TYPED_WIDTH);
        let shown = ui.scope_builder(egui::UiBuilder::new().max_rect(room), |ui| edit.show(ui)).inner;
        let response = shown.response.response.accessible_name(&value.label);
        if !typing.is_open || response.double_clicked() {
            typing.is_open = true;
            response.request_focus();
            let mut state = shown.state;
            let end = CCursor::new(typing.typed.chars().count());
            state.cursor.set_char_range(Some(CCursorRange::two(CCursor::default(), end)));
            state.store(ui.ctx(), response.id);
        }
        if response.changed() {
            typing.error = None;
        }
        if !response.lost_focus() {
            show_error(&response, typing.error.as_deref());
            self.typing = Some(typing);
            return;
        }
        let (enter, escape) =
            ui.input(|input| (input.key_pressed(Key::Enter), input.key_pressed(Key::Escape)));
        if enter || escape {
            // Back to the value, so that Tab goes on from here.
            ui.memory_mut(|memory| memory.request_focus(id));
        }
        if escape || text(document, &value.field).as_ref() == Some(&typing.typed) {
            return;
        }
        match set(document, &value.field, &typing.typed) {
            Ok(_) => out.push(super::whole(Edit::Set(value.field.clone(), typing.typed))),
            Err(error) if enter => {
                response.request_focus();
                typing.error = Some(error);
                show_error(&response, typing.error.as_deref());
                self.typing = Some(typing);
            }
            Err(error) => out.push(Message::Notice(error)),
        }
    }
}

/// Back to the usual value, unless it is there already.
fn reset(document: &Document, field: &Field) -> Option<Message> {
    let usual = usual(document, field).to_owned();
    let is_other = set(document, field, &usual).is_ok_and(|to| to != *document);
    is_other.then(|| super::whole(Edit::Set(field.clone(), usual)))
}

/// Beside what was typed, above all else.
fn show_error(response: &Response, error: Option<&str>) {
    if let Some(error) = error {
        Popup::from_response(response)
            .open(true)
            .close_behavior(PopupCloseBehavior::IgnoreClicks)
            .width(ERROR_WIDTH)
            .show(|ui| {
                ui.set_width(ERROR_WIDTH);
                ui.label(error);
            });
    }
}

/// Notches of the wheel, which scroll nothing else meanwhile.
fn wheel(ui: &Ui) -> f64 {
    ui.input_mut(|input| {
        input.smooth_scroll_delta = egui::Vec2::ZERO;
        let notches = input.events.iter().filter_map(|event| match event {
            egui::Event::MouseWheel { unit, delta, .. } => {
                // With Shift some systems turn the wheel sideways.
                let way = delta.x + delta.y;
                Some(f64::from(match unit {
                    egui::MouseWheelUnit::Point => way / POINTS_PER_NOTCH,
                    egui::MouseWheelUnit::Line | egui::MouseWheelUnit::Page => way,
                }))
            }
            _ => None,
        });
        notches.sum()
    })
}

fn keys(ui: &Ui) -> f64 {
    ui.input(|input| {
        let presses = input.events.iter().map(|event| match event {
            egui::Event::Key { key: Key::ArrowUp, pressed: true, .. } => 1.0,
            egui::Event::Key { key: Key::ArrowDown, pressed: true, .. } => -1.0,
            _ => 0.0,
        });
        presses.sum()
    })
}

fn requests(ui: &Ui, id: Id) -> f64 {
    ui.input(|input| {
        let up = input.accesskit_action_requests(id, Action::Increment).map(|_| 1.0);
        let down = input.accesskit_action_requests(id, Action::Decrement).map(|_| -1.0);
        up.chain(down).sum()
    })
}

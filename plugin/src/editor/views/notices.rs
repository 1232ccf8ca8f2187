use egui::{Align2, Area, Button, Frame, Id, Key, Label, Order, ScrollArea, Stroke, Ui, vec2};
use firstjack_looks::{space, strokes};

use super::theme;
use crate::editor::{Message, Model};

const CLOSE: &str = "×";
/// Of one notice, in points.
const WIDTH: f32 = 320.0;
/// Parts of the window's height that all may take.
const MOST: f32 = 0.5;

/// What is said to the reader, over everything but the answer, the foot and what has been opened, until it is read: nothing is pushed aside by it.
pub(crate) fn show(ui: &Ui, model: &Model, above: f32, out: &mut Vec<Message>) {
    let Some(newest) = model.notices.len().checked_sub(1) else { return };
    let theme = theme::of(ui.visuals());
    let area = ui.ctx().content_rect();
    let offset = vec2(-space::MARGIN, above - space::TIGHT - area.bottom());
    Area::new(Id::unique("notices")).order(Order::Middle).anchor(Align2::RIGHT_BOTTOM, offset).show(
        ui.ctx(),
        |ui| {
            ScrollArea::vertical().max_height(MOST * area.height()).show(ui, |ui| {
                for (index, text) in model.notices.iter().enumerate().rev() {
                    let frame = Frame::new()
                        .fill(theme::colour32(theme.warning_wash))
                        .stroke(Stroke::new(strokes::THIN, theme::colour32(theme.warning)))
                        .corner_radius(theme::radius(space::TILE_RADIUS))
                        .inner_margin(theme::margin(space::NEAR));
                    frame.show(ui, |ui| notice(ui, index, text, out));
                }
            });
        },
    );
    let is_free = !model.help && !model.measure && !ui.ctx().text_edit_focused();
    if is_free && ui.input(|input| input.key_pressed(Key::Escape)) {
        out.push(Message::Read(newest));
    }
}

fn notice(ui: &mut Ui, index: usize, text: &str, out: &mut Vec<Message>) {
    let width = WIDTH.min(ui.ctx().content_rect().width() - 2.0 * space::MARGIN);
    ui.horizontal_top(|ui| {
        ui.set_width(width);
        let text_width = width - space::steps(9.0);
        ui.allocate_ui(vec2(text_width, 0.0), |ui| {
            ui.set_width(text_width);
            ui.add(Label::new(text).wrap());
        });
        let close = ui.add(Button::new(CLOSE).frame_when_inactive(false));
        if close.on_hover_text("Escape").accessible_name(format!("close: {text}")).clicked() {
            out.push(Message::Read(index));
        }
    });
}

//! What each curve is at the cursor, in a list beside the plot.

use egui::{Align, Label, Layout, RichText, Sense, TextStyle, Ui, pos2, vec2};

use super::cursor::{ON_STRING, frequency};
use super::traces::Trace;
use super::{CurvesView, ROW, level, look_of, name};
use crate::editor::Model;
use crate::editor::views::look;

const CURSOR_HELP: &str = "Left and right arrow: a semitone, with Shift a tenth. Up and down: next string. Double-click: back to the low string.";
const LEVEL_WIDTH: f32 = 46.0;

impl CurvesView {
    pub(super) fn read_out(&self, ui: &mut Ui, model: &Model) {
        let hz = self.hz(model);
        let strings = model.figures.strings.iter().zip(&model.figures.strings_hz);
        let string = strings
            .filter(|(_, at)| (1.0 / ON_STRING..ON_STRING).contains(&(hz / **at)))
            .map(|(s, _)| s)
            .next();
        let title = string.map_or_else(|| frequency(hz), |string| format!("{} ({string})", frequency(hz)));
        ui.spacing_mut().item_spacing.y = 0.0;
        ui.add(Label::new(RichText::new(title).strong()).truncate()).on_hover_text(CURSOR_HELP);
        for trace in &self.traces.all {
            read_out_row(ui, model, trace, hz);
        }
    }
}

fn read_out_row(ui: &mut Ui, model: &Model, trace: &Trace, hz: f64) {
    let is_heard = trace.place == model.document.heard;
    let emphasis = |text: &str| {
        let text = RichText::new(text);
        if is_heard { text.strong() } else { text }
    };
    let (name, level) = (name(model, trace), level(model, trace, hz));
    let size = vec2(ui.available_width(), ROW);
    let look = look_of(trace, model.document.heard, ui.visuals());
    ui.allocate_ui_with_layout(size, Layout::left_to_right(Align::Center), |ui| {
        ui.set_min_height(ROW);
        look::sample(ui, look);
        let (rect, _) = ui.allocate_exact_size(vec2(LEVEL_WIDTH, ROW), Sense::hover());
        let galley = ui.painter().layout_no_wrap(
            level,
            TextStyle::Body.resolve(ui.style()),
            ui.visuals().strong_text_color(),
        );
        let x = rect.right() - galley.size().x;
        ui.painter().galley(
            pos2(x, rect.center().y - 0.5 * galley.size().y),
            galley,
            ui.visuals().text_color(),
        );
        ui.add(Label::new(emphasis(&name)).truncate());
    });
}

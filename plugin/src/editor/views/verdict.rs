use egui::{Label, RichText, Ui, accesskit::Live};

use crate::editor::views::blind_view::HIDDEN;
use crate::editor::{Message, Model, Readings, SetupFigures};

const BYPASSED: &str = "Bypass is on: what comes in is heard unchanged.";
const ASK: &str = "ask for:";

/// Size of the first line's letters in points, in a window at least so wide, and in a narrower one.
const WIDE: f32 = 640.0;
const LARGE: f32 = 26.0;
const LESS_LARGE: f32 = 21.0;

/// The top line: what is lost of what is heard, in words and dB, what is behind it, and what to ask for.
#[derive(Debug, Default)]
pub struct VerdictView;

impl VerdictView {
    /// Draws it; nothing but a note while names are hidden.
    pub fn show(&mut self, ui: &mut Ui, model: &Model, _: &Readings, hide: bool, _: &mut Vec<Message>) {
        if hide {
            ui.label(RichText::new(HIDDEN).size(LESS_LARGE));
            return;
        }
        let figures = model.figures.of(model.document.heard);
        let size = if ui.available_width() < WIDE { LESS_LARGE } else { LARGE };
        ui.spacing_mut().item_spacing.y = 3.0;
        // Selecting its text takes drags, but no key.
        let line = ui.add(Label::new(RichText::new(&figures.verdict).size(size).strong()).wrap());
        let said = all(figures, model.document.bypass);
        ui.ctx().accesskit_node_builder(line.id, |node| {
            node.set_live(Live::Polite);
            // What a label says is its value.
            node.set_value(said.clone());
        });
        if model.document.bypass {
            ui.add(Label::new(RichText::new(BYPASSED).color(ui.visuals().warn_fg_color)).wrap());
        }
        if !figures.sentences.is_empty() {
            ui.add(Label::new(figures.sentences.join(" ")).wrap());
        }
        ui.add(Label::new(RichText::new(format!("{ASK} {}", figures.ask)).strong()).wrap());
    }
}

/// What a screen reader says when it changes.
fn all(figures: &SetupFigures, bypass: bool) -> String {
    let bypassed = if bypass { BYPASSED } else { "" };
    format!("{}. {bypassed} {ASK} {}", figures.verdict, figures.ask)
}

//! Where the chains stand: beside each other, each in a surface with what it is of.

use egui::{Frame, Label, Rect, RichText, Stroke, Ui, UiBuilder, vec2};
use firstjack_kit::KitFile;
use firstjack_looks::{space, strokes, text};
use firstjack_words::visible;

use super::{ChainView, MARGIN, paint};
use crate::editor::views::schematic::Drawing;
use crate::editor::views::theme;
use crate::editor::{Document, Message, Model, Readings, Where};

const RECORDED: &str = "the take was recorded through";
const HEARD: &str = "now heard through";
const AS_RECORDED: &str = "as recorded";
const NOTHING_CHANGED: &str =
    "The take as it is: nothing is changed. Choose a setup to hear it through that.";
const HIDDEN: &str = "The chains are hidden while you listen blind.";
const LEGEND: &str = "dashed: behind a buffer, no load";
const UNSAID: &str = "not said: taken as nothing. Add what it was plugged into.";
const MONO: &str = "Mono track: only the left pickup is heard; a blend needs a stereo track.";

/// What the recorded chain has of the width, at least and at most.
const SHARE: (f32, f32) = (0.27, 0.4);
/// From this height on there is more air inside.
const HIGH: f32 = 130.0;

/// Both chains, always: what the take was recorded through, and what it is heard through now, each in a surface of its own.
#[derive(Debug, Default)]
pub struct ChainViews {
    recorded: ChainView,
    heard: ChainView,
}

impl ChainViews {
    /// Views whose menus offer what is in a kit.
    pub fn with_kit(file: Option<KitFile>) -> Self {
        Self { recorded: ChainView::with_kit(file.clone()), heard: ChainView::with_kit(file) }
    }

    /// Draws both beside each other in all the room of `ui`, and sends what is edited; only a note while `hide`.
    pub fn show(
        &mut self,
        ui: &mut Ui,
        model: &Model,
        readings: &Readings,
        hide: bool,
        out: &mut Vec<Message>,
    ) {
        let whole = ui.available_rect_before_wrap();
        ui.advance_cursor_after_rect(whole);
        if hide {
            self.recorded.leave(out);
            self.heard.leave(out);
            return surface(ui, whole, "hidden", |ui| {
                ui.label(HIDDEN);
            });
        }
        let document = &model.document;
        let recorded = Drawing::new(document, Where::Recorded, &paint::measure(ui));
        let (least, most) = (SHARE.0 * whole.width(), SHARE.1 * whole.width());
        let width = (recorded.size.x + 2.0 * (MARGIN + space::INSIDE)).clamp(least, most);
        let (left, right) = whole.split_left_right_at_x(whole.left() + width);
        surface(ui, left, "recorded", |ui| {
            caption(ui, RECORDED, None, false);
            if readings.lacks_second_track(document) {
                warning(ui, MONO);
            } else if !document.preset.says_recorded {
                warning(ui, UNSAID);
            }
            self.recorded.show(ui, document, &recorded, out);
        });
        surface(ui, right.with_min_x(right.left() + space::INSIDE), "heard", |ui| {
            self.heard(ui, document, out)
        });
    }

    fn heard(&mut self, ui: &mut Ui, document: &Document, out: &mut Vec<Message>) {
        let setup = document.heard.and_then(|index| Some((index, document.preset.setups.get(index)?)));
        let Some((index, setup)) = setup else {
            self.heard.leave(out);
            caption(ui, HEARD, Some(AS_RECORDED), false);
            ui.add(Label::new(RichText::new(NOTHING_CHANGED).color(ui.visuals().weak_text_color())).wrap());
            return;
        };
        let drawing = Drawing::new(document, Where::Setup(index), &paint::measure(ui));
        let is_dashed = drawing.marks.iter().any(|mark| !mark.loads);
        caption(ui, HEARD, Some(&visible(&setup.name)), is_dashed);
        self.heard.show(ui, document, &drawing, out);
    }
}

/// A surface in a place, with ids of its own.
fn surface(ui: &mut Ui, rect: Rect, id: &str, draw: impl FnOnce(&mut Ui)) {
    let theme = theme::of(ui.visuals());
    let ground = Frame::new()
        .fill(theme::colour32(theme.surface))
        .stroke(Stroke::new(strokes::THIN, theme::colour32(theme.line)))
        .corner_radius(theme::radius(space::SURFACE_RADIUS));
    ui.painter().add(ground.paint(rect));
    let inside = if rect.height() < HIGH { space::TIGHT } else { space::NEAR };
    let room = rect.shrink2(vec2(space::NEAR, inside));
    let mut place = ui.new_child(UiBuilder::new().id_salt(id).max_rect(room));
    place.set_clip_rect(room.expand(1.0).intersect(ui.clip_rect()));
    // Rows as high as their letters.
    place.spacing_mut().item_spacing.y = 0.0;
    place.spacing_mut().interact_size.y = 0.0;
    draw(&mut place);
}

/// What a surface is of, and what dashes mean in it.
fn caption(ui: &mut Ui, what: &str, name: Option<&str>, is_dashed: bool) {
    let theme = theme::of(ui.visuals());
    let font = theme::semibold(ui, text::SMALL);
    ui.horizontal(|ui| {
        ui.add_space(MARGIN);
        ui.label(RichText::new(what).font(font.clone()).color(theme::colour32(theme.quiet)));
        if let Some(name) = name {
            let name = RichText::new(name).font(font).color(theme::colour32(theme.ink));
            ui.add(Label::new(name).truncate());
        }
        if is_dashed {
            let legend = RichText::new(LEGEND).small().color(theme::colour32(theme.quiet));
            ui.with_layout(egui::Layout::right_to_left(egui::Align::Center), |ui| {
                ui.add(Label::new(legend).truncate());
            });
        }
    });
}

/// What cannot be done, or has not been said.
fn warning(ui: &mut Ui, text: &str) {
    ui.horizontal(|ui| {
        ui.add_space(MARGIN);
        ui.add(Label::new(RichText::new(text).small().color(ui.visuals().warn_fg_color)).truncate());
    });
}

use egui::{Align, Grid, Label, Layout, RichText, Sense, Ui, vec2};
use firstjack_looks::text;
use firstjack_words::visible;

use crate::editor::views::blind_view::HIDDEN;
use crate::editor::views::tiles::{key_cap, key_of};
use crate::editor::views::{decibels, look, theme};
use crate::editor::{Message, Model, Readings, SetupFigures};

const AS_RECORDED: &str = "as recorded";
const HEADING: &str = "loss in dB at each string";

const NAME_WIDTHS: (f32, f32) = (80.0, 190.0);
const LEVEL_WIDTH: f32 = 38.0;
const GAP: f32 = 6.0;
/// Of a row, and between rows.
const ROW: f32 = 20.0;
const BETWEEN: f32 = 2.0;
/// Of a key.
const CAP: f32 = 18.0;
/// Of a key, a line's sample, and the gaps behind them.
const BEFORE_NAME: f32 = CAP + 34.0 + 2.0 * GAP;

/// The table of what each string loses in each setup.
#[derive(Debug, Default)]
pub struct StringsView;

impl StringsView {
    /// Draws it; no figures while names are hidden.
    pub fn show(&mut self, ui: &mut Ui, model: &Model, _: &Readings, hide: bool, _: &mut Vec<Message>) {
        if hide {
            ui.label(HIDDEN);
            return;
        }
        let strings: f32 = model.figures.strings.iter().map(|_| LEVEL_WIDTH + GAP).sum();
        let name_width = (ui.available_width() - strings - BEFORE_NAME).clamp(NAME_WIDTHS.0, NAME_WIDTHS.1);
        let grid = Grid::new("losses").spacing([GAP, BETWEEN]).min_row_height(ROW);
        grid.show(ui, |ui| table(ui, model, name_width));
    }
}

fn table(ui: &mut Ui, model: &Model, name_width: f32) {
    let figures = &model.figures;
    elided(ui, RichText::new(HEADING).small().weak(), HEADING, name_width + BEFORE_NAME);
    for string in &figures.strings {
        let font = look::font(ui, text::BODY, true);
        cell(ui, RichText::new(string.to_string()).font(font), string.to_string());
    }
    ui.end_row();
    row(ui, model, (None, AS_RECORDED), &figures.recorded, name_width);
    for (index, (setup, of)) in model.document.preset.setups.iter().zip(&figures.setups).enumerate() {
        row(ui, model, (Some(index), &visible(&setup.name)), of, name_width);
    }
}

fn row(
    ui: &mut Ui,
    model: &Model,
    (place, name): (Option<usize>, &str),
    figures: &SetupFigures,
    name_width: f32,
) {
    let is_heard = place == model.document.heard;
    let font = look::font(ui, text::BODY, is_heard);
    let emphasis = |text: &str| RichText::new(text).font(font.clone());
    let look = look::of(place, is_heard, theme::of(ui.visuals()));
    ui.horizontal(|ui| {
        ui.spacing_mut().item_spacing.x = GAP;
        ui.set_min_height(ROW);
        let (cap, _) = ui.allocate_exact_size(vec2(CAP, CAP), Sense::hover());
        key_cap(ui, ui.painter(), cap, &key_of(place), is_heard);
        look::sample(ui, look);
        elided(ui, emphasis(name), name, name_width);
    });
    for (index, (string, loss_db)) in model.figures.strings.iter().zip(&figures.losses_db).enumerate() {
        let loss = decibels::loss(*loss_db);
        let said = figures.ranges_db.get(index).map_or_else(
            || format!("{loss} dB"),
            |range| format!("{} to {} dB", decibels::loss(range.low), decibels::loss(range.high)),
        );
        cell(ui, emphasis(&loss), format!("{name}, {string}: loses {said}"));
    }
    ui.end_row();
}

/// Text of one width, with a tooltip where it does not fit.
fn elided(ui: &mut Ui, text: RichText, whole: &str, width: f32) {
    let size = vec2(width, ROW);
    ui.allocate_ui_with_layout(size, Layout::left_to_right(Align::Center), |ui| {
        ui.set_min_width(width);
        let label = ui.add(Label::new(text).truncate().show_tooltip_when_elided(true));
        ui.ctx().accesskit_node_builder(label.id, |node| node.set_value(whole));
    });
}

fn cell(ui: &mut Ui, text: RichText, said: String) {
    let size = vec2(LEVEL_WIDTH, ROW);
    ui.allocate_ui_with_layout(size, Layout::right_to_left(Align::Center), |ui| {
        ui.set_min_width(LEVEL_WIDTH);
        let label = ui.add(Label::new(text)).on_hover_text(said.as_str());
        // What a label says is its value.
        ui.ctx().accesskit_node_builder(label.id, |node| node.set_value(said));
    });
}

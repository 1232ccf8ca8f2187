use std::sync::Arc;

use egui::text::{LayoutJob, TextWrapping};
use egui::{Align, Frame, Galley, Label, Layout, Rect, RichText, Role, Sense, Ui, UiBuilder, WidgetInfo};
use egui::{accesskit::Live, pos2, vec2};
use firstjack_looks::{space, text};
use firstjack_words::Words;

use crate::editor::views::alarms::Alarms;
use crate::editor::views::blind_view::HIDDEN;
use crate::editor::views::boost_floor;
use crate::editor::views::theme;
use crate::editor::{Message, Model, Readings, SetupFigures};

const BYPASSED: &str = "Bypass is on: what comes in is heard unchanged.";
const MUTED: &str = "The guard faded to silence";
const REFUSED: &str = "A value cannot be played: what was heard before goes on.";
const SEEN: &str = "seen";
const ASK: &str = "ask for";
/// What the boost limit holds back is worth a word from here on, in dB.
const LEAST_HELD_DB: f64 = 0.5;

/// The sentence is as large as fits, down to the last, which may have two lines.
const SIZES: [f32; 4] = [text::TITLE, 24.0, 20.0, text::ANSWER];
/// Parts of the width for what to ask for, at most.
const MOST_ASKED: f32 = 0.36;

/// What is lost of what is heard, in one sentence, what would help, and what to ask for.
#[derive(Debug, Default)]
pub struct VerdictView;

impl VerdictView {
    /// Draws it; nothing but a note while names are hidden.
    pub fn show(
        &mut self,
        ui: &mut Ui,
        model: &Model,
        readings: &Readings,
        alarms: &mut Alarms,
        hide: bool,
        _: &mut Vec<Message>,
    ) {
        let whole = ui.available_rect_before_wrap();
        let figures = model.figures.of(model.document.heard);
        let tile = if hide { whole.with_min_x(whole.right()) } else { ask(ui, whole, figures) };
        let left = whole.with_max_x(tile.left() - space::INSIDE);
        let mut left = ui.new_child(UiBuilder::new().max_rect(left));
        left.spacing_mut().item_spacing.y = 2.0;
        let warnings = warnings(model, readings, alarms);
        let sentence = if hide { HIDDEN } else { &figures.verdict };
        let galley = fitted(&left, sentence);
        let line = left.add(Label::new(galley));
        left.ctx().accesskit_node_builder(line.id, |node| {
            node.set_live(Live::Polite);
            // What a label says is its value.
            node.set_value(if hide { HIDDEN.to_owned() } else { all(figures, &warnings) });
        });
        if !warnings.is_empty() {
            warn(&mut left, &warnings.join(" "), alarms);
        } else if !hide {
            let more = more(model, readings, figures).join("; ");
            left.add(Label::new(RichText::new(more).weak()).truncate());
        }
    }
}

/// What cannot wait, before anything else.
fn warnings(model: &Model, readings: &Readings, alarms: &Alarms) -> Vec<String> {
    let cause = readings.guard_cause.map_or("", |cause| Words::ENGLISH.guard_cause(cause));
    let closed = alarms.has_closed().then(|| format!("{MUTED}: {cause}."));
    let others = [(model.document.bypass, BYPASSED), (readings.refused, REFUSED)];
    let others = others.into_iter().filter(|(is_so, _)| *is_so).map(|(_, text)| text.to_owned());
    closed.into_iter().chain(others).collect()
}

fn warn(ui: &mut Ui, text: &str, alarms: &mut Alarms) {
    let colour = ui.visuals().warn_fg_color;
    ui.horizontal(|ui| {
        if alarms.has_closed() && ui.small_button(SEEN).clicked() {
            alarms.see_closing();
        }
        ui.add(Label::new(RichText::new(text).color(colour)).truncate());
    });
}

/// What would help most, what was done for equal loudness, and what else there is to say.
fn more(model: &Model, readings: &Readings, figures: &SetupFigures) -> Vec<String> {
    let (document, words) = (&model.document, Words::ENGLISH);
    let heard = document.heard.filter(|_| document.level_match);
    let gain_db = heard.and_then(|setup| readings.matching_db.get(setup).copied().flatten());
    let held = figures.held_back;
    let held = (document.ceiling.db().is_some() && held.db >= LEAST_HELD_DB)
        .then(|| format!("the boost limit holds back {} at {}", words.db(held.db), words.hz(held.hz)));
    let noise = figures.noise.map(|rise| words.noise(rise.noise, rise.db));
    let floor = figures.floor.zip(boost_floor::lowest_hz(model));
    let is_dear = floor.is_some_and(|(floor, hz)| floor.cost_db(hz) > boost_floor::MOST_COST_DB);
    let floor = floor.map(|(floor, hz)| words.undo_floor(floor, hz));
    let (dear, floor) = if is_dear { (floor, None) } else { (None, floor) };
    let turned = gain_db.and_then(|db| words.turned(db));
    let first = [dear, figures.help.clone(), turned, held, noise, floor];
    first.into_iter().flatten().chain(figures.sentences.iter().cloned()).collect()
}

/// What a screen reader says when it changes.
fn all(figures: &SetupFigures, warnings: &[String]) -> String {
    let help = figures.help.as_deref().unwrap_or_default();
    format!("{}. {} {help} {ASK}: {}", figures.verdict, warnings.join(" "), figures.ask)
}

fn fitted(ui: &Ui, sentence: &str) -> Arc<Galley> {
    let (width, colour) = (ui.available_width(), ui.visuals().strong_text_color());
    let lay = |size: f32, rows: usize| {
        let mut job = LayoutJob::simple(sentence.to_owned(), theme::semibold(ui, size), colour, width);
        job.wrap = TextWrapping { max_width: width, max_rows: rows, ..TextWrapping::default() };
        ui.fonts_mut(|fonts| fonts.layout_job(job))
    };
    let fits = SIZES.into_iter().map(|size| lay(size, 1)).find(|galley| !galley.elided);
    fits.unwrap_or_else(|| lay(SIZES[SIZES.len() - 1], 2))
}

/// What to ask for, at the right of a place; where it stands.
fn ask(ui: &mut Ui, whole: Rect, figures: &SetupFigures) -> Rect {
    let theme = theme::of(ui.visuals());
    let (caption, figure) = &figures.asked;
    let most = MOST_ASKED * whole.width();
    let lay = |text: &str, font, colour| {
        let mut job = LayoutJob::simple(text.to_owned(), font, theme::colour32(colour), most);
        job.halign = Align::RIGHT;
        ui.fonts_mut(|fonts| fonts.layout_job(job))
    };
    let caption_size = if figure.is_some() { text::SMALL } else { text::BODY };
    let caption = lay(caption, egui::FontId::proportional(caption_size), theme.quiet);
    let figure = figure.as_ref().map(|figure| lay(figure, theme::semibold(ui, text::ANSWER), theme.accent));
    let figure_size = figure.as_ref().map_or(egui::Vec2::ZERO, |figure| figure.size());
    let size = vec2(caption.size().x.max(figure_size.x), caption.size().y + figure_size.y);
    let size = size + 2.0 * vec2(space::INSIDE, space::NEAR);
    let rect = Rect::from_min_size(pos2(whole.right() - size.x, whole.top()), size).intersect(whole);
    let ground =
        Frame::new().fill(theme::colour32(theme.wash)).corner_radius(theme::radius(space::TILE_RADIUS));
    ui.painter().add(ground.paint(rect));
    let right = rect.right() - space::INSIDE;
    let below = rect.top() + space::NEAR + caption.size().y;
    ui.painter().galley(pos2(right, rect.top() + space::NEAR), caption, egui::Color32::PLACEHOLDER);
    if let Some(figure) = figure {
        ui.painter().galley(pos2(right, below), figure, egui::Color32::PLACEHOLDER);
    }
    let mut place = ui.new_child(UiBuilder::new().max_rect(rect).layout(Layout::top_down(Align::Min)));
    let response = place.allocate_rect(rect, Sense::hover());
    let said = format!("{ASK}: {}", figures.ask);
    response.widget_info(|| WidgetInfo::labeled(Role::Label, true, &said));
    response.on_hover_text(said);
    rect
}

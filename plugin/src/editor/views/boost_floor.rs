//! Where what is restored comes down again below the lowest string: on or off, the corner, and what it costs that string.

use dsp_core::response::Floor;
use egui::{Color32, RichText, Ui};
use firstjack_looks::{space, text as sizes};
use firstjack_words::Words;

use super::levels::chip;
use super::number::Number;
use super::{decibels, look};
use crate::editor::{Edit, Message, Model, Stage};
use crate::host::text;
use crate::sound::shown;

const FLOOR: &str = "boost floor";
const OFF: &str = "boost floor off";
/// Where there is little room.
const SHORT: &str = "floor";
const SHORT_OFF: &str = "floor off";
const HELP: &str = "Below this frequency a change that lifts the lows comes down again by itself, so that rumble which no string needs is not lifted. Half of \
                    the lowest string's frequency costs that string 0.3 dB, and is what a click on \"boost floor\" and a reset give.";
const ACCEPTED: &str = "accepted are 27.5 Hz, 1 to 200 Hz, or off";

/// More is too much for the lowest string, in dB.
pub(super) const MOST_COST_DB: f64 = 0.3;
/// So much room is enough for whole names, in points.
const ROOMY: f32 = 180.0;
/// Hz for each point of a drag.
const SPEED_HZ: f64 = 0.1;
/// As near to half of the lowest string's frequency it is called so, in Hz.
const SAME_HZ: f64 = 0.05;

/// Draws it; what it costs and the offer of a better one as far as there is room up to `end`.
pub(super) fn show(ui: &mut Ui, model: &Model, end: f32, out: &mut Vec<Message>) {
    let whole = |floor| Message::Edit(Edit::Floor(floor), Stage::Whole);
    let half = half(model);
    let is_roomy = end - ui.cursor().left() >= ROOMY;
    let Some(floor) = model.document.floor else {
        if chip(ui, if is_roomy { OFF } else { SHORT_OFF }, OFF, false).on_hover_text(HELP).clicked() {
            out.push(whole(Some(half)));
        }
        return;
    };
    let is_dear = cost_db(model, floor) > MOST_COST_DB;
    let warning = ui.visuals().warn_fg_color;
    let warned = |text: RichText| if is_dear { text.color(warning) } else { text };
    let said = said(model, floor);
    let name = warned(RichText::new(if is_roomy { FLOOR } else { SHORT }));
    if chip(ui, name, FLOOR, true).on_hover_text(format!("{said}. {HELP}")).clicked() {
        out.push(whole(None));
    }
    let number = Number {
        name: format!("{FLOOR} in Hz"),
        help: HELP,
        range: (f64::from(shown::LEAST_FLOOR_HZ), f64::from(shown::FLOOR_HZ.1)),
        default: half.hz,
        speed: SPEED_HZ,
        unit: "Hz",
        read: text::read_floor,
        unread: ("a frequency", ACCEPTED),
        below: Some(Edit::Floor(None)),
    };
    number.show(ui, floor.hz, out, |hz| Edit::Floor(Some(Floor { hz })));
    let short = short(model, floor);
    if let Some(shown) = [&said, &short].into_iter().find(|words| has_room(ui, words, 0.0, end)) {
        ui.label(warned(RichText::new(shown).small().weak())).on_hover_text(&said);
    }
    let offer = Words::ENGLISH.say("noise.floor_half", &[("string", note(model))]);
    let around = 2.0 * ui.spacing().button_padding.x;
    let is_half = (floor.hz - half.hz).abs() < SAME_HZ;
    if !is_half && has_room(ui, &offer, around, end) {
        let offer = ui.button(RichText::new(offer).small());
        if offer.on_hover_text(text::floor(shown::stored(half.hz, shown::FLOOR_HZ))).clicked() {
            out.push(whole(Some(half)));
        }
    }
}

/// What it costs the lowest string, and whether it lies where it should.
fn said(model: &Model, floor: Floor) -> String {
    let db = Words::ENGLISH.db(cost_db(model, floor));
    let is_half = (floor.hz - half(model).hz).abs() < SAME_HZ;
    let id = if is_half { "noise.floor_half_costs" } else { "noise.floor_costs" };
    Words::ENGLISH.say(id, &[("string", note(model)), ("db", &db)])
}

/// The same where there is little room: "E1 −0.3 dB".
fn short(model: &Model, floor: Floor) -> String {
    let lowest = model.figures.lowest().map(|index| model.figures.strings[index].to_string());
    format!("{} {} dB", lowest.unwrap_or_default(), decibels::signed(-cost_db(model, floor)))
}

/// What it costs the lowest string, in dB.
pub(super) fn cost_db(model: &Model, floor: Floor) -> f64 {
    lowest_hz(model).map_or(0.0, |hz| floor.cost_db(hz))
}

/// Of the lowest string, in Hz.
pub(super) fn lowest_hz(model: &Model) -> Option<f64> {
    model.figures.lowest().map(|index| model.figures.strings_hz[index])
}

fn note(model: &Model) -> &'static str {
    model.figures.lowest().map_or("", |index| Words::ENGLISH.note(&model.figures.strings[index]))
}

/// Half of the lowest string's frequency, in hundredths and within the range.
fn half(model: &Model) -> Floor {
    let (least, most) = (f64::from(shown::LEAST_FLOOR_HZ), f64::from(shown::FLOOR_HZ.1));
    let hz = lowest_hz(model).unwrap_or(most) * Floor::MOST_PART;
    Floor { hz: ((hz * 100.0).round() / 100.0).clamp(least, most) }
}

/// Whether small words, with so much around them, fit in front of `end`.
fn has_room(ui: &Ui, words: &str, around: f32, end: f32) -> bool {
    let font = look::font(ui, sizes::SMALL, false);
    let width = ui.painter().layout_no_wrap(words.to_owned(), font, Color32::PLACEHOLDER).size().x;
    ui.cursor().left() + width + around + space::NEAR <= end
}

use std::cell::Cell;

use dsp_core::response::Ceiling;
use egui::{DragValue, Grid, Ui};

use super::decibels;
use crate::editor::{Document, Edit, Level, Message, Model, Readings, Stage, Switch};
use crate::host::text;
use crate::sound::shown;

const LEVEL_MATCH: &str = "level match";
const LEVEL_MATCH_HELP: &str =
    "Brings each setup to the loudness of the take, so that the louder one does not win.";
const HOLD: &str = "hold";
const HOLD_HELP: &str =
    "The gains of the level match stay as they are, whatever is heard. An export holds them by itself.";
const UNKNOWN: &str = "no gain yet";
const GUESSED: &str = "a guess";
const GUESSED_HELP: &str =
    "From what the instrument usually sounds like, until 3 s of music have been heard.";
const LEARNED: &str = "learned";
const LEARNED_HELP: &str = "From the music that has been heard. Kept with the project; it moves when music says something new for seconds.";
const HELD: &str = "held";
const BYPASS: &str = "bypass";
const BYPASS_HELP: &str = "What comes in passes unchanged.";
const GUARD: &str = "guard";
const GUARD_HELP: &str = "Fades to silence on a runaway.";
const CEILING: &str = "undo ceiling";
const CEILING_HELP: &str =
    "The most boost that any change may apply. Turn the system down before you raise it or take it off.";
const OF_UNDO: &str = "undo only";
const OF_UNDO_HELP: &str = "This project comes from an earlier version, whose ceiling bounds undoing only. Click to bound every change.";
const TRIM: &str = "trim";
const TRIM_HELP: &str = "Gain of the setups; as recorded is left alone.";
const OUTPUT: &str = "output";
const OUTPUT_HELP: &str = "Gain of all that is heard.";
const HOW: &str = "Drag, Shift for fine steps; click to type; double-click resets.";
const ACCEPTED: &str = "accepted are -3.5, +6 dB";

/// What a reset gives, as [`Ceiling::default`].
const DEFAULT_CEILING_DB: f64 = 24.0;
const DEFAULT_LEVEL_DB: f64 = 0.0;
/// The highest ceiling but for none at all.
const MOST_CEILING_DB: f64 = 59.99;
/// dB for each point of a drag.
const SPEED_DB: f64 = 0.1;
/// Width in points of one control, or a control and its label, at most.
const PAIR_WIDTH: f32 = 190.0;

/// Level match and its gain, trim, output, undo ceiling, guard and bypass.
#[derive(Debug, Default)]
pub struct LevelsView;

type Draw = fn(&mut Ui, &Model, &Readings, &mut Vec<Message>);

impl LevelsView {
    /// Draws them, as many side by side as there is room for.
    pub fn show(&mut self, ui: &mut Ui, model: &Model, readings: &Readings, out: &mut Vec<Message>) {
        let controls: [Draw; 7] = [bypass, level_match, gain, guard, ceiling, trim, output];
        let fits = |count: &usize| {
            ui.available_width() >= PAIR_WIDTH * f32::from(u8::try_from(*count).unwrap_or(u8::MAX))
        };
        let in_a_row = [7, 4, 2].into_iter().find(fits).unwrap_or(1);
        Grid::new("levels").num_columns(in_a_row).spacing([14.0, 5.0]).show(ui, |ui| {
            for row in controls.chunks(in_a_row) {
                for draw in row {
                    ui.horizontal(|ui| draw(ui, model, readings, out));
                }
                ui.end_row();
            }
        });
    }
}

fn bypass(ui: &mut Ui, model: &Model, _: &Readings, out: &mut Vec<Message>) {
    switch(ui, &model.document, out, (BYPASS, BYPASS_HELP), Switch::Bypass);
}

fn level_match(ui: &mut Ui, model: &Model, _: &Readings, out: &mut Vec<Message>) {
    let document = &model.document;
    switch(ui, document, out, (LEVEL_MATCH, LEVEL_MATCH_HELP), Switch::LevelMatch);
    switch(ui, document, out, (HOLD, HOLD_HELP), Switch::Hold);
}

/// What the level match does to what is heard, and where that comes from; while names are hidden not how much, which would tell them.
fn gain(ui: &mut Ui, model: &Model, readings: &Readings, _: &mut Vec<Message>) {
    let heard = model.document.heard.filter(|_| model.document.level_match);
    let db = heard.and_then(|setup| readings.matching_db.get(setup).copied().flatten());
    let is_known = readings.matching_db.iter().any(Option::is_some);
    let (source, help) = match readings.learned_seconds {
        _ if !is_known => (UNKNOWN.to_owned(), GUESSED_HELP),
        0.0 => (GUESSED.to_owned(), GUESSED_HELP),
        seconds => (format!("{LEARNED} from {seconds} s"), LEARNED_HELP),
    };
    let held = if readings.held || model.document.hold { format!(", {HELD}") } else { String::new() };
    let text = match db.filter(|_| !model.is_blind()) {
        Some(db) => format!("{} dB, {source}{held}", decibels::signed(db)),
        None => format!("{source}{held}"),
    };
    ui.label(text).on_hover_text(help);
}

fn guard(ui: &mut Ui, model: &Model, _: &Readings, out: &mut Vec<Message>) {
    switch(ui, &model.document, out, (GUARD, GUARD_HELP), Switch::Guard);
}

fn trim(ui: &mut Ui, model: &Model, _: &Readings, out: &mut Vec<Message>) {
    let level = Gain { name: TRIM, help: TRIM_HELP, range_db: level_range(), default_db: DEFAULT_LEVEL_DB };
    level.show(ui, model.document.trim_db, out, |db| Edit::Level(Level::Trim, db));
}

fn output(ui: &mut Ui, model: &Model, _: &Readings, out: &mut Vec<Message>) {
    let level =
        Gain { name: OUTPUT, help: OUTPUT_HELP, range_db: level_range(), default_db: DEFAULT_LEVEL_DB };
    level.show(ui, model.document.output_db, out, |db| Edit::Level(Level::Output, db));
}

fn ceiling(ui: &mut Ui, model: &Model, _: &Readings, out: &mut Vec<Message>) {
    let document = &model.document;
    let whole = |ceiling| Message::Edit(Edit::Ceiling(ceiling), Stage::Whole);
    let Some(ceiling_db) = document.ceiling.db() else {
        if ui.checkbox(&mut false, CEILING).on_hover_text(CEILING_HELP).changed() {
            out.push(whole(Ceiling::default()));
        }
        return;
    };
    if ui.checkbox(&mut true, CEILING).on_hover_text(CEILING_HELP).changed() {
        out.push(whole(Ceiling::Off));
    }
    let range_db = (f64::from(shown::CEILING_DB.0), MOST_CEILING_DB);
    let level = Gain { name: "", help: CEILING_HELP, range_db, default_db: DEFAULT_CEILING_DB };
    level.show(ui, ceiling_db, out, |db| Edit::Ceiling(document.ceiling.with_db(db)));
    if matches!(document.ceiling, Ceiling::OfUndo(_))
        && ui.button(OF_UNDO).on_hover_text(OF_UNDO_HELP).clicked()
    {
        out.push(whole(Ceiling::Db(ceiling_db)));
    }
}

fn level_range() -> (f64, f64) {
    (f64::from(shown::LEVEL_DB.0), f64::from(shown::LEVEL_DB.1))
}

fn switch(
    ui: &mut Ui,
    document: &Document,
    out: &mut Vec<Message>,
    (name, help): (&str, &str),
    which: Switch,
) {
    let mut on = which.is_on(document);
    if ui.checkbox(&mut on, name).on_hover_text(help).changed() {
        out.push(Message::Edit(Edit::Switch(which, on), Stage::Whole));
    }
}

/// A gain in dB: dragged as one gesture, typed, or reset.
struct Gain {
    /// Empty where a label stands before it already.
    name: &'static str,
    help: &'static str,
    range_db: (f64, f64),
    default_db: f64,
}

impl Gain {
    fn show(&self, ui: &mut Ui, now_db: f64, out: &mut Vec<Message>, with: impl Fn(f64) -> Edit) {
        let unread = Cell::new(None);
        let parse = |typed: &str| {
            let read = text::read_level(typed).map(f64::from);
            unread.set(read.is_none().then(|| typed.to_owned()));
            read
        };
        if !self.name.is_empty() {
            ui.label(self.name);
        }
        let mut db = now_db;
        let value = DragValue::new(&mut db)
            .range(self.range_db.0..=self.range_db.1)
            .speed(SPEED_DB)
            .update_while_editing(false)
            .custom_formatter(|db, _| written(db))
            .custom_parser(parse);
        let response = ui.add(value).on_hover_text(format!("{} {HOW}", self.help));
        let name =
            if self.name.is_empty() { format!("{CEILING} in dB") } else { format!("{} in dB", self.name) };
        let response = response.accessible_name(name);
        let db = (db * 100.0).round() / 100.0;
        let stage = if response.double_clicked() {
            response.surrender_focus();
            out.push(Message::Edit(with(self.default_db), Stage::Whole));
            None
        } else if response.drag_started() {
            Some(Stage::Begin)
        } else if response.drag_stopped() {
            Some(Stage::End)
        } else {
            let stage = if response.dragged() { Stage::During } else { Stage::Whole };
            response.changed().then_some(stage)
        };
        out.extend(stage.map(|stage| Message::Edit(with(db), stage)));
        let notice = |typed| Message::Notice(format!("cannot read '{typed}' as a level: {ACCEPTED}"));
        out.extend(unread.take().map(notice));
    }
}

/// As it is shown and typed: "−3.5 dB".
fn written(db: f64) -> String {
    format!("{db} dB").replace('-', "−")
}

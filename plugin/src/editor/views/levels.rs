use dsp_core::response::Ceiling;
use egui::{Button, Response, RichText, Role, Ui, WidgetInfo};
use firstjack_words::Words;

use super::alarms::Alarms;
use super::number::Number;
use super::{allowance, boost_floor, decibels};
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
const GUESSED: &str = "guess";
const GUESSED_HELP: &str =
    "From what the instrument usually sounds like, until 3 s of music have been heard.";
const LEARNED: &str = "learned";
const LEARNED_HELP: &str = "From the music that has been heard. Kept with the project; it moves when music says something new for seconds.";
const HELD: &str = "held";
const BYPASS: &str = "bypass";
const BYPASS_HELP: &str = "What comes in passes unchanged.";
const GUARD_HELP: &str = "Fades to silence on a runaway.";
const CEILING: &str = "boost limit";
const CEILING_HELP: &str = "The most boost that any change may apply, such as the one that restores what a load took. Turn the system down before you raise it or take it off.";
const OF_UNDO: &str = "restoring only";
const OF_UNDO_HELP: &str = "This project comes from an earlier version, whose limit bounds restoring only. Click to bound every change.";
const TRIM: &str = "trim";
const TRIM_HELP: &str = "Gain of the setups; as recorded is left alone.";
const OUTPUT: &str = "output";
const OUTPUT_HELP: &str = "Gain of all that is heard.";
const ACCEPTED: &str = "accepted are -3.5, +6 dB";

/// What a reset gives, as [`Ceiling::default`].
const DEFAULT_CEILING_DB: f64 = 24.0;
const DEFAULT_LEVEL_DB: f64 = 0.0;
/// dB for each point of a drag.
const SPEED_DB: f64 = 0.1;
const GUARD_MUTED: &str = "The guard has faded to silence";
const CLICK: &str = "Click when you have seen it.";
/// Chips are as round as they can be.
const ROUND: u8 = 12;

/// Level match and its gain, hold, trim, output, boost limit, guard and bypass.
#[derive(Debug, Default)]
pub struct LevelsView;

impl LevelsView {
    /// Those that shape what is heard, side by side.
    pub fn show(&mut self, ui: &mut Ui, model: &Model, readings: &Readings, out: &mut Vec<Message>) {
        let document = &model.document;
        let (is_on, said) = (document.level_match, LEVEL_MATCH);
        let text = if is_on { "level match on" } else { "level match off" };
        switch(ui, document, out, (text, said, LEVEL_MATCH_HELP), Switch::LevelMatch);
        gain(ui, model, readings);
        let text = if document.hold { HELD } else { HOLD };
        switch(ui, document, out, (text, HOLD, HOLD_HELP), Switch::Hold);
        trim(ui, model, out);
        output(ui, model, out);
    }

    /// What protects: the boost limit.
    pub fn limit(&mut self, ui: &mut Ui, model: &Model, out: &mut Vec<Message>) {
        ceiling(ui, model, out);
    }

    /// Where what is restored comes down again; what that costs, as far as there is room up to `end`.
    pub fn floor(&mut self, ui: &mut Ui, model: &Model, end: f32, out: &mut Vec<Message>) {
        boost_floor::show(ui, model, end, out);
    }

    /// What noise allows that limit to be.
    pub fn allowance(&self, ui: &mut Ui, model: &Model, readings: &Readings, out: &mut Vec<Message>) {
        allowance::show(ui, model, readings, out);
    }

    /// The guard and bypass. A guard that has closed is seen by a click, and only then turned off by another.
    pub fn safety(
        &mut self,
        ui: &mut Ui,
        model: &Model,
        readings: &Readings,
        alarms: &mut Alarms,
        out: &mut Vec<Message>,
    ) {
        guard(ui, model, readings, alarms, out);
        let text = if model.document.bypass { "bypassed" } else { BYPASS };
        switch(ui, &model.document, out, (text, BYPASS, BYPASS_HELP), Switch::Bypass);
    }
}

/// What the level match does to what is heard, and where that comes from; while names are hidden not how much, which would tell them.
fn gain(ui: &mut Ui, model: &Model, readings: &Readings) {
    let heard = model.document.heard.filter(|_| model.document.level_match);
    let db = heard.and_then(|setup| readings.matching_db.get(setup).copied().flatten());
    let is_known = readings.matching_db.iter().any(Option::is_some);
    let is_held = readings.held || model.document.hold;
    let (source, help) = match readings.learned_seconds {
        _ if !is_known => (UNKNOWN, GUESSED_HELP.to_owned()),
        _ if is_held => (HELD, HOLD_HELP.to_owned()),
        0.0 => (GUESSED, GUESSED_HELP.to_owned()),
        seconds => (LEARNED, format!("{seconds} s. {LEARNED_HELP}")),
    };
    let text = match db.filter(|_| !model.is_blind()) {
        Some(db) => format!("{} dB {source}", decibels::signed(db)),
        None => source.to_owned(),
    };
    ui.label(RichText::new(text).weak()).on_hover_text(help);
}

fn guard(ui: &mut Ui, model: &Model, readings: &Readings, alarms: &mut Alarms, out: &mut Vec<Message>) {
    let is_muted = readings.guard_closed || alarms.has_closed();
    let text = match (model.document.guard, is_muted) {
        (false, _) => "guard off",
        (true, true) => "guard muted",
        (true, false) => "guard ready",
    };
    if !alarms.has_closed() {
        switch(ui, &model.document, out, (text, text, GUARD_HELP), Switch::Guard);
        return;
    }
    let cause = readings.guard_cause.map_or("", |cause| Words::ENGLISH.guard_cause(cause));
    let often = match readings.guard_closures {
        1 => "once".to_owned(),
        times => format!("{times} times"),
    };
    let said = format!("{GUARD_MUTED} {often}, last: {cause}. {CLICK}");
    let colour = ui.visuals().warn_fg_color;
    let chip = ui.add(Button::new(RichText::new(text).color(colour)).corner_radius(ROUND));
    if chip.on_hover_text(&said).accessible_name(&said).clicked() {
        alarms.see_closing();
    }
}

fn trim(ui: &mut Ui, model: &Model, out: &mut Vec<Message>) {
    let level = Gain { name: TRIM, help: TRIM_HELP, range_db: level_range(), default_db: DEFAULT_LEVEL_DB };
    level.show(ui, model.document.trim_db, out, |db| Edit::Level(Level::Trim, db));
}

fn output(ui: &mut Ui, model: &Model, out: &mut Vec<Message>) {
    let level =
        Gain { name: OUTPUT, help: OUTPUT_HELP, range_db: level_range(), default_db: DEFAULT_LEVEL_DB };
    level.show(ui, model.document.output_db, out, |db| Edit::Level(Level::Output, db));
}

fn ceiling(ui: &mut Ui, model: &Model, out: &mut Vec<Message>) {
    let document = &model.document;
    let whole = |ceiling| Message::Edit(Edit::Ceiling(ceiling), Stage::Whole);
    let Some(ceiling_db) = document.ceiling.db() else {
        if chip(ui, "boost limit off", "boost limit off", false).on_hover_text(CEILING_HELP).clicked() {
            out.push(whole(Ceiling::default()));
        }
        return;
    };
    if chip(ui, CEILING, CEILING, true).on_hover_text(CEILING_HELP).clicked() {
        out.push(whole(Ceiling::Off));
    }
    let range_db = (f64::from(shown::CEILING_DB.0), f64::from(shown::MOST_CEILING_DB));
    let level = Gain { name: "", help: CEILING_HELP, range_db, default_db: DEFAULT_CEILING_DB };
    level.show(ui, ceiling_db, out, |db| Edit::Ceiling(document.ceiling.with_db(db)));
    if matches!(document.ceiling, Ceiling::OfUndo(_))
        && ui.button(RichText::new(OF_UNDO).small()).on_hover_text(OF_UNDO_HELP).clicked()
    {
        out.push(whole(Ceiling::Db(ceiling_db)));
    }
}

fn level_range() -> (f64, f64) {
    (f64::from(shown::LEVEL_DB.0), f64::from(shown::LEVEL_DB.1))
}

/// What it says, what it is called, and what it does.
type Name<'a> = (&'a str, &'a str, &'a str);

fn switch(
    ui: &mut Ui,
    document: &Document,
    out: &mut Vec<Message>,
    (text, name, help): Name<'_>,
    which: Switch,
) {
    let is_on = which.is_on(document);
    if chip(ui, text, name, is_on).on_hover_text(help).clicked() {
        out.push(Message::Edit(Edit::Switch(which, !is_on), Stage::Whole));
    }
}

/// What is on or off. Its text says so, too.
pub(super) fn chip(ui: &mut Ui, text: impl Into<RichText>, name: &str, is_on: bool) -> Response {
    let chip = ui.add(Button::selectable(is_on, text.into()).frame_when_inactive(true).corner_radius(ROUND));
    chip.widget_info(|| WidgetInfo::selected(Role::CheckBox, true, is_on, name));
    chip
}

/// A gain in dB.
struct Gain {
    /// Empty where a label stands before it already.
    name: &'static str,
    help: &'static str,
    range_db: (f64, f64),
    default_db: f64,
}

impl Gain {
    fn show(&self, ui: &mut Ui, now_db: f64, out: &mut Vec<Message>, with: impl Fn(f64) -> Edit) {
        if !self.name.is_empty() {
            ui.label(RichText::new(self.name).small().weak());
        }
        let called = if self.name.is_empty() { CEILING } else { self.name };
        let number = Number {
            name: format!("{called} in dB"),
            help: self.help,
            range: self.range_db,
            default: self.default_db,
            speed: SPEED_DB,
            unit: "dB",
            read: text::read_level,
            unread: ("a level", ACCEPTED),
            below: None,
        };
        number.show(ui, now_db, out, with);
    }
}

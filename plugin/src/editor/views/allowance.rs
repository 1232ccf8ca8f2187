use egui::{Button, Color32, Label, RichText, TextStyle, Ui};
use firstjack_measure::noise::{AutoCeiling, Margins, Stop};
use firstjack_words::{ByHum, NoHigher, Words};

use crate::editor::listener::LEAST_NOISE_SECONDS;
use crate::editor::{Allowance, Edit, Figures, Message, Model, Readings, Stage};
use crate::sound::shown;

/// A limit that is so much higher or lower is offered, in dB.
const OFFERED_DB: f64 = 3.0;

/// What noise allows what is heard, and the limit that follows from it; nothing while names are hidden, which it would tell.
pub(super) fn show(ui: &mut Ui, model: &Model, readings: &Readings, out: &mut Vec<Message>) {
    if model.is_blind() {
        return;
    }
    let words = Words::ENGLISH;
    let said = match &readings.allowance {
        Allowance::None => return,
        Allowance::Coil => words.get("auto.coil").to_owned(),
        Allowance::Stands => words.get("auto.stands").to_owned(),
        Allowance::Silence => words.get("auto.silence").to_owned(),
        Allowance::Drowned => words.get("auto.drowned").to_owned(),
        Allowance::Listening { seconds } => {
            let (seconds, least) = (format!("{seconds} s"), format!("{LEAST_NOISE_SECONDS} s"));
            words.say("auto.listening", &[("seconds", &seconds), ("least", &least)])
        }
        Allowance::Allows(auto) => {
            offer(ui, model, auto, out);
            allows(&model.figures, auto)
        }
    };
    ui.add(Label::new(RichText::new(said).small().weak()).truncate());
}

/// Limits go no lower, and no higher.
fn range_db() -> (f64, f64) {
    (f64::from(shown::CEILING_DB.0), f64::from(shown::MOST_CEILING_DB))
}

fn offer(ui: &mut Ui, model: &Model, auto: &AutoCeiling, out: &mut Vec<Message>) {
    let (words, now) = (Words::ENGLISH, model.document.ceiling);
    let (least, most) = range_db();
    let db = auto.db.clamp(least, most);
    if now.db().is_some_and(|now_db| (now_db - db).abs() < OFFERED_DB) {
        return;
    }
    let margins = Margins::default();
    let (string, rumble) = (words.ceiling(margins.string_db), words.ceiling(margins.rumble_db));
    let help = words.say("auto.limit_help", &[("string", &string), ("rumble", &rumble)]);
    let text = words.say("auto.limit_to", &[("ceiling", &words.ceiling(db))]);
    let font = TextStyle::Button.resolve(ui.style());
    let width = ui.painter().layout_no_wrap(text.clone(), font, Color32::PLACEHOLDER).size().x;
    let has_room = width + 2.0 * ui.spacing().button_padding.x <= ui.available_width();
    let shown = if has_room { text.clone() } else { words.ceiling(db) };
    if ui.add(Button::new(shown)).on_hover_text(format!("{text}: {help}")).clicked() {
        out.push(Message::Edit(Edit::Ceiling(now.with_db(db)), Stage::Whole));
    }
}

fn allows(figures: &Figures, auto: &AutoCeiling) -> String {
    let (words, margins) = (Words::ENGLISH, Margins::default());
    let by = |hz| ByHum { hz, without_db: auto.without_hum_db };
    let stop = match auto.stop {
        Stop::Enough => figures.lowest().map(|index| NoHigher::Enough { lowest: &figures.strings[index] }),
        Stop::String { index, hz, hum_hz } => figures.strings.get(index).map(|string| NoHigher::String {
            string,
            hz,
            margin_db: margins.string_db,
            hum: hum_hz.map(by),
        }),
        Stop::Rumble { hum_hz } => {
            Some(NoHigher::Rumble { margin_db: margins.rumble_db, hum: hum_hz.map(by) })
        }
    };
    let mut why = stop.map(|stop| words.why_no_higher(&stop)).unwrap_or_default();
    if let Some(others) = auto.others.as_ref().filter(|others| others.db - auto.db >= OFFERED_DB) {
        let drowned =
            others.drowned.iter().filter_map(|(index, hz)| Some((figures.strings.get(*index)?, *hz)));
        why = words.why_but_others(&why, &drowned.collect::<Vec<_>>(), others.db);
    }
    let (ceiling, least_db) = (words.ceiling(auto.db), range_db().0);
    if auto.db < least_db {
        let least = words.ceiling(least_db);
        return words.say("auto.allows_less", &[("ceiling", &ceiling), ("least", &least), ("why", &why)]);
    }
    words.say("auto.allows", &[("ceiling", &ceiling), ("why", &why)])
}

use askama::Template;
use firstjack_words::Words;

use crate::pack::compose::Composer;
use crate::pack::sound::{BandError, Codec, Encoded};

/// What the page says of itself: how loud, how exact, what can be found in it.
#[derive(Template)]
#[template(path = "pack/page/about.html")]
pub struct About<'a> {
    words: &'a Words,
    facts: Vec<String>,
    sounds: Vec<Row>,
}

/// One sound.
struct Row {
    key: String,
    name: String,
    lufs: String,
    matching: String,
    signal_to_error: String,
    largest_band_error: String,
}

impl<'a> About<'a> {
    pub fn new(composer: &Composer<'a>, keys: &[String], blind: bool) -> Self {
        Self {
            words: composer.words,
            facts: facts(composer, blind),
            sounds: keys.iter().enumerate().map(|(index, key)| row(composer, index, key)).collect(),
        }
    }

    /// The fragment.
    pub fn html(&self) -> askama::Result<String> {
        self.render()
    }
}

fn facts(composer: &Composer, blind: bool) -> Vec<String> {
    let Composer { levels, encoded, stage, words, .. } = composer;
    let all_matched = levels.each.iter().all(|level| level.matching.is_some());
    let mut facts = vec![words.get(if all_matched { "pack.matched" } else { "pack.not_matched" }).to_owned()];
    let lowered_db = -20.0 * levels.lowered.log10();
    if lowered_db > 0.0 {
        facts.push(words.say("pack.lowered", &[("db", &decimal(words, lowered_db))]));
    }
    match composer.codec {
        Codec::Flac => facts.push(words.say("pack.flac", &[("rate", &composer.rate_hz().to_string())])),
        Codec::Opus(bits) => {
            facts.push(words.say("pack.opus", &[("kbps", &(bits / 1000).to_string())]));
            facts.push(words.get("pack.opus_high_pass").to_owned());
        }
    }
    let lowest_hz = composer.plan.recorded.strings.lowest_hz();
    let floor = composer.plan.recorded.floor;
    facts.extend(floor.map(|floor| words.sentence(&words.undo_floor(floor, lowest_hz))));
    let within = |worst: &dyn Fn(&Encoded) -> Option<BandError>| {
        encoded.iter().filter_map(worst).map(|band| band.within_db()).reduce(f64::max)
    };
    for (id, worst) in [
        ("pack.band_within", within(&|sound| sound.error.worst_from(lowest_hz))),
        ("pack.band_below", within(&|sound| sound.error.worst_below(lowest_hz))),
    ] {
        facts.extend(worst.map(|db| words.say(id, &[("db", &decimal(words, db))])));
    }
    let channels = stage.take.format().channels;
    if channels > 2 && !stage.sum {
        facts.push(words.say("pack.frames_first_two", &[("count", &channels.to_string())]));
    }
    facts.push(words.get(if blind { "pack.blind" } else { "pack.open" }).to_owned());
    facts
}

fn row(composer: &Composer, index: usize, key: &str) -> Row {
    let words = composer.words;
    let (level, error) = (composer.levels.each[index], &composer.encoded[index].error);
    let or_none = |figure: Option<String>| figure.unwrap_or_else(|| "–".to_owned());
    let db = |db: f64| format!("{} dB", decimal(words, db));
    Row {
        key: key.to_owned(),
        name: composer.plan.sounds[index].name.to_string(),
        lufs: or_none(level.lufs.map(|lufs| format!("{} LUFS", decimal(words, lufs)))),
        matching: or_none(level.matching_db().map(|gain| match gain {
            0.05.. => format!("+{}", db(gain)),
            _ => db(gain),
        })),
        signal_to_error: or_none(error.signal_to_error_db.map(db)),
        // Hundredths, since in tenths most are alike.
        largest_band_error: or_none(
            error
                .worst_from(composer.plan.recorded.strings.lowest_hz())
                .map(|band| format!("{} dB", pointed(words, &format!("{:.2}", band.error_db.abs())))),
        ),
    }
}

/// To a tenth.
fn decimal(words: &Words, value: f64) -> String {
    let tenths = (value * 10.0).round() / 10.0 + 0.0;
    pointed(words, &format!("{tenths:.1}"))
}

/// With the language's decimal mark and a minus sign that is one.
fn pointed(words: &Words, number: &str) -> String {
    number.replace('-', "\u{2212}").replace('.', words.get("number.point"))
}

//! What is said of each way, for report and sheet.

use dsp_core::circuit::{Chain, Link};
use dsp_core::response::{Range, johnson_volts};
use dsp_core::units::{Capacitance, FullScale, Length, Resistance};
use firstjack_words::Words;
use firstjack_words::signed::{boost, signed};

use super::level::Interface;
use super::told::{Told, ToldWay};
use super::way::{Kind, Obstacle, OfString, RIGHT_DB};

/// A term and what is said of it.
#[derive(Debug, Clone, PartialEq)]
pub struct Item {
    pub term: &'static str,
    pub text: String,
}

/// Why no capacitor stands for the pickup.
pub fn obstacle(obstacle: Obstacle, words: &Words) -> &'static str {
    words.get(match obstacle {
        Obstacle::Coil => "reamp.no_coil",
        Obstacle::Blend => "reamp.no_blend",
        Obstacle::Controls => "reamp.no_controls",
        Obstacle::Leak => "reamp.no_leak",
        Obstacle::Size => "reamp.no_size",
    })
}

/// What a way is called.
pub fn title(kind: Kind, words: &Words) -> &'static str {
    words.get(match kind {
        Kind::File => "reamp.way_file",
        Kind::Capacitor => "reamp.way_capacitor",
    })
}

/// What to do, in one sentence.
pub fn doing(told: &ToldWay, words: &Words) -> String {
    match told.way.kind {
        Kind::File => words.get("reamp.do_file").to_owned(),
        Kind::Capacitor => words.say("reamp.do_capacitor", &[("parts", &parts(told, words))]),
    }
}

/// The capacitors: "680 pF", "560 pF and 27 pF side by side".
pub fn parts(told: &ToldWay, words: &Words) -> String {
    let value = |part: &Capacitance| words.figure(part);
    match told.way.capacitors.as_slice() {
        [one, other] => words.say("reamp.capacitor_two", &[("one", &value(one)), ("other", &value(other))]),
        all => all.iter().map(value).collect(),
    }
}

/// What is said of one way.
pub fn items(all: &Told, told: &ToldWay, is_written: bool, words: &Words) -> Vec<Item> {
    let item = |term, text| Some(Item { term: words.get(term), text });
    let is_capacitor = told.way.kind == Kind::Capacitor;
    let lines = [
        item("reamp.right_title", right(all, told, words)),
        item("reamp.rests_title", rests(told, words)),
        is_capacitor.then(|| item("reamp.capacitor_title", capacitor(all, told, words))).flatten(),
        item("reamp.output_title", output(told, words)),
        item("reamp.pad_title", pad(told, words)),
        item("reamp.level_title", level(all.situation.interface, told, is_written, words)),
        item("reamp.noise_title", noise(told, words)),
        item("reamp.cable_title", cable(all, told, words)),
    ];
    lines.into_iter().flatten().collect()
}

/// How right it is; where it is not, why.
pub fn right(all: &Told, told: &ToldWay, words: &Words) -> String {
    let error = error(told.error_db, words);
    let values = [("error", &*error), ("string", words.note(&all.situation.strings().lowest))];
    if told.error_db <= RIGHT_DB && spreads(told) {
        return words.say("reamp.right_middle", &values);
    }
    if told.error_db <= RIGHT_DB {
        return words.say("reamp.right", &values);
    }
    if told.error_of_take_db > RIGHT_DB {
        return words.say("reamp.wrong_take", &values);
    }
    match told.most_ohms {
        Some(most) => {
            words.say("reamp.wrong_output", &[&values[..], &[("most", &ohms(most, words))]].concat())
        }
        None => words.say("reamp.wrong_output_any", &values),
    }
}

/// To hundredths, outwards: "0.01 dB".
fn error(db: f64, words: &Words) -> String {
    let hundredths = (db * 100.0 - 1e-9).ceil().max(1.0);
    words.figure(format!("{:.2} dB", hundredths / 100.0))
}

/// A resistance that may be had, rounded down.
fn ohms(most: Resistance, words: &Words) -> String {
    words.figure(most.preferred_below())
}

/// What it depends on, and where tolerances are said what they make of each string.
fn rests(told: &ToldWay, words: &Words) -> String {
    let chain = links(told.way.chain(), words);
    let rests = match told.way.kind {
        Kind::File => words.say("reamp.rests_file", &[("chain", &chain)]),
        Kind::Capacitor => words.get("reamp.rests_capacitor").to_owned(),
    };
    if !spreads(told) {
        return rests;
    }
    let list = told.strings.iter().map(|string| (string.name.as_str(), string.off_db));
    let off = words.say("reamp.off", &[("list", &listed(list, words))]);
    format!("{rests} {}", words.sentence(&off))
}

/// Whether tolerances make a difference. Of a blend a range is of its two pickups as well.
fn spreads(told: &ToldWay) -> bool {
    let differs = |string: &OfString| string.off_db.high - string.off_db.low > 1e-6;
    told.way.shapes.len() == 1 && told.strings.iter().any(differs)
}

/// "A1 −0.4 to +0.4, D2 ...".
fn listed<'a>(strings: impl Iterator<Item = (&'a str, Range)>, words: &Words) -> String {
    let db = |db: f64| if db > 0.004 { format!("+{}", signed(words, db, 2)) } else { signed(words, db, 2) };
    let of_string = |(name, range): (&str, Range)| {
        words.say("reamp.strings", &[("name", name), ("low", &db(range.low)), ("high", &db(range.high))])
    };
    strings.map(of_string).collect::<Vec<_>>().join(", ")
}

fn links(chain: &Chain, words: &Words) -> String {
    let link = |(link, _): (&Link, bool)| match link {
        Link::Box(input) => format!("{} ({})", words.link_name(link), words.input(&input.input)),
        _ => words.link_name(link),
    };
    chain.links().filter(|(_, loads)| *loads).map(link).collect::<Vec<_>>().join(", ")
}

fn capacitor(all: &Told, told: &ToldWay, words: &Words) -> String {
    let percent = words.figure(format!("{} %", all.situation.capacitor_percent));
    let list = told.strings.iter().filter_map(|string| Some((string.name.as_str(), string.capacitor_db?)));
    let list = listed(list, words);
    words.say("reamp.capacitor", &[("parts", &parts(told, words)), ("percent", &percent), ("list", &list)])
}

fn output(told: &ToldWay, words: &Words) -> String {
    let feed = told.way.feed;
    let values = [("ohms", &*words.figure(feed.output)), ("source", &words.ohms(feed.ohms()))];
    let reckoned = match feed.pad {
        Some(_) => words.say("reamp.output_with_pad", &values),
        None => words.say("reamp.output_ohms", &values),
    };
    let most = told.most_ohms.map(|most| words.say("reamp.output_most", &[("most", &ohms(most, words))]));
    [Some(reckoned), most].into_iter().flatten().collect::<Vec<_>>().join(" ")
}

fn pad(told: &ToldWay, words: &Words) -> String {
    let feed = told.way.feed;
    match feed.pad {
        Some(pad) => {
            let db = words.figure(format!("{:.1} dB", feed.pad_db()));
            let (series, shunt) = (words.figure(pad.series), words.figure(pad.shunt));
            words.say("reamp.pad", &[("db", &db), ("series", &series), ("shunt", &shunt)])
        }
        None if told.played.is_none() => words.get("reamp.pad_unknown").to_owned(),
        None => words.get("reamp.pad_none").to_owned(),
    }
}

fn level(interface: Option<Interface>, told: &ToldWay, is_written: bool, words: &Words) -> String {
    let (Some(interface), Some(played)) = (interface, told.played) else {
        return words.get("reamp.level_unsaid").to_owned();
    };
    let dbu = |level: FullScale| boost(words, level.dbu()).replace("dB", "dBu");
    let (input, output) = (dbu(interface.recorded), dbu(interface.played));
    let values = [("in", &*input), ("out", &output), ("gain", &boost(words, played.gain_db))];
    let said = words.say(if is_written { "reamp.level_file" } else { "reamp.level_play" }, &values);
    let Some((peak_dbfs, volts)) = played.peak_dbfs.zip(played.peak_volts) else { return said };
    if peak_dbfs > 0.0 {
        return format!("{said} {}", words.say("reamp.level_weak", &[("db", &db(peak_dbfs, words))]));
    }
    let values = [
        ("peak", &*format!("{} dBFS", signed(words, peak_dbfs, 1))),
        ("volts", &self::volts(volts, words)),
        ("headroom", &db(-peak_dbfs, words)),
    ];
    format!("{said} {}", words.say("reamp.level_peak", &values))
}

fn db(db: f64, words: &Words) -> String {
    words.figure(format!("{db:.1} dB"))
}

/// "1.2 V", "35 mV".
fn volts(volts: f64, words: &Words) -> String {
    words.figure(match volts {
        ..0.01 => format!("{:.2} mV", volts * 1e3),
        ..1.0 => format!("{:.0} mV", volts * 1e3),
        _ => format!("{volts:.1} V"),
    })
}

fn noise(told: &ToldWay, words: &Words) -> String {
    let volts = johnson_volts(told.way.feed.ohms());
    let microvolts = words.figure(format!("{:.2} µV", volts * 1e6));
    let Some((played, peak)) = told.played.and_then(|played| Some((played, played.peak_volts?))) else {
        return words.say("reamp.noise", &[("microvolts", &microvolts)]);
    };
    // Behind the pad, where the noise is.
    let below = 20.0 * (peak / volts).log10() - told.way.feed.pad_db();
    let values = [
        ("microvolts", &*microvolts),
        ("below", &words.figure(format!("{below:.0} dB"))),
        ("unused", &db(played.headroom_db().unwrap_or(0.0).max(0.0), words)),
    ];
    words.say("reamp.noise_below", &values)
}

fn cable(all: &Told, told: &ToldWay, words: &Words) -> String {
    if told.way.kind == Kind::File {
        return words.get("reamp.cable_file").to_owned();
    }
    let strings = all.situation.strings();
    let values = [
        ("length", &*cable_there(told.way.chain(), words)),
        ("middle", &db(told.way.metre_db(1e3), words)),
        ("low", &db(told.way.metre_db(strings.lowest_hz()), words)),
        ("string", words.note(&strings.lowest)),
    ];
    words.say("reamp.cable_capacitor", &values)
}

/// The cable that a chain begins with, or that stands among what is in parallel: "6 m (600 pF)".
fn cable_there(chain: &Chain, words: &Words) -> String {
    let cables = || {
        let is_first = |link: &&Link| !matches!(link, Link::Box(_) | Link::Splitter(_));
        chain.loading().take_while(is_first).filter_map(|link| match link {
            Link::Cable(cable) => Some(cable),
            _ => None,
        })
    };
    let metres: f64 = cables().map(|cable| cable.length.metres()).sum();
    let farads: f64 = cables().map(|cable| cable.shunt().farads).sum();
    match (Length::from_metres(metres), Capacitance::from_farads(farads)) {
        (Ok(length), Ok(farads)) => {
            let (length, farads) =
                (words.figure(format!("{length:.3}")), words.figure(format!("{farads:.3}")));
            words.say("reamp.cable_of", &[("length", &length), ("farads", &farads)])
        }
        _ => words.get("reamp.cable_none").to_owned(),
    }
}

/// What a real amplifier asks for.
pub fn cautions(words: &Words) -> [&'static str; 4] {
    ["reamp.caution_isolation", "reamp.caution_speaker", "reamp.caution_valves", "reamp.caution_quiet"]
        .map(|id| words.get(id))
}

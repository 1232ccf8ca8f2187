//! The rescue sheet: for each setup what to set a desk's equaliser to, and what that leaves wrong. A fragment of HTML.

use askama::Template;
use firstjack_words::Words;
use firstjack_words::signed::{boost, signed};

use super::figures::string_names;
use crate::plot::{Called, Curve, LEAST_DB, Plot, Units, colour_class, pattern};
use crate::rescue::{Reach, Rescue, in_general, name, settings};
use crate::source::Strings;

/// What is drawn and listed.
struct Part {
    /// Of its name.
    id: &'static str,
    of: fn(&Reach) -> f64,
}

/// Their places in the list are the numbers of their lines.
const PARTS: [Part; 3] = [
    Part { id: "rescue.needed", of: |reach| reach.needed_db },
    Part { id: "rescue.given", of: |reach| reach.given_db },
    Part { id: "rescue.left", of: |reach| reach.left_db },
];

#[derive(Template)]
#[template(path = "pack/rescue/sheet.html")]
struct Sheet<'a> {
    words: &'a Words,
    in_general: Vec<&'static str>,
    legend: Vec<Line<'a>>,
    setups: Vec<Entry<'a>>,
}

struct Line<'a> {
    name: &'a str,
    class: String,
    pattern: &'static str,
}

/// What the sheet says of one setup.
struct Entry<'a> {
    key: &'a str,
    name: &'a str,
    verdict: String,
    instead: Option<&'static str>,
    sentences: Vec<String>,
    is_in_player: bool,
    /// None where nothing is to be put right.
    settings: Option<Settings>,
}

struct Settings {
    caption: &'static str,
    bands: Vec<Setting>,
    level: String,
    strings_caption: String,
    strings: Vec<(String, [String; 3])>,
    plot: String,
}

struct Setting {
    name: String,
    /// Frequency, gain, and of bells the Q.
    values: [String; 3],
}

/// The sheet of all setups in the file's order; `keys` are those of the page's sounds, as recorded first, then the setups. The rescue
/// with the index `in_player` is also one of the page's sounds.
pub fn sheet_html(
    rescues: &[Rescue],
    strings: &Strings,
    keys: &[String],
    in_player: Option<usize>,
    words: &Words,
) -> String {
    let line = |(number, part): (usize, &Part)| Line {
        name: words.get(part.id),
        class: colour_class(number),
        pattern: pattern(number),
    };
    Sheet {
        words,
        in_general: in_general(rescues, words),
        legend: PARTS.iter().enumerate().map(line).collect(),
        setups: rescues
            .iter()
            .zip(keys.iter().skip(1))
            .enumerate()
            .map(|(index, (rescue, key))| entry(index, rescue, key, strings, in_player == Some(index), words))
            .collect(),
    }
    .render()
    .expect("no function in the template fails")
}

fn entry<'a>(
    index: usize,
    rescue: &'a Rescue,
    key: &'a str,
    strings: &Strings,
    is_in_player: bool,
    words: &Words,
) -> Entry<'a> {
    let bands = rescue.equaliser.bands().iter().enumerate();
    let caption = if rescue.advised { "rescue.settings" } else { "rescue.settings_within" };
    let whole = || Settings {
        caption: words.get(caption),
        bands: bands
            .map(|(n, band)| Setting { name: name(n, band, words), values: settings(band, words) })
            .collect(),
        level: boost(words, rescue.level_db),
        strings_caption: words
            .say("rescue.strings", &[("instrument", words.instrument(&strings.instrument_id))]),
        strings: string_rows(rescue, words),
        plot: plot_svg(index, rescue, key, strings, words),
    };
    Entry {
        key,
        name: &rescue.name,
        verdict: rescue.verdict(words),
        instead: rescue.instead(words),
        sentences: rescue.sentences(words),
        is_in_player,
        settings: (!rescue.is_needless()).then(whole),
    }
}

fn string_rows(rescue: &Rescue, words: &Words) -> Vec<(String, [String; 3])> {
    let row = |string: &crate::rescue::StringReach| {
        (words.pitch(&string.pitch), PARTS.map(|part| signed(words, (part.of)(&string.reach), 1)))
    };
    rescue.strings.iter().map(row).collect()
}

fn plot_svg(index: usize, rescue: &Rescue, key: &str, strings: &Strings, words: &Words) -> String {
    let curve = |(number, part): (usize, &Part)| Curve {
        key,
        name: "",
        number,
        points: rescue.curve.iter().map(|reach| (reach.hz, (part.of)(reach))).collect(),
        band: Vec::new(),
        measured: Vec::new(),
    };
    let end = |reach: Option<&Reach>| reach.map_or_else(String::new, |reach| words.hz(reach.hz));
    let (from, to) = (end(rescue.curve.first()), end(rescue.curve.last()));
    let plot = Plot {
        curves: PARTS.iter().enumerate().map(curve).collect(),
        strings: string_names(strings, words),
        ask_db: None,
        least_db: LEAST_DB,
        units: Units::SHORT,
    };
    plot.svg(&Called {
        id: &format!("rescue-plot-{index}"),
        title: &words.say("rescue.chart_title", &[("name", &rescue.name)]),
        description: &words.say("rescue.chart_description", &[("from", &from), ("to", &to)]),
    })
}

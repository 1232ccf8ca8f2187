//! The fragments of a page: that they tell what is so, belong to their sounds, and let nothing of a user's into the markup.

use std::sync::LazyLock;

use dsp_core::preset::Preset;
use dsp_core::response::Response;
use firstjack_equaliser::Desk;
use firstjack_words::{Language, Words};

use super::figures::Figures;
use super::rescue::sheet_html;
use crate::arguments::StringsArguments;
use crate::render::Recorded;
use crate::rescue::Rescue;
use crate::source::{NamedChain, Source, Strings};

const COURTYARD: &str = include_str!("../../../presets/courtyard.toml");
const PRESETS: [&str; 5] = [
    COURTYARD,
    include_str!("../../../presets/passive.toml"),
    include_str!("../../../presets/magnetic-single.toml"),
    include_str!("../../../presets/blend.toml"),
    include_str!("../../../presets/blocking.toml"),
];

/// Fits take time.
static RESCUES: LazyLock<Vec<Rescue>> = LazyLock::new(|| rescues(COURTYARD));

fn source(preset: &str) -> (Source, Strings) {
    let source = Source::from_preset(Preset::from_toml(preset).unwrap());
    let arguments = StringsArguments { instrument: None, strings: None, a4: 440.0 };
    let strings = Strings::new(&arguments, source.instrument.as_deref()).unwrap();
    (source, strings)
}

fn keys(source: &Source) -> Vec<String> {
    (0..=source.setups.len()).map(|index| format!("key{index}")).collect()
}

fn rescues(preset: &str) -> Vec<Rescue> {
    let ((source, strings), (_, played)) = (source(preset), source(preset));
    let (recorded, desk) = (Recorded::new(&source, None, played, "24", None).unwrap(), Desk::default());
    let rescue = |setup: &NamedChain| {
        Rescue::new(&setup.name, &recorded.version(setup).between, &strings, &desk, 48e3).unwrap()
    };
    source.setups.iter().map(rescue).collect()
}

/// Verdicts, curves, strings.
fn figures(preset: &str, language: Language) -> [String; 3] {
    let ((source, strings), (_, played)) = (source(preset), source(preset));
    let (keys, words) = (keys(&source), Words::new(language));
    let take = Recorded::new(&source, None, played, "24", None).unwrap().unchanged();
    let figures = Figures::new(&source.pickups, take, &source.setups, &strings, &keys, &words);
    [figures.verdicts_html(), figures.curves_html(), figures.strings_html()]
}

/// The rescue sheet of the courtyard's instrument.
fn sheet(rescues: &[Rescue], language: Language) -> String {
    let (source, strings) = source(COURTYARD);
    sheet_html(rescues, &strings, &keys(&source), Some(0), &Words::new(language))
}

/// The whole page of the courtyard.
fn page(language: Language) -> String {
    figures(COURTYARD, language).concat() + &sheet(&RESCUES, language)
}

/// Names that would be markup, in a file of setups with everything that a user names.
fn with_markup() -> String {
    COURTYARD
        .replace("name = \"combo\"", "name = '<img src=x onerror=alert(1)>'")
        .replace("name = \"tuner\"", "name = '</script><script>alert(1)</script>'")
        .replace("name = \"passive box\"", "name = '\" onfocus=\"alert(1)\" {{ words }} &lt;b&gt;'")
}

#[test]
fn nothing_of_a_user_is_markup() {
    let preset = with_markup();
    let [verdicts, curves, strings] = figures(&preset, Language::English);
    let page = [&verdicts, &curves, &strings, &sheet(&rescues(&preset), Language::English)]
        .map(String::as_str)
        .concat();
    for forbidden in
        ["<img", "<script", "</script", "\" onfocus", " style=", " onclick", "javascript:", "http:", "https:"]
    {
        assert!(!page.contains(forbidden), "{forbidden} in {page}");
    }
    assert!(verdicts.contains("{{ words }} &#38;lt;b&#38;gt;"), "shown as typed: {verdicts}");
}

#[test]
fn every_sound_has_its_elements() {
    let [verdicts, curves, strings] = figures(COURTYARD, Language::English);
    let rescue = sheet(&RESCUES, Language::English);
    let count = |text: &str, key: usize| text.matches(&format!("data-key=\"key{key}\"")).count();
    for key in 0..=6 {
        assert_eq!(count(&verdicts, key), 1);
        assert_eq!(count(&curves, key), 2, "a curve and its line in the legend");
        assert_eq!(count(&strings, key), 1);
    }
    assert_eq!(count(&rescue, 0), 0, "the take needs no rescue");
    assert!((1..=6).all(|key| count(&rescue, key) >= 1));
    assert_eq!(rescue.matches("In the player").count(), 1);
}

#[test]
fn ids_are_unique_and_what_is_labelled_is_there() {
    let page = page(Language::English);
    let ids: Vec<&str> = page.split(" id=\"").skip(1).filter_map(|rest| rest.split('"').next()).collect();
    let mut sorted = ids.clone();
    sorted.sort_unstable();
    sorted.dedup();
    assert_eq!(sorted.len(), ids.len(), "{ids:?}");
    let labels = page.split("aria-labelledby=\"").skip(1).filter_map(|rest| rest.split('"').next());
    let wanted: Vec<&str> = labels.flat_map(str::split_whitespace).collect();
    // The curves, and a chart for each setup but the buffer box: a title and a description each.
    assert_eq!(wanted.len(), 12);
    assert!(wanted.iter().all(|id| ids.contains(id)), "{wanted:?}");
}

/// 680 pF at A1 by the textbook's RC, `10 log10(1 + (fc/f)²)`: 56k, 470k, 1M, 22M as recorded.
#[test]
fn tables_tell_what_strings_lose() {
    let [_, _, strings] = figures(COURTYARD, Language::English);
    for (name, loss) in
        [("passive box", "37.6"), ("combo", "19.2"), ("tuner", "12.8"), ("as recorded", "0.2")]
    {
        let cells = format!("<th scope=\"row\">{name}</th><td data-label=\"A1\">{loss}</td>");
        assert!(strings.contains(&cells), "{cells} in {strings}");
    }
    let order = ["A1", "D2", "G2", "A2", "C3", "E3"].map(|string| format!("<th scope=\"col\">{string}</th>"));
    assert!(strings.contains(&order.concat()), "from low to high");
}

/// The loss of a high-pass at its corner is `10 log10(2)` dB (textbook RC): 22 MΩ on 680 pF have it at 10.6 Hz, 56 kΩ at 4.18 kHz, where the
/// curve of the passive box has to lie that far down.
#[test]
fn curves_are_drawn_where_their_axes_say() {
    let [_, curves, _] = figures(COURTYARD, Language::English);
    let place = |before: &str, name: &str| -> f64 {
        let label = curves.split("<text ").find(|label| label.contains(&format!(">{name}</text>"))).unwrap();
        label.split(&format!("{before}=\"")).nth(1).unwrap().split('"').next().unwrap().parse().unwrap()
    };
    let (x1k, x2k, y0, y10) = (place("x", "1k"), place("x", "2k"), place("y", "0"), place("y", "−10"));
    let corner_hz = (std::f64::consts::TAU * 56e3 * 680e-12).recip();
    let (x, y) = (x1k + (x2k - x1k) * (corner_hz / 1e3).log2(), y0 + (y10 - y0) * 2f64.log10());
    let path = curves.split("data-key=\"key1\"").nth(1).unwrap().split(" d=\"M").nth(1).unwrap();
    let points = path.split('"').next().unwrap().split('L').map(|point| {
        let (x, y) = point.split_once(' ').unwrap();
        (x.parse::<f64>().unwrap(), y.parse::<f64>().unwrap())
    });
    let points: Vec<(f64, f64)> = points.collect();
    let next = points.iter().position(|point| point.0 > x).unwrap();
    let (before, after) = (points[next - 1], points[next]);
    let drawn = before.1 + (after.1 - before.1) * (x - before.0) / (after.0 - before.0);
    assert!((drawn - y).abs() < 0.2, "{drawn} instead of {y}");
}

/// The page's English is the program's.
#[test]
fn verdicts_are_those_of_tell() {
    for preset in PRESETS {
        let (source, strings) = source(preset);
        let [verdicts, ..] = figures(preset, Language::English);
        for setup in &source.setups {
            let pickups = source.pickups.with_positions(setup.positions);
            let response = Response::new(&pickups, &setup.chain);
            let lowest_hz = strings.lowest_hz();
            let told = Words::ENGLISH.verdict(&response, &strings.lowest, lowest_hz, &setup.place);
            let told = format!("<p class=\"verdict\">{}</p>", told.replace('\'', "&#39;"));
            assert!(verdicts.contains(&told), "{told} in {verdicts}");
        }
    }
}

#[test]
fn german_pages_have_commas_and_no_english() {
    let page = page(Language::German);
    for german in
        ["Das tiefe A bekommt ", "nicht am Pult: dem tiefen A fehlen 37 dB", ">37,6</td>", "+14,5 dB"]
    {
        assert!(page.contains(german), "{german} in {page}");
    }
    for english in ["loses", "desk", "lacking", "Noise", "needed", ">37.6<", "+15.0"] {
        assert!(!page.contains(english), "{english} in {page}");
    }
}

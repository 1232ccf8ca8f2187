//! What a page tells of its setups: verdicts, curves, and what each string loses. Fragments of HTML, tied to the sounds by `data-key`.

use askama::Template;
use dsp_core::circuit::{Pickups, Spread};
use dsp_core::response::Response;
use firstjack_words::Words;
use firstjack_words::signed::signed;

use crate::plot::{Called, Curve, LEAST_DB, Plot, Units, colour_class, pattern, tags};
use crate::render::Version;
use crate::source::{NamedChain, Strings};

/// What the curves span, in Hz, and in how many steps.
const BAND_HZ: (f64, f64) = (20.0, 20e3);
const STEPS: u32 = 240;

/// Below this a curve lies on the lower edge: where two pickups cancel, levels have no end.
const FLOOR_DB: f64 = -100.0;

/// Columns of single figures that 360 CSS pixels have room for.
const FEW_STRINGS: usize = 6;

/// Templates of ours have no functions that fail.
const RENDERS: &str = "no function in the template fails";

/// What the fragments are about: the take as recorded, then the setups in the file's order.
pub struct Figures<'a> {
    words: &'a Words,
    strings: &'a Strings,
    keys: &'a [String],
    setups: Vec<Heard>,
}

/// A sound by its response.
struct Heard {
    name: String,
    verdict: String,
    /// What is behind it.
    sentences: Vec<String>,
    response: Response,
    /// Of a setup any of whose values carries a tolerance.
    spread: Option<Spread>,
}

#[derive(Template)]
#[template(path = "pack/figures/verdicts.html")]
struct VerdictsTemplate<'a> {
    setups: Vec<Verdict<'a>>,
    /// What ranges and single figures are, where there are any ranges.
    tolerances: Option<&'static str>,
}

struct Verdict<'a> {
    key: &'a str,
    line: &'a str,
    level: String,
    sentences: &'a [String],
}

#[derive(Template)]
#[template(path = "pack/figures/curves.html")]
struct CurvesTemplate<'a> {
    plot: String,
    legend: &'a str,
    lines: Vec<LegendLine<'a>>,
}

struct LegendLine<'a> {
    key: &'a str,
    tag: Option<String>,
    name: &'a str,
    class: String,
    pattern: &'static str,
}

#[derive(Template)]
#[template(path = "pack/figures/strings.html")]
struct StringsTemplate<'a> {
    caption: String,
    setup: &'a str,
    strings: Vec<&'a str>,
    /// Whether a phone has room for all of them side by side.
    are_few: bool,
    rows: Vec<Row<'a>>,
}

struct Row<'a> {
    key: &'a str,
    name: &'a str,
    losses: Vec<String>,
}

impl<'a> Figures<'a> {
    /// Of `pickups` into what a take was recorded through (`recorded`) and into `setups`; `keys` are those of the page's sounds, as
    /// recorded first, then the setups.
    pub fn new(
        pickups: &Pickups,
        recorded: Version,
        setups: &[NamedChain],
        strings: &'a Strings,
        keys: &'a [String],
        words: &'a Words,
    ) -> Self {
        let take = Heard {
            name: words.get("figures.recorded").to_owned(),
            verdict: verdict_as_recorded(&recorded, strings, words),
            sentences: Vec::new(),
            spread: recorded.spread(),
            response: recorded.to,
        };
        let heard = |setup: &NamedChain| {
            let pickups = pickups.with_positions(setup.positions);
            let (lowest, lowest_hz) = (&strings.lowest, strings.lowest_hz());
            let response = Response::new(&pickups, &setup.chain);
            Heard {
                name: setup.name.to_string(),
                verdict: words.verdict_of(
                    &pickups,
                    &setup.chain,
                    lowest,
                    lowest_hz,
                    &words.through(&setup.name),
                ),
                sentences: words.facts(&pickups, &setup.chain, lowest, lowest_hz),
                response,
                spread: Spread::of(&pickups, [&setup.chain]),
            }
        };
        let setups = std::iter::once(take).chain(setups.iter().map(heard)).collect();
        Self { words, strings, keys, setups }
    }

    fn with_keys(&self) -> impl Iterator<Item = (&str, &Heard)> {
        self.keys.iter().map(String::as_str).zip(&self.setups)
    }

    /// A list with a sentence for each, and its level at the lowest string.
    pub fn verdicts_html(&self) -> String {
        let setups = self.with_keys().map(|(key, heard)| Verdict {
            key,
            line: &heard.verdict,
            level: format!("{} dB", signed(self.words, heard.level_db(self.strings.lowest_hz()), 1)),
            sentences: &heard.sentences,
        });
        let has_tolerances = self.setups.iter().any(|heard| heard.spread.is_some());
        let tolerances = has_tolerances.then(|| self.words.get("range.told"));
        VerdictsTemplate { setups: setups.collect(), tolerances }.render().expect(RENDERS)
    }

    /// The curves, and a legend.
    pub fn curves_html(&self) -> String {
        let tag = tags(self.setups.len());
        let lines = self.with_keys().enumerate().map(|(number, (key, heard))| LegendLine {
            key,
            tag: tag(number),
            name: &heard.name,
            class: colour_class(number),
            pattern: pattern(number),
        });
        let (plot, legend) = (self.plot_svg(), self.words.get("figures.legend"));
        CurvesTemplate { plot, legend, lines: lines.collect() }.render().expect(RENDERS)
    }

    fn plot_svg(&self) -> String {
        let words = self.words;
        let curves = self.with_keys().enumerate().map(|(number, (key, heard))| Curve {
            key,
            name: "",
            number,
            points: grid().map(|hz| (hz, heard.level_db(hz))).collect(),
            band: heard.band(),
            measured: Vec::new(),
        });
        let span = [
            ("from", &*words.hz(BAND_HZ.0)),
            ("to", &*words.hz(BAND_HZ.1)),
            ("instrument", words.instrument(&self.strings.instrument_id)),
        ];
        let plot = Plot {
            curves: curves.collect(),
            strings: string_names(self.strings, words),
            ask_db: None,
            least_db: LEAST_DB,
            units: Units::SHORT,
        };
        plot.svg(&Called {
            id: "curves-plot",
            title: words.get("figures.curves_title"),
            description: &words.say("figures.curves_description", &span),
        })
    }

    /// A table with a row for each and a column for each string.
    pub fn strings_html(&self) -> String {
        let (words, strings) = (self.words, string_names(self.strings, self.words));
        let rows = self.with_keys().map(|(key, heard)| Row {
            key,
            name: &heard.name,
            losses: strings.iter().map(|(_, hz)| heard.loss(*hz, words)).collect(),
        });
        StringsTemplate {
            caption: words.say(
                "figures.strings_caption",
                &[("instrument", words.instrument(&self.strings.instrument_id))],
            ),
            setup: words.get("figures.setup"),
            rows: rows.collect(),
            are_few: strings.len() <= FEW_STRINGS && self.setups.iter().all(|heard| heard.spread.is_none()),
            strings: strings.iter().map(|(name, _)| name.as_str()).collect(),
        }
        .render()
        .expect(RENDERS)
    }
}

impl Heard {
    fn level_db(&self, hz: f64) -> f64 {
        (-self.response.loss_db(hz)).max(FLOOR_DB)
    }

    /// As the table has it: one figure, or a range.
    fn loss(&self, hz: f64, words: &Words) -> String {
        let Some(spread) = &self.spread else { return signed(words, -self.level_db(hz), 1) };
        let range = spread.loss_db(hz);
        let said = [range.low, range.high].map(|db| signed(words, db.min(-FLOOR_DB), 1));
        if said[0] == said[1] {
            return said[0].clone();
        }
        words.say("range.to", &[("from", &said[0]), ("to", &said[1])])
    }

    /// What the tolerances leave open: along the lower edge and back along the upper one; nothing without any.
    fn band(&self) -> Vec<(f64, f64)> {
        let Some(spread) = &self.spread else { return Vec::new() };
        let edges = grid().map(|hz| (hz, spread.curve_db(None, hz)));
        let (lower, upper): (Vec<_>, Vec<_>) = edges
            .map(|(hz, loss)| ((hz, (-loss.high).max(FLOOR_DB)), (hz, (-loss.low).max(FLOOR_DB))))
            .unzip();
        lower.into_iter().chain(upper.into_iter().rev()).collect()
    }
}

/// The first line on the take as recorded.
pub fn verdict_as_recorded(recorded: &Version, strings: &Strings, words: &Words) -> String {
    let (lowest, hz, place) = (&strings.lowest, strings.lowest_hz(), words.get("figures.recorded"));
    match recorded.spread() {
        Some(spread) => words.loses_between(lowest, spread.loss_db(hz), place),
        None => words.loses(lowest, recorded.to.loss_db(hz), place),
    }
}

/// The strings as a page names them, with their frequencies in Hz, from low to high.
pub fn string_names(strings: &Strings, words: &Words) -> Vec<(String, f64)> {
    strings.marks().into_iter().map(|(pitch, hz)| (words.pitch(pitch), hz)).collect()
}

/// Frequencies in Hz, evenly spaced on a logarithmic axis.
fn grid() -> impl Iterator<Item = f64> {
    let ratio = BAND_HZ.1 / BAND_HZ.0;
    (0..=STEPS).map(move |i| BAND_HZ.0 * ratio.powf(f64::from(i) / f64::from(STEPS)))
}

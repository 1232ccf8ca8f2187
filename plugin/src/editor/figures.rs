use dsp_core::circuit::{Chain, Link, Pickups, Spread};
use dsp_core::filter::Sections;
use dsp_core::response::{
    Between, Ceiling, Change, Floor, InputNeeded, Lossless, Noise, Range, Response, Shape, Undo,
};
use dsp_core::units::Pitch;
use firstjack_words::Words;

use super::{Document, Undoing};

/// A rise of noise that is worth a word, in dB.
const LEAST_RISE_DB: f64 = 0.5;

/// A loss that the load to ask for accepts at the lowest string, in dB.
const ACCEPTED_LOSS_DB: f64 = 1.0;

/// Help that is worth a word, in dB.
const LEAST_HELP_DB: f64 = 0.5;

/// Before the setup and why.
const HEARD_UNCHANGED: &str = "Heard as recorded, not";
/// The rate at which the filter's error is told, in Hz: of the usual ones the lowest, where it is largest.
pub(super) const ERROR_RATE_HZ: f64 = 44_100.0;

/// All figures of a document that views show, made when it changes.
#[derive(Debug, Clone, PartialEq)]
pub struct Figures {
    /// Counts up whenever they are made anew.
    pub version: u64,
    /// The strings, in the order in which players name them.
    pub strings: Vec<Pitch>,
    /// Their fundamentals in Hz.
    pub strings_hz: Vec<f64>,
    /// Of the take as recorded: of what the first pickup went through.
    pub recorded: SetupFigures,
    /// Of each setup.
    pub setups: Vec<SetupFigures>,
}

/// Figures of one setup.
#[derive(Debug, Clone, PartialEq)]
pub struct SetupFigures {
    /// The first line: "low A loses 13 dB through the tuner"; or why this cannot be heard.
    pub verdict: String,
    /// What is behind it.
    pub sentences: Vec<String>,
    /// "an input of at least 8.4 MΩ (low string within 1 dB)".
    pub ask: String,
    /// The same as "ask for an input of at least" and "8.4 MΩ", or why none is high enough and what to do instead.
    pub asked: (String, Option<String>),
    /// What would help most: "without the combo in parallel it would lose 13 dB".
    pub help: Option<String>,
    /// `H`.
    pub response: Response,
    /// `K` of each pickup's track.
    pub shapes: Vec<Shape>,
    /// Where they come down again below the lowest string, if they do.
    pub floor: Option<Floor>,
    /// Lost at each string in dB.
    pub losses_db: Vec<f64>,
    /// The same wherever values lie within their tolerances; empty where none carries any.
    pub ranges_db: Vec<Range>,
    /// The setup within its tolerances, if any value carries one.
    pub spread: Option<Spread>,
    /// What the undo ceiling holds back.
    pub held_back: HeldBack,
    /// How it gives back what a load took, if it does.
    pub undoing: Option<Undoing>,
    /// The noise that is raised most, if any is.
    pub noise: Option<NoiseRise>,
    /// How far the filter is from the model at most, in dB at 44.1 kHz; infinite at a notch without bottom.
    pub filter_error_db: f64,
}

/// What the undo ceiling holds back: of two pickups where it is more.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct HeldBack {
    /// In dB against no ceiling; zero if it holds nothing back.
    pub db: f64,
    /// Where, in Hz: at the lowest string, or at a coil's top.
    pub hz: f64,
    /// Whether that is a coil's top.
    pub is_top: bool,
}

/// Noise that a change raises.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct NoiseRise {
    /// Which.
    pub noise: Noise,
    /// By how much, in dB.
    pub db: f64,
}

impl Figures {
    /// Of a document and the strings to look at, none of which may be missing; A4 at `a4_hz`.
    pub fn new(document: &Document, strings: &[Pitch], a4_hz: f64) -> Self {
        let preset = &document.preset;
        let recorded_pickups = preset.pickups.with_positions(preset.recorded_at);
        let take = Response::recorded(&recorded_pickups, &preset.recorded);
        let recorded = recorded_pickups.check_losses(&preset.recorded);
        let look = Look { strings, a4_hz, ceiling: document.ceiling, floor: document.floor, take, recorded };
        let between = |chain: &Chain, at| Between {
            pickups: preset.pickups,
            recorded: (preset.recorded.clone(), preset.recorded_at),
            heard: (chain.clone(), at),
        };
        let setups = preset.setups.iter().map(|setup| {
            look.at(&between(&setup.chain, setup.positions), &Words::ENGLISH.through(&setup.name))
        });
        Self {
            strings: strings.to_vec(),
            strings_hz: strings.iter().map(|string| string.hz(a4_hz)).collect(),
            setups: setups.collect(),
            recorded: SetupFigures {
                // The take is heard as it came in, each track of it.
                shapes: vec![Shape::UNCHANGED; look.take.parts().len()],
                undoing: None,
                filter_error_db: 0.0,
                ..look.at(
                    &between(&preset.recorded, preset.recorded_at),
                    Words::ENGLISH.get("figures.recorded"),
                )
            },
            version: 0,
        }
    }

    /// The string that sounds lowest, by its place in `strings`.
    pub fn lowest(&self) -> Option<usize> {
        let strings = self.strings_hz.iter().enumerate();
        strings.min_by(|(_, one), (_, other)| one.total_cmp(other)).map(|(index, _)| index)
    }

    /// Of what is heard: a setup, or the take as recorded.
    pub fn of(&self, heard: Option<usize>) -> &SetupFigures {
        heard.and_then(|index| self.setups.get(index)).unwrap_or(&self.recorded)
    }
}

struct Look<'a> {
    strings: &'a [Pitch],
    a4_hz: f64,
    ceiling: Ceiling,
    floor: Option<Floor>,
    take: Response,
    /// Whether what was recorded through can be.
    recorded: Result<(), Lossless>,
}

impl Look<'_> {
    fn at(&self, between: &Between, place: &str) -> SetupFigures {
        let (chain, at) = &between.heard;
        let pickups = &between.pickups.with_positions(*at);
        let by_pitch = |a: &&Pitch, b: &&Pitch| a.hz(self.a4_hz).total_cmp(&b.hz(self.a4_hz));
        let lowest = self.strings.iter().min_by(by_pitch);
        let response = Response::new(pickups, chain);
        let lowest_hz = lowest.map_or(0.0, |string| string.hz(self.a4_hz));
        let words = Words::ENGLISH;
        let changes = self.take.parts().iter().zip(response.parts());
        let changes: Vec<Change> = changes.map(|(from, to)| Change::new(from, to)).collect();
        let spread = Spread::of(pickups, [chain]);
        let hz = || self.strings.iter().map(|string| string.hz(self.a4_hz));
        let mut bounded: Vec<Shape> = changes.iter().map(|change| change.shape(self.ceiling)).collect();
        let is_lossless = bounded.iter().any(Shape::is_lossless);
        let floor = self.floor.filter(|floor| !is_lossless && floor.ends(&bounded));
        let under = |shape: &Shape| floor.map_or(*shape, |floor| floor.under(shape));
        let mut shapes: Vec<Shape> = bounded.iter().map(under).collect();
        let shape = shapes.first().unwrap_or(&Shape::UNCHANGED);
        let said = lowest.map(|lowest| {
            let verdict = words.verdict_of_change(between, shape, lowest, lowest_hz, place);
            (verdict, words.facts(pickups, chain, lowest, lowest_hz))
        });
        let (mut verdict, mut sentences) = said.unwrap_or_default();
        let needed = InputNeeded::new(pickups, chain, lowest_hz, ACCEPTED_LOSS_DB);
        let mut help = most_help(pickups, chain, lowest_hz);
        let is_coil = (0..pickups.count()).any(|index| pickups.pickup(index).is_magnetic());
        // As it is heard.
        if is_lossless {
            [&mut bounded, &mut shapes].into_iter().for_each(|shapes| shapes.fill(Shape::UNCHANGED));
            if let Err(error) = pickups.check_losses(chain).and_then(|()| self.recorded.clone()) {
                (verdict, sentences, help) =
                    (format!("{HEARD_UNCHANGED} {place}: {error}"), Vec::new(), None);
            }
        }
        SetupFigures {
            verdict,
            sentences,
            ask: words.asked(&needed, ACCEPTED_LOSS_DB),
            asked: words.asked_figure(&needed),
            help,
            held_back: self.held_back(pickups, &response, &bounded, lowest_hz),
            undoing: Undoing::new(changes, (self.ceiling, floor), lowest_hz, is_coil),
            noise: noise_rise(&shapes),
            filter_error_db: shapes
                .iter()
                .map(|shape| Sections::worst_error_db(shape, ERROR_RATE_HZ))
                .fold(0.0, f64::max),
            shapes,
            floor,
            losses_db: hz().map(|hz| response.loss_db(hz)).collect(),
            ranges_db: spread.iter().flat_map(|spread| hz().map(|hz| spread.loss_db(hz))).collect(),
            spread,
            response,
        }
    }

    fn held_back(&self, pickups: &Pickups, to: &Response, shapes: &[Shape], lowest_hz: f64) -> HeldBack {
        let parts = self.take.parts().iter().zip(to.parts()).zip(shapes).enumerate();
        let each = parts.map(|(index, ((from, to), shape))| {
            let magnetic = pickups.pickup(index).is_magnetic();
            let undo = Undo { from, to, shape, magnetic };
            let hz = undo.judged_hz(lowest_hz);
            HeldBack { db: (undo.left_db(hz) - undo.level_left_db()).max(0.0), hz, is_top: magnetic }
        });
        let none = HeldBack { db: 0.0, hz: lowest_hz, is_top: false };
        each.max_by(|a, b| a.db.total_cmp(&b.db)).unwrap_or(none)
    }
}

/// The one of several boxes in parallel without which the lowest string would lose least, if that is worth a word.
fn most_help(pickups: &Pickups, chain: &Chain, lowest_hz: f64) -> Option<String> {
    let is_box = |link: &Link| matches!(link, Link::Box(_) | Link::Splitter(_));
    if chain.loading().filter(|link| is_box(link)).count() < 2 {
        return None;
    }
    let loss_db = |chain: &Chain| Response::new(pickups, chain).loss_db(lowest_hz);
    let boxes = chain.loading().enumerate().filter(|(_, link)| is_box(link));
    let without = boxes.filter_map(|(index, link)| Some((link.name()?, loss_db(&chain.without(index)))));
    let (name, left_db) = without.min_by(|(_, one), (_, other)| one.total_cmp(other))?;
    (loss_db(chain) - left_db > LEAST_HELP_DB).then(|| Words::ENGLISH.without(name, left_db))
}

fn noise_rise(shapes: &[Shape]) -> Option<NoiseRise> {
    let boosting = shapes.iter().filter(|shape| shape.boost_db() > LEAST_RISE_DB);
    let most = boosting.max_by(|a, b| a.boost_db().total_cmp(&b.boost_db()))?;
    let noise = Noise::raised_by(most);
    let db = noise.rise_db(most);
    (db > LEAST_RISE_DB).then_some(NoiseRise { noise, db })
}

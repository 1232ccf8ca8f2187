//! What is told of a run, as text and as JSON.

use std::fmt;
use std::path::Path;

use anstyle::Style;
use dsp_core::circuit::Pad;
use dsp_core::response::johnson_volts;
use firstjack_words::Words;
use serde::Serialize;

use super::level::Played;
use super::render::Written;
use super::sentences::{self, Item};
use super::told::{Told, ToldWay};
use super::way::{Kind, Obstacle, OfString, RIGHT_DB};
use crate::name::Name;

/// What was done, and what both ways come to.
#[derive(Serialize)]
pub struct Report {
    /// What is played into.
    into: Name,
    /// dBu at full scale, if they were said.
    levels: Option<LevelsReport>,
    ways: Vec<WayReport>,
    file: Option<Name>,
    /// In the file.
    gain_db: Option<f64>,
    clipped_samples: u64,
    guard_closed: u64,
    sheet: Option<Name>,
    /// Which way the file is for.
    #[serde(skip)]
    wanted: Kind,
    #[serde(skip)]
    guard: Option<String>,
    #[serde(skip)]
    cautions: String,
}

#[derive(Serialize)]
struct LevelsReport {
    in_dbu_at_full_scale: f64,
    out_dbu_at_full_scale: f64,
}

#[derive(Serialize)]
struct WayReport {
    way: Kind,
    /// Why it cannot be gone.
    obstacle: Option<Obstacle>,
    #[serde(flatten)]
    figures: Option<Figures>,
    #[serde(skip)]
    items: Vec<Item>,
    #[serde(skip)]
    doing: String,
}

/// In SI units and decibels.
#[derive(Serialize)]
struct Figures {
    /// Whether the error is at most 0.1 dB.
    right: bool,
    /// To either side, from the lowest string to 10 kHz, at the gain that is right in the middle.
    error_db: f64,
    /// What the output, the pad and the load between them take away at every frequency alike; gain gives it back.
    insertion_db: f64,
    output_ohms: f64,
    pad: Option<PadFigures>,
    /// Of output and pad together.
    source_ohms: f64,
    /// The most that they may have.
    most_ohms: Option<f64>,
    /// In series behind them.
    capacitor_farads: Option<f64>,
    /// What it is made of, side by side.
    capacitors_farads: Vec<f64>,
    strings: Vec<OfString>,
    /// Of output and pad, 20 Hz to 20 kHz, rms.
    johnson_volts: f64,
    /// Highest true peak of the rendering at a gain of one, against full scale.
    peak: Option<f64>,
    played: Option<Played>,
    headroom_db: Option<f64>,
}

#[derive(Serialize)]
struct PadFigures {
    series_ohms: f64,
    shunt_ohms: f64,
    db: f64,
}

impl Report {
    pub fn new(told: &Told, wanted: Kind, is_written: bool) -> Self {
        let words = Words::ENGLISH;
        let way = |kind| match told.way(kind) {
            Some(way) => WayReport {
                way: kind,
                obstacle: None,
                figures: Some(Figures::new(told, way)),
                items: sentences::items(told, way, is_written && kind == wanted, &words),
                doing: sentences::doing(way, &words),
            },
            None => WayReport {
                way: kind,
                obstacle: told.capacitor.as_ref().err().copied(),
                figures: None,
                items: Vec::new(),
                doing: String::new(),
            },
        };
        Self {
            into: told.situation.setup.name.clone(),
            levels: told.situation.interface.map(|interface| LevelsReport {
                in_dbu_at_full_scale: interface.recorded.dbu(),
                out_dbu_at_full_scale: interface.played.dbu(),
            }),
            ways: vec![way(Kind::File), way(Kind::Capacitor)],
            file: None,
            gain_db: None,
            clipped_samples: 0,
            guard_closed: 0,
            sheet: None,
            wanted,
            guard: None,
            cautions: sentences::cautions(&words).map(|caution| format!("{caution}\n")).concat(),
        }
    }

    pub fn wrote(&mut self, target: &Path, written: Written) {
        let Written { gain, clipped, guard, rate_hz } = written;
        self.file = Some(Name::of(target));
        self.gain_db = Some(20.0 * gain.log10());
        self.clipped_samples = clipped;
        self.guard_closed = guard.closures;
        #[expect(clippy::cast_precision_loss, reason = "frames of a file of less than 2^53 bytes")]
        let first_seconds = guard.first_frame.map(|frame| frame as f64 / rate_hz);
        self.guard = Words::ENGLISH.guard(guard.closures, guard.cause, first_seconds);
    }

    pub fn wrote_sheet(&mut self, target: &Path) {
        self.sheet = Some(Name::of(target));
    }

    pub fn json(&self) -> String {
        crate::stdout::json(self)
    }
}

impl Figures {
    fn new(told: &Told, told_way: &ToldWay) -> Self {
        let (way, feed) = (&told_way.way, told_way.way.feed);
        let pad = |Pad { series, shunt }: Pad| PadFigures {
            series_ohms: series.ohms(),
            shunt_ohms: shunt.ohms(),
            db: feed.pad_db(),
        };
        Self {
            right: told_way.error_db <= RIGHT_DB,
            error_db: told_way.error_db,
            insertion_db: way.insertion_db(told.situation.strings().lowest_hz()),
            output_ohms: feed.output.ohms(),
            pad: feed.pad.map(pad),
            source_ohms: feed.ohms(),
            most_ohms: told_way.most_ohms.map(|most| most.ohms()),
            capacitor_farads: feed.capacitance.map(|value| value.farads()),
            capacitors_farads: way.capacitors.iter().map(|value| value.farads()).collect(),
            strings: told_way.strings.clone(),
            johnson_volts: johnson_volts(feed.ohms()),
            peak: told_way.peak,
            played: told_way.played,
            headroom_db: told_way.played.and_then(|played| played.headroom_db()),
        }
    }
}

impl fmt::Display for Report {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let (bold, words) = (Style::new().bold(), Words::ENGLISH);
        for way in &self.ways {
            writeln!(f, "{bold}{}{bold:#}", sentences::title(way.way, &words))?;
            if let Some(obstacle) = way.obstacle {
                writeln!(f, "  {}", sentences::obstacle(obstacle, &words))?;
                continue;
            }
            writeln!(f, "  {}", way.doing)?;
            for Item { term, text } in &way.items {
                writeln!(f, "  {term}: {text}")?;
            }
            if let Some(file) = self.file.as_ref().filter(|_| way.way == self.wanted) {
                writeln!(f, "  {}", words.say("reamp.file_for", &[("file", file)]))?;
            }
        }
        if let Some(guard) = &self.guard {
            writeln!(f, "{guard}")?;
        }
        if self.clipped_samples > 0 {
            writeln!(f, "{} samples clipped", self.clipped_samples)?;
        }
        if let Some(sheet) = &self.sheet {
            writeln!(f, "{sheet}: the sheet")?;
        }
        write!(f, "{}", self.cautions)
    }
}

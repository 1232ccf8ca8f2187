use std::fmt;

use anstyle::Style;
use dsp_core::processor::GuardStatus;
use dsp_core::response::{Ceiling, noise_rise_db, note_losses, spoken_db, verdict};
use serde::Serialize;

use super::level::Levels;
use super::plan::{Plan, Rendering};
use crate::wav::TakeReader;

/// The band in which undoing lifts rumble and hum.
const NOISE_BAND_HZ: (f64, f64) = (20.0, 200.0);

/// The top of the band.
const TOP_HZ: f64 = 20_000.0;

/// What was done, in words and figures.
#[derive(Serialize)]
pub struct Report {
    take_lufs: Option<f64>,
    level_match: bool,
    /// Everything was lowered by this much so that nothing clips.
    lowered_db: f64,
    frames: u64,
    /// Whether the take's header promised more.
    truncated: bool,
    /// Samples that were not finite and were passed over.
    salvaged_samples: u64,
    renderings: Vec<RenderingReport>,
    #[serde(skip)]
    rate_hz: f64,
    #[serde(skip)]
    written: usize,
}

#[derive(Serialize)]
struct RenderingReport {
    name: String,
    file: String,
    verdict: String,
    /// Gain that matched its loudness to the take's, if it was matched.
    matching_db: Option<f64>,
    undo: Option<UndoReport>,
    /// The most boost at any frequency; JSON has no infinity, so null without a ceiling.
    boost_db: f64,
    clipped_samples: u64,
    guard_closed: u64,
    guard_first_seconds: Option<f64>,
}

#[derive(Serialize)]
struct UndoReport {
    ceiling_db: Option<f64>,
    /// What every string still lacks.
    left: Vec<(String, f64)>,
    noise_below_200_hz_rises_db: f64,
}

impl Report {
    pub fn new(plan: &Plan, levels: &Levels, take: &TakeReader) -> Self {
        let db = |gain: f64| 20.0 * gain.log10();
        let rendering = |(rendering, matching): (&Rendering, &Option<f64>)| RenderingReport {
            name: rendering.name.clone(),
            file: rendering.target.display().to_string(),
            verdict: sentence(plan, rendering),
            matching_db: matching.map(db),
            undo: plan.undoes(rendering).then(|| UndoReport::new(plan, rendering)),
            boost_db: rendering.shape.boost_db(),
            clipped_samples: 0,
            guard_closed: 0,
            guard_first_seconds: None,
        };
        Self {
            take_lufs: levels.take_lufs,
            level_match: plan.level_match,
            lowered_db: db(levels.lowered),
            frames: take.frames(),
            truncated: take.is_truncated(),
            salvaged_samples: take.salvaged(),
            renderings: plan.renderings.iter().zip(&levels.matching).map(rendering).collect(),
            rate_hz: f64::from(plan.format.rate_hz),
            written: 0,
        }
    }

    /// Adds what was seen while the next rendering was written.
    #[expect(clippy::cast_precision_loss, reason = "frames of a file of at most 4 GiB")]
    pub fn wrote(&mut self, clipped: u64, guard: GuardStatus) {
        let rendering = &mut self.renderings[self.written];
        rendering.clipped_samples = clipped;
        rendering.guard_closed = guard.closures;
        rendering.guard_first_seconds = guard.first_frame.map(|frame| frame as f64 / self.rate_hz);
        self.written += 1;
    }

    pub fn json(&self) -> String {
        serde_json::to_string_pretty(self).expect("numbers, texts and lists of them") + "\n"
    }

    fn about_level(&self) -> String {
        match self.take_lufs {
            Some(lufs) if self.level_match => {
                format!("Level-matched to the take, {lufs:.1} LUFS (ITU-R BS.1770).")
            }
            None if self.level_match => {
                "Not level-matched: the take is silent, below -70 LUFS or shorter than 0.4 s.".to_owned()
            }
            _ => "Not level-matched, as asked: comparisons go to the louder one.".to_owned(),
        }
    }
}

impl fmt::Display for Report {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let bold = Style::new().bold();
        for rendering in &self.renderings {
            writeln!(f, "{bold}{}{bold:#}", rendering.verdict)?;
            rendering.fmt(f)?;
            if self.take_lufs.is_some() && rendering.matching_db.is_none() {
                writeln!(f, "  not matched: it is below -70 LUFS, where BS.1770 measures nothing")?;
            }
        }
        writeln!(f, "{}", self.about_level())?;
        if self.lowered_db < 0.0 {
            writeln!(f, "All lowered by {} so that nothing clips.", spoken_db(self.lowered_db))?;
        }
        if self.truncated {
            writeln!(f, "The take is truncated: the {} frames that are there were processed.", self.frames)?;
        }
        if self.salvaged_samples > 0 {
            writeln!(
                f,
                "{} samples of the take were not numbers and were passed over.",
                self.salvaged_samples
            )?;
        }
        if self.renderings.iter().any(|rendering| rendering.boost_db > 6.0) {
            writeln!(
                f,
                "Turn the system down before auditioning this: tens of dB of low-frequency boost can hurt hearing \
                 and loudspeakers."
            )?;
        }
        writeln!(
            f,
            "A model with stated inputs: a pickup's capacitance varies from piece to piece, so measure yours."
        )
    }
}

impl fmt::Display for RenderingReport {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "  {}", self.file)?;
        if let Some(db) = self.matching_db {
            write!(f, ", matched by {db:+.1} dB")?;
        }
        writeln!(f)?;
        if let Some(undo) = &self.undo {
            undo.fmt(f)?;
        } else if self.boost_db > 24.0 {
            let boost = spoken_db(self.boost_db);
            writeln!(
                f,
                "  boosts the lowest frequencies by up to {boost}: the ceiling bounds only --load none"
            )?;
        }
        if self.clipped_samples > 0 {
            writeln!(f, "  {} samples clipped", self.clipped_samples)?;
        }
        if let Some(seconds) = self.guard_first_seconds {
            let times = self.guard_closed;
            writeln!(f, "  the guard faded to silence {times} times, first at {seconds:.3} s")?;
        }
        Ok(())
    }
}

impl UndoReport {
    fn new(plan: &Plan, rendering: &Rendering) -> Self {
        let left = note_losses(&plan.through, &plan.strings.pitches, plan.strings.a4_hz)
            .into_iter()
            .map(|note| (note.pitch.to_string(), note.loss_db - rendering.shape.db(note.hz)))
            .collect();
        Self {
            ceiling_db: match plan.ceiling {
                Ceiling::Db(db) => Some(db),
                Ceiling::Off => None,
            },
            left,
            noise_below_200_hz_rises_db: noise_rise_db(&rendering.shape, NOISE_BAND_HZ, TOP_HZ),
        }
    }
}

impl fmt::Display for UndoReport {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let left: Vec<String> =
            self.left.iter().map(|(name, db)| format!("{name} {:.1}", db.max(0.0))).collect();
        let ceiling = self.ceiling_db.map_or("off".to_owned(), |db| format!("{db} dB"));
        writeln!(f, "  undo ceiling {ceiling}; still lost, in dB: {}", left.join(", "))?;
        writeln!(
            f,
            "  noise from 20 to 200 Hz rises by {} against the top of the band",
            spoken_db(self.noise_below_200_hz_rises_db)
        )
    }
}

fn sentence(plan: &Plan, rendering: &Rendering) -> String {
    let lowest = &plan.strings.lowest;
    let hz = plan.strings.lowest_hz();
    if plan.undoes(rendering) {
        let (lost, back) = (plan.through.loss_db(hz), rendering.shape.db(hz));
        return format!("low {} gets back {} of {}", lowest.letter(), spoken_db(back), spoken_db(lost));
    }
    verdict(lowest, rendering.to.loss_db(hz), &rendering.place)
}

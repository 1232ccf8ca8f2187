use anstyle::Style;
use dsp_core::processor::GuardStatus;
use dsp_core::response::{Ceiling, Transfer, noise_rise_db, note_losses, spoken_db, verdict};
use serde::Serialize;

use super::level::Levels;
use super::plan::{Plan, Rendering};
use crate::wav::TakeReader;

/// The band in which undoing lifts rumble and hum.
const NOISE_BAND_HZ: (f64, f64) = (20.0, 200.0);

/// What was done, in words and figures.
#[derive(Serialize)]
pub struct Report {
    take_lufs: Option<f64>,
    level_match: bool,
    /// Everything was lowered by this much so that nothing clips.
    lowered_db: f64,
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
    /// Gain that matched its loudness to the take's.
    matching_db: f64,
    undo: Option<UndoReport>,
    /// The most boost against the top of the band; JSON has no infinity, so null without a ceiling.
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
        let rendering = |(rendering, matching): (&Rendering, &f64)| RenderingReport {
            name: rendering.name.clone(),
            file: rendering.target.display().to_string(),
            verdict: sentence(plan, rendering),
            matching_db: db(*matching),
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

    pub fn print_json(&self) {
        println!("{}", serde_json::to_string_pretty(self).expect("numbers, texts and lists of them"));
    }

    pub fn print(&self) {
        let bold = Style::new().bold();
        for rendering in &self.renderings {
            anstream::println!("{bold}{}{bold:#}", rendering.verdict);
            rendering.print(self.level_match && self.take_lufs.is_some());
        }
        match self.take_lufs {
            Some(lufs) if self.level_match => {
                println!("Level-matched to the take, {lufs:.1} LUFS (ITU-R BS.1770).")
            }
            None if self.level_match => {
                println!("Not level-matched: the take is silent or shorter than 0.4 s.");
            }
            _ => println!("Not level-matched, as asked: comparisons go to the louder one."),
        }
        if self.lowered_db < 0.0 {
            println!("All lowered by {} so that nothing clips.", spoken_db(self.lowered_db));
        }
        if self.salvaged_samples > 0 {
            println!("{} samples of the take were not numbers and were passed over.", self.salvaged_samples);
        }
        if self.renderings.iter().any(|rendering| rendering.boost_db > 6.0) {
            println!(
                "Turn the system down before auditioning this: tens of dB of low-frequency boost can hurt hearing \
                 and loudspeakers."
            );
        }
        println!(
            "A model with stated inputs: a pickup's capacitance varies from piece to piece, so measure yours."
        );
    }
}

impl RenderingReport {
    fn print(&self, matched: bool) {
        print!("  {}", self.file);
        if matched {
            print!(", matched by {:+.1} dB", self.matching_db);
        }
        println!();
        if let Some(undo) = &self.undo {
            undo.print();
        } else if self.boost_db > 24.0 {
            println!(
                "  boosts the lowest frequencies by up to {}: the ceiling bounds only --load none",
                spoken_db(self.boost_db)
            );
        }
        if self.clipped_samples > 0 {
            println!("  {} samples clipped", self.clipped_samples);
        }
        if let Some(seconds) = self.guard_first_seconds {
            println!("  the guard faded to silence {} times, first at {seconds:.3} s", self.guard_closed);
        }
    }
}

impl UndoReport {
    fn new(plan: &Plan, rendering: &Rendering) -> Self {
        let recorded = Transfer::new(&plan.pickup, plan.through);
        let left = note_losses(&recorded, &plan.strings.pitches, plan.strings.a4_hz)
            .into_iter()
            .map(|note| (note.pitch.to_string(), note.loss_db - rendering.shape.db(note.hz)))
            .collect();
        Self {
            ceiling_db: match plan.ceiling {
                Ceiling::Db(db) => Some(db),
                Ceiling::Off => None,
            },
            left,
            noise_below_200_hz_rises_db: noise_rise_db(&rendering.shape, NOISE_BAND_HZ.0, NOISE_BAND_HZ.1),
        }
    }

    fn print(&self) {
        let left: Vec<String> = self.left.iter().map(|(name, db)| format!("{name} {db:.1}")).collect();
        let ceiling = self.ceiling_db.map_or("off".to_owned(), |db| format!("{db} dB"));
        println!("  undo ceiling {ceiling}; still lost, in dB: {}", left.join(", "));
        println!("  noise from 20 to 200 Hz rises by {}", spoken_db(self.noise_below_200_hz_rises_db));
    }
}

fn sentence(plan: &Plan, rendering: &Rendering) -> String {
    let lowest = &plan.strings.lowest;
    let hz = plan.strings.lowest_hz();
    let lost_db = |shunt| Transfer::new(&plan.pickup, shunt).loss_db(hz);
    if plan.undoes(rendering) {
        let (lost, back) = (lost_db(plan.through), rendering.shape.db(hz));
        return format!("low {} gets back {} of {}", lowest.letter(), spoken_db(back), spoken_db(lost));
    }
    verdict(lowest, lost_db(rendering.to), &rendering.place)
}

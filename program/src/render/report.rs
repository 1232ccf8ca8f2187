use std::fmt;

use anstyle::Style;
use dsp_core::processor::{GuardCause, GuardStatus};
use dsp_core::response::Noise;
use firstjack_words::Words;
use serde::Serialize;

use super::boost::{BoostReport, LOUD_DB};
use super::level::SetLevels;
use super::listen::Listened;
use super::noise::TakeNoiseReport;
use super::plan::{Plan, Rendering};
use super::take::Take;
use crate::arguments::EndArgument;
use crate::name::Name;
use crate::passes::Level;

/// What was done, in words and figures.
#[derive(Serialize)]
pub struct Report {
    take: Name,
    take_lufs: Option<f64>,
    level_match: bool,
    /// Everything was lowered by this much so that nothing clips.
    lowered_db: f64,
    frames: u64,
    /// Whether the take's header promised more.
    truncated: bool,
    /// Samples that were not finite and were passed over.
    salvaged_samples: u64,
    /// At which end of the tolerances it is heard, if not in the middle.
    #[serde(skip_serializing_if = "Option::is_none")]
    at: Option<&'static str>,
    /// Where a load is taken away, or much is boosted: what the take tells of its noise.
    #[serde(skip_serializing_if = "Option::is_none")]
    noise: Option<TakeNoiseReport>,
    renderings: Vec<RenderingReport>,
    #[serde(skip)]
    model: &'static str,
    #[serde(skip)]
    rate_hz: f64,
    #[serde(skip)]
    written: usize,
}

#[derive(Serialize)]
struct RenderingReport {
    name: Name,
    file: Name,
    verdict: String,
    /// Gain that matched its loudness to the take's, if it was matched.
    matching_db: Option<f64>,
    /// Of a change that takes away all load.
    undo: Option<BoostReport>,
    /// Of another one that boosts much.
    #[serde(skip_serializing_if = "Option::is_none")]
    boost: Option<BoostReport>,
    /// The most boost at any frequency; JSON has no infinity, so null without a ceiling.
    boost_db: f64,
    clipped_samples: u64,
    /// What the take carries and this kind of file does not, by name.
    left_behind: Vec<String>,
    guard_closed: u64,
    guard_first_seconds: Option<f64>,
    /// Why it closed the last time.
    guard_cause: Option<GuardCause>,
    /// At which end.
    #[serde(skip)]
    boosts: Noise,
}

impl Report {
    pub fn new(plan: &Plan, levels: &SetLevels, listened: Option<&Listened>, take: &Take) -> Self {
        let db = |gain: f64| 20.0 * gain.log10();
        let rendering = |(rendering, level): (&Rendering, &Level)| {
            let version = &rendering.version;
            let report = BoostReport::of(&plan.recorded, version).map(|report| match listened {
                Some(listened) => report.with_noise(plan, version, listened),
                None => report,
            });
            let (undo, boost) = if version.undoes() { (report, None) } else { (None, report) };
            RenderingReport {
                name: version.name.clone(),
                file: Name::of(&rendering.target),
                verdict: undo.as_ref().map_or_else(
                    || version.verdict(&plan.recorded.strings, &version.place, &Words::ENGLISH),
                    |undo| undo.sentence().to_owned(),
                ),
                matching_db: level.matching_db(),
                undo,
                boost,
                boost_db: version.boost_db(),
                clipped_samples: 0,
                left_behind: plan.metadata.left_behind(rendering.container),
                guard_closed: 0,
                guard_first_seconds: None,
                guard_cause: None,
                boosts: Noise::raised_by(version.most_boosted()),
            }
        };
        Self {
            take: Name::of(take.path()),
            take_lufs: levels.take_lufs,
            level_match: plan.level_match,
            lowered_db: db(levels.set.lowered),
            frames: plan.frames,
            truncated: take.is_truncated(),
            salvaged_samples: take.salvaged(),
            at: plan.recorded.end.map(|end| match end {
                EndArgument::Low => "low",
                EndArgument::High => "high",
            }),
            noise: listened.map(|listened| TakeNoiseReport::new(plan, listened)),
            renderings: plan.renderings.iter().zip(&levels.set.each).map(rendering).collect(),
            model: Words::ENGLISH.measure(&plan.recorded.pickups),
            rate_hz: f64::from(plan.format.rate_hz),
            written: 0,
        }
    }

    /// Adds what was seen while the next rendering was written.
    #[expect(clippy::cast_precision_loss, reason = "frames of a file of less than 2^53 bytes")]
    pub fn wrote(&mut self, clipped: u64, guard: GuardStatus) {
        let rendering = &mut self.renderings[self.written];
        rendering.clipped_samples = clipped;
        rendering.guard_closed = guard.closures;
        rendering.guard_first_seconds = guard.first_frame.map(|frame| frame as f64 / self.rate_hz);
        rendering.guard_cause = guard.cause;
        self.written += 1;
    }

    fn about_level(&self) -> String {
        match self.take_lufs {
            Some(lufs) if self.level_match => {
                format!("Level-matched to the take, {lufs:.1} LUFS (ITU-R BS.1770).")
            }
            None if self.level_match => "Not level-matched: the take is silent.".to_owned(),
            _ => "Not level-matched, as asked: comparisons go to the louder one.".to_owned(),
        }
    }
}

/// One shape for all: a list of what became of each take. Of a single one its fields stand at the top too, where version 0.1.0 had them.
#[derive(Serialize)]
struct All<'a> {
    #[serde(flatten)]
    only: Option<&'a Report>,
    takes: &'a [Report],
}

pub fn json(reports: &[Report]) -> String {
    let all = All { only: reports.first().filter(|_| reports.len() == 1), takes: reports };
    crate::stdout::json(&all)
}

pub fn text(reports: &[Report]) -> String {
    match reports {
        [only] => only.to_string(),
        all => all.iter().map(|report| format!("{}\n{report}\n", report.take)).collect(),
    }
}

impl fmt::Display for Report {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let bold = Style::new().bold();
        for rendering in &self.renderings {
            writeln!(f, "{bold}{}{bold:#}", rendering.verdict)?;
            rendering.fmt(f)?;
            if self.take_lufs.is_some() && rendering.matching_db.is_none() {
                writeln!(f, "  not matched: it is silent")?;
            }
        }
        if let Some(end) = self.at {
            let loss = if end == "low" { "least" } else { "most" };
            writeln!(f, "Heard at the {end} end of the tolerances, where the lowest string loses {loss}.")?;
        }
        if let Some(noise) = &self.noise {
            noise.fmt(f)?;
        }
        writeln!(f, "{}", self.about_level())?;
        if self.lowered_db < 0.0 {
            writeln!(f, "All lowered by {} so that nothing clips.", Words::ENGLISH.db(self.lowered_db))?;
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
        let loud = || self.renderings.iter().filter(|rendering| rendering.boost_db > LOUD_DB);
        if loud().next().is_some() {
            let low = loud().any(|rendering| rendering.boosts == Noise::Rumble);
            let what = if low { "low-frequency boost" } else { "boost at the top" };
            writeln!(
                f,
                "Turn the system down before auditioning this: tens of dB of {what} can hurt hearing and loudspeakers."
            )?;
        }
        writeln!(f, "{}", self.model)
    }
}

impl fmt::Display for RenderingReport {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "  {}", self.file)?;
        if let Some(db) = self.matching_db {
            write!(f, ", matched by {db:+.1} dB")?;
        }
        writeln!(f)?;
        if let Some(boost) = self.undo.as_ref().or(self.boost.as_ref()) {
            boost.fmt(f)?;
        }
        if self.clipped_samples > 0 {
            writeln!(f, "  {} samples clipped", self.clipped_samples)?;
        }
        if !self.left_behind.is_empty() {
            writeln!(
                f,
                "  left behind, as this kind of file has no place for it: {}",
                self.left_behind.join(", ")
            )?;
        }
        let guard = Words::ENGLISH.guard(self.guard_closed, self.guard_cause, self.guard_first_seconds);
        if let Some(guard) = guard {
            writeln!(f, "  {guard}")?;
        }
        Ok(())
    }
}

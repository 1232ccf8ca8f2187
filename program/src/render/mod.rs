//! `firstjack render`: a take through other loads.

mod boost;
mod level;
mod listen;
mod noise;
mod plan;
mod recorded;
mod report;
mod take;
mod undo;

use std::path::{Path, PathBuf};

use firstjack_sound::{Making, Sink, Unfit};
use firstjack_words::Words;

use crate::arguments::{RenderArguments, SampleFormatArgument};
use crate::error::Failure;
use crate::output::{Expected, Outputs, Part};
use crate::passes::{self, Playback, Work, seconds};
use crate::progress::Progress;
use crate::source::{Source, Strings};
use crate::{interrupt, stdout};
use level::SetLevels;
use listen::Listened;
use plan::{Plan, Rendering};
use report::Report;

pub use plan::encoding;
#[cfg(feature = "window")]
pub use recorded::RECORD_IT;
pub use recorded::{Recorded, Version};
pub use take::{Take, recordings};
pub use undo::{check_floor, floor};

/// Runs the command: finds out what cannot be done, then renders take after take. Of each it measures what has to be known first, writes all
/// renderings under temporary names, then names them.
pub fn run(arguments: &RenderArguments) -> Result<(), Failure> {
    let source = Source::new(&arguments.source)?;
    let mut jobs = jobs(arguments, &source)?;
    interrupt::watch();
    let mut outputs = outputs(&jobs, arguments)?;
    if !outputs.prepare(arguments.report.json)? {
        return Ok(());
    }
    let progress = Progress::new(arguments.report.quiet);
    progress.expect(jobs.iter().map(|job| job.frames_to_play(arguments.report.quiet)).sum());
    let mut reports = Vec::new();
    for job in &mut jobs {
        let report = job.render(&outputs, &progress, arguments.report.quiet);
        reports.push(report.map_err(|failure| failure.after(reports.len()))?);
        outputs.keep();
    }
    drop(progress);
    if arguments.report.quiet {
        return Ok(());
    }
    let strings = Strings::new(&arguments.strings, source.instrument.as_deref())?;
    let remarks = source.remark_lines(&strings, &Words::ENGLISH);
    let text = if arguments.report.json { report::json(&reports) } else { report::text(&reports) + &remarks };
    stdout::report(&text, &arguments.output)
}

/// A take and what is to become of it.
struct Job {
    take: Take,
    plan: Plan,
}

fn jobs(arguments: &RenderArguments, source: &Source) -> Result<Vec<Job>, Failure> {
    let mixed = arguments.sample_format != SampleFormatArgument::Same;
    let recordings = recordings(&arguments.takes, &source.pickups)?;
    let several = recordings.len() > 1;
    let job = |files: &[PathBuf]| {
        let mut take = Take::open(files, arguments.takes.allow_damaged, mixed)?;
        Ok(Job { plan: Plan::new(arguments, source, &mut take, several)?, take })
    };
    recordings.into_iter().map(job).collect()
}

/// Finds out what cannot be written before a long take is worked on.
fn outputs(jobs: &[Job], arguments: &RenderArguments) -> Result<Outputs, Failure> {
    let inputs = arguments.takes.inputs().chain(arguments.source.inputs());
    let mut outputs = Outputs::new(&arguments.write, inputs);
    if let Some(folder) = jobs.first().and_then(|job| job.plan.folder.as_ref()) {
        outputs.folder(folder)?;
    }
    for Job { plan, .. } in jobs {
        let seconds = Some(seconds(plan.frames, plan.format.rate_hz.into()));
        for rendering in &plan.renderings {
            let fits = rendering.container.check(plan.format, plan.frames, &plan.metadata);
            fits.map_err(|unfit| does_not_fit(rendering, &unfit))?;
            let bytes = Some(rendering.container.bytes(plan.format, plan.frames, &plan.metadata));
            outputs.add("-o", &rendering.target, Expected { bytes, seconds })?;
        }
    }
    Ok(outputs)
}

impl Job {
    /// In all passes.
    fn frames_to_play(&self, quiet: bool) -> u64 {
        let (levels, noise) = (SetLevels::are_needed(&self.plan), self.is_listened_to(quiet));
        self.take.frames() * (1 + u64::from(levels) + u64::from(noise))
    }

    /// Whether noise decides, or is told.
    fn is_listened_to(&self, quiet: bool) -> bool {
        Listened::is_needed(&self.plan) && (self.plan.undo.is_auto || !quiet)
    }

    fn render(&mut self, outputs: &Outputs, progress: &Progress, quiet: bool) -> Result<Report, Failure> {
        let is_listened_to = self.is_listened_to(quiet);
        let Self { take, plan } = self;
        let listened = is_listened_to.then(|| Listened::new(plan, take, progress)).transpose()?;
        if let Some(listened) = listened.as_ref().filter(|_| plan.undo.is_auto) {
            listened.settle(plan, take)?;
        }
        let levels = SetLevels::new(plan, take, progress)?;
        let all = write(plan, outputs, &levels, take, progress)?;
        let mut report = Report::new(plan, &levels, listened.as_ref(), take);
        let mut finished = Vec::new();
        for Written { playback, sink, target, .. } in all {
            report.wrote(sink.clipped(), playback.guard_status());
            finished.push(sink.finish().map_err(|error| Failure::write(target, error))?);
        }
        for file in finished {
            file.publish()?;
        }
        Ok(report)
    }
}

/// A rendering on its way into its file.
struct Written<'a> {
    playback: Playback,
    gain: f64,
    sink: Sink<Part>,
    target: &'a Path,
}

/// Writes all renderings in one pass.
fn write<'a>(
    plan: &'a Plan,
    outputs: &Outputs,
    levels: &SetLevels,
    take: &mut Take,
    progress: &Progress,
) -> Result<Vec<Written<'a>>, Failure> {
    progress.say("rendering");
    // The sum of two integers is one again.
    let encoding_stays = take.format().encoding == plan.format.encoding && !take.is_mixed();
    let mut all = Vec::new();
    for (index, rendering) in plan.renderings.iter().enumerate() {
        let gain = levels.set.gain(index);
        let exact = rendering.version.is_unchanged() && gain == 1.0 && encoding_stays;
        let making = Making {
            container: rendering.container,
            format: plan.format,
            frames: plan.frames,
            metadata: &plan.metadata,
            exact,
        };
        let target = rendering.target.as_path();
        let sink =
            Sink::new(outputs.create(target)?, making).map_err(|error| Failure::write(target, error))?;
        all.push(Written { playback: plan.playback(rendering)?, gain, sink, target });
    }
    fn work<'a>(written: &'a mut Written) -> Work<'a> {
        let Written { playback, gain, sink, target } = written;
        let failed = |error| Failure::write(target, error);
        Box::new(move |block| sink.write(playback.play(block), *gain).map_err(failed))
    }
    passes::run(take, progress, all.iter_mut().map(work).collect())?;
    Ok(all)
}

/// With what would fit.
fn does_not_fit(rendering: &Rendering, unfit: &Unfit) -> Failure {
    let remedy = match unfit {
        Unfit::Name(_) => return Failure::Usage(unfit.to_string()),
        Unfit::Encoding { .. } => "--sample-format 24 makes them fit, or a name ending in .wav",
        Unfit::Channels { .. } => "accepted is a name ending in .wav or .aif",
        Unfit::Length { .. } => "accepted is a name ending in .wav",
    };
    Failure::Usage(format!("{}: {unfit}; {remedy}", rendering.target.display()))
}

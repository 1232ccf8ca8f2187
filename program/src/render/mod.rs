//! `firstjack render`: a take through other loads.

mod level;
mod plan;
mod recorded;
mod report;
mod take;
mod undo;

use std::path::PathBuf;

use crate::arguments::{RenderArguments, SampleFormatArgument};
use crate::error::Failure;
use crate::output::{Expected, Outputs};
use crate::passes::{self, Playback, Work, seconds};
use crate::progress::Progress;
use crate::source::Source;
use crate::wav::{TakeWriter, check_length, file_bytes};
use crate::{interrupt, stdout};
use level::SetLevels;
use plan::Plan;
use report::Report;

pub use recorded::{Recorded, Version};
pub use take::{Take, recordings};

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
    progress.expect(jobs.iter().map(Job::frames_to_play).sum());
    let mut reports = Vec::new();
    for job in &mut jobs {
        let report = job.render(&outputs, &progress);
        reports.push(report.map_err(|failure| failure.after(reports.len()))?);
        outputs.keep();
    }
    drop(progress);
    if arguments.report.quiet {
        return Ok(());
    }
    let text = if arguments.report.json { report::json(&reports) } else { report::text(&reports) };
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
        let expected = Expected {
            bytes: Some(file_bytes(plan.format, plan.frames)),
            seconds: Some(seconds(plan.frames, plan.format.rate_hz.into())),
        };
        for rendering in &plan.renderings {
            check_length(&rendering.target, plan.format, plan.frames)?;
            outputs.add("-o", &rendering.target, expected)?;
        }
    }
    Ok(outputs)
}

impl Job {
    /// In all passes.
    fn frames_to_play(&self) -> u64 {
        self.take.frames() * (1 + u64::from(SetLevels::are_needed(&self.plan)))
    }

    fn render(&mut self, outputs: &Outputs, progress: &Progress) -> Result<Report, Failure> {
        let Self { take, plan } = self;
        let levels = SetLevels::new(plan, take, progress)?;
        let all = write(plan, outputs, &levels, take, progress)?;
        let mut report = Report::new(plan, &levels, take);
        for written in all {
            report.wrote(written.writer.clipped(), written.playback.guard_status());
            written.writer.publish()?;
        }
        Ok(report)
    }
}

/// A rendering on its way into its file.
struct Written {
    playback: Playback,
    gain: f64,
    writer: TakeWriter,
}

/// Writes all renderings in one pass.
fn write(
    plan: &Plan,
    outputs: &Outputs,
    levels: &SetLevels,
    take: &mut Take,
    progress: &Progress,
) -> Result<Vec<Written>, Failure> {
    progress.say("rendering");
    // The sum of two integers is one again.
    let encoding_stays = take.format().encoding == plan.format.encoding && !take.is_mixed();
    let mut all = Vec::new();
    for (index, rendering) in plan.renderings.iter().enumerate() {
        let gain = levels.set.gain(index);
        let exact = rendering.version.is_unchanged() && gain == 1.0 && encoding_stays;
        let writer = TakeWriter::create(outputs.create(&rendering.target)?, plan.format, exact)?;
        all.push(Written { playback: plan.playback(rendering)?, gain, writer });
    }
    fn work(written: &mut Written) -> Work<'_> {
        let Written { playback, gain, writer } = written;
        Box::new(|block| writer.write(playback.play(block), *gain))
    }
    passes::run(take, progress, all.iter_mut().map(work).collect())?;
    Ok(all)
}

//! `firstjack render`: a take through other loads.

mod level;
mod measure;
mod pipe;
mod plan;
mod recorded;
mod report;
mod take;
mod undo;
mod voices;

use std::path::PathBuf;

use dsp_core::processor::GuardStatus;

use crate::arguments::{RenderArguments, SampleFormatArgument};
use crate::error::Failure;
use crate::output::{Expected, Outputs, Part};
use crate::progress::Progress;
use crate::source::Source;
use crate::wav::{TakeWriter, check_length, file_bytes};
use crate::{interrupt, stdout};
use level::Levels;
use plan::{Plan, Rendering};
use report::Report;

pub use measure::{Loudness, TruePeak};
pub use pipe::run as run_pipe;
pub use recorded::{Recorded, Version};
pub use take::{Take, recordings};
pub use voices::Voices;

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
        let take = Take::open(files, arguments.takes.allow_damaged, mixed)?;
        Ok(Job { plan: Plan::new(arguments, source, &take, several)?, take })
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
    for Job { plan, take } in jobs {
        for rendering in &plan.renderings {
            check_length(&rendering.target, plan.format, take.frames())?;
            let bytes = Some(file_bytes(plan.format, take.frames()));
            outputs.add("-o", &rendering.target, Expected { bytes, seconds: Some(take.seconds()) })?;
        }
    }
    Ok(outputs)
}

impl Job {
    /// In all passes.
    fn frames_to_play(&self) -> u64 {
        let passes = Levels::passes(&self.plan) + self.plan.renderings.len();
        self.take.frames() * passes as u64
    }

    fn render(&mut self, outputs: &Outputs, progress: &Progress) -> Result<Report, Failure> {
        let Self { take, plan } = self;
        let levels = Levels::new(plan, take, progress)?;
        progress.say("writing");
        let mut written = Vec::new();
        for (index, rendering) in plan.renderings.iter().enumerate() {
            let part = outputs.create(&rendering.target)?;
            written.push(write(plan, rendering, part, levels.gain(index), take, progress)?);
        }
        let mut report = Report::new(plan, &levels, take);
        for (writer, guard) in written {
            report.wrote(writer.clipped(), guard);
            writer.publish()?;
        }
        Ok(report)
    }
}

fn write(
    plan: &Plan,
    rendering: &Rendering,
    part: Part,
    gain: f64,
    take: &mut Take,
    progress: &Progress,
) -> Result<(TakeWriter, GuardStatus), Failure> {
    // The sum of two integers is one again.
    let encoding_stays = take.format().encoding == plan.format.encoding && !take.is_mixed();
    let exact = rendering.version.is_unchanged() && gain == 1.0 && encoding_stays;
    let mut voices = plan.voices(rendering)?;
    let mut writer = TakeWriter::create(part, plan.format, exact)?;
    let channels = usize::from(plan.format.channels);
    pipe::run(
        take,
        progress,
        |block| {
            voices.process(block);
        },
        |block| writer.write(&block[..channels], gain),
    )?;
    Ok((writer, voices.guard_status()))
}

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

use dsp_core::processor::GuardStatus;
use indicatif::{ProgressBar, ProgressDrawTarget, ProgressStyle};

use crate::arguments::{RenderArguments, SampleFormatArgument, takes};
use crate::error::Failure;
use crate::output::{Outputs, Part};
use crate::wav::{TakeWriter, check_length, file_bytes};
use crate::{interrupt, stdout};
use level::Levels;
use plan::{Plan, Rendering};
use report::Report;

pub use measure::{Loudness, TruePeak};
pub use pipe::run as run_pipe;
pub use recorded::{Recorded, Version};
pub use take::Take;
pub use voices::Voices;

/// Runs the command: measures what has to be known first, then writes all renderings under temporary names, then
/// names them.
pub fn run(arguments: &RenderArguments) -> Result<(), Failure> {
    let mixed = arguments.sample_format != SampleFormatArgument::Same;
    let mut take = Take::open(&arguments.takes, arguments.salvage, mixed)?;
    let plan = Plan::new(arguments, &take)?;
    interrupt::watch();
    let outputs = outputs(&plan, arguments, take.frames())?;
    let progress = progress(arguments.quiet, take.frames());
    let report = render(&plan, outputs, &mut take, &progress);
    progress.finish_and_clear();
    let report = report?;
    if arguments.json {
        stdout::print(&report.json())
    } else if arguments.quiet {
        Ok(())
    } else {
        stdout::print(&report.to_string())
    }
}

/// Finds out what cannot be written before a long take is worked on.
fn outputs(plan: &Plan, arguments: &RenderArguments, frames: u64) -> Result<Outputs, Failure> {
    for rendering in &plan.renderings {
        check_length(&rendering.target, plan.format, frames)?;
    }
    let inputs = takes(&arguments.takes).chain(arguments.source.inputs());
    let mut outputs = Outputs::new(arguments.overwrite, inputs);
    if let Some(folder) = &plan.folder {
        outputs.folder(folder)?;
    }
    for rendering in &plan.renderings {
        outputs.add("-o", &rendering.target, file_bytes(plan.format, frames))?;
    }
    outputs.prepare()?;
    Ok(outputs)
}

fn render(plan: &Plan, outputs: Outputs, take: &mut Take, progress: &ProgressBar) -> Result<Report, Failure> {
    let levels = Levels::new(plan, take, progress)?;
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
    outputs.keep();
    Ok(report)
}

fn write(
    plan: &Plan,
    rendering: &Rendering,
    part: Part,
    gain: f64,
    take: &mut Take,
    progress: &ProgressBar,
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

/// A bar that counts frames, on standard error.
pub fn progress(quiet: bool, frames: u64) -> ProgressBar {
    let target = if quiet { ProgressDrawTarget::hidden() } else { ProgressDrawTarget::stderr_with_hz(10) };
    let style = ProgressStyle::with_template("{msg:12} [{bar:40}] {percent:>3} % {eta}").expect("a constant");
    ProgressBar::with_draw_target(Some(frames), target).with_style(style.progress_chars("=> "))
}

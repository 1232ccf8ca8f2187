//! `firstjack render`: a take through other loads.

mod level;
mod plan;
mod recorded;
mod report;
mod take;
mod undo;

use indicatif::{ProgressBar, ProgressDrawTarget, ProgressStyle};

use crate::arguments::{RenderArguments, SampleFormatArgument, takes};
use crate::error::Failure;
use crate::output::Outputs;
use crate::passes::{self, Playback, Work};
use crate::wav::{TakeWriter, check_length, file_bytes};
use crate::{interrupt, stdout};
use level::SetLevels;
use plan::Plan;
use report::Report;

pub use recorded::{Recorded, Version};
pub use take::Take;

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
    let levels = SetLevels::new(plan, take, progress)?;
    let all = write(plan, &outputs, &levels, take, progress)?;
    let mut report = Report::new(plan, &levels, take);
    for written in all {
        report.wrote(written.writer.clipped(), written.playback.guard_status());
        written.writer.publish()?;
    }
    outputs.keep();
    Ok(report)
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
    progress: &ProgressBar,
) -> Result<Vec<Written>, Failure> {
    progress.set_message("rendering");
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

/// A bar that counts frames, on standard error.
pub fn progress(quiet: bool, frames: u64) -> ProgressBar {
    let target = if quiet { ProgressDrawTarget::hidden() } else { ProgressDrawTarget::stderr_with_hz(10) };
    let style = ProgressStyle::with_template("{msg:12} [{bar:40}] {percent:>3} % {eta}").expect("a constant");
    ProgressBar::with_draw_target(Some(frames), target).with_style(style.progress_chars("=> "))
}

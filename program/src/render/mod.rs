//! `firstjack render`: a take through other loads.

mod folder;
mod level;
mod plan;
mod recorded;
mod report;
mod take;
mod undo;

use indicatif::{ProgressBar, ProgressDrawTarget, ProgressStyle};

use crate::arguments::{RenderArguments, SampleFormatArgument};
use crate::error::Failure;
use crate::passes::{self, Part, Playback};
use crate::wav::{TakeWriter, check_length, check_target};
use crate::{interrupt, stdout};
use folder::{NewFolder, check_folder};
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
    check_targets(&plan, arguments, take.frames())?;
    interrupt::watch();
    let progress = progress(arguments.quiet, take.frames());
    let report = render(&plan, arguments, &mut take, &progress);
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
fn check_targets(plan: &Plan, arguments: &RenderArguments, frames: u64) -> Result<(), Failure> {
    if let Some(folder) = &plan.folder {
        check_folder(folder)?;
    }
    for rendering in &plan.renderings {
        if plan.folder.as_ref().is_none_or(|folder| folder.exists()) {
            check_target(&rendering.target, &arguments.takes, arguments.overwrite)?;
        }
        check_length(&rendering.target, plan.format, frames)?;
    }
    Ok(())
}

fn render(
    plan: &Plan,
    arguments: &RenderArguments,
    take: &mut Take,
    progress: &ProgressBar,
) -> Result<Report, Failure> {
    let levels = SetLevels::new(plan, take, progress)?;
    let folder = plan.folder.as_deref().map(NewFolder::create).transpose()?;
    let all = write(plan, &levels, take, progress)?;
    let mut report = Report::new(plan, &levels, take);
    for written in all {
        report.wrote(written.writer.clipped(), written.playback.guard_status());
        written.writer.publish(arguments.overwrite)?;
    }
    folder.into_iter().for_each(NewFolder::keep);
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
        let writer = TakeWriter::create(&rendering.target, plan.format, exact)?;
        all.push(Written { playback: plan.playback(rendering)?, gain, writer });
    }
    fn part(written: &mut Written) -> Part<'_> {
        let Written { playback, gain, writer } = written;
        Box::new(|block| writer.write(playback.play(block), *gain))
    }
    passes::run(take, progress, all.iter_mut().map(part).collect())?;
    Ok(all)
}

/// A bar that counts frames, on standard error.
pub fn progress(quiet: bool, frames: u64) -> ProgressBar {
    let target = if quiet { ProgressDrawTarget::hidden() } else { ProgressDrawTarget::stderr_with_hz(10) };
    let style = ProgressStyle::with_template("{msg:12} [{bar:40}] {percent:>3} % {eta}").expect("a constant");
    ProgressBar::with_draw_target(Some(frames), target).with_style(style.progress_chars("=> "))
}

//! `firstjack render`: a take through other loads.

mod folder;
mod level;
mod measure;
mod pipe;
mod plan;
mod report;

use dsp_core::processor::{GuardStatus, Processor, ProcessorError};
use indicatif::{ProgressBar, ProgressDrawTarget, ProgressStyle};

use crate::arguments::RenderArguments;
use crate::error::Failure;
use crate::wav::{TakeReader, TakeWriter, check_length, check_target};
use crate::{interrupt, stdout};
use folder::{NewFolder, check_folder};
use level::Levels;
use plan::{Plan, Rendering};
use report::Report;

/// Runs the command: measures what has to be known first, then writes all renderings under temporary names, then
/// names them.
pub fn run(arguments: &RenderArguments) -> Result<(), Failure> {
    let mut take = TakeReader::open(&arguments.take, arguments.salvage)?;
    let plan = Plan::new(arguments, take.format())?;
    check_targets(&plan, arguments, take.frames())?;
    interrupt::watch();
    let progress = progress(arguments, take.frames());
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
            check_target(&rendering.target, Some(&arguments.take), arguments.overwrite)?;
        }
        check_length(&rendering.target, plan.format, frames)?;
    }
    Ok(())
}

fn render(
    plan: &Plan,
    arguments: &RenderArguments,
    take: &mut TakeReader,
    progress: &ProgressBar,
) -> Result<Report, Failure> {
    let levels = Levels::new(plan, take, progress)?;
    let folder = plan.folder.as_deref().map(NewFolder::create).transpose()?;
    let mut written = Vec::new();
    for (index, rendering) in plan.renderings.iter().enumerate() {
        written.push(write(plan, rendering, levels.gain(index), take, progress)?);
    }
    let mut report = Report::new(plan, &levels, take);
    for (writer, guard) in written {
        report.wrote(writer.clipped(), guard);
        writer.publish(arguments.overwrite)?;
    }
    folder.into_iter().for_each(NewFolder::keep);
    Ok(report)
}

fn write(
    plan: &Plan,
    rendering: &Rendering,
    gain: f64,
    take: &mut TakeReader,
    progress: &ProgressBar,
) -> Result<(TakeWriter, GuardStatus), Failure> {
    let exact = rendering.is_unchanged() && gain == 1.0 && take.format().encoding == plan.format.encoding;
    let mut processor = processor(plan, rendering);
    let mut writer = TakeWriter::create(&rendering.target, plan.format, exact)?;
    pipe::run(take, progress, |block| processor.process(block), |block| writer.write(block, gain))?;
    Ok((writer, processor.guard_status()))
}

/// # Panics
/// Never: the take's rate and channels were checked when it was opened.
fn processor(plan: &Plan, rendering: &Rendering) -> Processor {
    let made: Result<Processor, ProcessorError> =
        Processor::new(f64::from(plan.format.rate_hz), usize::from(plan.format.channels));
    let mut processor = made.expect("the take's format was checked");
    processor.set_guard(plan.guard);
    processor.change(&rendering.shape, 1.0);
    processor
}

fn progress(arguments: &RenderArguments, frames: u64) -> ProgressBar {
    let target =
        if arguments.quiet { ProgressDrawTarget::hidden() } else { ProgressDrawTarget::stderr_with_hz(10) };
    let style = ProgressStyle::with_template("{msg:12} [{bar:40}] {percent:>3} % {eta}").expect("a constant");
    ProgressBar::with_draw_target(Some(frames), target).with_style(style.progress_chars("=> "))
}

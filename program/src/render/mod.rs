//! `firstjack render`: a take through other loads.

mod folder;
mod level;
mod plan;
mod recorded;
mod report;
mod take;
mod undo;

use std::path::Path;

use firstjack_sound::{Making, Sink, Unfit};
use indicatif::{ProgressBar, ProgressDrawTarget, ProgressStyle};
use tempfile::NamedTempFile;

use crate::arguments::{RenderArguments, SampleFormatArgument};
use crate::error::Failure;
use crate::passes::{self, Part, Playback};
use crate::target::{check_target, publish, temporary};
use crate::{interrupt, stdout};
use folder::{NewFolder, check_folder};
use level::SetLevels;
use plan::{Plan, Rendering};
use report::Report;

pub use recorded::{Recorded, Version};
pub use take::Take;

/// Runs the command: measures what has to be known first, then writes all renderings under temporary names, then
/// names them.
pub fn run(arguments: &RenderArguments) -> Result<(), Failure> {
    let mixed = arguments.sample_format != SampleFormatArgument::Same;
    let mut take = Take::open(&arguments.takes, arguments.salvage, mixed)?;
    let plan = Plan::new(arguments, &take)?;
    check_targets(&plan, arguments, &take)?;
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
fn check_targets(plan: &Plan, arguments: &RenderArguments, take: &Take) -> Result<(), Failure> {
    if let Some(folder) = &plan.folder {
        check_folder(folder)?;
    }
    for rendering in &plan.renderings {
        if plan.folder.as_ref().is_none_or(|folder| folder.exists()) {
            check_target(&rendering.target, &arguments.takes, arguments.overwrite)?;
        }
        let fits = rendering.container.check(plan.format, take.frames(), take.metadata());
        fits.map_err(|unfit| does_not_fit(rendering, &unfit))?;
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
    let mut finished = Vec::new();
    for (Written { playback, sink, .. }, Rendering { target, .. }) in all.into_iter().zip(&plan.renderings) {
        report.wrote(sink.clipped(), playback.guard_status());
        finished.push((sink.finish().map_err(|error| Failure::write(target, error))?, target));
    }
    for (file, target) in finished {
        publish(file, target, arguments.overwrite)?;
    }
    folder.into_iter().for_each(NewFolder::keep);
    Ok(report)
}

/// A rendering on its way into its file.
struct Written<'a> {
    playback: Playback,
    gain: f64,
    sink: Sink<NamedTempFile>,
    target: &'a Path,
}

/// Writes all renderings in one pass.
fn write<'a>(
    plan: &'a Plan,
    levels: &SetLevels,
    take: &mut Take,
    progress: &ProgressBar,
) -> Result<Vec<Written<'a>>, Failure> {
    progress.set_message("rendering");
    // The sum of two integers is one again.
    let encoding_stays = take.format().encoding == plan.format.encoding && !take.is_mixed();
    let mut all = Vec::new();
    for (index, rendering) in plan.renderings.iter().enumerate() {
        let gain = levels.set.gain(index);
        let exact = rendering.version.is_unchanged() && gain == 1.0 && encoding_stays;
        let making = Making {
            container: rendering.container,
            format: plan.format,
            frames: take.frames(),
            metadata: take.metadata(),
            exact,
        };
        let target = rendering.target.as_path();
        let sink = Sink::new(temporary(target)?, making).map_err(|error| Failure::write(target, error))?;
        all.push(Written { playback: plan.playback(rendering)?, gain, sink, target });
    }
    fn part<'a>(written: &'a mut Written) -> Part<'a> {
        let Written { playback, gain, sink, target } = written;
        let failed = |error| Failure::write(target, error);
        Box::new(move |block| sink.write(playback.play(block), *gain).map_err(failed))
    }
    passes::run(take, progress, all.iter_mut().map(part).collect())?;
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

/// A bar that counts frames, on standard error.
pub fn progress(quiet: bool, frames: u64) -> ProgressBar {
    let target = if quiet { ProgressDrawTarget::hidden() } else { ProgressDrawTarget::stderr_with_hz(10) };
    let style = ProgressStyle::with_template("{msg:12} [{bar:40}] {percent:>3} % {eta}").expect("a constant");
    ProgressBar::with_draw_target(Some(frames), target).with_style(style.progress_chars("=> "))
}

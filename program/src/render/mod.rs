//! `firstjack render`: a take through other loads.

mod level;
mod plan;
mod recorded;
mod report;
mod take;
mod undo;

use std::path::Path;

use firstjack_sound::{Making, Sink, Unfit};
use indicatif::{ProgressBar, ProgressDrawTarget, ProgressStyle};

use crate::arguments::{RenderArguments, SampleFormatArgument, takes};
use crate::error::Failure;
use crate::output::{Outputs, Part};
use crate::passes::{self, Playback, Work};
use crate::{interrupt, stdout};
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
    interrupt::watch();
    let outputs = outputs(&plan, arguments, &take)?;
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
fn outputs(plan: &Plan, arguments: &RenderArguments, take: &Take) -> Result<Outputs, Failure> {
    for rendering in &plan.renderings {
        let fits = rendering.container.check(plan.format, take.frames(), take.metadata());
        fits.map_err(|unfit| does_not_fit(rendering, &unfit))?;
    }
    let inputs = takes(&arguments.takes).chain(arguments.source.inputs());
    let mut outputs = Outputs::new(arguments.overwrite, inputs);
    if let Some(folder) = &plan.folder {
        outputs.folder(folder)?;
    }
    for rendering in &plan.renderings {
        let bytes = rendering.container.bytes(plan.format, take.frames(), take.metadata());
        outputs.add("-o", &rendering.target, bytes)?;
    }
    outputs.prepare()?;
    Ok(outputs)
}

fn render(plan: &Plan, outputs: Outputs, take: &mut Take, progress: &ProgressBar) -> Result<Report, Failure> {
    let levels = SetLevels::new(plan, take, progress)?;
    let all = write(plan, &outputs, &levels, take, progress)?;
    let mut report = Report::new(plan, &levels, take);
    let mut finished = Vec::new();
    for (Written { playback, sink, .. }, Rendering { target, .. }) in all.into_iter().zip(&plan.renderings) {
        report.wrote(sink.clipped(), playback.guard_status());
        finished.push(sink.finish().map_err(|error| Failure::write(target, error))?);
    }
    for file in finished {
        file.publish()?;
    }
    outputs.keep();
    Ok(report)
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

/// A bar that counts frames, on standard error.
pub fn progress(quiet: bool, frames: u64) -> ProgressBar {
    let target = if quiet { ProgressDrawTarget::hidden() } else { ProgressDrawTarget::stderr_with_hz(10) };
    let style = ProgressStyle::with_template("{msg:12} [{bar:40}] {percent:>3} % {eta}").expect("a constant");
    ProgressBar::with_draw_target(Some(frames), target).with_style(style.progress_chars("=> "))
}

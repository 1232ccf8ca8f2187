//! `firstjack into-amp`: a take on its way back into a real amplifier.

mod level;
mod render;
mod report;
mod sentences;
mod sheet;
mod told;
mod way;

use std::path::Path;

use dsp_core::circuit::Pickups;
use firstjack_words::Words;

use crate::arguments::{IntoAmpArguments, NoteKindArgument, WayArgument};
use crate::error::Failure;
use crate::output::{Expected, Outputs};
use crate::passes::seconds;
use crate::progress::Progress;
use crate::render::{Recorded, Take, recordings};
use crate::source::{NamedChain, Source, Strings};
use crate::{interrupt, output, paper, stdout};
use render::Rendering;
use report::Report;
pub use sheet::Sheet;
pub use told::{Peaks, Situation, Told};
pub use way::Kind;

/// Runs the command: finds out what cannot be done, measures what both ways come to, writes what was asked for.
pub fn run(arguments: &IntoAmpArguments) -> Result<(), Failure> {
    let source = Source::new(&arguments.source).map_err(typed_here)?;
    let setup = only(&source)?;
    let mut take = open(arguments, &source)?;
    let strings = Strings::new(&arguments.strings, source.instrument.as_deref())?;
    let through = arguments.takes.through.as_deref();
    let recorded = Recorded::new(&source, through, strings, &arguments.undo_ceiling, None)?;
    let (output, interface) = level::said(arguments, &source.kit)?;
    let situation = Situation {
        recorded: &recorded,
        setup,
        title: source.title.as_deref(),
        output,
        interface,
        pads: !arguments.no_pad,
        capacitor_percent: arguments.capacitor_tolerance,
    };
    let ways = situation.ways();
    let wanted = match arguments.way {
        WayArgument::File => Kind::File,
        WayArgument::Capacitor => Kind::Capacitor,
    };
    if let (Kind::Capacitor, Err(obstacle)) = (wanted, &ways.capacitor) {
        let why = sentences::obstacle(*obstacle, &Words::ENGLISH);
        return Err(Failure::Usage(format!("--way capacitor: {why} Accepted is --way file")));
    }
    let rendering = Rendering::new(arguments, &mut take, &source.pickups)?;
    interrupt::watch();
    let outputs = outputs(arguments, &take, &rendering)?;
    let kind = arguments.sheet.as_deref().map(|sheet| paper::kind(sheet, None)).transpose()?;
    if !outputs.prepare(arguments.report.json)? {
        return Ok(());
    }
    let progress = Progress::new(arguments.report.quiet);
    let peaks = rendering.measure(&ways, &mut take, &progress)?;
    let told = Told::new(&situation, ways, peaks);
    let mut report = Report::new(&told, wanted, arguments.output.is_some());
    if let Some(target) = &arguments.output {
        let written = rendering.write(&told, wanted, &mut take, &progress, outputs.create(target)?)?;
        report.wrote(target, written);
    }
    drop(progress);
    if let (Some(target), Some(kind)) = (&arguments.sheet, kind) {
        let sheet = Sheet::new(&told, wanted, arguments.output.as_deref(), &Words::new(arguments.language));
        output::write(&outputs, target, &bytes(&sheet, kind, target)?)?;
        report.wrote_sheet(target);
    }
    if arguments.report.quiet {
        return Ok(());
    }
    let remarks = source.remark_lines(&recorded.strings, &Words::ENGLISH);
    let text = if arguments.report.json { report.json() } else { report.to_string() + &remarks };
    let streamed =
        [&arguments.output, &arguments.sheet].into_iter().flatten().find(|path| output::is_standard(path));
    stdout::report(&text, streamed.map_or(Path::new(""), |path| path.as_path()))
}

/// What is a load elsewhere is typed as `--into` here.
fn typed_here(failure: Failure) -> Failure {
    let into = |text: String| text.replace("--load", "--into");
    match failure {
        Failure::Usage(text) => Failure::Usage(into(text)),
        Failure::Lossless { place, error } => Failure::Lossless { place: into(place), error },
        other => other,
    }
}

/// The setup that is played into.
fn only(source: &Source) -> Result<&NamedChain, Failure> {
    let setup = match source.setups.as_slice() {
        [setup] => setup,
        setups => {
            let names: Vec<&str> = setups.iter().map(|setup| &*setup.name).collect();
            return Err(Failure::Usage(format!(
                "a take is played into one amplifier, {} were given: accepted is one --into, or with a file of setups one --setup of {}",
                setups.len(),
                names.join(", ")
            )));
        }
    };
    if setup.chain.is_empty() {
        return Err(Failure::Usage(
            "--into: there is no amplifier in it: accepted is its input with whatever stands in parallel, such as '1M || 6 m'"
                .to_owned(),
        ));
    }
    Ok(setup)
}

fn open(arguments: &IntoAmpArguments, source: &Source) -> Result<Take, Failure> {
    let take = match recordings(&arguments.takes, &source.pickups)?.as_slice() {
        [files] => Take::open(files, arguments.takes.allow_damaged, true)?,
        several => {
            return Err(Failure::Usage(format!(
                "one take is played at a time, {} were given: accepted is one, or --blend with the two tracks of a blend",
                several.len()
            )));
        }
    };
    take.check_pickups(&source.pickups, matches!(source.pickups, Pickups::Blend(_)))?;
    Ok(take)
}

/// Finds out what cannot be written before a long take is worked on.
fn outputs(arguments: &IntoAmpArguments, take: &Take, rendering: &Rendering) -> Result<Outputs, Failure> {
    let inputs = arguments.takes.inputs().chain(arguments.source.inputs());
    let mut outputs = Outputs::new(&arguments.write, inputs);
    if let Some(target) = &arguments.output {
        let seconds = Some(seconds(rendering.frames, take.format().rate_hz.into()));
        outputs.add("-o", target, Expected { bytes: Some(rendering.bytes()), seconds })?;
    }
    if let Some(sheet) = &arguments.sheet {
        outputs.add("--sheet", sheet, Expected::default())?;
    }
    Ok(outputs)
}

/// A sheet as a file of a kind.
///
/// # Errors
/// If it cannot be put into a PDF.
pub fn bytes(sheet: &Sheet, kind: NoteKindArgument, target: &Path) -> Result<Vec<u8>, Failure> {
    match kind {
        NoteKindArgument::Pdf => {
            sheet.pdf().map_err(|error| Failure::Usage(format!("{}: {error}", target.display())))
        }
        NoteKindArgument::Html => Ok(sheet.document().into_bytes()),
    }
}

//! `firstjack pack`: a take and its setups as one page that a band can open, vote on and take to the venue.

mod compose;
mod figures;
mod identity;
mod page;
mod pairs;
mod plan;
mod report;
mod rescue;
mod size;
mod sound;
#[cfg(test)]
mod tests;

use std::path::Path;

use firstjack_words::Words;

use crate::arguments::{AudioArgument, PackArguments};
use crate::error::Failure;
use crate::note::Note;
use crate::output::{Expected, Outputs, Part};
use crate::passes::{Excerpt, Levels};
use crate::progress::Progress;
use crate::reamp::{Sheet, bytes};
use crate::render::{Take, recordings};
use crate::source::{Source, Strings};
use crate::{interrupt, paper, stdout};
use compose::{Composed, Composer};
use plan::Plan;
use report::Report;
use size::Budget;
use sound::{Codec, Encoded, Recipe, Spool, Spooled, Stage, measure};

/// Runs the command.
pub fn run(arguments: &PackArguments) -> Result<(), Failure> {
    if arguments.audio == AudioArgument::Flac && arguments.kbps.is_some() {
        return Err(Failure::Usage("--kbps: FLAC has no rate: accepted is --audio opus or auto".to_owned()));
    }
    let words = Words::new(arguments.language);
    let source = Source::new(&arguments.source)?;
    let mut take = open(arguments, &source)?;
    let excerpt = Excerpt::cut(&mut take, &arguments.part)?;
    interrupt::watch();
    let outputs = outputs(arguments, excerpt.seconds(take.format().rate_hz))?;
    let strings = Strings::new(&arguments.strings, source.instrument.as_deref())?;
    let remarks = source.remark_lines(&strings, &Words::ENGLISH);
    let plan = Plan::new(arguments, source, &take, &words)?;
    if !outputs.prepare(arguments.report.json)? {
        return Ok(());
    }
    let progress = Progress::new(arguments.report.quiet);
    let stage = Stage { take, excerpt, sum: plan.sum(), progress: &progress };
    let report = pack(arguments, &plan, stage, &outputs, &words);
    drop(progress);
    let report = report?;
    if arguments.report.quiet {
        return Ok(());
    }
    let text = if arguments.report.json { report.json() } else { report.to_string() };
    stdout::tell_aside(&remarks)?;
    stdout::report(&text, &arguments.output)
}

fn open(arguments: &PackArguments, source: &Source) -> Result<Take, Failure> {
    match recordings(&arguments.takes, &source.pickups)?.as_slice() {
        [files] => Take::open(files, arguments.takes.allow_damaged, true),
        several => Err(Failure::Usage(format!(
            "a page is of one take, {} were given: accepted is one, or --blend with the two tracks of a blend",
            several.len()
        ))),
    }
}

/// Finds out what cannot be written before a long take is worked on.
fn outputs(arguments: &PackArguments, seconds: f64) -> Result<Outputs, Failure> {
    let inputs = arguments.takes.inputs().chain(arguments.source.inputs());
    let mut outputs = Outputs::new(&arguments.write, inputs);
    outputs.add("-o", &arguments.output, Expected { bytes: None, seconds: Some(seconds) })?;
    if let Some(note) = &arguments.note {
        outputs.add("--note", note, Expected::default())?;
    }
    if let Some((_, sheet)) = reamp(arguments) {
        paper::kind(sheet, None)?;
        outputs.add("--reamp", sheet, Expected::default())?;
    }
    Ok(outputs)
}

/// Measures all sounds, encodes them, writes the page under a temporary name, then names it.
fn pack(
    arguments: &PackArguments,
    plan: &Plan,
    mut stage: Stage,
    outputs: &Outputs,
    words: &Words,
) -> Result<Report, Failure> {
    let note = arguments.note.as_deref().map(|target| write_note(&plan.note(words), outputs.create(target)?));
    let note = note.transpose()?;
    let sheet = reamp(arguments)
        .map(|(name, target)| write_sheet(&plan.reamp(name, words)?, outputs.create(target)?));
    let sheet = sheet.transpose()?;
    let recipes: Vec<&Recipe> = plan.sounds.iter().map(|sound| &sound.recipe).collect();
    stage.progress.expect(2 * stage.take.frames());
    let levels = measure(&mut stage, &recipes)?;
    let budget = Budget::new(stage.seconds(), recipes.len());
    stage.progress.say("encoding");
    stage.progress.expect(stage.take.frames());
    let (codec, Spooled { sounds: encoded, waveform }) =
        encode(arguments, &budget, &mut stage, &recipes, &levels)?;
    let composer = Composer {
        plan,
        stage: &stage,
        levels: &levels,
        encoded: &encoded,
        waveform: &waveform,
        codec,
        words,
    };
    let composed = composer
        .compose(arguments.blind, arguments.order)
        .map_err(|error| Failure::write(&arguments.output, error))?;
    let page = write_page(&composed, words, &encoded, outputs.create(&arguments.output)?)?;
    let report = Report::new(&composer, &composed, arguments, page.bytes()?, &budget);
    note.into_iter().chain(sheet).chain([page]).try_for_each(Part::publish)?;
    Ok(report)
}

/// Encodes all sounds as was asked, or without loss if that fits and else with as little as fits.
fn encode(
    arguments: &PackArguments,
    budget: &Budget,
    stage: &mut Stage,
    recipes: &[&Recipe],
    levels: &Levels,
) -> Result<(Codec, Spooled), Failure> {
    let target = &arguments.output;
    let asked = match (arguments.audio, arguments.kbps) {
        (AudioArgument::Flac, _) => Some(Codec::Flac),
        (_, Some(kbps)) => Some(Codec::Opus(1000 * kbps)),
        (AudioArgument::Opus, None) => Some(budget.opus()),
        (AudioArgument::Auto, None) => None,
    };
    let spool = Spool { target, codec: Codec::Flac };
    if asked.is_none()
        && budget.may_hold_flac(spool.samples_per_second(stage))
        && let Some(encoded) = spool.encode_all(stage, recipes, levels, Budget::holds)?
    {
        return Ok((Codec::Flac, encoded));
    }
    stage.progress.expect(stage.take.frames());
    let codec = asked.unwrap_or_else(|| budget.opus());
    let encoded = Spool { target, codec }.encode_all(stage, recipes, levels, |_| true)?;
    Ok((codec, encoded.expect("any number of bytes will do")))
}

fn write_page(
    composed: &Composed,
    words: &Words,
    encoded: &[Encoded],
    mut part: Part,
) -> Result<Part, Failure> {
    let written = composed.markup.write(words, &composed.keys.shuffled, encoded, &mut part);
    written.map_err(|error| Failure::write(part.target(), error))?;
    Ok(part)
}

/// The setup and the file of `--reamp`.
fn reamp(arguments: &PackArguments) -> Option<(&str, &Path)> {
    match arguments.reamp.as_deref() {
        Some([name, file]) => Some((name, Path::new(file))),
        _ => None,
    }
}

fn write_sheet(sheet: &Sheet, mut part: Part) -> Result<Part, Failure> {
    let bytes = bytes(sheet, paper::kind(part.target(), None)?, part.target())?;
    part.fill(&bytes)?;
    Ok(part)
}

fn write_note(note: &Note, mut part: Part) -> Result<Part, Failure> {
    let refuse = |error| Failure::Usage(format!("{}: {error}", part.target().display()));
    let bytes = note.pdf().map_err(refuse)?;
    part.fill(&bytes)?;
    Ok(part)
}

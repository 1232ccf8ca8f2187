use std::path::{Path, PathBuf};

use firstjack_sound::{Container, Encoding, Format, Metadata};

use super::recorded::{Recorded, Version};
use super::take::Take;
use super::undo::{UndoPlan, check_floor, is_auto};
use crate::arguments::{RenderArguments, SampleFormatArgument};
use crate::error::Failure;
use crate::output::{is_standard, numbered};
use crate::passes::{Excerpt, Playback};
use crate::source::{NamedChain, Source, Strings};

/// In dB.
const DEFAULT_CEILING: &str = "24";

/// All that is to be rendered.
pub struct Plan {
    pub recorded: Recorded,
    pub renderings: Vec<Rendering>,
    /// Where the renderings go if there are several.
    pub folder: Option<PathBuf>,
    pub level_match: bool,
    pub guard: bool,
    /// Whether the pickups of a blend become one channel.
    pub sum: bool,
    pub take_format: Format,
    /// Of the renderings.
    pub format: Format,
    /// The part of the take that is rendered, if not all of it.
    pub part: Option<Excerpt>,
    /// Of each rendering.
    pub frames: u64,
    /// How far an undo goes.
    pub undo: UndoPlan,
    /// What a session knows that part by.
    pub metadata: Metadata,
}

/// One file to be written.
pub struct Rendering {
    pub version: Version,
    pub target: PathBuf,
    pub container: Container,
}

impl Plan {
    /// Of one take, of several or the only one.
    pub fn new(
        arguments: &RenderArguments,
        source: &Source,
        take: &mut Take,
        several: bool,
    ) -> Result<Self, Failure> {
        take.check_pickups(&source.pickups, arguments.sum)?;
        let strings = Strings::new(&arguments.strings, source.instrument.as_deref())?;
        // Until the take has been heard, auto is the default.
        let ceiling = if is_auto(&arguments.undo) { DEFAULT_CEILING } else { &arguments.undo.undo_ceiling };
        let lowest_hz = strings.lowest_hz();
        let mut recorded =
            Recorded::new(source, arguments.takes.through.as_deref(), strings, ceiling, arguments.at)?;
        if arguments.at.is_some() && !recorded.has_tolerances(&source.setups) {
            return Err(Failure::Usage(
                "--at: no value carries a tolerance, so there is only the middle: give one, as in --pickup '680p ±30 %'"
                    .to_owned(),
            ));
        }
        let part = Excerpt::exact(take, &arguments.part)?;
        let frames = part.map_or(take.frames(), |part| part.frames);
        let mut undo = UndoPlan::new(&arguments.undo, take, lowest_hz)?;
        undo.full_scale = undo.full_scale.or_else(|| recorded.full_scale(&source.kit));
        recorded.floor = undo.floor;
        let mut metadata = take.metadata().clone();
        if part.is_some() {
            // What comes before the part is read all the same.
            metadata.cut(take.frames() - frames, frames);
        }
        let encoding = encoding(arguments.sample_format, take.format().encoding);
        let channels = if arguments.sum { 1 } else { take.format().channels };
        let mut plan = Self {
            recorded,
            renderings: Vec::new(),
            folder: folder(arguments, several)?,
            level_match: !arguments.no_match,
            guard: !arguments.no_guard,
            sum: arguments.sum,
            take_format: take.format(),
            format: Format { encoding, channels, ..take.format() },
            part,
            frames,
            undo,
            metadata,
        };
        plan.renderings = match &plan.folder {
            None => {
                let version = plan.recorded.version(&source.setups[0]);
                let container = container(&arguments.output)?;
                vec![Rendering { version, target: arguments.output.clone(), container }]
            }
            Some(folder) => {
                plan.set_for_folder(folder, take.path(), arguments.source.is_set(), &source.setups)
            }
        };
        plan.check_undo()?;
        Ok(plan)
    }

    /// Refuses what would come to nothing.
    fn check_undo(&self) -> Result<(), Failure> {
        check_floor(self.undo.floor, self.renderings.iter().map(|rendering| &rendering.version))?;
        let coil =
            (0..self.recorded.pickups.count()).any(|index| self.recorded.pickups.pickup(index).is_magnetic());
        if self.undo.is_auto && coil {
            return Err(Failure::Usage(
                "--undo-ceiling auto: it weighs what a load took at the bottom, and a coil's loss is at the top: accepted is a ceiling in dB, or off"
                    .to_owned(),
            ));
        }
        Ok(())
    }

    /// What makes a rendering of blocks of the take.
    ///
    /// # Errors
    /// If it cannot be played.
    pub fn playback(&self, rendering: &Rendering) -> Result<Playback, Failure> {
        let shapes = &rendering.version.shapes;
        let played = Playback::new(self.take_format, shapes, self.guard, self.sum, self.format.channels)?;
        Ok(self.cut(played))
    }

    /// What plays the take as it is.
    pub fn take(&self) -> Playback {
        self.cut(Playback::take(self.sum, self.format.channels))
    }

    fn cut(&self, played: Playback) -> Playback {
        played.with(None, self.part.map(Excerpt::edges))
    }

    /// Whether a rendering is the take, channel for channel.
    pub fn is_take(&self, rendering: &Rendering) -> bool {
        rendering.version.is_unchanged() && !self.sum
    }

    /// Every setup, numbered in order; of a set the take as it is before them, for comparison.
    fn set_for_folder(&self, folder: &Path, take: &Path, set: bool, setups: &[NamedChain]) -> Vec<Rendering> {
        let stem = take.file_stem().unwrap_or_default().to_string_lossy();
        let recorded = set.then(|| self.recorded.unchanged()).into_iter();
        let versions = recorded.chain(setups.iter().map(|setup| self.recorded.version(setup)));
        let rendering = |(number, version): (usize, Version)| {
            let target = folder.join(numbered(&stem, number, setups.len() + 1, version.name.given(), "wav"));
            Rendering { version, target, container: Container::Wav }
        };
        (usize::from(!set)..).zip(versions).map(rendering).collect()
    }
}

/// By the ending of its name. What stands there and is no file is told later, by what it is.
fn container(output: &Path) -> Result<Container, Failure> {
    if output.symlink_metadata().is_ok_and(|there| !there.is_file()) {
        return Ok(Container::Wav);
    }
    Container::of(output).map_err(|unfit| Failure::Usage(unfit.to_string()))
}

/// The folder that `-o` names, where it has to be one or is one.
fn folder(arguments: &RenderArguments, several: bool) -> Result<Option<PathBuf>, Failure> {
    let output = &arguments.output;
    let asked = || output.is_dir() || output.to_string_lossy().ends_with(std::path::is_separator);
    let picked = arguments.source.heard.setup.len() == 1 && asked();
    if !several && !arguments.source.is_set() && !picked {
        return Ok(None);
    }
    if is_standard(output) {
        let accepted = "accepted is a folder, or one take through one load or --setup";
        return Err(Failure::Usage(format!("-o -: standard output takes one rendering; {accepted}")));
    }
    Ok(Some(output.clone()))
}

/// Of what is written.
pub fn encoding(wanted: SampleFormatArgument, take: Encoding) -> Encoding {
    match wanted {
        SampleFormatArgument::Same => take,
        SampleFormatArgument::Int16 => Encoding::Int16,
        SampleFormatArgument::Int24 => Encoding::Int24,
        SampleFormatArgument::Int32 => Encoding::Int32,
        SampleFormatArgument::Float => Encoding::Float32,
    }
}

use std::path::{Path, PathBuf};

use firstjack_sound::{Container, Encoding, Format};

use super::recorded::{Recorded, Version};
use super::take::Take;
use crate::arguments::{RenderArguments, SampleFormatArgument};
use crate::error::Failure;
use crate::output::numbered;
use crate::passes;
use crate::source::{NamedChain, Source, Strings};

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
}

/// One file to be written.
pub struct Rendering {
    pub version: Version,
    pub target: PathBuf,
    pub container: Container,
}

impl Plan {
    pub fn new(arguments: &RenderArguments, take: &Take) -> Result<Self, Failure> {
        let source = Source::new(&arguments.source, &arguments.load)?;
        take.check_pickups(&source.pickups, arguments.sum)?;
        let strings = Strings::new(&arguments.strings, source.instrument.as_deref())?;
        let recorded = Recorded::new(
            &source,
            arguments.through.as_deref(),
            strings,
            &arguments.undo_ceiling,
            arguments.at,
        )?;
        if arguments.at.is_some() && !recorded.has_tolerances(&source.setups) {
            return Err(Failure::Usage(
                "--at: no value carries a tolerance, so there is only the middle: give one, as in --pickup '680p ±30 %'"
                    .to_owned(),
            ));
        }
        let encoding = encoding(arguments.sample_format, take.format().encoding);
        let channels = if arguments.sum { 1 } else { take.format().channels };
        let mut plan = Self {
            recorded,
            renderings: Vec::new(),
            folder: arguments.source.setups.is_some().then(|| arguments.output.clone()),
            level_match: !arguments.no_match,
            guard: !arguments.no_guard,
            sum: arguments.sum,
            take_format: take.format(),
            format: Format { encoding, channels, ..take.format() },
        };
        plan.renderings = match &plan.folder {
            None => {
                let version = plan.recorded.version(&source.setups[0]);
                let container = container(&arguments.output)?;
                vec![Rendering { version, target: arguments.output.clone(), container }]
            }
            Some(folder) => plan.set_for_folder(folder, &arguments.takes[0], &source.setups),
        };
        Ok(plan)
    }

    /// What makes a rendering of blocks of the take.
    ///
    /// # Errors
    /// If it cannot be played.
    pub fn playback(&self, rendering: &Rendering) -> Result<passes::Playback, Failure> {
        let shapes = &rendering.version.shapes;
        passes::Playback::new(self.take_format, shapes, self.guard, self.sum, self.format.channels)
    }

    /// Whether a rendering is the take, channel for channel.
    pub fn is_take(&self, rendering: &Rendering) -> bool {
        rendering.version.is_unchanged() && !self.sum
    }

    /// The take as it is, for comparison, and every setup, numbered in order.
    fn set_for_folder(&self, folder: &Path, take: &Path, setups: &[NamedChain]) -> Vec<Rendering> {
        let stem = take.file_stem().unwrap_or_default().to_string_lossy();
        let others = setups.iter().map(|setup| self.recorded.version(setup));
        let rendering = |(number, version): (usize, Version)| {
            let target = folder.join(numbered(&stem, number, setups.len() + 1, &version.name, "wav"));
            Rendering { version, target, container: Container::Wav }
        };
        std::iter::once(self.recorded.unchanged()).chain(others).enumerate().map(rendering).collect()
    }
}

/// By the ending of its name. What stands there and is no file is told later, by what it is.
fn container(output: &Path) -> Result<Container, Failure> {
    if output.symlink_metadata().is_ok_and(|there| !there.is_file()) {
        return Ok(Container::Wav);
    }
    Container::of(output).map_err(|unfit| Failure::Usage(unfit.to_string()))
}

fn encoding(wanted: SampleFormatArgument, take: Encoding) -> Encoding {
    match wanted {
        SampleFormatArgument::Same => take,
        SampleFormatArgument::Int16 => Encoding::Int16,
        SampleFormatArgument::Int24 => Encoding::Int24,
        SampleFormatArgument::Int32 => Encoding::Int32,
        SampleFormatArgument::Float => Encoding::Float32,
    }
}

use std::path::{Path, PathBuf};

use dsp_core::circuit::{Chain, Pickups, Positions};
use dsp_core::response::{Ceiling, Change, Response, Shape};

use super::take::Take;
use crate::arguments::{RenderArguments, SampleFormatArgument, number_of};
use crate::error::Failure;
use crate::source::{NamedChain, Source, Strings, value};
use crate::wav::{Encoding, Format};

/// All that is to be rendered.
pub struct Plan {
    pub pickups: Pickups,
    /// What the take was recorded through: of a blend each pickup by itself.
    pub through: Response,
    pub renderings: Vec<Rendering>,
    /// Where the renderings go if there are several.
    pub folder: Option<PathBuf>,
    pub strings: Strings,
    pub ceiling: Ceiling,
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
    pub name: String,
    pub place: String,
    pub to: Response,
    /// What is applied to each pickup's track; of a single pickup to all channels.
    pub shapes: Vec<Shape>,
    pub target: PathBuf,
}

impl Rendering {
    /// Whether nothing is done to the take's tracks.
    pub fn is_unchanged(&self) -> bool {
        let unchanged = |shape: &Shape| shape.is_flat() && shape.gain == 1.0;
        self.shapes.iter().all(unchanged)
    }

    /// Of what is applied, what boosts most.
    pub fn most_boosted(&self) -> &Shape {
        let most = self.shapes.iter().max_by(|a, b| a.boost_db().total_cmp(&b.boost_db()));
        most.unwrap_or(&Shape::UNCHANGED)
    }

    /// The most boost of any track, in dB.
    pub fn boost_db(&self) -> f64 {
        self.most_boosted().boost_db()
    }
}

impl Plan {
    pub fn new(arguments: &RenderArguments, take: &Take) -> Result<Self, Failure> {
        let source = Source::new(&arguments.source, &arguments.load)?;
        take.check_pickups(&source.pickups, arguments.sum)?;
        let strings = Strings::new(&arguments.strings, source.instrument.as_deref())?;
        let (through, positions) = match &arguments.through {
            Some(text) => (Chain::from(&value("--through", text)?), Positions::default()),
            None => source.recorded.unwrap_or_default(),
        };
        let encoding = encoding(arguments.sample_format, take.format().encoding);
        let channels = if arguments.sum { 1 } else { take.format().channels };
        let mut plan = Self {
            pickups: source.pickups,
            through: Response::recorded(&source.pickups.with_positions(positions), &through),
            renderings: Vec::new(),
            folder: arguments.source.setups.is_some().then(|| arguments.output.clone()),
            strings,
            ceiling: ceiling(&arguments.undo_ceiling)?,
            level_match: !arguments.no_match,
            guard: !arguments.no_guard,
            sum: arguments.sum,
            take_format: take.format(),
            format: Format { encoding, channels, ..take.format() },
        };
        plan.renderings = match &plan.folder {
            None => {
                let setup = &source.setups[0];
                vec![plan.rendering(setup, arguments.output.clone())]
            }
            Some(folder) => plan.set_for_folder(folder, &arguments.takes[0], &source.setups),
        };
        Ok(plan)
    }

    fn rendering(&self, setup: &NamedChain, target: PathBuf) -> Rendering {
        let pickups = self.pickups.with_positions(setup.positions);
        let to = Response::new(&pickups, &setup.chain);
        let change = |(from, to)| Change::new(from, to).shape(self.ceiling);
        Rendering {
            name: setup.name.clone(),
            place: setup.place.clone(),
            shapes: self.through.parts().iter().zip(to.parts()).map(change).collect(),
            to,
            target,
        }
    }

    /// The take as it is, for comparison, and every setup, numbered in order.
    fn set_for_folder(&self, folder: &Path, take: &Path, setups: &[NamedChain]) -> Vec<Rendering> {
        let stem = take.file_stem().unwrap_or_default().to_string_lossy();
        let target =
            |number: usize, name: &str| folder.join(format!("{stem}-{number}-{}.wav", file_name(name)));
        let name = "as recorded".to_owned();
        let recorded = Rendering {
            target: target(0, &name),
            place: name.clone(),
            name,
            to: self.through.clone(),
            shapes: vec![Shape::UNCHANGED; self.pickups.count()],
        };
        let others =
            setups.iter().enumerate().map(|(i, setup)| self.rendering(setup, target(i + 1, &setup.name)));
        std::iter::once(recorded).chain(others).collect()
    }

    /// Whether a rendering takes away all load.
    pub fn undoes(&self, rendering: &Rendering) -> bool {
        rendering.to.is_unloaded() && !self.through.is_unloaded()
    }
}

/// A name as part of a file's: letters and digits, hyphens between.
fn file_name(name: &str) -> String {
    let words: Vec<&str> =
        name.split(|c: char| !c.is_alphanumeric()).filter(|word| !word.is_empty()).collect();
    words.join("-")
}

fn ceiling(text: &str) -> Result<Ceiling, Failure> {
    let text = text.trim();
    if text.eq_ignore_ascii_case("off") {
        return Ok(Ceiling::Off);
    }
    match number_of(text, "dB") {
        Some(db) if db > 0.0 && db <= 120.0 => Ok(Ceiling::Db(db)),
        _ => Err(Failure::Usage(format!(
            "--undo-ceiling: cannot read '{text}': accepted are more than 0 and at most 120 dB, or off"
        ))),
    }
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

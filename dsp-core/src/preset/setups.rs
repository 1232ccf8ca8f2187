use super::check::{Checked, SETUPS, VERSION};
use super::read::{read_chain, read_pickups, read_venues};
use super::text::{OrText, PresetText, RecordedText};
use super::write::write;
use super::{PresetError, PresetProblem, Venue};
use crate::circuit::{Chain, Pickups, Positions};

/// The earliest version that is written.
const WRITTEN: i64 = 2;

/// A file of setups: what pickup, how the take was recorded, and what to hear it through.
///
/// ```
/// let preset = dsp_core::preset::Preset::from_toml(
///     r#"
///     version = 2
///     name = "Rehearsal"
///     pickup = { capacitance = "680 pF" }
///     recorded = { load = "22M" }
///
///     [[setup]]
///     name = "tuner's thru into the amplifier"
///     chain = [
///         { box = "tuner", input = "1M", thru = "before" },
///         { cable = "6 m" },
///         { box = "amplifier", input = "470k" },
///     ]
///     "#,
/// )?;
/// assert_eq!(preset.setups[0].chain.loading().count(), 3);
/// # Ok::<(), dsp_core::preset::PresetError>(())
/// ```
#[derive(Debug, Clone, PartialEq)]
pub struct Preset {
    /// What the file is called on screen.
    pub name: String,
    /// An instrument's id, for its strings.
    pub instrument: Option<String>,
    /// The pickup, or two that share a jack.
    pub pickups: Pickups,
    /// What the take was recorded through; empty for an unloaded take, and where nothing is said of it.
    pub recorded: Chain,
    /// Whether something is said of it. Without that no sound can be made of a take, but all can be told and drawn.
    pub says_recorded: bool,
    /// Where the instrument's controls stood when it was recorded, if not where the pickup's description has them.
    pub recorded_at: Positions,
    /// The venues of which the crew has to know something.
    pub venues: Vec<Venue>,
    /// What to hear it through, at least one.
    pub setups: Vec<Setup>,
}

/// A named chain to be heard.
#[derive(Debug, Clone, PartialEq)]
pub struct Setup {
    /// Its name, unique in the file.
    pub name: String,
    /// The venue that offers it, which may be one of the file's venues; `None` if every one does.
    pub venue: Option<String>,
    /// Its chain.
    pub chain: Chain,
    /// Where the instrument's controls stand, if not where the pickup's description has them.
    pub positions: Positions,
}

impl Preset {
    /// Reads a file of version 1 to 5.
    ///
    /// # Errors
    /// If it is not TOML, has unknown or missing fields or values that cannot be read, comes from a later version, or
    /// describes a chain or a circuit that cannot be.
    pub fn from_toml(text: &str) -> Result<Self, PresetError> {
        let checked = Checked::new(text, &SETUPS)?;
        checked.result()?;
        let file: PresetText = toml::from_str(text)
            .map_err(|error| checked.locate(PresetProblem::Text(error.message().to_owned())))?;
        Self::of(file).map_err(|problem| checked.locate(problem))
    }

    fn of(file: PresetText) -> Result<Self, PresetProblem> {
        let pickups = read_pickups(&file)?;
        let venues = read_venues(file.venues.unwrap_or_default())?;
        let mut setups: Vec<Setup> = Vec::new();
        for setup in file.setups.unwrap_or_default() {
            if setups.iter().any(|other| other.name == setup.name) {
                return Err(PresetProblem::SameName(setup.name));
            }
            if setup.venue.as_ref().is_some_and(|venue| venue.trim().is_empty()) {
                return Err(PresetProblem::NoVenue(setup.name));
            }
            let chain = read_chain(setup.load, setup.chain, &format!("setup '{}'", setup.name))?;
            let positions = Positions { volume: setup.volume, tone: setup.tone };
            setups.push(Setup { name: setup.name, venue: setup.venue, chain, positions });
        }
        if setups.is_empty() {
            return Err(PresetProblem::NoSetups);
        }
        let says_recorded = file.recorded.is_some();
        let (recorded, recorded_at) = file.recorded.map(read_recorded).transpose()?.unwrap_or_default();
        let (name, instrument) = (file.name, file.instrument);
        let preset = Self { name, instrument, pickups, recorded, says_recorded, recorded_at, venues, setups };
        preset.check()?;
        Ok(preset)
    }

    /// Whether all of its circuits can be, what was recorded first: each pickup by itself.
    ///
    /// # Errors
    /// If one resonates without loss ([`Pickups::check_losses`]).
    pub fn check_losses(&self) -> Result<(), PresetError> {
        self.check().map_err(|problem| PresetError { line: None, problem })
    }

    fn check(&self) -> Result<(), PresetProblem> {
        let checked = |pickups: &Pickups, chain: &Chain, place: &dyn Fn() -> String| {
            pickups.check_losses(chain).map_err(|error| PresetProblem::Lossless { place: place(), error })
        };
        let recorded = self.pickups.with_positions(self.recorded_at);
        for index in 0..recorded.count() {
            checked(&Pickups::One(*recorded.pickup(index)), &self.recorded, &|| "recorded".to_owned())?;
        }
        self.setups.iter().try_for_each(|Setup { name, chain, positions, .. }| {
            checked(&self.pickups.with_positions(*positions), chain, &|| format!("setup '{name}'"))
        })
    }

    /// Writes a file of the earliest version from 2 on that can say it, so that older programs read it too; it reads back as the same
    /// preset.
    ///
    /// Parts without a name beside boxes, and boxes that do not say where the thru is that something is plugged into, cannot be
    /// said in a file: they become links that make the same circuit. What a file may not have is written too, and refused by
    /// [`Preset::from_toml`]: no setup, or two of one name.
    pub fn to_toml(&self) -> String {
        // What a version lacks is known of the file's fields, so they are looked at in the file.
        let needed =
            Checked::new(&write(self, VERSION), &SETUPS).map_or(VERSION, |file| file.version_needed());
        write(self, needed.max(WRITTEN))
    }
}

fn read_recorded(recorded: OrText<RecordedText>) -> Result<(Chain, Positions), PresetProblem> {
    match recorded {
        OrText::Text(load) => Ok((Chain::from(&load), Positions::default())),
        OrText::Table(RecordedText { volume, tone, load, chain }) => {
            Ok((read_chain(load, chain, "recorded")?, Positions { volume, tone }))
        }
    }
}

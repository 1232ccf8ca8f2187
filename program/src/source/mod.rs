//! From arguments to circuits: what was typed, or read from a file of setups, as pickup, chains and strings.

mod kit;
mod pickup;
mod remark;
mod strings;
mod typed;

use std::path::Path;

use dsp_core::circuit::{Chain, Pickups, Positions};
use dsp_core::preset::{Crew, Preset, Setup, Venue, nearest};
use dsp_core::units::UnitError;
use firstjack_kit::named;
use firstjack_words::{Words, visible};

use crate::arguments::SourceArguments;
use crate::error::Failure;
use crate::name::Name;
pub use kit::OwnKit;
use remark::Remark;
pub use strings::Strings;
use strings::find;
pub use typed::load;

/// What a command works on.
pub struct Source {
    pub pickups: Pickups,
    /// What the take was recorded through, if a file says so.
    pub recorded: Option<(Chain, Positions)>,
    pub setups: Vec<NamedChain>,
    /// The venues of which the crew has to know something, if a file has any.
    pub venues: Vec<Venue>,
    /// The venue that the setups are those of, as the file spells it.
    pub venue: Option<Name>,
    /// What the file of setups is called on screen.
    pub title: Option<String>,
    /// From the file of setups.
    pub instrument: Option<String>,
    /// What was assumed of the pickup without being said.
    remarks: Vec<Remark>,
    /// Where names are looked up.
    pub kit: OwnKit,
}

/// A chain, what to call it, and how a sentence points at it.
pub struct NamedChain {
    pub name: Name,
    /// "through the tuner", "into 470 kΩ".
    pub place: String,
    /// The venue that offers it; `None` if every one does.
    pub venue: Option<Name>,
    pub chain: Chain,
    pub positions: Positions,
}

/// Reads one value of an option.
pub fn value<T: std::str::FromStr<Err = UnitError>>(option: &'static str, text: &str) -> Result<T, Failure> {
    text.parse().map_err(|error| Failure::Value { option, error })
}

impl Source {
    pub fn new(arguments: &SourceArguments) -> Result<Self, Failure> {
        let mut remarks = Vec::new();
        let kit = OwnKit::new(&arguments.kit)?;
        let pickup = pickup::typed(&arguments.pickup, &kit, &mut remarks)?;
        if let Some(path) = &arguments.setups {
            let mut source = Self::from_preset(read_preset(path, &kit)?);
            source.kit = kit;
            if let Some(pickup) = pickup {
                source.pickups = pickup.into();
                source.check_losses()?;
                source.remarks.retain(|remark| !matches!(remark, Remark::NoControls));
                source.remarks.extend(remarks);
            }
            if let Some(venue) = &arguments.heard.venue {
                source.keep_venue(venue)?;
            }
            source.keep_setups(&arguments.heard.setup)?;
            return Ok(source);
        }
        let pickup = pickup.ok_or_else(|| Failure::Usage("give --pickup, --coil or --setups".to_owned()))?;
        let pickups = pickup.into();
        let (setups, parallel) = typed::setups(&arguments.heard, &pickups, &kit)?;
        remarks.extend(parallel);
        let (venues, venue, title, instrument) = (Vec::new(), None, None, None);
        Ok(Self { pickups, recorded: None, setups, venues, venue, title, instrument, remarks, kit })
    }

    /// What was assumed without being said, and what is asked back, a sentence each: to be told once, behind the verdicts.
    pub fn remarks(&self, strings: &Strings, words: &Words) -> Vec<String> {
        // Whoever wrote a file may have known.
        let typed = self.title.is_none().then_some(&self.setups);
        let used = self.kit.used();
        let passive =
            typed.into_iter().flatten().filter_map(|setup| Remark::passive(&self.pickups, setup, &used));
        let asked: Vec<Remark> = passive.chain(Remark::long_cable(&self.setups)).collect();
        let used: Vec<Remark> = used.into_iter().map(|entry| Remark::Own(Box::new(entry))).collect();
        let remarks = used.iter().chain(&self.remarks).chain(&asked);
        remarks.map(|remark| remark.said(&self.pickups, strings, words)).collect()
    }

    /// The same as lines of a report, with one between.
    pub fn remark_lines(&self, strings: &Strings, words: &Words) -> String {
        let lines = self.remarks(strings, words).into_iter().map(|remark| remark + "\n");
        let lines: String = lines.collect();
        if lines.is_empty() { lines } else { lines + "\n" }
    }

    /// Whether the circuits of a file can be with a pickup that is not the file's.
    fn check_losses(&self) -> Result<(), Failure> {
        let checked = |chain: &Chain, at: Positions, place: String| {
            self.pickups
                .with_positions(at)
                .check_losses(chain)
                .map_err(|error| Failure::Lossless { place, error })
        };
        self.recorded.iter().try_for_each(|(chain, at)| checked(chain, *at, "recorded".to_owned()))?;
        self.setups
            .iter()
            .try_for_each(|setup| checked(&setup.chain, setup.positions, format!("setup '{}'", setup.name)))
    }

    /// What a file of setups says.
    pub fn from_preset(preset: Preset) -> Self {
        let named = |Setup { name, venue, chain, positions }: Setup| NamedChain {
            place: Words::ENGLISH.through(&name),
            name: name.into(),
            venue: venue.map(Name::from),
            chain,
            positions,
        };
        let slips = preset.remarks().into_iter().map(Remark::Slip);
        let remarks = Remark::no_controls(&preset.pickups).into_iter().chain(slips).collect();
        let setups: Vec<NamedChain> = preset.setups.into_iter().map(named).collect();
        Self {
            pickups: preset.pickups,
            recorded: preset.says_recorded.then_some((preset.recorded, preset.recorded_at)),
            setups,
            venues: preset.venues,
            venue: None,
            title: Some(visible(&preset.name).into_owned()),
            instrument: preset.instrument,
            remarks,
            kit: OwnKit::default(),
        }
    }

    /// Keeps the setups of these names, in the file's order; all if there are none.
    pub fn keep_setups(&mut self, names: &[String]) -> Result<(), Failure> {
        let kept = names.iter().map(|name| find_setup(&self.setups, name)).collect::<Result<Vec<_>, _>>()?;
        let mut index = 0..;
        self.setups.retain(|_| names.is_empty() || index.next().is_some_and(|index| kept.contains(&index)));
        Ok(())
    }

    /// Keeps the setups that a venue offers: its own, and those that every one does.
    pub fn keep_venue(&mut self, venue: &str) -> Result<(), Failure> {
        let mut known: Vec<Name> = Vec::new();
        let of_tables = self.venues.iter().map(|venue| Name::from(venue.name.as_str()));
        for name in self.setups.iter().filter_map(|setup| setup.venue.clone()).chain(of_tables) {
            if !known.contains(&name) {
                known.push(name);
            }
        }
        let Some(name) = known.iter().find(|name| name.is(venue)) else {
            let names: Vec<&str> = known.iter().map(|name| &**name).collect();
            return Err(unknown("--venue", venue, &names, "no setup of the file names a venue"));
        };
        self.setups.retain(|setup| setup.venue.as_ref().is_none_or(|of| of.is(venue)));
        if self.setups.is_empty() {
            return Err(Failure::Usage(format!(
                "--venue: '{name}' has no setup, nor is there one of every venue"
            )));
        }
        self.venue = Some(name.clone());
        Ok(())
    }

    /// What the venue's crew has to know, as far as the file says; without a venue that of the only one there is.
    pub fn crew(&self) -> Option<&Crew> {
        let found = match (&self.venue, self.venues.as_slice()) {
            (Some(name), venues) => venues.iter().find(|venue| name.is(&venue.name)),
            (None, [only]) => Some(only),
            (None, _) => None,
        };
        found.map(|venue| &venue.crew)
    }
}

/// Which setup `--setup` names, counted from zero: as it is spelt, or else the only one that is it in other letters.
pub fn find_setup(setups: &[NamedChain], name: &str) -> Result<usize, Failure> {
    if let Some(index) = setups.iter().position(|setup| setup.name.is_exactly(name)) {
        return Ok(index);
    }
    let mut alike = (0..setups.len()).filter(|index| setups[*index].name.is(name));
    match (alike.next(), alike.next()) {
        (Some(index), None) => Ok(index),
        (Some(one), Some(other)) => {
            let (one, other) = (&setups[one].name, &setups[other].name);
            Err(Failure::Usage(format!(
                "--setup: '{name}' may be '{one}' or '{other}': give it in those letters"
            )))
        }
        (None, _) => {
            let names: Vec<&str> = setups.iter().map(|setup| &*setup.name).collect();
            Err(unknown("--setup", name, &names, "the file has no setup"))
        }
    }
}

/// A name that is none of those known, with what was probably meant.
fn unknown(option: &str, typed: &str, known: &[&str], none: &str) -> Failure {
    let near = nearest(typed, known.iter().copied());
    let near = near.map_or_else(String::new, |near| format!("did you mean '{near}'? "));
    let accepted =
        if known.is_empty() { none.to_owned() } else { format!("accepted are {}", known.join(", ")) };
    Failure::Usage(format!("{option}: '{typed}' is not known: {near}{accepted}"))
}

/// Reads a file of setups, in which names of the kit may stand.
pub fn read_preset(path: &Path, kit: &OwnKit) -> Result<Preset, Failure> {
    let text = named::read_to_string(path).map_err(|error| {
        let accepted = "accepted are text files (TOML) as in presets/";
        Failure::input(path, format!("cannot read it as a file of setups: {error}; {accepted}"))
    })?;
    let preset = kit.preset(path, &text)?;
    if let Some(id) = &preset.instrument {
        find(id).map_err(|problem| Failure::input(path, problem))?;
    }
    Ok(preset)
}

//! What can be asked of a document.

use dsp_core::circuit::{InputBox, Pickup, Polarity, Taper, Thru};
use dsp_core::preset::{Preset, Setup};
use dsp_core::response::{Ceiling, Floor};
use firstjack_words::visible;

use super::edits::{Control, Field, set};
use super::links::{Kind, Spot, link};
use super::{Document, Where, choices, links, names, setups};

/// One change of one thing, whatever else a document says by the time that it is made.
#[derive(Debug, Clone, PartialEq)]
pub enum Edit {
    /// A value, as it was typed; nothing, or "none", takes an optional part away.
    Set(Field, String),
    /// A gain in dB.
    Level(Level, f64),
    /// What bounds the boost of a change.
    Ceiling(Ceiling),
    /// Where a change that lifts the lows comes down again.
    Floor(Option<Floor>),
    /// Something that is on or off.
    Switch(Switch, bool),
    /// Whose strings are spoken of, by the instrument's id.
    Instrument(String),
    /// A preset in the place of all setups, pickups and what was recorded through.
    Load(Box<Preset>),
    /// What the preset is called.
    NamePreset(String),
    /// A change of the list of setups.
    Setups(SetupsEdit),
    /// A change of a chain.
    Chain(Spot, ChainEdit),
    /// A change of a pickup, counted from zero.
    Pickup(usize, PickupEdit),
}

/// Gains.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Level {
    /// Of the setups.
    Trim,
    /// Of all that is heard.
    Output,
}

/// What is on or off.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Switch {
    /// Input passes unchanged.
    Bypass,
    /// Setups are brought to the loudness of the take.
    LevelMatch,
    /// The gains that do so stay as they are.
    Hold,
    /// A runaway fades to silence.
    Guard,
}

/// Setups are counted from zero.
#[derive(Debug, Clone, PartialEq)]
pub enum SetupsEdit {
    /// A setup with a plain input, at the end.
    Add,
    /// One less.
    Remove(usize),
    /// The same once more, behind it.
    Duplicate(usize),
    /// One to another place.
    Move(usize, usize),
    /// Another name.
    Rename(usize, String),
    /// Another one in its place, under its name.
    Replace(usize, Box<Setup>),
}

/// At a spot of a chain.
#[derive(Debug, Clone, PartialEq)]
pub enum ChainEdit {
    /// A link of this kind, before the one that stands there.
    Add(Kind),
    /// A box of a kit, likewise.
    AddBox(Box<InputBox>),
    /// Without the link.
    Remove,
    /// The link at another number of the same chain.
    Move(usize),
    /// How a box's thru is plugged.
    Thru(Option<Thru>),
    /// Another name.
    Rename(String),
    /// A transformer in the place of a resistance, or the other way round.
    Transformer(bool),
    /// A box of a kit in its place.
    Box(Box<InputBox>),
}

/// Of a pickup.
#[derive(Debug, Clone, PartialEq)]
pub enum PickupEdit {
    /// A magnetic one, or a capacitive one.
    Magnetic(bool),
    /// How one of two is wired.
    Polarity(Polarity),
    /// How a control follows its position.
    Taper(Control, Taper),
    /// One of a kit in its place.
    Take(Box<Pickup>),
}

impl Edit {
    /// The document as it is to be, from the document as it is.
    ///
    /// # Errors
    /// If that cannot be, in words for the reader.
    pub fn apply(&self, now: &Document) -> Result<Document, String> {
        let with = |change: &dyn Fn(&mut Document)| {
            let mut to = now.clone();
            change(&mut to);
            Ok(to)
        };
        match self {
            Self::Set(field, typed) => set(now, field, typed),
            Self::Level(Level::Trim, db) => with(&|to| to.trim_db = *db),
            Self::Level(Level::Output, db) => with(&|to| to.output_db = *db),
            Self::Ceiling(ceiling) => with(&|to| to.ceiling = *ceiling),
            Self::Floor(floor) => with(&|to| to.floor = *floor),
            Self::Switch(Switch::Bypass, on) => with(&|to| to.bypass = *on),
            Self::Switch(Switch::LevelMatch, on) => with(&|to| to.level_match = *on),
            Self::Switch(Switch::Hold, on) => with(&|to| to.hold = *on),
            Self::Switch(Switch::Guard, on) => with(&|to| to.guard = *on),
            Self::Instrument(id) => with(&|to| to.preset.instrument = Some(id.clone())),
            Self::Load(preset) => with(&|to| {
                to.heard = to.heard.filter(|index| *index < preset.setups.len());
                to.preset.clone_from(preset);
            }),
            Self::NamePreset(name) => setups::name_preset(now, name),
            Self::Setups(edit) => edit.apply(now),
            Self::Chain(spot, edit) => edit.apply(now, spot),
            Self::Pickup(index, edit) => edit.apply(now, *index),
        }
    }

    /// What is changed, to be said behind "undo".
    pub fn name(&self, now: &Document) -> String {
        match self {
            Self::Set(field, _) => names::of_value(now, field),
            Self::Level(Level::Trim, _) => "trim".to_owned(),
            Self::Level(Level::Output, _) => "output".to_owned(),
            Self::Ceiling(_) => "boost limit".to_owned(),
            Self::Floor(_) => "boost floor".to_owned(),
            Self::Switch(Switch::Bypass, _) => "bypass".to_owned(),
            Self::Switch(Switch::LevelMatch, _) => "level match".to_owned(),
            Self::Switch(Switch::Hold, _) => "hold".to_owned(),
            Self::Switch(Switch::Guard, _) => "guard".to_owned(),
            Self::Instrument(_) => "instrument".to_owned(),
            Self::Load(preset) => format!("opening {}", visible(&preset.name)),
            Self::NamePreset(_) => "preset name".to_owned(),
            Self::Setups(edit) => edit.name(now),
            Self::Chain(spot, edit) => edit.name(now, spot),
            Self::Pickup(_, PickupEdit::Polarity(_)) => "polarity".to_owned(),
            Self::Pickup(_, PickupEdit::Taper(..)) => "taper".to_owned(),
            Self::Pickup(..) => "pickup".to_owned(),
        }
    }

    /// Whether it changes nothing that is compared, or tells one from another.
    pub const fn keeps_what_is_compared(&self) -> bool {
        matches!(self, Self::Level(..) | Self::Switch(Switch::Bypass | Switch::Guard, _))
    }
}

impl Level {
    /// What it is, in dB.
    pub const fn db(self, document: &Document) -> f64 {
        match self {
            Self::Trim => document.trim_db,
            Self::Output => document.output_db,
        }
    }
}

impl Switch {
    /// Whether it is on.
    pub const fn is_on(self, document: &Document) -> bool {
        match self {
            Self::Bypass => document.bypass,
            Self::LevelMatch => document.level_match,
            Self::Hold => document.hold,
            Self::Guard => document.guard,
        }
    }
}

impl SetupsEdit {
    fn apply(&self, now: &Document) -> Result<Document, String> {
        match self {
            Self::Add => setups::add(now),
            Self::Remove(index) => setups::remove(now, *index),
            Self::Duplicate(index) => setups::duplicate(now, *index),
            Self::Move(from, to) => setups::move_to(now, *from, *to),
            Self::Rename(index, name) => setups::rename(now, *index, name),
            Self::Replace(index, setup) => setups::replace(now, *index, setup),
        }
    }

    fn name(&self, now: &Document) -> String {
        let of = |index: &usize| setups::name(now, *index);
        match self {
            Self::Add => "adding a setup".to_owned(),
            Self::Remove(index) => format!("removing {}", of(index)),
            Self::Duplicate(index) => format!("duplicating {}", of(index)),
            Self::Move(index, _) => format!("moving {}", of(index)),
            Self::Rename(index, _) => format!("renaming {}", of(index)),
            Self::Replace(index, _) => format!("pasting into {}", of(index)),
        }
    }
}

impl ChainEdit {
    fn apply(&self, now: &Document, spot: &Spot) -> Result<Document, String> {
        match self {
            Self::Add(kind) => links::add(now, spot, *kind),
            Self::AddBox(input) => links::add_box(now, spot, input),
            Self::Remove => links::remove(now, spot),
            Self::Move(to) => links::move_link(now, spot, *to),
            Self::Thru(thru) => links::set_thru(now, spot, *thru),
            Self::Rename(name) => links::rename(now, spot, name),
            Self::Transformer(transformer) => choices::set_transformer(now, spot, *transformer),
            Self::Box(input) => choices::set_box(now, spot, input),
        }
    }

    fn name(&self, now: &Document, spot: &Spot) -> String {
        let here = || link(now, spot).map_or_else(|| "a part".to_owned(), names::of_link);
        match self {
            Self::Add(kind) => format!("adding a {}", names::of_kind(*kind)),
            Self::AddBox(input) => format!("adding {}", visible(&input.name)),
            Self::Remove => format!("removing {}", here()),
            Self::Move(_) => format!("moving {}", here()),
            Self::Thru(_) => format!("thru of {}", here()),
            Self::Rename(_) => format!("renaming {}", here()),
            Self::Transformer(_) | Self::Box(_) => here(),
        }
    }
}

impl PickupEdit {
    fn apply(&self, now: &Document, index: usize) -> Result<Document, String> {
        match self {
            Self::Magnetic(magnetic) => choices::set_magnetic(now, index, *magnetic),
            Self::Polarity(polarity) => choices::set_polarity(now, index, *polarity),
            Self::Taper(control, taper) => choices::set_taper(now, index, *control, *taper),
            Self::Take(pickup) => choices::set_pickup(now, index, pickup),
        }
    }
}

impl Where {
    /// The setup of this place, if it is one.
    pub const fn setup(self) -> Option<usize> {
        match self {
            Self::Recorded => None,
            Self::Setup(index) => Some(index),
        }
    }
}

//! The values of a document: as text, typed, and changed finely. No drawing.

use dsp_core::circuit::{Cable, Link, Positions};
use dsp_core::units::Capacitance;

use super::links::{Spot, edit, link};
use super::quantities::{Absent, Lies, Part};
use super::slots::Slot;
use super::{Document, Where};

/// Which value.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub enum Field {
    /// Of a pickup, counted from zero.
    Pickup(usize, PickupPart),
    /// How far a pickup's control is turned up when a chain is plugged in.
    Position(Where, usize, Control),
    /// Of a link.
    Link(Spot, LinkPart),
}

/// Values of a pickup.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum PickupPart {
    /// Source capacitance.
    Capacitance,
    /// Leakage across it; may be absent.
    Leakage,
    /// A coil's inductance.
    Inductance,
    /// A coil's resistance.
    Resistance,
    /// A winding's capacitance; may be absent.
    Winding,
    /// A coil's losses; may be absent.
    Loss,
    /// A tone control's resistance; without it there is no tone control.
    ToneResistance,
    /// A tone control's capacitor.
    ToneCapacitance,
    /// A volume pot's resistance; without it there is no volume pot.
    VolumeResistance,
    /// The mixing resistor of one of two pickups; may be absent.
    Mixing,
}

/// Controls on the instrument.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Control {
    /// The volume pot.
    Volume,
    /// The tone control.
    Tone,
}

/// Values of a link.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum LinkPart {
    /// A cable's length.
    Length,
    /// A cable's capacitance per metre; if it is absent, the default counts.
    PerMetre,
    /// A cable's leakage; may be absent.
    Leakage,
    /// A box's input resistance.
    Input,
    /// Capacitance across a box's jack; may be absent.
    Capacitance,
    /// Blocking capacitor; may be absent.
    Blocking,
    /// A transformer's primary inductance.
    Primary,
    /// Resistance of its winding; may be absent.
    Winding,
    /// Its turns ratio.
    Ratio,
    /// What its secondary is loaded with.
    Secondary,
    /// Its own capacitance; may be absent.
    OwnCapacitance,
    /// Losses of its core; may be absent.
    Core,
    /// A splitter's resistors; may be absent.
    Resistor,
    /// The value of a part without a name.
    Bare,
}

/// A value as the trade writes it; `None` where it is absent or there is no such part.
pub fn text(document: &Document, field: &Field) -> Option<String> {
    let said = match (field, field.quantity().lies) {
        (Field::Pickup(index, _), Lies::Pickup(lies)) => {
            let mut pickups = document.preset.pickups;
            lies(&mut pickups, *index)?.text()
        }
        (Field::Link(spot, _), Lies::Link(lies)) => lies(&mut link(document, spot)?.clone())?.text(),
        (Field::Position(place, ..), Lies::Position(lies)) => {
            default(document, field)?;
            lies(&mut positions(document, *place)?).text()
        }
        _ => None,
    };
    said.or_else(|| default(document, field))
}

/// The document with a value as it was typed. Nothing, or `none`, takes an optional part away, and brings the default back
/// where there is one.
///
/// # Errors
/// If the text cannot be read, or is nothing where a value must be; if there is no such part; or if the chain would be too large.
pub fn set(document: &Document, field: &Field, typed: &str) -> Result<Document, String> {
    with(document, field, &|slot| slot.set(typed))
}

/// The document with a value some steps up or down: a step is a twelfth of an octave, or one percent of a control's way. Stays
/// within what the value's type accepts, and in three significant digits. Unchanged where there is no such value.
#[must_use]
pub fn nudge(document: &Document, field: &Field, steps: f64) -> Document {
    let from = text(document, field).unwrap_or_default();
    let nudged = with(document, field, &|slot| {
        // A default becomes a value of its own, to start from.
        if slot.text().is_none() {
            slot.set(&from)?;
        }
        slot.nudge(steps);
        Ok(())
    });
    nudged.unwrap_or_else(|_| document.clone())
}

/// What can be added to a pickup, and taken away again.
pub fn pickup_parts(document: &Document, index: usize) -> Vec<Field> {
    optional(document, |part| match part {
        Part::Pickup(part) => Some(Field::Pickup(index, part)),
        _ => None,
    })
}

/// What can be added to a link, and taken away again.
pub fn link_parts(document: &Document, spot: &Spot) -> Vec<Field> {
    optional(document, |part| match part {
        Part::Link(part) => Some(Field::Link(spot.clone(), part)),
        _ => None,
    })
}

fn optional(document: &Document, field: impl Fn(Part) -> Option<Field>) -> Vec<Field> {
    let parts = Part::ALL.iter().filter(|part| part.quantity().absent == Absent::NoPart);
    let fields = parts.filter_map(|part| field(*part));
    fields.filter(|field| with(document, field, &|_| Ok(())).is_ok()).collect()
}

pub(crate) fn no_such_part() -> String {
    "there is no such part any more: it may have been changed meanwhile".to_owned()
}

/// The document with something done to a value where it lies.
fn with(
    document: &Document,
    field: &Field,
    change: &dyn Fn(&mut dyn Slot) -> Result<(), String>,
) -> Result<Document, String> {
    let mut to = document.clone();
    match (field, field.quantity().lies) {
        (Field::Pickup(index, _), Lies::Pickup(lies)) => {
            change(lies(&mut to.preset.pickups, *index).ok_or_else(no_such_part)?)?;
        }
        (Field::Link(spot, _), Lies::Link(lies)) => {
            return edit(document, spot, &|links, index| {
                change(links.get_mut(index).and_then(lies).ok_or_else(no_such_part)?)
            });
        }
        (Field::Position(place, ..), Lies::Position(lies)) => {
            default(document, field).ok_or_else(no_such_part)?;
            let positions = match place {
                Where::Recorded => Some(&mut to.preset.recorded_at),
                Where::Setup(index) => to.preset.setups.get_mut(*index).map(|setup| &mut setup.positions),
            };
            change(lies(positions.ok_or_else(no_such_part)?))?;
        }
        _ => return Err(no_such_part()),
    }
    Ok(to)
}

/// What counts where a value is not said, if something does.
fn default(document: &Document, field: &Field) -> Option<String> {
    match field {
        Field::Link(spot, LinkPart::PerMetre) => match link(document, spot)? {
            Link::Cable(_) => Capacitance::from_farads(Cable::PER_METRE_FARADS).ok()?.text(),
            _ => None,
        },
        // The pickup's own, of whatever pickup has the control.
        Field::Position(_, index, control) => {
            let pickups = &document.preset.pickups;
            let pickup = (*index < pickups.count()).then(|| pickups.pickup(*index))?;
            let own = match control {
                Control::Volume => pickup.volume.map(|volume| volume.position),
                Control::Tone => pickup.tone.map(|tone| tone.position),
            };
            own.map(|position| position.to_string())
        }
        _ => None,
    }
}

fn positions(document: &Document, place: Where) -> Option<Positions> {
    match place {
        Where::Recorded => Some(document.preset.recorded_at),
        Where::Setup(index) => document.preset.setups.get(index).map(|setup| setup.positions),
    }
}

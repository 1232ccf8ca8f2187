//! The values of a document: as text, typed, and changed finely. No drawing.

use dsp_core::circuit::{Pickup, Pickups, Positions, Taper, ToneControl, VolumePot};
use dsp_core::units::{Percent, UnitError};

use crate::editor::document::links::{Spot, edit, link};
use crate::editor::document::slots::{is_none, link_slot, pickup_slot, say_per_metre};
use crate::editor::{Document, Where};

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
    match field {
        Field::Pickup(index, part) => {
            let mut pickups = document.preset.pickups;
            pickup_slot(&mut pickups, *index, *part)?.text()
        }
        Field::Position(place, index, control) => {
            position(document, *place, *index, *control).map(|position| position.to_string())
        }
        Field::Link(spot, part) => {
            let mut link = link(document, spot)?.clone();
            if *part == LinkPart::PerMetre {
                say_per_metre(&mut link);
            }
            link_slot(&mut link, *part)?.text()
        }
    }
}

/// The document with a value as it was typed. Nothing, or `none`, takes an optional part away, and brings the default back
/// where there is one.
///
/// # Errors
/// If the text cannot be read, or is nothing where a value must be; if there is no such part; or if the chain would be too large.
pub fn set(document: &Document, field: &Field, typed: &str) -> Result<Document, String> {
    match field {
        Field::Pickup(index, part) => {
            let mut to = document.clone();
            set_pickup(&mut to.preset.pickups, *index, *part, typed)?;
            Ok(to)
        }
        Field::Position(place, index, control) => {
            position(document, *place, *index, *control).ok_or_else(no_such_part)?;
            let value = if is_none(typed) { None } else { Some(read_percent(typed)?) };
            with_position(document, *place, *control, value).ok_or_else(no_such_part)
        }
        Field::Link(spot, part) => edit(document, spot, &|links, index| {
            let slot = links.get_mut(index).and_then(|link| link_slot(link, *part));
            slot.ok_or_else(no_such_part)?.set(typed)
        }),
    }
}

/// The document with a value some steps up or down: a step is a twelfth of an octave, or one percent of a control's way. Stays
/// within what the value's type accepts, and in three significant digits. Unchanged where there is no such value.
#[must_use]
pub fn nudge(document: &Document, field: &Field, steps: f64) -> Document {
    let nudged = match field {
        Field::Pickup(index, part) => {
            let mut to = document.clone();
            if let Some(slot) = pickup_slot(&mut to.preset.pickups, *index, *part) {
                slot.nudge(steps);
            }
            Some(to)
        }
        Field::Position(place, index, control) => {
            position(document, *place, *index, *control).and_then(|position| {
                let percent = ((position.fraction() * 100.0 + steps) * 10.0).round() / 10.0;
                let value = Percent::new(percent.clamp(0.0, 100.0)).ok()?;
                with_position(document, *place, *control, Some(value))
            })
        }
        Field::Link(spot, part) => edit(document, spot, &|links, index| {
            if let Some(link) = links.get_mut(index) {
                if *part == LinkPart::PerMetre {
                    say_per_metre(link);
                }
                if let Some(slot) = link_slot(link, *part) {
                    slot.nudge(steps);
                }
            }
            Ok(())
        })
        .ok(),
    };
    nudged.unwrap_or_else(|| document.clone())
}

pub(crate) fn no_such_part() -> String {
    "there is no such part any more: it may have been changed meanwhile".to_owned()
}

/// A bare number is percent.
fn read_percent(typed: &str) -> Result<Percent, String> {
    let bare = typed.trim().parse::<f64>().is_ok();
    let read = if bare { format!("{typed} %").parse() } else { typed.parse() };
    read.map_err(|error: UnitError| error.to_string())
}

fn positions(document: &Document, place: Where) -> Option<Positions> {
    match place {
        Where::Recorded => Some(document.preset.recorded_at),
        Where::Setup(index) => document.preset.setups.get(index).map(|setup| setup.positions),
    }
}

fn position(document: &Document, place: Where, index: usize, control: Control) -> Option<Percent> {
    let preset = &document.preset;
    let pickups = preset.pickups.with_positions(positions(document, place)?);
    let pickup = (index < pickups.count()).then(|| pickups.pickup(index))?;
    match control {
        Control::Volume => pickup.volume.map(|volume| volume.position),
        Control::Tone => pickup.tone.map(|tone| tone.position),
    }
}

fn with_position(
    document: &Document,
    place: Where,
    control: Control,
    value: Option<Percent>,
) -> Option<Document> {
    let mut to = document.clone();
    let positions = match place {
        Where::Recorded => &mut to.preset.recorded_at,
        Where::Setup(index) => &mut to.preset.setups.get_mut(index)?.positions,
    };
    match control {
        Control::Volume => positions.volume = value,
        Control::Tone => positions.tone = value,
    }
    Some(to)
}

fn set_pickup(pickups: &mut Pickups, index: usize, part: PickupPart, typed: &str) -> Result<(), String> {
    if index >= pickups.count() {
        return Err(no_such_part());
    }
    // A control goes and comes as a whole.
    let pickup = pickups.pickup_mut(index);
    match part {
        PickupPart::ToneResistance if is_none(typed) => pickup.tone = None,
        PickupPart::VolumeResistance if is_none(typed) => pickup.volume = None,
        PickupPart::ToneResistance if pickup.tone.is_none() => add_tone(pickup, typed)?,
        PickupPart::VolumeResistance if pickup.volume.is_none() => {
            let resistance = typed.parse().map_err(|error: UnitError| error.to_string())?;
            pickup.volume =
                Some(VolumePot { resistance, taper: Taper::Logarithmic, position: Percent::FULL });
        }
        _ => pickup_slot(pickups, index, part).ok_or_else(no_such_part)?.set(typed)?,
    }
    Ok(())
}

fn add_tone(pickup: &mut Pickup, typed: &str) -> Result<(), String> {
    let words = |error: UnitError| error.to_string();
    let (resistance, capacitance) = (typed.parse().map_err(words)?, "22n".parse().map_err(words)?);
    pickup.tone =
        Some(ToneControl { resistance, capacitance, taper: Taper::Logarithmic, position: Percent::FULL });
    Ok(())
}

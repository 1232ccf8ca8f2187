//! What is one of two: a pickup's element and polarity, a pot's taper, a box's input. Each edit makes a new document from an old one.

use dsp_core::circuit::{Element, Input, InputBox, Link, Pickup, Pickups, Polarity, Taper};
use dsp_core::units::Resistance;

use super::{Document, usual};
use crate::editor::document::edits::{Control, no_such_part};
use crate::editor::document::links::{Spot, edit};
use crate::editor::document::slots::rounded;

/// Makes a pickup magnetic, or capacitive, of usual values. Its controls stay.
///
/// # Errors
/// If there is no such pickup.
pub fn set_magnetic(document: &Document, index: usize, magnetic: bool) -> Result<Document, String> {
    let mut to = document.clone();
    if index >= to.preset.pickups.count() {
        return Err(no_such_part());
    }
    let element = if magnetic {
        usual::magnetic().map(Element::Magnetic)
    } else {
        usual::capacitive().map(Element::Capacitive)
    };
    to.preset.pickups.pickup_mut(index).element = element.map_err(|error| error.to_string())?;
    Ok(to)
}

/// Wires one of two pickups as it is, or the other way round.
///
/// # Errors
/// If there are not two pickups, or none of this number.
pub fn set_polarity(document: &Document, index: usize, polarity: Polarity) -> Result<Document, String> {
    let mut to = document.clone();
    let Pickups::Blend(blend) = &mut to.preset.pickups else { return Err(no_such_part()) };
    blend.get_mut(index).ok_or_else(no_such_part)?.polarity = polarity;
    Ok(to)
}

/// How a pickup's control follows its position; `None` if it has no such control.
pub fn taper(document: &Document, index: usize, control: Control) -> Option<Taper> {
    let pickups = &document.preset.pickups;
    let pickup = (index < pickups.count()).then(|| pickups.pickup(index))?;
    match control {
        Control::Volume => pickup.volume.map(|volume| volume.taper),
        Control::Tone => pickup.tone.map(|tone| tone.taper),
    }
}

/// Gives a pickup's control another taper.
///
/// # Errors
/// If there is no such control.
pub fn set_taper(
    document: &Document,
    index: usize,
    control: Control,
    taper: Taper,
) -> Result<Document, String> {
    let mut to = document.clone();
    self::taper(document, index, control).ok_or_else(no_such_part)?;
    let pickup = to.preset.pickups.pickup_mut(index);
    match control {
        Control::Volume => pickup.volume.iter_mut().for_each(|volume| volume.taper = taper),
        Control::Tone => pickup.tone.iter_mut().for_each(|tone| tone.taper = taper),
    }
    Ok(to)
}

/// Gives a box a transformer of usual values, or in its place a resistance: the one that it has in the middle of the band, to three
/// digits, so that both can be compared.
///
/// # Errors
/// If there is no box, or if the chain would be too large.
pub fn set_transformer(document: &Document, spot: &Spot, transformer: bool) -> Result<Document, String> {
    edit(document, spot, &|links, index| {
        let Some(Link::Box(input)) = links.get_mut(index) else { return Err(no_such_part()) };
        let made = if transformer {
            usual::transformer().map(Input::Transformer)
        } else {
            Resistance::from_ohms(rounded(input.nominal().ohms())).map(Input::Resistance)
        };
        input.input = made.map_err(|error| error.to_string())?;
        Ok(())
    })
}

/// Puts a pickup of a kit in the place of one, with its tolerances. Controls stay unless the kit says some.
///
/// # Errors
/// If there is no such pickup.
pub fn set_pickup(document: &Document, index: usize, from: &Pickup) -> Result<Document, String> {
    let mut to = document.clone();
    if index >= to.preset.pickups.count() {
        return Err(no_such_part());
    }
    let pickup = to.preset.pickups.pickup_mut(index);
    pickup.element = from.element;
    pickup.tone = from.tone.or(pickup.tone);
    pickup.volume = from.volume.or(pickup.volume);
    Ok(to)
}

/// Puts a box of a kit in the place of one, with its name and its tolerances. The thru stays unless the kit says one.
///
/// # Errors
/// If there is no box, or if the chain would be too large.
pub fn set_box(document: &Document, spot: &Spot, from: &InputBox) -> Result<Document, String> {
    edit(document, spot, &|links, index| {
        let Some(Link::Box(input)) = links.get_mut(index) else { return Err(no_such_part()) };
        let thru = from.thru.or(input.thru);
        *input = InputBox { thru, ..from.clone() };
        Ok(())
    })
}

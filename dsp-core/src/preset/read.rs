//! From the text's fields to circuits.

use super::fields::Table;
use super::text::{
    BLENDED, BOX, CABLE, CAPACITIVE, LinkText, LoadText, MAGNETIC, PickupText, PresetText, SPLITTER,
    ToneText, TransformerText, VenueText, VolumeText,
};
use super::{Crew, PresetError, Venue};
use crate::circuit::{
    Blended, Cable, CapacitivePickup, Chain, Element, Input, InputBox, Link, MagneticPickup, Pickup, Pickups,
    Splitter, ToneControl, Transformer, VolumePot,
};
use crate::units::Percent;

/// The pickup, or the two of a blend.
pub(super) fn read_pickups(file: &PresetText) -> Result<Pickups, PresetError> {
    match (&file.pickup, file.blend.as_deref()) {
        (Some(pickup), None) => read_pickup(pickup, 0, "pickup").map(Pickups::One),
        (None, Some([first, second])) => {
            let blended = |text: &PickupText, number| read_blended(text, &format!("blend, pickup {number}"));
            Ok(Pickups::Blend([blended(first, 1)?, blended(second, 2)?]))
        }
        _ => Err(PresetError::PickupOrBlend),
    }
}

fn read_blended(text: &PickupText, place: &str) -> Result<Blended, PresetError> {
    Ok(Blended {
        pickup: read_pickup(text, BLENDED, place)?,
        mixing: text.mixing,
        polarity: text.polarity.unwrap_or_default(),
    })
}

/// A pickup that may have the fields of `kinds` beside those of its element.
fn read_pickup(text: &PickupText, kinds: u8, place: &str) -> Result<Pickup, PresetError> {
    let wrong = || PresetError::Pickup { place: place.to_owned() };
    let (element, kind) = match *text {
        PickupText { capacitance: Some(capacitance), leakage, .. } => {
            (Element::Capacitive(CapacitivePickup { capacitance, leakage }), CAPACITIVE)
        }
        PickupText { inductance: Some(inductance), resistance: Some(resistance), winding, loss, .. } => {
            (Element::Magnetic(MagneticPickup { inductance, resistance, winding, loss }), MAGNETIC)
        }
        _ => return Err(wrong()),
    };
    if text.is_mixed(kind | kinds) {
        return Err(wrong());
    }
    let tone = text.tone.as_ref().map(|ToneText { resistance, capacitance, taper, position }| ToneControl {
        resistance: *resistance,
        capacitance: *capacitance,
        taper: taper.unwrap_or_default(),
        position: position.unwrap_or(Percent::FULL),
    });
    let volume = text.volume.as_ref().map(|VolumeText { resistance, taper, position }| VolumePot {
        resistance: *resistance,
        taper: taper.unwrap_or_default(),
        position: position.unwrap_or(Percent::FULL),
    });
    Ok(Pickup { element, tone, volume })
}

/// A chain from its two spellings; `place` says where it stands, for errors.
pub(super) fn read_chain(
    load: Option<LoadText>,
    chain: Option<Vec<LinkText>>,
    place: &str,
) -> Result<Chain, PresetError> {
    match (load, chain) {
        (Some(load), None) => Ok(Chain::from(&load.0)),
        (None, Some(links)) => read_links(links, place),
        _ => Err(PresetError::LoadOrChain { place: place.to_owned() }),
    }
}

fn read_links(texts: Vec<LinkText>, place: &str) -> Result<Chain, PresetError> {
    let count = texts.len();
    let mut links = Vec::with_capacity(count);
    for (index, text) in texts.into_iter().enumerate() {
        let link = read_link(text, place, index + 1)?;
        if let Link::Box(InputBox { name, thru: None, .. }) = &link
            && index + 1 < count
        {
            return Err(PresetError::ThruMissing { place: place.to_owned(), name: name.clone() });
        }
        links.push(link);
    }
    Chain::new(links).map_err(|error| PresetError::TooLarge { place: place.to_owned(), error })
}

fn read_link(text: LinkText, place: &str, number: usize) -> Result<Link, PresetError> {
    let wrong = || PresetError::Link { place: place.to_owned(), link: number };
    let link = match text {
        LinkText { cable: Some(length), per_metre, leakage, .. } if !text.is_mixed(CABLE) => {
            Some(Link::Cable(Cable { length, per_metre, leakage }))
        }
        LinkText { name: Some(_), .. } if !text.is_mixed(BOX) => read_box(text).map(Link::Box),
        LinkText { splitter: Some(name), branch: Some(branch), resistor, .. } if !text.is_mixed(SPLITTER) => {
            let branch = read_links(branch, &format!("{place}, branch of '{name}'"))?;
            Some(Link::Splitter(Splitter { name, resistor, branch }))
        }
        _ => None,
    };
    link.ok_or_else(wrong)
}

fn read_box(text: LinkText) -> Option<InputBox> {
    let input = match (text.input, text.transformer) {
        (Some(resistance), None) => Input::Resistance(resistance),
        (None, Some(TransformerText { primary, winding, ratio, secondary, capacitance, core })) => {
            Input::Transformer(Transformer { primary, winding, ratio, secondary, capacitance, core })
        }
        _ => return None,
    };
    Some(InputBox {
        name: text.name?,
        input,
        capacitance: text.capacitance,
        blocking: text.blocking,
        thru: text.thru,
    })
}

/// The venues. A text of nothing but spaces says nothing.
pub(super) fn read_venues(texts: Vec<VenueText>) -> Result<Vec<Venue>, PresetError> {
    let said = |text: Option<String>| text.filter(|text| !text.trim().is_empty());
    let mut venues: Vec<Venue> = Vec::with_capacity(texts.len());
    for VenueText { name, phantom, pad, polarity, line, feed, contact, remarks } in texts {
        if name.trim().is_empty() {
            return Err(PresetError::UnnamedVenue);
        }
        if venues.iter().any(|other| other.name == name) {
            return Err(PresetError::SameVenue(name));
        }
        let (pad, line, feed) = (said(pad), said(line), said(feed));
        let (contact, remarks) = (said(contact), said(remarks));
        venues.push(Venue { name, crew: Crew { phantom, pad, polarity, line, feed, contact, remarks } });
    }
    Ok(venues)
}

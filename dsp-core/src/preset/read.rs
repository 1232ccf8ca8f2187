//! From the text's fields to circuits. That each table has the fields of its kind has been seen to (`check.rs`).

use super::text::{
    BlendedText, LinkText, LoadText, OrText, PickupText, PresetText, ToneText, TransformerText, VenueText,
    VolumeText,
};
use super::{Crew, PresetProblem, Venue};
use crate::circuit::{
    Blended, Cable, CapacitivePickup, Chain, Element, Input, InputBox, Link, MagneticPickup, Pickup, Pickups,
    Splitter, ToneControl, Transformer, VolumePot,
};
use crate::units::Percent;

/// The pickup, or the two of a blend.
pub(super) fn read_pickups(file: &PresetText) -> Result<Pickups, PresetProblem> {
    match (&file.pickup, file.blend.as_deref()) {
        (Some(OrText::Text(capacitance)), _) => Ok(Pickup::new(*capacitance).into()),
        (Some(OrText::Table(pickup)), _) => read_pickup(pickup).map(Pickups::One),
        (None, Some([first, second])) => Ok(Pickups::Blend([read_blended(first)?, read_blended(second)?])),
        (None, blend) => Err(PresetProblem::BlendOf { found: blend.unwrap_or_default().len() }),
    }
}

fn read_blended(BlendedText(text): &BlendedText) -> Result<Blended, PresetProblem> {
    Ok(Blended {
        pickup: read_pickup(text)?,
        mixing: text.mixing,
        polarity: text.polarity.unwrap_or_default(),
    })
}

pub(crate) fn read_pickup(text: &PickupText) -> Result<Pickup, PresetProblem> {
    let element = match *text {
        PickupText { capacitance: Some(capacitance), leakage, .. } => {
            Element::Capacitive(CapacitivePickup { capacitance, leakage })
        }
        PickupText { inductance: Some(inductance), resistance: Some(resistance), winding, loss, .. } => {
            Element::Magnetic(MagneticPickup { inductance, resistance, winding, loss })
        }
        _ => return Err(unchecked("pickup")),
    };
    Ok(Pickup {
        element,
        tone: text.tone.as_ref().map(read_tone),
        volume: text.volume.as_ref().map(read_volume),
    })
}

fn read_tone(text: &OrText<ToneText>) -> ToneControl {
    match text {
        OrText::Text(tone) => *tone,
        OrText::Table(ToneText { resistance, capacitance, taper, position }) => ToneControl {
            resistance: *resistance,
            capacitance: *capacitance,
            taper: taper.unwrap_or_default(),
            position: position.unwrap_or(Percent::FULL),
        },
    }
}

fn read_volume(text: &OrText<VolumeText>) -> VolumePot {
    match text {
        OrText::Text(volume) => *volume,
        OrText::Table(VolumeText { resistance, taper, position }) => VolumePot {
            resistance: *resistance,
            taper: taper.unwrap_or_default(),
            position: position.unwrap_or(Percent::FULL),
        },
    }
}

/// A chain from its two spellings; `place` says where it stands, for errors.
pub(super) fn read_chain(
    load: Option<LoadText>,
    chain: Option<Vec<OrText<LinkText>>>,
    place: &str,
) -> Result<Chain, PresetProblem> {
    match (load, chain) {
        (Some(load), None) => Ok(Chain::from(&load.0)),
        (None, Some(links)) => read_links(links, place),
        _ => Err(unchecked(place)),
    }
}

fn read_links(texts: Vec<OrText<LinkText>>, place: &str) -> Result<Chain, PresetProblem> {
    let count = texts.len();
    let mut links = Vec::with_capacity(count);
    for (text, number) in texts.into_iter().zip(1..) {
        let link = match text {
            OrText::Text(link) => link,
            OrText::Table(text) => read_link(text, place)?,
        };
        if let Link::Box(InputBox { name, thru: None, .. }) = &link
            && number < count
        {
            let (place, name) = (place.to_owned(), name.clone());
            return Err(PresetProblem::ThruMissing { place, link: number, name });
        }
        links.push(link);
    }
    Chain::new(links).map_err(|error| PresetProblem::TooLarge { place: place.to_owned(), error })
}

fn read_link(text: LinkText, place: &str) -> Result<Link, PresetProblem> {
    match text {
        LinkText { cable: Some(length), per_metre, leakage, .. } => {
            Ok(Link::Cable(Cable { length, per_metre, leakage }))
        }
        LinkText { splitter: Some(name), branch: Some(branch), resistor, .. } => {
            let branch = read_links(branch, &format!("{place}, branch of '{name}'"))?;
            Ok(Link::Splitter(Splitter { name, resistor, branch }))
        }
        _ => read_box(text).map(Link::Box).ok_or_else(|| unchecked(place)),
    }
}

pub(crate) fn read_box(text: LinkText) -> Option<InputBox> {
    let input = match (text.input, text.transformer) {
        (Some(resistance), None) => Input::Resistance(resistance),
        (None, Some(OrText::Text(transformer))) => Input::Transformer(transformer),
        (None, Some(OrText::Table(text))) => {
            let TransformerText { primary, winding, ratio, secondary, capacitance, core } = text;
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
pub(super) fn read_venues(texts: Vec<VenueText>) -> Result<Vec<Venue>, PresetProblem> {
    let said = |text: Option<String>| text.filter(|text| !text.trim().is_empty());
    let mut venues: Vec<Venue> = Vec::with_capacity(texts.len());
    for VenueText { name, phantom, pad, polarity, line, feed, contact, remarks } in texts {
        if name.trim().is_empty() {
            return Err(PresetProblem::UnnamedVenue);
        }
        if venues.iter().any(|other| other.name == name) {
            return Err(PresetProblem::SameVenue(name));
        }
        let (pad, line, feed) = (said(pad), said(line), said(feed));
        let (contact, remarks) = (said(contact), said(remarks));
        venues.push(Venue { name, crew: Crew { phantom, pad, polarity, line, feed, contact, remarks } });
    }
    Ok(venues)
}

/// Of what the fields were looked through for.
fn unchecked(place: &str) -> PresetProblem {
    PresetProblem::Text(format!("{place}: its fields are not those of one kind"))
}

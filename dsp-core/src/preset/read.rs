//! From the text's fields to circuits.

use super::PresetError;
use super::text::{
    BlendedText, LinkText, LoadText, PickupText, PresetText, ToneText, TransformerText, VolumeText,
};
use crate::circuit::{
    Blend, Blended, BlockingCapacitor, Cable, CapacitivePickup, Chain, Element, Input, InputBox, Link,
    MagneticPickup, Pickup, Pickups, Splitter, ToneControl, Transformer, VolumePot,
};
use crate::units::Percent;

/// The pickup, or the two of a blend.
pub(super) fn read_pickups(file: &PresetText) -> Result<Pickups, PresetError> {
    match (&file.pickup, file.blend.as_deref()) {
        (Some(pickup), None) => read_pickup(pickup, "pickup").map(Pickups::One),
        (None, Some([first, second])) => {
            let blended = |text: &BlendedText, number| read_blended(text, &format!("blend, pickup {number}"));
            Ok(Pickups::Blend(Blend([blended(first, 1)?, blended(second, 2)?])))
        }
        _ => Err(PresetError::PickupOrBlend),
    }
}

fn read_blended(text: &BlendedText, place: &str) -> Result<Blended, PresetError> {
    let pickup = PickupText {
        capacitance: text.capacitance,
        leakage: text.leakage,
        inductance: text.inductance,
        resistance: text.resistance,
        winding: text.winding,
        tone: text.tone.clone(),
        volume: text.volume.clone(),
    };
    Ok(Blended {
        pickup: read_pickup(&pickup, place)?,
        mixing: text.mixing,
        polarity: text.polarity.unwrap_or_default(),
    })
}

fn read_pickup(text: &PickupText, place: &str) -> Result<Pickup, PresetError> {
    let element = match *text {
        PickupText {
            capacitance: Some(capacitance),
            leakage,
            inductance: None,
            resistance: None,
            winding: None,
            ..
        } => Element::Capacitive(CapacitivePickup { capacitance, leakage }),
        PickupText {
            capacitance: None,
            leakage: None,
            inductance: Some(inductance),
            resistance: Some(resistance),
            winding,
            ..
        } => Element::Magnetic(MagneticPickup { inductance, resistance, winding }),
        _ => return Err(PresetError::Pickup { place: place.to_owned() }),
    };
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
    let kinds = [text.cable.is_some(), text.name.is_some(), text.splitter.is_some()];
    if kinds.into_iter().filter(|kind| *kind).count() != 1 {
        return Err(wrong());
    }
    let link = if text.cable.is_some() {
        read_cable(text)
    } else if text.name.is_some() {
        read_box(text)
    } else {
        return read_splitter(text, place, number);
    };
    link.ok_or_else(wrong)
}

fn read_cable(text: LinkText) -> Option<Link> {
    let LinkText { cable, per_metre, leakage, name: None, input: None, transformer: None, .. } = text else {
        return None;
    };
    let foreign = text.capacitance.is_some()
        || text.blocking.is_some()
        || text.thru.is_some()
        || text.resistor.is_some()
        || text.branch.is_some();
    cable.filter(|_| !foreign).map(|length| Link::Cable(Cable { length, per_metre, leakage }))
}

fn read_box(text: LinkText) -> Option<Link> {
    if text.per_metre.is_some() || text.leakage.is_some() || text.resistor.is_some() || text.branch.is_some()
    {
        return None;
    }
    let input = match (text.input, text.transformer) {
        (Some(resistance), None) => Input::Resistance(resistance),
        (None, Some(TransformerText { primary, winding, ratio, secondary, capacitance })) => {
            Input::Transformer(Transformer { primary, winding, ratio, secondary, capacitance })
        }
        _ => return None,
    };
    let blocking = text.blocking.map(BlockingCapacitor);
    text.name.map(|name| {
        Link::Box(InputBox { name, input, capacitance: text.capacitance, blocking, thru: text.thru })
    })
}

fn read_splitter(text: LinkText, place: &str, number: usize) -> Result<Link, PresetError> {
    let wrong = || PresetError::Link { place: place.to_owned(), link: number };
    let foreign = text.per_metre.is_some()
        || text.leakage.is_some()
        || text.input.is_some()
        || text.transformer.is_some()
        || text.capacitance.is_some()
        || text.blocking.is_some()
        || text.thru.is_some();
    let (Some(name), Some(branch), false) = (text.splitter, text.branch, foreign) else {
        return Err(wrong());
    };
    let branch = read_links(branch, &format!("{place}, branch of '{name}'"))?;
    Ok(Link::Splitter(Splitter { name, resistor: text.resistor, branch }))
}

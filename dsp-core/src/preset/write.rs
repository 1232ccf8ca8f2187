//! From circuits to the text of a file, laid out as people write it: one link of a chain a line.

use std::fmt::Display;

use super::named::named;
use super::{Crew, LinePolarity, Phantom, Preset, Setup, Venue};
use crate::circuit::{
    Blended, Cable, Chain, Element, Input, InputBox, Link, Pickup, Pickups, Polarity, Positions, Splitter,
    Taper, Thru,
};
use crate::units::{Load, Percent};

/// The whole file.
pub(super) fn write(preset: &Preset, version: i64) -> String {
    let mut text = format!("version = {version}\nname = {}\n", quoted(&preset.name));
    if let Some(instrument) = &preset.instrument {
        text += &format!("instrument = {}\n", quoted(instrument));
    }
    if let Pickups::One(pickup) = &preset.pickups {
        text += &format!("pickup = {}\n", inline(&pickup_fields(pickup)));
    }
    if preset.says_recorded || !preset.recorded.is_empty() || preset.recorded_at != Positions::default() {
        text += &format!("\n[recorded]\n{}", chain_lines(&preset.recorded, preset.recorded_at));
    }
    if let Pickups::Blend(both) = &preset.pickups {
        both.iter().for_each(|one| text += &blended(one));
    }
    preset.venues.iter().for_each(|one| text += &venue(one));
    for Setup { name, venue, chain, positions } in &preset.setups {
        let named = [Some(("name", quoted(name))), optional("venue", venue.as_ref())];
        let named: Vec<Field> = named.into_iter().flatten().collect();
        text += &format!("\n[[setup]]\n{}{}", lines(&named), chain_lines(chain, *positions));
    }
    text
}

/// A field's name and its value as TOML.
pub(crate) type Field = (&'static str, String);

pub(crate) fn quoted(text: impl Display) -> String {
    toml::Value::String(text.to_string()).to_string()
}

pub(crate) fn optional(name: &'static str, value: Option<impl Display>) -> Option<Field> {
    value.map(|value| (name, quoted(value)))
}

pub(crate) fn inline(fields: &[Field]) -> String {
    let fields: Vec<String> = fields.iter().map(|(name, value)| format!("{name} = {value}")).collect();
    format!("{{ {} }}", fields.join(", "))
}

pub(crate) fn lines(fields: &[Field]) -> String {
    fields.iter().map(|(name, value)| format!("{name} = {value}\n")).collect()
}

pub(crate) fn pickup_fields(pickup: &Pickup) -> Vec<Field> {
    let mut fields: Vec<Field> = match &pickup.element {
        Element::Capacitive(element) => {
            [Some(("capacitance", quoted(element.capacitance))), optional("leakage", element.leakage)]
                .into_iter()
                .flatten()
                .collect()
        }
        Element::Magnetic(element) => [
            Some(("inductance", quoted(element.inductance))),
            Some(("resistance", quoted(element.resistance))),
            optional("winding", element.winding),
            optional("loss", element.loss),
        ]
        .into_iter()
        .flatten()
        .collect(),
    };
    let control = |taper: Taper, position: Percent| {
        let taper = match taper {
            Taper::Linear => "linear",
            Taper::Logarithmic => "logarithmic",
        };
        [("taper", quoted(taper)), ("position", quoted(position))]
    };
    if let Some(tone) = &pickup.tone {
        let parts = [("resistance", quoted(tone.resistance)), ("capacitance", quoted(tone.capacitance))];
        fields.push(("tone", inline(&[&parts[..], &control(tone.taper, tone.position)].concat())));
    }
    if let Some(volume) = &pickup.volume {
        let parts = [("resistance", quoted(volume.resistance))];
        fields.push(("volume", inline(&[&parts[..], &control(volume.taper, volume.position)].concat())));
    }
    fields
}

fn blended(one: &Blended) -> String {
    let mut fields = pickup_fields(&one.pickup);
    fields.extend(optional("mixing", one.mixing));
    if one.polarity == Polarity::Reversed {
        fields.push(("polarity", quoted("reversed")));
    }
    format!("\n[[blend]]\n{}", lines(&fields))
}

fn venue(Venue { name, crew }: &Venue) -> String {
    let Crew { phantom, pad, polarity, line, feed, contact, remarks } = crew;
    let fields = [
        Some(("name", quoted(name))),
        optional("phantom", phantom.map(Phantom::text)),
        optional("pad", pad.as_ref()),
        optional("polarity", polarity.map(LinePolarity::text)),
        optional("line", line.as_ref()),
        optional("feed", feed.as_ref()),
        optional("contact", contact.as_ref()),
        optional("remarks", remarks.as_ref()),
    ];
    format!("\n[[venue]]\n{}", lines(&fields.into_iter().flatten().collect::<Vec<_>>()))
}

/// The lines of a setup, or of what was recorded through, below its name.
fn chain_lines(chain: &Chain, positions: Positions) -> String {
    let positions = [optional("volume", positions.volume), optional("tone", positions.tone)];
    let mut fields: Vec<Field> = positions.into_iter().flatten().collect();
    fields.push(match as_load(chain) {
        Some(load) => ("load", quoted(load)),
        None => {
            let links = link_texts(chain).into_iter().map(|link| format!("    {link},\n"));
            ("chain", format!("[\n{}]", links.collect::<String>()))
        }
    });
    lines(&fields)
}

/// The load expression of a chain that has nothing but what such an expression says.
fn as_load(chain: &Chain) -> Option<Load> {
    let part = |(link, _): (&Link, bool)| match link {
        Link::Cable(cable) => (*cable == Cable::new(cable.length)).then(|| cable.length.to_string()),
        Link::Resistance(value) => Some(value.to_string()),
        Link::Capacitance(value) => Some(value.to_string()),
        Link::Inductance(value) => Some(value.to_string()),
        // A passive box of a load is called what it is.
        Link::Box(input) => {
            let named: Load = input.name.parse().ok()?;
            Chain::from(&named).links().eq([(link, true)]).then(|| input.name.clone())
        }
        Link::Splitter(_) => None,
    };
    // A chain of cables alone reads better as a chain.
    let only_cables = !chain.is_empty() && chain.links().all(|(link, _)| matches!(link, Link::Cable(_)));
    if only_cables {
        return None;
    }
    let parts: Vec<String> = chain.links().map(part).collect::<Option<_>>()?;
    if parts.is_empty() { Some(Load::default()) } else { parts.join(" || ").parse().ok() }
}

/// The links as a file says them, each in one line.
pub(crate) fn link_texts(chain: &Chain) -> Vec<String> {
    let links = named(chain);
    let last = links.len().saturating_sub(1);
    let text = |(index, link): (usize, &Link)| inline(&link_fields(link, index < last));
    links.iter().enumerate().map(text).collect()
}

pub(crate) fn link_fields(link: &Link, is_followed: bool) -> Vec<Field> {
    let fields = match link {
        Link::Cable(Cable { length, per_metre, leakage }) => vec![
            Some(("cable", quoted(length))),
            optional("per_metre", *per_metre),
            optional("leakage", *leakage),
        ],
        Link::Box(input) => box_fields(input, is_followed),
        Link::Splitter(Splitter { name, resistor, branch }) => vec![
            Some(("splitter", quoted(name))),
            optional("resistor", *resistor),
            Some(("branch", format!("[{}]", link_texts(branch).join(", ")))),
        ],
        // None is left.
        Link::Resistance(_) | Link::Capacitance(_) | Link::Inductance(_) => Vec::new(),
    };
    fields.into_iter().flatten().collect()
}

pub(crate) fn box_fields(input: &InputBox, is_followed: bool) -> Vec<Option<Field>> {
    let main = match &input.input {
        Input::Resistance(value) => ("input", quoted(value)),
        Input::Transformer(transformer) => {
            let parts = [
                Some(("primary", quoted(transformer.primary))),
                optional("winding", transformer.winding),
                Some(("ratio", quoted(transformer.ratio))),
                Some(("secondary", quoted(transformer.secondary))),
                optional("capacitance", transformer.capacitance),
                optional("core", transformer.core),
            ];
            ("transformer", inline(&parts.into_iter().flatten().collect::<Vec<_>>()))
        }
    };
    // Without a word on its thru what follows is in parallel, but a file has to say so.
    let thru = input.thru.or(is_followed.then_some(Thru::Before)).map(|thru| match thru {
        Thru::Before => "before",
        Thru::After => "after",
        Thru::Active => "active",
    });
    vec![
        Some(("box", quoted(&input.name))),
        Some(main),
        optional("capacitance", input.capacitance),
        optional("blocking", input.blocking),
        optional("thru", thru),
    ]
}

//! The pickup as it is typed: by its values, or by its kind.

use dsp_core::circuit::{CapacitivePickup, Element, MagneticPickup, Pickup, ToneControl, VolumePot};
use dsp_core::kit::{KitPickup, is_kind};
use dsp_core::preset::{CoilKind, PickupKind};
use dsp_core::units::{Capacitance, Inductance, Resistance, UnitError};

use super::{OwnKit, Remark, value};
use crate::arguments::PickupArguments;
use crate::error::Failure;

/// The pots of an instrument whose pickup is no kind that is known, and the tone capacitor of any (common practice, no source).
const USUAL_POTS: &str = "500k";
const USUAL_CAPACITOR: &str = "22n";

/// The pickup that the options describe, a capacitance or a coil, if they do, and what was assumed of it.
pub(super) fn typed(
    arguments: &PickupArguments,
    kit: &OwnKit,
    remarks: &mut Vec<Remark>,
) -> Result<Option<Pickup>, Failure> {
    let controls = (&arguments.volume, &arguments.tone);
    let (element, pots) = if let Some(own) = named(arguments, kit)? {
        return of_kit(own, arguments, remarks).map(Some);
    } else if let Some(text) = &arguments.pickup {
        (capacitive(text, arguments, kit, remarks)?, None)
    } else if let Some(text) = &arguments.coil {
        let (coil, pots) = magnetic(text, arguments, kit, remarks)?;
        (coil, Some(pots).filter(|_| controls == (&None, &None)))
    } else if controls == (&None, &None) {
        return Ok(None);
    } else {
        let file = "of a pickup in a file of setups volume = { ... } and tone = { ... } say them";
        return Err(Failure::Usage(format!("--volume and --tone go with --pickup or --coil: {file}")));
    };
    let mut pickup = Pickup::of(element);
    if let Some(pots) = pots {
        usual_controls(&mut pickup, pots, remarks)?;
    } else {
        pickup.volume = control::<VolumePot>("--volume", arguments.volume.as_deref())?;
        pickup.tone = control::<ToneControl>("--tone", arguments.tone.as_deref())?;
    }
    Ok(Some(pickup))
}

fn usual_controls(pickup: &mut Pickup, pots: Resistance, remarks: &mut Vec<Remark>) -> Result<(), Failure> {
    pickup.volume = Some(value("--volume", &pots.to_string())?);
    pickup.tone = Some(value("--tone", &format!("{pots} {USUAL_CAPACITOR}"))?);
    remarks.extend(pickup.tone.map(Remark::Controls));
    Ok(())
}

/// The pickup of the kit that either option names: a person's own goes before a kind of that name.
fn named(arguments: &PickupArguments, kit: &OwnKit) -> Result<Option<KitPickup>, Failure> {
    let Some(text) = arguments.pickup.as_ref().or(arguments.coil.as_ref()) else { return Ok(None) };
    let is_value = text.parse::<Capacitance>().is_ok() || text.parse::<Inductance>().is_ok();
    if is_value { Ok(None) } else { kit.pickup(text) }
}

/// A pickup of the kit, whichever option names it. What is typed beside it goes before what the kit says.
fn of_kit(own: KitPickup, arguments: &PickupArguments, remarks: &mut Vec<Remark>) -> Result<Pickup, Failure> {
    let KitPickup { name, mut pickup, .. } = own;
    if is_kind(&name) {
        remarks.push(Remark::OwnKind(name.clone()));
    }
    let PickupArguments { leakage, coil_resistance, winding, coil_loss, .. } = arguments;
    match &mut pickup.element {
        Element::Capacitive(element) => {
            let of_coil =
                [("--coil-resistance", coil_resistance), ("--winding", winding), ("--coil-loss", coil_loss)];
            refuse_beside(&name, "a piezo pickup", &of_coil)?;
            element.leakage = optional("--leakage", leakage.as_deref())?.or(element.leakage);
        }
        Element::Magnetic(coil) => {
            refuse_beside(&name, "a coil", &[("--leakage", leakage)])?;
            let resistance = optional("--coil-resistance", coil_resistance.as_deref())?;
            coil.resistance = resistance.unwrap_or(coil.resistance);
            coil.winding = optional("--winding", winding.as_deref())?.or(coil.winding);
            coil.loss = optional("--coil-loss", coil_loss.as_deref())?.or(coil.loss);
        }
    }
    if let Some(volume) = arguments.volume.as_deref() {
        pickup.volume = control("--volume", Some(volume))?;
    }
    if let Some(tone) = arguments.tone.as_deref() {
        pickup.tone = control("--tone", Some(tone))?;
    }
    let is_unsaid = (&arguments.volume, &arguments.tone) == (&None, &None);
    if pickup.is_magnetic() && is_unsaid && pickup.volume.is_none() && pickup.tone.is_none() {
        usual_controls(&mut pickup, value("--volume", USUAL_POTS)?, remarks)?;
    }
    Ok(pickup)
}

/// Options that do not go with what the kit says that a pickup is.
fn refuse_beside(name: &str, is: &str, options: &[(&str, &Option<String>)]) -> Result<(), Failure> {
    match options.iter().find(|(_, given)| given.is_some()) {
        Some((option, _)) => {
            Err(Failure::Usage(format!("{option}: '{name}' is {is} of the kit, which has none")))
        }
        None => Ok(()),
    }
}

fn control<T: std::str::FromStr<Err = UnitError>>(
    option: &'static str,
    text: Option<&str>,
) -> Result<Option<T>, Failure> {
    optional(option, text.filter(|text| !text.trim().eq_ignore_ascii_case("none")))
}

fn optional<T: std::str::FromStr<Err = UnitError>>(
    option: &'static str,
    text: Option<&str>,
) -> Result<Option<T>, Failure> {
    text.map(|text| value(option, text)).transpose()
}

fn capacitive(
    text: &str,
    arguments: &PickupArguments,
    kit: &OwnKit,
    remarks: &mut Vec<Remark>,
) -> Result<Element, Failure> {
    let leakage = optional("--leakage", arguments.leakage.as_deref())?;
    let capacitance = if is_word(text) {
        let kinds = PickupKind::all();
        let named = kinds.iter().map(|kind| (kind.word.as_str(), kind.name.as_str()));
        let kind = &kinds[find("--pickup", text, named, kit, "680p or '470p to 4.7n'")?];
        let capacitance = kind.range();
        remarks.push(Remark::Kind { name: kind.name.clone(), capacitance });
        capacitance
    } else {
        value("--pickup", text)?
    };
    Ok(Element::Capacitive(CapacitivePickup { capacitance, leakage }))
}

/// The coil and the pots that are usual with it. What is typed beside a kind goes before what is usual of it.
fn magnetic(
    text: &str,
    arguments: &PickupArguments,
    kit: &OwnKit,
    remarks: &mut Vec<Remark>,
) -> Result<(Element, Resistance), Failure> {
    let kinds = CoilKind::all();
    let named = kinds.iter().map(|kind| (kind.word.as_str(), kind.name.as_str()));
    let found = is_word(text).then(|| find("--coil", text, named, kit, "'4.7 H' with --coil-resistance"));
    let kind = found.transpose()?.map(|index| &kinds[index]);
    let resistance = optional("--coil-resistance", arguments.coil_resistance.as_deref())?;
    let coil = MagneticPickup {
        inductance: kind.map_or_else(|| value("--coil", text), |kind| Ok(kind.inductance))?,
        resistance: resistance.or(kind.map(|kind| kind.resistance)).ok_or_else(|| {
            let kinds = "or name a kind instead, such as --coil double (firstjack list shows all)";
            Failure::Usage(format!("--coil needs --coil-resistance, such as 8k2; {kinds}"))
        })?,
        winding: optional("--winding", arguments.winding.as_deref())?.or(kind.map(|kind| kind.winding)),
        loss: optional("--coil-loss", arguments.coil_loss.as_deref())?.or(kind.map(|kind| kind.loss)),
    };
    let Some(kind) = kind else { return Ok((Element::Magnetic(coil), value("--volume", USUAL_POTS)?)) };
    remarks.push(Remark::CoilKind { name: kind.name.clone(), coil });
    Ok((Element::Magnetic(coil), kind.pots))
}

/// Values have digits: `n47`.
fn is_word(text: &str) -> bool {
    text.trim().starts_with(char::is_alphabetic) && !text.contains(|c: char| c.is_ascii_digit())
}

/// Which kind a text names: its word, or words that only its name has, each perhaps cut short.
fn find<'a>(
    option: &str,
    text: &str,
    kinds: impl Iterator<Item = (&'a str, &'a str)> + Clone,
    kit: &OwnKit,
    values: &str,
) -> Result<usize, Failure> {
    let typed = text.trim().to_lowercase();
    let names = |name: &str| {
        let is_begun = |typed: &str| name.split(' ').any(|word| word.starts_with(typed));
        typed.split_whitespace().all(is_begun)
    };
    let mut found = kinds.clone().enumerate().filter(|(_, (_, name))| names(name)).map(|(index, _)| index);
    let exact = kinds.clone().position(|(word, name)| word == typed || name == typed);
    let only = match (exact, found.next(), found.next()) {
        (Some(exact), ..) => Some(exact),
        (None, only, None) => only,
        (None, ..) => None,
    };
    only.ok_or_else(|| {
        let words: Vec<&str> = kinds.map(|(word, _)| word).collect();
        let text = text.trim();
        let hint = kit.hint(text);
        Failure::Usage(format!(
            "{option}: '{text}' is no kind of pickup{hint}: accepted are {}, or values such as {values}, or names of the kit",
            words.join(", ")
        ))
    })
}

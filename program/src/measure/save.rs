//! What was found, kept in the person's kit.

use std::io;
use std::path::Path;
use std::str::FromStr;

use dsp_core::circuit::{CapacitivePickup, Element, Input, InputBox, MagneticPickup, Pickup, Transformer};
use dsp_core::kit::{self, Entry, KitBox, KitError, KitPickup, Levels, Origin, check_name};
use dsp_core::units::Ratio;
use firstjack_kit::{KitFile, KitFileError};
use firstjack_measure::{Estimate, Found};
use time::OffsetDateTime;

use super::finding::{Finding, Method, Subject};
use super::notation::Quantity;
use crate::error::Failure;
use crate::name::Name;

/// A name in a kit that is free.
pub struct Kept<'a> {
    pub name: &'a str,
    /// Whether it is a kit that has to be named, since it is not the usual one.
    is_said: bool,
    file: KitFile,
}

impl<'a> Kept<'a> {
    /// Asked before anything is measured: whether it can be a name, and is not there.
    pub fn new(name: &'a str, kit: Option<&Path>) -> Result<Self, Failure> {
        check_name(name).map_err(|problem| Failure::Usage(format!("--save: {problem}")))?;
        let (file, is_said) = (KitFile::find(kit)?, kit.is_some());
        let kit = match file.read() {
            // It is made.
            Err(KitFileError::Read { error, .. }) if error.kind() == io::ErrorKind::NotFound => {
                return Ok(Self { name, is_said, file });
            }
            kit => kit?,
        };
        match kit.entry(name) {
            Some(there) => Err(there_already(&KitError::There(there.name().to_owned()))),
            None => Ok(Self { name, is_said, file }),
        }
    }

    /// Adds what was found.
    pub fn keep(&self, finding: &Finding) -> Result<(), Failure> {
        let entry = entry(self.name, finding).ok_or_else(|| {
            let problem = "an end of what was found is open, and a kit has values with both ends";
            Failure::Usage(format!("--save: {problem}: leave it out"))
        })?;
        Ok(self.file.change(|draft| draft.add(&entry))?)
    }

    pub fn path(&self) -> &Path {
        self.file.path()
    }

    /// What other commands find it by.
    pub fn options(&self, finding: &Finding) -> String {
        // Every shell takes double quotes, and Windows' no others; what other systems' would read in them stands in single ones.
        let quoted = |text: &str| {
            if cfg!(not(windows)) && text.contains(['"', '$', '`', '\\', '!']) {
                format!("'{}'", text.replace('\'', "'\\''"))
            } else {
                format!("\"{text}\"")
            }
        };
        let named = format!("--{} {}", finding.subject.option(), quoted(self.name));
        if self.is_said { format!("{named} --kit {}", quoted(&Name::of(self.path()))) } else { named }
    }
}

fn there_already(error: &KitError) -> Failure {
    Failure::Usage(format!("--save: {error}: give another name, or take that one away (firstjack kit)"))
}

/// As a kit has it; `None` where it cannot be said with both ends.
fn entry(name: &str, finding: &Finding) -> Option<Entry> {
    let found = &finding.measured.found;
    let alone = found.capacitance_f.is_some() || found.total_capacitance_f.is_none();
    let origin = Origin {
        measured: OffsetDateTime::now_utc().date().to_string().parse().ok(),
        method: Some(match finding.method {
            Method::Sweep => kit::Method::Sweep,
            Method::Toggle => kit::Method::Toggle,
            Method::Rub => kit::Method::Rub,
            Method::Meter => kit::Method::Meter,
        }),
        remarks: (!alone).then(|| "with the cable that it was measured through".to_owned()),
    };
    let pickup = |element| {
        Entry::from(KitPickup { name: name.to_owned(), pickup: Pickup::of(element), origin: origin.clone() })
    };
    match finding.subject {
        Subject::Pickup => {
            let capacitance = value(Quantity::Farads, found.capacitance_f.or(found.total_capacitance_f))?;
            Some(pickup(Element::Capacitive(CapacitivePickup { capacitance, leakage: None })))
        }
        Subject::Coil => Some(pickup(Element::Magnetic(MagneticPickup {
            inductance: value(Quantity::Henries, found.inductance_h)?,
            resistance: value(Quantity::Ohms, found.resistance_ohms)?,
            winding: value(Quantity::Farads, found.winding_f),
            loss: value(Quantity::Ohms, found.loss_ohms),
        }))),
        Subject::Box => {
            Some(KitBox { input: input_box(name, found)?, levels: Levels::default(), origin }.into())
        }
    }
}

/// A transformer is kept as what it reflects: its primary, and the load across it by a ratio of one.
fn input_box(name: &str, found: &Found) -> Option<InputBox> {
    let resistance = value(Quantity::Ohms, found.input_ohms)?;
    let mut input = InputBox::new(name, resistance);
    if found.primary_h.is_some() {
        input.input = Input::Transformer(Transformer {
            primary: value(Quantity::Henries, found.primary_h)?,
            winding: None,
            ratio: Ratio::from_value(1.0).ok()?,
            secondary: resistance,
            capacitance: None,
            core: None,
        });
    }
    input.capacitance = value(Quantity::Farads, found.input_f);
    input.blocking = value(Quantity::Farads, found.blocking_f);
    Some(input)
}

fn value<Value: FromStr>(quantity: Quantity, estimate: Option<Estimate>) -> Option<Value> {
    quantity.typed(estimate?)?.parse().ok()
}

use dsp_core::circuit::{Element, Input, InputBox, Pickup};
use dsp_core::kit::Kit;
use firstjack_kit::KitFile;

use super::Message;

/// A person's own pickups and boxes, as menus offer them: read when a menu opens, so that what was measured meanwhile is there.
#[derive(Debug, Default)]
pub(super) struct Shelf {
    file: Option<KitFile>,
    kit: Kit,
    problem: Option<String>,
}

impl Shelf {
    /// Of a file; without one it stays empty.
    pub fn new(file: Option<KitFile>) -> Self {
        Self { file, ..Self::default() }
    }

    /// Reads it. A damaged one is told, and nothing of it offered.
    pub fn read(&mut self, out: &mut Vec<Message>) {
        let read = self.file.as_ref().map_or_else(|| Ok(Kit::default()), KitFile::read);
        (self.kit, self.problem) = match read {
            Ok(kit) => (kit, None),
            Err(error) => (Kit::default(), Some(error.to_string())),
        };
        out.extend(self.problem.clone().map(Message::Notice));
    }

    /// What was read last.
    pub fn kit(&self) -> &Kit {
        &self.kit
    }

    /// Why nothing was read.
    pub fn problem(&self) -> Option<&str> {
        self.problem.as_deref()
    }
}

/// What tells pickups apart: `680 pF ±6 %`, `4.7 H ±5 %, 8.2 kΩ`.
pub(super) fn pickup_values(pickup: &Pickup) -> String {
    match &pickup.element {
        Element::Capacitive(capacitive) => capacitive.capacitance.to_string(),
        Element::Magnetic(magnetic) => format!("{}, {}", magnetic.inductance, magnetic.resistance),
    }
}

/// What tells boxes apart: `1 MΩ ±3 %`, `47 H transformer`.
pub(super) fn box_values(input: &InputBox) -> String {
    match &input.input {
        Input::Resistance(resistance) => resistance.to_string(),
        Input::Transformer(transformer) => format!("{} transformer", transformer.primary),
    }
}

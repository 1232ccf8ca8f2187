use dsp_core::circuit::{Element, Input, InputBox, Pickup};
use dsp_core::kit::Kit;
use dsp_core::preset::{Preset, PresetError};
use firstjack_kit::KitFile;

use crate::editor::Message;

/// A person's own pickups and boxes, as menus offer them: read when a menu opens, so that what was measured meanwhile is there.
#[derive(Debug, Default)]
pub(crate) struct Shelf {
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

/// A file of setups, in which names of the person's kit may stand: what is opened has their values.
///
/// # Errors
/// What is wrong with it, or which name is not in the kit.
pub(crate) fn preset(text: &str, file: Option<KitFile>) -> Result<Preset, PresetError> {
    Preset::from_toml(text).or_else(|error| {
        // Only where a name may be what is wrong.
        if Kit::default().embed(text).is_ok() {
            return Err(error);
        }
        let kit = file.and_then(|file| file.read().ok()).unwrap_or_default();
        kit.preset(text).map(|(preset, _)| preset)
    })
}

/// What tells pickups apart: `680 pF ±6 %`, `4.7 H ±5 %, 8.2 kΩ`.
pub(crate) fn pickup_values(pickup: &Pickup) -> String {
    match &pickup.element {
        Element::Capacitive(capacitive) => capacitive.capacitance.to_string(),
        Element::Magnetic(magnetic) => format!("{}, {}", magnetic.inductance, magnetic.resistance),
    }
}

/// What tells boxes apart: `1 MΩ ±3 %`, `47 H transformer`.
pub(crate) fn box_values(input: &InputBox) -> String {
    match &input.input {
        Input::Resistance(resistance) => resistance.to_string(),
        Input::Transformer(transformer) => format!("{} transformer", transformer.primary),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const NAMED: &str =
        "version = 5\nname = 'x'\npickup = 'our bridge'\n[[setup]]\nname = 's'\nload = 'our tuner || 470k'\n";

    #[test]
    fn a_file_that_names_the_kit_opens() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("kit.toml");
        let kit = "version = 1\n[[pickup]]\nname = 'our bridge'\ncapacitance = '680 pF ±6 %'\n[[box]]\nname = 'our tuner'\ninput = '1M'\n";
        std::fs::write(&path, kit).unwrap();
        let file = KitFile::find(Some(&path)).ok();
        let opened = preset(NAMED, file.clone()).unwrap();
        assert_eq!(pickup_values(opened.pickups.pickup(0)), "680 pF ±6 %");
        assert_eq!(Preset::from_toml(&opened.to_toml()), Ok(opened), "what is saved needs no kit");
        for file in [None, KitFile::find(Some(&folder.path().join("none.toml"))).ok()] {
            let error = preset(NAMED, file).unwrap_err().to_string();
            assert!(
                error.starts_with("line 3: pickup: 'our bridge' is neither a value nor in the kit"),
                "{error}"
            );
        }
        let slip = preset(&NAMED.replace("name = 's'", "nane = 's'"), file).unwrap_err().to_string();
        assert!(slip.contains("nane is not known here"), "{slip}");
        assert!(preset("version = 9", None).unwrap_err().to_string().contains("version = 9"));
    }
}

use super::PresetError;
use super::text::{PresetText, read_chain};
use crate::circuit::{Chain, Pickup};

/// The format version that is written and read.
const VERSION: i64 = 1;

/// A file of setups: what pickup, how the take was recorded, and what to hear it through.
///
/// ```
/// let preset = dsp_core::preset::Preset::from_toml(
///     r#"
///     version = 1
///     name = "Rehearsal"
///     pickup = { capacitance = "680 pF" }
///     recorded = { load = "22M" }
///
///     [[setup]]
///     name = "tuner's thru into the amplifier"
///     chain = [
///         { box = "tuner", input = "1M", thru = "before" },
///         { cable = "6 m" },
///         { box = "amplifier", input = "470k" },
///     ]
///     "#,
/// )?;
/// assert_eq!(preset.setups[0].chain.loading().count(), 3);
/// # Ok::<(), dsp_core::preset::PresetError>(())
/// ```
#[derive(Debug, Clone, PartialEq)]
pub struct Preset {
    /// What the file is called on screen.
    pub name: String,
    /// An instrument's id, for its strings.
    pub instrument: Option<String>,
    /// The pickup.
    pub pickup: Pickup,
    /// What the take was recorded through; empty for an unloaded take.
    pub recorded: Chain,
    /// What to hear it through, at least one.
    pub setups: Vec<Setup>,
}

/// A named chain to be heard.
#[derive(Debug, Clone, PartialEq)]
pub struct Setup {
    /// Its name, unique in the file.
    pub name: String,
    /// Its chain.
    pub chain: Chain,
}

impl Preset {
    /// Reads a file of version 1.
    ///
    /// # Errors
    /// If it is not TOML, has unknown or missing fields or values that cannot be read, comes from a later version, or
    /// describes a chain that cannot be.
    pub fn from_toml(text: &str) -> Result<Self, PresetError> {
        let as_text = |error: toml::de::Error| PresetError::Text(error.to_string().trim_end().to_owned());
        let table: toml::Table = text.parse().map_err(as_text)?;
        // Before anything else: a later version may have fields that would be unknown here.
        if let Some(found) = table.get("version").and_then(toml::Value::as_integer)
            && found != VERSION
        {
            return Err(PresetError::Version { found, accepted: VERSION });
        }
        let file: PresetText = toml::from_str(text).map_err(as_text)?;
        if file.setups.is_empty() {
            return Err(PresetError::NoSetups);
        }
        let mut setups: Vec<Setup> = Vec::new();
        for setup in file.setups {
            if setups.iter().any(|other| other.name == setup.name) {
                return Err(PresetError::SameName(setup.name));
            }
            let chain = read_chain(setup.load, setup.chain, &format!("setup '{}'", setup.name))?;
            setups.push(Setup { name: setup.name, chain });
        }
        let recorded = read_chain(file.recorded.load, file.recorded.chain, "recorded")?;
        Ok(Self { name: file.name, instrument: file.instrument, pickup: file.pickup, recorded, setups })
    }
}

use dsp_core::preset::Preset;
use firstjack_plugin::editor::{Document, Readings, Session, Stage};

const COURTYARD: &str = include_str!("../../../../presets/courtyard.toml");

/// A session in memory.
pub struct Fake {
    pub document: Document,
    pub readings: Readings,
    pub version: u64,
    /// Whether changes are refused.
    pub refuses: bool,
}

impl Default for Fake {
    fn default() -> Self {
        Self::with_preset(COURTYARD)
    }
}

impl Fake {
    pub fn with_preset(text: &str) -> Self {
        let document = Document {
            preset: Preset::from_toml(text).unwrap(),
            heard: None,
            bypass: false,
            ceiling_db: Some(24.0),
            level_match: true,
            guard: true,
            trim_db: 0.0,
            output_db: 0.0,
        };
        Self { document, readings: Readings::default(), version: 1, refuses: false }
    }

    /// As a host would.
    pub fn set(&mut self, change: impl FnOnce(&mut Document)) {
        change(&mut self.document);
        self.version += 1;
    }
}

impl Session for Fake {
    fn version(&mut self) -> u64 {
        self.version
    }

    fn document(&mut self) -> Document {
        self.document.clone()
    }

    fn change(&mut self, to: &Document, _stage: Stage) -> Result<(), String> {
        if self.refuses {
            return Err("refused".to_owned());
        }
        self.set(|document| document.clone_from(to));
        Ok(())
    }

    fn readings(&mut self) -> &Readings {
        &self.readings
    }
}

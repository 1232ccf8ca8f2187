//! A session that only remembers.

use dsp_core::preset::Preset;
use firstjack_plugin::editor::{Document, Readings, Session, Stage};

/// A document in memory, and all that was asked of it.
pub struct Fake {
    pub document: Document,
    pub changes: Vec<Stage>,
    readings: Readings,
    version: u64,
}

impl Fake {
    /// Of a preset; its first setup is heard.
    pub fn new(toml: &str) -> Self {
        let preset = Preset::from_toml(toml).expect("a preset");
        let document = Document {
            preset,
            heard: Some(0),
            bypass: false,
            ceiling_db: Some(24.0),
            level_match: true,
            guard: true,
            trim_db: 0.0,
            output_db: 0.0,
        };
        Self { document, changes: Vec::new(), readings: Readings::default(), version: 1 }
    }
}

impl Session for Fake {
    fn version(&mut self) -> u64 {
        self.version
    }

    fn document(&mut self) -> Document {
        self.document.clone()
    }

    fn change(&mut self, to: &Document, stage: Stage) -> Result<(), String> {
        self.document = to.clone();
        self.changes.push(stage);
        self.version += 1;
        Ok(())
    }

    fn readings(&mut self) -> &Readings {
        &self.readings
    }
}

//! A session in memory.

use dsp_core::preset::Preset;
use firstjack_plugin::editor::{Document, Readings, Session, Stage};

/// Holds any document that has at most six setups, and keeps what was asked of it.
pub struct Fake {
    pub document: Document,
    pub readings: Readings,
    pub changes: Vec<(Document, Stage)>,
    version: u64,
}

impl Fake {
    /// With the setups of a preset, by the text of its file.
    pub fn new(preset: &str) -> Self {
        let document = Document {
            preset: Preset::from_toml(preset).unwrap(),
            heard: None,
            bypass: false,
            ceiling_db: Some(24.0),
            level_match: true,
            guard: true,
            trim_db: 0.0,
            output_db: 0.0,
        };
        Self { document, readings: Readings::default(), changes: Vec::new(), version: 0 }
    }

    /// With the setups of the courtyard.
    pub fn courtyard() -> Self {
        Self::new(include_str!("../../../../presets/courtyard.toml"))
    }

    /// The stages of the changes so far.
    pub fn stages(&self) -> Vec<Stage> {
        self.changes.iter().map(|(_, stage)| *stage).collect()
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
        self.changes.push((to.clone(), stage));
        if to.preset.setups.len() > firstjack_plugin::SETUPS {
            return Err(format!("{} setups: at most {}", to.preset.setups.len(), firstjack_plugin::SETUPS));
        }
        self.document = to.clone();
        self.version += 1;
        Ok(())
    }

    fn readings(&mut self) -> &Readings {
        &self.readings
    }
}

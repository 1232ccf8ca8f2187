//! A session in memory.

use std::sync::Arc;

use dsp_core::preset::Preset;
use dsp_core::response::Ceiling;
use firstjack_plugin::editor::{Document, NoiseAsked, Readings, Session, Stage, View};

/// The setups of the courtyard, as the text of a file.
pub const COURTYARD: &str = include_str!("../../../presets/courtyard.toml");

/// Holds any document that has at most six setups, and remembers what was asked of it.
#[derive(Clone)]
pub struct Fake {
    pub document: Document,
    pub readings: Readings,
    /// The stages of the changes so far, those that were refused included.
    pub changes: Vec<Stage>,
    /// Whether every change is refused.
    pub refuses: bool,
    /// What was asked of noise last.
    pub asked: Arc<NoiseAsked>,
    version: u64,
    loads: u64,
    view: View,
}

impl Fake {
    /// With the setups of a preset, by the text of its file. The take is heard as recorded.
    pub fn new(preset: &str) -> Self {
        let document = Document {
            preset: Preset::from_toml(preset).unwrap(),
            heard: None,
            bypass: false,
            ceiling: Ceiling::default(),
            floor: None,
            level_match: true,
            hold: false,
            guard: true,
            trim_db: 0.0,
            output_db: 0.0,
        };
        Self {
            document,
            readings: Readings::default(),
            changes: Vec::new(),
            refuses: false,
            asked: Arc::default(),
            version: 0,
            loads: 0,
            view: View::default(),
        }
    }

    pub fn courtyard() -> Self {
        Self::new(COURTYARD)
    }

    /// With this setup heard, counted from zero.
    pub fn hearing(mut self, setup: usize) -> Self {
        self.document.heard = Some(setup);
        self
    }

    /// As a host loads a state.
    pub fn load(&mut self, preset: &str) {
        self.loads += 1;
        self.set(|document| document.preset = Preset::from_toml(preset).unwrap());
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

    fn change(&mut self, from: &Document, to: &Document, stage: Stage) -> Result<(), String> {
        assert_eq!(from, &self.document, "not what is true now");
        self.changes.push(stage);
        if self.refuses {
            return Err("refused".to_owned());
        }
        let (count, most) = (to.preset.setups.len(), firstjack_plugin::SETUPS);
        if count > most {
            return Err(format!("{count} setups: at most {most}"));
        }
        self.set(|document| document.clone_from(to));
        Ok(())
    }

    fn loads(&mut self) -> u64 {
        self.loads
    }

    fn view(&mut self) -> View {
        self.view.clone()
    }

    fn keep_view(&mut self, view: View) {
        self.view = view;
    }

    fn readings(&mut self) -> &Readings {
        &self.readings
    }

    fn heed(&mut self, asked: &Arc<NoiseAsked>) {
        self.asked.clone_from(asked);
    }
}

use std::sync::Arc;

use dsp_core::circuit::Pickups;
use firstjack_plugin::editor::{Document, Readings, Session, Stage};
use firstjack_plugin::{LiveDesk, LiveEngine, live};

use super::decode::Sound;

/// What lies behind the editor of a take: the document, and where it is handed on to the sound.
pub struct PlayerSession {
    document: Document,
    version: u64,
    desk: LiveDesk,
    readings: Readings,
    sound: Arc<Sound>,
}

impl PlayerSession {
    /// With the engine that is heard.
    ///
    /// # Errors
    /// If the document cannot be heard, or not with this take, in words.
    pub fn new(document: Document, sound: Arc<Sound>) -> Result<(Self, LiveEngine), String> {
        check_tracks(&document, &sound)?;
        let rate_hz = f64::from(sound.rate_hz);
        let (desk, engine) =
            live(rate_hz, sound.channels.len(), &document).map_err(|error| error.to_string())?;
        let readings = Readings { rate_hz, ..Readings::default() };
        Ok((Self { document, version: 0, desk, readings, sound }, engine))
    }
}

/// Each pickup of a blend has its own change, so it needs its own track.
fn check_tracks(document: &Document, sound: &Sound) -> Result<(), String> {
    match (&document.preset.pickups, sound.channels.len()) {
        (Pickups::Blend(_), 1) => {
            Err("a blend of two pickups needs a track for each, the take has 1 channel; accepted is a \
                                       take of two channels, the first pickup's on channel 1"
                .to_owned())
        }
        _ => Ok(()),
    }
}

impl Session for PlayerSession {
    fn version(&mut self) -> u64 {
        self.version
    }

    fn document(&mut self) -> Document {
        self.document.clone()
    }

    fn change(&mut self, to: &Document, _stage: Stage) -> Result<(), String> {
        check_tracks(to, &self.sound)?;
        self.desk.set(to).map_err(|error| error.to_string())?;
        self.document = to.clone();
        self.version += 1;
        Ok(())
    }

    fn readings(&mut self) -> &Readings {
        &self.readings
    }
}

#[cfg(test)]
pub mod tests {
    use dsp_core::preset::Preset;

    use super::super::document_of;
    use super::*;

    fn preset(name: &str) -> Preset {
        let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("../presets");
        Preset::from_toml(&std::fs::read_to_string(folder.join(name)).unwrap()).unwrap()
    }

    /// The courtyard's, heard as recorded, without anything that could change the sound.
    pub fn document() -> Document {
        Document { heard: None, ..document_of(preset("courtyard.toml")) }
    }

    fn sound(channels: usize) -> Arc<Sound> {
        let channels_in_file = channels;
        let channels = vec![vec![0.1; 100]; channels];
        Arc::new(Sound { rate_hz: 44_100, channels, channels_in_file, is_truncated: false })
    }

    #[test]
    fn changes_are_kept_and_counted() {
        let (mut session, _) = PlayerSession::new(document(), sound(1)).unwrap();
        let before = session.version();
        let to = Document { heard: Some(2), ..document() };
        session.change(&to, Stage::Whole).unwrap();
        assert_eq!(session.document(), to);
        assert_ne!(session.version(), before);
        assert_eq!(session.readings().rate_hz, 44_100.0);
    }

    #[test]
    fn what_cannot_be_heard_is_refused_in_words() {
        let (mut session, _) = PlayerSession::new(document(), sound(1)).unwrap();
        let blend = document_of(preset("blend.toml"));
        let problem = session.change(&blend, Stage::Whole).unwrap_err();
        assert!(problem.contains("needs a track for each"), "{problem}");
        let mut crowded = document();
        crowded.preset.setups.push(crowded.preset.setups[0].clone());
        let problem = session.change(&crowded, Stage::Whole).unwrap_err();
        assert_eq!(problem, "there are 7 setups: accepted are at most 6");
        assert_eq!((session.document(), session.version()), (document(), 0));
        assert!(PlayerSession::new(blend.clone(), sound(1)).is_err());
        assert!(PlayerSession::new(blend, sound(2)).is_ok());
    }
}

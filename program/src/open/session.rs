use std::sync::Arc;

use dsp_core::circuit::Pickups;
use firstjack_plugin::editor::{Document, Listener, NoiseAsked, Readings, Session, Stage, View};
use firstjack_plugin::telemetry::Telemetry;
use firstjack_plugin::{LiveDesk, LiveEngine, SETUPS, live};

use super::decode::Sound;

/// So much of a take is listened to before it is heard, so that all setups are as loud as each other from the first note on; a shorter
/// one over and over.
const FIRST_SECONDS: f64 = 20.0;
/// Then what rings on is heard out.
const RING_SECONDS: f64 = 2.0;
/// Longer than the engine takes to tell the next of the six gains.
const TELL_SECONDS: f64 = 0.011;
/// Frames that are processed together.
const BLOCK: usize = 4096;

/// What lies behind the editor of a take: the document, and where it is handed on to the sound.
pub struct PlayerSession {
    document: Document,
    view: View,
    version: u64,
    desk: LiveDesk,
    telemetry: Arc<Telemetry>,
    listener: Listener,
    sound: Arc<Sound>,
    /// The engine while no device keeps it going.
    unheard: Option<LiveEngine>,
}

impl PlayerSession {
    /// With the engine that is heard.
    ///
    /// # Errors
    /// If the document cannot be heard, or not with this take, in words.
    pub fn new(document: Document, sound: Arc<Sound>) -> Result<(Self, LiveEngine), String> {
        check_tracks(&document, &sound)?;
        let telemetry = Arc::new(Telemetry::default());
        let (desk, engine) = prepared(&document, &sound, &telemetry)?;
        let listener = Listener::new(telemetry.clone());
        let session = Self {
            document,
            view: View::default(),
            version: 0,
            desk,
            telemetry,
            listener,
            sound,
            unheard: None,
        };
        Ok((session, engine))
    }

    /// Keeps an engine of its own, since there is no device: then the matching gains are told all the same.
    ///
    /// # Errors
    /// As for [`PlayerSession::new`].
    pub fn go_unheard(&mut self) -> Result<(), String> {
        let (desk, engine) = prepared(&self.document, &self.sound, &self.telemetry)?;
        (self.desk, self.unheard) = (desk, Some(engine));
        self.settle();
        Ok(())
    }

    /// Takes in what has sounded since the last frame, at so many seconds of the window's clock.
    pub fn listen(&mut self, now_seconds: f64) -> &Readings {
        self.listener.listen(now_seconds)
    }

    /// Until all six gains have been told.
    fn settle(&mut self) {
        let Some(engine) = &mut self.unheard else { return };
        let frames = frames(TELL_SECONDS, &self.sound);
        (0..SETUPS).for_each(|_| silence(engine, &self.sound, frames));
    }
}

/// An engine that knows how loud the take is.
fn prepared(
    document: &Document,
    sound: &Sound,
    telemetry: &Arc<Telemetry>,
) -> Result<(LiveDesk, LiveEngine), String> {
    let rate_hz = f64::from(sound.rate_hz);
    let started = live(rate_hz, sound.channels.len(), document, telemetry);
    let (desk, mut engine) = started.map_err(|error| error.to_string())?;
    let mut left = frames(FIRST_SECONDS, sound);
    for start in (0..sound.frames()).step_by(BLOCK).cycle() {
        let end = sound.frames().min(start + BLOCK);
        left = left.saturating_sub(end - start);
        let mut block: Vec<Vec<f32>> = sound.channels.iter().map(|c| c[start..end].to_vec()).collect();
        engine.process(&mut block.iter_mut().map(Vec::as_mut_slice).collect::<Vec<_>>());
        if left == 0 {
            break;
        }
    }
    silence(&mut engine, sound, frames(RING_SECONDS, sound));
    Ok((desk, engine))
}

fn silence(engine: &mut LiveEngine, sound: &Sound, frames: usize) {
    let mut block = vec![vec![0.0; frames]; sound.channels.len()];
    engine.process(&mut block.iter_mut().map(Vec::as_mut_slice).collect::<Vec<_>>());
}

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "seconds at a rate up to 384 kHz"
)]
fn frames(seconds: f64, sound: &Sound) -> usize {
    (seconds * f64::from(sound.rate_hz)) as usize
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

    fn change(&mut self, _from: &Document, to: &Document, _stage: Stage) -> Result<(), String> {
        check_tracks(to, &self.sound)?;
        self.desk.set(to).map_err(|error| error.to_string())?;
        self.document = to.clone();
        self.version += 1;
        self.settle();
        Ok(())
    }

    fn view(&mut self) -> View {
        self.view.clone()
    }

    fn keep_view(&mut self, view: View) {
        self.view = view;
    }

    fn readings(&mut self) -> &Readings {
        self.listener.readings()
    }

    fn heed(&mut self, asked: &Arc<NoiseAsked>) {
        self.listener.heed(asked);
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
        session.change(&document(), &to, Stage::Whole).unwrap();
        assert_eq!(session.document(), to);
        assert_ne!(session.version(), before);
        assert_eq!(session.listen(0.0).rate_hz, 44_100.0);
    }

    /// A note of 110 Hz for a second, which a low load loses: 110 Hz through 680 pF and 56 kΩ by the textbook is 31.6 dB down, and
    /// the take itself, through 22 MΩ, 0.0 dB; loudness has one frequency to weigh, so the gain is the difference. The tuner (1 MΩ)
    /// loses 7.4 dB. To within the width of the predictor's bands: 0.3 dB.
    #[test]
    fn gains_are_known_before_anything_is_heard() {
        let tone = |frame: u16| 0.3 * (std::f32::consts::TAU * 110.0 / 44_100.0 * f32::from(frame)).sin();
        let channels = vec![(0..44_100).map(tone).collect::<Vec<f32>>()];
        let sound = Sound { rate_hz: 44_100, channels, channels_in_file: 1, is_truncated: false };
        let (mut session, mut engine) = PlayerSession::new(document(), Arc::new(sound)).unwrap();
        assert_eq!(session.listen(0.0).matching_db, [None; SETUPS]);
        let check = |gains: [Option<f64>; SETUPS], expected: [(usize, f64); 2]| {
            for (setup, db) in expected {
                assert!((gains[setup].unwrap() - db).abs() < 0.3, "{gains:?}");
            }
        };
        // A device asks for silence.
        (0..SETUPS).for_each(|_| engine.process(&mut [&mut [0.0; 500]]));
        check(session.listen(0.1).matching_db, [(0, 31.6), (2, 7.4)]);
        // There is none.
        session.go_unheard().unwrap();
        check(session.listen(0.2).matching_db, [(0, 31.6), (2, 7.4)]);
        let mut to = document();
        to.preset.setups.swap(0, 2);
        session.change(&document(), &to, Stage::Whole).unwrap();
        check(session.listen(0.3).matching_db, [(2, 31.6), (0, 7.4)]);
    }

    /// What a device plays is measured.
    #[test]
    fn meters_hear_what_is_played() {
        let (mut session, mut engine) = PlayerSession::new(document(), sound(2)).unwrap();
        let silent = session.listen(0.0).clone();
        (0..50).for_each(|_| engine.process(&mut [&mut [0.5; 441], &mut [-0.5; 441]]));
        let heard = (1..6).map(|frame| session.listen(f64::from(frame) * 0.1).clone()).last().unwrap();
        assert!(heard.input.true_peak_db > -6.5 && heard.version > silent.version, "{heard:?}");
        assert_eq!(heard.input.true_peak_db, heard.output.true_peak_db, "as recorded");
        assert!(!heard.spectrum.is_empty());
    }

    #[test]
    fn what_cannot_be_heard_is_refused_in_words() {
        let (mut session, _) = PlayerSession::new(document(), sound(1)).unwrap();
        let blend = document_of(preset("blend.toml"));
        let problem = session.change(&document(), &blend, Stage::Whole).unwrap_err();
        assert!(problem.contains("needs a track for each"), "{problem}");
        let mut crowded = document();
        crowded.preset.setups.push(crowded.preset.setups[0].clone());
        let problem = session.change(&document(), &crowded, Stage::Whole).unwrap_err();
        assert_eq!(problem, "there are 7 setups: accepted are at most 6");
        assert_eq!((session.document(), session.version()), (document(), 0));
        assert!(PlayerSession::new(blend.clone(), sound(1)).is_err());
        assert!(PlayerSession::new(blend, sound(2)).is_ok());
    }
}

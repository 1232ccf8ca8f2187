//! What the noise of a live input allows an undo, in a host: as the sums over the true noise have it, and as `firstjack render` does.

use std::thread::sleep;
use std::time::{Duration, Instant};

use dsp_core::circuit::{Chain, Pickup};
use dsp_core::response::{Ceiling, Change, Transfer};
use firstjack_measure::noise::{AutoCeiling, Margins, NoiseMeter, Stop, Track};
use firstjack_plugin::editor::{Allowance, Edit, HostSession, Message, Model, Session as _, Stage};
use firstjack_plugin::telemetry::Telemetry;

use crate::host::{Host, Sound, Told};
use crate::judge::{Judge, RATE_HZ, STRINGS_HZ, True, music};
use crate::{Open, spy};

const UNDO: &str = "version = 5\nname = 'Undo'\ninstrument = 'guitarron'\npickup = '680p'\nrecorded = '56k'\n\
                    [[setup]]\nname = 'nothing'\nload = 'none'\n\
                    [[setup]]\nname = 'as it was'\nload = '56k'\n";
/// Some blocks of a host, odd and even.
const BLOCKS: [usize; 6] = [441, 64, 1009, 777, 1, 2048];

/// A window in a host that plays.
struct Playing {
    host: Host,
    session: HostSession,
    telemetry: std::sync::Arc<Telemetry>,
    model: Model,
    begin: Instant,
}

impl Playing {
    fn new(preset: &str) -> Self {
        let Open { mut host, mut session } = Open::new();
        host.load_preset(preset);
        host.set("Heard setup", "Setup 1");
        host.start(RATE_HZ);
        let model = Model::new(&mut session);
        host.told_until_quiet();
        Self { host, session, telemetry: spy::telemetry(), model, begin: Instant::now() }
    }

    /// As a window draws.
    fn frame(&mut self) -> Allowance {
        self.model.refresh(&mut self.session);
        self.session.listen(self.begin.elapsed().as_secs_f64());
        self.session.readings().allowance.clone()
    }

    /// Faster than it sounds, and no faster than it is heard.
    fn play(&mut self, sound: &Sound) {
        self.frame();
        // The window's thread has been asked.
        sleep(Duration::from_millis(250));
        let frames = sound[0].len();
        for start in (0..frames).step_by(72_000) {
            let end = frames.min(start + 72_000);
            let part: Sound = sound.iter().map(|channel| channel[start..end].to_vec()).collect();
            self.host.run_with(&part, BLOCKS.into_iter().cycle(), &[]);
            self.frame();
            while self.telemetry.long().as_ref().is_some_and(|stream| !stream.is_empty()) {
                sleep(Duration::from_millis(5));
            }
        }
    }

    /// What is told once it has not changed for a while.
    fn told(&mut self) -> Allowance {
        let (mut last, mut since) = (self.frame(), Instant::now());
        while since.elapsed() < Duration::from_millis(1_200) {
            sleep(Duration::from_millis(20));
            let now = self.frame();
            if now != last {
                (last, since) = (now, Instant::now());
            }
        }
        last
    }

    fn auto(&mut self) -> AutoCeiling {
        match self.told() {
            Allowance::Allows(auto) => auto,
            other => panic!("{other:?}"),
        }
    }
}

#[expect(clippy::cast_possible_truncation, reason = "samples are f32")]
fn sum(music: &[f64], noise: &[f64]) -> Vec<f32> {
    music.iter().zip(noise).map(|(a, b)| (a + b) as f32).collect()
}

/// The same music on both channels of one pickup, each with noise of its own.
fn stereo(music: &[f64], noise: &True, seed: u64) -> Sound {
    [seed, seed + 1].map(|seed| sum(music, &noise.samples(music.len(), seed))).to_vec()
}

/// As `firstjack render --undo-ceiling auto` finds it.
fn rendered(sound: &Sound) -> AutoCeiling {
    let mut meter = NoiseMeter::new(RATE_HZ, &STRINGS_HZ, None);
    let channels: Vec<Vec<f64>> =
        sound.iter().map(|channel| channel.iter().map(|x| f64::from(*x)).collect()).collect();
    meter.add(channels.iter().map(Vec::as_slice));
    let pickup = Pickup::new("680p".parse().unwrap()).into();
    let (loaded, free) = (Chain::from(&"56k".parse().unwrap()), Chain::default());
    let change = Change::new(&Transfer::new(&pickup, &loaded), &Transfer::new(&pickup, &free));
    let shape = |ceiling| change.shape(ceiling);
    AutoCeiling::new(&[Track { heard: &meter.finish(), shape: &shape }], Margins::default()).unwrap()
}

/// So little noise that everything comes back, rumble that lets some of it, hum that drowns A1 or nearly does.
fn cases() -> [True; 4] {
    let quiet = True { density_db: -125.0, rumble_db: -200.0, lines: vec![] };
    let hum = |db| True { lines: vec![(50.0, db), (150.0, db - 12.0)], ..quiet.clone() };
    [
        True { density_db: -110.0, ..quiet.clone() },
        True { rumble_db: -77.3, ..quiet.clone() },
        hum(-76.5),
        hum(-70.0),
    ]
}

/// A ceiling hardly moves a margin, so that it is steep in the noise, and 25 rests of some 1.5 independent frames tell the power of a band with five
/// independent values at 30 Hz to 7 % (one over the root of their number): margins may be two standard deviations off, 0.6 dB.
#[test]
fn it_is_that_of_the_true_noise_and_renders() {
    let music = music(100);
    let mut all = Vec::new();
    for (index, noise) in cases().into_iter().enumerate() {
        let sound = stereo(&music, &noise, 10 * index as u64);
        let mut playing = Playing::new(UNDO);
        // What is bypassed comes in all the same.
        if index == 1 {
            playing.host.set("Bypass", "on");
        }
        playing.play(&sound);
        let (found, by_render) = (playing.auto(), rendered(&sound));
        let judge = Judge::new(&music, noise.clone());
        let [low_db, high_db] = [0.6, -0.6].map(|more_db| judge.ceiling_db(more_db));
        assert!((found.db - by_render.db).abs() <= 0.5, "{noise:?}: {found:?}, render finds {by_render:?}");
        assert!(
            (low_db - 1.0..=high_db + 1.0).contains(&found.db),
            "{noise:?}: {found:?}, {low_db} to {high_db} by the sums"
        );
        all.push(found);
    }
    // Each of them tells something else.
    assert_eq!(all[0].stop, Stop::Enough);
    assert!(matches!(all[1].stop, Stop::Rumble { hum_hz: None }) && all[1].db < all[0].db, "{:?}", all[1]);
    assert!(
        matches!(all[3].stop, Stop::String { index: 0, hum_hz: Some(_), .. }) && all[3].db == 1.0,
        "{:?}",
        all[3]
    );
}

/// By itself it moves nothing; a press is one gesture of one parameter, and one edit that is taken back.
#[test]
fn only_a_press_moves_the_limit() {
    let mut playing = Playing::new(UNDO);
    playing.play(&stereo(&music(24), &cases()[0], 3));
    let auto = playing.auto();
    let limit = "Undo ceiling";
    assert_eq!((playing.host.text(limit), playing.host.told_until_quiet()), ("24 dB".to_owned(), vec![]));
    let edit = Edit::Ceiling(playing.model.document.ceiling.with_db(auto.db));
    playing.model.update(Message::Edit(edit, Stage::Whole), &mut playing.session);
    assert_eq!(
        (&playing.model.notices[..], playing.host.text(limit)),
        (&[] as &[String], format!("{} dB", auto.db))
    );
    let told = playing.host.told_until_quiet();
    let [Told::Begin(begun), Told::Value(name, _), Told::End(ended)] = &told[..] else { panic!("{told:?}") };
    assert_eq!([begun, name, ended], [limit; 3]);
    assert_eq!(playing.host.text(limit), format!("{} dB", auto.db));
    assert_eq!(playing.model.document.ceiling, Ceiling::Db(auto.db));
    // The limit is no part of what it follows from.
    assert_eq!(playing.auto(), auto);
    assert_eq!(playing.model.undo_names().0, Some("boost limit"));
    playing.model.update(Message::Undo, &mut playing.session);
    assert_eq!(playing.host.text(limit), "24 dB");
}

/// Another setup is told of what was heard already; a host that restarts goes on; another rate begins anew; another instance knows nothing of it.
#[test]
fn what_was_heard_lasts_as_long_as_it_is_true() {
    let mut other = Playing::new(UNDO);
    let mut playing = Playing::new(UNDO);
    assert_eq!((playing.told(), other.told()), (Allowance::Stands, Allowance::Stands));
    let sound = stereo(&music(24), &cases()[0], 5);
    let first: Sound = sound.iter().map(|channel| channel[..240_000].to_vec()).collect();
    playing.play(&first);
    let early = playing.told();
    assert_eq!(early, Allowance::Stands, "five seconds are too little, and nothing comes in");
    playing.play(&sound);
    let auto = playing.auto();
    assert_eq!(other.told(), Allowance::Stands);
    playing.host.set("Heard setup", "Setup 2");
    assert_eq!(playing.told(), Allowance::None, "the load that it was recorded through");
    playing.host.set("Heard setup", "Setup 1");
    assert_eq!(playing.told(), Allowance::Allows(auto.clone()));
    playing.host.stop();
    playing.host.start(RATE_HZ);
    playing.play(&first);
    assert!((playing.auto().db - auto.db).abs() < 1.0);
    playing.host.stop();
    playing.host.start(44_100.0);
    playing.play(&first);
    assert_eq!(playing.told(), Allowance::Stands);
}

/// A host that stands still sends zeros, which are nobody's silence.
#[test]
fn zeros_of_a_host_that_stands_still_are_not_heard() {
    let sound = stereo(&music(24), &cases()[0], 7);
    let zeros: Sound = vec![vec![0.0; 240_000]; 2];
    let mut playing = Playing::new(UNDO);
    for part in [&sound, &zeros, &sound] {
        playing.play(part);
    }
    playing.auto();
}

/// Two pickups with a track each: the noisier one decides, whichever it is.
#[test]
fn of_two_pickups_the_noisier_track_decides() {
    let preset = "version = 5\nname = 'Two'\ninstrument = 'guitarron'\nrecorded = '56k'\n\
                  [[blend]]\ncapacitance = '680p'\n[[blend]]\ncapacitance = '680p'\n\
                  [[setup]]\nname = 'nothing'\nload = 'none'\n";
    let music = music(32);
    let [quiet, noisy, ..] = cases();
    let noisy = True { rumble_db: noisy.rumble_db + 0.6, ..noisy };
    let track = |noise: &True| sum(&music, &noise.samples(music.len(), 1));
    let mut found = Vec::new();
    for noises in [[&noisy, &quiet], [&quiet, &noisy], [&noisy, &noisy], [&quiet, &quiet]] {
        let mut playing = Playing::new(preset);
        playing.play(&noises.map(track).to_vec());
        found.push(playing.auto().db);
    }
    let [left, right, both, neither] = found[..] else { unreachable!() };
    assert!((left - right).abs() < 0.5 && (left - both).abs() < 0.5 && neither > both + 5.0, "{found:?}");
}

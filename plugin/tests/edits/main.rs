//! What a window's edit does in a CLAP host: text and values of an edit, or of a state, are one thing for who saves, loads and hears.
#![cfg(feature = "editor")]

mod allowance;
#[cfg(target_os = "linux")]
#[path = "../vst3_window/host.rs"]
#[allow(dead_code, reason = "other tests use more of it")]
mod frame;
#[path = "../host/mod.rs"]
mod host;
mod judge;
#[path = "../../../tests/rust/searched.rs"]
mod searched;
mod spy;
#[cfg(target_os = "linux")]
mod vst3;

use std::collections::{BTreeMap, HashSet};

use dsp_core::preset::Preset;
use firstjack_plugin::editor::{Document, HostSession, Session as _, Stage, View};
use host::{Host, Noise, Sound, assert_same, packed, preset};
use nice_plug::plugin::{ParamValue, PluginState};
use proptest::prelude::*;

const RATE_HZ: f64 = 48_000.0;
const PRESETS: [&str; 4] = ["courtyard", "passive", "blend", "magnetic-single"];

/// A host, and what a window of the plugin has.
struct Open {
    host: Host,
    session: HostSession,
}

impl Open {
    fn new() -> Self {
        let mut host = Host::of(&spy::ENTRY);
        // Nobody looks at its parent.
        if cfg!(windows) {
            host.open_editor_on_windows(std::ptr::dangling_mut());
        } else {
            host.open_editor(1);
        }
        Self { host, session: spy::session() }
    }

    fn running() -> Self {
        let mut open = Self::new();
        open.host.start(RATE_HZ);
        open
    }

    /// Another preset in the window.
    fn edit(&mut self, name: &str) {
        let document = self.session.document();
        let preset = Preset::from_toml(&preset(name)).unwrap();
        let to = Document { preset, ..document.clone() };
        self.session.change(&document, &to, Stage::Whole).unwrap();
    }

    fn saved(&mut self) -> PluginState {
        serde_json::from_slice(&self.host.save()[8..]).unwrap()
    }
}

fn text(state: &PluginState) -> String {
    serde_json::from_str(&state.fields["circuit"]).unwrap()
}

/// The values that a preset has, by the ids of their parameters, with the plugin's own reader.
fn values(name: &str) -> BTreeMap<String, ParamValue> {
    let mut state =
        PluginState { version: String::new(), params: BTreeMap::default(), fields: BTreeMap::default() };
    firstjack_plugin::load_preset(&preset(name), &mut state).unwrap();
    state.params
}

/// All of one preset: its name, and those values that its circuit has a place for.
#[track_caller]
fn assert_is(state: &PluginState, name: &str) {
    let preset = Preset::from_toml(&preset(name)).unwrap();
    let text = text(state);
    let saved = Preset::from_toml(&text).unwrap();
    assert_eq!(saved.name, preset.name);
    let source = if preset.pickups.pickup(0).is_magnetic() { "pickup_l" } else { "pickup_c" };
    for (id, value) in values(name) {
        let setup = id.rsplit('_').next().and_then(|number| number.parse::<usize>().ok());
        if setup.is_some_and(|number| number > preset.setups.len())
            || (id.starts_with("pickup") && id != source)
        {
            continue;
        }
        let (ParamValue::F32(saved), ParamValue::F32(expected)) = (&state.params[&id], &value) else {
            panic!("{id} is no number");
        };
        assert!((saved - expected).abs() <= 1e-4 * expected.abs(), "{name}: {id} is {saved}, not {expected}");
    }
}

/// The host runs, and saves before its next block.
#[test]
fn a_save_between_an_edit_and_the_next_block_has_all_of_it() {
    let mut open = Open::running();
    for name in PRESETS.iter().rev() {
        open.edit(name);
        assert_is(&open.saved(), name);
        open.host.run(&vec![vec![0.0; 480]; 2], 480);
        assert_is(&open.saved(), name);
    }
}

/// A host that neither runs a block nor flushes, as some do while a plugin is bypassed.
#[test]
fn a_host_that_does_not_process_saves_all_of_it() {
    let mut open = Open::running();
    open.host.run(&vec![vec![0.0; 480]; 2], 480);
    open.edit("passive");
    open.edit("magnetic-single");
    assert_is(&open.saved(), "magnetic-single");
    let saved = open.host.save();
    let mut other = Open::new();
    assert!(other.host.load(&saved));
    assert_is(&other.saved(), "magnetic-single");
    assert_eq!(other.session.document(), open.session.document());
}

/// Edits of before that the host has not been told of are not made again.
#[test]
fn a_state_that_is_loaded_stays_what_it_is() {
    let mut open = Open::running();
    let mut blend: PluginState = open.saved();
    firstjack_plugin::load_preset(&preset("blend"), &mut blend).unwrap();
    open.edit("passive");
    assert!(open.host.load(&packed(&serde_json::to_string(&blend).unwrap())));
    assert_is(&open.saved(), "blend");
    let told = open.host.told_until_quiet();
    assert_is(&open.saved(), "blend");
    // The host has heard nothing that is not so.
    for one in told {
        if let host::Told::Value(name, value) = one {
            assert!((open.host.value(&name) - value).abs() < 1e-6, "{name} was told as {value}");
        }
    }
}

/// The first block after an edit is that of a host that was given the same state.
#[test]
fn a_block_hears_all_of_an_edit() {
    let sound: Sound = Noise::new(7).sound(2, 9_600);
    let before: Sound = sound.iter().map(|channel| channel[..4_800].to_vec()).collect();
    let after: Sound = sound.iter().map(|channel| channel[4_800..].to_vec()).collect();
    for name in ["passive", "blend", "magnetic-single"] {
        let (mut edited, mut loaded) = (Open::running(), Open::running());
        for open in [&mut edited, &mut loaded] {
            open.host.set("Heard setup", "Setup 2");
            open.host.run(&before, 480);
        }
        edited.edit(name);
        assert!(loaded.host.load(&edited.host.save()));
        assert_same(&edited.host.run(&after, 480), &loaded.host.run(&after, 480), name);
    }
}

#[derive(Debug, Clone, Copy)]
enum Step {
    Edit(usize),
    Load(usize),
    Block,
    Flush,
    Save,
}

fn step() -> impl Strategy<Value = Step> {
    prop_oneof![
        (0..PRESETS.len()).prop_map(Step::Edit),
        (0..PRESETS.len()).prop_map(Step::Load),
        Just(Step::Block),
        Just(Step::Flush),
        Just(Step::Save),
    ]
}

fn cases() -> ProptestConfig {
    ProptestConfig { cases: searched::cases(24), failure_persistence: None, ..ProptestConfig::default() }
}

proptest! {
    #![proptest_config(cases())]

    /// In any order, what is saved is the last preset, whole.
    #[test]
    fn in_any_order_the_last_preset_is_saved_whole(steps in proptest::collection::vec(step(), 1..40)) {
        let mut open = Open::running();
        let base = open.saved();
        let states = PRESETS.map(|name| {
            let mut state = base.clone();
            firstjack_plugin::load_preset(&preset(name), &mut state).unwrap();
            packed(&serde_json::to_string(&state).unwrap())
        });
        let mut last = PRESETS[0];
        for step in steps {
            match step {
                Step::Edit(index) => { last = PRESETS[index]; open.edit(last) }
                Step::Load(index) => { last = PRESETS[index]; assert!(open.host.load(&states[index])) }
                Step::Block => drop(open.host.run(&vec![vec![0.1; 64]; 2], 64)),
                Step::Flush => open.host.flush_out(),
                Step::Save => {}
            }
            assert_is(&open.saved(), last);
        }
    }
}

/// One thread edits, one plays, the host's loads and saves.
#[test]
fn threads_meet_nothing_halved() {
    let mut open = Open::running();
    let base = open.saved();
    let states = PRESETS.map(|name| {
        let mut state = base.clone();
        firstjack_plugin::load_preset(&preset(name), &mut state).unwrap();
        packed(&serde_json::to_string(&state).unwrap())
    });
    let Open { mut host, mut session } = open;
    let presets = PRESETS.map(|name| Preset::from_toml(&preset(name)).unwrap());
    let names = presets.clone().map(|preset| preset.name);
    let sound = Noise::new(3).sound(2, 256);
    let (saves, saved) = std::thread::scope(|scope| {
        // Each once: how many there are is up to the machine.
        let (mut saves, mut saved) = (0, HashSet::new());
        let editing = scope.spawn(move || {
            let mut refused = 0;
            for round in 0..300 {
                let preset = presets[round * 3 % 4].clone();
                let document = session.document();
                let to = Document { preset, ..document.clone() };
                refused += u32::from(session.change(&document, &to, Stage::Whole).is_err());
            }
            (session, refused)
        });
        host.run_beside(&sound, 64, |host| {
            while !editing.is_finished() {
                assert!(host.load(&states[saves % 4]));
                saved.insert(host.save());
                host.idle();
                saves += 1;
            }
        });
        // Some edits meet a state that was loaded after they were begun.
        let (session, refused) = editing.join().unwrap();
        assert!(refused < 300);
        drop(session);
        (saves, saved)
    });
    assert!(saves > 20);
    for state in saved {
        let state: PluginState = serde_json::from_slice(&state[8..]).unwrap();
        let name = Preset::from_toml(&text(&state)).unwrap().name;
        assert_is(&state, PRESETS[names.iter().position(|of| *of == name).unwrap()]);
    }
}

/// A name is no parameter's: the host is told that the state has changed, and of no parameter.
#[test]
fn renaming_marks_the_project_and_turns_nothing() {
    for running in [true, false] {
        let mut open = if running { Open::running() } else { Open::new() };
        open.host.told_until_quiet();
        assert_eq!(open.host.was_marked(), 0);
        let document = open.session.document();
        let mut to = document.clone();
        to.preset.setups[0].name = "festival stage".into();
        let session = &mut open.session;
        // As a window does, on a thread of its own.
        std::thread::scope(|scope| {
            scope.spawn(|| session.change(&document, &to, Stage::Whole).unwrap()).join().unwrap()
        });
        assert_eq!(open.host.was_marked(), 1);
        assert_eq!(open.host.told_until_quiet(), []);
        assert!(text(&open.saved()).contains("festival stage"));
    }
}

/// Neither is how it is looked at.
#[test]
fn a_look_marks_the_project_and_turns_nothing() {
    let mut open = Open::running();
    let view = View { page: "strings".into(), ..View::default() };
    for (view, marks) in [(view.clone(), 1), (view.clone(), 0), (View::default(), 1)] {
        open.session.keep_view(view.clone());
        assert_eq!(open.host.was_marked(), marks);
        assert_eq!(open.host.told_until_quiet(), []);
        assert_eq!(open.session.view(), view);
    }
    open.session.keep_view(view.clone());
    let saved = open.host.save();
    let mut other = Open::new();
    let before = other.session.version();
    assert!(other.host.load(&saved));
    assert_ne!(other.session.version(), before);
    assert_eq!(other.session.view(), view);
}

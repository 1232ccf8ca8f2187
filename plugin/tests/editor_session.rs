//! What the editor's changes become in the plugin: parameters, gestures and the circuit's text.
#![cfg(feature = "editor")]

use std::collections::HashMap;
use std::sync::{Arc, Mutex};
use std::thread::sleep;
use std::time::Duration;

use dsp_core::circuit::{Chain, InputBox, Link, Polarity, Taper, Thru};
use dsp_core::preset::Preset;
use dsp_core::response::Ceiling;
use firstjack_plugin::editor::document::choices::{set_magnetic, set_polarity, set_taper, set_transformer};
use firstjack_plugin::editor::document::edits::{Control, Field, PickupPart, set};
use firstjack_plugin::editor::document::links::Spot;
use firstjack_plugin::editor::{Document, HostSession, Session, Stage, Where};
use firstjack_plugin::{FirstjackParams, Heard};
use nice_plug::context::gui::GuiContext;
use nice_plug::prelude::*;

/// A host that takes values in when it is told to, as hosts do at the end of a block.
#[derive(Default)]
struct Told {
    log: Vec<String>,
    waiting: Vec<(ParamPtr, f32)>,
}

#[derive(Clone)]
struct Context {
    told: Arc<Mutex<Told>>,
    names: Arc<HashMap<ParamPtr, String>>,
}

impl Context {
    fn say(&self, what: &str, param: ParamPtr) {
        self.told.lock().unwrap().log.push(format!("{what} {}", self.names[&param]));
    }
}

impl GuiContextInner for Context {
    fn plugin_api(&self) -> PluginApi {
        PluginApi::Clap
    }
    unsafe fn raw_begin_set_parameter(&self, param: ParamPtr) {
        self.say("begin", param);
    }
    unsafe fn raw_set_parameter_normalized(&self, param: ParamPtr, normalized: f32) {
        self.say("set", param);
        self.told.lock().unwrap().waiting.push((param, normalized));
    }
    unsafe fn raw_end_set_parameter(&self, param: ParamPtr) {
        self.say("end", param);
    }
    fn get_state(&self) -> PluginState {
        unimplemented!()
    }
    fn set_state(&self, _: PluginState) {
        unimplemented!()
    }
    fn request_restart(&self) {}
}

struct Plugin {
    params: Arc<FirstjackParams>,
    told: Arc<Mutex<Told>>,
    session: HostSession,
}

fn plugin() -> Plugin {
    let params = Arc::new(FirstjackParams::default());
    let told = Arc::new(Mutex::new(Told::default()));
    let names = params.param_map().into_iter().map(|(id, param, _)| (param, id)).collect();
    let context = Context { told: told.clone(), names: Arc::new(names) };
    let session = HostSession::new(params.clone(), GuiContext::new(Arc::new(context)), Arc::default());
    Plugin { params, told, session }
}

impl Plugin {
    fn log(&self) -> Vec<String> {
        std::mem::take(&mut self.told.lock().unwrap().log)
    }

    /// The end of a block.
    fn arrive(&self) {
        for (param, value) in std::mem::take(&mut self.told.lock().unwrap().waiting) {
            // SAFETY: the parameters are those of `self.params`.
            unsafe { param._internal_set_normalized_value(value) };
        }
    }

    fn text(&self) -> String {
        serde_json::from_str(&self.params.serialize_fields()["circuit"]).unwrap()
    }

    fn load(&self, text: &str) {
        self.params
            .deserialize_fields(&[("circuit".to_owned(), serde_json::to_string(text).unwrap())].into());
    }

    fn change(&mut self, to: &Document, stage: Stage) {
        self.session.change(to, stage).unwrap();
        // It counts from now on, and when it has arrived.
        assert_eq!(self.session.document(), *to);
    }
}

fn with_input(document: &Document, setup: usize, text: &str) -> Document {
    let mut to = document.clone();
    let chain = &mut to.preset.setups[setup].chain;
    let links = chain.links().map(|(link, _)| match link.clone() {
        Link::Box(input) => {
            Link::Box(InputBox { thru: input.thru, ..InputBox::new(input.name, text.parse().unwrap()) })
        }
        Link::Resistance(_) => Link::Resistance(text.parse().unwrap()),
        other => other,
    });
    *chain = Chain::new(links.collect()).unwrap();
    to
}

#[test]
fn the_document_is_the_preset() {
    let mut plugin = plugin();
    let document = plugin.session.document();
    assert_eq!(document.preset, Preset::from_toml(include_str!("../../presets/courtyard.toml")).unwrap());
    assert_eq!((document.heard, document.ceiling, document.bypass), (None, Ceiling::Db(24.0), false));
}

/// The host was told, and neither flushes nor runs a block: what is shown is heard and saved nonetheless.
#[test]
fn what_no_host_takes_is_held() {
    let mut plugin = plugin();
    let to = Document { heard: Some(1), ..plugin.session.document() };
    plugin.change(&to, Stage::Whole);
    assert_eq!(plugin.log(), ["begin heard", "set heard", "end heard"]);
    assert_eq!(plugin.params.heard.value(), Heard::AsRecorded, "a host may need a block");
    assert!(plugin.session.is_waiting());
    sleep(Duration::from_millis(400));
    assert_eq!(plugin.session.document(), to);
    assert_eq!(plugin.params.heard.value(), Heard::Setup2);
    assert!(!plugin.session.is_waiting());
    assert_eq!(plugin.log(), [""; 0], "told once");
}

/// Another value than those that it was told is the host's own.
#[test]
fn what_a_host_overrules_is_not_held() {
    let mut plugin = plugin();
    let to = Document { heard: Some(1), ..plugin.session.document() };
    plugin.change(&to, Stage::Whole);
    let (heard, third) = (&plugin.params.heard, plugin.params.heard.preview_normalized(Heard::Setup3));
    // SAFETY: as the framework does when a host says so.
    unsafe { heard.as_ptr()._internal_set_normalized_value(third) };
    sleep(Duration::from_millis(400));
    assert_eq!(plugin.session.document().heard, Some(2));
    assert_eq!(plugin.params.heard.value(), Heard::Setup3);
}

#[test]
fn a_window_that_closes_ends_its_gesture_and_holds_its_values() {
    let mut plugin = plugin();
    let to = Document { output_db: -3.0, ..plugin.session.document() };
    plugin.change(&to, Stage::Begin);
    let Plugin { params, told, session } = plugin;
    drop(session);
    assert_eq!(told.lock().unwrap().log, ["begin output", "set output", "end output"]);
    assert!((params.level.output_db.value() + 3.0).abs() < 1e-4);
}

/// Changed by nobody, a document changes nothing, whatever the preset.
#[test]
fn the_same_document_changes_nothing() {
    for text in [
        include_str!("../../presets/courtyard.toml"),
        include_str!("../../presets/passive.toml"),
        include_str!("../../presets/blend.toml"),
        include_str!("../../presets/magnetic-double.toml"),
        include_str!("../../presets/blocking.toml"),
        "",
        "no preset",
    ] {
        let mut plugin = plugin();
        plugin.load(text);
        let document = plugin.session.document();
        plugin.change(&document, Stage::Whole);
        assert!(plugin.log().is_empty(), "{text}");
        assert_eq!(plugin.text(), text);
    }
}

#[test]
fn a_value_is_one_gesture_and_leaves_the_text_alone() {
    let mut plugin = plugin();
    let text = plugin.text();
    let document = plugin.session.document();
    for (input, stage) in
        [("1M", Stage::Begin), ("1M1", Stage::During), ("1M2", Stage::During), ("1M3", Stage::End)]
    {
        plugin.change(&with_input(&document, 1, input), stage);
    }
    assert_eq!(
        plugin.log(),
        ["begin load_r_2", "set load_r_2", "set load_r_2", "set load_r_2", "set load_r_2", "end load_r_2"]
    );
    assert_eq!(plugin.text(), text);
    plugin.arrive();
    assert_eq!(plugin.session.document(), with_input(&document, 1, "1M3"));
    assert!((plugin.params.setups[1].ohms.value() / 1.3e6 - 1.0).abs() < 1e-4);
}

/// The host's automation is noticed, also while a value of ours is on the way.
#[test]
fn the_host_is_heard() {
    let mut plugin = plugin();
    let (document, before) = (plugin.session.document(), plugin.session.version());
    assert_eq!(plugin.session.version(), before);
    plugin.change(&with_input(&document, 1, "1M"), Stage::Whole);
    assert_ne!(plugin.session.version(), before);
    let param = &plugin.params.setups[1].ohms;
    // SAFETY: the parameter is there.
    unsafe { param.as_ptr()._internal_set_normalized_value(param.preview_normalized(2.2e6)) };
    assert_eq!(plugin.session.document(), with_input(&document, 1, "2M2"));
    let version = plugin.session.version();
    plugin.load(include_str!("../../presets/passive.toml"));
    assert_ne!(plugin.session.version(), version);
    assert_eq!(plugin.session.document().preset.name, "Passive box");
}

#[test]
fn another_circuit_is_another_text_and_marks_the_project() {
    let mut plugin = plugin();
    let document = plugin.session.document();
    let mut to = document.clone();
    to.preset.setups[0].name = "festival stage".into();
    plugin.change(&to, Stage::Whole);
    assert_eq!(plugin.log(), ["begin guard", "set guard", "end guard"]);
    assert_eq!(Preset::from_toml(&plugin.text()).unwrap().setups[0].name, "festival stage");
    // A box more.
    let mut links: Vec<Link> = to.preset.setups[1].chain.links().map(|(link, _)| link.clone()).collect();
    let tuner = InputBox { thru: Some(Thru::Before), ..InputBox::new("own tuner", "1M".parse().unwrap()) };
    links.insert(0, Link::Box(tuner));
    to.preset.setups[1].chain = Chain::new(links).unwrap();
    plugin.session.change(&to, Stage::Whole).unwrap();
    let now = Preset::from_toml(&plugin.text()).unwrap();
    assert!(now.setups[1].chain.links().any(|(link, _)| link.name() == Some("own tuner")));
    plugin.change(&document, Stage::Whole);
    plugin.arrive();
    assert_eq!(plugin.session.document(), document);
}

/// What one of two a part is, is the circuit's.
#[test]
fn kinds_tapers_and_polarities_are_held() {
    let mut plugin = plugin();
    plugin.load(include_str!("../../presets/blend.toml"));
    let before = plugin.session.document();
    let kind = set_magnetic(&before, 1, !before.preset.pickups.pickup(1).is_magnetic()).unwrap();
    let polarity = set_polarity(&kind, 1, Polarity::Same).unwrap();
    let pot = set(&polarity, &Field::Pickup(0, PickupPart::VolumeResistance), "470k").unwrap();
    let linear = set_taper(&pot, 0, Control::Volume, Taper::Linear).unwrap();
    for to in [kind, polarity, pot, linear, before] {
        plugin.change(&to, Stage::Whole);
        assert!(!plugin.log().is_empty());
        plugin.arrive();
        assert_eq!(plugin.session.document(), to);
    }
    plugin.load(include_str!("../../presets/passive.toml"));
    let before = plugin.session.document();
    let boxed = before.preset.setups[0].chain.links().position(|(link, _)| matches!(link, Link::Box(_)));
    let spot = Spot::new(Where::Setup(0), boxed.unwrap());
    let plain = set_transformer(&before, &spot, false).unwrap();
    for to in [plain, before] {
        plugin.change(&to, Stage::Whole);
        plugin.arrive();
        assert_eq!(plugin.session.document(), to);
    }
}

#[test]
fn what_cannot_be_held_is_told_and_changes_nothing() {
    let mut plugin = plugin();
    let (document, text) = (plugin.session.document(), plugin.text());
    let mut same_name = document.clone();
    same_name.preset.setups[0].name = same_name.preset.setups[1].name.clone();
    let mut none = document.clone();
    none.preset.setups.clear();
    let ninth = Document { heard: Some(8), ..document.clone() };
    let loud = Document { trim_db: 30.0, ..document.clone() };
    for (to, expected) in [
        (with_input(&document, 1, "600R"), "the input resistance is 600 Ω"),
        (same_name, "two setups are called"),
        (none, "there is no [[setup]]"),
        (ninth, "there is no setup 9"),
        (loud, "the trim is 30 dB: accepted is -24 dB to 24 dB"),
    ] {
        let told = plugin.session.change(&to, Stage::Whole).unwrap_err();
        assert!(told.contains(expected), "{told}");
        assert_eq!(plugin.session.document(), document);
        assert_eq!((plugin.text(), plugin.log().len()), (text.clone(), 0));
    }
}

/// What is heard is shown, also where the preset ends before.
#[test]
fn a_setup_that_the_preset_lacks_is_unloaded() {
    let mut plugin = plugin();
    plugin.load(include_str!("../../presets/blend.toml"));
    let document = plugin.session.document();
    assert_eq!(document.preset.setups.len(), 3);
    plugin.session.change(&Document { heard: Some(4), ..document }, Stage::Whole).unwrap();
    let names: Vec<String> =
        plugin.session.document().preset.setups.into_iter().map(|setup| setup.name).collect();
    assert_eq!(names[3..], ["setup 4", "setup 5"]);
}

#[test]
fn a_gesture_ends_with_the_window() {
    let mut plugin = plugin();
    let to = Document { output_db: 3.0, ..plugin.session.document() };
    plugin.change(&to, Stage::Begin);
    let Plugin { session, told, .. } = plugin;
    drop(session);
    assert_eq!(told.lock().unwrap().log.last().unwrap(), "end output");
}

/// A project of a later version keeps its circuit until someone means it.
#[test]
fn a_circuit_that_cannot_be_read_is_not_replaced_unasked() {
    let mut plugin = plugin();
    let later = "version = 99";
    plugin.load(later);
    let mut to = plugin.session.document();
    assert_eq!(to.preset.setups.len(), 6);
    to.preset.setups[0].name = "festival stage".into();
    for stage in [Stage::Whole, Stage::During, Stage::End] {
        let told = plugin.session.change(&to, stage).unwrap_err();
        assert!(told.contains("version = 99 is not known"), "{told}");
        assert_eq!(plugin.text(), later);
    }
    // Values do not touch it.
    let document = plugin.session.document();
    plugin.session.change(&Document { output_db: -3.0, ..document }, Stage::Whole).unwrap();
    assert_eq!(plugin.text(), later);
    plugin.change(&Document { output_db: -3.0, ..to }, Stage::Whole);
    assert!(plugin.text().contains("festival stage"));
}

//! What the editor's changes become in the plugin: parameters, gestures and the circuit's text.
#![cfg(feature = "editor")]

use std::collections::HashMap;
use std::sync::{Arc, Mutex};

use dsp_core::circuit::{Chain, InputBox, Link, Polarity, Taper, Thru};
use dsp_core::preset::Preset;
use dsp_core::response::{Ceiling, Floor};
use firstjack_plugin::editor::document::choices::{set_magnetic, set_polarity, set_taper, set_transformer};
use firstjack_plugin::editor::document::edits::{Control, Field, PickupPart, set};
use firstjack_plugin::editor::document::links::Spot;
use firstjack_plugin::editor::{
    CURVES, CurveKind, Document, HostSession, PAGES, Page, Readings, Session, Stage, View, Where,
};
use firstjack_plugin::{Firstjack, FirstjackParams, Heard};
use nice_plug::context::gui::GuiContext;
use nice_plug::prelude::*;

/// A host that gives back what it is told when it is asked to, as some do at the end of a block.
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
        let now = self.session.document();
        self.session.change(&now, to, stage).unwrap();
        // It counts from now on.
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
    assert_eq!(document.floor, None);
}

/// Whatever the host does with what it is told: what is shown is heard and saved.
#[test]
fn an_edit_is_true_before_the_host_has_answered() {
    let mut plugin = plugin();
    let to = Document { heard: Some(1), ..plugin.session.document() };
    plugin.change(&to, Stage::Whole);
    assert_eq!(plugin.log(), ["begin heard", "set heard", "end heard"]);
    assert_eq!(plugin.params.heard.value(), Heard::Setup2);
    // What it says later counts from then on.
    plugin.arrive();
    assert_eq!(plugin.session.document(), to);
    let (heard, third) = (&plugin.params.heard, plugin.params.heard.preview_normalized(Heard::Setup3));
    // SAFETY: as the framework does when a host says so.
    unsafe { heard.as_ptr()._internal_set_normalized_value(third) };
    assert_eq!(plugin.session.document().heard, Some(2));
    assert_eq!(plugin.log(), [""; 0], "told once");
}

/// An edit is of what was shown. If the host has loaded something else since, it would become a mix.
#[test]
fn an_edit_of_what_is_gone_is_refused() {
    let mut plugin = plugin();
    let document = plugin.session.document();
    let mut to = document.clone();
    to.preset.setups[0].name = "festival stage".into();
    to.output_db = -3.0;
    plugin.load(include_str!("../../presets/passive.toml"));
    let told = plugin.session.change(&document, &to, Stage::Whole).unwrap_err();
    assert_eq!(told, "the host has loaded another state meanwhile: change that one");
    assert_eq!((plugin.log().len(), plugin.text().as_str()), (0, include_str!("../../presets/passive.toml")));
    assert_eq!(plugin.session.document().output_db, 0.0);
    let to = Document { output_db: -3.0, ..plugin.session.document() };
    plugin.change(&to, Stage::Whole);
}

/// A state that is loaded under an open window is another version, with its problem and its view.
#[test]
fn what_a_host_loads_brings_its_problem_and_its_view() {
    let mut plugin = plugin();
    assert_eq!(plugin.session.problem(), None);
    let strings = ["A1".to_owned(), "D2".to_owned()].to_vec();
    let view = View { tuning: strings, page: "strings".into(), curves: "change".into() };
    for (fields, problem, expected) in [
        (
            [("circuit", "\"no preset\""), ("view", r#"{"page":"blind"}"#)],
            Some(
                "The setups of this project cannot be read, so that all are plain; they are kept until you change one: line 1",
            ),
            View { page: "blind".into(), ..View::default() },
        ),
        (
            [("circuit", "\"\""), ("format", "7")],
            Some("A later version has saved this project (its state is of format 7, known are 1 to 6)"),
            View::default(),
        ),
        (
            [("circuit", "\"\""), ("view", r#"{"tuning":["A1","D2"],"page":"strings","curves":"change"}"#)],
            None,
            view.clone(),
        ),
    ] {
        let before = plugin.session.version();
        let fields = fields.map(|(name, text)| (name.to_owned(), text.to_owned())).into();
        let mut state = PluginState { version: String::new(), params: Default::default(), fields };
        <Firstjack as nice_plug::prelude::Plugin>::filter_state(&mut state);
        plugin.params.deserialize_fields(&state.fields);
        assert_ne!(plugin.session.version(), before);
        let told = plugin.session.problem();
        assert!(told.as_deref().unwrap_or_default().starts_with(problem.unwrap_or_default()), "{told:?}");
        assert_eq!(told.is_some(), problem.is_some(), "{told:?}");
        assert_eq!(plugin.session.view(), expected);
    }
    // Kept, and cleaned.
    plugin.session.keep_view(View { page: "knobs".into(), ..view.clone() });
    assert_eq!(plugin.session.view(), View { page: String::new(), ..view });
}

/// What a window may ask to be kept is kept.
#[test]
fn pages_and_curves_have_ids_that_a_state_knows() {
    assert_eq!(Page::ALL.map(Page::id), PAGES);
    assert_eq!([CurveKind::Loss, CurveKind::Change].map(CurveKind::id), CURVES);
}

/// Two pickups, one track.
#[test]
fn a_blend_on_a_mono_track_lacks_a_track() {
    let mut plugin = plugin();
    let readings = |channels| Readings { channels, ..Readings::default() };
    let lacks =
        |document: &Document| [0, 1, 2].map(|channels| readings(channels).lacks_second_track(document));
    assert_eq!(lacks(&plugin.session.document()), [false; 3]);
    plugin.load(include_str!("../../presets/blend.toml"));
    assert_eq!(lacks(&plugin.session.document()), [false, true, false]);
}

#[test]
fn a_window_that_closes_ends_its_gesture() {
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
    assert_eq!(plugin.log(), [""; 0], "no parameter stands for it");
    assert_eq!(Preset::from_toml(&plugin.text()).unwrap().setups[0].name, "festival stage");
    // A box more.
    let mut links: Vec<Link> = to.preset.setups[1].chain.links().map(|(link, _)| link.clone()).collect();
    let tuner = InputBox { thru: Some(Thru::Before), ..InputBox::new("own tuner", "1M".parse().unwrap()) };
    links.insert(0, Link::Box(tuner));
    to.preset.setups[1].chain = Chain::new(links).unwrap();
    let now = plugin.session.document();
    plugin.session.change(&now, &to, Stage::Whole).unwrap();
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
    let [high, low] = [1e3, 0.5].map(|hz| Document { floor: Some(Floor { hz }), ..document.clone() });
    for (to, expected) in [
        (with_input(&document, 1, "600R"), "the input resistance is 600 Ω"),
        (same_name, "two setups are called"),
        (none, "there is no [[setup]]"),
        (ninth, "there is no setup 9"),
        (loud, "the trim is 30 dB: accepted is -24 dB to 24 dB"),
        (high, "the boost floor is 1000 Hz: accepted is 1 Hz to 200 Hz"),
        (low, "the boost floor is 0.5 Hz: accepted is 1 Hz to 200 Hz"),
    ] {
        let told = plugin.session.change(&document, &to, Stage::Whole).unwrap_err();
        assert!(told.contains(expected), "{told}");
        assert_eq!(plugin.session.document(), document);
        assert_eq!((plugin.text(), plugin.log().len()), (text.clone(), 0));
    }
}

/// One parameter, one gesture, and back again; what the host sets is in the document.
#[test]
fn the_floor_is_one_parameter() {
    let mut plugin = plugin();
    let off = plugin.session.document();
    let on = Document { floor: Some(Floor { hz: 27.5 }), ..off.clone() };
    for to in [on.clone(), Document { floor: Some(Floor { hz: 20.6 }), ..off.clone() }, off.clone()] {
        plugin.change(&to, Stage::Whole);
        assert_eq!(plugin.log(), ["begin floor", "set floor", "end floor"]);
        plugin.arrive();
        assert_eq!(plugin.session.document(), to);
    }
}

/// What is heard is shown, also where the preset ends before.
#[test]
fn a_setup_that_the_preset_lacks_is_unloaded() {
    let mut plugin = plugin();
    plugin.load(include_str!("../../presets/blend.toml"));
    let document = plugin.session.document();
    assert_eq!(document.preset.setups.len(), 3);
    let to = Document { heard: Some(4), ..document.clone() };
    plugin.session.change(&document, &to, Stage::Whole).unwrap();
    let names: Vec<String> =
        plugin.session.document().preset.setups.into_iter().map(|setup| setup.name).collect();
    assert_eq!(names[3..], ["setup 4", "setup 5"]);
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
        let now = plugin.session.document();
        let told = plugin.session.change(&now, &to, stage).unwrap_err();
        assert!(told.contains("version = 99 is not known"), "{told}");
        assert_eq!(plugin.text(), later);
    }
    // Values do not touch it.
    let document = plugin.session.document();
    let quiet = Document { output_db: -3.0, ..document.clone() };
    plugin.session.change(&document, &quiet, Stage::Whole).unwrap();
    assert_eq!(plugin.text(), later);
    plugin.change(&Document { output_db: -3.0, ..to }, Stage::Whole);
    assert!(plugin.text().contains("festival stage"));
}

//! The chain's diagram, clicked, dragged and typed in.

use egui_kittest::Harness;
use egui_kittest::kittest::Queryable;
use firstjack_plugin::editor::document::edits::{Field, LinkPart, text};
use firstjack_plugin::editor::document::links::Spot;
use firstjack_plugin::editor::views::ChainViews;
use firstjack_plugin::editor::{Message, Model, Stage, Where};
use firstjack_words::Words;

use crate::fake::Fake;

pub const TUNER: &str = r#"
version = 2
name = "Courtyard"
instrument = "guitarron"
pickup = { capacitance = "680 pF" }
recorded = { load = "22M || 6 m" }

[[setup]]
name = "tuner"
chain = [
    { box = "tuner", input = "1M", thru = "after" },
    { cable = "6 m" },
    { box = "combo", input = "470k" },
]
"#;

/// The view with all that it needs.
pub struct App {
    pub session: Fake,
    pub model: Model,
    pub view: ChainViews,
    pub hide: bool,
}

impl App {
    pub fn new(toml: &str) -> Self {
        let mut session = Fake::new(toml).hearing(0);
        let model = Model::new(&mut session);
        Self { session, model, view: ChainViews::default(), hide: false }
    }

    pub fn draw(&mut self, ui: &mut egui::Ui) {
        let mut out = Vec::new();
        let readings = self.session.readings.clone();
        self.view.show(ui, &self.model, &readings, self.hide, &mut out);
        for message in out {
            self.model.update(message, &mut self.session);
        }
    }

    fn names(&self) -> Vec<String> {
        let links = self.session.document.preset.setups[0].chain.links();
        links.map(|(link, _)| Words::ENGLISH.link_name(link)).collect()
    }

    fn value(&self, index: usize, part: LinkPart) -> Option<String> {
        text(&self.session.document, &Field::Link(Spot::new(Where::Setup(0), index), part))
    }
}

pub fn open(toml: &str) -> Harness<'static, App> {
    open_at(toml, egui::vec2(720.0, 480.0))
}

fn open_at(toml: &str, size: egui::Vec2) -> Harness<'static, App> {
    let builder = Harness::builder().with_size(size).with_step_dt(1.0 / 60.0);
    builder.build_ui_state(|ui, app: &mut App| app.draw(ui), App::new(toml))
}

pub fn undo(harness: &mut Harness<'_, App>) {
    let app = harness.state_mut();
    app.model.update(Message::Undo, &mut app.session);
    harness.run_steps(2);
}

pub fn shows(harness: &Harness<'_, App>, label: &str) -> String {
    harness.get_by_label(label).value().unwrap_or_default()
}

/// Types in place of what is in the open text field.
fn type_over(harness: &mut Harness<'_, App>, label: &str, typed: &str) {
    harness.get_by_role_and_label(egui::Role::TextInput, label).type_text(typed);
    harness.run_steps(2);
}

fn press(harness: &mut Harness<'_, App>, key: egui::Key) {
    harness.key_press(key);
    harness.run_steps(3);
}

/// With Ctrl or Command held.
pub fn modifier_click(harness: &mut Harness<'_, App>, label: &str) {
    // Scrolled to where it is seen.
    harness.get_by_label(label).focus();
    harness.run_steps(40);
    let at = harness.get_by_label(label).rect().center();
    press_at(harness, at, egui::Modifiers::COMMAND);
    harness.run_steps(2);
}

/// What can be added, by the keyboard, wherever the tile is scrolled to.
pub fn open_tile(harness: &mut Harness<'_, App>, label: &str) {
    harness.get_by_label(label).focus();
    harness.run_steps(2);
    harness.key_press(egui::Key::Enter);
    harness.run_steps(4);
}

/// Presses the button, and lets it go.
fn press_at(harness: &mut Harness<'_, App>, at: egui::Pos2, modifiers: egui::Modifiers) {
    harness.hover_at(at);
    harness.event(egui::Event::ModifiersChanged(modifiers));
    for pressed in [true, false] {
        let button = egui::PointerButton::Primary;
        harness
            .event_modifiers(egui::Event::PointerButton { pos: at, button, pressed, modifiers }, modifiers);
        harness.run_steps(1);
    }
}

/// One notch up each.
fn wheel(harness: &mut Harness<'_, App>, notches: usize) {
    for _ in 0..notches {
        harness.event(egui::Event::MouseWheel {
            unit: egui::MouseWheelUnit::Line,
            delta: egui::vec2(0.0, 1.0),
            phase: egui::TouchPhase::Move,
            source: egui::MouseWheelSource::Wheel,
            modifiers: egui::Modifiers::NONE,
        });
        harness.run_steps(1);
    }
    harness.run_steps(1);
}

#[test]
fn a_value_is_clicked_and_typed() {
    let mut harness = open(TUNER);
    harness.get_by_label("tuner: input").click();
    harness.run_steps(3);
    type_over(&mut harness, "tuner: input", "2M2");
    press(&mut harness, egui::Key::Enter);
    assert_eq!(harness.state().value(0, LinkPart::Input).as_deref(), Some("2.2 MΩ"));
    assert_eq!(shows(&harness, "tuner: input"), "2.2 MΩ");
    assert!(harness.get_by_label("tuner: input").is_focused(), "Tab goes on from here");
    undo(&mut harness);
    assert_eq!(shows(&harness, "tuner: input"), "1 MΩ");
}

#[test]
fn escape_leaves_the_value_as_it_was() {
    let mut harness = open(TUNER);
    harness.get_by_label("tuner: input").click();
    harness.run_steps(3);
    type_over(&mut harness, "tuner: input", "2M2");
    press(&mut harness, egui::Key::Escape);
    assert_eq!(shows(&harness, "tuner: input"), "1 MΩ");
    assert!(harness.state().session.changes.is_empty());
}

#[test]
fn what_cannot_be_read_is_said_beside_and_may_be_mended() {
    let mut harness = open(TUNER);
    harness.get_by_label("tuner: input").click();
    harness.run_steps(3);
    type_over(&mut harness, "tuner: input", "2 kg");
    press(&mut harness, egui::Key::Enter);
    assert!(harness.query_by_label_contains("'kg' is not a unit here").is_some());
    assert!(harness.state().session.changes.is_empty());
    harness.key_press_modifiers(egui::Modifiers::COMMAND, egui::Key::A);
    harness.run_steps(2);
    type_over(&mut harness, "tuner: input", "3M3");
    press(&mut harness, egui::Key::Enter);
    assert_eq!(harness.state().value(0, LinkPart::Input).as_deref(), Some("3.3 MΩ"));
}

#[test]
fn tab_reaches_values_and_enter_opens_them_but_not_the_space_bar() {
    let mut harness = open(TUNER);
    for _ in 0..60 {
        if harness.get_by_label("tuner: input").is_focused() {
            break;
        }
        press(&mut harness, egui::Key::Tab);
    }
    assert!(harness.get_by_label("tuner: input").is_focused());
    press(&mut harness, egui::Key::Space);
    assert!(harness.query_by_role_and_label(egui::Role::TextInput, "tuner: input").is_none());
    press(&mut harness, egui::Key::Enter);
    type_over(&mut harness, "tuner: input", "470k");
    press(&mut harness, egui::Key::Enter);
    assert_eq!(shows(&harness, "tuner: input"), "470 kΩ");
}

/// Somebody who scrolls over a value has not asked for another one.
#[test]
fn the_wheel_scrolls_over_values_and_turns_none() {
    // Too narrow for the diagram, so that it can scroll.
    let mut harness = open_at(TUNER, egui::vec2(480.0, 160.0));
    let before = harness.get_by_label("tuner: input").rect();
    harness.hover_at(before.center());
    harness.run_steps(2);
    harness.event(egui::Event::MouseWheel {
        unit: egui::MouseWheelUnit::Line,
        delta: egui::vec2(0.0, -3.0),
        phase: egui::TouchPhase::Move,
        source: egui::MouseWheelSource::Wheel,
        modifiers: egui::Modifiers::NONE,
    });
    harness.run_steps(30);
    assert_eq!(shows(&harness, "tuner: input"), "1 MΩ");
    assert!(harness.state().session.changes.is_empty());
    let after = harness.get_by_label("tuner: input").rect();
    assert!(after.left() < before.left() - 20.0, "{before} stays at {after}");
}

#[test]
fn with_the_focus_the_wheel_turns_as_one_gesture_and_scrolls_nothing() {
    let mut harness = open_at(TUNER, egui::vec2(480.0, 160.0));
    harness.get_by_label("tuner: input").focus();
    harness.run_steps(4);
    let at = harness.get_by_label("tuner: input").rect().center();
    harness.hover_at(at);
    harness.run_steps(2);
    wheel(&mut harness, 12);
    assert_eq!(shows(&harness, "tuner: input"), "2 MΩ");
    harness.run_steps(60);
    let changes = &harness.state().session.changes;
    assert_eq!(changes[0], Stage::Begin);
    assert_eq!(changes.iter().filter(|stage| **stage == Stage::During).count(), 11);
    assert_eq!(changes.last(), Some(&Stage::End));
    assert_eq!(
        harness.get_by_label("tuner: input").rect().left_center().x,
        at.x - harness.get_by_label("tuner: input").rect().width() / 2.0
    );
    undo(&mut harness);
    assert_eq!(shows(&harness, "tuner: input"), "1 MΩ", "one step back");
}

#[test]
fn arrow_keys_turn_and_shift_turns_finely() {
    let mut harness = open(TUNER);
    harness.get_by_label("tuner: input").focus();
    harness.run_steps(2);
    press(&mut harness, egui::Key::ArrowUp);
    // 1 MΩ · 2^(1/12) and · 2^(11/120).
    assert_eq!(shows(&harness, "tuner: input"), "1.06 MΩ");
    harness.key_press_modifiers(egui::Modifiers::SHIFT, egui::Key::ArrowUp);
    harness.run_steps(2);
    assert_eq!(shows(&harness, "tuner: input"), "1.07 MΩ");
    assert!(harness.get_by_label("tuner: input").is_focused());
    harness.get_by_label("tuner: input").decrement_accesskit();
    harness.run_steps(2);
    assert_eq!(shows(&harness, "tuner: input"), "1.01 MΩ");
}

#[test]
fn a_drag_is_one_gesture() {
    let mut harness = open(TUNER);
    let at = harness.get_by_label("tuner: input").rect().center();
    harness.drag_at(at);
    harness.run_steps(1);
    for step in 1..=12u8 {
        harness.hover_at(at - egui::vec2(0.0, 4.0 * f32::from(step)));
        harness.run_steps(1);
    }
    harness.drop_at(at - egui::vec2(0.0, 48.0));
    harness.run_steps(2);
    assert_eq!(shows(&harness, "tuner: input"), "2 MΩ");
    let changes = harness.state().session.changes.clone();
    assert_eq!((changes[0], changes[changes.len() - 1]), (Stage::Begin, Stage::End));
    assert!(changes[1..changes.len() - 1].iter().all(|stage| *stage == Stage::During));
    undo(&mut harness);
    assert_eq!(shows(&harness, "tuner: input"), "1 MΩ");
}

/// Where people expect it to select: what is typed next takes the place of all of it.
#[test]
fn a_double_click_selects_the_text_and_resets_nothing() {
    let mut harness = open(&TUNER.replace("680 pF", "910 pF"));
    let label = "pickup: pickup capacitance";
    let at = harness.get_by_label(label).rect().center();
    for _ in 0..2 {
        press_at(&mut harness, at, egui::Modifiers::NONE);
    }
    harness.run_steps(2);
    assert!(harness.state().session.changes.is_empty(), "{:?}", harness.state().session.changes);
    type_over(&mut harness, label, "1n5");
    press(&mut harness, egui::Key::Enter);
    assert_eq!(shows(&harness, label), "1.5 nF");
}

#[test]
fn a_modifier_click_brings_the_default_back() {
    let mut harness =
        open(&TUNER.replace("{ cable = \"6 m\" }", "{ cable = \"6 m\", per_metre = \"150 pF\" }"));
    let label = "cable 1: capacitance per metre";
    assert_eq!(shows(&harness, label), "150 pF/m");
    modifier_click(&mut harness, label);
    assert_eq!(shows(&harness, label), "100 pF/m");
    assert_eq!(harness.state().session.changes, [Stage::Whole]);
    modifier_click(&mut harness, label);
    assert_eq!(harness.state().session.changes.len(), 1, "it is there already");
}

fn choose(harness: &mut Harness<'_, App>, entry: &str) {
    harness.get_by_label(entry).click();
    harness.run_steps(4);
}

#[test]
fn a_box_has_a_menu_that_plugs_moves_and_removes_it() {
    let mut harness = open(TUNER);
    let tuner = harness.get_by_label("tuner, heard here").rect();
    let title = tuner.center_top() + egui::vec2(0.0, 8.0);
    let click = |harness: &mut Harness<'_, App>, at| {
        harness.drag_at(at);
        harness.run_steps(1);
        harness.drop_at(at);
        harness.run_steps(4);
    };
    click(&mut harness, title);
    choose(&mut harness, "Unbuffered thru");
    // What was behind the buffer is listened to now.
    assert!(harness.query_by_label("combo, heard here").is_some());
    undo(&mut harness);
    click(&mut harness, title);
    choose(&mut harness, "Move away from the pickup");
    assert_eq!(harness.state().names(), ["6 m cable", "tuner", "combo"]);
    undo(&mut harness);
    click(&mut harness, title);
    choose(&mut harness, "Remove");
    assert_eq!(harness.state().names(), ["6 m cable", "combo"]);
    undo(&mut harness);
    assert_eq!(harness.state().names(), ["tuner", "6 m cable", "combo"]);
    click(&mut harness, title);
    choose(&mut harness, "Blocking capacitor");
    assert_eq!(shows(&harness, "tuner: blocking capacitor"), "22 nF");
}

#[test]
fn a_box_is_renamed_in_its_menu() {
    let mut harness = open(TUNER);
    harness.get_by_label("tuner, heard here").focus();
    harness.run_steps(2);
    press(&mut harness, egui::Key::Enter);
    harness.get_by_label("name").focus();
    harness.run_steps(2);
    harness.key_press_modifiers(egui::Modifiers::COMMAND, egui::Key::A);
    harness.run_steps(2);
    harness.get_by_label("name").type_text("combo");
    harness.run_steps(2);
    press(&mut harness, egui::Key::Enter);
    assert!(harness.query_by_label_contains("'combo' is taken").is_some());
    harness.key_press_modifiers(egui::Modifiers::COMMAND, egui::Key::A);
    harness.run_steps(2);
    harness.get_by_label("name").type_text("pedal");
    harness.run_steps(2);
    press(&mut harness, egui::Key::Enter);
    assert_eq!(harness.state().names()[0], "pedal");
}

#[test]
fn links_are_added_at_the_end() {
    let mut harness = open(TUNER);
    open_tile(&mut harness, "add box or cable");
    choose(&mut harness, "Passive box with a transformer");
    assert_eq!(harness.state().names(), ["tuner", "6 m cable", "combo", "passive box"]);
    undo(&mut harness);
    assert_eq!(harness.state().names(), ["tuner", "6 m cable", "combo"]);
}

#[test]
fn a_box_is_carried_to_another_place() {
    let mut harness = open(TUNER);
    let from = harness.get_by_label("tuner, heard here").rect().center_top() + egui::vec2(0.0, 8.0);
    let to = harness.get_by_label("combo, behind a buffer").rect().right_center();
    harness.drag_at(from);
    harness.run_steps(1);
    for part in [0.3, 0.6, 1.0] {
        harness.hover_at(from + (to - from) * part);
        harness.run_steps(1);
    }
    harness.drop_at(to);
    harness.run_steps(2);
    assert_eq!(harness.state().names(), ["6 m cable", "combo", "tuner"]);
    assert_eq!(harness.state().session.changes, [Stage::Whole]);
    undo(&mut harness);
    assert_eq!(harness.state().names(), ["tuner", "6 m cable", "combo"]);
}

#[test]
fn both_chains_are_there_and_each_is_edited() {
    let mut harness = open(TUNER);
    assert_eq!(shows(&harness, "recorded: load 1: value"), "22 MΩ");
    assert_eq!(shows(&harness, "tuner: input"), "1 MΩ");
    let left = harness.get_by_label("recorded: load 1: value").rect();
    assert!(left.right() < harness.get_by_label("tuner: input").rect().left());
    harness.get_by_label("recorded: load 1: value").click();
    harness.run_steps(3);
    type_over(&mut harness, "recorded: load 1: value", "10M");
    press(&mut harness, egui::Key::Enter);
    let field = Field::Link(Spot::new(Where::Recorded, 0), LinkPart::Bare);
    assert_eq!(text(&harness.state().session.document, &field).as_deref(), Some("10 MΩ"));
    assert_eq!(harness.state().session.changes, [Stage::Whole]);
    open_tile(&mut harness, "recorded: add box or cable");
    choose(&mut harness, "Cable");
    assert_eq!(harness.state().session.document.preset.recorded.links().count(), 3);
}

#[test]
fn what_is_heard_as_recorded_is_said_so() {
    let mut harness = open(TUNER);
    let app = harness.state_mut();
    app.model.update(Message::Hear(None), &mut app.session);
    harness.run_steps(2);
    assert!(harness.query_by_label("as recorded").is_some());
    assert!(harness.query_by_label_contains("nothing is changed").is_some());
    assert!(harness.query_by_label("tuner: input").is_none());
    assert_eq!(shows(&harness, "recorded: load 1: value"), "22 MΩ");
}

#[test]
fn what_was_recorded_through_is_asked_for_where_nothing_says_it() {
    let harness = open(
        &TUNER.replace("recorded = { load = \"22M || 6 m\" }", "").replace("version = 2", "version = 5"),
    );
    assert!(harness.query_by_label_contains("not said").is_some());
    assert!(open(TUNER).query_by_label_contains("not said").is_none());
}

#[test]
fn a_mono_track_with_a_blend_says_what_it_cannot_do() {
    let mut harness = open(crate::chain::pictures::BLEND);
    for (channels, is_said) in [(0, false), (1, true), (2, false)] {
        harness.state_mut().session.readings.channels = channels;
        harness.run_steps(2);
        assert_eq!(harness.query_by_label_contains("Mono track").is_some(), is_said, "{channels}");
    }
    let mut one = open(TUNER);
    one.state_mut().session.readings.channels = 1;
    one.run_steps(2);
    assert!(one.query_by_label_contains("Mono track").is_none());
}

#[test]
fn a_blind_listener_sees_a_note_and_nothing_else() {
    let mut harness = open(TUNER);
    harness.state_mut().hide = true;
    harness.run_steps(2);
    assert!(harness.query_by_label_contains("hidden while you listen blind").is_some());
    assert!(harness.query_by_label_contains("tuner").is_none());
    assert!(harness.query_by_label_contains("680").is_none());
}

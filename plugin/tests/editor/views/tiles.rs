//! The list of setups: added, removed, named and put in order, by the pointer and by keys; each is one edit.

use egui::{Key, Modifiers, Rect, vec2};
use egui_kittest::Harness;
use egui_kittest::kittest::{NodeT as _, Queryable as _};
use firstjack_plugin::editor::{BlindMessage, Message, Stage};

use crate::fake::Fake;
use crate::views::stage::{App, Shown, courtyard, on, wait};

const COURTYARD: [&str; 6] =
    ["passive box", "combo", "tuner", "tuner's unbuffered thru", "combo on a long cable", "buffer box"];

fn run(harness: &mut Harness<'_, App>) {
    harness.run_steps(12);
}

fn names(harness: &Harness<'_, App>) -> Vec<String> {
    let setups = &harness.state().session.document.preset.setups;
    setups.iter().map(|setup| setup.name.clone()).collect()
}

fn heard(harness: &Harness<'_, App>) -> Option<usize> {
    harness.state().session.document.heard
}

fn click(harness: &mut Harness<'_, App>, label: &str) {
    harness.get_by_label(label).click();
    run(harness);
}

fn choose(harness: &mut Harness<'_, App>, setup: &str, choice: &str) {
    click(harness, &format!("more for {setup}"));
    click(harness, choice);
}

fn tile(harness: &Harness<'_, App>, setup: &str) -> Rect {
    harness.get_by_label_contains(&format!("{setup}, A1")).rect()
}

/// Takes a tile by its middle so far down, and lets it go unless Escape is pressed first.
fn drag(harness: &mut Harness<'_, App>, setup: &str, down: f32, give_up: bool) {
    let start = tile(harness, setup).center();
    harness.drag_at(start);
    harness.step();
    for part in 1..=4u8 {
        harness.hover_at(start + vec2(0.0, down * f32::from(part) / 4.0));
        harness.step();
    }
    if give_up {
        harness.key_press(Key::Escape);
        harness.step();
    }
    harness.drop_at(start + vec2(0.0, down));
    run(harness);
}

/// The session, and what of it has been changed since the last look: one whole edit.
fn assert_one_edit(harness: &mut Harness<'_, App>) {
    assert_eq!(std::mem::take(&mut harness.state_mut().session.changes), [Stage::Whole]);
}

#[test]
fn a_setup_is_removed_and_another_added() {
    let mut harness = on(App::new(Fake::courtyard().hearing(3)), Shown::Setups);
    run(&mut harness);
    assert!(harness.query_by_label("add setup").is_none(), "there are six");
    choose(&mut harness, "combo", "remove");
    assert_one_edit(&mut harness);
    assert_eq!(names(&harness), [&COURTYARD[..1], &COURTYARD[2..]].concat());
    assert_eq!(heard(&harness), Some(2), "what was heard");
    click(&mut harness, "add setup");
    assert_one_edit(&mut harness);
    assert_eq!(names(&harness)[5], "new setup");
    assert!(harness.query_by_label("add setup").is_none());
    assert!(harness.query_by_label_contains("new setup, A1").is_some());
}

#[test]
fn a_setup_is_duplicated_while_there_is_room() {
    let mut harness = courtyard(Shown::Setups);
    run(&mut harness);
    choose(&mut harness, "combo", "duplicate");
    let notice = harness.state().model.notices.last().cloned().unwrap();
    assert!(notice.contains("remove one first"), "{notice}");
    assert_eq!((names(&harness).len(), harness.state().session.changes.len()), (6, 0));
    choose(&mut harness, "buffer box", "remove");
    assert_one_edit(&mut harness);
    choose(&mut harness, "combo", "duplicate");
    assert_one_edit(&mut harness);
    let setups = &harness.state().session.document.preset.setups;
    assert_eq!(setups[1].chain, setups[2].chain);
    assert_ne!(setups[1].name, setups[2].name);
}

#[test]
fn a_menu_moves_setups_as_far_as_there_are_places() {
    let mut harness = courtyard(Shown::Setups);
    run(&mut harness);
    choose(&mut harness, "combo", "move up");
    assert_one_edit(&mut harness);
    assert_eq!(names(&harness)[..3], ["combo", "passive box", "tuner"]);
    click(&mut harness, "more for combo");
    assert!(harness.get_by_label("move up").accesskit_node().is_disabled());
    click(&mut harness, "move down");
    assert_one_edit(&mut harness);
    assert_eq!(names(&harness), COURTYARD);
    click(&mut harness, "more for buffer box");
    assert!(harness.get_by_label("move down").accesskit_node().is_disabled());
}

#[test]
fn a_tile_is_dragged_to_another_place_and_not_heard() {
    let mut harness = courtyard(Shown::Setups);
    run(&mut harness);
    let pitch = tile(&harness, "tuner").top() - tile(&harness, "combo").top();
    drag(&mut harness, "combo", 2.3 * pitch, false);
    assert_one_edit(&mut harness);
    assert_eq!(names(&harness)[..4], ["passive box", "tuner", "tuner's unbuffered thru", "combo"]);
    assert_eq!(heard(&harness), None);
    // Number keys follow.
    harness.key_press(Key::Num4);
    run(&mut harness);
    assert_eq!((heard(&harness), names(&harness)[3].as_str()), (Some(3), "combo"));
    assert_one_edit(&mut harness);
    drag(&mut harness, "combo", -9.0 * pitch, false);
    assert_one_edit(&mut harness);
    assert_eq!(names(&harness)[..2], ["combo", "passive box"]);
    assert_eq!(heard(&harness), Some(0), "it is heard still, at its new number");
}

#[test]
fn a_drag_that_is_given_up_or_leads_nowhere_changes_nothing() {
    let mut harness = courtyard(Shown::Setups);
    run(&mut harness);
    let pitch = tile(&harness, "tuner").top() - tile(&harness, "combo").top();
    drag(&mut harness, "combo", 2.0 * pitch, true);
    drag(&mut harness, "tuner", 0.4 * pitch, false);
    let start = tile(&harness, "as recorded").center();
    harness.drag_at(start);
    harness.hover_at(start + vec2(0.0, pitch));
    harness.step();
    harness.drop_at(start + vec2(0.0, pitch));
    run(&mut harness);
    assert_eq!((names(&harness), heard(&harness)), (COURTYARD.map(str::to_owned).to_vec(), None));
    assert_eq!(harness.state().session.changes, []);
}

/// What a host puts in the place of a tile that is being dragged is not moved.
#[test]
fn a_preset_that_a_host_loads_ends_a_drag() {
    let mut harness = courtyard(Shown::Setups);
    run(&mut harness);
    let start = tile(&harness, "combo").center();
    harness.drag_at(start);
    harness.step();
    harness.hover_at(start + vec2(0.0, 80.0));
    harness.step();
    let app = harness.state_mut();
    app.session.load(include_str!("../../../../presets/blocking.toml"));
    app.model.refresh(&mut app.session);
    harness.step();
    harness.drop_at(start + vec2(0.0, 120.0));
    run(&mut harness);
    assert_eq!(harness.state().session.changes, []);
}

#[test]
fn alt_and_an_arrow_move_a_tile_and_the_focus_with_it() {
    let mut harness = courtyard(Shown::Setups);
    run(&mut harness);
    harness.get_by_label_contains("combo, A1").focus();
    run(&mut harness);
    for expected in [2, 3] {
        harness.key_press_modifiers(Modifiers::ALT, Key::ArrowDown);
        run(&mut harness);
        assert_one_edit(&mut harness);
        assert_eq!(names(&harness)[expected], "combo");
        assert!(harness.get_by_label_contains("combo, A1").is_focused());
    }
    harness.key_press(Key::Enter);
    run(&mut harness);
    assert_eq!(heard(&harness), Some(3));
    harness.state_mut().session.changes.clear();
    harness.get_by_label_contains("passive box, A1").focus();
    run(&mut harness);
    harness.key_press_modifiers(Modifiers::ALT, Key::ArrowUp);
    run(&mut harness);
    assert_eq!(harness.state().session.changes, [], "it is the first");
}

#[test]
fn a_double_click_on_a_name_renames() {
    let mut harness = courtyard(Shown::Setups);
    run(&mut harness);
    for _ in 0..2 {
        harness.get_by_label_contains("tuner, A1").click();
    }
    run(&mut harness);
    assert_one_edit(&mut harness);
    assert_eq!(heard(&harness), Some(2), "by the first of the two");
    let field = harness.get_by_label("new name of the setup");
    assert!(field.is_focused());
    field.type_text(" of mine");
    run(&mut harness);
    harness.key_press(Key::Escape);
    run(&mut harness);
    assert_eq!((names(&harness)[2].as_str(), harness.state().session.changes.len()), ("tuner", 0));
}

/// A and B, by its button and by its key.
#[test]
fn what_was_heard_before_is_a_key_away() {
    let mut harness = courtyard(Shown::Setups);
    run(&mut harness);
    assert!(harness.query_by_label_contains("press its number").is_some(), "what to do first");
    assert!(harness.query_by_label_contains("back to").is_none());
    harness.key_press(Key::Num9);
    run(&mut harness);
    assert_eq!(harness.state().session.changes, []);
    for key in [Key::Num3, Key::Num2] {
        harness.key_press(key);
        run(&mut harness);
    }
    click(&mut harness, "back to tuner");
    assert_eq!(heard(&harness), Some(2));
    harness.key_press(Key::Num9);
    run(&mut harness);
    assert_eq!(heard(&harness), Some(1));
    // Wherever it has gone meanwhile, and not if it is gone.
    choose(&mut harness, "tuner", "move down");
    choose(&mut harness, "passive box", "remove");
    click(&mut harness, "back to tuner");
    assert_eq!(names(&harness)[heard(&harness).unwrap()], "tuner");
    choose(&mut harness, "combo", "remove");
    assert!(harness.query_by_label_contains("back to").is_none());
}

#[test]
fn the_wheel_edits_nothing() {
    let mut harness = courtyard(Shown::Setups);
    run(&mut harness);
    harness.hover_at(tile(&harness, "combo").center());
    harness.event(egui::Event::MouseWheel {
        unit: egui::MouseWheelUnit::Line,
        delta: vec2(0.0, -3.0),
        phase: egui::TouchPhase::Move,
        source: egui::MouseWheelSource::Wheel,
        modifiers: Modifiers::NONE,
    });
    run(&mut harness);
    assert_eq!(harness.state().session.changes, []);
}

#[test]
fn a_key_back_tells_nothing_while_names_are_hidden() {
    let mut harness = courtyard(Shown::Setups);
    harness.state_mut().do_it(Message::Hear(Some(1)));
    harness.state_mut().do_it(Message::Blind(BlindMessage::Shuffle(1)));
    harness.state_mut().hide = true;
    let before = heard(&harness);
    wait(&mut harness);
    assert!(harness.query_by_label_contains("back to").is_none());
    harness.key_press(Key::Num9);
    run(&mut harness);
    assert_eq!(heard(&harness), before);
}

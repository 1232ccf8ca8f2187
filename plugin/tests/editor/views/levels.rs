//! Levels, switches and the boost limit.

use dsp_core::response::Ceiling;
use egui::{Key, Modifiers, vec2};
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable as _;
use firstjack_plugin::editor::{BlindMessage, Message, Stage};

use crate::fake::Fake;
use crate::views::stage::{App, Shown, courtyard, on, wait};

fn run(harness: &mut Harness<'_, App>) {
    harness.run();
    harness.run();
}

fn reset(harness: &mut Harness<'_, App>, name: &str) {
    harness.get_by_label(name).click_modifiers(Modifiers::COMMAND);
    run(harness);
}

/// A double click selects, as everywhere.
#[test]
fn a_double_click_resets_nothing() {
    let mut fake = Fake::courtyard();
    fake.document.output_db = -6.0;
    let mut harness = on(App::new(fake), Shown::Foot);
    wait(&mut harness);
    harness.get_by_label("output in dB").click();
    harness.get_by_label("output in dB").click();
    run(&mut harness);
    harness.key_press(Key::Escape);
    run(&mut harness);
    assert_eq!(harness.state().session.document.output_db, -6.0);
    assert!(harness.state().session.changes.is_empty());
}

#[test]
fn a_drag_is_one_gesture_and_one_undo() {
    let mut harness = courtyard(Shown::Foot);
    run(&mut harness);
    let start = harness.get_by_label("trim in dB").rect().center();
    harness.drag_at(start);
    harness.step();
    for step in [10.0, 20.0, 30.0] {
        harness.hover_at(start + vec2(step, 0.0));
        harness.step();
    }
    harness.drop_at(start + vec2(30.0, 0.0));
    harness.run();
    let stages = harness.state().session.changes.clone();
    assert_eq!(stages.first(), Some(&Stage::Begin));
    assert_eq!(stages.last(), Some(&Stage::End));
    assert!(
        stages.len() > 2 && stages[1..stages.len() - 1].iter().all(|stage| *stage == Stage::During),
        "{stages:?}"
    );
    let dragged_db = harness.state().session.document.trim_db;
    assert!((2.0..=4.0).contains(&dragged_db), "{dragged_db}");
    harness.state_mut().do_it(firstjack_plugin::editor::Message::Undo);
    assert_eq!(harness.state().session.document.trim_db, 0.0);
}

#[test]
fn a_level_is_typed_and_a_click_with_a_modifier_resets_it() {
    let mut harness = courtyard(Shown::Foot);
    run(&mut harness);
    harness.get_by_label("output in dB").click();
    run(&mut harness);
    harness.get_by_label("output in dB").type_text("−4.5");
    run(&mut harness);
    assert_eq!(harness.state().session.changes.len(), 0, "not before Enter");
    harness.key_press(Key::Enter);
    run(&mut harness);
    assert_eq!(harness.state().session.document.output_db, -4.5);
    assert_eq!(harness.state().session.changes, [Stage::Whole]);
    wait(&mut harness);
    reset(&mut harness, "output in dB");
    assert_eq!(harness.state().session.document.output_db, 0.0);
    assert_eq!(harness.state().session.changes, [Stage::Whole; 2]);
}

#[test]
fn a_click_with_a_modifier_resets_each_level() {
    let mut fake = Fake::courtyard();
    (fake.document.trim_db, fake.document.output_db, fake.document.ceiling) = (3.0, -6.0, Ceiling::Db(12.0));
    let mut harness = on(App::new(fake), Shown::Foot);
    for name in ["trim in dB", "output in dB", "boost limit in dB"] {
        wait(&mut harness);
        reset(&mut harness, name);
    }
    let document = &harness.state().session.document;
    assert_eq!((document.trim_db, document.output_db, document.ceiling), (0.0, 0.0, Ceiling::Db(24.0)));
    assert_eq!(harness.state().session.changes, [Stage::Whole; 3]);
}

/// A project of an earlier version is offered the ceiling of every change; moving the ceiling does not take it.
#[test]
fn an_earlier_ceiling_is_offered_the_new_rule() {
    let mut fake = Fake::courtyard();
    fake.document.ceiling = Ceiling::OfUndo(12.0);
    let mut harness = on(App::new(fake), Shown::Foot);
    wait(&mut harness);
    reset(&mut harness, "boost limit in dB");
    assert_eq!(harness.state().session.document.ceiling, Ceiling::OfUndo(24.0));
    harness.get_by_label("restoring only").click();
    run(&mut harness);
    assert_eq!(harness.state().session.document.ceiling, Ceiling::Db(24.0));
    assert!(harness.query_by_label("restoring only").is_none());
    assert_eq!(harness.state().session.changes, [Stage::Whole; 2]);
}

#[test]
fn what_cannot_be_read_as_a_level_is_said() {
    let mut harness = courtyard(Shown::Foot);
    run(&mut harness);
    harness.get_by_label("output in dB").click();
    run(&mut harness);
    harness.get_by_label("output in dB").type_text("loud");
    harness.key_press(Key::Enter);
    run(&mut harness);
    let notice = harness.state().model.notices.last().cloned().unwrap();
    assert!(notice.contains("'loud'"), "{notice}");
    assert!(harness.state().session.changes.is_empty());
}

#[test]
fn switches_are_edits() {
    let mut harness = courtyard(Shown::Foot);
    run(&mut harness);
    for name in ["bypass", "level match", "hold", "guard ready", "boost limit"] {
        harness.get_by_label(name).click();
        run(&mut harness);
    }
    let document = harness.state().session.document.clone();
    assert!(document.bypass && !document.level_match && document.hold && !document.guard);
    assert_eq!(document.ceiling, Ceiling::Off);
    harness.get_by_label("boost limit off").click();
    run(&mut harness);
    assert_eq!(harness.state().session.document.ceiling, Ceiling::Db(24.0));
}

/// What the gain of the match is, where it comes from, and whether it rests.
#[test]
fn the_gain_says_where_it_comes_from() {
    let mut harness = courtyard(Shown::Foot);
    let says = |harness: &mut Harness<'_, App>, text: &str| {
        run(harness);
        assert!(harness.query_by_label(text).is_some(), "{text}");
    };
    harness.state_mut().do_it(Message::Hear(Some(1)));
    says(&mut harness, "no gain yet");
    harness.state_mut().session.readings.matching_db = [Some(9.3); 6];
    says(&mut harness, "+9.3 dB guess");
    harness.state_mut().session.readings.learned_seconds = 19.0;
    says(&mut harness, "+9.3 dB learned");
    harness.state_mut().session.readings.held = true;
    says(&mut harness, "+9.3 dB held");
    harness.state_mut().do_it(Message::Hear(None));
    says(&mut harness, "held");
    harness.state_mut().do_it(Message::Blind(BlindMessage::Shuffle(1)));
    harness.state_mut().do_it(Message::Hear(Some(1)));
    says(&mut harness, "held");
}

//! Levels, switches and the boost limit.

use dsp_core::response::{Ceiling, Floor};
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

fn floor_hz(harness: &Harness<'_, App>) -> Option<f64> {
    harness.state().session.document.floor.map(|floor| floor.hz)
}

/// A guitarrón's low A has 55 Hz (ISO 16): half of that is offered, and costs it `10 log10(1 + 0.5⁴)` = 0.26 dB.
#[test]
fn the_boost_floor_is_half_of_the_lowest_string() {
    let mut harness = courtyard(Shown::Foot);
    run(&mut harness);
    assert_eq!(floor_hz(&harness), None);
    harness.get_by_label("boost floor off").click();
    run(&mut harness);
    assert_eq!(floor_hz(&harness), Some(27.5));
    assert!(harness.query_by_label("half of low A, costs it 0.3 dB").is_some());
    assert!(harness.query_by_label("half of low A").is_none(), "it is");
    harness.get_by_label("boost floor").click();
    run(&mut harness);
    assert_eq!(floor_hz(&harness), None);
    assert_eq!(harness.state().session.changes, [Stage::Whole; 2]);
    assert_eq!(harness.state().model.undo_names().0, Some("boost floor"));
    harness.state_mut().do_it(Message::Undo);
    assert_eq!(floor_hz(&harness), Some(27.5));
}

fn type_floor(harness: &mut Harness<'_, App>, text: &str) {
    wait(harness);
    harness.get_by_label("boost floor in Hz").click();
    run(harness);
    harness.get_by_label("boost floor in Hz").type_text(text);
    harness.key_press(Key::Enter);
    run(harness);
}

/// Higher up it costs more, `10 log10(1 + (41/55)⁴)` = 1.2 dB, and half is offered again.
#[test]
fn a_boost_floor_is_typed_and_tells_what_it_costs() {
    let mut fake = Fake::courtyard();
    fake.document.floor = Some(Floor { hz: 27.5 });
    let mut harness = on(App::new(fake), Shown::Foot);
    type_floor(&mut harness, "41 Hz");
    assert_eq!(floor_hz(&harness), Some(41.0));
    assert!(harness.query_by_label("costs low A 1.2 dB").is_some());
    wait(&mut harness);
    harness.get_by_label("half of low A").click();
    run(&mut harness);
    assert_eq!(floor_hz(&harness), Some(27.5));
    type_floor(&mut harness, "12");
    assert_eq!(floor_hz(&harness), Some(12.0));
    assert!(harness.query_by_label("costs low A less than 0.1 dB").is_some());
    wait(&mut harness);
    reset(&mut harness, "boost floor in Hz");
    assert_eq!(floor_hz(&harness), Some(27.5));
    // A part of the lowest string's frequency is no frequency.
    type_floor(&mut harness, "0.5");
    let notice = harness.state().model.notices.last().cloned().unwrap();
    assert!(notice.contains("'0.5' as a frequency: accepted are 27.5 Hz, 1 to 200 Hz, or off"), "{notice}");
    assert_eq!(floor_hz(&harness), Some(27.5));
    type_floor(&mut harness, "off");
    assert_eq!(floor_hz(&harness), None);
    assert!(harness.query_by_label("boost floor off").is_some());
    assert_eq!(harness.state().session.changes, [Stage::Whole; 5]);
}

/// However far it is dragged: it never is off by a drag, which would have no end.
#[test]
fn a_boost_floor_that_is_dragged_stays_on() {
    let mut fake = Fake::courtyard();
    fake.document.floor = Some(Floor { hz: 27.5 });
    let mut harness = on(App::new(fake), Shown::Foot);
    wait(&mut harness);
    let start = harness.get_by_label("boost floor in Hz").rect().center();
    harness.drag_at(start);
    harness.step();
    for step in [-20.0, -200.0, -400.0] {
        harness.hover_at(start + vec2(step, 0.0));
        harness.step();
    }
    harness.drop_at(start + vec2(-400.0, 0.0));
    run(&mut harness);
    assert_eq!(floor_hz(&harness), Some(1.0));
    let stages = harness.state().session.changes.clone();
    assert_eq!((stages.first(), stages.last()), (Some(&Stage::Begin), Some(&Stage::End)), "{stages:?}");
}

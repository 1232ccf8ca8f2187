use std::path::{Path, PathBuf};
use std::sync::Arc;

use dsp_core::response::Ceiling;
use egui::{DroppedFile, Key, OutputCommand, PointerButton, vec2};
use egui_kittest::Harness;
use egui_kittest::kittest::{NodeT as _, Queryable as _};
use firstjack_plugin::editor::{BlindMessage, Message, Stage};

use crate::fake::{COURTYARD, Fake};
use crate::views::stage::{App, Shown, courtyard, on, wait};

fn run(harness: &mut Harness<'_, App>) {
    harness.run();
    harness.run();
}

fn heard(harness: &Harness<'_, App>) -> Option<usize> {
    harness.state().session.document.heard
}

#[test]
fn a_click_hears_a_setup() {
    let mut harness = courtyard(Shown::Setups);
    harness.state_mut().session.readings.matching_db[2] = Some(12.34);
    run(&mut harness);
    assert!(harness.query_by_label("tuner, A1 −12.8 dB, a guess: +12.3 dB").is_some());
    harness.state_mut().session.readings.learned_seconds = 19.0;
    run(&mut harness);
    harness.get_by_label("tuner, A1 −12.8 dB, matched by +12.3 dB").click();
    run(&mut harness);
    assert_eq!(heard(&harness), Some(2));
    harness.get_by_label("combo, A1 −19.2 dB, not matched yet").click();
    run(&mut harness);
    assert_eq!(heard(&harness), Some(1));
    harness.get_by_label("as recorded, A1 −0.2 dB").click();
    run(&mut harness);
    assert_eq!(heard(&harness), None);
    assert_eq!(harness.state().session.changes, [Stage::Whole; 3]);
}

/// A name of another's can neither break lines nor turn what follows around, and is kept as it is.
#[test]
fn names_that_steer_are_shown_as_escapes() {
    let steers = COURTYARD.replace("name = \"tuner\"", r#"name = "tuner\n\u202e""#);
    let mut harness = on(App::new(Fake::new(&steers)), Shown::All);
    run(&mut harness);
    assert_eq!(harness.query_all_by_label_contains("tuner\\n\\u{202e}, A1 −12.8 dB").count(), 1);
    assert_eq!(harness.query_all_by_label_contains("\u{202e}").count(), 0);
    assert_eq!(harness.state().session.document.preset.setups[2].name, "tuner\n\u{202e}");
}

#[test]
fn numbers_hear_setups_unless_something_is_typed() {
    let mut harness = courtyard(Shown::All);
    run(&mut harness);
    for (key, expected) in
        [(Key::Num3, Some(2)), (Key::Num6, Some(5)), (Key::Num0, None), (Key::Num1, Some(0))]
    {
        harness.key_press(key);
        run(&mut harness);
        assert_eq!(heard(&harness), expected);
    }
    harness.key_press_modifiers(egui::Modifiers::COMMAND, Key::Num2);
    run(&mut harness);
    assert_eq!(heard(&harness), Some(0), "the host's shortcut");
    harness.get_by_label("own tuning").click();
    run(&mut harness);
    harness.key_press(Key::Num2);
    run(&mut harness);
    assert_eq!(heard(&harness), Some(0), "a text field has the focus");
}

fn rename(harness: &mut Harness<'_, App>, to: &str) {
    harness.get_by_label("more for tuner").click();
    run(harness);
    harness.get_by_label("rename").click();
    run(harness);
    let field = harness.get_by_label("new name of the setup");
    assert!(field.is_focused());
    field.type_text(to);
    run(harness);
    harness.key_press(Key::Enter);
    run(harness);
}

#[test]
fn renames_in_place_and_keeps_names_apart() {
    let mut harness = courtyard(Shown::Setups);
    run(&mut harness);
    rename(&mut harness, " of mine");
    assert_eq!(harness.state().session.document.preset.setups[2].name, "tuner of mine");
    assert_eq!(harness.state().session.changes, [Stage::Whole]);
}

#[test]
fn refuses_a_name_that_another_setup_has() {
    let mut harness = courtyard(Shown::Setups);
    run(&mut harness);
    rename(&mut harness, "'s unbuffered thru");
    assert_eq!(harness.state().session.document.preset.setups[2].name, "tuner");
    let notice = harness.state().model.notices.last().cloned().unwrap();
    assert!(notice.contains("tuner's unbuffered thru"), "{notice}");
}

#[test]
fn copies_one_setup_to_another() {
    let mut harness = courtyard(Shown::Setups);
    run(&mut harness);
    harness.get_by_label("more for tuner").click();
    run(&mut harness);
    assert!(harness.get_by_label("paste setup here").accesskit_node().is_disabled());
    harness.get_by_label("copy setup").click();
    run(&mut harness);
    harness.get_by_label_contains("combo, A1").click_button(PointerButton::Secondary);
    run(&mut harness);
    harness.get_by_label("paste setup here").click();
    run(&mut harness);
    let setups = &harness.state().session.document.preset.setups;
    assert_eq!(setups[1].chain, setups[2].chain);
    assert_eq!(setups[1].name, "combo");
}

#[test]
fn a_venue_goes_where_its_setup_goes() {
    let mut session = Fake::courtyard();
    session.document.preset.setups[2].venue = Some("courtyard".to_owned());
    let mut harness = on(App::new(session), Shown::Setups);
    run(&mut harness);
    rename(&mut harness, " of mine");
    harness.get_by_label("more for tuner of mine").click();
    run(&mut harness);
    harness.get_by_label("copy setup").click();
    run(&mut harness);
    harness.get_by_label_contains("combo, A1").click_button(PointerButton::Secondary);
    run(&mut harness);
    harness.get_by_label("paste setup here").click();
    run(&mut harness);
    let preset = &harness.state().session.document.preset;
    let venues: Vec<Option<&str>> = preset.setups.iter().map(|setup| setup.venue.as_deref()).collect();
    assert_eq!(venues, [None, Some("courtyard"), Some("courtyard"), None, None, None]);
    let again = dsp_core::preset::Preset::from_toml(&preset.to_toml());
    assert_eq!(again.as_ref(), Ok(preset), "what the plugin's state and the clipboard hold");
}

#[test]
fn loads_a_preset_from_pasted_text() {
    let mut harness = courtyard(Shown::Setups);
    run(&mut harness);
    harness.get_by_label("paste preset text").click();
    run(&mut harness);
    assert!(harness.get_by_label("load").accesskit_node().is_disabled());
    harness.get_by_label("text of a preset file").click();
    run(&mut harness);
    harness
        .get_by_label("text of a preset file")
        .type_text(include_str!("../../../../presets/blocking.toml"));
    run(&mut harness);
    harness.get_by_label("load").click();
    run(&mut harness);
    assert_eq!(harness.state().session.document.preset.name, "Blocking capacitors");
    assert!(harness.query_by_label("load").is_none(), "the field closes");
}

#[derive(Debug)]
struct Dropped(PathBuf, Vec<u8>);

impl DroppedFile for Dropped {
    fn path(&self) -> &Path {
        &self.0
    }

    fn bytes(&self) -> Result<Vec<u8>, String> {
        Ok(self.1.clone())
    }
}

fn drop_file(harness: &mut Harness<'_, App>, bytes: &[u8]) {
    let file = Dropped("setups.toml".into(), bytes.to_vec());
    harness.input_mut().dropped_files = vec![Arc::new(file)];
    harness.step();
}

#[test]
fn loads_a_dropped_file_and_says_what_is_wrong_with_it() {
    let mut harness = courtyard(Shown::Setups);
    run(&mut harness);
    drop_file(&mut harness, &[0xFF, 0xFE]);
    let notice = harness.state().model.notices.last().cloned().unwrap();
    assert!(notice.contains("setups.toml") && notice.contains("UTF-8"), "{notice}");
    drop_file(&mut harness, &vec![b' '; 2 << 20]);
    assert!(harness.state().model.notices.last().cloned().unwrap().contains("bytes"));
    drop_file(&mut harness, b"version = 9");
    assert!(!harness.state().model.notices.is_empty());
    assert_eq!(harness.state().session.document.preset.name, "Courtyard");
    drop_file(&mut harness, include_bytes!("../../../../presets/blocking.toml"));
    assert_eq!(harness.state().session.document.preset.name, "Blocking capacitors");
    assert!(harness.state().model.notices.is_empty());
    drop_file(
        &mut harness,
        b"version = 5\nname = 'Tonight'\npickup = '1n'\n[[setup]]\nname = 'amp'\nload = '1M'\n",
    );
    assert_eq!(harness.state().session.document.preset.name, "Tonight");
    let notice = harness.state().model.notices.last().cloned().unwrap();
    assert!(notice.contains("does not say what was recorded through"), "{notice}");
}

#[test]
fn puts_the_preset_on_the_clipboard() {
    let mut harness = courtyard(Shown::Setups);
    run(&mut harness);
    harness.get_by_label("copy preset text").click();
    let mut copied = None;
    for _ in 0..4 {
        harness.step();
        let commands = &harness.output().platform_output.commands;
        copied = copied.or(commands.iter().find_map(|command| match command {
            OutputCommand::CopyText(text) => Some(text.clone()),
            _ => None,
        }));
    }
    let document = &harness.state().session.document;
    assert_eq!(copied, Some(firstjack_plugin::editor::views::preset_text(document)));
}

#[test]
fn a_drag_is_one_gesture_and_one_undo() {
    let mut harness = courtyard(Shown::Setups);
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
fn a_level_is_typed_and_a_double_click_resets_it() {
    let mut harness = courtyard(Shown::Setups);
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
    harness.get_by_label("output in dB").click();
    harness.get_by_label("output in dB").click();
    run(&mut harness);
    assert_eq!(harness.state().session.document.output_db, 0.0);
    assert_eq!(harness.state().session.changes, [Stage::Whole; 2]);
}

#[test]
fn a_double_click_resets_each_level() {
    let mut fake = Fake::courtyard();
    (fake.document.trim_db, fake.document.output_db, fake.document.ceiling) = (3.0, -6.0, Ceiling::Db(12.0));
    let mut harness = on(App::new(fake), Shown::Setups);
    for name in ["trim in dB", "output in dB", "undo ceiling in dB"] {
        wait(&mut harness);
        harness.get_by_label(name).click();
        harness.get_by_label(name).click();
        run(&mut harness);
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
    let mut harness = on(App::new(fake), Shown::Setups);
    wait(&mut harness);
    harness.get_by_label("undo ceiling in dB").click();
    harness.get_by_label("undo ceiling in dB").click();
    run(&mut harness);
    assert_eq!(harness.state().session.document.ceiling, Ceiling::OfUndo(24.0));
    harness.get_by_label("undo only").click();
    run(&mut harness);
    assert_eq!(harness.state().session.document.ceiling, Ceiling::Db(24.0));
    assert!(harness.query_by_label("undo only").is_none());
    assert_eq!(harness.state().session.changes, [Stage::Whole; 2]);
}

#[test]
fn what_cannot_be_read_as_a_level_is_said() {
    let mut harness = courtyard(Shown::Setups);
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
    let mut harness = courtyard(Shown::Setups);
    run(&mut harness);
    for name in ["bypass", "level match", "hold", "guard", "undo ceiling"] {
        harness.get_by_label(name).click();
        run(&mut harness);
    }
    let document = harness.state().session.document.clone();
    assert!(document.bypass && !document.level_match && document.hold && !document.guard);
    assert_eq!(document.ceiling, Ceiling::Off);
    harness.get_by_label("undo ceiling").click();
    run(&mut harness);
    assert_eq!(harness.state().session.document.ceiling, Ceiling::Db(24.0));
}

/// What the gain of the match is, where it comes from, and whether it rests.
#[test]
fn the_gain_says_where_it_comes_from() {
    let mut harness = courtyard(Shown::Setups);
    let says = |harness: &mut Harness<'_, App>, text: &str| {
        run(harness);
        assert!(harness.query_by_label(text).is_some(), "{text}");
    };
    harness.state_mut().do_it(Message::Hear(Some(1)));
    says(&mut harness, "no gain yet");
    harness.state_mut().session.readings.matching_db = [Some(9.3); 6];
    says(&mut harness, "+9.3 dB, a guess");
    harness.state_mut().session.readings.learned_seconds = 19.0;
    says(&mut harness, "+9.3 dB, learned from 19 s");
    harness.state_mut().session.readings.held = true;
    says(&mut harness, "+9.3 dB, learned from 19 s, held");
    harness.state_mut().do_it(Message::Hear(None));
    says(&mut harness, "learned from 19 s, held");
    harness.state_mut().do_it(Message::Blind(BlindMessage::Shuffle(1)));
    harness.state_mut().do_it(Message::Hear(Some(1)));
    says(&mut harness, "learned from 19 s, held");
}

#[test]
fn hides_names_while_listening_blind() {
    let mut harness = courtyard(Shown::Setups);
    harness.state_mut().hide = true;
    run(&mut harness);
    assert!(harness.query_all_by_label_contains("tuner").next().is_none());
}

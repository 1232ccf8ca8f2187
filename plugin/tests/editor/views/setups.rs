use std::path::{Path, PathBuf};
use std::sync::Arc;

use egui::{DroppedFile, Key, PointerButton};
use egui_kittest::Harness;
use egui_kittest::kittest::{NodeT as _, Queryable as _};
use firstjack_plugin::editor::Stage;

use crate::fake::{COURTYARD, Fake};
use crate::views::stage::{App, Shown, courtyard, on};

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
    assert!(harness.query_by_label("tuner, A1 −12.8 dB, turned up 12.3 dB, a guess").is_some());
    harness.state_mut().session.readings.learned_seconds = 19.0;
    run(&mut harness);
    harness.get_by_label("tuner, A1 −12.8 dB, turned up 12.3 dB").click();
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
    harness.get_by_label("more for combo").click();
    run(&mut harness);
    harness.get_by_label("rename").click();
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
    assert!(harness.get_by_label("paste here").accesskit_node().is_disabled());
    harness.get_by_label("copy").click();
    run(&mut harness);
    harness.get_by_label_contains("combo, A1").click_button(PointerButton::Secondary);
    run(&mut harness);
    harness.get_by_label("paste here").click();
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
    harness.get_by_label("copy").click();
    run(&mut harness);
    harness.get_by_label_contains("combo, A1").click_button(PointerButton::Secondary);
    run(&mut harness);
    harness.get_by_label("paste here").click();
    run(&mut harness);
    let preset = &harness.state().session.document.preset;
    let venues: Vec<Option<&str>> = preset.setups.iter().map(|setup| setup.venue.as_deref()).collect();
    assert_eq!(venues, [None, Some("courtyard"), Some("courtyard"), None, None, None]);
    let again = dsp_core::preset::Preset::from_toml(&preset.to_toml());
    assert_eq!(again.as_ref(), Ok(preset), "what the plugin's state and the clipboard hold");
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
    let said = harness.state().model.notices.len();
    assert_eq!(said, 3, "until they are read");
    drop_file(
        &mut harness,
        b"version = 5\nname = 'Tonight'\npickup = '1n'\n[[setup]]\nname = 'amp'\nload = '1M'\n",
    );
    assert_eq!(harness.state().session.document.preset.name, "Tonight");
    let notice = harness.state().model.notices.last().cloned().unwrap();
    assert!(notice.contains("does not say what was recorded through"), "{notice}");
}

#[test]
fn hides_names_while_listening_blind() {
    let mut harness = courtyard(Shown::Setups);
    harness.state_mut().hide = true;
    run(&mut harness);
    assert!(harness.query_all_by_label_contains("tuner").next().is_none());
}

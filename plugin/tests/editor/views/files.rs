//! Presets from files and to files, by the dialog.

use std::path::Path;

use egui::Key;
use egui_kittest::Harness;
use egui_kittest::kittest::{NodeT as _, Queryable as _};

use crate::fake::Fake;
use crate::views::stage::{App, Shown, fits};

const BLOCKING: &str = include_str!("../../../../presets/blocking.toml");

/// The fields of the library's dialog have no names for screen readers, which tests refuse by themselves.
fn setups() -> Harness<'static, App> {
    let draw = |ui: &mut egui::Ui, app: &mut App| app.show(ui, Shown::Setups);
    let builder = Harness::builder().with_size(egui::vec2(720.0, 480.0)).with_step_dt(1.0 / 60.0);
    let mut harness =
        builder.with_accessibility_check(false).build_ui_state(draw, App::new(Fake::courtyard()));
    run(&mut harness);
    harness
}

fn run(harness: &mut Harness<'_, App>) {
    harness.run();
    harness.run();
}

fn click(harness: &mut Harness<'_, App>, label: &str) {
    harness.get_by_label(label).click();
    run(harness);
}

/// The field of that text gets another.
fn write_over(harness: &mut Harness<'_, App>, field: impl Fn(&str) -> bool, text: &str) {
    let found = harness
        .query_all_by_role(egui::Role::TextInput)
        .find(|node| node.accesskit_node().value().is_some_and(|value| field(&value)));
    found.expect("the field").click();
    run(harness);
    harness.key_press_modifiers(egui::Modifiers::COMMAND, Key::A);
    harness.run();
    harness.event(egui::Event::Text(text.to_owned()));
    run(harness);
    harness.key_press(Key::Enter);
    run(harness);
}

/// The dialog is at another folder.
fn go_to(harness: &mut Harness<'_, App>, folder: &Path) {
    write_over(harness, |value| value.starts_with('/'), folder.to_str().unwrap());
}

fn notice(harness: &Harness<'_, App>) -> String {
    harness.state().model.notices.last().cloned().unwrap_or_default()
}

#[test]
fn loads_a_file_that_is_chosen() {
    let folder = tempfile::tempdir().unwrap();
    std::fs::write(folder.path().join("blocking.toml"), BLOCKING).unwrap();
    std::fs::write(folder.path().join("broken.toml"), "version = 9").unwrap();
    std::fs::write(folder.path().join("take.wav"), "").unwrap();
    let mut harness = setups();
    click(&mut harness, "load file…");
    go_to(&mut harness, folder.path());
    assert!(fits(&harness));
    crate::snapshot::save(&harness, "load-file");
    assert!(harness.query_by_label_contains("take.wav").is_none(), "only presets are listed");
    harness.get_by_label_contains("broken.toml").click();
    run(&mut harness);
    click(&mut harness, "Open");
    assert!(!notice(&harness).is_empty());
    assert_eq!(harness.state().session.document.preset.name, "Courtyard");
    // It comes back to the same folder.
    click(&mut harness, "load file…");
    harness.get_by_label_contains("blocking.toml").click();
    run(&mut harness);
    click(&mut harness, "Open");
    assert_eq!(harness.state().session.document.preset.name, "Blocking capacitors");
    assert_eq!(notice(&harness), "");
}

#[test]
fn saves_and_asks_before_it_replaces() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("courtyard.toml");
    let mut harness = setups();
    let save = |harness: &mut Harness<'_, App>| {
        click(harness, "save file…");
        go_to(harness, folder.path());
        click(harness, "Save");
    };
    save(&mut harness);
    assert_eq!(notice(&harness), format!("saved as {}", path.display()));
    let text = firstjack_plugin::editor::views::preset_text(&harness.state().session.document);
    assert_eq!(std::fs::read_to_string(&path).unwrap(), text);
    std::fs::write(&path, "precious").unwrap();
    save(&mut harness);
    assert!(harness.query_by_label_contains("courtyard.toml is there already.").is_some());
    crate::snapshot::save(&harness, "replace-file");
    click(&mut harness, "keep it");
    assert_eq!(std::fs::read_to_string(&path).unwrap(), "precious");
    save(&mut harness);
    click(&mut harness, "replace it");
    assert_eq!(std::fs::read_to_string(&path).unwrap(), text);
    assert_eq!(std::fs::read_dir(folder.path()).unwrap().count(), 1);
}

#[test]
fn says_why_a_file_cannot_be_saved() {
    let folder = tempfile::tempdir().unwrap();
    // A folder in the file's place, which cannot be replaced by it.
    std::fs::create_dir(folder.path().join("courtyard.toml")).unwrap();
    let mut harness = setups();
    click(&mut harness, "save file…");
    go_to(&mut harness, folder.path());
    click(&mut harness, "Save");
    click(&mut harness, "replace it");
    assert!(notice(&harness).contains("cannot save the preset"), "{}", notice(&harness));
}

#[test]
fn the_dialog_closes_without_a_file() {
    let mut harness = setups();
    for (open, close) in [("load file…", "Cancel"), ("save file…", "Cancel")] {
        click(&mut harness, open);
        click(&mut harness, close);
        assert!(harness.query_by_label(close).is_none());
    }
    click(&mut harness, "load file…");
    harness.key_press(Key::Escape);
    run(&mut harness);
    assert!(harness.query_by_label("Cancel").is_none());
    assert_eq!((harness.state().session.changes.len(), notice(&harness)), (0, String::new()));
}

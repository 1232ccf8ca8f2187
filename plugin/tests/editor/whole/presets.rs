//! Presets by the menu of the top line: from what ships, from files and to files, and as text.

use std::path::Path;

use egui::{Key, OutputCommand, vec2};
use egui_kittest::Harness;
use egui_kittest::kittest::{NodeT as _, Queryable as _};
use firstjack_kit::KitFile;
use firstjack_plugin::editor::views::preset_text;
use firstjack_plugin::editor::{Edit, Level, Message, SetupsEdit, Stage, Theme};
use tempfile::TempDir;

use crate::fake::COURTYARD;
use crate::snapshot::save;
use crate::whole::{SMALL, Window, apply};

const BLOCKING: &str = include_str!("../../../../presets/blocking.toml");

/// A window, and the folder in which a person's kit would be. The fields of the library's dialog have no names for screen readers, which tests
/// refuse by themselves.
fn with_folder() -> (TempDir, Harness<'static, Window>) {
    let folder = tempfile::tempdir().unwrap();
    let kit = KitFile::find(Some(&folder.path().join("kit.toml"))).unwrap();
    let mut harness = Harness::builder()
        .with_size(vec2(SMALL.0, SMALL.1))
        .with_step_dt(1.0 / 60.0)
        .with_accessibility_check(false)
        .build_ui_state(
            |ui, window: &mut Window| window.show(ui),
            Window::new(COURTYARD, Some(3)).beside(kit),
        );
    apply(&mut harness, Theme::Light);
    (folder, harness)
}

fn run(harness: &mut Harness<'_, Window>) {
    harness.run_steps(6);
}

fn click(harness: &mut Harness<'_, Window>, label: &str) {
    harness.get_by_label(label).click();
    run(harness);
}

/// Opens the preset's menu.
fn open_menu(harness: &mut Harness<'_, Window>) {
    let edited = if harness.state().model.is_edited() { ", edited" } else { "" };
    let menu = format!("preset {}{edited}", name(harness));
    click(harness, &menu);
}

/// By keyboard, which scrolls to what is not in sight.
fn choose(harness: &mut Harness<'_, Window>, item: &str) {
    open_menu(harness);
    harness.get_by_label(item).focus();
    run(harness);
    harness.key_press(Key::Enter);
    run(harness);
}

/// The field of that text gets another.
fn write_over(harness: &mut Harness<'_, Window>, field: impl Fn(&str) -> bool, text: &str) {
    let found = harness
        .query_all_by_role(egui::Role::TextInput)
        .find(|node| node.accesskit_node().value().is_some_and(|value| field(&value)));
    found.expect("the field").click();
    run(harness);
    harness.key_press_modifiers(egui::Modifiers::COMMAND, Key::A);
    run(harness);
    harness.event(egui::Event::Text(text.to_owned()));
    run(harness);
    harness.key_press(Key::Enter);
    run(harness);
}

/// The dialog is at another folder.
fn go_to(harness: &mut Harness<'_, Window>, folder: &Path) {
    write_over(harness, |value| Path::new(value).is_absolute(), folder.to_str().unwrap());
}

fn notice(harness: &Harness<'_, Window>) -> String {
    harness.state().model.notices.last().cloned().unwrap_or_default()
}

fn name(harness: &Harness<'_, Window>) -> String {
    harness.state().session.document.preset.name.clone()
}

fn edit(harness: &mut Harness<'_, Window>, edit: Edit) {
    let window = harness.state_mut();
    window.model.update(Message::Edit(edit, Stage::Whole), &mut window.session);
    run(harness);
}

/// By keyboard, too.
#[test]
fn what_ships_is_in_the_menu() {
    let (_folder, mut harness) = with_folder();
    open_menu(&mut harness);
    save(&harness, "menu-preset");
    for shipped in ["Courtyard", "Passive box", "Blocking capacitors", "Blend"] {
        assert!(harness.query_all_by_label(shipped).next().is_some(), "{shipped}");
    }
    click(&mut harness, "Blocking capacitors");
    assert_eq!(name(&harness), "Blocking capacitors");
    harness.get_by_label("preset Blocking capacitors").focus();
    run(&mut harness);
    harness.key_press(Key::Enter);
    run(&mut harness);
    harness.get_by_label("Blend").focus();
    run(&mut harness);
    harness.key_press(Key::Enter);
    run(&mut harness);
    assert_eq!(name(&harness), "Blend");
    click(&mut harness, "Undo opening Blend");
    assert_eq!(name(&harness), "Blocking capacitors");
}

#[test]
fn edited_is_what_differs_from_what_was_opened() {
    let (_folder, mut harness) = with_folder();
    assert!(harness.query_by_label("preset Courtyard").is_some());
    // Levels are no part of it.
    edit(&mut harness, Edit::Level(Level::Trim, 3.0));
    assert!(harness.query_by_label("preset Courtyard").is_some());
    edit(&mut harness, Edit::Setups(SetupsEdit::Move(0, 1)));
    assert!(harness.query_by_label("preset Courtyard, edited").is_some());
    let undo = harness.state().model.undo_names().0.unwrap().to_owned();
    click(&mut harness, &format!("Undo {undo}"));
    assert!(harness.query_by_label("preset Courtyard").is_some());
    edit(&mut harness, Edit::Setups(SetupsEdit::Remove(0)));
    harness.state_mut().session.load(BLOCKING);
    let window = harness.state_mut();
    window.model.refresh(&mut window.session);
    run(&mut harness);
    assert!(harness.query_by_label("preset Blocking capacitors").is_some(), "the host's is what was opened");
}

#[test]
fn a_persons_folder_and_what_was_used_last_are_offered() {
    let (folder, mut harness) = with_folder();
    let own = folder.path().join("presets");
    std::fs::create_dir(&own).unwrap();
    std::fs::write(own.join("evening.toml"), BLOCKING).unwrap();
    choose(&mut harness, "evening");
    assert_eq!(name(&harness), "Blocking capacitors");
    assert_eq!(harness.state().model.path(), Some(&*own.join("evening.toml")));
    run(&mut harness);
    assert!(std::fs::read_to_string(folder.path().join("recent.toml")).unwrap().contains("evening.toml"));
    // Saved over without a question: it is the file that was opened.
    edit(&mut harness, Edit::NamePreset("Evening".to_owned()));
    choose(&mut harness, "save");
    assert!(std::fs::read_to_string(own.join("evening.toml")).unwrap().contains("Evening"));
    assert!(harness.query_by_label("preset Evening").is_some());
    // What was there before it was opened is not written over it.
    edit(&mut harness, Edit::Level(Level::Trim, 1.0));
    for _ in 0..3 {
        let window = harness.state_mut();
        window.model.update(Message::Undo, &mut window.session);
    }
    run(&mut harness);
    assert_eq!((name(&harness).as_str(), harness.state().model.path()), ("Courtyard", None));
}

#[test]
fn renames_in_place() {
    let (_folder, mut harness) = with_folder();
    choose(&mut harness, "rename…");
    write_over(&mut harness, |value| value == "Courtyard", "Yard");
    assert_eq!(name(&harness), "Yard");
    choose(&mut harness, "rename…");
    harness.key_press(Key::Escape);
    run(&mut harness);
    assert_eq!(name(&harness), "Yard");
}

#[test]
fn a_preset_goes_to_the_clipboard_and_comes_from_it_as_text() {
    let (_folder, mut harness) = with_folder();
    open_menu(&mut harness);
    harness.get_by_label("copy as text").click();
    let mut copied = None;
    for _ in 0..4 {
        harness.step();
        let commands = &harness.output().platform_output.commands;
        copied = copied.or(commands.iter().find_map(|command| match command {
            OutputCommand::CopyText(text) => Some(text.clone()),
            _ => None,
        }));
    }
    assert_eq!(copied, Some(preset_text(&harness.state().session.document)));
    choose(&mut harness, "paste as text…");
    save(&harness, "paste-preset");
    assert!(harness.get_by_label("open").accesskit_node().is_disabled());
    harness.event(egui::Event::Text(BLOCKING.to_owned()));
    run(&mut harness);
    click(&mut harness, "open");
    assert_eq!(name(&harness), "Blocking capacitors");
    assert!(harness.query_by_label("cancel").is_none(), "the field closes");
}

#[test]
fn loads_a_file_that_is_chosen() {
    let folder = tempfile::tempdir().unwrap();
    std::fs::write(folder.path().join("blocking.toml"), BLOCKING).unwrap();
    std::fs::write(folder.path().join("broken.toml"), "version = 9").unwrap();
    std::fs::write(folder.path().join("take.wav"), "").unwrap();
    let (_beside, mut harness) = with_folder();
    choose(&mut harness, "open…");
    go_to(&mut harness, folder.path());
    save(&harness, "load-file");
    assert!(harness.query_by_label_contains("take.wav").is_none(), "only presets are listed");
    harness.get_by_label_contains("broken.toml").click();
    run(&mut harness);
    click(&mut harness, "Open");
    assert!(!notice(&harness).is_empty());
    assert_eq!(harness.state().session.document.preset.name, "Courtyard");
    // It comes back to the same folder.
    choose(&mut harness, "open…");
    harness.get_by_label_contains("blocking.toml").click();
    run(&mut harness);
    click(&mut harness, "Open");
    assert_eq!(harness.state().session.document.preset.name, "Blocking capacitors");
}

#[test]
fn saves_and_asks_before_it_replaces() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("courtyard.toml");
    let (_beside, mut harness) = with_folder();
    let save_as = |harness: &mut Harness<'_, Window>| {
        choose(harness, "save as…");
        go_to(harness, folder.path());
        click(harness, "Save");
    };
    save_as(&mut harness);
    assert_eq!(notice(&harness), format!("saved as {}", path.display()));
    let text = preset_text(&harness.state().session.document);
    assert_eq!(std::fs::read_to_string(&path).unwrap(), text);
    std::fs::write(&path, "precious").unwrap();
    save_as(&mut harness);
    assert!(harness.query_by_label_contains("courtyard.toml is there already.").is_some());
    save(&harness, "replace-file");
    click(&mut harness, "keep it");
    assert_eq!(std::fs::read_to_string(&path).unwrap(), "precious");
    save_as(&mut harness);
    click(&mut harness, "replace it");
    assert_eq!(std::fs::read_to_string(&path).unwrap(), text);
    assert_eq!(std::fs::read_dir(folder.path()).unwrap().count(), 1);
}

#[test]
fn says_why_a_file_cannot_be_saved() {
    let folder = tempfile::tempdir().unwrap();
    // A folder in the file's place, which nobody is asked to replace.
    std::fs::create_dir(folder.path().join("courtyard.toml")).unwrap();
    let (_beside, mut harness) = with_folder();
    choose(&mut harness, "save as…");
    go_to(&mut harness, folder.path());
    click(&mut harness, "Save");
    let said = notice(&harness);
    assert!(said.contains("cannot save the preset") && said.contains("it is a folder"), "{said}");
}

#[test]
fn the_dialog_closes_without_a_file() {
    let (_beside, mut harness) = with_folder();
    for (open, close) in [("open…", "Cancel"), ("save as…", "Cancel")] {
        choose(&mut harness, open);
        click(&mut harness, close);
        assert!(harness.query_by_label(close).is_none());
    }
    choose(&mut harness, "open…");
    harness.key_press(Key::Escape);
    run(&mut harness);
    assert!(harness.query_by_label("Cancel").is_none());
    assert_eq!((harness.state().session.changes.len(), notice(&harness)), (0, String::new()));
}

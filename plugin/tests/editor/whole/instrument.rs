//! Whose strings are spoken of, chosen in the top line and seen in the table.

use egui::Key;
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable;
use firstjack_plugin::editor::Theme;

use crate::fake::COURTYARD;
use crate::whole::{LARGE, Window, window};

const MENU: &str = "instrument guitarrón";
const FIELD: &str = "own tuning";

/// The table, and the menu over it.
fn with_menu() -> Harness<'static, Window> {
    let mut harness = window(COURTYARD, None, LARGE, Theme::Light);
    click(&mut harness, "Strings");
    click(&mut harness, MENU);
    harness
}

fn click(harness: &mut Harness<'_, Window>, label: &str) {
    harness.get_by_label(label).click();
    harness.run_steps(12);
}

fn type_and_enter(harness: &mut Harness<'_, Window>, text: &str) {
    click(harness, FIELD);
    harness.key_press_modifiers(egui::Modifiers::COMMAND, Key::A);
    harness.run_steps(2);
    harness.get_by_label(FIELD).type_text(text);
    harness.run_steps(2);
    assert_eq!(harness.state().model.instrument.id, "guitarron", "not before Enter");
    harness.key_press(Key::Enter);
    harness.run_steps(12);
}

#[test]
fn the_table_speaks_of_the_instrument_that_is_chosen() {
    let mut harness = with_menu();
    click(&mut harness, "five-string bass");
    assert_eq!(harness.state().model.instrument.id, "bass-five");
    assert!(harness.query_all_by_label_contains("tuner, B0: ").next().is_some());
}

#[test]
fn takes_an_own_tuning_by_enter_and_says_what_is_wrong() {
    let mut harness = with_menu();
    type_and_enter(&mut harness, "A1 H2");
    let notice = harness.state().model.notices.last().cloned().unwrap();
    assert!(notice.contains("'H2'"), "{notice}");
    assert_eq!(harness.state().model.instrument.id, "guitarron");
    click(&mut harness, MENU);
    type_and_enter(&mut harness, "A1 D2");
    assert_eq!(harness.state().model.figures.strings.len(), 2);
    harness.get_by_label("tuner, A1: loses 12.8 dB");
}

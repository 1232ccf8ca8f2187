use egui::Key;
use egui_kittest::kittest::Queryable as _;

use crate::views::stage::{Shown, courtyard, fits};

/// Losses of 680 pF at 55 Hz by the textbook's RC.
#[test]
fn tells_every_string_in_every_setup() {
    let mut harness = courtyard(Shown::Strings);
    harness.run();
    harness.get_by_label("passive box, A1: loses 37.6 dB");
    harness.get_by_label("combo, A1: loses 19.2 dB");
    harness.get_by_label("tuner, A1: loses 12.8 dB");
    harness.get_by_label("as recorded, A1: loses 0.2 dB");
    assert_eq!(harness.query_all_by_label_contains("tuner, ").count(), 6);
    assert!(fits(&harness));
}

#[test]
fn chooses_an_instrument() {
    let mut harness = courtyard(Shown::Strings);
    harness.run();
    harness.get_by_label("instrument").click();
    harness.run();
    harness.get_by_label("five-string bass").click();
    harness.run();
    assert_eq!(harness.state().model.instrument.id, "bass-five");
    assert!(harness.query_all_by_label_contains("tuner, B0: ").next().is_some());
}

#[test]
fn takes_an_own_tuning_by_enter_and_says_what_is_wrong() {
    let mut harness = courtyard(Shown::Strings);
    harness.run();
    harness.get_by_label("own tuning").click();
    harness.run();
    harness.get_by_label("own tuning").type_text("A1 H2");
    harness.run();
    assert_eq!(harness.state().model.instrument.id, "guitarron", "not before Enter");
    harness.key_press(Key::Enter);
    harness.run();
    let notice = harness.state().model.notices.last().cloned().unwrap();
    assert!(notice.contains("'H2'"), "{notice}");
    assert_eq!(harness.state().model.instrument.id, "guitarron");
    harness.get_by_label("own tuning").click();
    harness.run();
    harness.key_press(Key::End);
    harness.key_press(Key::Backspace);
    harness.key_press(Key::Backspace);
    harness.get_by_label("own tuning").type_text("D2");
    harness.key_press(Key::Enter);
    harness.run();
    assert_eq!(harness.state().model.figures.strings.len(), 2);
    harness.get_by_label("tuner, A1: loses 12.8 dB");
}

#[test]
fn hides_its_figures_while_listening_blind() {
    let mut harness = courtyard(Shown::Strings);
    harness.state_mut().hide = true;
    harness.run();
    assert!(harness.query_all_by_label_contains("tuner").next().is_none());
}

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
fn hides_its_figures_while_listening_blind() {
    let mut harness = courtyard(Shown::Strings);
    harness.state_mut().hide = true;
    harness.run();
    assert!(harness.query_all_by_label_contains("tuner").next().is_none());
}

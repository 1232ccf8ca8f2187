use egui::accesskit::Live;
use egui_kittest::kittest::{NodeT as _, Queryable as _};
use firstjack_plugin::editor::Message;

use crate::views::stage::{Shown, courtyard, fits};

/// The sentence of the project's scenario; its 13 dB are textbook RC (680 pF into 1 MΩ at 55 Hz: 12.8 dB).
#[test]
fn says_what_is_lost_of_what_is_heard() {
    let mut harness = courtyard(Shown::Verdict);
    harness.state_mut().do_it(Message::Hear(Some(2)));
    harness.run();
    let line = harness.get_by_label_contains("low A loses 13 dB through the tuner");
    assert_eq!(line.accesskit_node().live(), Live::Polite);
    assert!(harness.query_all_by_label_contains("ask for: an input of at least").next().is_some());
    assert!(fits(&harness));
}

#[test]
fn says_so_while_bypass_is_on_and_nothing_while_names_are_hidden() {
    let mut harness = courtyard(Shown::Verdict);
    harness.state_mut().model.document.bypass = true;
    harness.run();
    assert!(harness.query_all_by_label_contains("Bypass is on").next().is_some());
    harness.state_mut().hide = true;
    harness.run();
    assert!(harness.query_all_by_label_contains("loses").next().is_none());
    harness.get_by_label_contains("hidden while you listen blind");
}

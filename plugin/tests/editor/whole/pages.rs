//! Every page in the smallest size and larger, light and dark; what keys and buttons of the window do.

use egui_kittest::kittest::Queryable;
use firstjack_plugin::editor::{Edit, Message, SetupsEdit, Stage, Theme};

use crate::fake::COURTYARD;
use crate::snapshot::save;
use crate::whole::{LARGE, PAGES, PASSIVE, SMALL, window};

/// Nothing sticks out of the window, and each page is there.
#[test]
fn every_page_fits() {
    for (size, theme, name) in [(SMALL, Theme::Light, "small-light"), (LARGE, Theme::Dark, "large-dark")] {
        for (preset, heard) in [(COURTYARD, Some(3)), (PASSIVE, Some(0))] {
            let mut harness = window(preset, heard, size, theme);
            for page in PAGES {
                harness.get_by_label(page).click();
                harness.run_steps(3);
                let used = harness.ctx.globally_used_rect();
                assert!(
                    used.right() <= size.0 + 0.5 && used.bottom() <= size.1 + 0.5,
                    "{name}, {page}: {used:?}"
                );
                let preset_name = harness.state().model.document.preset.name.clone();
                save(&harness, &format!("whole-{name}-{preset_name}-{page}"));
            }
        }
    }
}

/// The verdict of the scenario follows what is clicked.
#[test]
fn a_click_hears_a_setup_and_the_verdict_follows() {
    let mut harness = window(COURTYARD, None, SMALL, Theme::Light);
    harness.key_press(egui::Key::Num3);
    harness.run_steps(2);
    assert_eq!(harness.state().model.document.heard, Some(2));
    let verdict = &harness.state().model.figures.of(Some(2)).verdict;
    assert_eq!(verdict, "low A loses 13 dB through the tuner");
    assert!(harness.query_by_label_contains("low A loses 13 dB").is_some());
}

/// By name and by key; the space bar stays the host's.
#[test]
fn the_help_opens_and_closes() {
    let mut harness = window(COURTYARD, None, SMALL, Theme::Light);
    for open in [true, false] {
        harness.event(egui::Event::Text("?".to_owned()));
        harness.run_steps(2);
        assert_eq!(harness.state().model.help, open);
    }
    harness.get_by_label("Help").click();
    harness.run_steps(3);
    assert!(harness.query_by_label_contains("Never defeat a protective earth").is_some());
    save(&harness, "whole-help");
    harness.key_press(egui::Key::Escape);
    harness.run_steps(2);
    assert!(!harness.state().model.help);
}

#[test]
fn undo_takes_an_edit_back() {
    let mut harness = window(COURTYARD, Some(0), LARGE, Theme::Dark);
    let before = harness.state().model.document.clone();
    let window = harness.state_mut();
    let edit = Edit::Setups(SetupsEdit::Move(0, 1));
    window.model.update(Message::Edit(edit, Stage::Whole), &mut window.session);
    harness.run_steps(2);
    harness.get_by_label_contains("Undo moving").click();
    harness.run_steps(2);
    assert_eq!(harness.state().model.document, before);
}

/// They stack, each is closed by itself, Escape closes the newest, and nothing below them moves.
#[test]
fn notices_stay_until_they_are_read() {
    let mut harness = window(COURTYARD, Some(3), SMALL, Theme::Light);
    let before = harness.get_by_label("Blind test").rect();
    for text in ["one", "two", "three", "two"] {
        let window = harness.state_mut();
        window.model.update(Message::Notice(text.to_owned()), &mut window.session);
    }
    harness.run_steps(4);
    save(&harness, "whole-notices");
    assert_eq!(harness.state().model.notices, ["one", "three", "two"]);
    assert_eq!(harness.get_by_label("Blind test").rect(), before);
    harness.key_press(egui::Key::Num1);
    harness.run_steps(2);
    assert_eq!(harness.state().model.notices.len(), 3, "whatever else is done");
    harness.get_by_label("close: one").click();
    harness.run_steps(2);
    harness.key_press(egui::Key::Escape);
    harness.run_steps(2);
    assert_eq!(harness.state().model.notices, ["three"]);
}

/// By 9, again and again.
#[test]
fn nine_goes_back_to_what_was_heard_before() {
    let mut harness = window(COURTYARD, Some(3), SMALL, Theme::Light);
    harness.key_press(egui::Key::Num1);
    harness.run_steps(2);
    for heard in [Some(3), Some(0), Some(3)] {
        harness.key_press(egui::Key::Num9);
        harness.run_steps(2);
        assert_eq!(harness.state().model.document.heard, heard);
    }
}

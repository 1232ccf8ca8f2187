use egui::{Key, Modifiers};
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable as _;
use firstjack_plugin::editor::{CurveKind, Message};

use crate::fake::Fake;
use crate::views::stage::{App, Shown, courtyard, on, wait};

const CURSOR: &str = "frequency of the cursor in Hz";

fn read_out(harness: &Harness<'_, App>) -> String {
    harness.get_by_label(CURSOR).value().unwrap()
}

/// Levels at 55 Hz from the check values of the project (680 pF, textbook RC): 56k −37.6, 470k −19.2, 1M −12.8 dB. As recorded, through
/// 22 MΩ: −0.16 dB.
#[test]
fn reads_all_setups_at_the_lowest_string() {
    let mut harness = courtyard(Shown::Curves);
    harness.run();
    let text = read_out(&harness);
    assert!(
        text.starts_with(
            "55.0 Hz (A1): as recorded −0.2 dB, passive box −37.6 dB, combo −19.2 dB, tuner −12.8 dB"
        ),
        "{text}"
    );
}

#[test]
fn arrow_keys_move_the_cursor_once_the_plot_has_the_focus() {
    let mut harness = courtyard(Shown::Curves);
    harness.run();
    harness.key_press(Key::ArrowRight);
    harness.run();
    assert!(read_out(&harness).starts_with("55.0 Hz"), "without the focus");
    harness.get_by_label(CURSOR).focus();
    harness.run();
    harness.run();
    // Twelve semitones are an octave.
    (0..12).for_each(|_| {
        harness.key_press(Key::ArrowRight);
        harness.run();
    });
    assert!(read_out(&harness).starts_with("110 Hz"), "{}", read_out(&harness));
    harness.key_press_modifiers(Modifiers::SHIFT, Key::ArrowLeft);
    harness.run();
    assert!(read_out(&harness).starts_with("109 Hz"), "{}", read_out(&harness));
    harness.key_press(Key::ArrowDown);
    harness.run();
    assert!(read_out(&harness).starts_with("98.0 Hz"), "{}", read_out(&harness));
    harness.key_press(Key::ArrowLeft);
    harness.run();
    assert!(harness.get_by_label(CURSOR).is_focused());
}

#[test]
fn the_pointer_reads_and_a_double_click_goes_back() {
    let mut harness = courtyard(Shown::Curves);
    harness.run();
    let frame = harness.get_by_label(CURSOR).rect();
    harness.hover_at(frame.center());
    harness.run();
    // The middle of a logarithmic axis from 20 Hz to 20 kHz: 632 Hz.
    assert!(
        read_out(&harness).starts_with("632 Hz") || read_out(&harness).starts_with("633 Hz"),
        "{}",
        read_out(&harness)
    );
    harness.remove_cursor();
    harness.run();
    assert!(read_out(&harness).starts_with("55.0 Hz"));
    harness.get_by_label(CURSOR).click();
    harness.run();
    harness.remove_cursor();
    harness.run();
    assert!(!read_out(&harness).starts_with("55.0 Hz"), "a click keeps it there");
    wait(&mut harness);
    harness.get_by_label(CURSOR).click();
    harness.get_by_label(CURSOR).click();
    harness.run();
    harness.remove_cursor();
    harness.run();
    assert!(read_out(&harness).starts_with("55.0 Hz"), "{}", read_out(&harness));
}

/// What 1 MΩ costs more than the 22 MΩ that the take went through: 12.81 − 0.16 = 12.65 dB (textbook RC).
#[test]
fn shows_what_is_done_to_the_take() {
    let mut harness = courtyard(Shown::Curves);
    harness.run();
    harness.get_by_label("change from the recording").click();
    harness.run();
    assert_eq!(harness.state().model.curves, CurveKind::Change);
    let text = read_out(&harness);
    assert!(text.contains("as recorded 0.0 dB") && text.contains("tuner −12.7 dB"), "{text}");
    harness.get_by_label("loss").click();
    harness.run();
    assert_eq!(harness.state().model.curves, CurveKind::Loss);
}

#[test]
fn a_blend_has_a_change_for_each_pickup() {
    let blend = Fake::new(include_str!("../../../../presets/blend.toml"));
    let mut harness = on(App::new(blend), Shown::Curves);
    harness.state_mut().do_it(Message::Curves(CurveKind::Change));
    harness.run();
    let text = read_out(&harness);
    for name in ["as recorded, pickup 1 0.0 dB", "as recorded, pickup 2 0.0 dB", "amplifier, pickup 2"] {
        assert!(text.contains(name), "{text}");
    }
}

#[test]
fn hides_everything_while_listening_blind() {
    let mut harness = courtyard(Shown::Curves);
    harness.state_mut().hide = true;
    harness.run();
    assert!(harness.query_by_label(CURSOR).is_none());
    assert!(harness.query_all_by_label_contains("tuner").next().is_none());
    harness.get_by_label_contains("hidden while you listen blind");
}

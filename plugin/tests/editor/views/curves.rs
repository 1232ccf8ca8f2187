use egui::{Key, Modifiers, Rect, Shape, vec2};
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

/// Words and where their ink is.
fn texts(harness: &Harness<'_, App>) -> Vec<(String, Rect)> {
    fn gather(shape: &Shape, texts: &mut Vec<(String, Rect)>) {
        match shape {
            Shape::Vec(shapes) => shapes.iter().for_each(|shape| gather(shape, texts)),
            Shape::Text(text) => {
                let ink = text.galley.mesh_bounds.translate(text.pos.to_vec2());
                texts.push((text.galley.text().to_owned(), ink));
            }
            _ => {}
        }
    }
    let mut texts = Vec::new();
    harness.output().shapes.iter().for_each(|clipped| gather(&clipped.shape, &mut texts));
    texts
}

/// Whatever is heard, in whatever room: every name and figure can be read, and every string has its figure where there is room.
#[test]
fn no_words_in_the_plot_cover_others() {
    for (file, size) in [
        (include_str!("../../../../presets/courtyard.toml"), vec2(780.0, 330.0)),
        (include_str!("../../../../presets/courtyard.toml"), vec2(420.0, 130.0)),
        (include_str!("../../../../presets/blend.toml"), vec2(420.0, 200.0)),
        (include_str!("../../../../presets/passive.toml"), vec2(600.0, 300.0)),
    ] {
        for heard in [None, Some(0), Some(1)] {
            for kind in [CurveKind::Loss, CurveKind::Change] {
                let mut app = App::new(Fake::new(file));
                app.do_it(Message::Hear(heard));
                app.do_it(Message::Curves(kind));
                let mut harness = on(app, Shown::Curves);
                harness.set_size(size);
                harness.run_steps(3);
                let texts = texts(&harness);
                for (index, (one, ink)) in texts.iter().enumerate() {
                    for (other, ink_of_other) in &texts[index + 1..] {
                        let both = ink.intersect(*ink_of_other);
                        assert!(
                            both.width() < 1.0 || both.height() < 1.0,
                            "'{one}' and '{other}', {size:?}, {heard:?}, {kind:?}"
                        );
                    }
                }
            }
        }
    }
}

#[test]
fn strings_have_their_figures_on_the_heard_curve_and_others_their_names() {
    let mut app = App::new(Fake::courtyard());
    app.do_it(Message::Hear(Some(3)));
    let harness = on(app, Shown::Curves);
    let texts = texts(&harness);
    let is_there = |words: &str| texts.iter().any(|(text, _)| text == words);
    // Of 680 pF into 1 MΩ beside 470 kΩ, by the textbook's RC: 22.5 dB at 55 Hz, 20.0 at 73.4, 17.5 at 98.
    for words in ["A1 −22.5", "D2 −20.0", "G2 −17.5", "passive box", "tuner", "0 dB", "20 Hz", "20k"] {
        assert!(is_there(words), "{words}: {texts:?}");
    }
    assert!(!is_there("tuner's unbuffered thru"), "what is heard is named by its tile and the verdict");
}

//! What is one of two: kinds of pickup and input, tapers, polarity; and usual values.

use dsp_core::circuit::{Element, Input, Link, Pickups, Polarity, Taper};
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable;
use firstjack_plugin::editor::document::choices::{
    set_magnetic, set_polarity, set_taper, set_transformer, taper,
};
use firstjack_plugin::editor::document::edits::{Control, Field, LinkPart, PickupPart, set, text};
use firstjack_plugin::editor::document::links::{Kind, Spot, add, link};
use firstjack_plugin::editor::{Document, Stage, Where, usual};

use crate::chain::edits::{at, everything};
use crate::chain::pictures::{BLEND, MAGNETIC, PASSIVE_BOX};
use crate::chain::view::{App, modifier_click, open, shows, undo};

/// Opens the menu of a frame and chooses an entry of it.
fn choose(harness: &mut Harness<'_, App>, frame: &str, entry: &str) {
    harness.get_by_label(frame).focus();
    harness.run_steps(2);
    harness.key_press(egui::Key::Enter);
    harness.run_steps(4);
    harness.get_by_label(entry).click();
    harness.run_steps(4);
}

/// Chooses, and takes it back; tells what it made.
fn chosen(harness: &mut Harness<'_, App>, frame: &str, entry: &str) -> Document {
    let before = harness.state().session.document.clone();
    choose(harness, frame, entry);
    let after = harness.state().session.document.clone();
    assert_ne!(before, after, "{entry}");
    assert_eq!(harness.state().session.changes.last(), Some(&Stage::Whole));
    undo(harness);
    assert_eq!(harness.state().session.document, before, "{entry}");
    after
}

#[test]
fn a_pickup_becomes_the_other_kind_in_its_menu() {
    let mut coil = open(MAGNETIC);
    let controls = *coil.state().session.document.preset.pickups.pickup(0);
    let after = chosen(&mut coil, "pickup", "Capacitive pickup");
    let pickup = *after.preset.pickups.pickup(0);
    assert!(matches!(pickup.element, Element::Capacitive(_)));
    assert_eq!((pickup.tone, pickup.volume), (controls.tone, controls.volume));
    let mut crystal = open(PASSIVE_BOX);
    let after = chosen(&mut crystal, "pickup", "Magnetic pickup");
    let value = |part| text(&after, &Field::Pickup(0, part)).unwrap();
    let parts = [PickupPart::Inductance, PickupPart::Resistance, PickupPart::Winding, PickupPart::Loss];
    assert_eq!(parts.map(value), ["4.7 H", "6.8 kΩ", "100 pF", "470 kΩ"]);
    choose(&mut crystal, "pickup", "Magnetic pickup");
    assert!(crystal.query_by_label("pickup: inductance").is_some(), "drawn as a coil");
}

#[test]
fn a_taper_is_chosen_in_the_pickups_menu() {
    let mut harness = open(MAGNETIC);
    for (entry, control) in [("Linear volume pot", Control::Volume), ("Linear tone control", Control::Tone)] {
        assert_eq!(taper(&harness.state().session.document, 0, control), Some(Taper::Logarithmic));
        let after = chosen(&mut harness, "pickup", entry);
        assert_eq!(taper(&after, 0, control), Some(Taper::Linear));
    }
    let mut bare = open(PASSIVE_BOX);
    bare.get_by_label("pickup").focus();
    bare.run_steps(2);
    bare.key_press(egui::Key::Enter);
    bare.run_steps(4);
    assert!(bare.query_by_label("Linear volume pot").is_none(), "there is no volume pot");
    assert!(bare.query_by_label("Polarity normal").is_none(), "there is one pickup");
}

#[test]
fn one_of_two_pickups_is_wired_the_other_way_round() {
    let polarities = |document: &Document| match document.preset.pickups {
        Pickups::Blend(blend) => blend.map(|one| one.polarity),
        Pickups::One(_) => panic!("two pickups"),
    };
    let mut harness = open(BLEND);
    let after = chosen(&mut harness, "left track, capacitive", "Polarity reversed");
    assert_eq!(polarities(&after), [Polarity::Reversed; 2]);
    let after = chosen(&mut harness, "right track, magnetic, polarity reversed", "Polarity normal");
    assert_eq!(polarities(&after), [Polarity::Same; 2]);
}

/// 12² · 1.5 kΩ: the load of the secondary as the primary shows it (textbook transformer).
#[test]
fn a_transformer_and_its_nominal_resistance_take_each_others_place() {
    let mut harness = open(PASSIVE_BOX);
    let spot = Spot::new(Where::Setup(0), 2);
    let input = |document: &Document| match link(document, &spot) {
        Some(Link::Box(input)) => input.input,
        other => panic!("{other:?}"),
    };
    let before = input(&harness.state().session.document);
    let after = chosen(&mut harness, "passive box, heard here", "Plain input");
    assert_eq!(text(&after, &Field::Link(spot.clone(), LinkPart::Input)).as_deref(), Some("216 kΩ"));
    assert!(matches!(before, Input::Transformer(_)));
    choose(&mut harness, "passive box, heard here", "Plain input");
    choose(&mut harness, "passive box, heard here", "Input with a transformer");
    assert_eq!(input(&harness.state().session.document), before);
}

#[test]
fn what_is_not_there_cannot_be_chosen() {
    let document = everything();
    let one = Document {
        preset: dsp_core::preset::Preset {
            pickups: (*document.preset.pickups.pickup(0)).into(),
            ..document.preset.clone()
        },
        ..document.clone()
    };
    for refused in [
        set_magnetic(&document, 2, true),
        set_polarity(&document, 2, Polarity::Reversed),
        set_polarity(&one, 0, Polarity::Reversed),
        set_taper(&document, 0, Control::Tone, Taper::Linear),
        set_taper(&document, 2, Control::Volume, Taper::Linear),
        set_transformer(&document, &at(&[0]), true),
        set_transformer(&document, &at(&[9]), true),
    ] {
        assert!(refused.is_err(), "{refused:?}");
    }
}

/// Parts that energy is stored in: eight are accepted.
#[test]
fn a_transformer_too_many_is_refused() {
    let mut document = everything();
    let first = at(&[1]);
    let refused = loop {
        document = match add(&document, &first, Kind::Amplifier) {
            Ok(more) => more,
            Err(_) => break set_transformer(&document, &first, true),
        };
    };
    let error = refused.unwrap_err();
    assert!(error.contains("at most 8"), "{error}");
}

/// Every value of a chain of usual parts is the usual one already, but for an amplifier's input.
#[test]
fn usual_values_are_those_that_parts_begin_with() {
    let mut document = everything();
    for kind in [Kind::Cable, Kind::Box, Kind::PassiveBox, Kind::Splitter] {
        document = add(&document, &at(&[0]), kind).unwrap();
    }
    for (path, parts) in [
        (vec![0], vec![LinkPart::Resistor]),
        (vec![0, 0], vec![LinkPart::Input]),
        (
            vec![1],
            vec![
                LinkPart::Primary,
                LinkPart::Winding,
                LinkPart::Ratio,
                LinkPart::Secondary,
                LinkPart::OwnCapacitance,
            ],
        ),
        (vec![2], vec![LinkPart::Input]),
        (vec![3], vec![LinkPart::Length, LinkPart::PerMetre]),
    ] {
        for part in parts {
            let field = Field::Link(at(&path), part);
            assert_eq!(set(&document, &field, usual(&document, &field)).as_ref(), Ok(&document), "{field:?}");
        }
    }
}

#[test]
fn a_modifier_click_brings_usual_values_back() {
    for (toml, values) in [
        (
            MAGNETIC,
            vec![
                ("pickup: inductance", "4.7 H"),
                ("pickup: volume pot", "470 kΩ"),
                ("cable 1: length", "3 m"),
                ("tuner: input", "1 MΩ"),
                ("tuner: blocking capacitor", "22 nF"),
            ],
        ),
        (
            BLEND,
            vec![
                ("right track, magnetic, polarity reversed: mixing resistor", "100 kΩ"),
                ("recorded: load 1: value", "1 MΩ"),
                ("recorded: load 3: value", "47 H"),
            ],
        ),
    ] {
        let mut harness = open(toml);
        for (label, usual) in values {
            let before = shows(&harness, label);
            assert_ne!(before, usual, "{label}");
            modifier_click(&mut harness, label);
            assert_eq!(shows(&harness, label), usual, "{label}");
            undo(&mut harness);
            assert_eq!(shows(&harness, label), before, "{label}");
        }
    }
}

#[test]
fn a_modifier_click_brings_a_controls_own_position_back() {
    let mut harness = open(MAGNETIC);
    let label = "pickup: volume position";
    harness.get_by_label(label).focus();
    harness.run_steps(2);
    harness.key_press(egui::Key::ArrowUp);
    harness.run_steps(60);
    assert_eq!(shows(&harness, label), "71 %");
    modifier_click(&mut harness, label);
    assert_eq!(shows(&harness, label), "70 %");
}

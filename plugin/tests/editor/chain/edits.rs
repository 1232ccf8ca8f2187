//! Values as text, typed and turned.

use dsp_core::circuit::{Link, Thru};
use firstjack_plugin::editor::document::edits::{Control, Field, LinkPart, PickupPart, nudge, set, text};
use firstjack_plugin::editor::document::links::Spot;
use firstjack_plugin::editor::document::names::of_value;
use firstjack_plugin::editor::document::quantities::{Absent, Part};
use firstjack_plugin::editor::{Document, Edit, Message, Model, Stage, Where, usual};

use crate::fake::Fake;

/// All parts that can be, in one document.
pub const ALL: &str = r#"
version = 2
name = "all"
recorded = { load = "22M || 100p || 50 H || 6 m" }

[[blend]]
capacitance = "680 pF"
leakage = "1 GΩ"
mixing = "220k"
volume = { resistance = "1M", taper = "logarithmic", position = "70 %" }

[[blend]]
inductance = "3.3 H"
resistance = "6.8 kΩ"
winding = "100 pF"
polarity = "reversed"
tone = { resistance = "220k", capacitance = "22 nF", position = "50 %" }

[[setup]]
name = "everything"
chain = [
    { cable = "3 m", per_metre = "150 pF", leakage = "22M" },
    { box = "tuner", input = "1M", capacitance = "47 pF", blocking = "22 nF", thru = "before" },
    { splitter = "splitter", resistor = "10k", branch = [{ cable = "1 m" }, { box = "amplifier", input = "470k" }] },
    { box = "passive box", transformer = { primary = "47 H", winding = "1k5", ratio = "12", secondary = "2k2", capacitance = "330 pF" } },
]
"#;

pub fn everything() -> Document {
    Fake::new(ALL).document
}

pub fn at(path: &[usize]) -> Spot {
    Spot { place: Where::Setup(0), path: path.to_vec() }
}

fn of(path: &[usize], part: LinkPart) -> Field {
    Field::Link(at(path), part)
}

/// Every value there is, with what the file says, another value as typed and as it then reads, and whether it may be taken away.
fn values() -> Vec<(Field, &'static str, &'static str, &'static str, bool)> {
    let pickup = Field::Pickup;
    let recorded = |index| Field::Link(Spot::new(Where::Recorded, index), LinkPart::Bare);
    vec![
        (pickup(0, PickupPart::Capacitance), "680 pF", "1n5", "1.5 nF", false),
        (pickup(0, PickupPart::Leakage), "1 GΩ", "470M", "470 MΩ", true),
        (pickup(0, PickupPart::Mixing), "220 kΩ", "100k", "100 kΩ", true),
        (pickup(0, PickupPart::VolumeResistance), "1 MΩ", "470k", "470 kΩ", true),
        (pickup(1, PickupPart::Inductance), "3.3 H", "2H2", "2.2 H", false),
        (pickup(1, PickupPart::Resistance), "6.8 kΩ", "10k", "10 kΩ", false),
        (pickup(1, PickupPart::Winding), "100 pF", "47p", "47 pF", true),
        (pickup(1, PickupPart::ToneResistance), "220 kΩ", "470k", "470 kΩ", true),
        (pickup(1, PickupPart::ToneCapacitance), "22 nF", "47n", "47 nF", false),
        (of(&[0], LinkPart::Length), "3 m", "30 cm", "0.3 m", false),
        (of(&[0], LinkPart::Leakage), "22 MΩ", "4M7", "4.7 MΩ", true),
        (of(&[1], LinkPart::Input), "1 MΩ", "2M2", "2.2 MΩ", false),
        (of(&[1], LinkPart::Capacitance), "47 pF", "100p", "100 pF", true),
        (of(&[1], LinkPart::Blocking), "22 nF", "1n", "1 nF", true),
        (of(&[2], LinkPart::Resistor), "10 kΩ", "4k7", "4.7 kΩ", true),
        (of(&[2, 0], LinkPart::Length), "1 m", "2.2 m", "2.2 m", false),
        (of(&[2, 1], LinkPart::Input), "470 kΩ", "1M", "1 MΩ", false),
        (of(&[3], LinkPart::Primary), "47 H", "100 H", "100 H", false),
        (of(&[3], LinkPart::Winding), "1.5 kΩ", "1k", "1 kΩ", true),
        (of(&[3], LinkPart::Ratio), "12", "10", "10", false),
        (of(&[3], LinkPart::Secondary), "2.2 kΩ", "1k5", "1.5 kΩ", false),
        (of(&[3], LinkPart::OwnCapacitance), "330 pF", "220p", "220 pF", true),
        (recorded(0), "22 MΩ", "10M", "10 MΩ", false),
        (recorded(1), "100 pF", "330p", "330 pF", false),
        (recorded(2), "50 H", "22 H", "22 H", false),
    ]
}

#[test]
fn every_value_is_read_typed_and_taken_back() {
    for (field, written, typed, reads, _) in values() {
        let mut session = Fake::new(ALL);
        let mut model = Model::new(&mut session);
        assert_eq!(text(&model.document, &field).as_deref(), Some(written), "{field:?}");
        let to = set(&model.document, &field, typed).unwrap_or_else(|error| panic!("{field:?}: {error}"));
        assert_eq!(text(&to, &field).as_deref(), Some(reads), "{field:?}");
        let before = model.document.clone();
        model.update(Message::Edit(Edit::Set(field.clone(), typed.to_owned()), Stage::Whole), &mut session);
        assert_eq!(model.document, to);
        model.update(Message::Undo, &mut session);
        assert_eq!(model.document, before, "{field:?}");
    }
}

/// Wherever a value of this kind can lie in a document.
fn places(part: Part) -> Vec<Field> {
    let paths: [&[usize]; 6] = [&[0], &[1], &[2], &[2, 0], &[2, 1], &[3]];
    let recorded = (0..4).map(|index| Spot::new(Where::Recorded, index));
    match part {
        Part::Pickup(part) => [0, 1].map(|index| Field::Pickup(index, part)).to_vec(),
        Part::Position(control) => [Where::Recorded, Where::Setup(0)]
            .into_iter()
            .flat_map(|place| [0, 1].map(|index| Field::Position(place, index, control)))
            .collect(),
        Part::Link(part) => {
            let spots = paths.into_iter().map(at).chain(recorded);
            spots.map(|spot| Field::Link(spot, part)).collect()
        }
    }
}

/// Every row of the table: it lies somewhere, begins with its usual value, is typed as it reads, turns, has a name, and may be absent or not as
/// the row says.
#[test]
fn every_row_of_the_table_is_reached() {
    let document = everything();
    for part in Part::ALL {
        let quantity = part.quantity();
        let mut reached = 0;
        for field in places(*part) {
            let Ok(with) = set(&document, &field, usual(&document, &field)) else {
                assert_eq!(text(&document, &field), None, "{field:?}");
                continue;
            };
            reached += 1;
            let said = text(&with, &field).unwrap_or_else(|| panic!("{field:?} has no text"));
            assert_eq!(text(&set(&with, &field, &said).unwrap(), &field).as_ref(), Some(&said), "{field:?}");
            assert_ne!(text(&nudge(&with, &field, -1.0), &field).as_ref(), Some(&said), "{field:?}");
            assert!(of_value(&with, &field).starts_with(quantity.name), "{field:?}");
            let without = set(&with, &field, "none").map(|without| text(&without, &field));
            match quantity.absent {
                Absent::Never => assert!(without.is_err(), "{field:?}"),
                Absent::NoPart => assert_eq!(without, Ok(None), "{field:?}"),
                Absent::Default => assert!(matches!(without, Ok(Some(_))), "{field:?}"),
            }
        }
        assert!(reached > 0, "{part:?} is nowhere");
    }
}

#[test]
fn optional_parts_go_and_come_back_and_others_stay() {
    for (field, written, _, _, optional) in values() {
        let document = everything();
        for nothing in ["", " none "] {
            match set(&document, &field, nothing) {
                Ok(without) => {
                    assert!(optional, "{field:?}");
                    assert_eq!(text(&without, &field), None, "{field:?}");
                    let back = set(&without, &field, written).expect("the part again");
                    assert_eq!(text(&back, &field).as_deref(), Some(written), "{field:?}");
                }
                Err(error) => {
                    assert!(!optional, "{field:?}: {error}");
                    assert!(error.contains("accepted are"), "{error}");
                }
            }
        }
    }
}

#[test]
fn what_cannot_be_read_is_said_and_changes_nothing() {
    for (field, ..) in values() {
        for wrong in ["x", "-1", "3 kg", "inf"] {
            let error = set(&everything(), &field, wrong).expect_err(wrong);
            assert!(error.contains(wrong) && error.contains("accepted are"), "{error}");
        }
    }
}

#[test]
fn a_default_counts_where_no_capacitance_per_metre_is_said() {
    let field = of(&[0], LinkPart::PerMetre);
    let document = everything();
    assert_eq!(text(&document, &field).as_deref(), Some("150 pF"));
    let default = set(&document, &field, "").expect("the default");
    assert_eq!(text(&default, &field).as_deref(), Some("100 pF"));
    let Some((Link::Cable(cable), _)) = default.preset.setups[0].chain.links().next() else {
        panic!("a cable")
    };
    assert_eq!(cable.per_metre, None);
    assert_eq!(text(&nudge(&default, &field, 12.0), &field).as_deref(), Some("200 pF"));
}

/// A position belongs to the setup in which it was turned; typed away, the pickup's own counts again.
#[test]
fn a_control_is_turned_in_one_setup_alone() {
    let here = Field::Position(Where::Setup(0), 0, Control::Volume);
    let there = Field::Position(Where::Recorded, 0, Control::Volume);
    let document = everything();
    assert_eq!(text(&document, &here).as_deref(), Some("70 %"));
    for typed in ["30", "30 %", "30%"] {
        let turned = set(&document, &here, typed).expect(typed);
        assert_eq!(text(&turned, &here).as_deref(), Some("30 %"));
        assert_eq!(text(&turned, &there).as_deref(), Some("70 %"));
        assert_eq!(set(&turned, &here, "none"), Ok(document.clone()));
    }
    let error = set(&document, &here, "130").expect_err("too far");
    assert!(error.contains("0 % to 100 %"), "{error}");
    // The first pickup has no tone control.
    let missing = Field::Position(Where::Setup(0), 0, Control::Tone);
    assert_eq!(text(&document, &missing), None);
    assert!(set(&document, &missing, "30").is_err());
}

#[test]
fn turning_doubles_in_twelve_steps_and_stays_short() {
    for (field, written, ..) in values() {
        let document = everything();
        let up = nudge(&document, &field, 12.0);
        assert_eq!(nudge(&up, &field, -12.0), document, "{field:?} from {written}");
        // The finest step that a hand makes still moves, and what it makes is at most three digits.
        for steps in [0.1, -0.1] {
            let moved = text(&nudge(&document, &field, steps), &field).expect("a value");
            assert_ne!(moved, written, "{field:?}");
            let digits: String = moved.chars().filter(char::is_ascii_digit).collect();
            assert!(digits.trim_matches('0').len() <= 3, "{moved}");
        }
    }
    let input = of(&[1], LinkPart::Input);
    assert_eq!(text(&nudge(&everything(), &input, 12.0), &input).as_deref(), Some("2 MΩ"));
    // 1 MΩ · 2^(1/12) = 1.0595 MΩ (the equal-tempered semitone).
    assert_eq!(text(&nudge(&everything(), &input, 1.0), &input).as_deref(), Some("1.06 MΩ"));
}

/// The ends are those of the types' documentation.
#[test]
fn turning_ends_where_the_type_ends() {
    for (part, path, high, low) in [
        (LinkPart::Input, 1, "1 TΩ", "0.01 Ω"),
        (LinkPart::Capacitance, 1, "1000000 µF", "0.001 pF"),
        (LinkPart::Primary, 3, "1000000 H", "0.001 µH"),
        (LinkPart::Ratio, 3, "1000", "0.001"),
        (LinkPart::Length, 0, "10000 m", "0.001 m"),
    ] {
        let field = of(&[path], part);
        for (steps, end) in [(1e6, high), (-1e6, low), (f64::INFINITY, high), (f64::NEG_INFINITY, low)] {
            assert_eq!(text(&nudge(&everything(), &field, steps), &field).as_deref(), Some(end), "{field:?}");
        }
        assert_eq!(nudge(&everything(), &field, f64::NAN), everything());
    }
    let position = Field::Position(Where::Setup(0), 0, Control::Volume);
    for (steps, end) in [(5.0, "75 %"), (-0.1, "69.9 %"), (1e6, "100 %"), (-1e6, "0 %")] {
        assert_eq!(text(&nudge(&everything(), &position, steps), &position).as_deref(), Some(end));
    }
}

#[test]
fn what_is_not_there_has_no_value() {
    let document = everything();
    for field in [
        of(&[9], LinkPart::Input),
        of(&[0], LinkPart::Input),
        of(&[0, 0], LinkPart::Length),
        of(&[], LinkPart::Length),
        Field::Link(Spot::new(Where::Setup(5), 0), LinkPart::Length),
        Field::Pickup(2, PickupPart::Capacitance),
        Field::Pickup(0, PickupPart::Inductance),
    ] {
        assert_eq!(text(&document, &field), None, "{field:?}");
        assert!(set(&document, &field, "1").is_err(), "{field:?}");
        assert_eq!(nudge(&document, &field, 1.0), document, "{field:?}");
    }
}

/// An edit that makes a chain too large is refused in words: eight parts that store energy are accepted.
#[test]
fn a_chain_that_becomes_too_large_is_refused() {
    let mut document = everything();
    let links: Vec<Link> = (0..9)
        .map(|number| {
            let mut input =
                dsp_core::circuit::InputBox::new(format!("box {number}"), "1M".parse().expect("1M"));
            let blocking = "22n".parse().expect("22n");
            input.blocking = (number > 0).then_some(blocking);
            input.thru = Some(Thru::Before);
            Link::Box(input)
        })
        .collect();
    document.preset.setups[0].chain = dsp_core::circuit::Chain::new(links).expect("eight parts");
    let error = set(&document, &of(&[0], LinkPart::Blocking), "22n").expect_err("nine parts");
    assert!(error.contains('9') && error.contains("at most 8"), "{error}");
}

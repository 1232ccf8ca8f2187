//! Kits by chance: any that can be is read back as it was, and whatever stands in a file, nothing panics.

use crate::common;
use crate::common::circuits::{any_input, input_box, pickup};
use dsp_core::circuit::InputBox;
use dsp_core::kit::{Entry, Kit, KitBox, KitPickup, Levels, Method, Origin, check_name};
use dsp_core::preset::Preset;
use dsp_core::units::Load;
use proptest::option;
use proptest::prelude::*;

/// Names as people give them, in several scripts, and whatever else may pass as one.
fn name() -> impl Strategy<Value = String> {
    let any = prop_oneof![
        "[a-z]{3,9} [a-z]{3,9}",
        "\\PC{1,20}",
        "[\u{5d0}-\u{5ea}]{2,8}",
        "[\"\\\\'=#\\[\\] a-z]{3,9}"
    ];
    any.prop_filter("one that can be", |name| check_name(name).is_ok())
}

fn origin() -> impl Strategy<Value = Origin> {
    let day = (1990..2100u32, 1..=12u32, 1..=28u32)
        .prop_map(|(year, month, day)| format!("{year}-{month:02}-{day:02}").parse().unwrap());
    let remarks = option::of(".{1,30}").prop_map(|text| text.filter(|text: &String| !text.trim().is_empty()));
    (option::of(day), option::of(proptest::sample::select(Method::ALL.to_vec())), remarks)
        .prop_map(|(measured, method, remarks)| Origin { measured, method, remarks })
}

fn levels() -> impl Strategy<Value = Levels> {
    let level = || option::of((-80.0f64..60.0).prop_map(|dbu| format!("{dbu:.2} dBu").parse().unwrap()));
    let resistance = option::of((1u32..10_000).prop_map(|ohms| format!("{ohms} Ω").parse().unwrap()));
    (level(), level(), resistance).prop_map(|(recorded, played, resistance)| Levels {
        recorded,
        played,
        resistance,
    })
}

fn entry() -> impl Strategy<Value = Entry> {
    let pickups = (name(), pickup(), origin())
        .prop_map(|(name, pickup, origin)| KitPickup { name, pickup, origin }.into());
    let boxes =
        (name(), input_box(any_input()), levels(), origin()).prop_map(|(name, input, levels, origin)| {
            KitBox { input: InputBox { name, ..input }, levels, origin }.into()
        });
    prop_oneof![pickups, boxes]
}

proptest! {
    #![proptest_config(common::cases(300))]

    #[test]
    fn any_kit_reads_back_as_the_same(entries in proptest::collection::vec(entry(), 0..8)) {
        let mut kit = Kit::default();
        for entry in entries {
            let is_there = kit.entry(entry.name()).is_some();
            prop_assert_eq!(kit.add(entry).is_err(), is_there);
        }
        prop_assert_eq!(Kit::from_toml(&kit.to_toml()), Ok(kit));
    }

    /// A name of a kit stands for its box wherever it is typed, and no value is ever taken for one.
    #[test]
    fn a_name_is_found_and_a_value_is_none(entry in entry(), load in "[0-9]{1,3}[kMpn]?( m| H)?") {
        let mut kit = Kit::default();
        kit.add(entry.clone()).unwrap();
        let name = entry.name();
        prop_assert!(name.parse::<Load>().is_err());
        if let Entry::Box(input) = &entry {
            let typed = kit.load(&format!("1M || {name} || 6 m")).unwrap();
            prop_assert_eq!(&typed.names, &[name.to_owned()]);
            prop_assert_eq!(&typed.chain.heard().unwrap().name, name);
            let link = kit.link(&format!(" {name} unbuffered")).unwrap();
            prop_assert_eq!(link.name(), Some(name));
            let quoted = toml_string(&format!("{name} || 1M"));
            let file = format!("version = 5\nname = \"x\"\npickup = \"1n\"\n[[setup]]\nname = \"s\"\nload = {quoted}\n");
            let embedded = kit.embed(&file).unwrap().text;
            let preset = Preset::from_toml(&embedded);
            prop_assert!(preset.is_ok(), "{:?}\n{}", preset, embedded);
            let heard = preset.unwrap().setups[0].chain.heard().unwrap().clone();
            prop_assert_eq!(heard, InputBox { thru: None, ..input.input.clone() });
        } else {
            prop_assert!(kit.load(name).is_err());
        }
        prop_assert_eq!(kit.load(&load).is_ok(), Load::typed(&load).is_ok());
    }

    #[test]
    fn whatever_stands_in_a_file_is_read_or_refused(
        text in prop_oneof![
            "\\PC{0,80}",
            "(version = 1\n)?(\\[\\[(box|pickup|x)\\]\\]\n|(name|input|capacitance|thru|blocking|transformer|measured) = (\"[^\"]{0,12}\"|[0-9]|\\{\\}|\\[\\])\n){0,8}",
        ],
        name in "\\PC{0,1200}",
    ) {
        if let Ok(kit) = Kit::from_toml(&text) {
            prop_assert_eq!(Kit::from_toml(&kit.to_toml()), Ok(kit.clone()));
            let _ = (kit.embed(&text), kit.remarks());
        }
        let _ = (check_name(&name), Kit::default().load(&name), Kit::default().link(&name), Kit::default().near(&name));
    }
}

fn toml_string(text: &str) -> String {
    toml::Value::String(text.to_owned()).to_string()
}

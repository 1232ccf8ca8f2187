//! What a host shows of the parameters, through CLAP: names, order, groups, texts.

mod host;

use std::collections::HashSet;

use clack_extensions::params::ParamInfoFlags;
use host::{Host, Noise};
use proptest::prelude::*;

#[test]
fn parameters_are_listed_in_order_with_their_groups() {
    let mut host = Host::new();
    let mut expected = vec![
        ("Heard setup".to_owned(), String::new(), "As recorded"),
        ("Bypass".to_owned(), String::new(), "off"),
        ("Pickup capacitance".to_owned(), "Take".to_owned(), "680 pF"),
        ("Pickup inductance".to_owned(), "Take".to_owned(), "4.7 H"),
        ("Recorded through resistance".to_owned(), "Take".to_owned(), "22 MΩ"),
        ("Recorded through capacitance".to_owned(), "Take".to_owned(), "0 pF"),
        ("Recorded through inductance".to_owned(), "Take".to_owned(), "47 H"),
        ("Undo ceiling".to_owned(), "Take".to_owned(), "24 dB"),
        ("Ceiling on every change".to_owned(), "Take".to_owned(), "on"),
        ("Undo floor".to_owned(), "Take".to_owned(), "off"),
        ("Level match".to_owned(), "Level".to_owned(), "on"),
        ("Hold match".to_owned(), "Level".to_owned(), "off"),
        ("Trim".to_owned(), "Level".to_owned(), "0 dB"),
        ("Guard".to_owned(), "Level".to_owned(), "on"),
        ("Output".to_owned(), "Level".to_owned(), "0 dB"),
    ];
    // presets/courtyard.toml: the inputs that are listened to. The fourth has a tuner of 1 MΩ beside it, in the circuit.
    let setups = [
        ("56 kΩ", "0 m"),
        ("470 kΩ", "0 m"),
        ("1 MΩ", "0 m"),
        ("470 kΩ", "0 m"),
        ("470 kΩ", "6 m"),
        ("10 MΩ", "0 m"),
    ];
    for (number, (resistance, cable)) in (1..).zip(setups) {
        let group = format!("Setup {number}");
        expected.push((format!("{group} load resistance"), group.clone(), resistance));
        expected.push((format!("{group} load capacitance"), group.clone(), "0 pF"));
        expected.push((format!("{group} load inductance"), group.clone(), "47 H"));
        expected.push((format!("{group} cable length"), group, cable));
    }
    let listed: Vec<_> = host.parameters().into_iter().map(|p| (p.name, p.group)).collect();
    assert_eq!(
        listed,
        expected.iter().map(|(name, group, _)| (name.clone(), group.clone())).collect::<Vec<_>>()
    );
    for (name, _, text) in expected {
        assert_eq!(host.text(&name), text, "{name}");
    }
}

#[test]
fn what_hosts_demand_of_parameters_holds() {
    let mut host = Host::new();
    let parameters = host.parameters();
    let ids: HashSet<_> = parameters.iter().map(|p| p.id).collect();
    assert_eq!(ids.len(), parameters.len(), "ids collide");
    let bypass = parameters.iter().filter(|p| p.flags.contains(ParamInfoFlags::IS_BYPASS)).count();
    assert_eq!(bypass, 1);
    for p in parameters {
        assert!(p.id < 1 << 31, "{}: VST3 keeps the top half of the ids", p.name);
        assert!(p.name.len() < 64, "{} is long", p.name);
        assert!(p.flags.contains(ParamInfoFlags::IS_AUTOMATABLE), "{}", p.name);
        // Hosts draw no ramp through what is a list; "you must set CLAP_PARAM_IS_STEPPED too" (CLAP's `params.h`).
        let list = ParamInfoFlags::IS_ENUM | ParamInfoFlags::IS_STEPPED;
        assert_eq!(p.flags.contains(list), p.name == "Heard setup", "{}", p.name);
        assert_eq!(p.flags.contains(ParamInfoFlags::IS_ENUM), p.name == "Heard setup", "{}", p.name);
        assert!((p.min..=p.max).contains(&p.default), "{}", p.name);
        assert_eq!(host.value(&p.name), p.default, "{}", p.name);
    }
}

/// Ids are for ever: projects and automation refer to them. Computed outside (Python) from the string ids by the
/// framework's rule, `h = 31 h + byte` over the bytes, the top bit cleared.
#[test]
fn ids_stay() {
    let expected = [
        ("Heard setup", 99_151_926),                   // heard
        ("Bypass", 773_352_680),                       // bypass
        ("Pickup capacitance", 1_409_050_464),         // pickup_c
        ("Pickup inductance", 1_409_050_473),          // pickup_l
        ("Recorded through resistance", 890_108_280),  // through_r
        ("Recorded through capacitance", 890_108_265), // through_c
        ("Recorded through inductance", 890_108_274),  // through_l
        ("Undo ceiling", 660_387_005),                 // ceiling
        ("Ceiling on every change", 209_106_719),      // ceiling_all
        ("Undo floor", 97_526_796),                    // floor
        ("Level match", 103_668_165),                  // match
        ("Hold match", 3_208_383),                     // hold
        ("Trim", 3_568_674),                           // trim
        ("Guard", 98_705_061),                         // guard
        ("Output", 1_141_971_201),                     // output
        ("Setup 1 load resistance", 1_845_938_379),    // load_r_1
        ("Setup 1 load capacitance", 1_845_923_964),   // load_c_1
        ("Setup 1 load inductance", 1_845_932_613),    // load_l_1
        ("Setup 1 cable length", 539_401_391),         // cable_1
        ("Setup 2 load resistance", 1_845_938_380),    // load_r_2
        ("Setup 2 load capacitance", 1_845_923_965),   // load_c_2
        ("Setup 2 load inductance", 1_845_932_614),    // load_l_2
        ("Setup 2 cable length", 539_401_392),         // cable_2
        ("Setup 3 load resistance", 1_845_938_381),    // load_r_3
        ("Setup 3 load capacitance", 1_845_923_966),   // load_c_3
        ("Setup 3 load inductance", 1_845_932_615),    // load_l_3
        ("Setup 3 cable length", 539_401_393),         // cable_3
        ("Setup 4 load resistance", 1_845_938_382),    // load_r_4
        ("Setup 4 load capacitance", 1_845_923_967),   // load_c_4
        ("Setup 4 load inductance", 1_845_932_616),    // load_l_4
        ("Setup 4 cable length", 539_401_394),         // cable_4
        ("Setup 5 load resistance", 1_845_938_383),    // load_r_5
        ("Setup 5 load capacitance", 1_845_923_968),   // load_c_5
        ("Setup 5 load inductance", 1_845_932_617),    // load_l_5
        ("Setup 5 cable length", 539_401_395),         // cable_5
        ("Setup 6 load resistance", 1_845_938_384),    // load_r_6
        ("Setup 6 load capacitance", 1_845_923_969),   // load_c_6
        ("Setup 6 load inductance", 1_845_932_618),    // load_l_6
        ("Setup 6 cable length", 539_401_396),         // cable_6
    ];
    let listed: Vec<_> = Host::new().parameters().into_iter().map(|p| (p.name, p.id)).collect();
    assert_eq!(listed, expected.map(|(name, id)| (name.to_owned(), id)));
}

#[test]
fn every_choice_of_what_is_heard_has_its_text() {
    let mut host = Host::new();
    let texts: Vec<_> = (0..7).map(|i| host.text_of("Heard setup", f64::from(i))).collect();
    assert_eq!(
        texts,
        ["Setup 1", "Setup 2", "Setup 3", "Setup 4", "Setup 5", "Setup 6", "As recorded"].map(str::to_owned)
    );
}

#[test]
fn the_ends_of_the_travel_read_as_the_ends_of_the_range() {
    let mut host = Host::new();
    for (name, low, high) in [
        ("Pickup capacitance", "100 pF", "100 nF"),
        ("Recorded through resistance", "1 kΩ", "none"),
        ("Pickup inductance", "10 mH", "100 H"),
        ("Recorded through capacitance", "0 pF", "10 nF"),
        ("Recorded through inductance", "100 mH", "1000 H"),
        ("Undo ceiling", "6 dB", "off"),
        ("Undo floor", "off", "200 Hz"),
        ("Trim", "-24 dB", "24 dB"),
        ("Output", "-24 dB", "24 dB"),
        ("Setup 2 load resistance", "1 kΩ", "none"),
        ("Setup 2 load capacitance", "0 pF", "10 nF"),
        ("Setup 2 load inductance", "100 mH", "1000 H"),
        ("Setup 2 cable length", "0 m", "100 m"),
    ] {
        assert_eq!(
            (host.text_of(name, 0.0).as_str(), host.text_of(name, 1.0).as_str()),
            (low, high),
            "{name}"
        );
    }
}

/// The middle of the travel lies near the middle of the decades that matter.
#[test]
fn the_travel_is_about_logarithmic() {
    let mut host = Host::new();
    for (name, low, high) in [
        ("Setup 1 load resistance", "1 MΩ", "10 MΩ"),
        ("Pickup capacitance", "1 nF", "10 nF"),
        ("Pickup inductance", "1 H", "10 H"),
        ("Setup 1 load inductance", "10 H", "100 H"),
        ("Setup 1 load capacitance", "300 pF", "1 nF"),
        ("Setup 1 cable length", "10 m", "40 m"),
        ("Undo floor", "20 Hz", "100 Hz"),
    ] {
        let travel = |host: &mut Host, text| host.read(name, text).unwrap();
        assert!(travel(&mut host, low) < 0.5, "{name}");
        assert!(travel(&mut host, high) > 0.5, "{name}");
    }
}

#[test]
fn a_typed_value_reads_back_as_it_was_typed() {
    let mut host = Host::new();
    for (name, typed, shown) in [
        ("Setup 1 load resistance", "470k", "470 kΩ"),
        ("Setup 1 load resistance", "2M2", "2.2 MΩ"),
        ("Setup 1 load resistance", "4.7 MΩ", "4.7 MΩ"),
        ("Setup 1 load resistance", "999.9M", "999.9 MΩ"),
        ("Setup 1 load resistance", "1001", "1.001 kΩ"),
        ("Setup 1 load resistance", "NONE", "none"),
        ("Setup 1 load capacitance", "0.1p", "0.1 pF"),
        ("Setup 1 load capacitance", "100", "100 pF"),
        ("Setup 1 cable length", "6", "6 m"),
        ("Setup 1 cable length", "2.5m", "2.5 m"),
        ("Pickup capacitance", "1n5", "1.5 nF"),
        ("Pickup inductance", "2H2", "2.2 H"),
        ("Recorded through inductance", "470 mH", "470 mH"),
        ("Setup 6 load inductance", "33", "33 H"),
        ("Undo ceiling", "59.99", "59.99 dB"),
        ("Undo ceiling", "off", "off"),
        ("Undo floor", "27.5 Hz", "27.5 Hz"),
        ("Undo floor", "27.5", "27.5 Hz"),
        ("Undo floor", "20.6hz", "20.6 Hz"),
        ("Undo floor", "1", "1 Hz"),
        ("Undo floor", "Off", "off"),
        ("Undo floor", "0", "off"),
        ("Trim", "-3.25", "-3.25 dB"),
        ("Guard", "OFF", "off"),
        ("Heard setup", "Setup 4", "Setup 4"),
    ] {
        host.set(name, typed);
        assert_eq!(host.text(name), shown, "{name} = {typed}");
    }
}

#[test]
fn nonsense_is_refused() {
    let mut host = Host::new();
    for parameter in host.parameters() {
        for text in ["", "x", "4k7k", "1e400", "NaN"] {
            assert_eq!(host.read(&parameter.name, text), None, "{} = {text}", parameter.name);
        }
    }
}

/// Value, text, value, text: the texts agree, and so do the values from then on.
fn check_text_round_trip(host: &mut Host, name: &str, value: f64) -> Result<(), TestCaseError> {
    let text = host.text_of(name, value);
    let read = host.read(name, &text);
    prop_assert!(read.is_some(), "{name}: '{text}' is not read back");
    let again = host.text_of(name, read.unwrap());
    prop_assert_eq!(&text, &again, "{} at {}", name, value);
    prop_assert_eq!(host.read(name, &again), read, "{} at {}", name, value);
    Ok(())
}

#[test]
fn texts_round_trip_all_along_the_travel() {
    let mut host = Host::new();
    for p in host.parameters() {
        for step in 0..=2000 {
            let value = p.min + (p.max - p.min) * f64::from(step) / 2000.0;
            check_text_round_trip(&mut host, &p.name, value).unwrap();
        }
    }
}

/// Near the lower end a step of f32 is a large part of the value.
#[test]
fn texts_round_trip_at_the_ends() {
    let mut host = Host::new();
    for p in host.parameters() {
        for exponent in 1..=24 {
            let little = (p.max - p.min) * 0.5f64.powi(exponent);
            check_text_round_trip(&mut host, &p.name, p.min + little).unwrap();
            check_text_round_trip(&mut host, &p.name, p.max - little).unwrap();
        }
    }
}

#[test]
fn texts_round_trip_at_random_points() {
    let mut host = Host::new();
    let mut noise = Noise::new(7);
    for p in host.parameters() {
        for _ in 0..2000 {
            let value = p.min + (p.max - p.min) * noise.unit();
            check_text_round_trip(&mut host, &p.name, value).unwrap();
        }
    }
}

proptest! {
    /// Any four digits that can be typed are shown as they were typed.
    #[test]
    fn four_typed_digits_are_kept(mantissa in 1000u32..=9999, exponent in 0i32..=5) {
        let mut host = Host::new();
        let typed = format!("{mantissa}e{exponent}");
        let value = host.read("Setup 1 load resistance", &typed).unwrap();
        let shown = host.text_of("Setup 1 load resistance", value);
        let ohms: dsp_core::units::Resistance = shown.parse().unwrap();
        prop_assert_eq!(ohms.ohms(), typed.parse::<f64>().unwrap());
    }
}

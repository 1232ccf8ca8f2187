//! Boxes as they are typed, and passive ones of which only the nominal input is known.

use dsp_core::circuit::{Chain, Input, Link, LinkError, Pickup, Pickups, Spread, Thru, Transformer};
use dsp_core::preset::{Preset, Setup};
use dsp_core::units::{Load, NominalInput, Problem};

fn read(text: &str) -> Link {
    text.parse().unwrap_or_else(|error| panic!("{error}"))
}

#[test]
fn a_box_is_a_name_an_input_and_a_word() {
    for (text, name, ohms, thru) in [
        ("tuner 1M buffered", "tuner", 1e6, Some(Thru::After)),
        ("tuner 4.7 MΩ unbuffered", "tuner", 4.7e6, Some(Thru::Before)),
        ("fuzz 22k active", "fuzz", 22e3, Some(Thru::Active)),
        ("volume pedal 220k Unbuffered", "volume pedal", 220e3, Some(Thru::Before)),
        ("combo 470k", "combo", 470e3, None),
        ("tuner 2 2M2 ±20 % buffered", "tuner 2", 2.2e6, Some(Thru::After)),
        ("  1M   buffered ", "1 MΩ", 1e6, Some(Thru::After)),
        ("buffered 1M", "buffered", 1e6, None),
    ] {
        let Link::Box(input) = read(text) else { panic!("{text} is a box") };
        let Input::Resistance(resistance) = input.input else { panic!("{text} has a resistance") };
        assert_eq!((input.name.as_str(), resistance.ohms(), input.thru), (name, ohms, thru), "{text}");
    }
    for text in
        ["passive box transformer 140k unbuffered", "Transformer 140 kΩ", "di transformer 100k to 200k"]
    {
        let Link::Box(input) = read(text) else { panic!("{text} is a box") };
        assert!(matches!(input.input, Input::Transformer(_)), "{text}");
    }
    for text in ["6 m", "cable 6 m", "30 cm", "6 m ±10 %", "5 m to 8 m"] {
        assert!(matches!(read(text), Link::Cable(_)), "{text}");
    }
}

#[test]
fn what_is_wrong_is_said() {
    for text in ["", "tuner", "tuner buffered", "buffered", "none", "tuner none", "100p", "1M || 6 m", "50 H"]
    {
        let error = text.parse::<Link>().unwrap_err();
        assert!(matches!(error, LinkError::NoInput(_)), "{text}: {error}");
        assert!(error.to_string().contains("tuner 1M buffered"), "{error}");
    }
    for text in ["tuner 1m buffered", "tuner 1 m buffered", "tuner 10m", "2 m buffered", "2m2 buffered"] {
        let error = text.parse::<Link>().unwrap_err();
        let LinkError::Value(value) = &error else { panic!("{text}: {error}") };
        assert!(matches!(value.problem, Problem::MetresOrMegohms(_)), "{text}: {error}");
    }
    for (text, problem) in [
        ("tuner 2 buffered", Problem::UnitMissing),
        ("tuner 1X", Problem::UnitUnknown("X".to_owned())),
        ("box transformer 1M", Problem::OutOfRange { low: "10 kΩ", high: "500 kΩ" }),
        ("box transformer 600", Problem::OutOfRange { low: "10 kΩ", high: "500 kΩ" }),
    ] {
        let Err(LinkError::Value(error)) = text.parse::<Link>() else { panic!("{text}") };
        assert_eq!(error.problem, problem, "{text}");
    }
    assert!(read("tuner 1M").check_followed().unwrap_err().to_string().contains("does the sound change?"));
    assert!(read("tuner 1M active").check_followed().is_ok() && read("6 m").check_followed().is_ok());
}

/// 1 nF into a usual transformer of 140 kΩ at E1, by the divider of complex impedances and that of winding and primary (numpy): 56.62 dB with 22 H, 40.19 dB with 150 H;
/// 28.8 dB into a resistor.
#[test]
fn a_nominal_input_alone_says_little() {
    let pickups: Pickups = Pickup::new("1n".parse().unwrap()).into();
    let chain = |load: &str| Chain::from(&load.parse::<Load>().unwrap());
    let passive = chain("transformer 140k");
    let loss = Spread::of(&pickups, [&passive]).unwrap().loss_db(41.203_444_614);
    assert!((loss.low - 40.19).abs() < 0.01 && (loss.high - 56.62).abs() < 0.01, "{loss:?}");
    for nominal in ["10k", "140k", "500k", "47k ±20 %"] {
        let nominal: NominalInput = nominal.parse().unwrap();
        let (usual, ohms) = (Transformer::usual(nominal), nominal.resistance().ohms());
        assert!((usual.reflected_ohms() / ohms - 1.0).abs() < 1e-12, "{nominal}");
        assert_eq!(usual.secondary.tolerance(), nominal.resistance().tolerance());
    }
    for wrong in ["9k9", "501k", "1M", "600", "x", ""] {
        let error = wrong.parse::<NominalInput>().unwrap_err();
        assert!(error.to_string().contains("passive box"), "{error}");
    }
    let two = "transformer 140k || transformer 47k".parse::<Load>().unwrap_err();
    assert_eq!(two.problem, Problem::SecondTransformer);
}

/// A file of version 5 says all of it; an earlier one may not.
#[test]
fn files_say_it_since_version_5() {
    let file = |version: u8, capacitance: &str, chain: &str| {
        format!(
            "version = {version}\nname = \"x\"\npickup = {{ capacitance = \"{capacitance}\" }}\n[recorded]\nload = \"22M\"\n\
             [[setup]]\nname = \"a\"\n{chain}\n"
        )
    };
    let fuzz =
        "chain = [{ box = \"fuzz\", input = \"22k\", thru = \"active\" }, { box = \"amp\", input = \"1M\" }]";
    for (capacitance, chain) in
        [("470p to 4.7n", "load = \"1M\""), ("1n", "load = \"transformer 140k || 6 m\""), ("1n", fuzz)]
    {
        let error = Preset::from_toml(&file(4, capacitance, chain)).unwrap_err().to_string();
        assert!(error.contains("accepted with version = 5"), "{error}");
        let preset = Preset::from_toml(&file(5, capacitance, chain)).unwrap();
        let written = preset.to_toml();
        assert!(written.starts_with("version = 5"), "{written}");
        let again = Preset::from_toml(&written).unwrap();
        assert_eq!(again.to_toml(), written);
        assert_eq!(again.pickups, preset.pickups);
    }
    let Setup { chain, .. } = Preset::from_toml(&file(5, "1n", fuzz)).unwrap().setups.remove(0);
    assert_eq!(chain.loading().count(), 1, "what follows an active pedal does not load");
}

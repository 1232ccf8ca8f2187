//! What version 2 of the preset files says beyond version 1: pickups with controls, blends, transformers, blocking
//! capacitors, splitters; and how that can be wrong.

use dsp_core::circuit::{
    Blended, Cable, CapacitivePickup, Chain, ChainTooLarge, Element, Input, InputBox, Link, MagneticPickup,
    Pickup, Pickups, Polarity, Positions, Splitter, Taper, Thru, ToneControl, Transformer, VolumePot,
};
use dsp_core::preset::{Preset, PresetProblem};
use dsp_core::units::UnitError;

fn read<T: std::str::FromStr<Err = UnitError>>(text: &str) -> T {
    text.parse().unwrap()
}

fn kept() -> Preset {
    Preset::from_toml(include_str!("fixtures/version_2.toml")).unwrap()
}

/// The kept copy means today what it meant when it was kept: the pickups.
#[test]
fn version_2_pickups_still_mean_the_same() {
    let volume = VolumePot { resistance: read("1M"), taper: Taper::Logarithmic, position: read("70 %") };
    let tone = ToneControl {
        resistance: read("220k"),
        capacitance: read("22n"),
        taper: Taper::Linear,
        position: read("30 %"),
    };
    let first =
        Element::Capacitive(CapacitivePickup { capacitance: read("680p"), leakage: Some(read("2G2")) });
    let second = Element::Magnetic(MagneticPickup {
        inductance: read("4.7 H"),
        resistance: read("8k2"),
        winding: Some(read("120p")),
        loss: None,
    });
    let blend = [
        Blended {
            pickup: Pickup { element: first, tone: None, volume: Some(volume) },
            mixing: Some(read("220k")),
            polarity: Polarity::Same,
        },
        Blended {
            pickup: Pickup { element: second, tone: Some(tone), volume: None },
            mixing: None,
            polarity: Polarity::Reversed,
        },
    ];
    assert_eq!(kept().pickups, Pickups::Blend(blend));
}

/// The chains, and where the controls stand.
#[test]
fn version_2_chains_still_mean_the_same() {
    let kept = kept();
    let cable =
        Cable { per_metre: Some(read("68p")), leakage: Some(read("100M")), ..Cable::new(read("2 m")) };
    let interface = InputBox { blocking: Some(read("10n")), ..InputBox::new("interface", read("1M")) };
    assert_eq!(kept.recorded, Chain::new(vec![Link::Cable(cable), Link::Box(interface)]).unwrap());
    assert_eq!(kept.recorded_at, Positions { volume: Some(read("50 %")), tone: None });
    let branch = vec![Link::Cable(Cable::new(read("3 m"))), Link::Box(InputBox::new("tuner", read("1M")))];
    let passive = InputBox {
        name: "passive box".into(),
        input: Input::Transformer(Transformer {
            primary: read("47 H"),
            winding: Some(read("1k5")),
            ratio: read("12"),
            secondary: read("1k5"),
            capacitance: Some(read("330p")),
            core: None,
        }),
        capacitance: Some(read("47p")),
        blocking: Some(read("1 uF")),
        thru: Some(Thru::After),
    };
    let chain = vec![
        Link::Splitter(Splitter {
            name: "splitter".into(),
            resistor: Some(read("10k")),
            branch: Chain::new(branch).unwrap(),
        }),
        Link::Box(passive),
        Link::Box(InputBox::new("combo", read("470k"))),
    ];
    assert_eq!(kept.setups[0].chain, Chain::new(chain).unwrap());
    assert_eq!(kept.setups[0].positions, Positions { volume: None, tone: Some(read("100 %")) });
    let parts = vec![
        Link::Inductance(read("50 H")),
        Link::Resistance(read("47k")),
        Link::Cable(Cable::new(read("3 m"))),
    ];
    assert_eq!(kept.setups[1].chain, Chain::new(parts).unwrap());
}

const CAPACITIVE: &str = "pickup = { capacitance = \"1n\" }";

/// The error of a file with this pickup and, in its one setup, this chain.
fn error(pickup: &str, chain: &str) -> PresetProblem {
    let text = format!(
        "version = 2\nname = \"x\"\nrecorded = {{ load = \"none\" }}\n{pickup}\n[[setup]]\nname = \"s\"\nchain = [{chain}]\n"
    );
    Preset::from_toml(&text).unwrap_err().problem
}

#[test]
fn pickups_that_cannot_be() {
    let input = "{ box = \"b\", input = \"1M\" }";
    let one = "[[blend]]\ncapacitance = \"1n\"\n";
    for (pickup, told) in [
        (String::new(), "give either pickup = \"680p\" or blend = ["),
        (format!("{CAPACITIVE}\n{}", one.repeat(2)), "give only one of pickup = \"680p\" or blend"),
        (one.to_owned(), "there are 1 [[blend]] tables: give two"),
        (one.repeat(3), "there are 3 [[blend]] tables: give two"),
    ] {
        let error = error(&pickup, input).to_string();
        assert!(error.starts_with(told), "{error}");
    }
    let neither =
        "accepted are capacitance = \"680 pF\" (a piezo pickup), or inductance = \"4.7 H\", resistance = ";
    for (fields, told) in [
        ("", neither),
        ("leakage = \"1G\"", neither),
        ("inductance = \"4 H\"", "resistance is missing: write resistance = \"470k\""),
        ("resistance = \"8k2\"", neither),
        (
            "capacitance = \"1n\", inductance = \"4 H\", resistance = \"8k2\"",
            "inductance belongs to a magnetic pickup, and this is a piezo pickup",
        ),
        ("capacitance = \"1n\", winding = \"100p\"", "winding belongs to a magnetic pickup"),
        ("inductance = \"4 H\", resistance = \"8k2\", leakage = \"1G\"", "leakage belongs to a piezo pickup"),
        ("capacitance = \"1n\", mixing = \"1M\"", "mixing belongs to a blend, and this is a piezo pickup"),
    ] {
        let error = error(&format!("pickup = {{ {fields} }}"), input).to_string();
        assert!(error.starts_with(&format!("pickup: {told}")), "{error}");
    }
    let second = error("[[blend]]\ncapacitance = \"1n\"\n[[blend]]\nwinding = \"1n\"\n", input);
    assert!(second.to_string().starts_with(&format!("blend, pickup 2: {neither}")), "{second}");
}

#[test]
fn links_that_mix_kinds() {
    let transformer = "transformer = { primary = \"47 H\", ratio = \"12\", secondary = \"1k5\" }";
    for (link, told) in [
        ("{ cable = \"1 m\", splitter = \"s\", branch = [] }".to_owned(), "splitter belongs to a splitter"),
        ("{ splitter = \"s\" }".to_owned(), "branch is missing: write branch = ["),
        ("{ splitter = \"s\", branch = [], input = \"1M\" }".to_owned(), "input belongs to a box"),
        ("{ cable = \"1 m\", blocking = \"1n\" }".to_owned(), "blocking belongs to a box"),
        ("{ cable = \"1 m\", resistor = \"1k\" }".to_owned(), "resistor belongs to a splitter"),
        ("{ box = \"b\", input = \"1M\", leakage = \"1G\" }".to_owned(), "leakage belongs to a cable"),
        ("{ box = \"b\", input = \"1M\", branch = [] }".to_owned(), "branch belongs to a splitter"),
        (
            format!("{{ box = \"b\", input = \"1M\", {transformer} }}"),
            "give only one of input = \"470k\" or transformer",
        ),
        (format!("{{ cable = \"1 m\", {transformer} }}"), "transformer belongs to a box"),
    ] {
        let error = error(CAPACITIVE, &link).to_string();
        assert!(error.starts_with(&format!("setup 's', link 1: {told}")), "{link}: {error}");
    }
    let inside = error(CAPACITIVE, "{ splitter = \"y\", branch = [{ cable = \"1 m\" }, {}] }").to_string();
    assert!(inside.starts_with("setup 's', branch of 'y', link 2: accepted are cable"), "{inside}");
}

#[test]
fn values_that_cannot_be_read() {
    for (pickup, chain, words) in [
        (
            "pickup = { inductance = \"4\", resistance = \"8k2\" }",
            "",
            ["'4'", "an inductance", "unit is missing"],
        ),
        (
            "pickup = { capacitance = \"1n\", volume = { resistance = \"1M\", position = \"110 %\" } }",
            "",
            ["'110 %'", "a position", "outside 0 % to 100 %"],
        ),
        (
            "pickup = { capacitance = \"1n\", volume = { resistance = \"1M\", taper = \"log\" } }",
            "",
            ["\"log\"", "linear", "logarithmic"],
        ),
        (
            CAPACITIVE,
            "{ box = \"b\", transformer = { primary = \"47 H\", ratio = \"12:1\", secondary = \"1k5\" } }",
            ["'12:1'", "a turns ratio", "0.5"],
        ),
        (
            CAPACITIVE,
            "{ box = \"b\", transformer = { primary = \"47 H\", secondary = \"1k5\" } }",
            ["link 1, transformer", "ratio is missing", "ratio = \"12\""],
        ),
    ] {
        let text = error(pickup, chain).to_string();
        for word in words {
            assert!(text.contains(word), "'{word}' is not in: {text}");
        }
    }
}

#[test]
fn chains_that_are_too_large() {
    let input = |n: u32| format!("{{ box = \"b\", input = \"1M\", blocking = \"{n}n\", thru = \"before\" }}");
    let links: Vec<String> = (1..=9).map(input).collect();
    let expected = ChainTooLarge { given: 9, accepted: 8 };
    let error = error(CAPACITIVE, &links.join(", "));
    assert_eq!(error, PresetProblem::TooLarge { place: "setup 's'".into(), error: expected });
    assert!(error.to_string().starts_with("setup 's': the chain has 9 parts that store energy"), "{error}");
}

/// Programs that know only version 1 refuse such a file; so its version must say so.
#[test]
fn fields_that_came_with_version_2() {
    let text = |pickup: &str, setup: &str| {
        format!(
            "version = 1\nname = \"x\"\nrecorded = {{ load = \"none\" }}\n{pickup}\n[[setup]]\nname = \"s\"\n{setup}\n"
        )
    };
    let plain = "chain = [{ box = \"b\", input = \"1M\" }]";
    assert!(Preset::from_toml(&text(CAPACITIVE, plain)).is_ok());
    let one = "[[blend]]\ncapacitance = \"1n\"\n".repeat(2);
    let link = |fields: &str| format!("chain = [{{ {fields} }}]");
    for (field, text) in [
        ("blend", text(&one, plain)),
        ("inductance", text("pickup = { inductance = \"4 H\", resistance = \"8k2\" }", plain)),
        ("tone", text(CAPACITIVE, &format!("tone = \"50 %\"\n{plain}"))),
        ("leakage", text(CAPACITIVE, &link("cable = \"1 m\", leakage = \"1G\""))),
        ("blocking", text(CAPACITIVE, &link("box = \"b\", input = \"1M\", blocking = \"22n\""))),
        ("splitter", text(CAPACITIVE, &link("splitter = \"y\", branch = []"))),
    ] {
        let error = Preset::from_toml(&text).unwrap_err();
        assert_eq!(error.problem, PresetProblem::NewerField { found: 1, field, since: 2 });
        assert_eq!(
            error.problem.to_string(),
            format!("version = 1 has no `{field}`: accepted with version = 2")
        );
    }
}

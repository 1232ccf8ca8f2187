//! The files: what is in `presets/`, what version 1 was, and every way in which a file can be wrong.

use crate::common::{demo, preset_text};
use dsp_core::circuit::{
    Cable, CapacitivePickup, Chain, Element, Input, InputBox, Link, Pickup, Pickups, Splitter, Thru,
};
use dsp_core::preset::{CoilKind, Instrument, PickupKind, Preset, PresetError, PresetProblem};

/// The files of setups.
const PRESETS: [&str; 9] = [
    "blend.toml",
    "blocking.toml",
    "courtyard.toml",
    "loads.toml",
    "magnetic-double.toml",
    "magnetic-single.toml",
    "passive.toml",
    "tour.toml",
    "venues.toml",
];

/// IEC 60063, E24, which holds E6 and E12.
const E24: [u32; 24] =
    [10, 11, 12, 13, 15, 16, 18, 20, 22, 24, 27, 30, 33, 36, 39, 43, 47, 51, 56, 62, 68, 75, 82, 91];

fn is_preferred(value: f64) -> bool {
    let (mantissa, _) =
        format!("{value:.6e}").split_once('e').map(|(m, e)| (m.to_owned(), e.to_owned())).unwrap();
    E24.iter().any(|e| mantissa == format!("{}.{}00000", e / 10, e % 10))
}

/// The preset's only pickup, a capacitive one.
fn capacitive(preset: &Preset) -> CapacitivePickup {
    match preset.pickups {
        Pickups::One(Pickup { element: Element::Capacitive(element), tone: None, volume: None }) => element,
        _ => panic!("{:?}", preset.pickups),
    }
}

#[test]
fn the_demo_is_the_scenario_of_the_product() {
    let demo = demo();
    assert_eq!(demo.instrument.as_deref(), Some("guitarron"));
    assert_eq!(capacitive(&demo).capacitance, "680p".parse().unwrap());
    let ohms = |chain: &Chain| format!("{:.0} Ω", chain.shunt().ohms());
    assert_eq!(ohms(&demo.recorded), "22000000 Ω");
    let loads: Vec<String> = demo.setups.iter().map(|setup| ohms(&setup.chain)).collect();
    // 1 MΩ ∥ 470 kΩ = 319 728 Ω (Ohm).
    assert_eq!(loads, ["56000 Ω", "470000 Ω", "1000000 Ω", "319728 Ω", "470000 Ω", "10000000 Ω"]);
}

/// Every input of a chain in ohms, a transformer's by its nominal size.
fn inputs_ohms(chain: &Chain) -> Vec<f64> {
    let of_link = |(link, _): (&Link, bool)| match link {
        Link::Box(InputBox { input: Input::Resistance(value), .. }) | Link::Resistance(value) => {
            vec![value.ohms()]
        }
        Link::Box(InputBox { input: Input::Transformer(transformer), .. }) => {
            vec![transformer.reflected_ohms()]
        }
        Link::Splitter(Splitter { branch, .. }) => inputs_ohms(branch),
        Link::Cable(_) | Link::Capacitance(_) | Link::Inductance(_) => Vec::new(),
    };
    chain.links().flat_map(of_link).collect()
}

/// The inputs of a file are of our choosing: none has values near all four of these, not even by chance. The courtyard is also what the
/// plugin starts with.
#[test]
fn no_file_has_inputs_near_all_of_four_values() {
    for file in PRESETS {
        let preset = Preset::from_toml(&preset_text(file)).unwrap();
        let chains = preset.setups.iter().map(|setup| &setup.chain).chain([&preset.recorded]);
        let inputs: Vec<f64> = chains.flat_map(inputs_ohms).collect();
        assert!(!inputs.is_empty(), "{file}");
        let has = |ohms: f64| inputs.iter().any(|input| (input / ohms - 1.0).abs() <= 0.15);
        assert!(![50e3, 220e3, 1e6, 10e6].into_iter().all(has), "{file}: {inputs:?}");
    }
}

/// Every resistance, capacitance and inductance of a chain, in SI units. Lengths and turns ratios come in no series.
fn values(chain: &Chain) -> Vec<f64> {
    let of_box = |input: &InputBox| {
        let mut values: Vec<f64> = input.capacitance.iter().map(|c| c.farads()).collect();
        values.extend(input.blocking.iter().map(|c| c.farads()));
        match input.input {
            Input::Resistance(value) => values.push(value.ohms()),
            Input::Transformer(transformer) => {
                values.extend([transformer.primary.henries(), transformer.secondary.ohms()]);
                values.extend(transformer.winding.iter().map(|r| r.ohms()));
                values.extend(transformer.capacitance.iter().map(|c| c.farads()));
                values.extend(transformer.core.iter().map(|r| r.ohms()));
            }
        }
        values
    };
    let of_link = |(link, _): (&Link, bool)| match link {
        Link::Box(input) => of_box(input),
        Link::Resistance(value) => vec![value.ohms()],
        Link::Capacitance(value) => vec![value.farads()],
        Link::Inductance(value) => vec![value.henries()],
        Link::Cable(cable) => cable.leakage.iter().map(|r| r.ohms()).collect(),
        Link::Splitter(Splitter { resistor, branch, .. }) => {
            resistor.iter().map(|r| r.ohms()).chain(values(branch)).collect()
        }
    };
    chain.links().flat_map(of_link).collect()
}

fn values_of(pickups: &Pickups) -> Vec<f64> {
    let mut values = Vec::new();
    for pickup in (0..pickups.count()).map(|index| pickups.pickup(index)) {
        match pickup.element {
            Element::Capacitive(element) => values.push(element.capacitance.farads()),
            Element::Magnetic(element) => {
                values.extend([element.inductance.henries(), element.resistance.ohms()]);
                values.extend(element.winding.iter().map(|c| c.farads()));
                values.extend(element.loss.iter().map(|r| r.ohms()));
            }
        }
        values.extend(pickup.volume.iter().map(|pot| pot.resistance.ohms()));
        values
            .extend(pickup.tone.iter().flat_map(|tone| [tone.resistance.ohms(), tone.capacitance.farads()]));
    }
    if let Pickups::Blend(both) = pickups {
        values.extend(both.iter().filter_map(|one| one.mixing).map(|r| r.ohms()));
    }
    values
}

#[test]
fn every_preset_reads_and_its_loads_are_preferred_values() {
    for file in PRESETS {
        let preset = Preset::from_toml(&preset_text(file)).unwrap();
        assert!(
            Instrument::all().iter().any(|known| Some(&known.id) == preset.instrument.as_ref())
                || preset.instrument.is_none()
        );
        let chains = preset.setups.iter().map(|setup| &setup.chain).chain([&preset.recorded]);
        for value in chains.flat_map(values).chain(values_of(&preset.pickups)) {
            assert!(is_preferred(value), "{file}: {value}");
        }
    }
    assert!(!is_preferred(50e3) && is_preferred(56e3) && is_preferred(6.8e-10), "the judge itself");
}

/// All files of the folder are read by some test here; a new one would go unread.
#[test]
fn no_preset_goes_unread() {
    let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/../presets");
    let mut names: Vec<_> =
        std::fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().file_name()).collect();
    names.sort();
    assert_eq!(
        names,
        PRESETS
            .into_iter()
            .chain(["instruments.toml", "pickups.toml", "setups.schema.json"])
            .collect::<std::collections::BTreeSet<_>>()
            .into_iter()
            .collect::<Vec<_>>()
    );
}

#[test]
fn the_catalogue_reads() {
    let instruments = Instrument::all();
    let lowest = |id: &str| {
        instruments
            .iter()
            .find(|instrument| instrument.id == id)
            .and_then(|i| i.lowest())
            .unwrap()
            .to_string()
    };
    assert_eq!(
        (lowest("guitarron"), lowest("bass"), lowest("banjo")),
        ("A1".into(), "E1".into(), "D3".into())
    );
    for (i, instrument) in instruments.iter().enumerate() {
        assert!(!instrument.strings.is_empty() && !instrument.name.is_empty());
        assert!(instruments[..i].iter().all(|other| other.id != instrument.id), "{}", instrument.id);
    }
    for kind in PickupKind::all() {
        let (from, to, typical) = (kind.from.farads(), kind.to.farads(), kind.typical.farads());
        // 200 pF to 20 nF (common practice, no source), with rounding.
        assert!(
            (199e-12..=from).contains(&from) && from <= typical && typical <= to && to <= 20.01e-9,
            "{}",
            kind.name
        );
        assert!(is_preferred(typical), "{}", kind.name);
    }
    for kind in CoilKind::all() {
        // 2 to 8 H, 5 to 15 kΩ, 50 to 200 pF, 100 kΩ to 1 MΩ (common practice, no source).
        let (henries, ohms) = (kind.inductance.henries(), kind.resistance.ohms());
        let (farads, loss_ohms) = (kind.winding.farads(), kind.loss.ohms());
        assert!((2.0..=8.0).contains(&henries) && (5e3..=15e3).contains(&ohms), "{}", kind.name);
        assert!((50e-12..=200e-12).contains(&farads) && (1e5..=1e6).contains(&loss_ohms), "{}", kind.name);
        assert!([henries, ohms, farads, loss_ohms].into_iter().all(is_preferred), "{}", kind.name);
    }
}

/// The kept copy means today what it meant when it was kept.
#[test]
fn version_1_still_means_the_same() {
    let preset = Preset::from_toml(include_str!("fixtures/version_1.toml")).unwrap();
    assert_eq!((preset.name.as_str(), preset.instrument.as_deref()), ("Kept copy", Some("guitarron")));
    assert_eq!(capacitive(&preset).capacitance, "680p".parse().unwrap());
    assert_eq!(capacitive(&preset).leakage, Some("2G2".parse().unwrap()));
    let cable = |length: &str, per_metre: Option<&str>| {
        let per_metre = per_metre.map(|c| c.parse().unwrap());
        Link::Cable(Cable { per_metre, ..Cable::new(length.parse().unwrap()) })
    };
    let input = |name: &str, input: &str, capacitance: Option<&str>, thru| {
        let capacitance = capacitance.map(|c| c.parse().unwrap());
        Link::Box(InputBox { capacitance, thru, ..InputBox::new(name, input.parse().unwrap()) })
    };
    let recorded = vec![cable("2 m", Some("68p")), input("interface", "22M", Some("15p"), None)];
    assert_eq!(preset.recorded, Chain::new(recorded).unwrap());
    let names: Vec<&str> = preset.setups.iter().map(|setup| setup.name.as_str()).collect();
    assert_eq!(names, ["parts", "unloaded", "chain"]);
    let parts = vec![
        Link::Resistance("470k".parse().unwrap()),
        Link::Resistance("1M".parse().unwrap()),
        cable("6 m", None),
        Link::Capacitance("100p".parse().unwrap()),
    ];
    assert_eq!(preset.setups[0].chain, Chain::new(parts).unwrap());
    assert_eq!(preset.setups[1].chain, Chain::default());
    let chain = vec![
        cable("0.3 m", None),
        input("tuner", "1M", None, Some(Thru::Before)),
        cable("6 m", None),
        input("buffer", "4M7", Some("33p"), Some(Thru::After)),
        input("combo", "470k", None, None),
    ];
    assert_eq!(preset.setups[2].chain, Chain::new(chain).unwrap());
}

const HEAD: &str =
    "version = 1\nname = \"x\"\npickup = { capacitance = \"1n\" }\nrecorded = { load = \"none\" }\n";

/// The error of a file whose one setup has these lines.
fn setup_error(lines: &str) -> PresetError {
    Preset::from_toml(&format!("{HEAD}[[setup]]\nname = \"s\"\n{lines}\n")).unwrap_err()
}

/// The text of an error must name each of `words`.
fn assert_text(error: &PresetError, words: &[&str]) {
    let text = error.to_string();
    for word in words {
        assert!(text.contains(word), "'{word}' is not in: {text}");
    }
}

#[test]
fn texts_that_are_no_preset() {
    let read = |text: &str| Preset::from_toml(text).unwrap_err();
    let write_version = ["line 1: version is missing: write version = 5 as the first line"];
    assert_text(&read("version = 1\nname = "), &["line 2: cannot read name ="]);
    assert_text(&read("\u{0}\u{1}junk"), &["line 1"]);
    assert_text(&read(""), &write_version);
    assert_text(&read(&HEAD.replace("version = 1\n", "")), &write_version);
    assert_text(
        &read(&HEAD.replace("= 1", "= \"1\"")),
        &["line 1", "version cannot be \"1\"", "version = 5"],
    );
    assert_text(&read(&HEAD.replace("= 1", "= 1.0")), &["line 1", "version cannot be 1.0"]);
    let misnamed = HEAD.replace("name", "title");
    assert_text(&read(&misnamed), &["line 2", "title is not known here", "accepted are version, name"]);
    assert_text(&read(&HEAD.replace("name = \"x\"\n", "")), &["line 1", "name is missing: write name"]);
    assert_text(
        &read(&HEAD.replace("1n", "1k")),
        &["line 3", "pickup: capacitance", "'1k'", "a capacitance", "'k' is not a unit", "680p"],
    );
    let bare = read(&HEAD.replace("\"1n\"", "680"));
    assert_text(&bare, &["line 3", "pickup: capacitance cannot be 680", "capacitance = \"680 pF\""]);
    assert_text(&read(&HEAD.replace("none", "1M ||")), &["line 4", "'1M ||'", "it is empty", "470k || 1M"]);
}

#[test]
fn fields_of_a_setup_that_are_wrong() {
    assert_text(&setup_error("load = \"1 kg\""), &["line 7: setup 's': load", "'kg' is not a unit here"]);
    assert_text(&setup_error("load = \"-1M\""), &["line 7", "'-1M'", "greater than zero"]);
    assert_text(&setup_error("gain = 3"), &["line 7: setup 's': gain is not known here", "venue"]);
    assert_text(
        &setup_error("chain = [{ box = \"b\", input = \"1M\", thru = \"off\" }]"),
        &["line 7: setup 's', link 1: thru", "\"off\"", "before, after"],
    );
    assert_text(
        &setup_error("chain = [{ cable = \"6\" }]"),
        &["'6'", "a length", "unit is missing", "30 cm"],
    );
    assert_text(&setup_error("chain = [{ wire = \"6 m\" }]"), &["link 1: wire is not known here", "cable"]);
}

/// What people write in a hurry, and what they are told.
#[test]
fn files_as_people_write_them_in_a_hurry() {
    let version_5 = "version = 5\nname = \"x\"\npickup = \"1n\"\n[[setup]]\nname = \"s\"\n";
    let setup = "[[setup]]\nname = \"s\"\n";
    for (text, told) in [
        (
            format!("{HEAD}[setup]\nname = \"s\"\nload = \"1M\"\n"),
            "line 5: [setup] is a single table: write [[setup]]",
        ),
        (
            format!("{HEAD}[setup]\nname = \"s\"\n[setup]\n"),
            "line 7: [setup] is a single table: write [[setup]]",
        ),
        (format!("{HEAD}[[setups]]\n"), "line 5: setups is not known here: did you mean setup?"),
        (format!("{HEAD}{setup}load = 0,5M\n"), "line 7: cannot read load = 0,5M: write load = \"0,5M\""),
        (
            format!("{HEAD}{setup}load = 1M # tuner\n"),
            "line 7: cannot read load = 1M # tuner: write load = \"1M\"",
        ),
        (
            format!("{HEAD}{setup}load = 470000\n"),
            "line 7: setup 's': load cannot be 470000: accepted is such as load = \"470k",
        ),
        (format!("{HEAD}{setup}load = “1M”\n"), "line 7: cannot read load = “1M”: write load = \"1M\""),
        (
            format!("{version_5}chain = [{{ cable = \"6 m\" }}, {{ box = \"b\", input = 1M }}]\n"),
            "line 6: cannot read chain = [{ cable = \"6 m\" }, { box = \"b\", input = 1M }]: write input = \"1M\"",
        ),
        (
            format!("{HEAD}{setup}chain = [{{ box = \"b\", imput = \"1M\" }}]\n"),
            "line 7: setup 's', link 1: imput is not known here: did you mean input?",
        ),
        (
            format!("{version_5}load = \"1M\"\nrecorded = \"22M\"\n"),
            "line 7: setup 's': recorded belongs to the file: write it above the first line in [brackets]",
        ),
        (
            HEAD.replace("recorded = { load = \"none\" }", setup) + "load = \"1M\"\n",
            "line 1: recorded is missing, which version = 1 needs: write recorded = { load = \"22M\" }",
        ),
        (
            version_5.replace("pickup = ", "[[pickup]]\ncapacitance = "),
            "line 3: there is one pickup only: write [pickup]",
        ),
        (
            HEAD.replace("{ capacitance = \"1n\" }", "\"1n\"") + setup + "load = \"1M\"\n",
            "line 3: version = 1 has no `pickup = \"...\"`: accepted with version = 5",
        ),
        (format!("{version_5}load = \"1M\"\nchain = []\n"), "line 4: setup 's': give only one of load = "),
        (
            format!(
                "{version_5}chain = [\n{{ cable = \"1 m\" }},\n{{ box = \"b\", input = \"1M\" }},\n{{ cable = \"1 m\" }},\n]\n"
            ),
            "line 8: setup 's': something follows box 'b'",
        ),
        (format!("{version_5}load = \"1M\"\n{setup}load = \"1M\"\n"), "line 7: two setups are called 's'"),
    ] {
        let error = Preset::from_toml(&text).unwrap_err().to_string();
        assert!(error.starts_with(told), "{error}\n{told}\n{text}");
        assert!(!error.contains('\n'), "one line: {error}");
    }
    let comma = Preset::from_toml(&format!("{version_5}load = \"0,5M\"\n")).unwrap();
    assert_eq!(comma.setups[0].chain.shunt().ohms(), 500e3);
}

#[test]
fn versions_from_the_future() {
    let text = format!("{}colour = \"unknown today\"\n", HEAD.replace("= 1", "= 6"));
    let error = Preset::from_toml(&text).unwrap_err();
    assert_eq!(error.problem, PresetProblem::Version { found: 6, accepted: 5 });
    assert_eq!(
        error.to_string(),
        "line 1: version = 6 is not known: accepted are 1 to 5 (a later Firstjack may have written it)"
    );
    let error = Preset::from_toml(&HEAD.replace("= 1", "= -1")).unwrap_err();
    assert_eq!(error.problem, PresetProblem::Version { found: -1, accepted: 5 });
}

#[test]
fn setups_that_cannot_be() {
    let place = || "setup 's'".to_owned();
    let either = |place: String, is_both| PresetProblem::Either {
        place,
        is_both,
        fields: vec!["load = \"470k || 6 m\"".to_owned(), "chain = [ ... ]".to_owned()],
    };
    let nowhere = HEAD.replace("load = \"none\"", "");
    for (error, expected, words) in [
        (
            Preset::from_toml(HEAD).unwrap_err(),
            PresetProblem::NoSetups,
            "line 1: there is no [[setup]]: at least one is needed",
        ),
        (
            setup_error(""),
            either(place(), false),
            "line 5: setup 's': give either load = \"470k || 6 m\" or chain = [",
        ),
        (
            setup_error("load = \"1M\"\nchain = []"),
            either(place(), true),
            "line 5: setup 's': give only one of load",
        ),
        (
            Preset::from_toml(&format!("{nowhere}[[setup]]\nname = \"s\"\nload = \"1M\"\n")).unwrap_err(),
            either("recorded".into(), false),
            "line 4: recorded: give either load",
        ),
        (
            setup_error("load = \"1M\"\n[[setup]]\nname = \"s\"\nload = \"2M\""),
            PresetProblem::SameName("s".into()),
            "line 8: two setups are called 's': each needs a name of its own",
        ),
        (
            setup_error("chain = [{ box = \"b\", input = \"1M\" }, { cable = \"6 m\" }]"),
            PresetProblem::ThruMissing { place: place(), link: 1, name: "b".into() },
            "line 7: setup 's': something follows box 'b', so it needs thru = \"before\"",
        ),
    ] {
        assert_eq!(error.problem, expected);
        assert!(error.to_string().starts_with(words), "{error}");
    }
}

/// A link is a cable or a box, with fields of its own kind.
#[test]
fn links_that_are_neither_cable_nor_box() {
    for (link, told) in [
        ("{}", "accepted are cable = \"6 m\" (a cable), or box = "),
        ("{ per_metre = \"60p\" }", "accepted are cable = "),
        ("{ box = \"b\" }", "give either input = \"470k\" or transformer = "),
        ("{ input = \"1M\" }", "accepted are cable = "),
        ("{ cable = \"1 m\", box = \"b\", input = \"1M\" }", "box belongs to a box, and this is a cable"),
        ("{ cable = \"1 m\", capacitance = \"60p\" }", "capacitance belongs to a box, and this is a cable"),
        ("{ cable = \"1 m\", thru = \"after\" }", "thru belongs to a box, and this is a cable"),
        (
            "{ box = \"b\", input = \"1M\", per_metre = \"60p\" }",
            "per_metre belongs to a cable, and this is a box",
        ),
    ] {
        let error = setup_error(&format!("chain = [{{ cable = \"1 m\" }}, {link}]")).to_string();
        assert!(error.starts_with(&format!("line 7: setup 's', link 2: {told}")), "{error}");
    }
}

//! A person's kit: what a file of it may say, and what its names stand for.

use dsp_core::circuit::{Chain, Element, Input, Link, Pickups, Thru};
use dsp_core::kit::{Entry, Kit, KitError, KitPickup, Method, NameProblem, check_name};
use dsp_core::preset::Preset;
use dsp_core::response::Response;
use dsp_core::units::Load;

const KIT: &str = include_str!("fixtures/kit/kit.toml");

fn kit() -> Kit {
    Kit::from_toml(KIT).unwrap()
}

#[test]
fn a_kit_says_what_it_says() {
    let kit = kit();
    let bridge = kit.pickup("BRIDGE of the guitarro\u{301}n").expect("in other letters, with accents apart");
    let Element::Capacitive(element) = bridge.pickup.element else { panic!("{bridge:?}") };
    assert_eq!(element.capacitance.to_string(), "680 pF ±6 %");
    assert_eq!(bridge.origin.method, Some(Method::Sweep));
    assert_eq!(bridge.origin.measured.as_ref().unwrap().to_string(), "2026-11-27");
    assert_eq!(bridge.origin.remarks.as_deref(), Some("with the old wax"));
    let neck = kit.pickup("our neck pickup").unwrap();
    assert!(neck.pickup.is_magnetic() && neck.pickup.volume.is_some() && neck.pickup.tone.is_none());
    let tuner = &kit.input_box("our tuner").unwrap().input;
    assert_eq!(
        (tuner.thru, tuner.blocking.unwrap().to_string()),
        (Some(Thru::After), "22 nF ±20 %".to_owned())
    );
    let house = &kit.input_box("house box").unwrap().input;
    assert!(matches!(house.input, Input::Transformer(_)));
    assert!(kit.pickup("our tuner").is_none() && kit.input_box("our neck pickup").is_none());
    let names: Vec<&str> = kit.entries().iter().map(Entry::name).collect();
    let expected =
        ["bridge of the guitarrón", "our neck pickup", "our tuner", "stage amp", "house box", "other box"];
    assert_eq!(names, expected);
    assert_eq!(Kit::from_toml(&kit.to_toml()), Ok(kit));
}

/// A name stands for what a person would have typed: the same circuit gives the same figures to the last bit.
#[test]
fn a_name_is_what_it_stands_for() {
    let kit = kit();
    let pickups: Pickups = kit.pickup("bridge of the guitarrón").unwrap().pickup.into();
    let loss = |chain: &Chain| Response::new(&pickups, chain).loss_db(55.0).to_bits();
    let typed = |load: &str| Chain::from(&load.parse::<Load>().unwrap());
    for (named, values) in [
        ("stage amp", "470 kΩ ±2 %"),
        ("Stage Amp || 1M", "470 kΩ ±2 % || 1M"),
        ("6 m ∥ stage amp", "6 m || 470 kΩ ±2 %"),
        ("1M || stage amp || 3 m || 100p", "1M || 470 kΩ ±2 % || 3 m || 100p"),
    ] {
        let load = kit.load(named).unwrap();
        assert_eq!(loss(&load.chain), loss(&typed(values)), "{named}");
        assert_eq!(load.names, ["stage amp"]);
        assert!(load.to_string().contains("stage amp"), "{load}");
    }
    assert_eq!(kit.load("470k || 6 m").unwrap().chain, typed("470k || 6 m"));
    assert!(kit.load("none").unwrap().is_empty());
}

/// What is listened to in a load is the box that listens behind something, wherever it stands in it.
#[test]
fn a_box_with_insides_is_the_one_that_is_listened_to() {
    let kit = kit();
    for load in ["our tuner || stage amp || 1M", "1M || stage amp || our tuner", "stage amp || our tuner"] {
        assert_eq!(kit.load(load).unwrap().chain.heard().unwrap().name, "our tuner", "{load}");
        assert!(kit.load(load).unwrap().chain.links().all(|(_, loads)| loads), "all of it is in parallel");
    }
    for load in ["our tuner || house box", "transformer 140k || our tuner", "our tuner || our tuner"] {
        let error = kit.load(load).unwrap_err();
        assert!(matches!(error, KitError::TwoHeard { .. }), "{load}: {error}");
    }
    let Ok(Link::Box(tuner)) = kit.link("our tuner unbuffered") else { panic!() };
    assert_eq!((tuner.name.as_str(), tuner.thru), ("our tuner", Some(Thru::Before)));
    let Ok(Link::Box(tuner)) = kit.link(" OUR TUNER ") else { panic!() };
    assert_eq!((tuner.name.as_str(), tuner.thru), ("our tuner", Some(Thru::After)), "as the kit says");
    assert!(matches!(kit.link("6 m"), Ok(Link::Cable(_))));
}

#[test]
fn a_name_that_is_not_there_is_asked_about() {
    let kit = kit();
    let error = |text: &str| kit.load(text).unwrap_err().to_string();
    assert_eq!(error("1M || our tunr"), "'our tunr' is not in the kit: is it 'our tuner'?");
    assert!(error("our neck pickup").contains("is a pickup of the kit"));
    assert!(error("our tuner || none").starts_with("cannot read 'none' as part of a load"));
    let other = error("moon || 1M");
    assert!(other.contains("cannot read 'moon'") && other.ends_with("nor is it a box of the kit"), "{other}");
    assert!(!error("47x").contains("kit"), "a value with a slip");
    let link = kit.link("our tunner buffered").unwrap_err().to_string();
    assert_eq!(link, "'our tunner' is not in the kit: is it 'our tuner'?");
}

#[test]
fn names_that_mean_something_else_are_none() {
    for name in [
        "470k",
        "2M2",
        "680p",
        "470p to 4.7n",
        "6 m",
        "1m",
        "470",
        "1e6",
        "50 H",
        "n47",
        "none",
        "NONE",
        "470k || 1M",
        "a || b",
        "a∥b",
        "transformer 140k",
        "transformer of ours",
        "tuner 1M",
        "tuner 1M buffered",
        "our tuner buffered",
        "house box transformer 140k",
        "pedal active",
        "usual box",
        "680 pF ±6 %",
        "4k7K",
        "-x",
        "--kit",
        "cable 6 m",
        "tuner 1m",
    ] {
        let problem = check_name(name).expect_err(name);
        assert!(matches!(problem, NameProblem::Taken { .. }), "{name}: {problem}");
    }
    for name in ["", "  ", "\u{a0}"] {
        assert_eq!(check_name(name), Err(NameProblem::Empty), "{name:?}");
    }
    for name in
        ["a\tb", "a\nb", "\u{1b}[31m", "\u{202e}tuner", "tuner ", " tuner", "a\u{7f}", "\u{feff}\u{ffff}"]
    {
        assert!(matches!(check_name(name), Err(NameProblem::Unseen(_))), "{name:?}");
    }
    assert!(matches!(check_name(&"a".repeat(1000)), Err(NameProblem::Long { given: 1000, .. })));
    for name in [
        "our tuner",
        "bridge",
        "12-string bridge",
        "מגבר",
        "المضخم",
        "ギター",
        "A1",
        "amp 2",
        "the 470k one",
        "Hans' box",
        "box \"B\"",
        "x",
        "2",
    ] {
        // A bare number is a value with its unit missing.
        assert_eq!(check_name(name).is_ok(), name != "2", "{name}");
    }
}

#[test]
fn what_is_wrong_with_a_kit_is_told_with_its_place() {
    let error = |text: &str| Kit::from_toml(text).unwrap_err().to_string();
    let entry = |lines: &str| error(&format!("version = 1\n\n{lines}"));
    for (text, told) in [
        (
            "[[box]]\nname = \"a\"\ninput = \"1M\"\n",
            "line 1: version is missing: write version = 1 as the first line",
        ),
        (
            "version = 2\n",
            "line 1: version = 2 is not known: accepted are 1 to 1 (a later Firstjack may have written it)",
        ),
        ("version = \"1\"\n", "line 1: version cannot be \"1\": accepted is such as version = 1"),
        (
            "[box]\nname = \"a\"\n",
            "line 1: [box] is a single table: write [[box]], in double brackets, above each",
        ),
    ] {
        assert_eq!(error(text), told);
    }
    for (lines, told) in [
        (
            "[[box]]\nname = \"a\"\n",
            "line 3: box 'a': give either input = \"470k\" or transformer = \"usual 140k\"",
        ),
        ("[[box]]\ninput = \"1M\"\n", "line 3: box 1: name is missing"),
        ("[[box]]\nname = \"a\"\ninput = \"1X\"\n", "line 5: box 'a': input: cannot read '1X'"),
        (
            "[[box]]\nname = \"a\"\nimput = \"1M\"\n",
            "line 5: box 'a': imput is not known here: did you mean input?",
        ),
        (
            "[[box]]\nname = \"a\"\ninput = 470\n",
            "line 5: box 'a': input cannot be 470: accepted is such as input = \"470k\"",
        ),
        ("[[box]]\nname = \"a\"\nbox = \"b\"\ninput = \"1M\"\n", "line 5: box 'a': box is not known here"),
        (
            "[[pickup]]\nname = \"a\"\n",
            "line 3: pickup 'a': accepted are capacitance = \"680 pF\" (a piezo pickup), or",
        ),
        (
            "[[pickup]]\nname = \"a\"\ncapacitance = \"1n\"\nloss = \"1M\"\n",
            "line 6: pickup 'a': loss belongs to a magnetic pickup",
        ),
        (
            "[[pickup]]\nname = \"a\"\ncapacitance = \"1n\"\nmixing = \"1M\"\n",
            "line 6: pickup 'a': mixing is not known here",
        ),
        (
            "[[pickup]]\nname = \"a\"\ncapacitance = \"1n\"\nmethod = \"ear\"\n",
            "line 6: pickup 'a': method = \"ear\" is not known: accepted are sweep,",
        ),
        (
            "[[pickup]]\nname = \"a\"\ncapacitance = \"1n\"\nmeasured = \"2026-02-30\"\n",
            "line 6: pickup 'a': measured: cannot read '2026-02-30'",
        ),
        (
            "[[pickup]]\nname = \"a\"\ncapacitance = \"1n\"\nmeasured = 2026-02-03\n",
            "line 6: pickup 'a': measured cannot be 2026-02-03: accepted is such as measured = \"2026-11-27\"",
        ),
        (
            "[[pickup]]\nname = \"470k\"\ncapacitance = \"1n\"\n",
            "line 3: pickup '470k': the name '470k' cannot be told from a value where it is typed: give one that can, such as \"our tuner\"",
        ),
        (
            "[[pickup]]\nname = \"a\"\ncapacitance = \"1n\"\n[[box]]\nname = \"A\"\ninput = \"1M\"\n",
            "line 6: box 'A': another entry of the kit is called 'A'",
        ),
    ] {
        let error = entry(lines);
        assert!(error.starts_with(told), "{error}\n  and not\n{told}");
    }
    for blank in ["", "\n\n", "# mine\n\n  # all of it\n"] {
        assert_eq!(Kit::from_toml(blank), Ok(Kit::default()));
    }
}

#[test]
fn an_entry_is_added_once() {
    let mut kit = kit();
    let pickup = kit.pickup("our neck pickup").unwrap().clone();
    assert_eq!(kit.add(pickup.clone()), Err(KitError::There("our neck pickup".to_owned())));
    let shout = KitPickup { name: "OUR TUNER".to_owned(), ..pickup.clone() };
    assert_eq!(kit.add(shout), Err(KitError::There("our tuner".to_owned())));
    assert!(matches!(kit.add(KitPickup { name: "1M".to_owned(), ..pickup.clone() }), Err(KitError::Name(_))));
    kit.add(KitPickup { name: "spare".to_owned(), ..pickup }).unwrap();
    assert_eq!(Kit::from_toml(&kit.to_toml()), Ok(kit));
}

/// Names of the kit in a file of setups: the values are written where the names stood, and all else stays as it is.
#[test]
fn a_file_that_names_the_kit_opens_without_it() {
    let named = include_str!("fixtures/kit_setups.toml");
    assert!(Preset::from_toml(named).is_err());
    let (preset, names) = kit().preset(named).unwrap();
    assert_eq!(names, ["bridge of the guitarrón", "stage amp", "our tuner", "house box"]);
    let embedded = kit().embed(named).unwrap();
    assert_eq!(Preset::from_toml(&embedded.text), Ok(preset.clone()), "{}", embedded.text);
    assert_eq!(Preset::from_toml(&preset.to_toml()), Ok(preset.clone()), "a plugin state has the values");
    assert_eq!(embedded.text.lines().count(), named.lines().count());
    assert!(named.lines().filter(|line| line.contains('#')).all(|line| {
        let comment = &line[line.find('#').unwrap()..];
        embedded.text.contains(comment)
    }));
    assert_eq!(kit().embed(&embedded.text).unwrap().names, Vec::<String>::new());
    assert_eq!(preset.pickups, kit().pickup("bridge of the guitarrón").unwrap().pickup.into());
    let heard: Vec<&str> =
        preset.setups.iter().map(|setup| setup.chain.heard().unwrap().name.as_str()).collect();
    assert_eq!(heard, ["our tuner", "our tuner", "house box", "combo"]);
    let same = kit().load("our tuner || 470k").unwrap().chain;
    let loss = |chain: &Chain| Response::new(&preset.pickups, chain).loss_db(55.0);
    approx::assert_abs_diff_eq!(loss(&preset.setups[1].chain), loss(&same), epsilon = 1e-9);
}

#[test]
fn a_file_that_names_what_the_kit_lacks_is_told() {
    let named = include_str!("fixtures/kit_setups.toml");
    let error = Kit::default().embed(named).unwrap_err().to_string();
    assert_eq!(
        error,
        "line 4: pickup: 'Bridge of the guitarrón' is neither a value nor in the kit: where a kit has it, firstjack kit embed FILE -o FILE \
         writes its values into the file"
    );
    let error = kit().embed(&named.replace("Stage amp", "stage anp")).unwrap_err().to_string();
    assert!(
        error.starts_with("line 13: setup 'tuner first', link 3: chain: 'stage anp' is neither"),
        "{error}"
    );
    assert!(error.contains("(is it 'stage amp'?)"), "{error}");
    let error = kit().embed(&named.replace("version = 5", "version = 4")).unwrap_err().to_string();
    assert_eq!(error, "line 4: version = 4 has no `name of a kit`: accepted with version = 5");
    let two = named.replace("our tuner || 470k", "our tuner || house box");
    assert!(
        kit()
            .embed(&two)
            .unwrap_err()
            .to_string()
            .contains("line 17: setup 'both': load: 'our tuner' and 'house box' have each")
    );
    let input = named.replace("Bridge of the guitarrón", "Our tuner");
    let error = kit().embed(&input).unwrap_err().to_string();
    assert_eq!(error, "line 4: pickup: 'our tuner' is a box of the kit, and a pickup belongs here");
    let pickup = named.replace("our tuner || 470k", "our neck pickup");
    assert!(kit().embed(&pickup).unwrap_err().to_string().contains("is a pickup of the kit"));
}

#[test]
fn two_pickups_of_a_kit_share_a_jack() {
    let setup = "[[setup]]\nname = \"s\"\nload = \"1M\"\n";
    let file = |blend: &str| format!("version = 5\nname = \"x\"\nblend = [{blend}]\n{setup}");
    let (preset, names) =
        kit().preset(&file(r#""our neck pickup", { capacitance = "1n", mixing = "220k" }"#)).unwrap();
    assert_eq!(names, ["our neck pickup"]);
    let Pickups::Blend([neck, other]) = &preset.pickups else { panic!() };
    assert_eq!(neck.pickup, kit().pickup("our neck pickup").unwrap().pickup);
    assert!(neck.mixing.is_none() && other.mixing.is_some());
    let error = kit().embed(&file("\"our neck pickup\", \"moon\"")).unwrap_err().to_string();
    assert!(error.starts_with("line 3: blend: 'moon' is neither a value nor in the kit"), "{error}");
}

/// What a file could always say keeps its meaning on every machine, whatever a kit calls its own.
#[test]
fn a_kind_in_a_file_stays_the_kind() {
    let mut kit = Kit::default();
    kit.add(KitPickup {
        name: "bridge".to_owned(),
        ..self::kit().pickup("our neck pickup").unwrap().clone()
    })
    .unwrap();
    let file = "version = 5\nname = \"x\"\npickup = \"bridge\"\n[[setup]]\nname = \"s\"\nload = \"1M\"\n";
    assert_eq!(kit.embed(file).unwrap().text, file);
}

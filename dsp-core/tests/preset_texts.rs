//! What version 5 of the preset files says in a text where earlier ones need a table, and what it goes without.

use crate::common;
use dsp_core::circuit::{Cable, Chain, Input, InputBox, Link, Pickup, Splitter, Thru, Transformer};
use dsp_core::preset::{PickupKind, Preset, PresetProblem, Remark};
use proptest::prelude::*;

const KEPT: &str = include_str!("fixtures/version_5.toml");
const RECORDED: &str = include_str!("fixtures/version_5_recorded.toml");

fn cable(length: &str) -> Link {
    Link::Cable(Cable::new(length.parse().unwrap()))
}

fn input(name: &str, input: &str, thru: Option<Thru>) -> Link {
    Link::Box(InputBox { thru, ..InputBox::new(name, input.parse().unwrap()) })
}

fn passive(name: &str) -> Link {
    let input = Input::Transformer(Transformer::usual("140k".parse().unwrap()));
    Link::Box(InputBox { input, ..InputBox::new(name, "1M".parse().unwrap()) })
}

/// The kept copies mean today what they meant when they were kept.
#[test]
fn version_5_still_means_the_same() {
    let preset = Preset::from_toml(KEPT).unwrap();
    assert_eq!(preset.pickups, Pickup::new("470p to 4.7n".parse().unwrap()).into());
    assert!(!preset.says_recorded && preset.recorded.is_empty());
    let branch = Chain::new(vec![cable("3 m"), input("combo", "470k", None)]).unwrap();
    let resistor = "10k".parse().ok();
    let expected = [
        vec![
            cable("3 m"),
            input("tuner", "1M", Some(Thru::After)),
            cable("6 m"),
            input("combo", "470k", None),
        ],
        vec![input("fuzz", "22k", Some(Thru::Active)), cable("6 m"), input("combo", "470k", None)],
        vec![cable("6 m"), passive("passive box")],
        vec![Link::Splitter(Splitter { name: "splitter".into(), resistor, branch }), passive("desk")],
        vec![passive("transformer 140 kΩ"), cable("6 m")],
    ];
    for (setup, links) in preset.setups.iter().zip(expected) {
        let links: Vec<Link> = links.into_iter().collect();
        assert_eq!(
            setup.chain.links().map(|(link, _)| link.clone()).collect::<Vec<_>>(),
            links,
            "{}",
            setup.name
        );
    }
    let preset = Preset::from_toml(RECORDED).unwrap();
    assert_eq!(preset.pickups, Pickup::new("680p ±30 %".parse().unwrap()).into());
    assert!(preset.says_recorded);
    assert_eq!(preset.recorded, Chain::from(&"22M || 3 m".parse().unwrap()));
}

/// Programs that know only earlier versions refuse such a file; so its version must say so.
#[test]
fn texts_came_with_version_5() {
    let one = |recorded: &str, pickup: &str, chain: &str, version: i64| {
        let text = format!(
            "version = {version}\nname = 'x'\npickup = {pickup}\n{recorded}\n[[setup]]\nname = 's'\nchain = [{chain}]\n"
        );
        (Preset::from_toml(&text), text)
    };
    let (table, text) = ("recorded = { load = '22M' }", "recorded = '22M'");
    let (pickup, link) = ("{ capacitance = '1n' }", "{ box = 'b', input = '1M' }");
    let usual = "{ box = 'b', transformer = 'usual 140k' }";
    let fuzz = "{ box = 'fuzz', input = '22k', thru = 'active' }";
    assert!(one(table, pickup, link, 1).0.is_ok());
    for (recorded, pickup, link) in [
        (text, pickup, link),
        ("", pickup, link),
        (table, "'1n'", link),
        (table, "'bridge'", link),
        (table, "{ capacitance = '1n', volume = '500k log at 7' }", link),
        (table, "{ capacitance = '1n', tone = '500k 22n' }", link),
        (table, "{ capacitance = '470p to 4.7n' }", link),
        (table, pickup, "'amp 1M'"),
        (table, pickup, usual),
        (table, pickup, fuzz),
    ] {
        for version in 1..=4 {
            let (read, text) = one(recorded, pickup, link, version);
            let problem = read.unwrap_err().problem;
            let is_newer = matches!(
                problem,
                PresetProblem::NewerField { since: 5 | 2, .. } | PresetProblem::NoRecorded { since: 5, .. }
            );
            assert!(is_newer, "{problem}\n{text}");
        }
        let (read, text) = one(recorded, pickup, link, 5);
        let preset = read.unwrap_or_else(|error| panic!("{error}\n{text}"));
        let written = preset.to_toml();
        assert_eq!(Preset::from_toml(&written).as_ref(), Ok(&preset), "{written}");
    }
}

/// What can be said without version 5 is, so that older programs read it.
#[test]
fn the_version_written_is_the_first_that_says_it() {
    let written = |text: &str| Preset::from_toml(text).unwrap().to_toml();
    let version_2 = RECORDED.replace(" ±30 %", "");
    assert!(written(&version_2).starts_with("version = 2\n"), "{}", written(&version_2));
    let plain = "version = 5\nname = 'x'\npickup = '1n'\nrecorded = 'none'\n[[setup]]\nname = 's'\nchain = ['6 m', 'tuner 1M buffered', 'amp 470k']\n";
    assert!(written(plain).starts_with("version = 2\n"), "{}", written(plain));
    let without = plain.replace("recorded = 'none'\n", "");
    assert!(written(&without).starts_with("version = 5\n"), "{}", written(&without));
    assert!(!written(&without).contains("recorded"), "{}", written(&without));
}

#[test]
fn texts_that_cannot_be_read() {
    let told = |pickup: &str, chain: &str| {
        let text =
            format!("version = 5\nname = 'x'\npickup = {pickup}\n[[setup]]\nname = 's'\nchain = [{chain}]\n");
        Preset::from_toml(&text).unwrap_err().to_string()
    };
    for (pickup, chain, words) in [
        ("'1k'", "", "line 3: pickup: cannot read '1k' as a capacitance: 'k' is not a unit here"),
        (
            "'brigde'",
            "",
            "line 3: pickup: cannot read 'brigde' as a capacitance: it does not start with a number",
        ),
        (
            "{ capacitance = '1n', volume = '500k at 11' }",
            "",
            "line 3: pickup: volume: cannot read '500k at 11'",
        ),
        ("'1n'", "'tuner'", "line 6: setup 's', link 1: chain: 'tuner' has no input in it"),
        (
            "'1n'",
            "'tuner 1M', 'amp 1M'",
            "line 6: setup 's': something follows box 'tuner', so it needs thru",
        ),
        ("'1n'", "'amp 1m'", "line 6: setup 's', link 1: chain: cannot read '1m'"),
        (
            "'1n'",
            "{ box = 'b', transformer = '140k' }",
            "line 6: setup 's', link 1: transformer: cannot read '140k'",
        ),
        (
            "'1n'",
            "{ box = 'b', transformer = 'usual 4M' }",
            "line 6: setup 's', link 1: transformer: cannot read '4M'",
        ),
        (
            "'1n'",
            "5",
            "line 6: setup 's', link 1: chain cannot be 5: accepted is such as chain = \"tuner 1M buffered\"",
        ),
    ] {
        let told = told(pickup, chain);
        assert!(told.starts_with(words), "{told}\n{words}");
    }
    // A load of an earlier version keeps its metres; of this one it is asked about.
    let load = |version: i64| {
        Preset::from_toml(&format!(
            "version = {version}\nname = 'x'\npickup = {{ capacitance = '1n' }}\nrecorded = {{ load = 'none' }}\n[[setup]]\nname = 's'\nload = '1m'\n"
        ))
    };
    assert!(load(4).is_ok());
    assert!(load(5).unwrap_err().to_string().contains("setup 's': load: cannot read '1m'"));
}

/// What is as a rule a slip.
#[test]
fn slips_in_a_file_are_remarked() {
    let remarks = |setups: &[(&str, &str, &str)]| {
        let mut text = "version = 5\nname = 'x'\npickup = '1n'\n".to_owned();
        for (name, venue, load) in setups {
            let venue = if venue.is_empty() { String::new() } else { format!("venue = '{venue}'\n") };
            text += &format!("[[setup]]\nname = '{name}'\n{venue}load = '{load}'\n");
        }
        Preset::from_toml(&text).unwrap().remarks()
    };
    let same = |one: &str, other: &str| Remark::SameSetups { one: one.into(), other: other.into() };
    let near = |one: &str, other: &str| Remark::NearVenues { one: one.into(), other: other.into() };
    assert_eq!(remarks(&[("a", "", "1M"), ("b", "", "2M"), ("c", "", "1M")]), [same("a", "c")]);
    assert_eq!(remarks(&[("a", "", "1M"), ("b", "court", "1M")]), [same("a", "b")]);
    assert_eq!(remarks(&[("a", "chapel", "1M"), ("b", "court", "1M")]), []);
    assert_eq!(
        remarks(&[("a", "Courtyard", "1M"), ("b", "courtyard", "2M")]),
        [near("Courtyard", "courtyard")]
    );
    assert_eq!(
        remarks(&[("a", "courtyard", "1M"), ("b", "cortyard", "2M")]),
        [near("courtyard", "cortyard")]
    );
    assert_eq!(
        remarks(&[("a", "court yard", "1M"), ("b", "courtyard", "2M")]),
        [near("court yard", "courtyard")]
    );
    for (one, other) in
        [("stage 1", "stage 2"), ("hall A", "hall B"), ("court", "chapel"), ("main hall", "small hall")]
    {
        assert_eq!(remarks(&[("a", one, "1M"), ("b", other, "2M")]), [], "{one}, {other}");
    }
}

/// A kind has its usual range, and is told where a word is none.
#[test]
fn a_pickup_may_be_named_by_its_kind() {
    let read = |pickup: &str| {
        Preset::from_toml(&format!(
            "version = 5\nname = 'x'\npickup = '{pickup}'\n[[setup]]\nname = 's'\nload = '1M'\n"
        ))
    };
    let none = read("kazoo").unwrap_err().to_string();
    for kind in PickupKind::all() {
        for name in [kind.word.clone(), kind.word.to_uppercase(), kind.name.clone()] {
            assert_eq!(read(&name).unwrap().pickups, Pickup::new(kind.range()).into(), "{name}");
        }
        assert!(none.contains(&kind.word), "{none}");
    }
}

/// Whatever the guide shows as a file is one.
#[test]
fn the_examples_of_the_guide_read() {
    let guide = include_str!("../../docs/setups.md");
    let examples: Vec<&str> =
        guide.split("```toml\n").skip(1).filter_map(|rest| rest.split("```").next()).collect();
    assert!(examples.len() >= 7, "{}", examples.len());
    for example in examples {
        let preset = Preset::from_toml(example).unwrap_or_else(|error| panic!("{error}\n{example}"));
        assert_eq!(preset.remarks(), [], "{example}");
        assert_eq!(Preset::from_toml(&preset.to_toml()), Ok(preset));
    }
}

proptest! {
    #![proptest_config(common::cases(500))]

    /// A file with something cut out of it, or put in, is read or refused in one line, and never panics.
    #[test]
    fn damaged_files_are_refused_in_a_line(
        text in prop_oneof![Just(KEPT), Just(RECORDED), Just(include_str!("fixtures/version_5_venues.toml"))],
        (from, length) in (0_usize..1_000, 0_usize..12),
        put in prop_oneof![Just(String::new()), Just("\"".into()), Just("[".into()), Just("= {".into()), Just("\n".into()), ".{0,3}"],
    ) {
        let chars: Vec<char> = text.chars().collect();
        let from = from.min(chars.len());
        let to = (from + length).min(chars.len());
        let damaged: String = chars[..from].iter().copied().chain(put.chars()).chain(chars[to..].iter().copied()).collect();
        if let Err(error) = Preset::from_toml(&damaged) {
            let told = error.to_string();
            prop_assert!(error.line.is_some_and(|line| line <= damaged.lines().count().max(1)), "{told}\n{damaged}");
            prop_assert!(!told.contains('\n') && !told.is_empty(), "{told}\n{damaged}");
        }
    }
}

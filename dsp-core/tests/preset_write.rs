//! Presets that are written read back as the same.

use crate::common;
use crate::common::circuits::{any_chain, any_input, chain, pickups};
use crate::common::preset_text;
use dsp_core::circuit::{Chain, Link, Pickups, Positions};
use dsp_core::preset::{Crew, LinePolarity, Phantom, Preset, Setup, Venue};
use dsp_core::response::Response;
use dsp_core::units::Percent;
use proptest::option;
use proptest::prelude::*;

#[test]
fn files_read_back_as_the_same() {
    let presets = [
        "blend",
        "blocking",
        "courtyard",
        "loads",
        "magnetic-double",
        "magnetic-single",
        "passive",
        "tour",
        "venues",
    ];
    let texts = presets.map(|name| preset_text(&format!("{name}.toml")));
    let fixtures = [
        include_str!("fixtures/version_1.toml"),
        include_str!("fixtures/version_2.toml"),
        include_str!("fixtures/version_3.toml"),
        include_str!("fixtures/version_4.toml"),
        include_str!("fixtures/version_4_tolerances.toml"),
        include_str!("fixtures/version_5.toml"),
        include_str!("fixtures/version_5_recorded.toml"),
        include_str!("fixtures/version_5_venues.toml"),
    ];
    for text in texts.into_iter().chain(fixtures.map(str::to_owned)) {
        let preset = Preset::from_toml(&text).unwrap();
        let written = preset.to_toml();
        assert_eq!(Preset::from_toml(&written).as_ref(), Ok(&preset), "{written}");
    }
}

fn written(chain: &Chain, pickups: Pickups) -> (Preset, Preset) {
    let setup =
        Setup { name: "setup".into(), venue: None, chain: chain.clone(), positions: Positions::default() };
    let preset = Preset {
        name: "test".into(),
        instrument: None,
        pickups,
        recorded: chain.clone(),
        says_recorded: true,
        recorded_at: Positions::default(),
        venues: Vec::new(),
        setups: vec![setup],
    };
    let text = preset.to_toml();
    let again = Preset::from_toml(&text).unwrap_or_else(|error| panic!("{error}\n{text}"));
    (preset, again)
}

/// Whether it has a part without a name.
fn has_unnamed(chain: &Chain) -> bool {
    chain.links().any(|(link, _)| match link {
        Link::Cable(_) | Link::Box(_) => false,
        Link::Splitter(splitter) => has_unnamed(&splitter.branch),
        Link::Resistance(_) | Link::Capacitance(_) | Link::Inductance(_) => true,
    })
}

/// Names that would break a file if they were not quoted.
fn name() -> impl Strategy<Value = String> {
    prop_oneof!["[a-z]{1,8}", Just("tuner's \"thru\" \\ 10 m\n = [x]".to_owned()), ".{1,12}"]
}

fn said() -> impl Strategy<Value = String> {
    name().prop_filter("more than spaces", |name| !name.trim().is_empty())
}

fn crew() -> impl Strategy<Value = Crew> {
    let phantom = option::of(prop_oneof![Just(Phantom::On), Just(Phantom::Off)]);
    let polarity = option::of(prop_oneof![Just(LinePolarity::Normal), Just(LinePolarity::Reversed)]);
    (phantom, polarity, proptest::array::uniform5(option::of(said()))).prop_map(
        |(phantom, polarity, texts)| {
            let [pad, line, feed, contact, remarks] = texts;
            Crew { phantom, pad, polarity, line, feed, contact, remarks }
        },
    )
}

proptest! {
    #![proptest_config(common::cases(500))]

    #[test]
    fn random_presets_read_back_as_the_same(
        pickups in pickups(),
        chains in proptest::collection::vec(chain(any_input()), 1..4),
        name in name(),
        position in option::of(0.0..100.0),
        venue in option::of(said()),
        crew in crew(),
    ) {
        let at = Positions { volume: position.map(|at| Percent::new(at).unwrap()), tone: None };
        let chains: Vec<Chain> = chains.into_iter().filter(|chain| !has_unnamed(chain)).collect();
        prop_assume!(!chains.is_empty());
        let setups = chains.iter().enumerate().map(|(index, chain)| Setup {
            name: format!("{name} {index}"),
            venue: venue.clone(),
            chain: chain.clone(),
            positions: at,
        });
        let preset = Preset {
            name: name.clone(),
            instrument: Some(name.clone()),
            pickups,
            recorded: chains[0].clone(),
            says_recorded: true,
            recorded_at: at,
            venues: venue.iter().map(|name| Venue { name: name.clone(), crew: crew.clone() }).collect(),
            setups: setups.collect(),
        };
        prop_assert_eq!(Preset::from_toml(&preset.to_toml()), Ok(preset));
    }

    /// What a file cannot say becomes what it can, and does the same.
    #[test]
    fn what_a_file_cannot_say_sounds_the_same(pickups in pickups(), chain in any_chain()) {
        let alone = (0..pickups.count()).map(|index| Pickups::One(*pickups.pickup(index)));
        prop_assume!(alone.chain([pickups]).all(|pickups| pickups.check_losses(&chain).is_ok()));
        let (before, after) = written(&chain, pickups);
        let (chain, other) = (&before.setups[0].chain, &after.setups[0].chain);
        for hz in [5.0, 40.0, 440.0, 5_000.0, 20_000.0] {
            let difference = Response::new(&pickups, chain).loss_db(hz) - Response::new(&pickups, other).loss_db(hz);
            prop_assert!(difference.abs() < 1e-4, "{} Hz: {}\n{}", hz, difference, before.to_toml());
        }
        // Said once, it stays as it is.
        prop_assert_eq!(Preset::from_toml(&after.to_toml()), Ok(after));
    }
}

/// Each kind of part beside a box, before and behind it, and on a branch.
#[test]
fn parts_without_a_name_get_one() {
    let load = |text: &str| Chain::from(&text.parse().unwrap()).links().next().unwrap().0.clone();
    let amplifier = |name: &str| Link::Box(dsp_core::circuit::InputBox::new(name, "1M".parse().unwrap()));
    let links =
        vec![load("470k"), amplifier("first"), load("47p"), amplifier("last"), load("50 H"), load("330k")];
    let (before, after) = written(&Chain::new(links).unwrap(), pickup());
    let text = before.to_toml();
    for line in [
        "{ box = \"470 kΩ\", input = \"470 kΩ\", thru = \"before\" },",
        "{ box = \"first\", input = \"1 MΩ\", thru = \"before\" },",
        "{ cable = \"1 m\", per_metre = \"47 pF\" },",
        "{ splitter = \"330 kΩ\", branch = [{ box = \"330 kΩ\", input = \"330 kΩ\" }] },",
    ] {
        assert!(text.contains(line), "{line}\n{text}");
    }
    // Still the one that is listened to.
    assert_eq!(after.setups[0].chain.heard().unwrap().name, "last");
    for hz in [5.0, 41.2, 440.0, 10_000.0] {
        let loss = |preset: &Preset| Response::new(&pickup(), &preset.setups[0].chain).loss_db(hz);
        assert!((loss(&before) - loss(&after)).abs() < 1e-6, "{hz}");
    }
}

fn pickup() -> Pickups {
    dsp_core::circuit::Pickup::new("680p".parse().unwrap()).into()
}

#[test]
fn what_a_file_may_not_have_is_refused_in_reading() {
    let (mut preset, _) = written(&Chain::default(), pickup());
    preset.setups.push(preset.setups[0].clone());
    assert!(Preset::from_toml(&preset.to_toml()).is_err());
    preset.setups.clear();
    assert!(Preset::from_toml(&preset.to_toml()).is_err());
}

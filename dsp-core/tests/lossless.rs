//! Circuits that resonate without loss are refused, and nothing else is.

use crate::common;
use crate::common::chain as load;
use crate::common::circuits::{any_chain, pickups};
use dsp_core::circuit::{
    Chain, Element, Input, InputBox, Link, MagneticPickup, Pickup, Pickups, Splitter, Thru, Transformer,
};
use dsp_core::preset::{Preset, PresetProblem};
use dsp_core::response::{Ceiling, Change, Lossless, Transfer};
use dsp_core::units::Inductance;
use proptest::prelude::*;

fn capacitive() -> Pickups {
    Pickup::new("1n".parse().unwrap()).into()
}

fn coil(resistance: &str) -> Pickups {
    Pickup::of(Element::Magnetic(MagneticPickup {
        inductance: "4.7 H".parse().unwrap(),
        resistance: resistance.parse().unwrap(),
        winding: "120p".parse().ok(),
        loss: None,
    }))
    .into()
}

/// A box of 47 H whose secondary drives nothing.
fn open_secondary(winding: Option<&str>, core: Option<&str>) -> InputBox {
    let transformer = Transformer {
        primary: "47 H".parse().unwrap(),
        winding: winding.map(|ohms| ohms.parse().unwrap()),
        ratio: "1000".parse().unwrap(),
        secondary: "1T".parse().unwrap(),
        capacitance: None,
        core: core.map(|ohms| ohms.parse().unwrap()),
    };
    InputBox { input: Input::Transformer(transformer), ..InputBox::new("passive box", "1M".parse().unwrap()) }
}

fn of(links: Vec<Link>) -> Chain {
    Chain::new(links).unwrap()
}

/// `1/(2π sqrt(L C))` (textbook).
fn resonance_hz(henries: f64, farads: f64) -> f64 {
    (henries * farads).sqrt().recip() / std::f64::consts::TAU
}

fn refused(pickups: &Pickups, chain: &Chain) -> Lossless {
    pickups.check_losses(chain).expect_err("resonates without loss")
}

fn henries(text: &str) -> Inductance {
    text.parse().unwrap()
}

#[test]
fn a_bare_inductance_across_a_capacitance() {
    for text in ["50 H", "50 H || 6 m", "50 H || 20 H", "6 m || 50 H || 1T"] {
        let error = refused(&capacitive(), &load(text));
        let Lossless::Bare(inductance, hz) = error else { panic!("{text}: {error}") };
        assert_eq!(inductance, henries("50 H"), "{text}");
        let parallel = if text.contains("20 H") { 50.0 * 20.0 / 70.0 } else { 50.0 };
        let expected = resonance_hz(parallel, if text.contains("6 m") { 1.6e-9 } else { 1e-9 });
        assert!((hz / expected - 1.0).abs() < 1e-9, "{text}: {hz} {expected}");
    }
    let told = refused(&capacitive(), &load("50 H")).to_string();
    let expected = "an inductance of 50 H resonates at 711.8 Hz without loss, as nothing real does: give its winding's resistance";
    assert!(told.starts_with(expected), "{told}");
    // A coil has a resistance of its own, and any other will do.
    assert_eq!(coil("8k2").check_losses(&load("50 H")), Ok(()));
    assert_eq!(capacitive().check_losses(&load("50 H || 100M")), Ok(()));
}

#[test]
fn a_transformer_without_a_load() {
    let with = |winding, core| of(vec![Link::Box(open_secondary(winding, core))]);
    let error = refused(&capacitive(), &with(None, None));
    assert!(matches!(&error, Lossless::Transformer(name, _) if name == "passive box"), "{error}");
    assert!(error.to_string().contains("winding = \"1k5\"") && error.to_string().contains("core = \"470k\""));
    assert_eq!(capacitive().check_losses(&with(Some("1k5"), None)), Ok(()));
    assert_eq!(capacitive().check_losses(&with(None, Some("470k"))), Ok(()));
}

/// On a branch, and in series with its blocking capacitor, where it shorts one frequency for ever: nothing rings, but what was
/// recorded so would ring for ever when it is undone.
#[test]
fn loops_without_loss_are_found_wherever_they_hide() {
    let branch = of(vec![Link::Inductance(henries("50 H"))]);
    let splitter = |resistor: Option<&str>| {
        let resistor = resistor.map(|ohms| ohms.parse().unwrap());
        of(vec![Link::Splitter(Splitter { name: "y".into(), resistor, branch: branch.clone() })])
    };
    let error = refused(&capacitive(), &splitter(None));
    assert!(matches!(error, Lossless::Bare(inductance, _) if inductance == henries("50 H")), "{error}");
    assert_eq!(capacitive().check_losses(&splitter(Some("10k"))), Ok(()));
    let blocked = |winding| InputBox {
        blocking: "22n".parse().ok(),
        thru: Some(Thru::Before),
        ..open_secondary(winding, None)
    };
    let beside = |winding| {
        of(vec![Link::Box(blocked(winding)), Link::Box(InputBox::new("amplifier", "1M".parse().unwrap()))])
    };
    let error = refused(&capacitive(), &beside(None));
    let Lossless::Transformer(name, hz) = &error else { panic!("{error}") };
    assert_eq!(name, "passive box");
    assert!((hz / resonance_hz(47.0, 22e-9) - 1.0).abs() < 1e-6, "{hz}");
    assert_eq!(capacitive().check_losses(&beside(Some("1k5"))), Ok(()));
    // Behind a buffer it does not matter.
    let buffer = InputBox { thru: Some(Thru::After), ..InputBox::new("buffer", "1M".parse().unwrap()) };
    let behind = of(vec![Link::Box(buffer), Link::Inductance(henries("50 H"))]);
    assert_eq!(capacitive().check_losses(&behind), Ok(()));
}

#[test]
fn a_coil_of_a_superconductor() {
    let error = refused(&coil("0.01R"), &Chain::default());
    assert!(matches!(error, Lossless::Coil(inductance, _) if inductance == henries("4.7 H")), "{error}");
    assert!(error.to_string().contains("resistance = \"8k2\""), "{error}");
    assert_eq!(coil("0.01R").check_losses(&load("1M")), Ok(()));
}

#[test]
fn files_that_say_such_a_circuit() {
    let file = |recorded: &str, setup: &str| {
        Preset::from_toml(&format!(
            "version = 2\nname = 'x'\npickup = {{ capacitance = '1n' }}\nrecorded = {{ load = '{recorded}' }}\n\
             [[setup]]\nname = 's'\nload = '{setup}'\n"
        ))
    };
    for (recorded, setup, place) in [("50 H", "1M", "recorded"), ("1M", "50 H", "setup 's'")] {
        let error = file(recorded, setup).unwrap_err();
        assert!(
            matches!(&error.problem, PresetProblem::Lossless { place: given, .. } if given == place),
            "{error:?}"
        );
        assert!(
            error.problem.to_string().starts_with(&format!("{place}: an inductance of 50 H resonates")),
            "{error}"
        );
    }
    assert!(file("50 H || 1M", "1M").is_ok());
}

proptest! {
    #![proptest_config(common::cases(1_000))]

    /// What passes can be run, in both directions, with the ceiling and without; and what is refused has nothing but an inductance to
    /// blame.
    #[test]
    fn what_passes_decays(pickups in pickups(), from in any_chain(), to in any_chain()) {
        let checked = [&from, &to].map(|chain| pickups.check_losses(chain));
        for (checked, chain) in checked.iter().zip([&from, &to]) {
            let bare = matches!(checked, Ok(()) | Err(Lossless::Bare(..)));
            prop_assert!(bare, "{checked:?}: {chain:?}");
        }
        prop_assume!(checked.iter().all(Result::is_ok));
        for index in 0..pickups.count() {
            let transfer = |chain| Transfer::of(&pickups, index, chain);
            for ceiling in [Ceiling::Off, Ceiling::default()] {
                let shape = Change::new(&transfer(&from), &transfer(&to)).shape(ceiling);
                prop_assert!(!shape.is_lossless(), "{shape:?}");
            }
        }
    }
}

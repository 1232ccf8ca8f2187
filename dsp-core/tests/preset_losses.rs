//! What version 4 of the preset files says beyond version 3: the losses of coils and cores.

use dsp_core::circuit::{Element, Input, Link, MagneticPickup, Transformer};
use dsp_core::preset::{Preset, PresetProblem};
use dsp_core::units::UnitError;

const KEPT: &str = include_str!("fixtures/version_4.toml");

fn read<T: std::str::FromStr<Err = UnitError>>(text: &str) -> T {
    text.parse().unwrap()
}

/// The kept copy means today what it meant when it was kept.
#[test]
fn version_4_still_means_the_same() {
    let preset = Preset::from_toml(KEPT).unwrap();
    let coil = MagneticPickup {
        inductance: read("4.7 H"),
        resistance: read("8k2"),
        winding: Some(read("120p")),
        loss: Some(read("270k")),
    };
    assert_eq!(preset.pickups.pickup(0).element, Element::Magnetic(coil));
    let Some(Link::Box(passive)) = preset.setups[0].chain.loading().nth(1) else { panic!("no box") };
    let transformer = Transformer {
        primary: read("47 H"),
        winding: Some(read("1k5")),
        ratio: read("12"),
        secondary: read("1k5"),
        capacitance: Some(read("330p")),
        core: Some(read("220k")),
    };
    assert_eq!(passive.input, Input::Transformer(transformer));
}

/// Programs that know only earlier versions refuse such a file; so its version must say so.
#[test]
fn losses_came_with_version_4() {
    for (field, without) in [("loss", ", core = \"220k\""), ("core", ", loss = \"270k\"")] {
        for found in [2, 3] {
            let text = KEPT.replace("version = 4", &format!("version = {found}")).replace(without, "");
            let error = Preset::from_toml(&text).unwrap_err();
            assert_eq!(error.problem, PresetProblem::NewerField { found, field, since: 4 });
        }
    }
}

/// A loss is a coil's; a core is a transformer's.
#[test]
fn a_loss_in_the_wrong_place_is_refused() {
    let capacitive = KEPT.replace("inductance = \"4.7 H\", resistance = \"8k2\", winding", "capacitance");
    let error = Preset::from_toml(&capacitive).unwrap_err().to_string();
    assert!(
        error.contains("pickup: loss belongs to a magnetic pickup, and this is a piezo pickup"),
        "{error}"
    );
    let beside = KEPT.replace(", core = \"220k\" }", " }, core = \"220k\"");
    assert!(Preset::from_toml(&beside).unwrap_err().to_string().contains("core is not known here"));
}

/// Version 4 is written only where it is needed: older programs read the rest.
#[test]
fn the_version_written_is_the_first_that_says_it() {
    let preset = Preset::from_toml(KEPT).unwrap();
    assert!(preset.to_toml().starts_with("version = 4\n"), "{}", preset.to_toml());
    assert_eq!(Preset::from_toml(&preset.to_toml()), Ok(preset));
    let without = KEPT.replace(", loss = \"270k\"", "").replace(", core = \"220k\"", "");
    let written = Preset::from_toml(&without).unwrap().to_toml();
    assert!(written.starts_with("version = 2\n"), "{written}");
}

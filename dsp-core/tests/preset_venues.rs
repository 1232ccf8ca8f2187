//! What version 3 of the preset files says beyond version 2: the venue of a setup.

use dsp_core::preset::{Preset, PresetProblem};

const KEPT: &str = include_str!("fixtures/version_3.toml");

fn venues(preset: &Preset) -> Vec<Option<&str>> {
    preset.setups.iter().map(|setup| setup.venue.as_deref()).collect()
}

/// The kept copy means today what it meant when it was kept.
#[test]
fn version_3_still_means_the_same() {
    let preset = Preset::from_toml(KEPT).unwrap();
    assert_eq!(venues(&preset), [None, Some("courtyard")]);
    assert_eq!(preset.setups[1].name, "there");
    assert_eq!(preset.setups[1].chain.shunt().ohms(), 1e6);
}

/// Programs that know only versions 1 and 2 refuse such a file; so its version must say so.
#[test]
fn a_venue_came_with_version_3() {
    for found in [1, 2] {
        let text = KEPT.replace("version = 3", &format!("version = {found}"));
        let error = Preset::from_toml(&text).unwrap_err();
        assert_eq!(error.problem, PresetProblem::NewerField { found, field: "venue", since: 3 });
        assert_eq!(
            error.problem.to_string(),
            format!("version = {found} has no `venue`: accepted with version = 3")
        );
        assert!(Preset::from_toml(&text.replace("venue = \"courtyard\"\n", "")).is_ok());
    }
}

#[test]
fn a_venue_has_a_name() {
    for empty in ["", "  "] {
        let text = KEPT.replace("\"courtyard\"", &format!("\"{empty}\""));
        let error = Preset::from_toml(&text).unwrap_err();
        assert_eq!(error.problem, PresetProblem::NoVenue("there".into()));
        assert!(
            error.problem.to_string().starts_with("setup 'there': venue is empty: give its name"),
            "{error}"
        );
    }
}

/// Version 3 is written only where it is needed: older programs read the rest.
#[test]
fn the_version_written_is_the_first_that_says_it() {
    let mut preset = Preset::from_toml(KEPT).unwrap();
    assert!(preset.to_toml().starts_with("version = 3\n"), "{}", preset.to_toml());
    assert!(preset.to_toml().contains("name = \"there\"\nvenue = \"courtyard\"\n"), "{}", preset.to_toml());
    preset.setups[1].venue = None;
    assert!(preset.to_toml().starts_with("version = 2\n"), "{}", preset.to_toml());
}

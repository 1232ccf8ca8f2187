//! What version 5 of the preset files says of venues: what a note for the crew is filled in with.

use dsp_core::preset::{Crew, LinePolarity, Phantom, Preset, PresetProblem, Venue};

const KEPT: &str = include_str!("fixtures/version_5_venues.toml");

/// The kept copy means today what it meant when it was kept.
#[test]
fn version_5_still_means_the_same() {
    let said = |text: &str| Some(text.to_owned());
    let courtyard = Crew {
        phantom: Some(Phantom::On),
        pad: said("-20 dB"),
        polarity: Some(LinePolarity::Reversed),
        line: said("12"),
        feed: said("tuner"),
        contact: said("the stage manager"),
        remarks: said("doors at seven"),
    };
    let chapel =
        Crew { phantom: Some(Phantom::Off), polarity: Some(LinePolarity::Normal), ..Crew::default() };
    let venue = |name: &str, crew| Venue { name: name.into(), crew };
    let preset = Preset::from_toml(KEPT).unwrap();
    assert_eq!(preset.venues, [venue("courtyard", courtyard), venue("chapel", chapel)]);
}

/// Programs that know only earlier versions refuse such a file; so its version must say so. It is written only where it is needed.
#[test]
fn venues_came_with_version_5() {
    for found in 1..=4 {
        let text = KEPT.replace("version = 5", &format!("version = {found}"));
        let refused = Preset::from_toml(&text).unwrap_err();
        assert!(matches!(refused.problem, PresetProblem::NewerField { since: 5, .. }), "{refused}");
    }
    let mut preset = Preset::from_toml(KEPT).unwrap();
    assert!(preset.to_toml().starts_with("version = 5\n"), "{}", preset.to_toml());
    preset.venues.clear();
    assert!(preset.to_toml().starts_with("version = 3\n"), "{}", preset.to_toml());
}

/// What is left to be written on by hand may stand in a file all the same.
#[test]
fn an_empty_text_says_nothing() {
    let text = KEPT.replace("\"-20 dB\"", "\" \"").replace("\"12\"", "\"\"");
    let preset = Preset::from_toml(&text).unwrap();
    assert_eq!((&preset.venues[0].crew.pad, &preset.venues[0].crew.line), (&None, &None));
}

#[test]
fn venues_that_cannot_be() {
    let refused = |from: &str, to: &str| Preset::from_toml(&KEPT.replace(from, to)).unwrap_err();
    assert_eq!(refused("name = \"chapel\"", "name = \" \"").problem, PresetProblem::UnnamedVenue);
    assert_eq!(
        refused("name = \"chapel\"", "name = \"courtyard\"").problem,
        PresetProblem::SameVenue("courtyard".into())
    );
    let phantom = refused("phantom = \"off\"", "phantom = \"maybe\"").to_string();
    assert!(
        phantom.contains("venue 'chapel': phantom = \"maybe\" is not known: accepted are on, off"),
        "{phantom}"
    );
    let field = refused("phantom = \"off\"", "colour = \"blue\"").to_string();
    assert!(
        field.contains("venue 'chapel': colour is not known here") && field.contains("remarks"),
        "{field}"
    );
}

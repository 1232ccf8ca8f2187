//! What one venue offers.

use super::{assert_says, note, text_of};
use crate::support::Sandbox;

const VENUES: &str = include_str!("../../../presets/venues.toml");

#[test]
fn a_venue_offers_its_own_and_what_is_everywhere() {
    for (venue, offered, elsewhere) in [
        (
            "courtyard",
            ["own buffer box", "passive box", "combo behind the tuner"],
            ["wall socket", "gallery amplifier"],
        ),
        (
            "chapel",
            ["own buffer box", "wall socket", "gallery amplifier"],
            ["passive box", "combo behind the tuner"],
        ),
    ] {
        let text = text_of(&note(VENUES, &["--venue", venue]));
        assert_says(&text, &format!("Two venues · venue: {venue}"));
        for name in offered {
            assert_says(&text, &format!("through the {name}"));
        }
        for name in elsewhere {
            assert!(!text.contains(name), "{name} in:\n{text}");
        }
        assert_says(&text, "through the own buffer box: first choice");
    }
}

/// Without one, all of them, each with where it is.
#[test]
fn all_venues_together() {
    let text = text_of(&note(VENUES, &[]));
    assert_says(&text, "through the passive box (courtyard)");
    assert_says(&text, "through the wall socket (chapel)");
    assert_says(&text, "through the own buffer box: first choice");
    assert!(!text.contains("venue:"), "{text}");
}

#[test]
fn a_venue_that_is_not_there() {
    let sandbox = Sandbox::new();
    sandbox.write("setups.toml", VENUES);
    let run = |options: &[&str]| {
        sandbox.run(&[&["note", "--setups", "setups.toml", "-o", "note.pdf"], options].concat())
    };
    let refused = run(&["--venue", "cellar"]);
    assert_eq!(refused.code, Some(2));
    assert_says(&refused.stderr, "--venue: 'cellar' is not known: accepted are courtyard, chapel");
    let refused = run(&["--venue", "chapel", "--setup", "passive box"]);
    assert_says(
        &refused.stderr,
        "--setup: 'passive box' is not known: accepted are own buffer box, wall socket, gallery amplifier",
    );
}

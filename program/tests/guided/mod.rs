//! `firstjack measure guided`: what every build says of it, and with sound a person at its keyboard, before an interface that ALSA's own plugins
//! make of files: what is played ends in one, what is heard comes from another.

#[cfg(all(feature = "sound", target_os = "linux"))]
mod led;
#[cfg(all(feature = "sound", target_os = "linux"))]
mod pulled;
#[cfg(all(feature = "sound", target_os = "linux"))]
mod rig;

use crate::support::Sandbox;

#[test]
fn every_build_tells_what_it_is_for() {
    let help = Sandbox::new().done(&["measure", "guided", "--help"]);
    for said in ["feature sound", "-40 dBFS", "headphones", "phantom", "--keep", "--channel", "--save"] {
        assert!(help.contains(said), "no '{said}' in {help}");
    }
}

#[cfg(not(feature = "sound"))]
#[test]
fn a_build_without_sound_says_how_to_get_it() {
    let outcome = Sandbox::new().run(&["measure", "guided", "pickup"]);
    assert_eq!(outcome.code, Some(2), "{outcome:?}");
    assert!(outcome.stderr.contains("measure guided is not in this build"), "{outcome:?}");
    assert!(outcome.stderr.contains("--features sound"), "{outcome:?}");
}

//! Hands and host together: in a host of either format three parameters are automated while, in a random order, keys, clicks, drags,
//! typing, undo and redo go on in the window, the host sets values and loads states, and presets are loaded by hand. After each step exactly
//! the gestures, values and names that ought to be, and the sound of an instance without a window.
//!
//! `FIRSTJACK_SEED` is another order, `FIRSTJACK_LONGER` so many times as many steps: with 4 a thousand.
#![cfg(all(feature = "editor", target_os = "linux"))]

mod clap;
mod desk;
#[path = "../editor_host/display.rs"]
#[allow(dead_code, reason = "other tests use more of it")]
mod display;
#[path = "../editor/fake.rs"]
#[allow(dead_code, reason = "other tests use more of it")]
mod fake;
mod hand;
#[path = "../host/mod.rs"]
mod host;
mod judge;
mod oracle;
mod places;
#[path = "../editor_host/plan.rs"]
#[allow(dead_code, reason = "other tests use more of it")]
mod plan;
mod preset;
mod sides;
mod step;
#[path = "../vst3_window/stream.rs"]
mod stream;
mod unreadable;
mod vst3;
#[path = "../vst3_window/host.rs"]
#[allow(dead_code, reason = "other tests use more of it")]
mod vst3_host;
mod walk;

use std::collections::BTreeMap;
use std::fmt::Write as _;

use desk::Desk;
use display::Display;
use fastrand::Rng;
use walk::{Fault, Walk};

const STEPS: usize = 250;
/// Faults that are told one by one.
const MOST_TOLD: usize = 40;

fn number(name: &str) -> Option<usize> {
    std::env::var(name)
        .ok()
        .map(|text| text.parse().unwrap_or_else(|_| panic!("{name} is no number: {text}")))
}

/// One test, since the display is the environment's.
#[test]
fn hands_and_host_do_not_disturb_each_other() {
    let folder = tempfile::tempdir().unwrap();
    // SAFETY: this is the only test here, and no other thread is running yet that asks for the environment. Nobody's own settings
    // are touched.
    let display = unsafe {
        std::env::set_var("XDG_CONFIG_HOME", folder.path());
        Display::new()
    };
    let Some(mut display) = display else { return };
    display.hurry();
    let seed = number("FIRSTJACK_SEED").unwrap_or(14);
    let steps = STEPS * number("FIRSTJACK_LONGER").unwrap_or(1);
    let told = [
        unreadable::told::<clap::Clap>(&display),
        unreadable::told::<vst3::Vst3>(&display),
        walked::<clap::Clap>(&display, seed, steps),
        walked::<vst3::Vst3>(&display, seed, steps),
    ];
    let told: String = told.into_iter().flatten().collect();
    assert!(told.is_empty(), "seed {seed}\n{told}");
}

/// What went wrong in a host of this format; `None` if nothing did.
fn walked<D: Desk>(display: &Display, seed: usize, steps: usize) -> Option<String> {
    let begin = std::time::Instant::now();
    let mut walk = Walk::<D>::new(display);
    let mut rng = Rng::with_seed(u64::try_from(seed).unwrap());
    let known = step::known();
    for number in 0..steps {
        let step = known.get(number).cloned().unwrap_or_else(|| step::random(&mut rng, number));
        walk.step(number, step);
    }
    let (compared, unclear) = (walk.sides.compared, walk.sides.unclear);
    assert!(10 * unclear < compared, "{unclear} of {compared} blocks were not compared");
    let faults = walk.end();
    println!("{compared} blocks compared, {unclear} not");
    println!("{}: seed {seed}, {steps} steps in {:.0?}, {} faults", D::FORMAT, begin.elapsed(), faults.len());
    (!faults.is_empty()).then(|| report(D::FORMAT, &faults))
}

fn report(format: &str, faults: &[Fault]) -> String {
    let mut kinds: BTreeMap<&str, usize> = BTreeMap::new();
    for fault in faults {
        *kinds.entry(fault.what.split(':').next().unwrap_or_default()).or_default() += 1;
    }
    let mut text = format!("{format}: {} faults: {kinds:?}\n", faults.len());
    for Fault { number, step, what } in faults.iter().take(MOST_TOLD) {
        writeln!(text, "  step {number}, {step:?}: {what}").unwrap();
    }
    text
}

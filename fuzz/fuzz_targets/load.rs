#![no_main]

use dsp_core::circuit::{Chain, Link};
use dsp_core::units::Load;

libfuzzer_sys::fuzz_target!(|text: &str| {
    let _ = (text.parse::<Link>(), Load::typed(text));
    let Ok(load) = text.parse::<Load>() else { return };
    // What is shown is read as the same.
    let shown = load.to_string();
    let again: Load = shown.parse().expect("what is shown can be read");
    assert_eq!(shown, again.to_string(), "{text}");
    assert_eq!(Chain::from(&load), Chain::from(&again), "{text}");
});

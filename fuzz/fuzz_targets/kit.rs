#![no_main]

use dsp_core::kit::Kit;

libfuzzer_sys::fuzz_target!(|text: &str| {
    let Ok(kit) = Kit::from_toml(text) else { return };
    // What is written is read as the same.
    let written = kit.to_toml();
    assert_eq!(Kit::from_toml(&written).expect("what is written can be read").to_toml(), written);
});

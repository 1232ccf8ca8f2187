#![no_main]

use dsp_core::preset::Preset;

libfuzzer_sys::fuzz_target!(|text: &str| {
    let Ok(preset) = Preset::from_toml(text) else { return };
    // What is written is read as the same.
    let written = preset.to_toml();
    let again = Preset::from_toml(&written).expect("what is written can be read");
    assert_eq!(written, again.to_toml());
});
